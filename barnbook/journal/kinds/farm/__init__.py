"""Set-up: the farm, its lines and its cages."""
