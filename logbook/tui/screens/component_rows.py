"""Components and parts as rows of a table whose cells wrap, and the one under the cursor in full."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial

from logbook.costing import plain_number
from logbook.model.component_state import work_open
from logbook.model.dates_in_words import day_from_today
from logbook.model.fields import in_a_line
from logbook.model.members import whose
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Supply
from logbook.model.work import Part
from logbook.tui.look.inks import BLANK, Line, Span, flow, line, signal, typed
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.look.told import Told, told_lines
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading

_typed = partial(typed, limit=300)

COMPONENT_COLUMNS = (
    Column(),
    Column("component", least=16),
    Column("becomes"),
    Column("place", least=12),
    Column("condition", least=20, below=True),
)
PART_COLUMNS = (
    Column(),
    Column("to get", least=16),
    Column("supply", least=10),
    Column("price", right=True),
    Column("for", least=8, below=True, lead="for"),
)
GONE = (Disposition.SCRAP, Disposition.PATTERN, Disposition.SPARE)
"""Dispositions after which it does not go back."""


def component_entries(unit: Unit, today: date, columns: int, *, beside: bool) -> list[ListEntry]:
    """Components in the order of the record, then parts.

    Args:
        unit: the record.
        today: for days when a part is due.
        columns: of the list.
        beside: what is under the cursor stands in full beside the list, so that the condition is left to it.
    """
    return [*_components(unit, columns, beside=beside), *_parts(unit, today, columns)]


def _components(unit: Unit, columns: int, *, beside: bool) -> Iterator[ListEntry]:
    cells = [_component_cells(unit, c, beside=beside) for c in unit.components]
    if not cells:
        return
    table = WrappingTable(COMPONENT_COLUMNS, cells, columns)
    yield heading("head components", table.head)
    for component, of in zip(unit.components, cells, strict=True):
        yield entry(f"components {component.code}", table.lines(of))


def _component_cells(unit: Unit, c: Component, *, beside: bool) -> list[Line]:
    ink = "muted" if c.disposition in GONE else ""
    return [
        _typed(c.code, "bold accent"),
        _typed(_with_quantity(c), ink),
        becomes(unit, c),
        _typed(c.where_kept or "?", ink),
        _typed("" if beside else c.condition, "muted"),
    ]


def _parts(unit: Unit, today: date, columns: int) -> Iterator[ListEntry]:
    cells = [_part_cells(p, today) for p in unit.parts]
    if not cells:
        return
    table = WrappingTable(PART_COLUMNS, cells, columns)
    yield heading("head parts", BLANK, table.head)
    for part, of in zip(unit.parts, cells, strict=True):
        yield entry(f"parts {part.code}", table.lines(of))


def _part_cells(p: Part, today: date) -> list[Line]:
    here = p.supply is Supply.HERE
    return [
        _typed(p.code, "bold accent"),
        _typed(_part_name(p), "muted" if here else ""),
        _typed(supply_words(p, today), "good" if here else "wait"),
        _typed(_price(p)),
        _typed(", ".join((*p.for_steps, *p.for_components)) or "?", "muted"),
    ]


def _with_quantity(component: Component) -> str:
    words = component.name if component.quantity == 1 else f"{component.quantity} {component.name}"
    return f"{whose(component.member)}{words}"


def _part_name(part: Part) -> str:
    words = part.name if part.quantity == 1 and not part.unit else f"{_amount(part)} {part.name}"
    words = f"{whose(part.member)}{words}"
    return f"{words} (only if {part.only_if.removeprefix('only if ')})" if part.only_if else words


def _amount(part: Part) -> str:
    return f"{plain_number(part.quantity)} {part.unit}".rstrip()


def becomes(unit: Unit, component: Component) -> Line:
    """What becomes of it, as a tag: a signal word as long as something is to decide or to do, else a quiet one."""
    word = str(component.disposition)
    if component.disposition is Disposition.UNDECIDED or work_open(unit, component):
        return signal(word.upper(), "wait")
    if component.disposition is Disposition.HAZARDOUS and component.disposal is None:
        return signal(word.upper(), "bad")
    if component.repaired:
        return line(Span(f" {word} done ", "good on-raised"))
    is_kept = component.disposition is Disposition.KEEP
    ink = "good" if is_kept else "muted" if component.disposition in GONE else "text"
    return line(Span(f" {word} ", f"{ink} on-raised"))


def supply_words(part: Part, today: date) -> str:
    """How far a part has come: `here`, `ordered, due Fri`, `to buy`."""
    if part.supply is Supply.HERE:
        return "here"
    if part.supply is Supply.NEEDED:
        return str(part.source)
    due = f", due {day_from_today(part.expected_on, today)}" if part.expected_on else ""
    return f"ordered{due}"


def _price(part: Part) -> str:
    """The likely price; `~` where it is one of three points, both ends where it may be nothing."""
    if part.price is None:
        return "?"
    if part.price.low == part.price.high:
        return f"{part.price.likely}"
    return f"0-{part.price.high}" if not part.price.likely else f"~{part.price.likely}"


def belongs_to(unit: Unit, where: str, code: str) -> str:
    """Where a component came from, or what a part is for, in a sentence."""
    if where == "components":
        component = next(c for c in unit.components if c.code == code)
        steps = dict.fromkeys((component.from_step, *(s.code for s in unit.steps if code in s.components)))
        named = [f"{s.code} {s.what}" for each in steps if (s := unit.step(each)) is not None]
        parts = [f"{p.code} {p.name}" for p in unit.parts if code in p.for_components]
        words = f"{code} came out at {', '.join(named)}." if named else f"{code}: no step says where it came out."
        return words + (f" {', '.join(parts)} takes its place." if parts else "")
    part = next(p for p in unit.parts if p.code == code)
    named = [f"{s.code} {s.what}" for each in part.for_steps if (s := unit.step(each)) is not None]
    renews = f" It renews the fasteners “{part.fastener}”." if part.fastener else ""
    if named:
        return f"The refit of {', '.join(named)} waits for {code}.{renews}"
    return f"No step is named that waits for {code}; Enter says for which steps it is.{renews}"


def thing_in_full(unit: Unit, where: str, code: str, today: date, columns: int) -> list[Line]:
    """Everything that is known about a component or a part, and what is still open for it."""
    of_components = where == "components"
    told = _component_told(unit, code, today) if of_components else _part_told(unit, code, today)
    things = unit.components if of_components else unit.parts
    named = next(thing for thing in things if thing.code == code)
    rows = flow(line(_typed(named.code, "bold accent"), "  ", _typed(named.name, "bold")), columns)
    if of_components:
        for hazard in next(c for c in unit.components if c.code == code).hazards:
            word = signal(str(hazard.signal), SIGNAL_INKS[hazard.signal])
            rows += flow(line(word, " ", _typed(hazard.what, "bold"), " ", _typed(hazard.do)), columns)
    rows += told_lines(told, columns)
    return [*rows, BLANK, *flow(_typed(belongs_to(unit, where, code), "muted"), columns)]


def _component_told(unit: Unit, code: str, today: date) -> Iterator[Told]:
    c = next(c for c in unit.components if c.code == code)
    facts = (
        ("member", c.member),
        ("how many", f"{c.quantity}" if c.quantity > 1 else ""),
        ("condition", c.condition),
        ("becomes", f"{c.disposition}{' done' if c.repaired else ''}"),
        ("place", c.where_kept),
        ("a new one", in_a_line(c.price_to_replace) if c.price_to_replace is not None else ""),
        ("handed in", in_a_line(c.disposal) if c.disposal is not None else ""),
        ("photos", f"{len(c.photos)}" if c.photos else ""),
        ("noted", c.note),
    )
    yield Told("Still open", tuple(("", words) for words in _still_open(unit, c, today)))
    yield Told("What is known", tuple((label, words) for label, words in facts if words))
    yield Told("Readings", tuple(("", in_a_line(each)) for each in c.measurements))
    yield Told("Tests", tuple(("", in_a_line(each)) for each in c.tests))


def _still_open(unit: Unit, component: Component, today: date) -> Iterator[str]:
    if component.disposition is Disposition.UNDECIDED:
        yield "Nobody has decided what becomes of it: d."
    elif work_open(unit, component):
        yield f"{str(component.disposition).capitalize()}: still to do; h says that it is done."
    if component.disposition is Disposition.HAZARDOUS and component.disposal is None:
        yield "It is not handed in yet."
    if not component.where_kept and component.disposition not in GONE:
        yield "Where it lies is not written down (Enter to say it)."
    for part in unit.parts:
        if component.code in part.for_components and part.supply is not Supply.HERE:
            yield f"{part.code} {part.name}: {supply_words(part, today)}."


def _part_told(unit: Unit, code: str, today: date) -> Iterator[Told]:
    p = next(p for p in unit.parts if p.code == code)
    facts = (
        ("how many", _amount(p)),
        ("only if", p.only_if.removeprefix("only if ")),
        ("member", p.member),
        ("supply", supply_words(p, today)),
        ("price", in_a_line(p.price) if p.price is not None else "?"),
    )
    yield Told("What is known", tuple((label, words) for label, words in facts if words))
