"""Which of several entries is meant by a few typed words: those that say them plainly come before those that hint."""

from __future__ import annotations

import re
from collections.abc import Sequence

Distance = tuple[int, ...]
"""How far an entry is from the typed words, the smaller the nearer."""


def how_far_off(words: Sequence[str], lines: Sequence[str]) -> Distance | None:
    """How far an entry is from being what the words name.

    A word counts as nearer in the first line, the name, than in what is said below it; as the beginning of a word
    nearer than inside one; and as a whole word nearest.

    Args:
        words: what was typed, word by word.
        lines: the entry: its name first, then what is said about it.

    Returns:
        None when it does not have all of the words.
    """
    off = [_off(word.casefold(), lines) for word in words]
    return tuple(sorted((o for o in off if o is not None), reverse=True)) if None not in off else None


def _off(word: str, lines: Sequence[str]) -> int | None:
    """0 to 2 in the first line (a whole word, a beginning, anywhere), 3 to 5 below it; None nowhere."""
    name, *below = (line.casefold() for line in lines)
    for base, text in ((0, name), (3, " ".join(below))):
        spoken = _WORD.findall(text)
        if word in spoken:
            return base
        if any(each.startswith(word) for each in spoken):
            return base + 1
        if word in text:
            return base + 2
    return None


_WORD = re.compile(r"\w+")
