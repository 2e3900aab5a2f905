"""What is done at the bench: cuts, scores, steps."""
