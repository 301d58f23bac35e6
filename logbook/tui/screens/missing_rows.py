"""What is still to complete as a table, and why one of it is wanted beside the record in which it is missing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from logbook.model.fields import field_named, in_a_line, shown
from logbook.model.shop_clock import by_clock_of
from logbook.model.unit import Unit
from logbook.render.overview_made import ChangedLine
from logbook.teardown.complete import LEFT, Missing, completeness
from logbook.teardown.stranger import STOPS, reach
from logbook.tui.look.inks import BLANK, Line, flow, group, line, signal, typed
from logbook.tui.look.told import Told, told_lines
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.screens.record_in_full import thing_of_unit
from logbook.tui.widgets.entries import ListEntry, entry, heading

COLUMNS = (Column("at"), Column("what is missing", least=20), Column("matters"))
STOPS_WORD = "STOPS"
"""Beside what a stranger could not go on without."""


def want_key(missing: Missing) -> str:
    """The key of what is missing."""
    return f"{missing.step} {missing.field} {missing.sentence}"


def again_key(changed: ChangedLine) -> str:
    """The key of a ticked line that is to be looked at again."""
    return f"again {changed.line.key}"


def missing_question(unit: Unit, missing: Sequence[Missing]) -> str:
    """How much is to complete, how complete the record is, and how far somebody else would get with it."""
    whole, far = completeness(unit), reach(unit)
    how_much = f"{len(missing)} to complete." if missing else "Nothing is missing."
    percent = f"The record is {whole.percent} % complete by weight." if whole is not None else ""
    stranger = far.sentence if far is not None else ""
    is_stopped = any(each.weight >= STOPS for each in missing)
    stops = f"{STOPS_WORD}: somebody else could not go on there." if is_stopped else ""
    return " ".join(words for words in (how_much, percent, stops, stranger) if words)


def missing_entries(again: Sequence[ChangedLine], missing: Sequence[Missing], columns: int) -> list[ListEntry]:
    """Ticked lines that say something else since, then everything that is missing, in the order given."""
    again_cells = [_again_cells(each) for each in again]
    cells = [_cells(each) for each in missing]
    table = WrappingTable(COLUMNS, [*again_cells, *cells], columns)
    entries = []
    if again:
        entries.append(heading("head again", group("Ticked, and changed since")))
        for each, of in zip(again, again_cells, strict=True):
            said = table.note(typed(each.words, "muted"))
            entries.append(entry(again_key(each), [*table.lines(of), *said]))
    if missing and again:
        entries.append(heading("head missing", BLANK, group("Missing"), table.head))
    elif missing:
        entries.append(heading("head missing", table.head))
    return [*entries, *(entry(want_key(e), table.lines(of)) for e, of in zip(missing, cells, strict=True))]


def _again_cells(changed: ChangedLine) -> list[Line]:
    refit = changed.line
    return [typed(refit.number, "bold accent"), typed(refit.title), typed("LOOK AGAIN", "bold wait")]


def _cells(missing: Missing) -> list[Line]:
    stops = missing.weight >= STOPS
    return [
        typed(missing.step or "unit", "bold accent"),
        typed(_without_code(missing)),
        typed(STOPS_WORD, "bold bad") if stops else typed(f"{missing.weight} of 10", "muted"),
    ]


def _without_code(missing: Missing) -> str:
    """The sentence without the code that stands before it in a column of its own."""
    if not missing.step:
        return missing.sentence
    return missing.sentence.removeprefix(missing.step).lstrip(": ")


def again_in_full(changed: ChangedLine, columns: int) -> list[Line]:
    """Why a ticked line stands here."""
    refit = changed.line
    head = line(typed(refit.number, "bold accent"), "  ", typed(refit.title, "bold"))
    return [
        *flow(head, columns),
        BLANK,
        *flow(line(signal("LOOK AGAIN", "wait"), f" {changed.words}. Enter goes there."), columns),
    ]


def want_in_full(unit: Unit, missing: Missing, now: datetime, columns: int) -> list[Line]:
    """What goes wrong when it stays missing, and the record to which it belongs.

    Args:
        unit: the record.
        missing: what is wanted.
        now: the clock by which times are read.
        columns: of the pane.
    """
    rows = flow(typed(missing.sentence, "bold"), columns)
    if missing.why:
        rows += [BLANK, *flow(typed(missing.why), columns)]
    step = unit.step(missing.step)
    if step is not None:
        return [*rows, BLANK, group("So far it says"), *thing_of_unit(unit, step, now, columns)]
    return [*rows, *told_lines(_of_the_unit(unit, missing, now), columns)]


def _of_the_unit(unit: Unit, missing: Missing, now: datetime) -> Iterator[Told]:
    """What the unit itself says so far in the field that is wanted."""
    if missing.field == LEFT:
        return
    field = field_named(type(unit), missing.field)
    value = getattr(unit, missing.field)
    if isinstance(value, tuple):
        said = tuple(("", in_a_line(by_clock_of(each, now))) for each in value)
    else:
        words = shown(by_clock_of(unit, now), field)
        said = (("", words),) if words else ()
    yield Told(f"So far: {field.label}", said)
