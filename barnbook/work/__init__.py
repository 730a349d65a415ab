"""Jobs: after a push, each night; from barn rows to figures and dues. A job may run twice or be killed half-way."""
