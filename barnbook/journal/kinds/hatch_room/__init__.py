"""Eggs in the incubator, from setting to chicks."""
