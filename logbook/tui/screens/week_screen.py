"""The plan over all units: a week as a timeline, and what is done when in words."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal

from logbook.model.dates_in_words import day_and_year, day_of_month, weekday_and_day, weekday_day_time
from logbook.model.paths import Path
from logbook.planning.free_time import free_windows
from logbook.planning.making import MadePlan, keep_plan
from logbook.planning.plan import Plan
from logbook.render.plain import clean
from logbook.render.plan_document import entry_words, plan_sentence, quality_words, wait_words
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line, Span, flow, hanging, line, signal, width_of
from logbook.tui.look.units import unit_hues
from logbook.tui.look.week_chart import WeekDrawing, month_lines
from logbook.tui.opening import add_to
from logbook.tui.planner import Planner, whole_book
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.week_rows import (
    call_key,
    chart_of,
    clamps_line,
    end_parts,
    ends_lines,
    entry_key,
    monday_of,
    unit_lines,
    week_entries,
    weeks_of,
)
from logbook.tui.widgets.entries import Entries
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane, inks_of
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

NO_TIME = (
    "Nothing can be planned, because nobody said when there is time. Press a and say when: “Tue 18:00 2 h”. "
    "The store keeps it."
)


class WeekScreen(BookScreen):
    """One week of the plan."""

    TOPIC = "work-and-plan"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("week.open", "enter", "open", "open", "Open the work of the unit under the cursor", True),
        Act("week.next", "right", "turn(1)", "next week", "The week after this one", True),
        Act("week.before", "left", "turn(-1)", "week before", "The week before this one"),
        Act(
            "week.better", "plus", "better", "improve", "Look for a better plan; the screen shows the best so far", True
        ),
        Act("week.keep", "K", "keep", "keep plan", "Keep this plan: the next one moves little of it", True),
        Act("week.anew", "x", "anew", "start over", "Forget the plan that was kept and plan anew (undo puts it back)"),
        Act("week.free", "a", "free", "free hours", "Say when there is time: a day, from when, how long", True),
        Act(
            "week.why", "w", "why", "why", "How good the plan is, what it takes for granted, what is not planned", True
        ),
    )
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    WeekScreen #question { max-height: 5; }
    WeekScreen #chart { height: auto; }
    WeekScreen #body { height: 1fr; min-height: 3; }
    WeekScreen #entry, WeekScreen #weeks { display: none; }
    WeekScreen.-wide #weeks { display: block; width: 56; }
    WeekScreen.-broad #weeks { display: block; width: 64; }
    WeekScreen.-broad #entry { display: block; width: 52; }
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._planner = Planner(self, self._told)
        self._made: MadePlan | None = None
        self._plan: Plan | None = None
        self._going = ""
        self._monday: date | None = None
        self._units: dict[str, tuple[str, str]] = {}
        self._drawn: WeekDrawing | None = None
        self._drawn_of: tuple[object, ...] = ()
        """What the chart was drawn for."""

    def place(self) -> str:
        """The place, and which week."""
        week = "" if self._monday is None else f", week of {day_and_year(self._monday)}"
        return f"Bench / plan{week}"

    def story_of(self) -> None:
        """The plan is nobody's record."""
        return

    def compose_body(self) -> ComposeResult:
        """When the units end, the chart, the work, what is under the cursor, six weeks."""
        yield Pane(self._answer, id="question", classes="-bare")
        yield Pane(self._chart, id="chart")
        with Horizontal(id="body"):
            yield Entries(id="work")
            yield Pane(self._entry, id="entry", title="What it is")
            yield Pane(self._weeks, id="weeks", title="Six weeks")

    def first_focus(self) -> str:
        """The words."""
        return "#work"

    def show_record(self) -> None:
        """Plan anew from the record as it is; a plan that was kept is only repaired."""
        if self._plan is not None:
            self._show()
        self._planner.start(improve=not self.session.shop.plan)

    def on_unmount(self) -> None:
        """Nobody looks any more."""
        self._planner.stop()

    def _told(self, made: MadePlan, going: str) -> None:
        self._made, self._going = made, going
        self._plan = made.plan(whole_book(self.session))
        if self._monday is None:
            first = min((e.start.date() for e in self._plan.entries), default=self._plan.made.date())
            self._monday = monday_of(first)
        self._show()
        self.refresh_frame()

    def _show(self) -> None:
        plan, monday = self._plan, self._monday
        if plan is None or monday is None:
            return
        hues = self._hues()
        self._units = {entry_key(entry): (entry.unit, entry.code) for entry in plan.entries}
        self._units |= {call_key(call): (call.unit, "") for call in plan.calls}
        work = self.query_one("#work", Entries)
        work.show(list(week_entries(plan, monday, hues, self._list_columns)))
        if not work.border_title:
            work.border_title = "Work"
        sunday = monday + timedelta(days=6)
        self.query_one("#chart", Pane).entitle(f"{day_of_month(monday)} to {day_of_month(sunday)}")
        for pane in self.query(Pane):
            pane.update()

    def _hues(self) -> dict[str, str]:
        return unit_hues(self.session.codes())

    @property
    def _list_columns(self) -> int:
        """Columns for the text of an entry: beside the panes, the frame, the cursor's bar and the scroll bar."""
        if self.columns >= BROAD:
            return self.columns - 64 - 52 - 5
        return self.columns - 56 - 5 if self.columns >= WIDE else self.columns - 3

    def _answer(self, columns: int, _rows: int) -> list[Line]:
        """When the units end, how good the plan is, and what is in the way."""
        plan, made = self._plan, self._made
        if plan is None or made is None:
            return [line(Span("Planning …", "muted"))]
        if not self.session.shop.free_time:
            return flow((Span(NO_TIME, "bold"),), columns)
        if not plan.ends:
            return flow((Span(plan_sentence(plan), "bold"),), columns)
        rows = ends_lines(plan, self._hues(), columns)
        said = line(
            clamps_line(plan, glyphs_now()), Span("  " if plan.most_clamps else ""), Span(self._state(made), "muted")
        )
        if width_of(rows[-1]) + 3 + width_of(said) <= columns:
            rows[-1] = line(rows[-1], "   ", said)
        elif self.size.height >= 24 and width_of(said) <= columns:
            rows.append(said)
        if plan.unplanned:
            count = len(plan.unplanned)
            words = f"{count} piece{'s' if count > 1 else ''} of work; w says why."
            rows += hanging(line(signal("NOT PLANNED", "wait"), " "), words, columns)
        return rows

    def _state(self, made: MadePlan) -> str:
        if self._going:
            return f"Improving, round {made.best.rounds} …"
        if made.best.proven:
            return "Proven best."
        return f"A better plan may save up to {made.best.gap * 100:.0f} %."

    def _chart(self, columns: int, _rows: int) -> list[Line]:
        """The week, with the work under the cursor."""
        plan, made, monday = self._plan, self._made, self._monday
        if plan is None or made is None or monday is None:
            return []
        drawn_for = (id(plan), monday, columns, self.size, self.app.theme)
        if self._drawn is None or self._drawn_of != drawn_for:
            self._drawn, self._drawn_of = self._drawn_week(plan, made, monday, columns), drawn_for
        row = self.query_one("#work", Entries).current
        return self._drawn.lines(row.key if row is not None else "")

    def _drawn_week(self, plan: Plan, made: MadePlan, monday: date, columns: int) -> WeekDrawing:
        """The chart with as many rows of waits as there is room for."""
        chart = chart_of(plan, self._free(made, monday), monday, self._hues(), plan.made.date())
        most = max(8, min(self.size.height * 6 // 10, self.size.height - 12))
        plain, signs = inks_of(self.app).plain, glyphs_now()
        lanes = 3 if self.columns >= BROAD else 2 if self.columns >= WIDE else 1
        while True:
            drawn = WeekDrawing(chart, monday, columns, lanes=lanes, plain=plain, g=signs)
            if not lanes or len(drawn.lines()) <= most:
                return drawn
            lanes -= 1

    def _free(self, made: MadePlan, monday: date) -> list[tuple[datetime, datetime]]:
        clock, shop = made.found.clock, self.session.shop
        days = (monday - clock.local(clock.origin).date()).days + 7
        return [(clock.wall(start), clock.wall(end)) for start, end in free_windows(shop, clock, max(0, days))]

    def _weeks(self, columns: int, rows: int) -> list[Line]:
        """Six weeks at a glance, and below them the units."""
        plan, made, monday = self._plan, self._made, self._monday
        if plan is None or made is None or monday is None:
            return []
        hues = self._hues()
        lines = month_lines(weeks_of(plan, hues, plan.made.date()), monday, 6, columns, glyphs_now())
        units = list(unit_lines(plan, made.at_worst, hues, columns))
        return [*lines, *([BLANK] if len(lines) + len(units) < rows else []), *units]

    def _entry(self, columns: int, _rows: int) -> list[Line]:
        """The work under the cursor in full: what it is, what waits after it, when its unit ends."""
        plan = self._plan
        row = self.query_one("#work", Entries).current
        found = next((e for e in plan.entries if row is not None and entry_key(e) == row.key), None) if plan else None
        if plan is None or found is None:
            return []
        rows = flow((Span(clean(entry_words(found), limit=400), "bold"),), columns)
        for wait in plan.background:
            if wait.unit == found.unit and wait.start == found.end:
                rows += flow((Span(clean(wait_words(wait), limit=300), "wait" if wait.closes else ""),), columns)
        after = [e for e in plan.entries if e.unit == found.unit and e.start >= found.end]
        if after:
            start = after[0].start
            words = f"Then {clean(after[0].title, limit=120)}, {weekday_day_time(start)}."
            rows += [BLANK, *flow((Span(words, "muted"),), columns)]
        rows += [line(end_parts(end, self._hues())) for end in plan.ends if end.unit == found.unit]
        return rows

    @on(Entries.Rested, "#work")
    def _follow(self) -> None:
        """What depends on the cursor follows when it rests."""
        for pane in self.query("#chart, #entry").results(Pane):
            if pane.display:
                pane.update()

    # What can be done

    @on(Rows.Chosen, "#work")
    def action_open(self) -> None:
        """The work of the unit under the cursor."""
        row = self.query_one("#work", Rows).current
        if row is not None and row.key in self._units:
            unit, code = self._units[row.key]
            self.logbook.go_to(unit, "operation", code or unit)

    def action_turn(self, by: int) -> None:
        """Another week."""
        if self._monday is not None:
            self._monday += timedelta(weeks=by)
            self._show()
            self.refresh_frame()

    def action_better(self) -> None:
        """Look for a better plan."""
        self._planner.start(improve=True)
        self.say("Looking for a better plan; K keeps what is shown.")

    def action_keep(self) -> None:
        """Keep the plan."""
        if self._made is None:
            return
        self._planner.stop()
        self._going, made = "", self._made
        edit = partial(keep_plan, made=made)
        said = "Plan kept: the next one moves as little of it as it can."
        self.tried(said, partial(self.session.apply_shop, "plan kept", edit))

    def action_anew(self) -> None:
        """Forget the plan that was kept."""
        if self.session.shop.plan:
            edit = partial(self.session.apply_shop, "kept plan forgotten", lambda s: s.model_copy(update={"plan": ()}))
            self.tried("The kept plan is forgotten; z puts it back.", edit)
        else:
            self._planner.start(improve=True, anew=True)

    def action_free(self) -> None:
        """Say when there is time."""
        add_to(self, "", ("free_time",))

    def show_new(self, path: Path) -> None:  # noqa: ARG002
        """Free hours are in the store: the plan is made anew with them."""
        self.show_record()

    def action_why(self) -> None:
        """What stands behind the plan."""
        plan, made = self._plan, self._made
        if plan is None or made is None:
            return
        said = [quality_words(made.best, whole=not made.schedule.unplaced, assumed=bool(plan.assumed))]
        for end in plan.ends:
            worst = made.at_worst.get(end.unit)
            at_worst = "" if worst is None else f"; if everything takes as long as at worst, {weekday_and_day(worst)}"
            said.append(f"{end.unit} {end.name} ends {weekday_day_time(end.end)}{at_worst}.")
        said += [f"{len(made.moved)} starts moved against the kept plan."] if made.moved else []
        said += ["# Not planned", *(f"{u.unit} {u.code} {u.title}: {u.why}" for u in plan.unplanned)] * bool(
            plan.unplanned
        )
        said += ["# Taken for granted", *plan.assumed] * bool(plan.assumed)
        said += ["# Another order than the materials ask for", *plan.contrary] * bool(plan.contrary)
        question = "How good the plan is, and what it rests on"
        self.app.push_screen(PageScreen(self.session, "", "Bench / plan / why", question, lambda: said))
