"""What is written about other entries."""
