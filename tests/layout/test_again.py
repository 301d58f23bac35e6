"""A layout under way: what is cut, what lies there, and what remains laid out again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import NamedTuple

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.layout.again import SawStanding, standing
from logbook.layout.checker import problems_of
from logbook.layout.cut_records import Layout, PartToCut, Piece, Rules
from logbook.layout.layout_search import search
from tests.layout.builders import mm, part, piece, rules, ticks
from tests.layout.test_search import parts_to_cut, piles


class Relaid(NamedTuple):
    """What remains, laid out again, and how things stood before it."""

    layout: Layout
    standing: SawStanding
    parts: tuple[PartToCut, ...]
    pieces: tuple[Piece, ...]


def relay(
    layout: Layout,
    parts: Sequence[PartToCut],
    pieces: Sequence[Piece],
    how: Rules,
    *,
    done: Iterable[int],
    spoilt: Iterable[str] = (),
) -> Relaid:
    """The layout of what remains, made as the saw's screen makes it: how things stand, and a search from there."""
    now = standing(layout, parts, pieces, how, done=done, spoilt=spoilt)
    return Relaid(search(now.parts, now.pieces, how), now, now.parts, now.pieces)


HOW = rules()
PARTS = (part("A", 300, 100), part("B", 200, 100), part("C", 250, 80))
PILE = (piece("O1", 800, 120, value="8"), piece("O2", 400, 120, value="4"))


def test_nothing_done_is_the_same_again() -> None:
    layout = search(PARTS, PILE, HOW)
    again = relay(layout, PARTS, PILE, HOW, done=())
    assert again.layout.placements == layout.placements
    assert (again.parts, again.pieces, again.standing.done) == (PARTS, PILE, ())


def test_all_done_leaves_nothing_to_lay_out() -> None:
    layout = search(PARTS, PILE, HOW)
    again = relay(layout, PARTS, PILE, HOW, done=[c.order for c in layout.cuts])
    assert again.parts == ()
    assert sorted(again.standing.done) == ["A", "B", "C"]
    assert again.layout.placements == ()


def test_a_spoilt_part_is_cut_again_from_what_is_left() -> None:
    layout = search(PARTS, PILE, HOW)
    again = relay(layout, PARTS, PILE, HOW, done=[c.order for c in layout.cuts], spoilt=["C"])
    assert [p.code for p in again.parts] == ["C"]
    assert again.standing.spoilt == ("C",)
    assert again.layout.complete
    assert problems_of(again.layout, again.parts, again.pieces, HOW) == ()


def test_a_rest_that_was_trued_is_not_trued_again_and_is_worth_its_share() -> None:
    layout = search([part("A", 300, 100)], [piece("O1", 805, 105, value="8")], HOW)
    now = standing(layout, [part("A", 300, 100)], [piece("O1", 805, 105, value="8")], HOW,
                   done=[c.order for c in layout.cuts])  # fmt: skip
    (rest,) = now.pieces
    assert (rest.code, rest.parent, mm(rest.length), mm(rest.width)) == ("O1.1", "O1", 497, 100)
    assert (rest.trim_x, rest.trim_y, tuple(mm(v) for v in rest.at)) == (0, 0, (308, 5))
    assert rest.value == (Decimal(8) * 497 * 100 / (805 * 105)).quantize(Decimal("0.0001"))


def test_a_sequence_that_is_half_cut_goes_on_in_its_board() -> None:
    run = [part(c, 200, 100, together="run") for c in "ABC"]
    pile = [piece("O1", 700, 110), piece("O2", 700, 110)]
    layout = search(run, pile, HOW)
    first = next(c.order for c in layout.cuts if c.keep == "A")
    again = relay(layout, run, pile, HOW, done=range(1, first + 1))
    assert [(p.code, p.only_from) for p in again.parts] == [(c, again.layout.used[0]) for c in "BC"]
    assert again.layout.used[0].startswith(layout.used[0])
    assert again.layout.complete


def test_a_sequence_with_a_spoilt_part_is_cut_anew_as_a_whole() -> None:
    run = [part("A", 200, 100, together="run"), part("B", 200, 100, together="run")]
    pile = [piece("O1", 700, 110), piece("O2", 700, 110)]
    layout = search(run, pile, HOW)
    again = relay(layout, run, pile, HOW, done=[c.order for c in layout.cuts], spoilt=["B"])
    assert [p.code for p in again.parts] == ["A", "B"]
    assert again.layout.complete
    assert len({p.piece for p in again.layout.placements}) == 1


@settings(max_examples=60, deadline=None)
@given(parts_to_cut(), piles(), st.data())
def test_at_any_moment_nothing_is_lost_and_what_remains_can_be_laid_out(
    parts: tuple[PartToCut, ...], pile: tuple[Piece, ...], data: st.DataObject
) -> None:
    how = rules(rounds=25)
    layout = search(parts, pile, how)
    made = data.draw(st.integers(0, len(layout.cuts)))
    placed = sorted({p.part for p in layout.placements})
    spoilt = data.draw(st.lists(st.sampled_from(placed), max_size=1)) if placed else []
    again = relay(layout, parts, pile, how, done=range(1, made + 1), spoilt=spoilt)
    assert problems_of(again.layout, again.parts, again.pieces, how) == ()
    good = Counter(again.standing.done)
    broken = {p.together for p in parts if p.code in again.standing.spoilt and p.together}
    wanted = {p.code: p.quantity for p in again.parts}
    for each in parts:
        if each.together and each.together in broken:
            assert wanted[each.code] == each.quantity
        else:
            assert wanted.get(each.code, 0) + good[each.code] == each.quantity
    area = sum(p.length * p.width for p in again.pieces)
    assert area <= sum(p.length * p.width for p in pile)
    assert len({p.code for p in again.pieces}) == len(again.pieces)
    assert ticks(0) not in {p.length for p in again.pieces}
