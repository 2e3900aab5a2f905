"""Boxes, sides of a page, turns and placing matrices, in exact lengths."""
