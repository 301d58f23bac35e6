"""Is it worth it: cash and hours still to come against what could be bought instead, and the bill behind it."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal

from logbook.costing import Decision, decision
from logbook.errors import LogbookError
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.model.unit_edits import stop_rules_typed, with_stop_line
from logbook.render.costs_document import answer
from logbook.render.plain import clean
from logbook.tui.actions import Act
from logbook.tui.look.inks import Line, Span, flow
from logbook.tui.opening import add_to, open_path
from logbook.tui.screens.cost_drawings import cash_lines, driver_lines
from logbook.tui.screens.cost_rows import CostEntry, cost_lines, cost_question, costs_of
from logbook.tui.screens.drawn_costs_screen import DrawnCostsScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.sections import UNIT_ACTS, SectionScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, entry
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE, Pane
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

HIGH = 34
"""Rows from which drivers and cash over time stand in panes of their own, where there are the columns for it."""


def _stop_line(text: str, at: datetime) -> Callable[[Unit], Unit]:
    """The edit that sets the stop line as it is typed. Raises InputError when it cannot be read."""
    typed = stop_rules_typed(text)
    return partial(
        with_stop_line,
        amount=typed.amount,
        why=typed.why,
        at=at,
        least_rate=typed.least_rate,
        months_at_rest=typed.months_at_rest,
    )


class CostsScreen(SectionScreen):
    """Section 4 of a unit."""

    TOPIC = "costs"
    SECTION = "costs"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("costs.open", "enter", "open", "line", "Open the record behind the line", True),
        Act("costs.why", "w", "why", "why", "Where the figure under the cursor comes from", True),
        Act("costs.buy", "m", "to_buy", "to buy", "What is still to get, with prices", True),
        Act("costs.what_if", "i", "what_if", "what if", "Try other prices, times and rates; nothing is written", True),
        Act("costs.bill", "B", "bill", "bill", "The whole bill: where each thing comes from, and what is used up"),
        Act("costs.stop", "l", "stop_line", "stop line", "Set the limit of further cash, and other stop rules", True),
        Act("costs.drawn", "v", "drawn", "drawn", "What drives the range, and cash over time, drawn", True),
        Act("costs.taken", "t", "taken", "taken", "What was paid and how long it took, against the estimate", True),
        Act("costs.add", "a", "add", "add cost", "Add a cost that is neither part nor consumable, such as shipping"),
        *UNIT_ACTS,
    )

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    VERTICAL_BREAKPOINTS = [(0, "-low"), (HIGH, "-high")]
    DEFAULT_CSS = """
    CostsScreen #question { max-height: 4; padding: 0 1; }
    CostsScreen #drawn { display: none; height: 15; }
    CostsScreen.-high.-wide #drawn, CostsScreen.-high.-broad #drawn { display: block; }
    """

    def compose_section(self) -> ComposeResult:
        """The answer, the entries, drivers and cash over time beside each other, the line to type in."""
        yield Pane(self._answer, id="question", classes="-bare")
        yield Entries(id="lines")
        with Horizontal(id="drawn"):
            yield Pane(self._drivers, id="drivers", title="What drives the range")
            yield Pane(self._over_time, id="over-time", title="Cash over time")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The lines."""
        return "#lines"

    def show_record(self) -> None:
        """Everything computed anew from the record as it is."""
        unit, shop = self.unit, self.session.shop_for(self.CODE)
        self._costs = costs_of(unit, shop, self.session.today)
        lines = cost_lines(
            unit,
            shop,
            self._costs,
            self.session.shop_now,
            self.columns - BESIDE_THE_TEXT,
            drawn_beside=self.columns >= WIDE and self.size.height >= HIGH,
            g=glyphs_now(),
        )
        self._lines = {line.key: line for line in lines}
        entries = self.query_one("#lines", Entries)
        entries.border_title = "What could be done"
        entries.show([entry(line.key, line.lines, selectable=not line.head) for line in lines])
        for pane in self.query(Pane):
            pane.update()

    def _answer(self, columns: int, _rows: int) -> list[Line]:
        """What the figures say; what is saved or lost in an ink of its own."""
        words = clean(
            cost_question(answer(self._costs.decided.compared, self._costs.decided), self._costs.decided.compared),
            limit=400,
        )
        found = re.search(r"\S+ (cheaper|dearer)", words)
        if found is None:
            return flow((Span(words, "bold"),), columns)
        ink = "good" if found[1] == "cheaper" else "wait"
        before, after = words[: found.start()], words[found.end() :]
        return flow((Span(before, "bold"), Span(found[0], f"bold {ink}"), Span(after, "bold")), columns)

    def _drivers(self, columns: int, rows: int) -> list[Line]:
        """What moves the sum most."""
        drawn = driver_lines(self._costs.decided.cash, columns, max(1, rows - 1), glyphs_now())
        return drawn or flow((Span("Nothing that is to come has a range yet.", "muted"),), columns)

    def _over_time(self, columns: int, rows: int) -> list[Line]:
        """The sum after each payment."""
        drawn = cash_lines(self._costs.over_time, columns, rows, glyphs_now())
        return drawn or flow((Span("Nothing was spent, and nothing that is to come has a price.", "muted"),), columns)

    def select(self, kind: str, code: str) -> None:  # noqa: ARG002 - a code is enough here
        """Put the cursor on the line of a part, consumable or cost."""
        key = next((k for k, x in self._lines.items() if x.path is not None and x.path[-1] == code), None)
        if key is not None:
            self.query_one("#lines", Rows).go_to(key)

    def show_new(self, path: Path) -> None:
        """The cursor goes to what was just written down."""
        self.select("", str(path[-1]))

    def current_line(self) -> CostEntry | None:
        """The line under the cursor."""
        return self.query_one("#lines", Rows).current_of(self._lines)

    @on(Rows.Chosen, "#lines")
    def action_open(self) -> None:
        """Open the record behind the line, or say that there is none."""
        line = self.current_line()
        if line is None or line.path is None:
            self.action_why()
        else:
            open_path(self, self.CODE, line.path)

    def action_why(self) -> None:
        """A page that says where the figure comes from."""
        line = self.current_line()
        if line is not None:
            why = line.why or ("It stands in the record as it was typed.",)
            self.app.push_screen(PageScreen(self.session, self.CODE, "costs / why", line.text, lambda: why))

    def action_what_if(self) -> None:
        """Try other figures."""
        self.logbook.open("what_if", self.CODE)

    def action_taken(self) -> None:
        """What was paid and taken."""
        self.logbook.open("taken", self.CODE)

    def action_drawn(self) -> None:
        """Drivers, how often, and cash over time, drawn whole."""

        def decided() -> tuple[Unit, Decision]:
            return self.unit, decision(self.unit, self.session.shop_for(self.CODE), self.session.today)

        question = "What drives the range, how often which sum came out, and when cash goes."
        self.app.push_screen(DrawnCostsScreen(self.session, self.CODE, "costs / drawn", question, decided))

    def action_to_buy(self) -> None:
        """What is still to get for this unit."""
        self.logbook.open("to_buy", self.CODE)

    def action_bill(self) -> None:
        """The whole bill."""
        self.logbook.open("bill", self.CODE)

    def action_add(self) -> None:
        """Add a cost."""
        add_to(self, self.CODE, ("cost_lines",))

    def action_stop_line(self) -> None:
        """Ask for the limit."""
        lines = self.unit.stop_lines
        hint = "The most that may still be spent, like 100; with other rules: 100, 4 an hour, 12 months at rest"
        if lines:
            hint = f"Now {lines[-1].amount}. It moves only with a reason: 120 the bushes count, 4 an hour, 12 months"
        self.query_one(Ask).ask("stop", "Stop line", "", hint, begun=self.session.draft(f"{self.CODE}/stop"))

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        self.session.keep_draft(f"{self.CODE}/stop", event.text)
        self._to_lines()

    def _to_lines(self) -> None:
        self.query_one("#lines", Rows).focus()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        try:
            edit = _stop_line(event.text, self.session.now)
            after = edit(self.unit).stop_lines[-1]
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        what = f"stop line {after.amount}" + (f": {after.why}" if after.why else "")
        if self.tried(what, partial(self.session.apply, self.CODE, what, edit)):
            self.session.keep_draft(f"{self.CODE}/stop", "")
            self.query_one(Ask).close()
            self._to_lines()
