"""The overview over all units as text and as values for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from logbook.model.measures import hours_and_minutes
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book
from logbook.planning.reminders import reminders
from logbook.planning.standing import Whole
from logbook.planning.what_now import what_now
from logbook.render.overview import Overview, age, cash_against_stop, nothing_fits
from logbook.render.page import Page, moment_words
from logbook.render.values import plain_values
from logbook.teardown.operations_ready import NowItem

MINUTES = 30
"""How long “now” is when nobody says."""
MOST = 9
"""Things to do now that are listed."""


def bench_text(
    lines: Sequence[Overview], book: Book | Whole, now: datetime, *, minutes: int = MINUTES, width: int = 80
) -> str:
    """Every unit with what is next, what can be done now, and what must not be forgotten.

    Args:
        lines: every unit.
        book: all units and the shop, or where each stands.
        now: when this is printed.
        minutes: how much time there is.
        width: columns.
    """
    now = shop_time(now, book.shop)
    page = Page(width)
    doable = what_now(book, minutes, now)
    page.ends("BENCH", f"printed {moment_words(now)}")
    page.rule()
    page.say(_sentence(lines, doable, minutes))
    if lines:
        page.blank()
        page.table(_rows(lines, book.shop), right=(3, 4, 5), widest=2)
    page.head(f"Now, {hours_and_minutes(minutes)}, with what is here")
    for i, item in enumerate(doable[:MOST], 1):
        page.item(f"{i}  {item.unit}  ", _now_words(item))
    if not doable:
        page.say("Nothing is ready that fits.")
    forget = reminders(book, now)
    if forget:
        page.head("Do not forget")
    for reminder in forget:
        page.item(f"{reminder.unit}  ", reminder.sentence)
    return page.text()


def _sentence(lines: Sequence[Overview], doable: Sequence[NowItem], minutes: int) -> str:
    if not lines:
        return "This book holds no unit yet. “logbook” begins one, and “logbook import FILE” takes one in."
    waiting = sum(line.waits for line in lines)
    words = f"{len(lines)} unit{'' if len(lines) == 1 else 's'}, {waiting} waiting."
    if not doable:
        return f"{words} {nothing_fits(lines, minutes)}."
    return f"{words} Now: {doable[0].unit}, {doable[0].what}."


def _rows(lines: Sequence[Overview], shop: Shop) -> list[list[str]]:
    head = ["unit", "stage", "next", "untouched", "record", f"cash/stop {shop.settings.currency}"]
    return [
        head,
        *(
            [
                f"{line.code} {line.name}",
                str(line.stage),
                "; ".join((*(f"{word} {said}" for word, said in line.left), line.next)),
                age(line.days),
                "" if line.percent is None else f"{line.percent} %",
                cash_against_stop(line),
            ]
            for line in lines
        ),
    ]


def _now_words(item: NowItem) -> str:
    time = "? min" if item.minutes is None else hours_and_minutes(item.minutes)
    return f"{item.what}, {time}" + (f": {item.why}" if item.why else "")


def bench_data(
    lines: Sequence[Overview], book: Book | Whole, now: datetime, *, minutes: int = MINUTES
) -> dict[str, Any]:
    """The same as values for JSON."""
    now = shop_time(now, book.shop)
    return {
        "printed_at": plain_values(now),
        "currency": book.shop.settings.currency,
        "units": [plain_values(line) for line in lines],
        "minutes": minutes,
        "now": [
            plain_values(item._asdict() if hasattr(item, "_asdict") else item) for item in what_now(book, minutes, now)
        ],
        "do_not_forget": [plain_values(r._asdict() if hasattr(r, "_asdict") else r) for r in reminders(book, now)],
    }
