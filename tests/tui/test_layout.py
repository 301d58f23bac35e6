"""The layout on the screen: found, kept, cut, spoilt, undone."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.layout.asked import PartKind
from logbook.model.case_plan import Size
from logbook.model.casework_records import Case, Layer, Panel
from logbook.session import Session
from logbook.tui.screens.case_screen import CaseScreen
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.pile_screen import PileScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import mm, offcut, unit
from tests.hostile import filled, texts
from tests.tui.conftest import bad_cells, lines_on, opened, said, text_on, typed


async def found(pilot: Pilot[Any]) -> LayoutScreen:
    """Wait until the search has ended."""
    screen = pilot.app.screen
    assert isinstance(screen, LayoutScreen)
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    assert not screen.searching
    return screen


def codes(session: Session) -> list[str]:
    return [o.code for o in session.shop.offcuts]


async def test_the_example_is_laid_out_checked_and_drawn(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        text = text_on(pilot)
        assert "3 pieces, all 5 panels placed, nothing to buy. It cannot be done with fewer pieces. Checked." in text
        assert "Piece 1 of 3" in text
        assert "O01 12 ply 11.8 980 x 260 sheet rack 20 mm of the length left over" in text
        assert "P1 top" in text
        assert "465 x 229.4" in text
        assert "%" not in text
        assert "CAUTION guard and riving knife on" in text
        await pilot.press("right")
        assert " KEEP O02b 655 x 56.6 " in "\n".join(lines_on(pilot))
        await pilot.press("right")
        assert "35 mm of the length left over" in text_on(pilot)
        assert demo.unit("R1").layouts == (), "nothing is kept before it is asked for"
        assert not bad_cells(pilot)


async def test_kept_reserved_and_undone_as_one(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("enter")
        assert [k.what for k in demo.unit("R1").layouts] == ["panels"]
        await pilot.press("K")
        assert {o.code for o in demo.shop.offcuts if o.reserved_for == "R1 panels"} == {"O01", "O02", "O03"}
        await pilot.press("z", "z")
        assert demo.unit("R1").layouts == ()
        assert not [o for o in demo.shop.offcuts if o.reserved_for == "R1 panels"]


async def test_ticking_to_the_last_cut_brings_the_leftover_back_and_undo_takes_both_back(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("right")
        await pilot.press(*["space"] * 5)
        assert "O02" in codes(demo)
        assert "5 of 16 cuts made" in text_on(pilot)
        await pilot.press("space")
        assert "O02" not in codes(demo)
        assert "O02b" in codes(demo)
        assert "O02b 655 x 56.6" in said(pilot)
        assert "660 x 300 sheet rack CUT" in text_on(pilot)
        await pilot.press("z")
        assert "O02" in codes(demo)
        assert "O02b" not in codes(demo)
        assert len(demo.unit("R1").layouts[0].done) == 5


async def test_a_cut_out_of_turn_is_refused(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("end", "up", "down", "space")
        assert "comes first" in said(pilot)
        assert demo.unit("R1").layouts == ()


async def test_a_spoilt_part_lays_the_rest_out_on_what_is_left(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("f", "x")
        await typed(pilot, "P1")
        await pilot.press("enter")
        await found(pilot)
        kept = demo.unit("R1").layouts[0]
        assert kept.spoilt == ("P1",)
        assert sorted(p.code for p in kept.cut) == ["P4"]
        assert "NO ROOM" in text_on(pilot)
        await pilot.press("w")
        assert isinstance(pilot.app.screen, PageScreen)
        assert "To buy for" in text_on(pilot)
        await pilot.press("escape", "x")
        await typed(pilot, "P99")
        await pilot.press("enter")
        assert "P99 is not cut in this layout" in text_on(pilot)


async def test_a_part_spoilt_before_it_was_ticked_says_what_counts_as_cut(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("enter", "x")
        await typed(pilot, "P4")
        await pilot.press("enter")
        await found(pilot)
        assert sorted(p.code for p in demo.unit("R1").layouts[0].cut) == ["P1"]
        assert "P4 spoilt; P1 counts as cut before it" in said(pilot)


async def test_veneer_and_strips_have_layouts_of_their_own(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("v")
        await found(pilot)
        assert "3 pieces, all 8 leaves placed" in text_on(pilot)
        sizes = next(line for line in lines_on(pilot) if "318.8" in line and "496" in line)
        names = next(line for line in lines_on(pilot) if "P1v" in line)
        first, second = sizes.index("318.8"), sizes.rindex("318.8")
        assert first < names.index("P1v") < second, "the wrap runs around the case: left side, top, right side"
        await pilot.press("v")
        await found(pilot)
        assert "1 piece, all 13 strips placed" in text_on(pilot)
        assert "keep O12b 781 x 12" in text_on(pilot)
        assert "WARNING" in text_on(pilot)


async def test_a_pile_that_changed_is_told_and_laid_out_again(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("enter")
        demo.apply_shop("gone", lambda s: s.model_copy(update={"offcuts": s.offcuts[1:]}))
        await pilot.pause()
        assert "NOT AS LAID OUT O01 is not on the pile any more." in text_on(pilot)
        await pilot.press("L")
        await found(pilot)
        assert "NO ROOM" in text_on(pilot)
        await pilot.press("enter")
        assert "O01" not in [p.piece.code for p in demo.unit("R1").layouts[0].pieces]
        await pilot.press("X")
        assert demo.unit("R1").layouts == ()


async def test_by_fence_the_sheet_and_several_units(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        await found(pilot)
        await pilot.press("g")
        assert "trim the long edge true, 5 mm off [ ] 1 O01 used 5 of 260 [ ] 2 O02" in text_on(pilot)
        await pilot.press("e")
        assert isinstance(pilot.app.screen, PageScreen)
        assert "Local codes and licensed practice come first" in text_on(pilot)
        await pilot.press("escape", "v", "v")
        await found(pilot)
        await pilot.press("A")
        await typed(pilot, "c1")
        await pilot.press("enter")
        await found(pilot)
        assert "layout of strips with C1" in text_on(pilot)
        assert "all 14 strips placed" in text_on(pilot)
        await pilot.press("enter")
        assert demo.unit("R1").layouts[0].with_units == ("C1",)
        await pilot.app.push_screen(LayoutScreen(demo, "C1", PartKind.STRIPS))
        await pilot.pause()
        assert "The strips of C1 lie in the layout of R1" in text_on(pilot)
        await pilot.press("escape", "X")
        await pilot.press("A")
        await typed(pilot, "Q7")
        await pilot.press("enter")
        assert "There is no unit Q7" in text_on(pilot)


async def test_a_unit_without_a_case_says_what_to_do(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "G1")) as pilot:
        await found(pilot)
        assert "G1 has no panels to lay out yet" in text_on(pilot)
        await pilot.press("space", "x", "f", "e", "w", "g", "K")
        assert demo.unit("G1").layouts == ()


async def test_the_ways_in(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1")) as pilot:
        await pilot.press("L")
        await found(pilot)
        await pilot.press("escape")
        await pilot.app.push_screen(PileScreen(demo))
        await pilot.press("L")
        await pilot.pause()
        assert isinstance(pilot.app.screen, ChooseScreen)
        assert "5 panels, 8 leaves, 13 strips" in text_on(pilot)
        await typed(pilot, "radio")
        await pilot.press("enter")
        await pilot.pause()
        await found(pilot)


async def test_with_room_all_pieces_stand_beside_all_cuts(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1"), size=(120, 40)) as pilot:
        await found(pilot)
        text = text_on(pilot)
        assert all(f"{code} " in text for code in ("O01", "O02", "O03"))
        assert "P1 top" in text
        assert "P5 baffle" in text
        assert "stop 465, crosscut" in text
        await pilot.press("right")
        row = pilot.app.screen.query_one("#cuts", Rows).current
        assert row is not None
        assert row.lines[0].split()[:3] == ["[", "]", "2"], "the first open cut of the next piece"
        await pilot.press("g")
        assert "Cuts of O02" in text_on(pilot)
        await pilot.press("g")
        assert "Cuts, in order" in text_on(pilot)


async def test_with_much_room_the_parts_stand_there_too(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1"), size=(200, 50)) as pilot:
        await found(pilot)
        text = text_on(pilot)
        assert "used 243.4 of 260" in text
        assert "[ ] P5 baffle 457 x 281 O03" in text
        await pilot.press("right", "right", "g", "f")
        assert "[x] P5 baffle 457 x 281 O03" in text_on(pilot)


async def test_a_bare_terminal_gets_ascii_of_the_same_widths(demo: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "dumb")
    for size in ((60, 20), (80, 24), (120, 40)):
        async with opened(demo, LayoutScreen(demo, "R1"), size=size) as pilot:
            await found(pilot)
            assert not bad_cells(pilot)
            body = lines_on(pilot)[2:-1]
            assert all(line.isascii() for line in body), [line for line in body if not line.isascii()]
            assert "+--" in "".join(body)


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (120, 40), (200, 50), (20, 10)])
async def test_hostile_words_break_no_line(demo: Session, size: tuple[int, int]) -> None:
    demo._shop = filled(demo.shop, texts(2))
    demo._units["R1"] = filled(demo.unit("R1"), texts(2))
    async with opened(demo, LayoutScreen(demo, "R1"), size=size) as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert not bad_cells(pilot)
        pilot.app.screen.query_one("#cuts", Rows).focus()
        for key in ("g", "pagedown", "w"):
            await pilot.press(key)
            assert not bad_cells(pilot)


async def test_escape_stops_a_long_search_with_the_best_so_far(book: Session) -> None:
    rng = Random(7)
    pile = [offcut(f"O{i:02d}", f"{rng.randrange(400, 1200)}x{rng.randrange(150, 400)}") for i in range(30)]
    layer = Layer(material="12 ply", thickness=mm("11.8"))
    panels = tuple(
        Panel(
            code=f"P{i}",
            name="part",
            layers=(layer,),
            rough=Size(length=mm(str(rng.randrange(100, 500))), width=mm(str(rng.randrange(60, 300)))),
        )
        for i in range(50)
    )
    book.apply_shop("pile", lambda s: s.model_copy(update={"offcuts": tuple(pile)}))
    book.add_unit(unit(case=Case(panels=panels)))
    async with opened(book, LayoutScreen(book, "R1")) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, LayoutScreen)
        assert screen.searching
        assert "Laying out on the scrap pile." in text_on(pilot)
        await pilot.press("escape")
        await found(pilot)
        assert said(pilot).startswith("Stopped")
        assert screen._saw is not None
        assert "Checked." in text_on(pilot)
        await pilot.press("enter")
        assert len(book.unit("R1").layouts) == 1


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_the_caution_at_the_saw_is_whole_above_the_first_cut(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, LayoutScreen(demo, "R1"), size=size) as pilot:
        await found(pilot)
        beside = [line.split("││")[-1].strip("│▌ ").rstrip("▁▂▃▄▅▆▇█ ") for line in lines_on(pilot)]
        shown = " ".join(" ".join(beside).split())
        assert "CAUTION guard and riving knife on; eyes and ears;" in shown
        assert shown.index("before the next cut.") < shown.index("1 O01")
