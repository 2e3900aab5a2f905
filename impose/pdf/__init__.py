"""The only place that knows PDF libraries: read, place, draw, write, verify."""
