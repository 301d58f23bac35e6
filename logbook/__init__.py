"""A restorer's logbook: take it apart, write it down, put it back."""

__version__ = "0.1.0"
