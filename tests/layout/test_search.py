"""What holds of every layout, whatever the parts and the pile."""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.layout.bounds import cover
from logbook.layout.checker import problems_of
from logbook.layout.cut_records import MM, Box, Layout, PartToCut, Piece, Rules
from logbook.layout.layout_search import search
from logbook.model.words import Grain
from tests.layout.builders import lies, part, piece, rules, ticks

grains = st.sampled_from(Grain)
values = st.sampled_from([None, Decimal(2), Decimal("3.50")])
square = st.sampled_from([None, None, 0])
EIGHTH = MM // 8
"""Sizes in eighths of a millimetre: exact, and seldom alike."""


@st.composite
def parts_to_cut(draw: st.DrawFn, most: int = 8) -> tuple[PartToCut, ...]:
    found = []
    for n in range(draw(st.integers(1, most))):
        length, width = draw(st.integers(200, 3200)), draw(st.integers(100, 1600))
        found.append(
            PartToCut(
                f"P{n}", draw(st.integers(1, 3)), length * EIGHTH, width * EIGHTH,
                draw(st.sampled_from(["ply", "ply", "ply", "board"])),
                draw(st.sampled_from([118, 118, 121])) * MM // 10, draw(grains),
                draw(st.sampled_from(["", "", "", "wrap"])), draw(st.sampled_from(["", "R1"])),
            )
        )  # fmt: skip
    return tuple(found)


