"""The case section: what is held, panels, what follows, another thickness, the cut list; by keys alone."""

from __future__ import annotations

import pytest

from logbook.casework import worked_case
from logbook.model.case_plan import Size
from logbook.session import Session
from logbook.tui.screens.case_screen import CaseScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.thickness_screen import ThicknessScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import mm, unit
from tests.casework.building import box
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed, until


def thickness(session: Session, panel: int = 0) -> list[str]:
    case = session.unit("R1").case
    assert case is not None
    return [x.thickness.in_mm() for x in case.panels[panel].layers]


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (120, 40)])
async def test_the_answer_and_the_sizes(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, CaseScreen(demo, "R1"), size=size) as pilot:
        shown = text_on(pilot)
        assert "All 6 held dimensions hold. Outside 478 x 300.8 x 230" in shown
        assert "H-W inside width" in shown
        lines = pilot.app.screen.query_one("#lines", Rows)
        listed = " ".join(" ".join(line for row in lines.rows for line in row.lines).split())
        assert "478 x 230" in listed
        assert "484 x 235.4" in listed
        assert "just G4 P5" in listed
        assert bad_cells(pilot) == []
        await pilot.press("end")
        lines.go_to("panel P1")
        await pilot.pause()
        assert "P1 top 478 x 230 13" in text_on(pilot)
        assert bad_cells(pilot) == []


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 50)])
async def test_the_case_is_drawn_to_scale_with_what_is_held(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, CaseScreen(demo, "R1"), size=size) as pilot:
        shown = text_on(pilot)
        assert "To scale; +6 / +5.3 / +2 on the old case" in shown
        assert "front" in shown
        assert "side" in shown
        assert "top, the back above" in shown
        assert "H-W 452 (±0.5) ─" in shown
        assert shown.count("P5") >= 2, "each panel has its code in every view where it is seen"


