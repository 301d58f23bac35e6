"""In what order several fasteners of one face are drawn down.

All are started by hand, so that no hole is forced; then snug, then crosswise in rounds, so that a panel or
a gasket comes down evenly (flange practice; the crosswise order is, from memory, the one that ASME PCC-1 calls
the legacy pattern: a fastener, the one opposite, then a quarter turn on).
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from logbook.reassembly.face import FaceOrder

_THREADED = re.compile(r"\b(?:machine|wood|cap|coach|lag)?[ -]?(?:bolt|screw|nut|stud)s?\b", re.IGNORECASE)
_NAMES_ONLY = frozenset({"diagonal", "diagonally", "crosswise", "as a star", "star"})
"""Words of a record that name the usual order, which then can be said place by place."""
_ALONE = re.compile(r"\b(?:grub|set|thumb|adjusting|trimming)[ -]?(?:screw|nut|bolt)s?\b", re.IGNORECASE)
"""Kinds that hold one thing each and so have no neighbour to be balanced against."""


def crosswise(n: int) -> tuple[int, ...]:
    """The order in which `n` places round a face are tightened, numbered clockwise from the first.

    An even number goes opposite by opposite; a multiple of four in squares, each a fastener, its opposite
    and the two between. An odd number goes as a star: every second one, twice round.
    """
    if n < 3:
        return tuple(range(1, n + 1))
    if n % 2:
        return (*range(1, n + 1, 2), *range(2, n + 1, 2))
    half = n // 2
    if n % 4:
        return tuple(place for a in _spread(half) for place in (a, a + half))
    quarter = n // 4
    return tuple(place for a in _spread(quarter) for place in (a, a + half, a + quarter, a + half + quarter))


def _spread(n: int) -> tuple[int, ...]:
    """1..n so that one and the next are not neighbours where that can be."""
    return (*range(1, n + 1, 2), *range(2, n + 1, 2)) if n > 3 else tuple(range(1, n + 1))


def pattern(n: int, sequence: str = "", torque: str = "", face: FaceOrder | None = None) -> str:
    """How to draw down `n` fasteners of one face, as a sentence; empty when there are none.

    Args:
        n: how many there are on the face.
        sequence: what the record says about the order; it takes the place of the usual one.
        torque: to what they are tightened; empty means as tight as they were found.
        face: the order worked out from where they are, when that was measured; it takes the place of the usual one.
    """
    to = f" to {torque}" if torque else ""
    if n <= 0:
        return ""
    if n == 1:
        return f"Start it by hand, then tighten{to}."
    start = "Start both by hand, then snug both" if n == 2 else f"Start all {n} by hand, then snug them"
    return f"{start}, then tighten{to}{_way(n, sequence, face)}."


def _way(n: int, sequence: str, face: FaceOrder | None) -> str:
    """In what order, and in how many rounds."""
    named = sequence.strip().casefold()
    if sequence and not (n > 3 and named in _NAMES_ONLY):
        return f": {sequence}"
    if n == 2:
        return " in turn, a little each, in two rounds"
    if n == 3:
        return " one after the other, a little each, in two rounds"
    if face is not None:
        return f" {face.how} in {_rounds(n)} rounds: {_joined(face.numbers)}, numbered as on the map"
    how = "diagonal" if n == 4 else "crosswise as a star" if n % 2 else "crosswise"
    places = _joined(crosswise(n)) if n <= 24 else "opposite by opposite"
    return f" {how} in {_rounds(n)} rounds: {places}, numbered clockwise from the top left"


def _rounds(n: int) -> str:
    return "two" if n <= 6 else "three"


def _joined(numbers: Iterable[int]) -> str:
    return "-".join(map(str, numbers))


def is_drawn_down(kind: str) -> bool:
    """Whether fasteners of that kind are drawn down together with their neighbours."""
    return bool(_THREADED.search(kind)) and not _ALONE.search(kind)


def on_one_face(fasteners: Iterable[tuple[str, int]]) -> int:
    """How many fasteners (kind, count) are drawn down together: the most of one threaded kind.

    A screw and its nut are one place, washers and bushes go with them, and what holds one thing each,
    like a grub screw in a knob, is balanced against nothing.
    """
    return max((n for kind, n in fasteners if is_drawn_down(kind)), default=0)
