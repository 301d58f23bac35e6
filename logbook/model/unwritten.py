"""What somebody types where a thing is not written yet, in the line and in a form alike."""

from __future__ import annotations

_SIGNS = frozenset({"?", "??", "???"})
_WORDS = frozenset({"unknown", "not known", "not written", "unwritten"})


def is_unwritten(text: str) -> bool:
    """Whether a text alone says that nobody has written it yet: `?`. It is never the name of a thing."""
    return text.strip() in _SIGNS


def is_unwritten_end(text: str) -> bool:
    """The same of an end of a wire, where `unknown` is no place either."""
    return is_unwritten(text) or " ".join(text.casefold().split()) in _WORDS
