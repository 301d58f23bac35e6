# ruff: noqa: SIM102 - of what a rule speaks, and what it asks of it, stand on a line each
"""Rules about the clock and the days: every view reads the shop's clock, and counts the same days."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone

from logbook.model.words import Stage, WorkState
from tests.agreement.rules import of_book, of_unit
from tests.agreement.views import BookViews, UnitViews

AT_REST = (Stage.CLOSED, Stage.STOPPED)


def sentences(book: BookViews, unit: str) -> list[str]:
    """What bench and now say of a unit under “do not forget”."""
    forget = [*book.bench["do_not_forget"], *book.now_view["do_not_forget"]]
    return [r["sentence"] for r in forget if r["unit"] == unit]


@of_book("The zone of the moment that is asked with changes nothing on the bench.", every=5)
def bench_reads_the_shops_clock(book: BookViews) -> Iterator[str]:
    elsewhere = BookViews(book.name, book.book, book.moment.astimezone(timezone(timedelta(hours=-12))))
    if elsewhere.bench != book.bench:
        yield "the bench differs"
    if elsewhere.bench_text != book.bench_text:
        yield "the printed bench differs"


@of_book("The zone of the moment that is asked with changes nothing in the checks.", every=5)
def checks_read_the_shops_clock(book: BookViews) -> Iterator[str]:
    elsewhere = BookViews(book.name, book.book, book.moment.astimezone(timezone(timedelta(hours=14))))
    for one, other in zip(book.problems, elsewhere.problems, strict=False):
        if one != other:
            yield f"{one.sentence} / {other.sentence}"
    if len(book.problems) != len(elsewhere.problems):
        yield f"{len(book.problems)} and {len(elsewhere.problems)} problems"


@of_book("What is printed of the moment is the same hour on the bench and in what now.")
def one_hour(book: BookViews) -> Iterator[str]:
    hour = f"{book.now:%d %b %Y %H:%M}"
    for name, text in (("bench", book.bench_text), ("now", book.now_text), ("plan", book.plan_text)):
        if hour not in text.splitlines()[0]:
            yield f"{name}: {text.splitlines()[0]}, not {hour}"


@of_book("The end of a window is the same moment wherever it is named.")
def windows_end_together(book: BookViews) -> Iterator[str]:
    for window in book.now_view["windows"]:
        moment = datetime.fromisoformat(window["until"]).astimezone(book.now.tzinfo)
        shown = f"{moment:%H:%M}"
        if shown not in window["words"]:
            yield f"now says {window['words']}, it ends {shown}"
        for problem in book.problems:
            if problem.check == 20 and problem.place == window["code"] and problem.unit == window["unit"]:
                if problem.code == "window-open" and shown not in problem.sentence:
                    yield f"check says {problem.sentence}, it ends {shown}"
        for said in sentences(book, window["unit"]):
            if said.startswith(f"window after {window['code']} ") and shown not in said:
                yield f"the bench says {said}, it ends {shown}"


@of_unit("A unit is untouched for the same number of days on the bench, at rest, in reminders and checks.")
def days_are_counted_once(unit: UnitViews) -> Iterator[str]:
    days = unit.bench["days"]
    for rest in unit.book.now_view["at_rest"]:
        if rest["unit"] == unit.code and rest["days"] != days:
            yield f"bench {days}, at rest {rest['days']}"
    told = [*sentences(unit.book, unit.code), *(p.sentence for p in unit.problems if p.check == 23)]
    for said in told:
        found = re.search(r"(?:untouched for|not touched for) (\d+) day", said)
        if found and int(found[1]) != days:
            yield f"bench {days}: {said}"


@of_unit("Where something is waited for, no view says that nothing says what it waits for.")
def a_reason_is_a_reason(unit: UnitViews) -> Iterator[str]:
    waits = [p for p in unit.problems if p.check == 23 and "waits for" in p.sentence and p.code != "untouched"]
    silent = [s for s in sentences(unit.book, unit.code) if "nothing says what it waits for" in s]
    silent += [r["name"] for r in unit.book.now_view["at_rest"] if r["unit"] == unit.code and not r["reason"]]
    if waits and silent:
        yield f"{waits[0].sentence} / {silent[0]}"


@of_unit("A unit that is at rest is neither what to do now nor has it a call to make.")
def rest_is_rest(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in AT_REST:
        return
    if any(item["unit"] == unit.code for item in unit.book.now_view["now"]):
        yield "it is in what now"
    if any(call["unit"] == unit.code for call in unit.book.plan["calls"]):
        yield "there is a call to make"


@of_unit("A day to ask again is the same on the bench and in the checks.")
def chase_days_agree(unit: UnitViews) -> Iterator[str]:
    due = {p.place for p in unit.problems if p.code in ("chase-due", "overdue")}
    asked = [s for s in sentences(unit.book, unit.code) if s.endswith(("ask again", "ask again today"))]
    if unit.unit.stage not in AT_REST and bool(due) != bool(asked):
        yield f"check {due}, reminders {asked}"


@of_book("What the plan begins lies ahead of now, and in the order of the clock.")
def plan_lies_ahead(book: BookViews) -> Iterator[str]:
    now = book.moment.astimezone(UTC) - timedelta(minutes=1)
    for entry in book.plan["entries"]:
        start, end = (datetime.fromisoformat(entry[k]) for k in ("start", "end"))
        if end < start or (start < now and not entry["done"]):
            yield f"{entry['unit']} {entry['title']} {entry['start']} to {entry['end']}"


@of_unit("What was done with a wait that still runs is waited for in what now, and a done one is not.")
def running_waits_are_told(unit: UnitViews) -> Iterator[str]:
    told = {w["code"] for w in unit.book.now_view["windows"] if w["unit"] == unit.code}
    if unit.unit.stage in AT_REST:
        return
    for operation in unit.unit.operations:
        if operation.state is not WorkState.DONE or operation.done_at is None or operation.wait is None:
            continue
        followed = any(operation.code in o.after and o.state is not WorkState.TO_DO for o in unit.unit.operations)
        runs = unit.book.moment < operation.done_at + timedelta(minutes=operation.wait.earliest)
        if runs and not followed and operation.code not in told:
            yield f"the wait after {operation.code} runs and is not told"
