"""What is wanted of the unit itself: its held dimensions, its components, the members of its sets."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.model.members import called_for, member_in_words
from logbook.model.step import Measurement
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, SetKind
from logbook.teardown.field_reasons import Want


def unit_wants(unit: Unit) -> Iterator[Want]:
    """Everything wanted of the unit itself, done or not."""
    for held in unit.held_dimensions:
        if held.value is not None or not held.positions:
            done = held.value is not None or held.litres is not None
            yield Want("held_dimensions", 8, done, f"Held dimension {held.code} {held.what} has no value.")
        if held.value is not None:
            again = len(held.readings) >= 2 or held.at_least or _read_twice(unit, held.code, held.what)
            yield Want("held_dimensions", 7, again, f"Held dimension {held.code} {held.what} was not taken twice.")
    for component in unit.components:
        if _came_out(unit, component):
            yield from _component_wants(component, member_in_words(unit.sets, component.member))
    for of in unit.sets:
        if of.kind is SetKind.REPEATED and not of.interchangeable:
            placed = all(m.position.strip() for m in of.members)
            yield Want("sets", 5, placed, f"{of.code} {of.name}: which member belongs where?")


def _read_twice(unit: Unit, code: str, what: str) -> bool:
    names = {code.casefold(), what.casefold()}
    readings = (m for s in unit.steps for m in s.measurements if m.again is not None)
    return any(names_held(m, names) for m in readings)


def _came_out(unit: Unit, component: Component) -> bool:
    step = unit.step(component.from_step)
    return step is None or not step.planned


def _component_wants(component: Component, member: str) -> Iterator[Want]:
    name = f"{component.code} {called_for(component.name, member)}"
    decided = component.disposition is not Disposition.UNDECIDED
    yield Want("components", 4, decided, f"{name}: keep, clean, repair, renew, pattern, spare or scrap?")
    if component.disposition in _KEPT and component.from_step:
        yield Want("components", 6, bool(component.where_kept.strip()), f"{name}: in which box, on which shelf?")
    if component.disposition is Disposition.HAZARDOUS:
        yield Want("components", 7, component.disposal is not None, f"{name} is hazardous: handed in where and when?")


_KEPT = frozenset(
    {Disposition.KEEP, Disposition.CLEAN, Disposition.REPAIR, Disposition.TEST, Disposition.PATTERN, Disposition.SPARE}
)
"""What becomes of a component that is looked for years later."""


def names_held(measurement: Measurement, held: set[str]) -> bool:
    """Whether a measurement is of one of the held dimensions, given by their folded codes and names."""
    what = measurement.what.casefold()
    return what in held or what.split(" ")[0] in held
