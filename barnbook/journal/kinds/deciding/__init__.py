"""What is said and planned at the house."""
