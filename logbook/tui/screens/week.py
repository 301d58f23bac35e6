"""The plan over all units: a week as a timeline, and what is done when in words."""

from __future__ import annotations

from datetime import date, timedelta
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.planning.free_time import free_windows
from logbook.planning.making import Made, keep_plan
from logbook.planning.plan import Plan
from logbook.render.plain import clean, fitted
from logbook.render.plan import entry_words, plan_sentence, quality_words, wait_words
from logbook.render.week import Span, monday_of, week_lines
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.frame import BookScreen
from logbook.tui.plain import plain
from logbook.tui.planner import Planner, whole_book
from logbook.tui.screens.page import PageScreen
from logbook.tui.widgets.rows import Row, Rows

NO_TIME = (
    "Nothing can be planned, because nobody said when there is time. Write free time into the store (s on the bench): "
    "a weekday or a date, from when, how many minutes."
)


class WeekScreen(BookScreen):
    """One week of the plan."""

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("week.open", "enter", "open", "open", "Open the work of the unit under the cursor", True),
        Act("week.next", "right", "turn(1)", "next week", "The week after this one", True),
        Act("week.before", "left", "turn(-1)", "week before", "The week before this one"),
        Act("week.better", "v", "better", "improve", "Look for a better plan; the screen shows the best so far", True),
        Act("week.keep", "K", "keep", "keep plan", "Keep this plan: the next one moves little of it", True),
        Act("week.anew", "x", "anew", "start over", "Forget the plan that was kept and plan anew (undo puts it back)"),
        Act("week.why", "w", "why", "why", "How good the plan is, what it takes for granted, what has no place", True),
    )
    DEFAULT_CSS = """
    WeekScreen #chart { height: auto; padding: 0 1; }
    WeekScreen #work { height: 1fr; min-height: 3; }
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._planner = Planner(self, self._told)
        self._made: Made | None = None
        self._plan: Plan | None = None
        self._going = ""
        self._monday: date | None = None
        self._units: dict[str, tuple[str, str]] = {}

    def place(self) -> str:
        """The place, and which week."""
        week = "" if self._monday is None else f", week of {self._monday.day} {self._monday:%b %Y}"
        return f"Bench / plan{week}"

    def story_of(self) -> None:
        """The plan is nobody's record."""
        return

    def compose_body(self) -> ComposeResult:
        """When the units end, the timeline, the words."""
        yield Static("Planning …", id="question", classes="question")
        yield Static("", id="chart")
        yield Rows(id="work")

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

    def _told(self, made: Made, going: str) -> None:
        self._made, self._going = made, going
        self._plan = made.plan(whole_book(self.session))
        if self._monday is None:
            first = min((e.start.date() for e in self._plan.entries), default=self._plan.made.date())
            self._monday = monday_of(first)
        self._show()
        self.refresh_frame()

    def _show(self) -> None:
        plan, made, monday = self._plan, self._made, self._monday
        if plan is None or made is None or monday is None:
            return
        words = f"{plan_sentence(plan)} {self._state(made)}" if self.session.shop.free_time else NO_TIME
        self.query_one("#question", Static).update(plain(words, limit=400))
        lines = week_lines(plan, self._free(made, monday), monday, self.room)
        self.query_one("#chart", Static).update(plain("\n".join(lines), lines=True, limit=4000))
        self.query_one("#work", Rows).show(self._rows(plan, monday))

    def _state(self, made: Made) -> str:
        if self._going:
            return f"Improving, round {made.best.rounds} …"
        if made.best.proven:
            return "Proven best."
        return f"At most {made.best.gap * 100:.0f} % from the best."

    def _free(self, made: Made, monday: date) -> list[Span]:
        clock, shop = made.found.clock, self.session.shop
        days = (monday - clock.local(clock.origin).date()).days + 7
        windows = free_windows(shop, clock, max(0, days))
        return [Span(clock.wall(a), clock.wall(b)) for a, b in windows]

    def _rows(self, plan: Plan, monday: date) -> list[Row]:
        rows: list[Row] = []
        self._units = {}
        for day in (monday + timedelta(days=n) for n in range(7)):
            entries = [e for e in plan.entries if e.start.date() == day]
            calls = [c for c in plan.calls if c.day == day]
            if entries or calls:
                rows.append(Row(f"day {day}", (f"{day:%A} {day.day} {day:%B}",), "head", selectable=False))
            for e in entries:
                key = f"{day} {e.unit} {e.code} {e.kind} {e.start:%H%M}"
                self._units[key] = (e.unit, e.code)
                line = f" {e.start:%H:%M}-{e.end:%H:%M}  {entry_words(e)}"
                waits = [w for w in plan.background if w.start == e.end and w.unit == e.unit]
                notes = tuple(f"              {wait_words(w)}" for w in waits)
                rows.append(Row(key, (line, *notes), "warning" if e.kind == "inserted" else ""))
            for c in calls:
                key = f"{day} call {c.unit} {c.what}"
                self._units[key] = (c.unit, "")
                rows.append(Row(key, (f"       call  {c.unit} {c.what}",)))
        if not rows:
            rows.append(Row("none", ("Nothing is planned for this week.",), "done", selectable=False))
        return [r if not r.selectable else self._cut(r) for r in rows]

    def _cut(self, row: Row) -> Row:
        lines = tuple(fitted(clean(line, limit=300), self.room) for line in row.lines)
        return Row(row.key, lines, row.tone, row.selectable)

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

    def action_why(self) -> None:
        """What stands behind the plan."""
        plan, made = self._plan, self._made
        if plan is None or made is None:
            return
        said = [quality_words(made.best, whole=not made.schedule.unplaced)]
        for end in plan.ends:
            worst = made.at_worst.get(end.unit)
            at_worst = "" if worst is None else f"; if everything takes as long as at worst, {worst:%a %d %b}"
            said.append(f"{end.unit} {end.name} ends {end.end:%a %d %b %H:%M}{at_worst}.")
        said += [f"{len(made.moved)} starts moved against the kept plan."] if made.moved else []
        said += ["# No place for", *(f"{u.unit} {u.code} {u.title}: {u.why}" for u in plan.unplanned)] * bool(
            plan.unplanned
        )
        said += ["# Taken for granted", *plan.assumed] * bool(plan.assumed)
        said += ["# Another order than the materials ask for", *plan.contrary] * bool(plan.contrary)
        question = "How good the plan is, and what it rests on"
        self.app.push_screen(PageScreen(self.session, "", "Bench / plan / why", question, lambda: said))
