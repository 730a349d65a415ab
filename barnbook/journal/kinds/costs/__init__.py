"""What the barn costs: feed bought and fed, and other expenses."""
