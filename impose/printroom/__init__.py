"""Many jobs: worker processes, what is unchanged, a folder that is watched."""
