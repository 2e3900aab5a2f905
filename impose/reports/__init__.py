"""What people and programs read beside the sheets."""
