"""Rules about sense before arithmetic: what materials forbid no view offers, whatever the sums say."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from logbook.model.component_state import NOT_BACK
from logbook.model.words import Stage, WorkState
from logbook.model.work import Operation
from tests.agreement.rules import of_book, of_unit
from tests.agreement.views import BookViews, UnitViews

GOING_ON = (Stage.TEARDOWN, Stage.REBUILD, Stage.REASSEMBLY)
DAY = 24 * 60
USUAL_WAITS = {"varnish": 7 * DAY, "stain": DAY, "paint": DAY, "oil the case": DAY}
"""Minutes after which something may follow, as the usual work says; wet for some of it only."""
WET = {"varnish": 8 * 60, "paint": 4 * 60, "oil the case": 8 * 60}


def usual_wait(operation: Operation) -> int:
    """The usual wait of a finish for which nobody wrote one; 0 for anything else."""
    if operation.wait is not None:
        return 0
    return next((minutes for word, minutes in USUAL_WAITS.items() if word in operation.name), 0)


def moments(unit: UnitViews, code: str) -> list[tuple[datetime, datetime]]:
    """When the plan works on something, from and to."""
    found = [e for e in unit.book.plan["entries"] if (e["unit"], e["code"]) == (unit.code, code)]
    return [(datetime.fromisoformat(e["start"]), datetime.fromisoformat(e["end"])) for e in found]


@of_unit("What follows a finish without a typed wait is planned only after the usual one.")
def planned_after_the_usual_wait(unit: UnitViews) -> Iterator[str]:
    for operation in unit.unit.operations:
        wait = usual_wait(operation)
        ends = [end for _, end in moments(unit, operation.code)]
        for later in unit.unit.operations if wait and ends else ():
            if operation.code not in later.after:
                continue
            for start, _ in moments(unit, later.code):
                if start < max(ends) + timedelta(minutes=wait):
                    yield f"{later.code} begins {start}, {operation.code} ends {max(ends)}"


@of_unit("While the usual wait after a finish runs, what now tells it and offers nothing that follows.")
def the_usual_wait_is_told(unit: UnitViews) -> Iterator[str]:
    told = {w["code"] for w in unit.book.now_view["windows"] if w["unit"] == unit.code}
    offered = {i["code"] for i in unit.book.now_view["now"] if i["unit"] == unit.code}
    for operation in unit.unit.operations if unit.unit.stage in GOING_ON else ():
        wait = usual_wait(operation)
        if not wait or operation.state is not WorkState.DONE or operation.done_at is None:
            continue
        if unit.book.moment >= operation.done_at + timedelta(minutes=wait):
            continue
        followers = [o for o in unit.unit.operations if operation.code in o.after]
        if all(o.state is WorkState.TO_DO for o in followers) and operation.code not in told:
            yield f"the wait after {operation.code} is not told"
        yield from (f"{o.code} is offered, {operation.code} is wet" for o in followers if o.code in offered)


@of_unit("A line whose refit waits for a finish is not ready while the usual wait runs, and says until when.")
def lines_wait_for_the_usual_wait(unit: UnitViews) -> Iterator[str]:
    for operation in unit.unit.operations:
        wait = usual_wait(operation)
        if not wait or operation.state is not WorkState.DONE or operation.done_at is None:
            continue
        until = operation.done_at + timedelta(minutes=wait)
        for line in unit.list["lines"] if unit.book.moment < until else ():
            if line["readiness"]["done"] or not set(line["steps"]).intersection(operation.for_steps):
                continue
            if line["key"] in line["steps"] and not any("wait until" in s for s in line["readiness"]["missing"]):
                yield f"{line['number']}: {line['readiness']['missing']}, {operation.code} until {until}"


@of_book("Nothing dusty is planned while a finish is wet.")
def no_dust_while_wet(book: BookViews) -> Iterator[str]:
    entries = [e for e in book.plan["entries"] if e["kind"] == "operation"]
    spans = [(e, datetime.fromisoformat(e["start"]), datetime.fromisoformat(e["end"])) for e in entries]
    for wet, _, ends in spans:
        minutes = next((m for word, m in WET.items() if word in wet["title"]), 0)
        typed = next((o.wait for o in book.book.units[wet["unit"]].operations if o.code == wet["code"]), None)
        for dusty, start, _ in spans if minutes and typed is None else ():
            if dusty["title"].startswith(("sand ", "plane ")) and ends <= start < ends + timedelta(minutes=minutes):
                yield f"{dusty['unit']} {dusty['code']} begins {start}, {wet['code']} is wet from {ends}"


@of_unit("Nothing oily is planned or offered before the glue, unless they are said to be on other faces.")
def nothing_oily_before_glue(unit: UnitViews) -> Iterator[str]:
    open_ones = [o for o in unit.unit.operations if o.state is WorkState.TO_DO and not o.started_at]
    oily = [o for o in open_ones if o.name.startswith(("oil the case", "wax the"))]
    glue = [o for o in open_ones if "glue" in o.name]
    offered = {i["code"] for i in unit.book.now_view["now"] if i["unit"] == unit.code}
    for first in glue:
        for later in oily:
            apart = first.faces and later.faces and not set(first.faces) & set(later.faces)
            if apart or later.code in first.after:
                continue
            starts, ends = moments(unit, later.code), moments(unit, first.code)
            if starts and ends and min(starts)[0] < max(e for _, e in ends):
                yield f"{later.code} {later.name} is planned before {first.code} {first.name}"
            if later.code in offered:
                yield f"{later.code} {later.name} is offered before {first.code} {first.name}"


@of_unit("An old case that does not go back, where a new one is built, is bought nowhere and joined anew nowhere.")
def an_old_case_is_gone(unit: UnitViews) -> Iterator[str]:
    gets_one = unit.unit.case is not None and bool(unit.unit.case.panels)
    for component in unit.unit.components if gets_one else ():
        if component.disposition not in NOT_BACK or not component.name.endswith((" case", "housing")):
            continue
        asked = [s for line in unit.list["lines"] for s in line["readiness"]["missing"] if component.name in s]
        yield from (f"the list asks: {said}" for said in asked)
        bill = [x["how"] for x in unit.bill["lines"] if x["code"] == component.code and not x["here"]]
        yield from (f"the bill: {how}" for how in bill)
        bought = [p["name"] for parcel in unit.to_buy["parcels"] for p in parcel["purchases"]]
        yield from (f"to buy: {name}" for name in bought if name == component.name)
        joint = f"J-{component.from_step}"
        work = {x["code"] for x in unit.cost["comparison"]["hours"]["lines"]}
        work |= {e["code"] for e in unit.book.plan["entries"] if e["unit"] == unit.code}
        written = {code for o in unit.unit.operations for code in (o.code, *o.stands_for)}
        if joint in work - written:
            yield f"{joint} is work to come"
