"""A key keeps one change, and the palette reads the same each time."""

from __future__ import annotations

from textual.command import CommandPalette
from textual.widgets import OptionList

from logbook.session import Session
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.teardown_screen import TeardownScreen
from logbook.tui.screens.work_screen import WorkScreen
from logbook.tui.widgets.rows import Rows
from tests.tui.conftest import opened, said, until


def runs(session: Session, unit: str, code: str) -> bool:
    """Whether somebody is at this work now."""
    return any(o.code == code and o.started_at is not None for o in session.unit(unit).operations)


async def test_work_that_is_started_lays_down_what_runs_elsewhere_as_one_change(demo: Session) -> None:
    other = demo.unit("G1").operations[0].code
    async with opened(demo, WorkScreen(demo, "G1")) as pilot:
        pilot.app.screen.query_one("#operations", Rows).go_to(other)
        await pilot.press("space")
        assert runs(demo, "G1", other)
        before = {code: demo.kept(code).version for code in ("G1", "R1")}
        await pilot.app.push_screen(WorkScreen(demo, "R1"))
        await pilot.pause()
        pilot.app.screen.query_one("#operations", Rows).go_to("B01")
        await pilot.press("space")
        assert "B01 started" in said(pilot)
        assert f"{other} laid down" in said(pilot)
        assert {code: demo.kept(code).version for code in ("G1", "R1")} == {c: v + 1 for c, v in before.items()}
        await pilot.press("z")
        assert runs(demo, "G1", other)
        assert not runs(demo, "R1", "B01")


async def test_the_palette_begins_with_what_can_be_done_here(demo: Session) -> None:
    async with opened(demo, TeardownScreen(demo, "R1")) as pilot:
        labels = [act.label for act in TeardownScreen.all_acts() if act.id != "palette"]
        await pilot.press("f2")
        await until(pilot, lambda: isinstance(pilot.app.screen, CommandPalette))
        await until(pilot, lambda: len(pilot.app.screen.query_one(OptionList).options) > len(labels))
        shown = [str(option.prompt) for option in pilot.app.screen.query_one(OptionList).options]
        assert [words.splitlines()[0].split("  (")[0] for words in shown[: len(labels)]] == labels
        assert all("Theme" in words for words in shown[len(labels) :])


async def test_the_form_of_a_unit_with_a_kept_layout_opens(demo: Session) -> None:
    async with opened(demo, LayoutScreen(demo, "R1")) as pilot:
        keep = next(act.keys for act in LayoutScreen.all_acts() if act.id == "layout.reserve")
        await until(pilot, lambda: not pilot.app.screen.searching)  # type: ignore[attr-defined]
        await pilot.press(keep)
        await until(pilot, lambda: demo.unit("R1").layouts, "no layout was kept")
        await pilot.app.push_screen(FormScreen(demo, "R1", ()))
        await pilot.pause()
        assert pilot.app.screen.query_one("#fields", Rows).rows
