"""Whole jobs on a real terminal, from an empty book to something held in the hand."""
