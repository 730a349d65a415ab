"""What happens any day of the year: treatments."""
