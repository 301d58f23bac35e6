"""The plan as a week, the work of a unit, and what now in full, by real keys."""

from __future__ import annotations

import pytest

from logbook.model.paths import put_at
from logbook.model.step import HoldPoint
from logbook.model.words import WorkState
from logbook.session import Session
from logbook.tui.look.inks import text_of
from logbook.tui.screens.work_rows import wait_length
from logbook.tui.widgets.pane import Pane
from logbook.tui.widgets.rows import Rows
from tests.hostile import filled, texts
from tests.tui.conftest import bad_cells, lines_on, opened, said, text_on, typed, until


def screen_name(pilot) -> str:
    return type(pilot.app.screen).__name__


def cursor(pilot) -> str:
    rows = pilot.app.screen.query(Rows)
    return rows.first().current.key if rows and rows.first().current else ""


def question(pilot) -> str:
    for pane in pilot.app.screen.query("#question").results(Pane):
        return " ".join(" ".join(text_of(spans) for spans in pane.lines).split())
    return ""


async def test_the_week_is_one_key_from_the_bench_and_is_kept(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "R1 ends" in question(pilot), "the first plan comes at once")
        shown = text_on(pilot)
        assert all(f"{day} " in shown for day in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"))
        assert "▏C1 " in shown or "▏R1 " in shown or "▏G1 " in shown, "work stands in the chart in words"
        week = lines_on(pilot)[0]
        await pilot.press("right")
        await until(pilot, lambda: lines_on(pilot)[0] != week, "another week")
        await pilot.press("left", "K")
        await until(pilot, lambda: demo.shop.plan, "the plan is kept")
        assert "Plan kept" in said(pilot)
        kept = demo.shop.plan
        await pilot.press("z")
        await until(pilot, lambda: not demo.shop.plan, "and can be undone")
        await pilot.press("Z")
        await until(pilot, lambda: demo.shop.plan == kept)
        await pilot.press("x")
        await until(pilot, lambda: not demo.shop.plan, "or forgotten")


async def test_why_says_how_good_the_plan_is(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "R1 ends" in question(pilot))
        await pilot.press("w")
        await until(pilot, lambda: screen_name(pilot) == "PageScreen")
        shown = text_on(pilot)
        assert "A better plan may save" in shown or "proven best" in shown
        assert "as long as at worst" in shown


async def test_why_says_what_an_operation_frees_and_whether_it_sets_the_end(demo: Session) -> None:
    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B08")
        await until(pilot, lambda: cursor(pilot) == "B08")
        await pilot.press("w")
        await until(pilot, lambda: screen_name(pilot) == "PageScreen")
        assert "the unit ends a day later" in text_on(pilot)
        assert "Not now" in text_on(pilot)


async def test_work_is_started_laid_down_and_finished(demo: Session) -> None:
    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B02")
        await until(pilot, lambda: screen_name(pilot) == "WorkScreen")
        await until(pilot, lambda: cursor(pilot) == "B02")

        def saw():
            return next(o for o in demo.unit("R1").operations if o.code == "B02")

        await pilot.press("space")
        await until(pilot, lambda: saw().started_at is not None)
        assert "although B01 is not done" in said(pilot), "it is said, not forbidden"
        await until(pilot, lambda: "being worked on since" in text_on(pilot))
        await pilot.press("space")
        await until(pilot, lambda: saw().started_at is None and saw().spent is not None)
        await pilot.press("f")
        await until(pilot, lambda: saw().state is WorkState.DONE)
        await pilot.press("z")
        await until(pilot, lambda: saw().state is not WorkState.DONE)


async def test_one_coat_that_is_finished_is_not_called_all_of_them(demo: Session) -> None:
    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B14")
        await until(pilot, lambda: cursor(pilot) == "B14")
        await pilot.press("f")
        await until(pilot, lambda: "finished" in said(pilot))
        assert said(pilot) == "B14 1 of 4 finished"
        assert next(o for o in demo.unit("R1").operations if o.code == "B14").times_done == 1


async def test_finishing_work_with_a_hold_point_asks_for_the_reading_and_initials_first(demo: Session) -> None:
    def dry_assembly():
        return next(o for o in demo.unit("R1").operations if o.code == "B10")

    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B10")
        await until(pilot, lambda: cursor(pilot) == "B10")
        assert "HOLD H2 inside dimensions and both diagonals good before any" in text_on(pilot)
        await pilot.press("f")
        await until(pilot, lambda: "limit 452.0" in text_on(pilot))
        await pilot.press("enter")
        await until(pilot, lambda: "Type what was read" in text_on(pilot))
        assert dry_assembly().state is not WorkState.DONE
        await typed(pilot, "452.0; 276.1")
        await pilot.press("escape", "f")
        await until(pilot, lambda: "452.0; 276.1" in text_on(pilot))  # half typed is not lost
        await pilot.press("enter")
        await until(pilot, lambda: "Initials" in text_on(pilot))
        await pilot.press(*["backspace"] * 3)
        await typed(pilot, "RB")
        await pilot.press("enter")
        await until(pilot, lambda: dry_assembly().state is WorkState.DONE)
        assert (dry_assembly().hold.reading, dry_assembly().hold.initials) == ("452.0; 276.1", "RB")
        assert "HOLD H2 read 452.0; 276.1, RB" in text_on(pilot)
        await pilot.press("z")
        await until(pilot, lambda: dry_assembly().state is not WorkState.DONE)
        assert dry_assembly().hold.reading == ""


async def test_a_reading_is_written_without_finishing_and_only_where_there_is_a_hold_point(demo: Session) -> None:
    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B02")
        await until(pilot, lambda: cursor(pilot) == "B02")
        await pilot.press("r")
        assert "B02 has no hold point" in said(pilot)


async def test_a_hold_point_that_says_nothing_of_a_reading_asks_for_one_as_well(demo: Session) -> None:
    def glueing():
        return next(o for o in demo.unit("R1").operations if o.code == "B10")

    silent = HoldPoint(code="H2", what="both diagonals alike", limit="within 1 mm")
    demo.apply("R1", "a hold", lambda unit: put_at(unit, ("operations", "B10", "hold"), silent))
    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B10")
        await until(pilot, lambda: cursor(pilot) == "B10")
        await pilot.press("r")
        await until(pilot, lambda: "both diagonals alike: what was read; blank when" in text_on(pilot))
        await typed(pilot, "452, 452.5")
        await pilot.press("enter")
        await until(pilot, lambda: "Initials" in text_on(pilot))
        await pilot.press("enter")
        await until(pilot, lambda: bool(glueing().hold.initials))
        assert glueing().hold.reading == "452, 452.5"
        await pilot.press("r")
        await until(pilot, lambda: "452, 452.5" in text_on(pilot))  # what was read stands there again


async def test_without_free_time_nothing_is_said_to_be_improved(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "nobody said when there is time" in question(pilot))
        assert "Improving" not in question(pilot)
        assert "best" not in question(pilot)


async def test_the_empty_plan_leads_to_the_entry_of_free_hours(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "Press a and say when" in question(pilot))
        await pilot.press("a")
        await until(pilot, lambda: screen_name(pilot) == "NewScreen")
        await typed(pilot, "Tue 18:00 2 h")
        await pilot.press("enter")
        await until(pilot, lambda: screen_name(pilot) == "WeekScreen")
        await until(pilot, lambda: "nobody said when" not in question(pilot))
        [free] = book.shop.free_time
        assert free.minutes == 120


async def test_looking_at_what_follows_writes_nothing_and_t_takes_it_over(demo: Session) -> None:
    before = demo.unit("C1")
    async with opened(demo) as pilot:
        pilot.app.go_to("C1", "operation", "C-TP")
        await until(pilot, lambda: screen_name(pilot) == "WorkScreen")
        await until(pilot, lambda: cursor(pilot) == "C-TP")
        assert "follow from the record" in text_on(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: screen_name(pilot) == "PageScreen")
        assert "t takes it over" in text_on(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: screen_name(pilot) == "WorkScreen")
        assert demo.unit("C1") == before
        await pilot.press("t")
        await until(pilot, lambda: "C-TP" in [o.code for o in demo.unit("C1").operations])
        await until(pilot, lambda: cursor(pilot) == "C-TP")
        await pilot.press("enter")
        await until(pilot, lambda: screen_name(pilot) == "FormScreen")


async def test_escape_from_a_section_goes_to_the_bench_at_once(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("enter")
        await until(pilot, lambda: screen_name(pilot) != "BenchScreen")
        for digit, screen in (("2", "TeardownScreen"), ("4", "CostsScreen"), ("7", "WorkScreen")):
            await pilot.press(digit)
            await until(pilot, lambda name=screen: screen_name(pilot) == name)
        await pilot.press("escape")
        await until(pilot, lambda: screen_name(pilot) == "BenchScreen")


async def test_leaving_work_in_the_middle_offers_a_note_that_is_shown_on_return(demo: Session) -> None:
    async with opened(demo) as pilot:
        pilot.app.go_to("R1", "operation", "B01")
        await until(pilot, lambda: screen_name(pilot) == "WorkScreen")
        await until(pilot, lambda: cursor(pilot) == "B01")
        await pilot.press("space")
        await until(pilot, lambda: demo.unit("R1").operations[0].started_at is not None)
        await pilot.press("escape")
        await until(pilot, lambda: "What is it standing on" in text_on(pilot))
        await pilot.press("enter")
        await typed(pilot, "two clamps")
        await pilot.press("enter", "escape")
        await until(pilot, lambda: screen_name(pilot) == "BenchScreen")
        pilot.app.go_to("R1", "operation", "B01")
        await until(pilot, lambda: screen_name(pilot) == "WorkScreen")
        await until(pilot, lambda: "two clamps" in text_on(pilot), "shown first on return")


async def test_what_now_in_full_starts_an_operation(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("N")
        await until(pilot, lambda: screen_name(pilot) == "NowScreen")
        assert "head At rest" in [row.key for row in pilot.app.screen.query_one("#now", Rows).rows]
        await pilot.press("space")
        assert "Only operations are started" in said(pilot), "the first is a test"
        await pilot.press("down", "space")
        await until(pilot, lambda: any(o.started_at for c in demo.codes() for o in demo.unit(c).operations))


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (30, "30 min"), (90, "1:30 h"), (360, "6 h"), (1440, "24 h"), (4320, "3 days"), (10080, "7 days"),
     (4380, "73 h")],
)  # fmt: skip
def test_waits_read_as_on_a_tin(minutes: int, words: str) -> None:
    assert wait_length(minutes) == words


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40), (200, 50)])
async def test_the_week_at_every_width(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, size=size) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "R1 ends" in question(pilot), "the first plan comes at once")
        pilot.app.screen._planner.stop()
        assert bad_cells(pilot) == []
        assert ("Six weeks" in text_on(pilot)) == (size[0] >= 110)
        assert ("What it is" in text_on(pilot)) == (size[0] >= 160)
        assert "clamps" in text_on(pilot) or size[0] < 80
        first = cursor(pilot)
        await pilot.press("down", "right", "left", "end", "home")
        assert cursor(pilot) == first
        assert bad_cells(pilot) == []


