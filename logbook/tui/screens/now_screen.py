"""What now, in full: everything that can be done in the minutes there are, waits and windows, units at rest."""

from __future__ import annotations

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
from logbook.render.plain import clean, under
from logbook.render.plan_document import LENGTH_UNKNOWN, now_sentence, now_words, rest_words
from logbook.session import Session
from logbook.teardown.operations_ready import NowItem
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.rows import Row, Rows


class NowScreen(BookScreen):
    """Everything that can be done now, the cleverest first."""

    TOPIC = "work-and-plan"
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

    def place(self) -> str:
        """The place."""
        return "Bench / what now"

    def story_of(self) -> None:
        """It is nobody's record."""
        return

    def compose_body(self) -> ComposeResult:
        """The sentence and the list."""
        yield Static("", id="question", classes="question")
        yield Rows(id="now")

    def first_focus(self) -> str:
        """The list."""
        return "#now"

    def show_record(self) -> None:
        """Everything anew, by the clock."""
        whole, now = self.session.whole(), self.session.shop_now
        doable = what_now(whole, self._minutes, now)
        self._items, self._places = {}, {}
        rows: list[Row] = []
        for item in doable:
            key = f"{item.kind} {item.unit} {item.code} {item.what}"
            self._items[key], kind = item, "component" if item.kind == "test" and item.code else item.kind
            self._places[key] = (item.unit, kind, item.code)
            if item.minutes is None and not any(r.key == "head unknown" for r in rows):
                rows.append(Row("head unknown", (LENGTH_UNKNOWN,), "head", selectable=False))
            rows.append(self._row(key, item.unit, now_words(item)))
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
        self.query_one("#now", Rows).show(rows)

    def _group(self, head: str, lines: list[tuple[str, str, str, str]]) -> list[Row]:
        rows = [Row(f"head {head}", (head,), "head", selectable=False)] if lines else []
        for i, (unit, kind, code, words) in enumerate(lines):
            key = f"{head} {i} {unit} {code}"
            self._places[key] = (unit, kind, code)
            rows.append(self._row(key, unit, words))
        return rows

    def _row(self, key: str, unit: str, words: str) -> Row:
        return Row(key, under(f" {unit:<4} ", clean(words, limit=400), self.room), "text")

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
