"""Who works at the farm and on which phones: asked in, changed, taken off; a code that works once; phones unpaired."""
