"""The order of tightening from where the fasteners are.

The rule is common practice without a single source: from the middle outwards, always the one that balances best. On a
ring of an even number that is opposite by opposite (kinetics-line.com, bolt tightening sequences, read as an excerpt).
"""

from __future__ import annotations

from itertools import pairwise
from math import cos, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.step import MapPosition
from logbook.reassembly import refit_list
from logbook.reassembly.face import FEWEST, MOST, FaceOrder, Point, face_order, tightening_order
from tests.builders import mm, screws, step, unit


def ring(n: int, radius: int = 100_000) -> list[Point]:
    """`n` places clockwise round a circle, the first at the top."""
    turns = [radians(360 * i / n) for i in range(n)]
    return [(round(radius * sin(t)), round(radius * cos(t))) for t in turns]


def map_of(points: list[tuple[str, str]], kind: str = "screw M4x10") -> list[MapPosition]:
    return [MapPosition(number=i, kind=kind, x=mm(x), y=mm(y)) for i, (x, y) in enumerate(points, 1)]


CORNERS = [("0", "100"), ("200", "100"), ("200", "0"), ("0", "0")]
PANEL = [("12", "283"), ("460", "283"), ("460", "148"), ("460", "12"), ("12", "12"), ("12", "148")]


def test_four_corners_go_diagonal() -> None:
    found = face_order(map_of(CORNERS), {"screw M4x10": 4})
    assert found is not None
    assert found.how == "diagonal"
    assert set(found.numbers[:2]) in ({1, 3}, {2, 4})
    assert sorted(found.numbers) == [1, 2, 3, 4]


def test_a_panel_goes_from_its_middle_pair_outwards() -> None:
    found = face_order(map_of(PANEL), {"screw M4x10": 6})
    assert found == FaceOrder((3, 6, 4, 1, 5, 2), "from the middle out")


@pytest.mark.parametrize("n", [6, 8, 10, 12, 16, 20, 24])
def test_on_a_ring_the_opposite_one_follows(n: int) -> None:
    order = tightening_order(ring(n))
    assert sorted(order) == list(range(n))
    for a, b in zip(order[::2], order[1::2], strict=True):
        assert abs(a - b) == n // 2


@pytest.mark.parametrize("n", [5, 7, 9, 11])
def test_on_an_odd_ring_neighbours_never_follow_each_other_at_first(n: int) -> None:
    order = tightening_order(ring(n))
    assert all((b - a) % n not in (1, n - 1) for a, b in pairwise(order[: n // 2]))


POINTS = st.lists(st.tuples(st.integers(-(10**6), 10**6), st.integers(-(10**6), 10**6)), max_size=24, unique=True)


@settings(max_examples=80, deadline=None)
@given(POINTS)
def test_every_place_is_tightened_once(points: list[Point]) -> None:
    assert sorted(tightening_order(points)) == list(range(len(points)))


@settings(max_examples=60, deadline=None)
@given(POINTS, st.integers(-(10**6), 10**6), st.integers(-(10**6), 10**6), st.integers(1, 9))
def test_where_the_map_is_measured_from_does_not_matter(points: list[Point], x: int, y: int, scale: int) -> None:
    moved = [(scale * a + x, scale * b + y) for a, b in points]
    assert tightening_order(moved) == tightening_order(points)


@settings(max_examples=60, deadline=None)
@given(POINTS.filter(lambda p: len(p) > 3))
def test_the_first_is_one_of_those_nearest_the_middle(points: list[Point]) -> None:
    n = len(points)
    middle = (sum(x for x, _ in points), sum(y for _, y in points))
    away = [(n * x - middle[0]) ** 2 + (n * y - middle[1]) ** 2 for x, y in points]
    first = tightening_order(points)[0]
    # "equally far out" is to an eighth of the outermost, so the first is within that of the nearest
    assert away[first] ** 0.5 <= min(away) ** 0.5 + max(away) ** 0.5 / 8 + 1e-6


NO_ORDER = [
    (map_of(CORNERS[:3]), 3),
    (map_of(CORNERS), 5),
    ([*map_of(CORNERS)[:3], MapPosition(number=4, kind="screw M4x10", where="by the hinge")], 4),
    ([*map_of(CORNERS)[:3], MapPosition(number=4, kind="screw M4x10", x=mm("0"), y=mm("100"))], 4),
    ([*map_of(CORNERS)[:3], MapPosition(number=3, kind="screw M4x10", x=mm("0"), y=mm("0"))], 4),
    ([], 4),
    (map_of([(str(i), "0") for i in range(MOST + 1)]), MOST + 1),
]


@pytest.mark.parametrize(("positions", "n"), NO_ORDER)
def test_a_map_that_does_not_say_where_each_is_gives_no_order(positions: list[MapPosition], n: int) -> None:
    assert face_order(positions, {"screw M4x10": n}) is None


def test_other_kinds_on_the_map_are_left_out() -> None:
    positions = [*map_of(CORNERS), MapPosition(number=5, kind="dowel", x=mm("100"), y=mm("50"))]
    found = face_order(positions, {"screw M4x10": 4})
    assert found is not None
    assert 5 not in found.numbers


def test_the_line_says_the_order_of_the_map() -> None:
    made = step("T01", "back", fasteners=[screws(6, kind="screw M4x10")], positions=map_of(PANEL))
    assert refit_list(unit(made)).by_key["T01"].tighten == (
        "Start all 6 by hand, then snug them, then tighten from the middle out in two rounds: 3-6-4-1-5-2, "
        "numbered as on the map."
    )
    assert FEWEST == 4
