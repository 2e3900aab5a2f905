"""`python -m impose`."""

from impose.cli.main import main

main()
