"""Marks, drawn only where a line of the plan says so."""
