"""What the finder found as a table, with the words looked for in their ink, and each of it in full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from logbook.model.base import Frozen
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.overview import Overview
from logbook.render.plain import clean
from logbook.teardown.book_search import Hit
from logbook.tui.look.inks import BLANK, Line, Span, flow, group, line, typed
from logbook.tui.look.marked_words import marked
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.screens.bench_rows import unit_lines
from logbook.tui.screens.component_rows import thing_in_full
from logbook.tui.screens.record_in_full import record_in_full, thing_of_unit
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.signs import glyphs_now

COLUMNS = (Column("unit"), Column("what"), Column("says", least=20))
EMPTY = "Type any words: a bag's number, a screw, a wire, a part, an offcut, a note; or a unit's code."
SHOP = "store"
"""In place of a unit's code, for what all units share."""


def units_as_hits(overviews: Sequence[Overview]) -> tuple[Hit, ...]:
    """Every unit as something found: what stands there before a word is typed."""
    return tuple(Hit(each.code, "unit", each.code, each.name) for each in overviews)


def hit_entries(found: Sequence[Hit], words: str, columns: int) -> list[ListEntry]:
    """A table of what was found, by its number.

    Args:
        found: the best first.
        words: as typed.
        columns: of the list.
    """
    cells = [_cells(hit, words.split()) for hit in found]
    table = WrappingTable(COLUMNS, cells, columns)
    entries = [entry(str(number), table.lines(of)) for number, of in enumerate(cells)]
    return [heading("head found", table.head), *entries] if entries else []


def _cells(hit: Hit, wanted: Sequence[str]) -> list[Line]:
    code = "" if hit.code == hit.unit else hit.code
    what = line(Span(hit.kind, "muted"), " " if code else "", *marked(clean(code, limit=40), wanted))
    return [typed(hit.unit or SHOP, "bold accent"), what, marked(clean(hit.text, limit=200), wanted)]


def unit_in_full(overview: Overview, columns: int) -> list[Line]:
    """A unit that was found, as the bench shows it."""
    head = flow(line(typed(overview.code, "bold accent"), "  ", typed(overview.name, "bold")), columns)
    return [*head, BLANK, *unit_lines(overview, (), columns, glyphs_now())]


def shared_in_full(hit: Hit, shop: Shop, now: datetime, columns: int) -> list[Line]:
    """What was found of that which all units share."""
    thing = _of_shop(shop, hit)
    return flow(typed(hit.text), columns) if thing is None else record_in_full(thing, now, columns)


def hit_in_full(hit: Hit, unit: Unit, now: datetime, columns: int) -> list[Line]:
    """What was found in a unit, and the step to which it belongs.

    Args:
        hit: under the cursor.
        unit: in which it was found.
        now: the clock by which times are read.
        columns: of the pane.
    """
    rows = list(_of_unit(unit, hit, now, columns))
    step = unit.step(hit.step)
    if step is not None and hit.kind != "step":
        rows += [BLANK, group("It belongs to"), *thing_of_unit(unit, step, now, columns)]
    return rows


def _of_unit(unit: Unit, hit: Hit, now: datetime, columns: int) -> Iterator[Line]:
    if hit.kind == "part":
        yield from thing_in_full(unit, "parts", hit.code, now.date(), columns)
        return
    thing = next((each for each in _things(unit, hit) if getattr(each, "code", None) == hit.code), None)
    if thing is None:  # a bag or a note is no record of its own
        yield from flow(typed(_note(unit, hit) or hit.text, "" if hit.kind == "note" else "bold", limit=4000), columns)
    else:
        yield from thing_of_unit(unit, thing, now, columns)


def _things(unit: Unit, hit: Hit) -> Sequence[Frozen]:
    """The list in which something of that kind stands."""
    step = unit.step(hit.step)
    return {
        "step": unit.steps,
        "component": unit.components,
        "connection": step.connections if step is not None else (),
        "operation": unit.operations,
        "held dimension": unit.held_dimensions,
        "panel": unit.case.panels if unit.case is not None else (),
    }.get(hit.kind, ())


def _note(unit: Unit, hit: Hit) -> str:
    """A note whole: the list shows only its beginning."""
    if hit.kind != "note":
        return ""
    return {"as found": unit.arrival.as_found, "arrival": unit.arrival.note, "notes": unit.notes}.get(hit.code, "")


def _of_shop(shop: Shop, hit: Hit) -> Frozen | None:
    if hit.kind == "offcut":
        return next((piece for piece in shop.offcuts if piece.code == hit.code), None)
    return next((item for item in shop.shelf if item.name == hit.code), None)
