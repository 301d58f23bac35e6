"""Adding to lists by keys: one entry is one change, what is needed is asked for, Escape leaves nothing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.casework_records import Case, Panel
from logbook.model.fields import in_a_line
from logbook.model.paths import Path, begun, value_at
from logbook.session import Session
from logbook.tui.opening import add_to, open_path
from logbook.tui.screens.case_screen import CaseScreen
from logbook.tui.screens.components_screen import ComponentsScreen
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.screens.shop_screen import ShopScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Rows
from tests.builders import step, unit
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed, until

ENTRIES: list[tuple[str, Path, Sequence[str], str]] = [
    ("R1", ("hazards",), ["stored charge"], "stored charge"),
    ("R1", ("hazards",), ["stored charge, danger"], "DANGER, stored charge"),
    ("R1", ("steps", "T01", "hazards"), ["sharp edge"], "sharp edge"),
    ("R1", ("steps", "T01", "measurements"), ["shaft sticks out, 12.5"], "shaft sticks out, 12.5"),
    ("R1", ("steps", "T01", "fasteners"), ["screw 3.5x16", "4", "3"], "screw 3.5x16, holes 4, found 3"),
    ("R1", ("relations",), ["T01, T03", "=2"], "better before, T01, T03"),
    ("R1", ("sets",), ["drawers", "D1, D2, D3"], "S1, drawers, members 3: D1; D2; D3"),
    ("R1", ("sets",), ["sides, handed pair, left, right"], "S1, sides, handed pair, members 2: left; right"),
    ("R1", ("case", "panels", "P1", "layers"), ["12 ply, 11.8"], "12 ply, 11.8"),
    ("R1", ("case", "panels", "P1", "openings"), ["shaft", "120, 80"], "shaft, 120 x 80"),
    ("R1", ("case", "panels", "P1", "joints"), ["both ends", "=5"], "both ends, mitre"),
    ("R1", ("case", "panels"), ["back, 480 x 230"], "P2, back, 480 x 230"),
    ("R1", ("spent",), ["stripping solvent"], "stripping solvent"),
    ("", ("shelf",), ["wood glue", "250"], "wood glue, stock 250"),
    ("", ("sellers",), ["spares by post"], "spares by post"),
    ("", ("free_time",), ["18:00 2 h"], "18:00, 2:00 h"),
    ("", ("free_time",), ["tomorrow", "18:00", "2 h"], "on Sat 21 Mar 2026, 18:00, 2:00 h"),
]
"""Unit (empty: the store), list, and what is typed, line by line; `=2` is the second of a menu. Then what is kept."""

IDS = [f"{'/'.join(map(str, path))}: {answers[0]}" for _, path, answers, _ in ENTRIES]


def lines_of(book: Session) -> int:
    """How many lines the histories of a book hold."""
    files = book.path.rglob("*.history.jsonl")
    return sum(file.read_text(encoding="utf-8").count("\n") for file in files)


def asks(pilot: Pilot[Any]) -> bool:
    """Whether something new is asked for."""
    screen = pilot.app.screen
    if not isinstance(screen, NewScreen):
        return False
    return any(ask.is_open for ask in screen.query(Ask)) or any(pick.is_open for pick in screen.query(Pick))


def of_case(book: Session) -> None:
    """A unit with steps and one panel of its case, in the book."""
    steps = [step("T01", "plug out"), step("T02", "back panel"), step("T03", "chassis bolts")]
    book.add_unit(unit(*steps, case=Case(panels=(Panel(code="P1", name="front"),))))


def things_at(book: Session, code: str, path: Path) -> tuple[Any, ...]:
    """What is in a list."""
    root = book.unit(code) if code else book.shop
    found: tuple[Any, ...] = value_at(begun(root, path), path)
    return found


async def answered(pilot: Pilot[Any], answer: str) -> None:
    """Answer what is asked."""
    if answer.startswith("="):
        await pilot.press(answer[1:])
    else:
        await pilot.press("ctrl+u")
        await typed(pilot, answer)
        await pilot.press("enter")
    await pilot.pause()


@pytest.mark.parametrize(("code", "path", "answers", "kept"), ENTRIES, ids=IDS)
async def test_one_entry_is_one_change_and_the_cursor_is_on_it(
    book: Session, code: str, path: Path, answers: Sequence[str], kept: str
) -> None:
    of_case(book)
    before = things_at(book, code, path)
    async with opened(book, ListScreen(book, code, path)) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: asks(pilot))
        changes = lines_of(book)
        for answer in answers:
            assert asks(pilot), text_on(pilot)
            await answered(pilot, answer)
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        assert [in_a_line(x) for x in things_at(book, code, path)[len(before) :]] == [kept]
        assert lines_of(book) == changes + 1
        rows = pilot.app.screen.query_one("#things", Rows)
        assert sum(row.selectable for row in rows.rows[: rows.cursor]) == len(before)
        assert said(pilot).startswith(f"Kept: {kept.partition(', members')[0][:20]}")
        assert said(pilot).endswith("Enter details, = one like it, z undo.")
        assert len(said(pilot)) <= 80
        await pilot.press("z")
        assert things_at(book, code, path) == before


@pytest.mark.parametrize(("code", "path", "answers", "kept"), ENTRIES, ids=IDS)
async def test_enter_on_nothing_says_what_is_needed_and_escape_leaves_nothing(
    book: Session, code: str, path: Path, answers: Sequence[str], kept: str
) -> None:
    of_case(book)
    changes = lines_of(book)
    async with opened(book, ListScreen(book, code, path)) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: asks(pilot))
        for answer in ("", *answers[:-1]):
            await answered(pilot, answer)
            assert asks(pilot)
            assert answer or "needed. Type it, or press Esc to cancel." in text_on(pilot), kept
        await pilot.press("escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        assert lines_of(book) == changes


async def test_a_choice_that_is_only_begun_is_asked_among_those_that_begin_so(demo: Session) -> None:
    before = len(demo.unit("R1").comparators)
    async with opened(demo, ListScreen(demo, "R1", ("comparators",))) as pilot:
        await pilot.press("a", *"buy used, 80", "enter")
        await until(pilot, lambda: "buy used, restored" in text_on(pilot))
        assert re.search(r"[0-9] buy new", text_on(pilot)) is None, "it stands in the list and is no choice"
        await pilot.press("2")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        added = demo.unit("R1").comparators[before]
        assert (str(added.kind), str(added.price)) == ("buy used, as is", "80.00")


async def test_what_was_begun_in_the_line_is_there_again(book: Session) -> None:
    async with opened(book, ListScreen(book, "", ("sellers",))) as pilot:
        await pilot.press("a", *"spares, da", "escape", "a")
        await until(pilot, lambda: asks(pilot))
        assert pilot.app.screen.query_one(Ask).text == "spares, da"
        assert "Your line from before" in text_on(pilot)
        await pilot.press("end", *"ys 3", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        assert [(s.name, s.days) for s in book.shop.sellers] == [("spares", 3)]
        await pilot.press("a")
        await until(pilot, lambda: asks(pilot))
        assert pilot.app.screen.query_one(Ask).text == ""


async def test_the_reading_stands_below_the_line_while_it_is_typed(book: Session) -> None:
    async with opened(book, ListScreen(book, "", ("sellers",))) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: asks(pilot))
        assert "spares by post, shipping 4.95, days 3" in text_on(pilot), "the example stands in grey"
        assert "name needed" in text_on(pilot)
        await pilot.press(*"post, shipping 4.95, closed in May")
        await pilot.pause()
        assert "name post shipping 4.95 days · free from · note closed in May" in text_on(pilot)
        await pilot.press(*", days soon")
        await pilot.pause()
        assert "Not understood yet: days: “soon” is not a whole number." in text_on(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert pilot.app.screen.query_one(Ask).text.endswith("days soon"), "a refused answer stays"
        assert book.shop.sellers == ()


async def test_one_like_another_says_only_what_differs(book: Session) -> None:
    async with opened(book, ListScreen(book, "", ("free_time",))) as pilot:
        await pilot.press("a", *"Tue 18:00 2 h", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        await pilot.press("equals_sign", *"Wed", "enter")
        await until(pilot, lambda: len(book.shop.free_time) == 2)
        assert [(f.weekday, f.start, f.minutes) for f in book.shop.free_time] == [(2, "18:00", 120), (3, "18:00", 120)]


async def test_what_names_a_step_that_does_not_exist_is_refused_in_the_line(book: Session) -> None:
    of_case(book)
    changes = lines_of(book)
    async with opened(book, ListScreen(book, "R1", ("relations",))) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: asks(pilot))
        await answered(pilot, "better before, T01, T09")
        assert "R1 has no step T09" in text_on(pilot)
        assert pilot.app.screen.query_one(Ask).text == "better before, T01, T09"
        assert lines_of(book) == changes
        await answered(pilot, "better before, T01, T02")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        assert len(book.unit("R1").relations) == 1


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
@pytest.mark.parametrize("words", HOSTILE)
async def test_hostile_words_break_no_line(book: Session, words: str, size: tuple[int, int]) -> None:
    async with opened(book, ListScreen(book, "", ("sellers",)), size=size) as pilot:
        await pilot.press("a")
        await until(pilot, lambda: asks(pilot))
        await typed(pilot, words)
        assert not bad_cells(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert not bad_cells(pilot)


async def test_a_second_program_takes_the_record_away_while_it_is_typed(book: Session) -> None:
    of_case(book)
    path: Path = ("case", "panels", "P1", "layers")
    async with opened(book, CaseScreen(book, "R1")) as pilot:
        add_to(pilot.app.screen, "R1", path)  # type: ignore[arg-type]
        await until(pilot, lambda: asks(pilot))
        await typed(pilot, "12 ply")
        book.apply("R1", "gone", lambda u: u.model_copy(update={"case": None}))
        await until(pilot, lambda: isinstance(pilot.app.screen, CaseScreen))
        assert "There is no" in said(pilot)


# How many keys it takes


class Hand:
    """Presses real keys and counts them."""

    def __init__(self, pilot: Pilot[Any]) -> None:
        self.pilot = pilot
        self.count = 0

    async def press(self, *keys: str) -> None:
        """Single keys by name."""
        await self.pilot.press(*keys)
        self.count += len(keys)
        await self.pilot.pause()

    async def line(self, text: str) -> None:
        """A line, letter by letter, and Enter."""
        await self.press(*(_KEY_NAMES.get(letter, letter) for letter in text), "enter")

    async def down_to(self, key: str) -> None:
        """With the arrow down to a row of the list."""
        rows = self.pilot.app.screen.query_one(Rows)
        for _ in range(100):
            if rows.current is not None and rows.current.key == key:
                return
            await self.press("down")
        raise AssertionError(f"no row {key}: {lines_on(self.pilot)}")


_KEY_NAMES = {" ": "space", ",": "comma", "+": "plus", ".": "full_stop", ":": "colon"}


async def test_a_seller_with_shipping_takes_at_most_30_keys(book: Session) -> None:
    async with opened(book, ShopScreen(book)) as pilot:
        hand = Hand(pilot)
        await hand.down_to("sellers")
        await hand.press("a")
        await hand.line("spares, 4.95, 3 days")
        await until(pilot, lambda: isinstance(pilot.app.screen, ShopScreen))
        (seller,) = book.shop.sellers
        assert (seller.name, str(seller.shipping and seller.shipping.likely), seller.days) == ("spares", "4.95", 3)
        print(f"\na seller with shipping: {hand.count} keys")
        assert hand.count <= 30


async def test_free_time_for_a_week_takes_at_most_60_keys(book: Session) -> None:
    async with opened(book) as pilot:
        hand = Hand(pilot)
        await hand.press("s")
        await until(pilot, lambda: isinstance(pilot.app.screen, ShopScreen))
        await hand.down_to("free time")
        await hand.press("enter", "a")
        await hand.line("Mon 18:00 2 h")
        for weekday in ("tu", "we", "th", "fr"):
            await hand.press("equals_sign")
            await hand.line(weekday)
        await hand.press("equals_sign")
        await hand.line("sa 9:00 4 h")
        free = [(f.weekday, f.start, f.minutes) for f in book.shop.free_time]
        assert free == [*((day, "18:00", 120) for day in (1, 2, 3, 4, 5)), (6, "09:00", 240)]
        print(f"\nfree time for a week: {hand.count} keys")
        assert hand.count <= 60


async def test_a_new_case_takes_at_most_250_keys(book: Session) -> None:
    """Six panels of two layers each, three joints and two openings, from nothing."""
    async with opened(book, None, unit()) as pilot:
        hand = Hand(pilot)
        await hand.press("enter", "6")
        await until(pilot, lambda: isinstance(pilot.app.screen, CaseScreen))
        await hand.down_to("empty panels")
        await hand.press("a")
        await hand.line("top, 12 ply + 0.6 oak")
        for name in ("left side", "right side", "bottom", "back", "front"):
            await hand.press("equals_sign")
            await hand.line(name)
            await until(pilot, lambda: isinstance(pilot.app.screen, CaseScreen))
        await hand.press("enter")  # the front, which has the cursor
        await until(pilot, lambda: isinstance(pilot.app.screen, FormScreen))
        await hand.down_to("openings")
        await hand.press("enter", "a")
        await hand.line("shaft, 120 x 80, 10")
        await hand.press("a")
        await hand.line("dial, 240 x 150, 120 x 40")
        await hand.press("escape", "escape")
        await until(pilot, lambda: isinstance(pilot.app.screen, CaseScreen))
        await hand.press("up", "up")
        await hand.press("enter")
        await hand.down_to("joints")
        await hand.press("enter", "a")
        await hand.line("left rabbet")
        await hand.press("a")
        await hand.line("right rabbet")
        await hand.press("a")
        await hand.line("back dado, depth 6")
        case = book.unit("R1").case
        assert case is not None
        assert [p.name for p in case.panels] == ["top", "left side", "right side", "bottom", "back", "front"]
        assert {tuple(x.material for x in p.layers) for p in case.panels} == {("12 ply", "0.6 oak")}
        assert sum(len(p.joints) for p in case.panels) == 3
        assert [len(p.openings) for p in case.panels] == [0, 0, 0, 0, 0, 2]
        print(f"\na case of six panels: {hand.count} keys")
        assert hand.count <= 250


async def test_a_part_added_in_its_section_has_the_cursor(book: Session) -> None:
    async with opened(book, ComponentsScreen(book, "R1"), unit()) as pilot:
        await pilot.press("A")
        await until(pilot, lambda: asks(pilot))
        await answered(pilot, "mains cord, 2 m, 8.40")
        await until(pilot, lambda: isinstance(pilot.app.screen, ComponentsScreen))
        row = pilot.app.screen.query_one("#things", Rows).current
        assert row is not None
        assert row.key == "parts N1"
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, FormScreen))


async def test_details_that_need_something_are_asked_in_one_line(book: Session) -> None:
    async with opened(book, ListScreen(book, "", ("shelf",))) as pilot:
        await pilot.press("a", *"wood glue, 250 ml", "enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        open_path(pilot.app.screen, "", ("shelf", 0, "pack"))  # type: ignore[arg-type]
        await until(pilot, lambda: asks(pilot))
        await answered(pilot, "500, 9.50")
        await until(pilot, lambda: isinstance(pilot.app.screen, ListScreen))
        pack = book.shop.shelf[0].pack
        assert pack is not None
        assert (str(pack.size), str(pack.price)) == ("500", "9.50")


async def test_escape_at_a_question_after_the_line_keeps_the_line(book: Session) -> None:
    """The line was whole but for one thing: it stands there again the next time."""
    async with opened(book, ListScreen(book, "", ("free_time",))) as pilot:
        await pilot.press("a")
        await typed(pilot, "Tue")
        await pilot.press("enter")
        await until(pilot, lambda: "from" in text_on(pilot))
        await pilot.press("escape")
        await until(pilot, lambda: not isinstance(pilot.app.screen, NewScreen))
        await pilot.press("a")
        await until(pilot, lambda: isinstance(pilot.app.screen, NewScreen))
        assert pilot.app.screen.query_one(Ask).text == "Tue"
    assert book.shop.free_time == ()
