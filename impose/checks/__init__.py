"""Pure rules: facts, job and plan to findings."""
