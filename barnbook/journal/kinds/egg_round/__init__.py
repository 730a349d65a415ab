"""What is written on a walk past the cages."""
