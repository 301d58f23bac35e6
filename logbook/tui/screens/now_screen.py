"""What now, in full: everything that can be done in the minutes there are, waits and windows, units at rest."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.planning.at_rest import at_rest
from logbook.planning.at_work import running
from logbook.planning.countdown import countdowns
from logbook.planning.reminders import reminders
from logbook.planning.running import started, stopped
from logbook.planning.what_now import what_now
from logbook.render.overview import Overview
from logbook.render.plain import clean
from logbook.render.plan_document import LENGTH_UNKNOWN, coded_words, now_sentence, rest_words, time_words
from logbook.session import Session
from logbook.teardown.operations_ready import NowItem
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line, Span, apart, flow, group, hanging, line, typed, width_of
from logbook.tui.look.units import unit_block, unit_hues
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.bench_rows import unit_lines
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now


class NowScreen(BookScreen):
    """Everything that can be done now, the cleverest first."""

    TOPIC = "work-and-plan"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("now.open", "enter", "open", "open", "Go to what is under the cursor", True),
        Act("now.start", "space", "run", "start", "Start the operation; whatever runs is laid down", True),
        Act("now.plan", "p", "plan", "plan", "The plan over all units", True),
    )

    def __init__(self, session: Session, minutes: int) -> None:
        super().__init__(session)
        self._minutes = minutes
        self._items: dict[str, NowItem] = {}
        self._places: dict[str, tuple[str, str, str]] = {}
        self._doable: tuple[NowItem, ...] = ()
        self._overviews: dict[str, Overview] = {}
        self._hues: dict[str, str] = {}

    def place(self) -> str:
        """The place."""
        return "Bench / what now"

    def story_of(self) -> None:
        """It is nobody's record."""
        return

    def compose_body(self) -> ComposeResult:
        """The sentence and the list."""
        yield Static("", id="question", classes="question")
        yield ListBeside("now", "What now", self._in_full, pane_title="The unit")

    def first_focus(self) -> str:
        """The list."""
        return "#now"

    def show_record(self) -> None:
        """Everything anew, by the clock."""
        whole, now = self.session.whole(), self.session.shop_now
        doable = what_now(whole, self._minutes, now)
        self._items, self._places = {}, {}
        self._hues = unit_hues(self.session.codes())
        self._doable = tuple(doable)
        self._overviews = {overview.code: overview for overview in self.session.lines()}
        columns = list_columns(self.columns)
        rows: list[ListEntry] = []
        for item in doable:
            key = f"{item.kind} {item.unit} {item.code} {item.what}"
            self._items[key], kind = item, "component" if item.kind == "test" and item.code else item.kind
            self._places[key] = (item.unit, kind, item.code)
            if item.minutes is None and not any(r.key == "head unknown" for r in rows):
                rows.append(heading("head unknown", *([BLANK] if rows else []), group(LENGTH_UNKNOWN)))
            rows.append(entry(key, doable_lines(item, self._hues, columns)))
        waits = [
            (c.unit, *(("unit", "") if c.of_list else ("operation", c.code)), f"after {c.code} {c.name}: {c.words}")
            for c in countdowns(whole, now)
        ]
        rows += self._group("Waits and windows", waits)
        forget = [(r.unit, "unit", "", r.sentence) for r in reminders(whole, now, waits=False)]
        rows += self._group("Do not forget", forget)
        rest = [(r.unit, "unit", "", rest_words(r, now.date())) for r in at_rest(whole, now)]
        rows += self._group("At rest", rest)
        words = now_sentence(doable, self._minutes)
        words += "" if doable else " Say how long you have with t on the bench."
        self.query_one("#question", Static).update(plain(words))
        self.query_one(ListBeside).show(rows)

    def _group(self, head: str, lines: list[tuple[str, str, str, str]]) -> list[ListEntry]:
        rows = [heading(f"head {head}", BLANK, group(head))] if lines else []
        for i, (unit, kind, code, words) in enumerate(lines):
            key = f"{head} {i} {unit} {code}"
            self._places[key] = (unit, kind, code)
            lead = line(unit_block(unit, self._hues), " ")
            rows.append(entry(key, hanging(lead, clean(words, limit=400), list_columns(self.columns))))
        return rows

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The unit of what is under the cursor, as the bench shows it."""
        unit = self._places.get(self._key(), ("", "", ""))[0]
        overview = self._overviews.get(unit)
        if overview is None:
            return [BLANK]
        head = flow(line(unit_block(unit, self._hues), " ", typed(overview.name, "bold")), columns)
        doable = [item for item in self._doable if item.unit == unit]
        return [*head, BLANK, *unit_lines(overview, doable, columns, glyphs_now())]

    def _key(self) -> str:
        row = self.query_one("#now", Rows).current
        return row.key if row is not None else ""

    @on(Rows.Chosen, "#now")
    def action_open(self) -> None:
        """Go to it."""
        if place := self._places.get(self._key()):
            self.logbook.go_to(*place)

    def action_run(self) -> None:
        """Start it."""
        item, at = self._items.get(self._key()), self.session.now
        if item is None or item.kind not in ("operation", "proposed"):
            self.say("Only operations are started; Enter goes to anything else.")
            return
        for unit, other in running(self.session.whole().book):
            edit = partial(stopped, code=other.code, at=at)
            self.tried("", partial(self.session.apply, unit.code, f"{other.code} laid down", edit))
        what = f"{item.code} started"
        edit = partial(started, code=item.code, at=at, shop=self.session.shop)
        self.tried(f"{item.unit} {what}", partial(self.session.apply, item.unit, what, edit))

    def action_plan(self) -> None:
        """The plan."""
        self.logbook.open("week")


def doable_lines(item: NowItem, hues: Mapping[str, str], columns: int) -> list[Line]:
    """What can be done and how long it takes, and why now: behind it where there is room, else below."""
    lead = line(unit_block(item.unit, hues), " ")
    busy = line(Span(time_words(item), "bold"))
    what, why = clean(coded_words(item), limit=300), clean(item.why, limit=300)
    room = columns - width_of(busy) - 1
    behind = line(lead, what, Span(f"  {why}", "muted"))
    if why and width_of(behind) <= room:
        return [apart(behind, busy, columns)]
    first, *others = hanging(lead, what, room)
    below = hanging(line(" " * width_of(lead)), why, columns, "muted") if why else []
    return [apart(first, busy, columns), *others, *below]
