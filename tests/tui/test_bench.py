"""The bench: what now, new units, taking one out and putting it back, and staying fast and calm."""

from __future__ import annotations

from contextlib import closing
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from logbook.model.step import Photo
from logbook.model.unit import Unit
from logbook.model.words import PhotoKind, SignalWord, Stage
from logbook.render.overview import NamedDanger, Overview, OverviewLine, age, cash_against_stop
from logbook.render.overview_made import line_of, overview
from logbook.session import Session
from logbook.teardown.operations_ready import NowItem
from logbook.tui.look.inks import text_of, width_of
from logbook.tui.screens import bench_screen
from logbook.tui.screens.arrival_screen import ArrivalScreen
from logbook.tui.screens.bench_rows import BenchAnswer, answer_lines, unit_entry, unit_lines
from logbook.tui.screens.bench_screen import BenchScreen, called, new_unit, offered_code
from logbook.tui.screens.history_screen import HistoryScreen
from logbook.tui.screens.shop_screen import ShopScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import at, estimate, part, shop, step, unit
from tests.tui.conftest import HOSTILE, NOW, bad_cells, lines_on, opened, said, text_on, typed, until


def line(**more: object) -> Overview:
    """A line of the bench with defaults."""
    fields: dict[str, object] = {
        "code": "R1", "name": "table radio", "stage": Stage.REBUILD, "next": "next: lay out", "days": 3,
        "percent": 98, "expected": Decimal("85.24"), "unpriced": 0, "stop": Decimal(100), "over": False,
    }  # fmt: skip
    return Overview(**{**fields, **more})  # type: ignore[arg-type]


def rows_of(code: str, lines: list[str]) -> tuple[str, str]:
    """The row of a unit in the list, and the one below it."""
    at = next(number for number, row in enumerate(lines) if row[1:].strip().startswith(f"{code} "))
    return lines[at], lines[at + 1]


async def test_every_unit_stands_in_the_list_and_the_sentence_says_what_now(demo: Session) -> None:
    async with opened(demo) as pilot:
        lines = lines_on(pilot)
        assert "Now:  R1  test: output transformer" in lines[1]
        assert "4 units, 1 waiting" in lines[2]
        who, below = rows_of("R1", lines)
        assert "table radio" in who
        assert "rebuild" in who
        assert below.rstrip().endswith("85 of 100")
        assert "WAITS  2 bearings" in rows_of("G1", lines)[1]
        assert rows_of("L1", lines)[1].rstrip().endswith("closed")
        assert "Now, 30 min, with what is here" in text_on(pilot)
        assert "Do not forget" in text_on(pilot)
        assert not bad_cells(pilot)


@pytest.mark.parametrize(
    ("typed", "said"),
    [(".venv/bin/logbook", ".venv/bin/logbook"), ("logbook", "logbook"), ("/x/logbook/__main__.py", "logbook")],
)
def test_the_demo_is_called_as_the_program_was(typed: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", [typed])
    assert called() == said


async def test_an_empty_book_says_what_it_is_for_and_which_key_starts_it(book: Session) -> None:
    async with opened(book) as pilot:
        text = text_on(pilot)
        assert "This book is empty." in text
        assert "Press n to write down the first object." in text
        assert "leave with q and type: logbook lesson" in text
        keys = lines_on(pilot)[-1]
        assert "n new unit" in keys
        assert "Enter open" not in keys, "nothing can be opened yet"
        await pilot.press("enter", "x", "b", "1")
        assert isinstance(pilot.app.screen, BenchScreen)


async def test_a_new_object_gets_the_offered_code_and_opens_at_its_arrival(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "table radio")
        await pilot.press("enter")
        assert "Its code R1" in text_on(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: "an empty record" in text_on(pilot))
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        made = book.unit("R1")
        assert (made.name, made.stage, made.arrival.arrived_at) == ("table radio", Stage.ARRIVAL, NOW)
        await pilot.press("escape", "n")
        await typed(pilot, "wall radio")
        await pilot.press("enter")
        assert "Its code R2" in text_on(pilot)


async def test_a_refused_code_stays_to_be_corrected_with_a_sentence_beside_it(book: Session) -> None:
    book.add_unit(unit(code="R1"))
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "radio")
        await pilot.press("enter", "backspace", "backspace")
        await typed(pilot, "1 r")
        await pilot.press("enter")
        assert "it begins with a letter, like R1" in text_on(pilot)
        assert "1 r" in text_on(pilot)
        await pilot.press("backspace", "backspace", "backspace")
        await typed(pilot, "r1")
        await pilot.press("enter")
        assert "There is already a unit R1" in text_on(pilot)
        assert book.codes() == ("R1",)


