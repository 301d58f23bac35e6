"""A search for a layout ends soon after it is told to, at whatever moment; no clock is looked at here, steps are."""

from __future__ import annotations

from decimal import Decimal
from random import Random

import pytest

from logbook.layout.cut_records import MM, PartToCut, Piece, Rules
from logbook.layout.layout_search import search
from logbook.model.words import Grain
from tests.steps import Steps

MOST_STEPS = 1_200_000
"""Lines between two looks, and until the answer is put together: on any computer well below a fifth of a second."""

THICK = 118 * MM // 10


def asked(kinds: int, pieces: int, large: float) -> tuple[list[PartToCut], list[Piece]]:
    """So many kinds of parts, so many times as large as usual, and so many pieces of all sizes."""
    chance = Random(1)
    grains = (Grain.LENGTH, Grain.FREE)

    def side(low: float, high: float) -> int:
        return int(chance.uniform(low, high) * MM)

    parts = [
        PartToCut(
            f"P{n}",
            1,
            side(120 * large, 600 * large),
            side(60 * large, 300 * large),
            "ply",
            THICK,
            chance.choice(grains),
        )
        for n in range(kinds)
    ]
    pile = [
        Piece(
            f"O{n}",
            "ply",
            (THICK,),
            side(300, 1300),
            side(120, 640),
            chance.choice(grains),
            Decimal(chance.randint(1, 30)),
        )
        for n in range(pieces)
    ]
    return parts, pile


@pytest.mark.parametrize("stop_at", [1, 2, 20, 150])
@pytest.mark.parametrize(
    ("kinds", "pieces", "large"),
    [(60, 60, 1), (60, 60, 3), (9, 40, 1), (150, 30, 1), (30, 150, 1)],
    ids=["all fit", "few fit", "an exact answer", "many parts", "many pieces"],
)
def test_a_search_ends_soon_after_it_is_told_to(kinds: int, pieces: int, large: float, stop_at: int) -> None:
    parts, pile = asked(kinds, pieces, large)
    steps = Steps(stop_at)
    with steps.counted():
        found = search(parts, pile, Rules(rounds=None, seconds=None), stop=steps.look)
    assert steps.looks >= stop_at, "it ran long enough to be told"
    assert steps.most < MOST_STEPS, steps.where
    assert steps.after < MOST_STEPS
    assert len(found.placements) + sum(u.quantity for u in found.unplaced) == kinds


def test_a_stretch_without_a_look_is_found() -> None:
    steps = Steps(stop_at=1)
    with steps.counted():
        sum(n for n in range(5000))
    assert steps.most > 5000
