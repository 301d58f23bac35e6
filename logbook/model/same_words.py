"""When two names that people typed are the same."""

from __future__ import annotations

from functools import lru_cache


@lru_cache(maxsize=4096)
def same_words(text: str) -> str:
    """Words as they are compared: case and spacing make no difference."""
    return " ".join(text.split()).casefold()