@pytest.mark.parametrize("size", [(60, 20), (120, 40)])
async def test_what_now_is_said_in_whole_words_at_every_size(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, size=size) as pilot:
        now = pilot.app.screen.query_one("#now", Rows)
        assert not any("…" in line for row in now.rows for line in row.lines)
        shown = " ".join(text_on(pilot).split())
        words = [word for row in now.rows for line in row.lines for word in line.split()]
        assert {"output", "transformer", "windings", "continuous"} <= set(words)
        assert "Do not forget" in shown
        reasons = any("stop if open" in line for row in now.rows for line in row.lines)
        assert reasons is (size[1] > 24), "where there is room for why"


async def test_what_was_kept_on_another_day_says_the_day(tmp_path: Path) -> None:
    moments = {"now": NOW}
    with closing(Session.open(tmp_path / "later", by="AB", now=lambda: moments["now"])) as session:
        session.add_unit(unit(step("T01")))
        moments["now"] = NOW + timedelta(days=1)
        async with opened(session) as pilot:
            assert "kept 20 Mar 18:00" in lines_on(pilot)[0]


async def test_what_was_worked_on_today_is_not_called_untouched(book: Session) -> None:
    book.add_unit(unit(step(), code="R1", name="radio"))
    book.apply("R1", "a name", lambda of: of.model_copy(update={"name": "old radio"}))
    async with opened(book, BenchScreen(book), size=(80, 24)) as pilot:
        assert " today" in text_on(pilot)
        assert "untouched" not in text_on(pilot)


async def test_a_half_typed_name_is_kept_as_a_draft(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "brass la")
        await pilot.press("escape")
        assert book.draft("bench/new") == "brass la"
        await pilot.press("n")
        assert "brass la" in text_on(pilot)
        assert "Your line from before: typing replaces it" in text_on(pilot)
        await pilot.press(*"mixer", "escape")
        assert book.draft("bench/new") == "mixer"


async def test_a_unit_taken_out_is_put_back_by_undo_and_the_rest_of_the_book_is_left_alone(demo: Session) -> None:
    before = demo.unit("C1")
    async with opened(demo) as pilot:
        await pilot.press("x")
        assert "C1" not in demo.codes()
        assert "z puts it back" in said(pilot)
        await pilot.press("z")
        assert demo.unit("C1") == before
        assert "taken out of the book" in said(pilot)
        await pilot.press("Z")
        assert "C1" not in demo.codes()


