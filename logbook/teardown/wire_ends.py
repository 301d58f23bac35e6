"""The ends of wires that were counted before: said afterwards in a line of their own, as the label of the wire says it.

    W1 brown cord to switch 1
    wire W2 blue from cord to switch 2
    W3: chassis to earth tag, of T04

Such a line is no step. It fills in the wire of that number, or makes it one of those that were only counted.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.model.edits import change_step, with_changes
from logbook.model.members import members_apart, wires_of
from logbook.model.step import Connection, Step
from logbook.model.unit import Unit
from logbook.teardown.complete import to_complete
from logbook.teardown.connection_phrase import connection_words, label_said, next_number, numbers_of
from logbook.teardown.kinds import UnitWords
from logbook.teardown.meant import PhraseContext
from logbook.teardown.phrases import PhraseText, split

ENDS_WEIGHT = 9
"""A want of a connection from this weight on is about its ends; below are its labels."""


_SAID = ("start", "end", "colour", "function", "one_end", "loose_end", "renew", "joint")
"""What a label says of a wire; what it does not say stays as it was."""


class WireSaid(NamedTuple):
    """A wire whose ends a line says."""

    text: str
    """As it stands in the line."""
    step: str
    """Code of the step that it belongs to."""
    wire: Connection
    """As it is with what was said."""

    @property
    def words(self) -> str:
        """`wire W1 brown from cord to switch 1 at T02`."""
        return f"{connection_words(self.wire)} at {self.step}"


def wires_said(line: str, unit: Unit) -> tuple[WireSaid, ...]:
    """The wires of a line that says nothing else; none when it is the line of a step.

    Args:
        line: as it is typed at the bench.
        unit: the record; a wire must have its number there, or be one of those that were only counted.
    """
    said: list[WireSaid] = []
    for piece in split(line):
        one = _wire(piece, line, unit)
        if one is None:
            return ()
        said.append(one)
        unit = with_wires_said(unit, [one])
    return tuple(said)


def _wire(piece: PhraseText, line: str, unit: Unit) -> WireSaid | None:
    words, step = piece.words, None
    if len(words) > 3 and words[-2].folded in ("of", "at") and not words[-1].quoted:
        step = unit.step(words[-1].text.upper())
        words = words[:-2] if step is not None else words
    wire = label_said(words, PhraseContext(UnitWords(unit)))
    if wire is None or not (wire.start or wire.end):
        return None
    step = step or _step_of(wire.code, unit)
    if step is None:
        return None
    before = next((each for each in step.connections if each.code == wire.code), wire)
    known = {name: getattr(wire, name) for name in _SAID if getattr(wire, name)}
    return WireSaid(line[piece.start : piece.end].strip(), step.code, with_changes(before, **known))


def _step_of(code: str, unit: Unit) -> Step | None:
    """The step that has the wire, else the last one of whose wires one was only counted."""
    done = [step for step in reversed(unit.steps) if not step.planned]
    has_it = (step for step in done if any(wire.code == code for wire in step.connections))
    return next(has_it, None) or next((step for step in done if _is_open(step, unit)), None)


def _is_open(step: Step, unit: Unit) -> bool:
    wires = wires_of(step, members_apart(step, unit.set_of(step)))
    return wires is not None and wires.open > 0


def with_wires_said(unit: Unit, said: tuple[WireSaid, ...] | list[WireSaid]) -> Unit:
    """The unit with these wires at their steps."""
    for each in said:
        step = unit.step(each.step)
        if step is None:
            continue
        others = tuple(wire for wire in step.connections if wire.code != each.wire.code)
        in_place = tuple(each.wire if wire.code == each.wire.code else wire for wire in step.connections)
        wires = in_place if len(others) < len(step.connections) else (*others, each.wire)
        unit = change_step(unit, with_changes(step, connections=wires))
    return unit


def wires_in_words(unit: Unit, other: Unit) -> str:
    """The line that says the wires of a unit that another record of it has not like that; empty without one."""
    known = set(_wires(other))
    return ", ".join(connection_words(wire) for wire in _wires(unit) if wire not in known)


def ends_missing(unit: Unit) -> tuple[str, ...]:
    """Of which wires the ends are still to be written, in sentences; the newest step first."""
    missing = (each for each in to_complete(unit) if each.field == "connections")
    return tuple(each.sentence for each in missing if each.weight >= ENDS_WEIGHT)


def label_like(unit: Unit) -> str:
    """A label as somebody would say it, with the number that is next."""
    unwritten = (wire.code for wire in _wires(unit) if not (wire.start or wire.end))
    return f"{next(unwritten, '') or next_number(numbers_of(unit))} brown cord to switch 1"


def _wires(unit: Unit) -> Iterator[Connection]:
    return (wire for step in unit.steps if not step.planned for wire in step.connections)
