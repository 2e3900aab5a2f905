"""The command line; click is known only here."""