async def test_how_a_unit_comes_back_is_said_until_something_else_is_changed(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("x", "s", "escape", "down")
        await pilot.pause()
        assert "C1 drawer chest taken out of the book; z puts it back." in " ".join(text_on(pilot).split())
        demo.apply("G1", "renamed", lambda u: u.model_copy(update={"name": "grinder"}))
        await pilot.pause()
        assert "puts it back" not in text_on(pilot), "z takes the name back now"


async def test_a_unit_that_leaves_the_book_while_it_is_shown_leads_back_to_the_bench(demo: Session) -> None:
    async with opened(demo, ArrivalScreen(demo, "G1")) as pilot:
        demo.remove_unit("G1")
        await until(pilot, lambda: isinstance(pilot.app.screen, BenchScreen))
        await until(pilot, lambda: "G1 is not in the book any more" in said(pilot))


async def test_minutes_are_asked_kept_and_change_what_can_be_done(demo: Session) -> None:
    async with opened(demo) as pilot:
        assert "output transformer" in text_on(pilot)
        await pilot.press("t", "backspace", "backspace")
        await typed(pilot, "soon")
        await pilot.press("enter")
        assert "is no length of time" in text_on(pilot)
        await pilot.press(*["backspace"] * 4)
        await typed(pilot, "5")
        await pilot.press("enter")
        assert "Now, 5 min, with what is here" in text_on(pilot)
        now = text_on(pilot).partition("Now, 5 min")[2].partition("Do not forget")[0]
        assert "output transformer" not in now, "it takes 18 minutes"
        assert "oil the seized through-bolt" in now
    assert demo.draft("bench/minutes") == "5"


async def test_digits_and_the_lower_list_lead_to_what_can_be_done(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("1")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        assert pilot.app.screen.CODE == "R1", "the make-or-break test stands in the arrival of R1"  # type: ignore[attr-defined]
        await pilot.press("escape", "tab", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ArrivalScreen))
        await pilot.press("escape", "9")
        assert isinstance(pilot.app.screen, BenchScreen)


async def test_store_and_story_are_one_key_away(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("s")
        await until(pilot, lambda: isinstance(pilot.app.screen, ShopScreen))
        await pilot.press("escape", "end", "H")
        await until(pilot, lambda: isinstance(pilot.app.screen, HistoryScreen))
        assert "R1 table radio / story" in lines_on(pilot)[0]


async def test_only_the_changed_unit_is_computed_anew(demo: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []

    def counted(of: Unit, *rest: Any) -> OverviewLine:
        asked.append(of.code)
        return line_of(of, *rest)

    monkeypatch.setattr("logbook.render.overview_made.line_of", counted)
    async with opened(demo) as pilot:
        assert asked == [], "their lines stand in the book"
        pilot.app.screen.query_one("#units", Rows).go_to("L1")
        demo.apply("G1", "note", lambda u: u.model_copy(update={"name": "a much longer name"}))
        await pilot.pause()
        assert asked == ["G1"]
        row = pilot.app.screen.query_one("#units", Rows).current
        assert row is not None
        assert row.key == "L1", "the cursor stays on its unit"


async def test_many_units_fill_in_while_keys_are_heard(book: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    for i in range(30):
        book.add_unit(unit(code=f"R{i}"))
    monkeypatch.setattr(bench_screen, "FILL_SECONDS", 0)
    calls: list[str] = []
    counted = lambda u, *rest: (calls.append(u.code), line_of(u, *rest))[1]  # noqa: E731
    monkeypatch.setattr("logbook.render.overview_made.line_of", counted)
    async with opened(book) as pilot:
        first = len(calls)
        assert first < 30, "the first frame does not wait for every unit"
        monkeypatch.setattr(bench_screen, "FILL_SECONDS", 1)
        await until(pilot, lambda: "30 units, 0 waiting" in text_on(pilot))
        assert sorted(calls) == sorted(book.codes())


async def test_a_damaged_unit_is_named_and_the_others_stay(tmp_path: Path) -> None:
    session = Session.open(tmp_path / "book")
    session.add_unit(unit(code="R1"))
    session.add_unit(unit(code="G1", name="bench grinder"))
    session.close()
    for file in (tmp_path / "book" / "units" / "G1").rglob("*"):
        if file.is_file():
            file.write_bytes(b"\x00\xff rubbish")
    with Session.open(tmp_path / "book") as again:
        async with opened(again) as pilot:
            await until(pilot, lambda: "CANNOT BE READ" in text_on(pilot))
            assert "table radio" in text_on(pilot)
            await pilot.press("end", "enter")
            assert "Nothing of G1 can be read" in said(pilot)


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (140, 40)])
async def test_hostile_names_break_no_line(book: Session, size: tuple[int, int]) -> None:
    units = [unit(code=f"H{i}", name=text, next_action=text) for i, text in enumerate(HOSTILE)]
    async with opened(book, None, *units, size=size) as pilot:
        assert not bad_cells(pilot)


@pytest.mark.parametrize(
    ("days", "words"),
    [(None, "?"), (0, "today"), (1, "1 d"), (27, "27 d"), (28, "4 wk"), (90, "12 wk"), (91, "3 mo"), (425, "14 mo"),
     (730, "2 y")],
)  # fmt: skip
def test_days_untouched_as_one_says_them(days: int | None, words: str) -> None:
    assert age(days) == words
    assert len(words) <= 5


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "85 / 100"),
        ({"expected": None}, "? / 100"),
        ({"unpriced": 2}, "85+? / 100"),
        ({"stop": None}, "85"),
        ({"expected": Decimal("120.5"), "over": True}, "120 / 100 OVER"),
        ({"stage": Stage.STOPPED}, "closed"),
        ({"expected": None, "stop": None}, "?"),
    ],
)
def test_cash_against_the_stop_line_in_words(more: dict[str, object], words: str) -> None:
    assert cash_against_stop(line(**more)) == words


