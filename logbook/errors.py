"""Errors that are sentences for a person: what is wrong, where, and what to do about it."""

from __future__ import annotations


class LogbookError(Exception):
    """Base of every expected error. `str(error)` is the sentence a person reads."""

    exit_code = 2
    """What a command leaves behind when this error ends it: 2 is bad use or bad input."""


class InputError(LogbookError):
    """Something typed, imported or asked for cannot be used; nothing was changed."""


class CircleError(InputError):
    """Relations between steps form a circle, so no order exists.

    Attributes:
        steps: the step codes around the circle, in order, the first one not repeated.
    """

    def __init__(self, message: str, steps: tuple[str, ...]) -> None:
        super().__init__(message)
        self.steps = steps


class StoreError(LogbookError):
    """The book on disk could not be read or written; what was typed is still in memory."""


class ReadOnlyError(StoreError):
    """The book is open for reading only, so the change was not kept."""
