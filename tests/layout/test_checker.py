"""The independent checker: a sound layout passes, and each way of spoiling one is noticed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from logbook.layout.checker import cut_through, problems_of
from logbook.layout.cut_records import Box, Layout, Leftover, PartToCut, Piece, Placement, Rules, Unplaced
from logbook.layout.layout_search import search
from logbook.model.words import Grain
from tests.layout.builders import part, piece, rules, ticks

PARTS = (
    part("A", 300, 100),
    part("B", 200, 80, grain=Grain.FREE),
    part("C", 150, 60, quantity=2, together="run"),
)
PILE = (piece("O1", 700, 220, bad=[(600, 200, 50, 20)]), piece("O2", 200, 100))
RULES = rules()


@cache
def sound() -> Layout:
    layout = search(PARTS, PILE, RULES)
    assert layout.complete
    return layout


def moved(code: str, **changes: int | bool) -> Callable[[Layout], Layout]:
    """The layout with the first placement of a part changed."""

    def spoil(layout: Layout) -> Layout:
        index = next(i for i, p in enumerate(layout.placements) if p.part == code)
        placements = list(layout.placements)
        placements[index] = replace(placements[index], **changes)
        return replace(layout, placements=tuple(placements))

    return spoil


def test_a_layout_of_the_search_passes() -> None:
    assert problems_of(sound(), PARTS, PILE, RULES) == ()


SPOILT: list[tuple[str, Callable[[Layout], Layout], str]] = [
    ("lost", lambda x: replace(x, placements=x.placements[1:]), "wanted"),
    ("twice", lambda x: replace(x, placements=(*x.placements, x.placements[0])), "overlap"),
    ("not asked for", moved("A", part="Z"), "not asked for"),
    ("piece of nowhere", moved("A", piece="O9"), "not in the pile"),
    ("too long", moved("A", length=ticks(301)), "not its own size"),
    ("beyond the piece", moved("A", x=ticks(500)), "beyond the piece"),
    ("into the trim", moved("A", x=ticks(4)), "true the piece"),
    ("turned against the grain", moved("A", turned=True, length=ticks(100), width=ticks(300)), "grain the wrong way"),
    ("on a defect", moved("B", x=ticks(500), y=ticks(130)), "on a defect"),
    ("missing said wrongly", lambda x: replace(x, unplaced=(Unplaced("A", 1, "no"),)), "missing 1"),
    ("used pieces wrong", lambda x: replace(x, used=(*x.used, "O2")), "not those on which"),
    ("area used wrong", lambda x: replace(x, used_area=x.used_area + 1), "area used"),
    ("area of parts wrong", lambda x: replace(x, part_area=x.part_area - 1), "area of the parts"),
    ("bound too high", lambda x: replace(x, bound_area=x.used_area + 1), "bound"),
    ("a cut forgotten", lambda x: replace(x, cuts=x.cuts[:-1]), "every cut once"),
    ("cuts misnumbered", lambda x: replace(x, cuts=x.cuts[::-1]), "not numbered"),
    (
        "leftover over a part",
        lambda x: replace(x, leftovers=(Leftover("O1", ticks(10), ticks(10), ticks(50), ticks(50), False),)),
        "overlaps something",
    ),
    ("out of sequence", moved("C", y=ticks(150)), "one after the other"),
]


@pytest.mark.parametrize(("name", "spoil", "word"), SPOILT, ids=[s[0] for s in SPOILT])
def test_what_is_wrong_is_noticed(name: str, spoil: Callable[[Layout], Layout], word: str) -> None:
    assert word in " ".join(problems_of(spoil(sound()), PARTS, PILE, RULES))


@pytest.mark.parametrize(
    ("changed", "word"),
    [
        ({"material": "12 MDF"}, "was drawn in"),
        ({"thickness": (ticks("11.8"), ticks("12.1"), ticks("11.8"))}, "12.1 mm thick"),
        ({"thickness": ()}, "never measured"),
        ({"reserved_for": "C1"}, "reserved for C1"),
        ({"kerf": ticks(4)}, "less than the kerf"),
        ({"grain": Grain.WIDTH}, "grain the wrong way"),
    ],
)
def test_a_piece_that_is_not_what_it_seemed_is_noticed(changed: dict[str, object], word: str) -> None:
    pile = (replace(PILE[0], **changed), PILE[1])  # type: ignore[arg-type]
    assert word in " ".join(problems_of(sound(), PARTS, pile, RULES))


def test_a_part_from_the_wrong_piece_is_noticed() -> None:
    parts = (replace(PARTS[0], only_from="O2"), *PARTS[1:])
    assert "was to come from O2" in " ".join(problems_of(sound(), parts, PILE, RULES))


def boxes(*each: tuple[int, int, int, int]) -> list[Box]:
    return [Box(*b) for b in each]


@pytest.mark.parametrize(
    ("rectangles", "kerf", "through"),
    [
        ([(0, 0, 10, 10)], 3, True),
        ([(0, 0, 10, 10), (13, 0, 5, 10)], 3, True),
        ([(0, 0, 10, 10), (12, 0, 5, 10)], 3, False),
        ([(0, 0, 6, 3), (0, 3, 6, 3), (6, 0, 4, 6)], 0, True),
        # five in a pinwheel: no cut goes through, the classic case
        ([(0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2), (1, 1, 1, 1)], 0, False),
        ([(0, 0, 2, 1), (2, 0, 1, 2), (1, 2, 2, 1), (0, 1, 1, 2)], 0, False),
    ],
)
def test_cut_through(rectangles: list[tuple[int, int, int, int]], kerf: int, through: bool) -> None:
    assert cut_through(boxes(*rectangles), kerf) is through


def test_a_pinwheel_of_placements_is_refused() -> None:
    part_codes: tuple[PartToCut, ...] = tuple(
        part(c, *size, grain=Grain.FREE) for c, size in zip("ABCD", [(200, 100), (200, 100)] * 2, strict=True)
    )
    pile: tuple[Piece, ...] = (piece("O1", 300, 300, grain=Grain.FREE),)
    free = Rules(kerf=0, trim=0)
    at = [(0, 0, False), (200, 0, True), (100, 200, False), (0, 100, True)]
    placements = tuple(
        Placement(c, "O1", ticks(x), ticks(y), ticks(100 if t else 200), ticks(200 if t else 100), t)
        for c, (x, y, t) in zip("ABCD", at, strict=True)
    )
    layout = Layout(
        placements=placements, used=("O1",), used_area=ticks(300) ** 2, part_area=4 * ticks(200) * ticks(100)
    )
    assert problems_of(layout, part_codes, pile, free) == (
        "The parts on O1 cannot be freed by cuts from edge to edge.",
    )