def test_what_has_no_price_is_never_a_zero() -> None:
    """A part without a price makes the cash unknown; a second one with a price makes it a lower limit."""
    bare = overview(unit(parts=[part()]), shop(), NOW)
    assert (bare.expected, bare.unpriced) == (None, 1)
    some = overview(unit(parts=[part(price=estimate("6")), part("N2")]), shop(), NOW)
    assert (some.expected, some.unpriced) == (Decimal("6.00"), 1)
    assert overview(unit(), shop(), NOW).expected is None, "nothing recorded is not known, not free"
    here = overview(unit(parts=[part(supply="here", price=estimate("6"))]), shop(), NOW)
    assert here.expected == 0, "everything needed is here"


@given(st.text(max_size=60), st.text(max_size=60), st.integers(36, 200))
@example(name="\u200d", following="a\u200d", columns=80)
@settings(max_examples=60, deadline=None)
def test_an_entry_fits_whatever_the_words_are(name: str, following: str, columns: int) -> None:
    for rows in (2, 3, 4):
        shown = unit_entry(line(name=name or "x", next=following), {}, columns, rows)
        assert len(shown.spans) >= rows
        assert all(width_of(row) <= columns for row in shown.spans)


@given(st.text(max_size=60), st.text(max_size=60), st.integers(20, 90))
@settings(max_examples=60, deadline=None)
def test_the_pane_of_a_unit_fits_whatever_the_words_are(name: str, following: str, columns: int) -> None:
    dangers = (NamedDanger(signal=SignalWord.WARNING, what=name or "x"),)
    item = NowItem("R1", "B01", following, 20, name, "operation")
    unit_shown = line(name=name or "x", next=following, dangers=dangers, low=Decimal("58.25"), high=Decimal(156))
    assert all(width_of(row) <= columns for row in unit_lines(unit_shown, [item], columns))


def test_the_pane_of_a_unit_says_cash_on_a_scale_what_is_missing_and_what_is_dangerous() -> None:
    dangers = tuple(NamedDanger(signal=SignalWord.WARNING, what=what) for what in ("mains voltage", "stored charge"))
    more = {"low": Decimal("58.25"), "high": Decimal("156.00"), "over": True, "unpriced": 2, "to_complete": 6}
    said = [text_of(row).rstrip() for row in unit_lines(line(dangers=dangers, **more), [], 60)]
    assert "3 d untouched, record 98 %, 6 facts missing" in said
    assert "low 58.25 expected 85.24 high 156.00" in said
    assert " OVER  the stop line" in said
    assert "2 things have no price: $ in the unit says it." in said
    assert " WARNING  mains voltage, stored charge" in said
    assert any("stop 100" in row for row in said)


@pytest.mark.parametrize(
    ("name", "taken", "code"),
    [
        ("table radio", (), "R1"),
        ("table radio", ("R1", "R2"), "R3"),
        ("lamp", ("R1",), "L1"),
        ("日本", (), "U1"),
        ("3 drawers", (), "D1"),
        ("clock (brass)", (), "C1"),
        ("kitchen scales, enamelled", (), "S1"),
        ("(unknown)", (), "U1"),
    ],
)
def test_the_offered_code_is_free_and_begins_like_the_thing(name: str, taken: tuple[str, ...], code: str) -> None:
    assert offered_code(name, taken) == code


def test_a_new_unit_is_touched_when_it_arrives() -> None:
    made = new_unit(" g1 ", "bench grinder", at("2026-03-12 20:41"))
    assert (made.code, made.touched, made.arrival.arrived_at) == ("G1", at("2026-03-12 20:41"), at("2026-03-12 20:41"))