async def test_a_bare_terminal_gets_a_week_of_ascii(demo: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "dumb")
    async with opened(demo, size=(120, 40)) as pilot:
        await pilot.press("p")
        await until(pilot, lambda: "R1 ends" in question(pilot), "the first plan comes at once")
        assert bad_cells(pilot) == []
        body = lines_on(pilot)[1:-2]
        assert all(line.isascii() for line in body), [line for line in body if not line.isascii()]


async def test_hostile_names_break_no_week(demo: Session) -> None:
    demo._units["R1"] = filled(demo.unit("R1"), texts(2))
    for size in ((60, 20), (120, 40), (200, 50)):
        async with opened(demo, size=size) as pilot:
            await pilot.press("p")
            await until(pilot, lambda: "ends" in question(pilot), "the first plan comes at once")
            assert bad_cells(pilot) == []


@pytest.mark.parametrize(("key", "field"), [("equals_sign", "stands_for"), ("n", "apart_from")])
async def test_work_written_down_beside_what_follows_is_asked_once(demo: Session, key: str, field: str) -> None:
    async with opened(demo) as pilot:
        pilot.app.go_to("C1", "operation", "C-TP")
        await until(pilot, lambda: cursor(pilot) == "C-TP")
        await pilot.press("a")
        await typed(pilot, "clean the top, 20 min")
        await pilot.press("enter")
        await until(pilot, lambda: any(o.name == "clean the top" for o in demo.unit("C1").operations))
        await until(pilot, lambda: "= it is, n it is another" in text_on(pilot))
        rows = pilot.app.screen.query(Rows).first()
        rows.go_to("C-TP")
        assert rows.current.lines[0].startswith(" ? ")
        await pilot.press(key)
        made = next(o for o in demo.unit("C1").operations if o.name == "clean the top")
        assert getattr(made, field) == ("C-TP",)
        assert "is it" not in text_on(pilot)
        assert any(r.lines[0].startswith(" ~ ") and r.key == "C-TP" for r in rows.rows) == (key == "n")
        await pilot.press("z")
        await until(pilot, lambda: "= it is, n it is another" in text_on(pilot))
        await pilot.press("equals_sign", "z", "b")
        assert not bad_cells(pilot)
