"""The cuts at the saw: an order that can be made, few moves of the fence, running totals, warnings."""

from __future__ import annotations

from hypothesis import given, settings

from logbook.layout.cut_records import Layout, PartToCut, Piece
from logbook.layout.layout_search import search
from tests.layout.builders import mm, part, piece, rules, ticks
from tests.layout.test_search import parts_to_cut, piles


def cut_list(layout: Layout) -> list[tuple[str, str, str, str]]:
    return [(c.piece, c.cut_from, c.keep, c.rest) for c in layout.cuts]


@settings(max_examples=60, deadline=None)
@given(parts_to_cut(), piles())
def test_nothing_is_cut_before_what_it_is_cut_from(parts: tuple[PartToCut, ...], pile: tuple[Piece, ...]) -> None:
    layout = search(parts, pile, rules(rounds=30))
    lying = {(p.code, p.code) for p in pile}
    out: list[str] = []
    for cut in layout.cuts:
        assert (cut.piece, cut.cut_from) in lying, f"{cut.order} of {cut.cut_from} comes too soon"
        lying.discard((cut.piece, cut.cut_from))
        for name in (cut.keep, cut.rest):
            if name in {p.code for p in parts}:
                out.append(name)
            elif name:
                lying.add((cut.piece, name))
        assert 0 < cut.used <= cut.of
    whole = [c for c in layout.used if not any(c == cut.piece for cut in layout.cuts)]
    uncut = [p.part for p in layout.placements if p.piece in whole]
    assert sorted([*out, *uncut]) == sorted(p.part for p in layout.placements)


@settings(max_examples=60, deadline=None)
@given(parts_to_cut(), piles())
def test_a_setting_is_one_fence_and_never_comes_twice_in_a_row(
    parts: tuple[PartToCut, ...], pile: tuple[Piece, ...]
) -> None:
    layout = search(parts, pile, rules(rounds=30))
    key = {c.setting: (c.axis, c.fence, c.trim) for c in layout.cuts}
    assert all(key[c.setting] == (c.axis, c.fence, c.trim) for c in layout.cuts)
    numbers = [c.setting for c in layout.cuts]
    assert numbers == sorted(numbers)
    assert all(key[n] != key[n + 1] or _tool(layout, pile, n) != _tool(layout, pile, n + 1) for n in list(key)[:-1])
    assert layout.settings == len(key)


def _tool(layout: Layout, pile: tuple[Piece, ...], setting: int) -> bool:
    """Whether a setting is for the knife."""
    code = next(c.piece for c in layout.cuts if c.setting == setting)
    return next(p.kerf == 0 for p in pile if p.code == code)


def test_twins_are_cut_without_moving_the_fence() -> None:
    layout = search([part("A", 200, 100, quantity=3)], [piece("O1", 700, 120)], rules())
    assert cut_list(layout) == [
        ("O1", "O1", "O1", ""),
        ("O1", "O1", "O1 strip A", ""),
        ("O1", "O1 strip A", "O1 strip A", ""),
        ("O1", "O1 strip A", "A", "O1 strip B"),
        ("O1", "O1 strip B", "A", "O1 strip C"),
        ("O1", "O1 strip C", "A", ""),
    ]
    assert [c.setting for c in layout.cuts] == [1, 2, 3, 4, 4, 4]
    assert [mm(c.used) for c in layout.cuts[3:]] == [208, 411, 614]


def test_a_part_as_large_as_its_piece_needs_no_cut() -> None:
    layout = search([part("A", 200, 100)], [piece("O1", 200, 100, trim_x=0, trim_y=0)], rules())
    assert layout.complete
    assert layout.cuts == ()


def test_the_saw_may_take_all_that_is_left() -> None:
    layout = search([part("A", 200, 100)], [piece("O1", 202, 100, trim_x=0, trim_y=0)], rules())
    (cut,) = layout.cuts
    assert (cut.keep, cut.rest, mm(cut.used)) == ("A", "", 202)
    assert layout.leftovers == ()


def test_short_work_is_not_for_the_table_saw() -> None:
    """Limits of 300 mm to rip and 150 mm to crosscut: saw manuals, as practice has them."""
    ripped = search([part("A", 280, 60)], [piece("O1", 285, 120)], rules())
    assert [("too short to rip" in c.warning, c.axis) for c in ripped.cuts] == [(True, "y"), (True, "y"), (False, "x")]
    crosscut = search([part("A", 149, 60)], [piece("O1", 600, 65)], rules())
    assert [c.keep for c in crosscut.cuts if "too short to crosscut" in c.warning] == ["A"]
    long = search([part("A", 310, 160)], [piece("O1", 800, 170)], rules())
    assert not any(c.warning for c in long.cuts)


def test_a_knife_needs_no_such_warning_and_is_not_mixed_with_the_saw() -> None:
    leaf = {"material": "leaf", "thickness": ticks("0.6")}
    parts = [part("A", 100, 60), part("V", 100, 60, **leaf)]
    pile = [
        piece("O1", 400, 80, trim_x=0, trim_y=0),
        piece("O2", 400, 80, trim_x=0, trim_y=0, kerf=0, material="leaf", thick="0.6"),
    ]
    layout = search(parts, pile, rules())
    assert [(c.piece, bool(c.warning)) for c in layout.cuts] == [
        ("O1", False), ("O1", True), ("O2", False), ("O2", False),
    ]  # fmt: skip
    assert layout.settings == 4
