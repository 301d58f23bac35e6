"""Check 23: what a unit waits for, since when, when to ask again, and how long nobody touched it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.dates_in_words import day_and_year
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.teardown.chasing import Awaited, awaited
from logbook.teardown.stage import days_untouched


def waiting_list(unit: Unit, _shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 23: each open reason to wait, with its age, and whether it is time to ask again."""
    for awaits in awaited(unit):
        yield _wait(unit, awaits, now.date())


def untouched(unit: Unit, shop: Shop, now: datetime) -> Iterator[CheckProblem]:
    """Check 23: nobody touched the unit for longer than the settings allow."""
    weeks = shop.settings.untouched_weeks
    days = days_untouched(unit, now)
    if days is None or days <= weeks * 7:
        return
    waits = [a.what for a in awaited(unit)]
    if waits:
        sentence = f"{unit.code} was not touched for {days} days; it waits for {', '.join(waits)}."
        yield CheckProblem(23, "untouched-waiting", unit.code, "unit", sentence, Severity.NOTE)
    else:
        sentence = (
            f"{unit.code} was not touched for {days} days and waits for nothing that is written down. "
            "Say what it waits for, do one small step, or stop it on purpose."
        )
        yield CheckProblem(23, "untouched", unit.code, "unit", sentence, Severity.LOOK)


def _wait(unit: Unit, awaits: Awaited, today: date) -> CheckProblem:
    """One thing waited for, with its age and whether it is time to ask again."""

    def told(code: str, words: str, severity: Severity) -> CheckProblem:
        return CheckProblem(23, code, unit.code, awaits.place, f"{said}{words}", severity)

    since, expected, chase = awaits.since, awaits.expected, awaits.chase
    age = "nobody wrote down since when"
    if since is not None:
        age = f"since {day_and_year(since)}, {counted((today - since).days, 'day')}"
    said = f"{unit.code} waits for {awaits.what} ({age})"
    if chase is not None and chase <= today:
        return told("chase-due", f": ask again, due {day_and_year(chase)}.", Severity.LOOK)
    if expected is not None and expected < today:
        late = counted((today - expected).days, "day")
        return told(
            "overdue",
            f": expected {day_and_year(expected)}, {late} late. Ask, or write down a new date.",
            Severity.LOOK,
        )
    if expected is not None:
        return told("waits", f"; expected {day_and_year(expected)}.", Severity.NOTE)
    if chase is not None:
        return told("waits", f"; ask again {day_and_year(chase)}.", Severity.NOTE)
    return told("no-chase-date", ": set a day to ask again.", Severity.LOOK)
