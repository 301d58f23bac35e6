"""What is still to complete, the newest step first: Enter opens the very field."""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.model.paths import Path
from logbook.model.plural import counted
from logbook.model.unit import Unit
from logbook.render.overview_made import ticked_and_changed
from logbook.render.plain import clean, wrapped
from logbook.session import Session
from logbook.teardown.complete import LEFT, Missing, completeness, to_complete
from logbook.teardown.field_reasons import WEIGHTS
from logbook.teardown.stranger import STOPS, reach
from logbook.tui.actions import Act
from logbook.tui.opening import open_path
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.rows import Row, Rows

AGAIN = "it says something else since it was ticked. Enter goes there."


class MissingScreen(BookScreen):
    """The list of what the bench left open."""

    TOPIC = "bench-line"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("missing.open", "enter", "open", "fill in", "Open the field that is missing", True),
        Act("missing.sort", "o", "order", "heaviest first", "The newest step first, or what matters most first", True),
        Act(
            "missing.why",
            "w",
            "why",
            "why",
            "What goes wrong when it stays missing, and how the figure is worked out",
            True,
        ),
        Act("missing.step", "v", "record", "record", "All fields of the step", True),
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._heaviest_first = False
        self._missing: dict[str, Missing] = {}
        self._again: dict[str, str] = {}
        """Rows of ticked lines that say something else since, with the key of each line."""

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit."""
        return f"{self.CODE} {self.unit.name} / teardown / to complete"

    def compose_body(self) -> ComposeResult:
        """How complete it is, and what is missing."""
        yield Static("", id="question", classes="question")
        yield Rows(id="missing")

    def first_focus(self) -> str:
        """The list."""
        return "#missing"

    def show_record(self) -> None:
        """One line for each want."""
        missing = to_complete(self.unit)
        if self._heaviest_first:
            missing = tuple(sorted(missing, key=lambda m: -m.weight))
        whole = completeness(self.unit)
        percent = f"The record is {whole.percent} % complete by weight. " if whole is not None else ""
        rest = (
            f"{len(missing)} to complete, ! = somebody else could not go on here." if missing else "Nothing is missing."
        )
        far = reach(self.unit)
        stranger = f" {far.sentence}" if far is not None else ""
        self.query_one("#question", Static).update(plain(clean(percent + rest + stranger, limit=600)))
        self._missing = {f"{m.step} {m.field} {m.sentence}": m for m in missing}
        again = ticked_and_changed(self.unit, self.session.shop_now)
        self._again = {f"again {line.key}": line.key for line in again}
        rows = [
            self._row(f"again {line.key}", " ", f"LOOK AGAIN  {line.number} {line.title}: {AGAIN}") for line in again
        ]
        rows += [self._row(key, "!" if m.weight >= STOPS else " ", m.sentence) for key, m in self._missing.items()]
        self.query_one(Rows).show(rows)

    def _row(self, key: str, sign: str, sentence: str) -> Row:
        """What is wanted, whole, behind a sign where nobody else could go on without it."""
        first, *rest = wrapped(clean(sentence, limit=400), self.room - 2)
        return Row(key, (f"{sign} {first}", *(f"  {more}" for more in rest)))

    def _current(self) -> Missing | None:
        row = self.query_one(Rows).current
        return self._missing.get(row.key) if row is not None else None

    @on(Rows.Chosen)
    def action_open(self) -> None:
        """The field that is missing: a list is opened, anything else has the cursor in its form."""
        row = self.query_one(Rows).current
        if row is not None and (line := self._again.get(row.key)):
            self.logbook.open("reassembly", self.CODE, select=("line", line))
        elif (missing := self._current()) is not None and missing.field == LEFT:
            self.action_health()
        elif missing is not None:
            path: Path = ("steps", missing.step) if missing.step else ()
            value = getattr(self.unit.step(missing.step) if missing.step else self.unit, missing.field, None)
            if isinstance(value, tuple):
                open_path(self, self.CODE, (*path, missing.field))
            else:
                open_path(self, self.CODE, path, missing.field)

    def action_why(self) -> None:
        """A page that says what goes wrong without it, and how the figure comes about."""
        missing, whole = self._current(), completeness(self.unit)
        if missing is not None and whole is not None:
            weight = f"Weight {missing.weight} of 10. {WEIGHTS}"
            written = f"{counted(whole.wanted, 'thing')} wanted {'is' if whole.done == 1 else 'are'} written"
            figure = f"{whole.done} of {written}: {whole.percent} % of their weight."
            said = (missing.why, weight, figure)
            page = PageScreen(self.session, self.CODE, "to complete / why", missing.sentence, lambda: said)
            self.app.push_screen(page)

    def action_record(self) -> None:
        """All fields of the step."""
        if (missing := self._current()) is not None:
            open_path(self, self.CODE, ("steps", missing.step) if missing.step else ())

    def action_order(self) -> None:
        """Newest first, or heaviest first."""
        self._heaviest_first = not self._heaviest_first
        self._catch_up()
        self.say("What matters most stands first." if self._heaviest_first else "The newest step stands first.")
