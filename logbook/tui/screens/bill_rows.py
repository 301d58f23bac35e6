"""The bill of materials for a screen: its lines as a table, why each is there, and the record behind it."""

from __future__ import annotations

from functools import partial

from logbook.costing import BillGroup, BillLine, BillOfMaterials, OwnMaterial, plain_number
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import hours_and_minutes
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.render.bill_document import UNKNOWN, one_pack, own_words, source_words, used_words
from logbook.render.money import estimate_in_short, estimate_words
from logbook.tui.look.inks import BLANK, Line, Span, flow, group, line, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.list_beside import paragraphs_in_full
from logbook.tui.widgets.pane import WIDE

_typed = partial(typed, limit=200)

COLUMNS = (
    Column(),
    Column("how many"),
    Column("what", least=24),
    Column("price", right=True),
    Column("from", least=16, below=True),
    Column("for", least=8, below=True, lead="for"),
)
MOST_USES = 4
"""So many steps or panels are named that a thing is for; all of them stand in full beside it."""


def bill_entries(bill: BillOfMaterials, own: OwnMaterial, columns: int, *, beside: bool = False) -> list[ListEntry]:
    """The lines in their groups, then own material and machine time; the key of a line is `line_key`.

    With `beside` a line stands in full beside the list: what it uses up and what for is left to that.
    """
    cells = {key: bill_cells(of, in_full=not beside) for key, of in lines_by_key(bill).items()}
    table = WrappingTable(COLUMNS, cells.values(), columns)
    entries: list[ListEntry] = []
    for each in BillGroup:
        lines = bill.of(each)
        if lines:
            above = () if entries else (table.head,)
            entries.append(heading(f"head {each}", *above, group(str(each))))
        keys = [line_key(of, at) for at, of in enumerate(lines)]
        entries += [entry(key, table.lines(cells[key])) for key in keys]
    if own.lines:
        entries.append(heading("own", BLANK, *flow(_typed(own_words(own), "muted"), columns)))
    if bill.machine_minutes:
        words = f"Machine time of what is still to be made: {hours_and_minutes(bill.machine_minutes)}."
        entries.append(heading("machine", *flow(_typed(words, "muted"), columns)))
    return entries


def lines_by_key(bill: BillOfMaterials) -> dict[str, BillLine]:
    """Each line of the bill under the key of its entry."""
    return {line_key(of, at): of for each in BillGroup for at, of in enumerate(bill.of(each))}


def line_key(of: BillLine, at: int) -> str:
    """What an entry is called; `at` tells lines of one name in one group apart."""
    return f"{of.group} {of.code} {of.name} {at}"


def bill_rows(bill: BillOfMaterials, columns: int) -> dict[str, list[Line]]:
    """Each line of the bill as rows of one table, by its key; a wide table has all three points of a price."""
    cells = {key: bill_cells(of, three_points=columns >= WIDE) for key, of in lines_by_key(bill).items()}
    table = WrappingTable(COLUMNS, cells.values(), columns)
    return {key: table.lines(each) for key, each in cells.items()}


def bill_cells(of: BillLine, *, in_full: bool = True, three_points: bool = False) -> list[Line]:
    """Ready or not, how much, what, price, where from, and what for."""
    ink = "muted" if of.is_ready else ""
    here = "here, to repair" if of.to_repair else "here" if of.here else ""
    came_from = (here, source_words(of), of.conditional, used_words(of) if in_full else "")
    price = price_in_short(of, three_points=three_points)
    uses = " ".join(of.used_in[:MOST_USES]) + (" …" if len(of.used_in) > MOST_USES else "")
    return [
        line(Span("[x]", "good") if of.is_ready else Span("[ ]")),
        _typed(_amount(of), ink),
        _typed(of.called, ink),
        _typed(price, ink if of.price is not None or of.here else "wait"),
        _typed(", ".join(filter(None, came_from)), "muted"),
        _typed(uses if in_full else "", "muted"),
    ]


def bill_line_in_full(of: BillLine, columns: int) -> list[Line]:
    """A line in full: its name, and how it was computed."""
    return paragraphs_in_full(of.called, bill_why(of), columns)


def _amount(line: BillLine) -> str:
    if line.quantity is None:
        return "?"
    if not line.here and (whole := one_pack(line.quantity, line.unit, line.pack)):
        return whole
    return f"{plain_number(line.quantity, 3 if line.quantity < 10 else 1)} {line.unit}".rstrip()


def price_in_short(line: BillLine, *, three_points: bool = False) -> str:
    """A price in few columns; empty for what is here and costs nothing more."""
    price = line.price
    if line.here and (price is None or not price.high):
        return ""
    if price is None:
        return UNKNOWN
    if three_points:
        return estimate_words(price)
    return estimate_in_short(price)


def bill_why(line: BillLine) -> tuple[str, ...]:
    """How a line of the bill was computed and what is known about its price."""
    words = [f"{line.how or 'as listed'}."]
    if line.price is not None and line.price.low != line.price.high:
        words.append(f"{estimate_words(line.price)}: low, likely, high.")
    if line.used_in:
        words.append(f"For {', '.join(line.used_in)}.")
    if line.price is None and not line.here:
        words.append("It has no price: it is in none of the sums, never as zero.")
    if line.used_up is not None and line.used_up:
        share = f", {plain_number(line.share * 100, 0)} % of a pack" if line.share is not None else ""
        words.append(f"This job uses up {line.used_up}{share}; what is bought in whole packs is the cash.")
    if line.rest:
        words.append(f"{line.rest}.")
    if line.price_age:
        words.append(f"The {line.price_age}: ask again before counting on it.")
    if line.price_on is not None:
        words.append(f"Price of {day_and_year(line.price_on)}" + (f", {line.seller}." if line.seller else "."))
    if line.pack:
        words.append(f"Pack: {line.pack}.")
    return tuple(words)


def record_behind(unit: Unit, line: BillLine) -> Path | None:
    """The place in the record that a line of the bill stands for."""
    for name in ("parts", "components", "consumables", "cost_lines"):
        if line.code and any(t.code == line.code for t in getattr(unit, name)) and _fits(name, line):
            return (name, line.code)
    if line.group in (BillGroup.PANEL, BillGroup.LEAF, BillGroup.STRIP):
        return ("case",) if unit.case is not None else None
    step = next((c for c in line.used_in if unit.step(c) is not None), None)
    return ("steps", step) if step else None


def _fits(name: str, line: BillLine) -> bool:
    """Whether a list can be behind the line: a code may stand in more than one list."""
    where = {
        "components": (BillGroup.COMPONENT,),
        "consumables": (BillGroup.CONSUMABLE, BillGroup.FASTENER),
        "cost_lines": (BillGroup.OTHER,),
        "parts": (BillGroup.PART, BillGroup.MADE, BillGroup.FASTENER),
    }
    return line.group in where[name]
