"""From finished pages to everything needed to print, bind and trim a book."""

__version__ = "0.1.0"
