"""The plan and what now, as text and as values for JSON."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from logbook.model.dates_in_words import day_from_today, day_of_month, weekday_and_day, weekday_day_time, whole_day
from logbook.model.measures import hours_and_minutes
from logbook.model.plural import counted
from logbook.model.step import HoldPoint
from logbook.planning.at_rest import AtRest
from logbook.planning.countdown import Countdown
from logbook.planning.improve import Improved
from logbook.planning.making import MadePlan
from logbook.planning.plan import Background, Plan, PlanEntry, end_words
from logbook.render.blocks import Plot, PlotBar, PlotMark, PlotRow
from logbook.render.page import Page, moment_words
from logbook.render.values import plain_values
from logbook.teardown.stage import NowItem, Reminder


def plan_text(plan: Plan, made: MadePlan, *, width: int = 80, weeks: int | None = None) -> str:
    """Day by day what is done, what waits meanwhile, when each unit ends, and what is in the way.

    Args:
        plan: the plan to print.
        made: how it was made, for how good it is and what moved.
        width: columns.
        weeks: only so many weeks from now; None prints all.
    """
    page = Page(width)
    today = plan.made.date()
    page.ends("PLAN over all units", f"from {moment_words(plan.made)}")
    page.rule()
    page.say(plan_sentence(plan))
    page.say(quality_words(made.best, whole=not plan.unplanned, assumed=bool(plan.assumed)))
    if made.moved:
        page.say(f"{counted(len(made.moved), 'start')} moved against the plan that was kept.")
    _print_ends(page, plan, made, today)
    days_by_hour = week_plot(plan)
    if days_by_hour.rows:
        page.head("The first days by the hour")
        page.plot(days_by_hour)
    last = None if weeks is None else today + timedelta(weeks=weeks)
    days = sorted({e.start.date() for e in plan.entries} | {c.day for c in plan.calls})
    for day in (d for d in days if last is None or d < last):
        _print_day(page, plan, day)
    if last is not None and days and days[-1] >= last:
        page.say(f"and more after {day_of_month(last - timedelta(days=1))}; --weeks shows it.")
    _print_rest(page, plan)
    return page.text()


DRAWN_DAYS = 7
"""Days with work that are drawn by the hour."""


def week_plot(plan: Plan) -> Plot:
    """The first days with work by the hour: a row for each unit of a day, its work, and what waits meanwhile."""
    days = sorted({entry.start.date() for entry in plan.entries})[:DRAWN_DAYS]
    shown = [entry for entry in plan.entries if entry.start.date() in days]
    if not shown:
        return Plot(())
    first = min(entry.start.hour for entry in shown)
    last = max(_hours_into(entry.end, entry.start.date()) for entry in shown)
    span = max(1.0, math.ceil(last) - first)

    def share(moment: datetime, on: date) -> float:
        return min(1.0, max(0.0, (_hours_into(moment, on) - first) / span))

    rows = []
    for on, unit in sorted({(entry.start.date(), entry.unit) for entry in shown}):
        work = [entry for entry in shown if (entry.start.date(), entry.unit) == (on, unit)]
        waits = [wait for wait in plan.background if wait.unit == unit and wait.start.date() <= on <= wait.until.date()]
        bars = [PlotBar(share(wait.start, on), share(wait.until, on), PlotMark.OPEN) for wait in waits]
        bars += [PlotBar(share(entry.start, on), share(entry.end, on), PlotMark.SOLID) for entry in work]
        figure = f"{work[0].start:%H:%M}-{work[-1].end:%H:%M}"
        seen = tuple(bar for bar in bars if bar.end > bar.begin)
        rows.append(PlotRow(f"{weekday_and_day(on)} {unit}", seen, figure))
    meanings = [(PlotMark.SOLID, "work")]
    if any(bar.mark is PlotMark.OPEN for row in rows for bar in row.bars):
        meanings.append((PlotMark.OPEN, "waits by itself"))
    until = f"{first + round(span):02}:00"
    return Plot(tuple(rows), tuple(meanings), f"From {first:02}:00 at the left to {until} at the right.")


def _hours_into(moment: datetime, on: date) -> float:
    """Hours from the beginning of a day, by the clock on the wall."""
    return (moment.date() - on).days * 24 + moment.hour + moment.minute / 60


def plan_sentence(plan: Plan) -> str:
    """The plan in a sentence: when the units end, and what has no place."""
    if not plan.entries and not plan.unplanned:
        return "Nothing is open that could be planned. Write operations down in section 7 of a unit."
    ends = "; ".join(end_words(e, plan.made.date()) for e in plan.ends)
    missing = f" {counted(len(plan.unplanned), 'piece')} of work is not planned." if len(plan.unplanned) == 1 else ""
    if len(plan.unplanned) > 1:
        missing = f" {len(plan.unplanned)} pieces of work are not planned."
    return (f"{ends}." if ends else "Nothing could be planned.") + missing


def quality_words(best: Improved, *, whole: bool = True, assumed: bool = False) -> str:
    """How good the plan is, honestly: proven best, or how far it can be from the best.

    Nothing is said of one that is not `whole`, because some of the work has no place in it. One that has `assumed`
    something, such as when a part comes, is the best of those only that assume it.
    """
    if not whole:
        return "Some work is not planned, so nobody can say that this is the best plan."
    if best.proven:
        granted = ", if what it takes for granted comes true" if assumed else ""
        return f"No plan ends the units sooner{granted}: proven best."
    share = best.gap * 100
    rounds = "" if not best.rounds else f" Improved {'once' if best.rounds == 1 else f'{best.rounds} times'} so far."
    return f"A better plan may save up to {share:.0f} %.{rounds}"


def _print_ends(page: Page, plan: Plan, made: MadePlan, today: date) -> None:
    if not plan.ends:
        return
    rows = [["unit", "work", "ends", "at worst", "due"]]
    for end in plan.ends:
        worst = made.at_worst.get(end.unit)
        due = (
            ""
            if end.due is None
            else day_from_today(end.due, today) + (f", {end.late_days} d LATE" if end.late_days else "")
        )
        rows.append(
            [
                f"{end.unit} {end.name}",
                hours_and_minutes(end.minutes),
                weekday_day_time(end.end),
                "?" if worst is None else weekday_and_day(worst),
                due,
            ]
        )
    page.blank()
    page.table(rows, right=(1,), widest=0)
    total = "" if plan.clamps is None else f" of {plan.clamps}"
    page.say(f"Clamps in use: at most {plan.most_clamps}{total}.")


def _print_day(page: Page, plan: Plan, day: date) -> None:
    page.head(whole_day(day))
    for entry in (e for e in plan.entries if e.start.date() == day):
        page.item(f"{entry.start:%H:%M}-{entry.end:%H:%M}  ", entry_words(entry))
    for wait in (b for b in plan.background if b.start.date() == day and _worth_saying(b)):
        page.item("       meanwhile  ", wait_words(wait))
    for call in (c for c in plan.calls if c.day == day):
        page.item("            call  ", f"{call.unit} {call.what}")


def _worth_saying(wait: Background) -> bool:
    return wait.until - wait.start >= timedelta(minutes=30)


def entry_facts(entry: PlanEntry) -> list[str]:
    """What one piece of work takes besides its time, and why it stands where it does."""
    said = [f"{entry.clamps} clamps"] if entry.clamps else []
    said += ["noise"] if entry.noisy else []
    said += ["with a helper"] if entry.helper else []
    said += ["being worked on"] if entry.done else []
    said += [entry.why] if entry.kind == "inserted" else []
    return said


def entry_words(entry: PlanEntry) -> str:
    """One piece of work in words."""
    code = f" {entry.code}" if entry.code else ""
    said = entry_facts(entry)
    title = f"FIRST {entry.title}" if entry.kind == "inserted" else entry.title
    guess = "~" if entry.guessed or entry.kind == "proposed" else ""
    tail = f" ({', '.join(said)})" if said else ""
    return f"{entry.unit}{code} {title}, {guess}{hours_and_minutes(entry.minutes)}{tail}"


def wait_words(wait: Background) -> str:
    """One wait in words."""
    return f"{wait.unit} {wait.title}: {wait_facts(wait)}"


def wait_facts(wait: Background) -> str:
    """What a wait is and until when, without what it follows."""

    def at(moment: datetime) -> str:
        return f"{moment:%H:%M}" if moment.date() == wait.start.date() else weekday_day_time(moment)

    if wait.closes is not None:
        return f"next from {at(wait.until)}, window closes {at(wait.closes)}"
    return f"{wait.what} until {at(wait.until)}"


def _print_rest(page: Page, plan: Plan) -> None:
    if plan.unplanned:
        page.head("Not planned, and why")
    for item in plan.unplanned:
        page.item(f"{item.unit} {item.code}  ", f"{item.title}: {item.why}")
    if plan.assumed:
        page.head("Taken for granted")
    for sentence in plan.assumed:
        page.item("-  ", sentence)
    if plan.contrary:
        page.head("The record shows another order than the materials ask for")
    for sentence in plan.contrary:
        page.item("-  ", sentence)


def plan_data(plan: Plan, made: MadePlan) -> dict[str, Any]:
    """The plan as values for JSON; times with their offset."""
    best = made.best
    return {
        "made_at": plan.made.isoformat(),
        "entries": [{**_times(e._asdict()), "minutes": e.minutes} for e in plan.entries],
        "waits": [_times(b._asdict()) for b in plan.background],
        "ends": [
            {**_times(e._asdict()), "at_worst": made.at_worst[e.unit].isoformat() if e.unit in made.at_worst else None}
            for e in plan.ends
        ],
        "calls": [_times(c._asdict()) for c in plan.calls],
        "unplanned": [u._asdict() for u in plan.unplanned],
        "assumed": list(plan.assumed),
        "contrary": list(plan.contrary),
        "clamps": {"most": plan.most_clamps, "of": plan.clamps},
        "moved": list(made.moved),
        "proven_best": best.proven and not plan.unplanned,
        "at_most_from_best": round(best.gap, 4),
        "rounds": best.rounds,
    }


def _times(fields: dict[str, Any]) -> dict[str, Any]:
    return {k: v.isoformat() if isinstance(v, (date, datetime)) else v for k, v in fields.items()}


def now_text(
    doable: Sequence[NowItem],
    windows: Sequence[Countdown],
    forget: Sequence[Reminder],
    rest: Sequence[AtRest],
    *,
    minutes: int,
    now: datetime,
    width: int = 80,
    most: int = 12,
) -> str:
    """What can be done now, windows that run, what must not be forgotten, and what stands still."""
    page = Page(width)
    page.ends(f"NOW, {hours_and_minutes(minutes)}, with what is here", moment_words(now))
    page.rule()
    page.say(now_sentence(doable, minutes))
    for i, item in enumerate(doable[:most], 1):
        if item.minutes is None and (i == 1 or doable[i - 2].minutes is not None):
            page.head(LENGTH_UNKNOWN)
        page.item(f"{i:>2}  {item.unit}  ", now_words(item))
    if len(doable) > most:
        page.say(f"and {len(doable) - most} more.")
    if windows:
        page.head("Waits and windows")
    for c in windows:
        page.item(f"{c.unit}  ", f"after {c.code} {c.name}: {c.words}")
    if forget:
        page.head("Do not forget")
    for reminder in forget:
        page.item(f"{reminder.unit}  ", reminder.sentence)
    if rest:
        page.head("At rest")
    for r in rest:
        page.item(f"{r.unit}  ", rest_words(r, now.date()))
    return page.text()


LENGTH_UNKNOWN = "How long was not said"
"""Above what can be done but was never estimated: it may fit or not."""


def now_sentence(doable: Sequence[NowItem], minutes: int) -> str:
    """How much fits into the minutes there are, and how much might; what was never estimated is not said to fit."""
    span = hours_and_minutes(minutes)
    unknown = sum(item.minutes is None for item in doable)
    fits = len(doable) - unknown
    said = f"Nothing is ready that fits into {span}."
    if fits:
        said = f"{counted(fits, 'thing')} {'fits' if fits == 1 else 'fit'} into {span}, best first."
    more = "more " if fits else ""
    return f"{said} {unknown} {more}{'has' if unknown == 1 else 'have'} no time estimate." if unknown else said


def now_words(item: NowItem) -> str:
    """Something that can be done, in words."""
    return f"{coded_words(item)}, {time_words(item)}" + (f": {item.why}" if item.why else "")


def coded_words(item: NowItem) -> str:
    """What can be done, with the code of what has one that is written on a list."""
    code = f"{item.code} " if item.kind in ("operation", "step", "proposed") else ""
    return f"{code}{item.what}"


def time_words(item: NowItem) -> str:
    """How long it takes."""
    return "? min" if item.minutes is None else hours_and_minutes(item.minutes)


def hold_read(hold: HoldPoint) -> str:
    """What was read at a hold point of the work, and by whom."""
    return f"read {hold.reading}, {hold.initials}" if hold.reading else f"initialled {hold.initials}"


def rest_words(rest: AtRest, today: date) -> str:
    """A unit that stands still, in words."""
    words = f"{rest.name}: waits for {rest.reason}" if rest.reason else f"{rest.name}: nothing says what it waits for"
    words += f", since {day_from_today(rest.since, today)}" if rest.since else ""
    words += f", chase {day_from_today(rest.chase, today)}" if rest.chase else ", no chase date" if rest.reason else ""
    return words + (f", untouched for {counted(rest.days, 'day')}" if rest.days is not None else "")


def now_data(
    doable: Sequence[NowItem],
    windows: Sequence[Countdown],
    forget: Sequence[Reminder],
    rest: Sequence[AtRest],
    *,
    minutes: int,
    now: datetime,
) -> dict[str, Any]:
    """The same as values for JSON."""
    return {
        "at": plain_values(now),
        "minutes": minutes,
        "now": [i._asdict() for i in doable],
        "windows": [_times(c._asdict()) for c in windows],
        "do_not_forget": [r._asdict() for r in forget],
        "at_rest": [_times(r._asdict()) for r in rest],
    }