def test_what_is_overdue_is_counted_in_the_sentence() -> None:
    shown = answer_lines(BenchAnswer([line(next="WAITS bearings")], [], 30, 2), {}, 80)
    assert [text_of(row) for row in shown] == [
        "Nothing is ready that fits into 30 min. 1 unit, 1 waiting, 2 to chase",
    ]


def test_beside_no_work_that_fits_stands_what_the_desk_still_wants() -> None:
    at_work, at_rest = line(to_complete=21), line(to_complete=5, stage=Stage.CLOSED)
    shown = answer_lines(BenchAnswer([at_work, at_rest], [], 30, 0), {}, 120)
    said = "Nothing ready fits 30 min; at the desk: 21 facts to add."
    assert [text_of(row) for row in shown] == [f"{said} 2 units, 0 waiting"]


async def test_what_was_found_is_under_the_cursor(demo: Session) -> None:
    async with opened(demo) as pilot:
        for code, kind, thing, key in (
            ("", "offcut", "O06", "offcuts O06"),
            ("", "consumable", "stain", "shelf stain"),
            ("R1", "operation", "B03", "B03"),
            ("R1", "note", "as found", "as found"),
            ("R1", "component", "OT", "components OT"),
        ):
            pilot.app.go_to(code, kind, thing)  # type: ignore[attr-defined]
            await pilot.pause()
            await until(pilot, lambda key=key: (row := pilot.app.screen.query(Rows).first().current) and row.key == key)
        pilot.app.go_to("L1", "unit", "L1")  # type: ignore[attr-defined]
        await pilot.pause()
        assert "L1 brass lamp / components" in lines_on(pilot)[0], "a unit opens at the section of its stage"


async def test_leaving_at_the_code_keeps_the_name(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "brass lamp")
        await pilot.press("enter", "escape", "n")
        assert "What is it? brass lamp" in text_on(pilot)
        assert book.codes() == ()


async def test_bench_mode_opens_for_the_unit_under_the_cursor(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("down", "b")
        await until(pilot, lambda: type(pilot.app.screen).__name__ == "BenchModeScreen")
        assert pilot.app.screen.CODE == "G1"  # type: ignore[attr-defined]


async def test_one_cursor_is_shown_and_lines_follow_the_width(demo: Session) -> None:
    async with opened(demo) as pilot:
        assert [x[1:5] for x in lines_on(pilot) if x.startswith("▌")] == [" C1 ", "    "]
        await pilot.press("tab")
        assert [x[1:7] for x in lines_on(pilot) if x.startswith("▌1")] == ["1  R1 "]
        assert "facts missing" not in text_on(pilot)
        await pilot.resize_terminal(130, 30)
        await pilot.pause()
        assert "8 facts missing" in text_on(pilot), "beside the list stands the unit under its cursor"
        assert not bad_cells(pilot)


async def test_what_has_no_digit_is_opened_with_the_cursor(demo: Session) -> None:
    """On a high terminal more can be chosen than the digits reach."""
    async with opened(demo, size=(120, 40)) as pilot:
        await pilot.press("tab", "down", "down", "down", "enter")
        await until(pilot, lambda: not isinstance(pilot.app.screen, BenchScreen))


async def test_the_photo_of_the_unit_under_the_cursor_stands_beside_it(demo: Session, tmp_path: Path) -> None:
    photo = Photo(file="radio.png", caption="front, as found", kind=PhotoKind.WIDE)
    demo.apply("C1", "a photo", lambda u: u.model_copy(update={"photos": (photo,)}))
    async with opened(demo, size=(120, 40)) as pilot:
        await until(pilot, lambda: "front, as found" in text_on(pilot))
        await pilot.press("down")
        await until(pilot, lambda: "front, as found" not in text_on(pilot))


async def test_a_long_message_wraps_into_rows_that_the_bench_leaves_free(book: Session) -> None:
    """The list of units is a part of a pair of lists; what they leave free is the message's all the same."""
    long = "L1 was written on two computers and is joined. 7 things to look at. ! shows what is left of it."
    async with opened(book, None, unit(code="L1")) as pilot:
        pilot.app.screen.say(long)  # type: ignore[attr-defined]
        await pilot.pause()
        assert long in " ".join(text_on(pilot).split())
