"""Room for deep trees of cuts: a thousand strips from one board are a thousand cuts, each within what the last left."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

MOST_PARTS = 1_000
"""So many parts are laid out at once. More is no day's work, and takes longer to list than anybody waits."""

_CALLS = 8 * MOST_PARTS
"""A part is freed by up to two cuts, and each takes up to four calls to follow."""

_lock = Lock()
_inside: list[int] = []


@contextmanager
def deep_trees() -> Iterator[None]:
    """Within it, trees of cuts of so many parts can be followed; several threads may be within it."""
    with _lock:
        _inside.append(sys.getrecursionlimit())
        sys.setrecursionlimit(max(_inside[0], _CALLS))
    try:
        yield
    finally:
        with _lock:
            usual = _inside[0]
            _inside.pop()
            if not _inside:
                sys.setrecursionlimit(usual)
