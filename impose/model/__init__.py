"""What is asked for and what is at hand: jobs, stocks, machines, source facts, profiles."""
