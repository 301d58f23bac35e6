"""The order in which fasteners of one face are tightened, worked out from where they are.

The rule is that of flange and cover practice: start in the middle and go outwards, and after each one take the one
that balances it best, which is the opposite one where there is one. On a ring, where none is nearer the middle than
another, that is the crosswise order. Common practice without a single source; distances are compared exactly.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import isqrt
from typing import NamedTuple

from logbook.model.step import MapPosition

Point = tuple[int, int]
"""x and y in any whole unit, such as ticks of a length."""

FEWEST, MOST = 4, 24
"""With fewer there is nothing to choose; with more nobody follows a row of numbers."""
BANDS = 8
"""So many steps from the middle to the outermost: places that differ by less count as equally far out."""


class FaceOrder(NamedTuple):
    """The order of tightening."""

    numbers: tuple[int, ...]
    """Numbers of the places on the map, the first to be tightened first."""
    how: str
    """What the order is called: “crosswise”, “diagonal”, “from the middle out”."""


def face_order(positions: Sequence[MapPosition], drawn: Mapping[str, int]) -> FaceOrder | None:
    """The order for the places on a position map; None when the map does not say where each of them is.

    Args:
        positions: the map of the step.
        drawn: for each kind that is drawn down, how many go back. A place without a kind may hold any of them.
    """
    places = [p for p in positions if p.kind in drawn or not p.kind.strip()]
    kinds = {p.kind for p in places}
    wanted = sum(drawn[k] for k in kinds) if all(k in drawn for k in kinds) else max(drawn.values(), default=0)
    points = [(p.x.ticks, p.y.ticks) for p in places if p.x is not None and p.y is not None]
    told_apart = len(set(points)) == len({p.number for p in places}) == len(places)
    if not (told_apart and FEWEST <= len(places) == len(points) == wanted <= MOST):
        return None
    numbers = tuple(places[i].number for i in tightening_order(points))
    if len(set(_bands(_arms(points)))) > 1:
        return FaceOrder(numbers, "from the middle out")
    return FaceOrder(numbers, "diagonal" if len(points) == FEWEST else "crosswise")


def tightening_order(points: Sequence[Point]) -> tuple[int, ...]:
    """The order of tightening as indices into `points`, which differ from each other.

    While what is tightened is in balance the next is the one nearest the middle and, among those, the farthest from
    all that are tight; otherwise it is the one that brings most balance.
    """
    if len(points) < 2:
        return tuple(range(len(points)))
    arms = _arms(points)
    bands, reach = _bands(arms), max(map(_square, arms))
    left, order, tight = list(range(len(points))), list[int](), (0, 0)
    while left:
        apart = {i: [-d for d in sorted(_square(_less(arms[i], arms[j])) for j in order)] for i in left}
        if _square(tight) * 25 <= reach:
            best = min(left, key=lambda i: (bands[i], apart[i], i))
        else:
            pull = {i: _square(_less(tight, (-arms[i][0], -arms[i][1]))) for i in left}
            last = arms[order[-1]]
            best = min(left, key=lambda i: (pull[i], apart[i], -_square(_less(arms[i], last)), i))
        left.remove(best)
        order.append(best)
        tight = (tight[0] + arms[best][0], tight[1] + arms[best][1])
    return tuple(order)


def _arms(points: Sequence[Point]) -> list[Point]:
    """From their common middle to each, in parts of the unit so that all stay whole."""
    n = len(points)
    sum_x, sum_y = (sum(values) for values in zip(*points, strict=True))
    return [(n * x - sum_x, n * y - sum_y) for x, y in points]


def _bands(arms: Sequence[Point]) -> list[int]:
    """How far out each is, from 0 in the middle to `BANDS` for the outermost, rounded."""
    farthest = max(map(_square, arms))
    return [(isqrt(4 * BANDS * BANDS * _square(arm) // farthest) + 1) // 2 for arm in arms]


def _square(arm: Point) -> int:
    return arm[0] * arm[0] + arm[1] * arm[1]


def _less(a: Point, b: Point) -> Point:
    return a[0] - b[0], a[1] - b[1]
