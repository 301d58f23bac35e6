"""The operations of a unit as lines, and what stands behind one of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import partial

from logbook.model.dates_in_words import weekday_and_day, weekday_day_time
from logbook.model.measures import hours_and_minutes
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.step import HoldPoint
from logbook.model.unit import Book, Unit
from logbook.model.words import WorkState
from logbook.model.work import Operation, Wait
from logbook.planning.at_work import running_words
from logbook.planning.countdown import countdowns_of_work
from logbook.planning.making import MadePlan
from logbook.planning.material_order import forced_order
from logbook.planning.network import operation_times
from logbook.planning.operations import Alike, Proposed, operations_of
from logbook.planning.plan_problem import finishes
from logbook.planning.standing_made import freed_by
from logbook.planning.time_left import left, left_of_next
from logbook.planning.usual_waits import with_usual_waits
from logbook.planning.usual_work_lists import order_rules, usual_work
from logbook.render.plan_document import hold_read
from logbook.teardown.operations_ready import readiness
from logbook.tui.look.inks import Line, Span, group, line, signal, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading

_typed = partial(typed, limit=300)

SIGNS = {WorkState.TO_DO: "[ ]", WorkState.DOING: "[/]", WorkState.DONE: "[x]"}
COLUMNS = (
    Column(),
    Column(),
    Column("what", least=20),
    Column("time left", right=True),
    Column("begins", below=True, lead="begins"),
)


def work_question(unit: Unit, found: Sequence[Proposed], made: MadePlan | None) -> str:
    """How much is to do and when it ends, in a sentence."""
    open_ = [o for o in unit.operations if o.state is not WorkState.DONE]
    if not unit.operations and not found:
        return "No work is written down yet. Press a for the first operation; the plan and what now are made from them."
    known = [effort.likely for o in open_ if (effort := left(o)) is not None]
    unknown = len(open_) - len(known)
    time = hours_and_minutes(sum(known)) if known or not open_ else "?"
    time += f" and {unknown} not estimated (?)" if unknown and known else ""
    words = f"{len(open_)} of {len(unit.operations)} operations to do, {time}"
    words += f"; {len(found)} more {'follows' if len(found) == 1 else 'follow'} from the record (~)" if found else ""
    end = None if made is None else finishes(made.found.problem, made.schedule).get(unit.code)
    no_place = 0 if made is None else sum(made.found.work[k].unit == unit.code for k in made.schedule.unplaced)
    if no_place:
        return f"{words}. {counted(no_place, 'piece')} of it {'is' if no_place == 1 else 'are'} not planned."
    if made is not None and end is not None and end > made.found.clock.now:
        words += f". Ends {weekday_and_day(made.found.clock.wall(end))}"
        worst = made.at_worst.get(unit.code)
        words += "" if worst is None else f", at worst {weekday_and_day(worst)}"
    return words + "."


def work_entries(
    unit: Unit,
    found: Sequence[Proposed],
    made: MadePlan | None,
    now: datetime,
    columns: int,
    *,
    asked: Sequence[Alike] = (),
) -> list[ListEntry]:
    """Every operation in recorded order with its time, its planned start, and the wait that runs after it.

    Then what follows from the record; `asked` is what may be written down already.
    """
    written = [(_state(o), o, _when(unit.code, o, made)) for o in unit.operations]
    may_be = [(_mark("?"), alike.proposal.operation, "") for alike in asked]
    follows = [(_mark("~"), p.operation, _when(unit.code, p.operation, made)) for p in found]
    cells = [_cells(*each) for each in (*written, *may_be, *follows)]
    table = WrappingTable(COLUMNS, cells, columns)
    notes = [*_notes(unit, now), *(_question(alike) for alike in asked), *([_note(p.why)] for p in found)]
    codes = [o.code for o in unit.operations]
    codes += [each.proposal.operation.code for each in asked] + [p.operation.code for p in found]
    entries = [heading("head columns", table.head)] if cells else []
    for number, (code, of, said) in enumerate(zip(codes, cells, notes, strict=True)):
        if number == len(unit.operations):
            entries.append(heading("head follows", group("Follows from the record")))
        below = [row for words in said for row in table.note(words)]
        entries.append(entry(code, [*table.lines(of), *below]))
    return entries


def _state(o: Operation) -> Line:
    """How far an operation has come, as a sign before it."""
    if o.started_at is not None:
        return line(Span("[>]", "wait"))
    return line(Span(SIGNS[o.state], "good" if o.state is WorkState.DONE else ""))


def _mark(sign: str) -> Line:
    return line(Span(f" {sign} ", "muted"))


def _cells(sign: Line, o: Operation, when: str) -> list[Line]:
    """The sign, the code, what is done, how long it still takes, and when it begins."""
    ink = "muted" if o.state is WorkState.DONE else ""
    likely = left_of_next(o)
    time = "?" if likely is None else hours_and_minutes(likely)
    times = f", {o.times_done} of {o.times} done" if o.times > 1 else ""
    return [
        sign,
        _typed(o.code, "bold accent"),
        _typed(o.name + times, ink),
        _typed(_done_words(o) if o.state is WorkState.DONE else time, ink if likely is not None else "wait"),
        _typed(when if o.state is not WorkState.DONE else "", "muted"),
    ]


def _notes(unit: Unit, now: datetime) -> Iterator[list[Line]]:
    """What is said below each operation: who works on it, its hold point, the wait that runs after it."""
    alone = Book.model_construct(shop=Shop(), units={unit.code: unit})
    waits = {c.code: c.words for c in countdowns_of_work(alone, now)}
    for o in unit.operations:
        said = []
        if running := running_words(o, now):
            said.append(_typed(f"being worked on {running}", "wait"))
        if o.hold is not None:
            word = line("HOLD ") if o.hold.initials else line(signal("HOLD", "hold"), " ")
            said.append(line(word, _typed(f"{o.hold.code} {hold_typed(o.hold)}")))
        if wait := waits.get(o.code, ""):
            said.append(_typed(f"wait after it: {wait}", "bad" if "MISSED" in wait else "muted"))
        yield said


def _question(alike: Alike) -> list[Line]:
    written = alike.operation
    return [_typed(f"is it {written.code} {written.name}?  = it is, n it is another.", "wait")]


def _note(words: str) -> Line:
    return _typed(words, "muted")


def hold_typed(hold: HoldPoint) -> str:
    """What the hold point asks, or what was read and by whom."""
    if hold.initials:
        return hold_read(hold)
    return hold.what + (f": {hold.reading_of}" if hold.reading_of else "")


def _done_words(o: Operation) -> str:
    spent = "" if o.spent is None else f"took {hours_and_minutes(o.spent)}"
    return spent or "done"


def _when(unit: str, o: Operation, made: MadePlan | None) -> str:
    if made is None:
        return "…"
    keys = [k for k, w in made.found.work.items() if w.unit == unit and w.code == o.code]
    starts = [made.schedule.starts[k] for k in keys if k in made.schedule.starts]
    ahead = [s for s in starts if s >= made.found.clock.now]
    if ahead:
        return weekday_day_time(made.found.clock.wall(min(ahead)))
    return "not planned" if keys and not starts else ""


def why_of(unit: Unit, code: str, shop: Shop, now: datetime, made: MadePlan | None) -> list[str]:
    """What an operation waits for and frees, the wait after it, its orders by materials, and where numbers come from.

    Raises:
        InputError: the list of usual work or of rules cannot be used.
    """
    usual, unit = usual_work(shop), with_usual_waits(unit, shop)
    operations = operations_of(unit, usual)
    operation = next((o for o in operations if o.code == code), None)
    if operation is None:
        return ["It is no longer in the record."]
    said = [operation.note] if operation.note else []
    ready = readiness(unit, operation, now)
    said.append(
        f"Not now: {ready.blocked}." if ready.blocked else "; ".join(["It can be done now", *ready.remarks]) + "."
    )
    said += [f"After: {', '.join(operation.after)}."] if operation.after else []
    frees = freed_by(unit).get(code, 0)
    said += [f"{frees} other operation{'s' if frees != 1 else ''} cannot start before it is done."] if frees else []
    if operation.state is not WorkState.DONE:
        said.append(slack_words(operations, code))
    said += [f"Then: {wait_sentence(operation.wait, operation)}."] if operation.wait else []
    said += [f"Between two times: {wait_sentence(operation.between, operation)}."] if operation.between else []
    if made is not None:
        keys = [k for k, w in made.found.work.items() if w.unit == unit.code and w.code == code]
        said += [f"Not planned: {why}." for k in keys[:1] if (why := made.schedule.unplaced.get(k))]
    order = forced_order(unit, operations, order_rules(shop), usual)
    rules = [
        f"{f.earlier} goes before {f.later}: {f.rule.why} ({f.rule.source})." for f in order.forced if code in f[:2]
    ]
    rules += [f"{c.sentence} ({c.rule.source})." for c in order.contrary if code in (c.earlier, c.later)]
    said += ["# Order by materials", *rules] if rules else []
    kinds = usual.kinds(operation.name)
    said += ["# Taken for usual work"] if kinds else []
    return said + [" ".join(filter(None, (f"{k.name}.", k.note, f"Numbers: {k.source}."))) for k in kinds]


def slack_words(operations: Sequence[Operation], code: str) -> str:
    """Whether an operation is on the critical path of its unit, by expected times and waits alone."""
    slack = int(operation_times(operations)[code].slack)
    if not slack:
        return "The end waits for it: each day it is late, the unit ends a day later."
    days = f", {slack // 1440} days" if slack >= 2880 else ""
    return f"By work and waits alone it has {hours_and_minutes(slack)}{days} to spare before it moves the end."


def wait_length(minutes: int) -> str:
    """A wait as it stands on a tin: `30 min`, `6 h`, `7 days`; `1:30 h` where hours are not whole."""
    if minutes >= 2 * 1440 and minutes % 1440 == 0:
        return f"{minutes // 1440} days"
    return f"{minutes // 60} h" if minutes and minutes % 60 == 0 else hours_and_minutes(minutes)


def wait_sentence(wait: Wait, operation: Operation) -> str:
    """The three numbers of a wait in words."""
    words = f"{wait.what + ', ' if wait.what else ''}not before {wait_length(wait.earliest)}"
    words += f", {wait_length(wait.clamped)} of it in clamps" if wait.clamped is not None else ""
    if wait.latest is not None:
        words += f", up to {wait_length(wait.latest)} as it is"
        missed = operation.if_missed or "sand"
        after = wait.latest if wait.after_sanding is None else wait.after_sanding
        words += f", else from {wait_length(after)} on after: {missed}"
        words += f" ({operation.if_missed_minutes} min)" if operation.if_missed_minutes else ""
    return words