@st.composite
def piles(draw: st.DrawFn, most: int = 6) -> tuple[Piece, ...]:
    found = []
    for n in range(draw(st.integers(0, most))):
        length, width = draw(st.integers(300, 8000)), draw(st.integers(300, 4000))
        bad = []
        for _ in range(draw(st.integers(0, 2))):
            x, y = draw(st.integers(0, length - 1)), draw(st.integers(0, width - 1))
            bad.append(
                Box(x * EIGHTH, y * EIGHTH, draw(st.integers(1, 900)) * EIGHTH, draw(st.integers(1, 900)) * EIGHTH)
            )
        found.append(
            Piece(
                f"O{n}", draw(st.sampled_from(["ply", "Ply", "board"])),
                tuple(t * MM // 10 for t in draw(st.lists(st.sampled_from([117, 118, 119, 120, 124]), max_size=3))),
                length * EIGHTH, width * EIGHTH, draw(grains), draw(values),
                tuple(bad), draw(st.sampled_from(["", "", "", "R1", "C1"])),
                draw(square), draw(square), draw(square),
            )
        )  # fmt: skip
    return tuple(found)


@settings(max_examples=120, deadline=None)
@given(parts_to_cut(), piles(), st.sampled_from(["", "R1"]), st.integers(0, 3))
def test_every_layout_passes_the_independent_checker(
    parts: tuple[PartToCut, ...], pile: tuple[Piece, ...], unit: str, seed: int
) -> None:
    how = rules(for_unit=unit, seed=seed, rounds=60)
    layout = search(parts, pile, how)
    assert problems_of(layout, parts, pile, how) == ()
    assert all(u.why.endswith(".") for u in layout.unplaced)
    bought = {c for p in layout.purchases for c in p.parts}
    assert bought == {u.part for u in layout.unplaced}


@settings(max_examples=40, deadline=None)
@given(parts_to_cut(), piles(), st.integers(0, 2))
def test_the_same_seed_and_rounds_give_the_same_layout(
    parts: tuple[PartToCut, ...], pile: tuple[Piece, ...], seed: int
) -> None:
    how = rules(seed=seed, rounds=80)
    assert search(parts, pile, how) == search(parts, pile, how)


def sizes(draw_parts: tuple[PartToCut, ...]) -> tuple[PartToCut, ...]:
    """The same parts, all of one sheet and each once."""
    return tuple(replace(p, quantity=1, material="ply", thickness=118 * MM // 10, together="") for p in draw_parts)


def plain(pile: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """The same pieces, sound and measured."""
    return tuple(
        replace(
            p, thickness=(118 * MM // 10,), material="ply", defects=(), reserved_for="", value=p.value or Decimal(1)
        )
        for p in pile
    )


def cost(layout: Layout) -> tuple[int, Decimal, int]:
    return sum(u.quantity for u in layout.unplaced), layout.used_value, layout.used_area


@settings(max_examples=40, deadline=None)
@given(parts_to_cut(most=5), piles(most=4), piles(most=2))
def test_more_pieces_never_make_it_worse(
    parts: tuple[PartToCut, ...], pile: tuple[Piece, ...], more: tuple[Piece, ...]
) -> None:
    """With few parts the least value is certain, so that another piece can only help."""
    few = sizes(parts)
    first = plain(pile)
    second = (*first, *(replace(p, code=f"N{p.code}") for p in plain(more)))
    one, two = search(few, first, rules(rounds=200)), search(few, second, rules(rounds=200))
    if one.complete:
        assert two.complete
        assert two.used_value <= one.used_value
        assert two.bound_value <= two.used_value


@settings(max_examples=40, deadline=None)
@given(parts_to_cut(most=5), piles(most=4))
def test_a_bound_is_never_above_what_another_search_finds(
    parts: tuple[PartToCut, ...], pile: tuple[Piece, ...]
) -> None:
    few, sound = sizes(parts), plain(pile)
    layouts = [search(few, sound, rules(seed=s, rounds=100)) for s in (1, 2)]
    if all(x.complete for x in layouts):
        assert max(x.bound_value for x in layouts) <= min(x.used_value for x in layouts)
        assert max(x.bound_area for x in layouts) <= min(x.used_area for x in layouts)
        if any(x.fewest_pieces for x in layouts):
            claimed = next(len(x.used) for x in layouts if x.fewest_pieces)
            assert claimed <= min(len(x.used) for x in layouts)


def test_the_cheapest_pieces_are_used_up_even_when_they_are_more() -> None:
    parts = [part("A", 300, 100, quantity=2)]
    pile = [piece("O1", 700, 120, value="9"), piece("O2", 320, 120, value="2"), piece("O3", 320, 120, value="3")]
    layout = search(parts, pile, rules())
    assert layout.used == ("O2", "O3")
    assert (layout.used_value, layout.bound_value, layout.proven) == (Decimal(5), Decimal(5), True)
    assert not layout.fewest_pieces


def test_a_piece_without_a_value_counts_at_the_price_of_its_material() -> None:
    parts = [part("A", 300, 100)]
    dear, cheap = piece("O1", 320, 120, value="9"), piece("O2", 400, 120)
    assert search(parts, [dear, cheap], rules()).used == ("O1",)
    assert search(parts, [dear, piece("O2", 320, 119)], rules()).used == ("O2",)


def test_the_largest_useful_leftover_is_kept_whole() -> None:
    parts = [part("A", 300, 150), part("B", 290, 150)]
    layout = search(parts, [piece("O1", 800, 400)], rules())
    kept = [x for x in layout.leftovers if x.keep]
    # Side by side they would leave 795 x 242; one above the other they leave 492 x 395, which is more.
    largest = max(kept, key=lambda x: x.length * x.width)
    assert (largest.length, largest.width) == (ticks(492), ticks(395))


def test_of_layouts_alike_in_all_else_the_one_with_fewer_settings_is_chosen() -> None:
    layout = search([part("A", 200, 100, quantity=4)], [piece("O1", 420, 300)], rules())
    assert layout.complete
    assert layout.settings == len({(c.axis, c.fence, c.trim) for c in layout.cuts}) == 4


def test_a_defect_is_cut_around() -> None:
    whole = [part("A", 480, 150), part("B", 400, 150)]
    pile = [piece("O1", 1000, 160, bad=[(490, 40, 15, 30)])]
    layout = search(whole, pile, rules())
    assert layout.complete
    assert problems_of(layout, whole, pile, rules()) == ()
    assert not search([part("A", 500, 150)], pile, rules()).complete


def test_a_leftover_stays_in_one_piece_with_its_defect() -> None:
    layout = search([part("A", 400, 290)], [piece("O1", 1000, 300, bad=[(820, 40, 20, 20)])], rules())
    kept = [x for x in layout.leftovers if x.keep]
    assert [(x.length, x.width) for x in kept] == [(ticks(592), ticks(295))]
    assert [(d.x, d.y) for d in kept[0].defects] == [(ticks(820 - 408), ticks(40 - 5))]


def test_a_sequence_stays_on_one_board_though_two_shorter_ones_would_do() -> None:
    parts = [part("A", 300, 100, together="run"), part("B", 300, 90, together="run")]
    short = [piece("O1", 320, 120, value="1"), piece("O2", 320, 120, value="1")]
    assert not search(parts, short, rules()).complete
    layout = search(parts, [*short, piece("O3", 640, 120, value="50")], rules())
    assert layout.used == ("O3",)
    assert lies(layout, "B")[0].x - lies(layout, "A")[0].x == ticks(303)


def test_what_finds_no_place_is_named_with_its_nearest_miss_and_what_to_buy() -> None:
    parts = [part("P4", 465, 229.4)]
    pile = [piece("O06", 520, 226.4), piece("O07", 900, 300, thick="12.2"), piece("O08", 300, 300)]
    layout = search(parts, pile, rules())
    (missing,) = layout.unplaced
    assert missing.why.startswith("8 mm too narrow on O06; ")
    assert "O07 is 12.2 mm thick" in missing.why
    assert "out of tolerance" in missing.why
    (buy,) = layout.purchases
    assert (buy.length, buy.width, buy.parts) == (ticks(470), ticks(235), ("P4",))


def test_what_is_to_be_bought_is_large_enough_and_not_much_larger() -> None:
    parts = [part("A", 400, 150, quantity=3), part("B", 200, 100, quantity=4)]
    (buy,) = search(parts, [], rules()).purchases
    bought = Piece("N", buy.material, (buy.thickness,), buy.length, buy.width, buy.grain)
    assert search(parts, [bought], rules(rounds=2000)).complete
    assert buy.length * buy.width <= 1.3 * sum(p.quantity * p.length * p.width for p in parts)


def test_nothing_asked_and_an_empty_pile_are_no_error() -> None:
    assert search([], [], rules()) == Layout(rounds=0, proven=True, fewest_pieces=True)
    assert search([], [piece("O1", 100, 100)], rules()).complete
    assert search([part("A", 1, 1)], [], rules()).unplaced[0].why == "There is no 12 ply 11.8 mm thick in the pile."


@pytest.mark.parametrize(
    ("parts", "pile", "word"),
    [
        ([part("A", 10, 10), part("A", 20, 20)], [], "two parts A"),
        ([], [piece("O", 10, 10), piece("O", 10, 10)], "two pieces O"),
        ([part("A", 0, 10)], [], "no size"),
        ([], [piece("O", 10, 0)], "no size"),
    ],
)
def test_what_cannot_be_searched_is_said(parts: list[PartToCut], pile: list[Piece], word: str) -> None:
    with pytest.raises(InputError, match=word):
        search(parts, pile, rules())


def crowd(**more: Any) -> tuple[list[PartToCut], list[Piece], Rules]:
    """More than can be settled at once."""
    parts = [part(f"P{n}", 150 + 37 * n % 200, 60 + 23 * n % 90) for n in range(30)]
    pile = [piece(f"O{n}", 500 + 61 * n % 400, 200 + 31 * n % 150, value=str(3 + n % 4)) for n in range(14)]
    return parts, pile, rules(**more)


class CountingClock:
    """A clock that goes on by a millisecond whenever it is read, so that a busy machine changes nothing."""

    def __init__(self) -> None:
        self.seconds = 0.0

    def __call__(self) -> float:
        self.seconds += 0.001
        return self.seconds


def test_it_ends_within_the_time_that_was_given(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = CountingClock()
    for module in ("logbook.layout.layout_search", "logbook.layout.improving"):
        monkeypatch.setattr(sys.modules[module], "monotonic", clock)
    parts, pile, how = crowd(rounds=None, seconds=0.5)
    assert search(parts, pile, how).complete
    assert 0.4 < clock.seconds < 0.55


def test_it_can_be_stopped_at_any_time_with_the_best_so_far() -> None:
    parts, pile, how = crowd(rounds=1_000_000)
    asked = Counter[str]()

    def stop() -> bool:
        asked["stop"] += 1
        return asked["stop"] > 200

    layout = search(parts, pile, how, stop=stop)
    assert layout.complete
    assert problems_of(layout, parts, pile, how) == ()
    assert layout.rounds <= 210


def test_progress_is_told_with_whole_layouts_that_pass_the_check() -> None:
    parts, pile, how = crowd(rounds=3000)
    seen: list[Layout] = []
    layout = search(parts, pile, how, progress=seen.append)
    assert seen
    assert all(problems_of(x, parts, pile, how) == () for x in seen)
    assert cost(layout) <= cost(seen[0])


@pytest.mark.parametrize("seed", [2, 7, 15, 29])
def test_invented_piles_are_used_more_sparingly_than_by_best_fit_decreasing(seed: int) -> None:
    """The yardstick of the benchmark is written apart from the search, from the textbook."""
    from tests.benchmarks.layout_quality import pile, yardstick

    parts, pieces = pile(seed)
    how = rules(rounds=1500)
    layout, plain_value = search(parts, pieces, how), yardstick(parts, pieces, how)
    assert plain_value is not None
    assert layout.complete
    assert layout.bound_value <= layout.used_value <= plain_value * Decimal("0.97")


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(1, 40)), max_size=9), st.integers(0, 200))
def test_the_least_cost_of_a_cover_is_that_of_trying_every_choice(rooms: list[tuple[int, int]], need: int) -> None:
    choices = [
        sum(c for c, _ in chosen)
        for number in range(len(rooms) + 1)
        for chosen in combinations(rooms, number)
        if sum(s for _, s in chosen) >= need
    ]
    if choices:
        assert cover(rooms, need) == min(choices)
        assert cover(rooms, need, nodes=0) <= min(choices)


def test_more_parts_than_anybody_waits_for_are_refused_in_a_sentence() -> None:
    with pytest.raises(InputError, match=r"1,001 parts are to be cut, and at most 1,000 are laid out at once"):
        search([part("P1", 10, 10, quantity=1001)], [piece("O1", 100, 100)], Rules())


def test_as_many_parts_as_are_taken_come_from_one_board_and_are_kept_and_read_again() -> None:
    slats = [part(f"P{i}", 10, 100, quantity=200) for i in range(5)]
    asked = (slats, [piece("O1", 90_000, 120)], rules(rounds=1))
    layout = search(*asked)
    assert len(layout.placements) == 1000
    assert len(layout.cuts) >= 1000
    assert problems_of(layout, *asked) == ()
