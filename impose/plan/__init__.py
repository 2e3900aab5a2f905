"""The plan: a finished value with everything at fixed positions."""
