"""The steps of the teardown as a table whose words wrap, and the one under the cursor in full."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from logbook.model.dates_in_words import day_year_time
from logbook.model.fields import FieldKind, in_a_line, is_said, offered_fields, shown
from logbook.model.members import fasteners_of_member
from logbook.model.shop_clock import by_clock_of, on_clock_of
from logbook.model.step import Fastener, Hazard, Step
from logbook.model.unit import Unit
from logbook.model.words import Action
from logbook.teardown.beside_the_step import how_in_words
from logbook.teardown.hold_answers import hold_sign
from logbook.teardown.relations import order_words
from logbook.tui.look.inks import BLANK, Line, flow, line, signal, typed
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.look.told import Told, told_lines
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.step_words import flags_in_words, kinds_in_rows, place_in_words, signs_of
from logbook.tui.widgets.entries import ListEntry, entry, heading

COLUMNS = (
    Column("step"),
    Column("what came off", least=18),
    Column("how", least=11),
    Column("found", right=True),
    Column("bag", below=True),
    Column("watch, order", least=16, below=True),
)


def step_entries(unit: Unit, columns: int, *, beside: bool = False) -> list[ListEntry]:
    """Every step in the order in which it happened; with `beside` the order is left to what stands in full beside."""
    cells = [step_cells(unit, step, in_full=not beside) for step in unit.steps]
    if not cells:
        return []
    table = WrappingTable(COLUMNS, cells, columns)
    entries = [entry(step.code, table.lines(of)) for step, of in zip(unit.steps, cells, strict=True)]
    return [heading("head columns", table.head), *entries]


def step_cells(unit: Unit, step: Step, *, in_full: bool = True) -> list[Line]:
    """The code, what came off, how, how many pieces, where they lie, what to watch, and the order."""
    ink = "muted" if step.planned else ""
    watch, order = signs_of(step), order_words(unit, step.code) if in_full else ""
    place = step.bag or (f"box {step.box}" if step.box else "")
    return [
        typed(step.code, "bold accent"),
        typed(step.what, ink),
        typed(_how(step), "muted"),
        typed(words, "wait" if "/" in words else "") if (words := found_in_words(unit, step)) else (),
        typed(place, "good"),
        line(typed(watch, _ink_of(step)), "; " if watch and order else "", typed(order, "muted")),
    ]


def _ink_of(step: Step) -> str:
    """The ink of what is to be watched: that of its worst danger, or of an open hold point."""
    if step.hazards:
        return SIGNAL_INKS[min((h.signal for h in step.hazards), key=lambda word: word.rank)]
    return "hold" if hold_sign(step).startswith("HOLD open") else ""


def _how(step: Step) -> str:
    """How it came off; a further action stands behind a plus."""
    actions = [action for action in (step.action, *step.also) if action is not Action.UNSAID]
    return "+".join(str(action).removesuffix(" only").removesuffix(" out") for action in actions) or "?"


def found_in_words(unit: Unit, step: Step) -> str:
    """How many pieces were there of how many places; of a set, times its members, or in all when they differ."""
    of = unit.set_of(step)
    waiting = {d.member for d in step.differences if not d.done}
    members = [m.code for m in of.members if m.code not in waiting] if of is not None else [""]
    counts = [_counts(fasteners_of_member(step, member)) for member in members]
    holes, found = sum(places for places, _ in counts), sum(there for _, there in counts)
    if not holes:
        return ""
    if len(set(counts)) == 1:
        places, there = counts[0]
        words = str(there) if there == places else f"{there}/{places}"
        return words + (f" x{len(members)}" if of is not None else "")
    return f"{found if found == holes else f'{found}/{holes}'} in all"


def _counts(fasteners: Iterable[Fastener]) -> tuple[int, int]:
    """How many places, and how many were there."""
    each = tuple(fasteners)
    return sum(f.holes for f in each), sum(f.found for f in each)


def step_in_full(unit: Unit, step: Step, now: datetime, columns: int) -> list[Line]:
    """Everything that is known of a step, each thing once: its dangers first, its pieces, the order, what else is."""
    rows = flow(line(typed(step.code, "bold accent"), "  ", typed(step.what, "bold")), columns)
    for hazard in step.hazards:
        rows += [BLANK, *_danger(hazard, columns)]
    if step.fasteners:
        rows += [BLANK, *kinds_in_rows(step.fasteners, columns)]
    return rows + told_lines(_groups(unit, step, now), columns)


def _danger(hazard: Hazard, columns: int) -> list[Line]:
    word = signal(str(hazard.signal), SIGNAL_INKS[hazard.signal])
    return flow(line(word, " ", typed(f"{hazard.what}:", "bold"), " ", typed(hazard.do)), columns)


def _groups(unit: Unit, step: Step, now: datetime) -> Iterator[Told]:
    known = (
        ("how", how_in_words(step)),
        ("lies in", place_in_words(step)),
        ("watch", flags_in_words(step.model_copy(update={"hazards": ()}))),
        ("order", order_words(unit, step.code)),
        ("as found", step.as_found),
        ("should be", step.should_be),
        ("when", _when(step, now)),
        ("noted", step.note),
    )
    yield Told("What is known", tuple((label, words) for label, words in known if words))
    yield Told("Hold points", tuple(("", in_a_line(at.hold)) for at in step.holds))
    yield Told("Connections", _each(step.connections))
    yield Told("Settings", _each(step.settings))
    yield Told("Readings", _each(step.measurements))
    yield from _also_written(by_clock_of(step, now))


IN_OTHER_GROUPS = frozenset(
    {"code", "what", "action", "fasteners", "bag", "box", "hazards", "proofs", "holds", "connections", "settings"}
    | {"measurements", "as_found", "as_found_wrong", "should_be", "at", "by", "note", "photo_taken", "wires"}
    | {"left_hand"}
)
"""Fields of a step that its other groups say; every other one that is filled stands under “also written”."""


def _also_written(step: Step) -> Iterator[Told]:
    """Every other field that says something, so that nothing of the record is left out; each list is a group."""
    fields = [field for field in offered_fields(Step) if field.name not in IN_OTHER_GROUPS]
    said = [field for field in fields if is_said(getattr(step, field.name), field)]
    plain = (field for field in said if field.kind is not FieldKind.RECORDS)
    yield Told("Also written", tuple((field.label, shown(step, field)) for field in plain))
    for field in said:
        if field.kind is FieldKind.RECORDS:
            yield Told(field.label.capitalize(), _each(getattr(step, field.name)))


def _each(records: Sequence[object]) -> tuple[tuple[str, str], ...]:
    return tuple(("", in_a_line(record)) for record in records)  # type: ignore[arg-type]


def _when(step: Step, now: datetime) -> str:
    if step.at is None:
        return ""
    words = day_year_time(on_clock_of(step.at, now))
    return f"{words}, {step.by}" if step.by else words
