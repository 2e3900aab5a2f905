"""`python -m impose`."""

from impose.cli.main import main

if __name__ == "__main__":
    main()