async def test_beside_the_case_stands_where_a_figure_comes_from(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1"), size=(120, 40)) as pilot:
        pilot.app.screen.query_one("#lines", Rows).go_to("panel P1")
        await until(pilot, lambda: "inside width 452 + 13 + 13, mitre to the long" in text_on(pilot))


async def test_with_little_room_the_list_stays(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1"), size=(60, 20)) as pilot:
        assert "To scale" not in text_on(pilot)
        assert "H-V clear above the highest valve (234)" in text_on(pilot)
        assert bad_cells(pilot) == []


async def test_a_bare_terminal_gets_ascii_of_the_same_widths(demo: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "linux")
    for size in ((60, 20), (80, 24), (120, 40)):
        async with opened(demo, CaseScreen(demo, "R1"), size=size) as pilot:
            assert bad_cells(pilot) == []
            body = lines_on(pilot)[2:-1]
            assert all(line.isascii() for line in body), [line for line in body if not line.isascii()]


async def test_what_is_held_shows_its_size_before_there_is_a_case(book: Session) -> None:
    held = {"code": "H1", "what": "width", "value": mm("300"), "plus": mm("0.5"), "minus": mm("0.5")}
    async with opened(book, CaseScreen(book, "R1"), unit(held_dimensions=[held]), size=(60, 20)) as pilot:
        assert "H1 width 300 (±0.5)" in text_on(pilot)


async def test_the_key_line_says_what_is_added_where_the_cursor_is(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1"), size=(60, 20)) as pilot:
        rows = pilot.app.screen.query_one("#lines", Rows)
        for key, adds in (("held H-W", "add held size"), ("panel P1", "add panel"), ("strip K1", "add strip")):
            assert rows.go_to(key), [row.key for row in rows.rows]
            await until(pilot, lambda adds=adds: f"a {adds} " in lines_on(pilot)[-1], lines_on(pilot)[-1])  # type: ignore[misc]


async def test_another_thickness_is_looked_at_left_and_kept(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1")) as pilot:
        pilot.app.screen.query_one("#lines", Rows).go_to("panel P1")
        await pilot.press("i")
        await typed(pilot, "12.2")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, ThicknessScreen)
        shown = text_on(pilot)
        assert "12 ply 11.8 becomes 12.2: 26 figures change. Everything held still holds." in shown
        assert "P1 finish 478 x 230 478.8 x 230" in shown
        await pilot.press("escape")
        assert thickness(demo) == ["11.8"]
        await pilot.press("i")
        await typed(pilot, "12.2 P4")
        await pilot.press("enter", "enter")
        assert isinstance(pilot.app.screen, CaseScreen)
        assert (thickness(demo), thickness(demo, 3)) == (["11.8"], ["12.2"])
        assert "12 ply 11.8 becomes 12.2 in P4" in said(pilot)
        await pilot.press("z")
        assert thickness(demo, 3) == ["11.8"]


async def test_a_thickness_that_loses_what_is_held_says_so(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1")) as pilot:
        pilot.app.screen.query_one("#lines", Rows).go_to("panel P5")
        await pilot.press("i")
        await typed(pilot, "12.5")
        await pilot.press("enter")
        assert "LOST: H-P 11.3" in text_on(pilot)
        await pilot.press("enter")
        assert "NOT HELD H-P shaft projection" in text_on(pilot)


@pytest.mark.parametrize(("text", "why"), [("thick", "is not a length"), ("0", "more than 0"), ("12 P9", "P9")])
async def test_a_refused_thickness_stays_to_be_corrected(demo: Session, text: str, why: str) -> None:
    async with opened(demo, CaseScreen(demo, "R1")) as pilot:
        pilot.app.screen.query_one("#lines", Rows).go_to("panel P1")
        await pilot.press("i")
        await typed(pilot, text)
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, CaseScreen)
        assert why in text_on(pilot)
        await pilot.press("escape")
        assert demo.draft("R1/case/thickness") == text, "nothing typed is lost"


async def test_written_sizes_that_differ_are_told_and_taken_over(book: Session) -> None:
    made = box()
    assert made.case is not None
    wrong = Size(length=mm("405"), width=mm("200"))
    panels = tuple(p.model_copy(update={"finish": wrong}) if p.code == "P4" else p for p in made.case.panels)
    made = made.model_copy(update={"case": made.case.model_copy(update={"panels": panels})})
    async with opened(book, CaseScreen(book, "R1"), made) as pilot:
        assert "NOT HELD H-W inside width 405" in text_on(pilot)
        assert "Written sizes differ from the computed ones: P4." in text_on(pilot)
        await pilot.press("t")
        assert "All 3 held dimensions hold." in text_on(pilot)
        await pilot.press("t")
        assert "already" in said(pilot)


async def test_why_a_panel_has_its_size(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1")) as pilot:
        pilot.app.screen.query_one("#lines", Rows).go_to("panel P1")
        await pilot.press("w")
        shown = text_on(pilot)
        assert "inside width 452 + 13 + 13, mitre to the long points" in shown
        assert "6 set back + 10 front + 210 inside depth + 4 behind" in shown
        assert "478 between the long points, 452 between the short ones" in shown


async def test_the_cut_list(demo: Session) -> None:
    async with opened(demo, CaseScreen(demo, "R1")) as pilot:
        await pilot.press("C")
        shown = text_on(pilot)
        assert "finish 478 x 230 x 13 cut 478 x 229.4 rough 484 x 235.4" in shown
        assert "O06 (12.2 thick, wanted is 11.8 to within 0.2)" in shown


async def test_a_case_is_begun_from_nothing(book: Session) -> None:
    async with opened(book, CaseScreen(book, "R1"), unit()) as pilot:
        assert "No case to be built yet." in text_on(pilot)
        await pilot.press("a")
        await typed(pilot, "inside width, 465")
        await pilot.press("enter")
        assert [h.what for h in book.unit("R1").held_dimensions] == ["inside width"]
        pilot.app.screen.query_one("#lines", Rows).go_to("plan")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, FormScreen)
        assert book.unit("R1").case is None, "looking at it writes nothing"
        await pilot.press("escape")
        pilot.app.screen.query_one("#lines", Rows).go_to("empty panels")
        await pilot.press("a")
        await typed(pilot, "top")
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, CaseScreen))
        case = book.unit("R1").case
        assert case is not None
        assert [p.name for p in case.panels] == ["top"]
        assert "? x" not in text_on(pilot)
        pilot.app.screen.query_one("#lines", Rows).go_to(f"panel {case.panels[0].code}")
        await pilot.press("x")
        case = book.unit("R1").case
        assert case is not None
        assert case.panels == ()


async def test_hostile_names_break_nothing(book: Session) -> None:
    made = box()
    assert made.case is not None
    panels = tuple(
        p.model_copy(update={"name": f"{p.name} {h}"}) for p, h in zip(made.case.panels, HOSTILE, strict=False)
    )
    made = made.model_copy(update={"case": made.case.model_copy(update={"panels": panels})})
    async with opened(book, CaseScreen(book, "R1"), made) as pilot:
        assert bad_cells(pilot) == []
        await pilot.press("end", "w", "escape", "C")
        assert bad_cells(pilot) == []


async def test_a_unit_is_found_by_its_panel(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("slash")
        await typed(pilot, "baffle 9 ply")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, CaseScreen)
        row = pilot.app.screen.query_one("#lines", Rows).current
        assert row is not None
        assert row.key == "panel P5"
    assert worked_case(demo.unit("R1")) is not None


async def test_what_is_taken_out_leaves_the_cursor_in_its_list(demo: Session) -> None:
    """So that what is added next stands where one looks, and a second press takes nothing out of another list."""
    async with opened(demo, CaseScreen(demo, "R1"), size=(80, 24)) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, CaseScreen)
        held = [h.code for h in demo.unit("R1").held_dimensions]
        assert screen.query_one("#lines", Rows).go_to(f"held {held[-1]}")
        for left in range(len(held) - 1, -1, -1):
            await pilot.press("x")
            await pilot.pause()
            assert len(demo.unit("R1").held_dimensions) == left
        keys = {key: label for key, label, _ in screen.keys_now()}
        assert keys["a"] == "add held size"
        await pilot.press("z")
        await pilot.pause()
        assert {key: label for key, label, _ in screen.keys_now()}["a"] == "add held size"
