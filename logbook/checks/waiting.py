"""Check 23: what a unit waits for, since when, when to ask again, and how long nobody touched it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from logbook.checks.problem import Problem, Severity
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Supply


def waiting_list(unit: Unit, _shop: Shop, now: datetime) -> Iterator[Problem]:
    """Check 23: each open reason to wait, with its age, and whether it is time to ask again."""
    for w in unit.waiting:
        if not w.done:
            yield _wait(unit, "waiting", w.what, (w.since, w.expected, w.chase), now.date())
    for p in unit.parts:
        if p.supply is Supply.ORDERED:
            yield _wait(unit, p.code, f"{p.code} {p.name}", (p.ordered_on, p.expected_on, p.chase_on), now.date())


def untouched(unit: Unit, shop: Shop, now: datetime) -> Iterator[Problem]:
    """Check 23: nobody touched the unit for longer than the settings allow."""
    weeks = shop.settings.untouched_weeks
    if unit.touched is None or now - unit.touched <= timedelta(weeks=weeks):
        return
    days = (now - unit.touched).days
    waits = [w.what for w in unit.waiting if not w.done] + [p.name for p in unit.parts if p.supply is Supply.ORDERED]
    if waits:
        sentence = f"{unit.code} was not touched for {days} days; it waits for {', '.join(waits)}."
        yield Problem(23, "untouched-waiting", unit.code, "unit", sentence, Severity.NOTE)
    else:
        sentence = (
            f"{unit.code} was not touched for {days} days and waits for nothing that is written down. "
            "Say what it waits for, do one small step, or stop it on purpose."
        )
        yield Problem(23, "untouched", unit.code, "unit", sentence, Severity.LOOK)


def _wait(
    unit: Unit, place: str, what: str, dates: tuple[date | None, date | None, date | None], today: date
) -> Problem:
    since, expected, chase = dates
    age = f"since {since}, {(today - since).days} days" if since is not None else "nobody wrote down since when"
    said = f"{unit.code} waits for {what} ({age})"
    if chase is not None and chase <= today:
        return Problem(23, "chase-due", unit.code, place, f"{said}: ask again, due {chase}.", Severity.LOOK)
    if expected is not None and expected < today:
        late = (today - expected).days
        words = f"{said}: expected {expected}, {late} days late. Ask, or write down a new date."
        return Problem(23, "overdue", unit.code, place, words, Severity.LOOK)
    if chase is None and expected is None:
        return Problem(23, "no-chase-date", unit.code, place, f"{said}: set a day to ask again.", Severity.LOOK)
    until = f"expected {expected}" if expected is not None else f"ask again {chase}"
    return Problem(23, "waits", unit.code, place, f"{said}; {until}.", Severity.NOTE)
