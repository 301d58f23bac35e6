"""The order of steps in rows for its screen: seen from one step, of the whole, or of a circle."""

from __future__ import annotations

from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.render.plain import clean, wrapped
from logbook.teardown.relations import FreedTogether, Near, OrderAround, freed_together, order_words
from logbook.tui.look.inks import BLANK, Line, Span, flow, group, line, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading

COLUMNS = (Column(), Column(least=16), Column(least=16))
KINDS = tuple(RelationKind)
"""Kinds that a digit states on the screen of the order."""
_SHORT = ("must", "better", "together", "loosen", "threaded", "test", "back")


class Seen(NamedTuple):
    """What the screen shows."""

    question: str
    """The sentence at the top."""
    facts: str
    rows: tuple[ListEntry, ...]
    near: dict[str, Near]
    """The neighbour that a row stands for, by the row's key."""


def seen_from(unit: Unit, around: OrderAround, columns: int, *, implied: bool) -> Seen:
    """The order seen from one step; `implied` shows what other relations say already."""
    sides = (
        (f"Comes off before {around.code}", "before", around.before, around.further_before),
        (f"Waits for {around.code}", "waits", around.waiting, around.further_waiting),
        (f"Came out with {around.code}", "with", around.together, ()),
        (f"On the way back alone, {around.code}", "back", around.way_back, ()),
    )
    shown = {side: [n for n in direct if implied or not n.implied] for _, side, direct, _ in sides}
    near = {f"{side} {n.code} {n.why} {i}": n for side, found in shown.items() for i, n in enumerate(found)}
    cells = {key: _near_cells(unit, n) for key, n in near.items()}
    table = WrappingTable(COLUMNS, cells.values(), columns)
    rows: list[ListEntry] = []
    for title, side, _, further in sides:
        if shown[side] or further:
            rows.append(_head(f"head {side}", title, is_first=not rows))
        rows += [entry(key, table.lines(of)) for key, of in cells.items() if key.startswith(f"{side} ")]
        rows += _codes("and by way of these:", f"further {side}", further, columns)
    if around.free:
        rows.append(_head("head free", "Free of it, in any order:", is_first=not rows))
        rows += _codes("", "free", around.free, columns)
    if not near:
        rows.insert(0, _note("nothing", "Nothing is stated yet. Ask: what holds it? what is in the way?", columns))
    hidden = sum(1 for n in (*around.before, *around.waiting) if n.implied)
    return Seen(_sentence(unit, around), _basis(unit, around.code, hidden, shown=implied), tuple(rows), near)


def _sentence(unit: Unit, around: OrderAround) -> str:
    before, waiting, free = len(around.all_before), len(around.all_waiting), len(around.free)
    said = f"{around.code} {_what(unit, around.code)}: {_of(before, 'comes', 'come')} off before it, "
    return said + f"{_of(waiting, 'waits', 'wait')} for it, {_of(free, 'is', 'are')} free of it."


def _basis(unit: Unit, code: str, hidden: int, *, shown: bool) -> str:
    step = unit.step(code)
    words = "Only what is stated holds it; otherwise it is free."
    if step is not None and step.order is OrderBasis.PROVEN:
        words = "Its place is proven: nothing is stated, so it keeps its recorded place."
    return words + (f" {hidden} said already by others, {'shown' if shown else 'hidden'} (h)." if hidden else "")


def _near_cells(unit: Unit, near: Near) -> list[Line]:
    r = near.relation
    extra = [clean(r.items, limit=60)] if r is not None and r.items else []
    if r is not None and r.kind is RelationKind.BETTER and not r.still_protects:
        extra.append("protects nothing now")
    if near.implied:
        extra.append("said by others too")
    why = near.why if r is not None or "recorded" not in near.why else "recorded order"
    said = f" ({', '.join(extra)})" if extra else ""
    ink = "" if r is not None else "muted"
    return [typed(near.code, "bold accent"), typed(_what(unit, near.code), ink), typed(f"{why}{said}", "muted")]


def whole_order(unit: Unit, columns: int) -> Seen:
    """Every step, in groups of what comes free at the same moment."""
    groups = freed_together(unit)
    cells = {code: _step_cells(unit, code, lump) for of in groups for lump in of.lumps for code in lump}
    table = WrappingTable(COLUMNS, cells.values(), columns)
    rows: list[ListEntry] = []
    for number, of in enumerate(groups):
        rows.append(_group_head(number, of))
        rows += [entry(f"step {code}", table.lines(cells[code])) for lump in of.lumps for code in lump]
    if not rows:
        nothing = "There are no steps yet. Write the first one at the bench: b in the teardown."
        rows = [_note("nothing", nothing, columns)]
    free = _many(sum(1 for g in groups if len(g.lumps) > 1), "group")
    said = f"{_many(len(unit.steps), 'step')}, {_many(len(unit.relations), 'relation')}; {free} free of each other."
    return Seen(said, "What stands in one group can come off in any order.", tuple(rows), {})


def _group_head(number: int, of: FreedTogether) -> ListEntry:
    after = f"after {' '.join(of.after)}" if of.after else "at any time"
    return heading(f"group {number}", group(after, "free of each other" if len(of.lumps) > 1 else ""))


def _step_cells(unit: Unit, code: str, lump: tuple[str, ...]) -> list[Line]:
    others = " ".join(other for other in lump if other != code)
    words = order_words(unit, code) or "recorded place"
    said = f"{words}  with {others}" if others else words
    return [typed(code, "bold accent"), typed(_what(unit, code)), typed(said, "muted")]


def circle(unit: Unit, error: CircleError, columns: int) -> Seen:
    """The relations of a circle that is in the record, so that one of them can be taken out."""
    round_it = set(error.steps)
    near: dict[str, Near] = {}
    rows = [_head("circle", "The relations of the circle; x takes the one under the cursor out", is_first=True)]
    for i, r in enumerate(unit.relations):
        if {r.earlier, r.later} <= round_it:
            key = f"circle {i}"
            near[key] = Near(r.earlier, str(r.kind), r)
            words = line(typed(r.earlier, "bold accent"), "  ", typed(f"{r.kind} {r.later}", "bad"))
            rows.append(entry(key, flow(words, columns)))
    return Seen(str(error), "No order exists, and so no way back, while they go round.", tuple(rows), near)


def kinds_line(columns: int) -> str:
    """What the digits state, in words as short as the width asks for."""
    whole = "   ".join(f"{i} {kind}" for i, kind in enumerate(KINDS, 1))
    if len(whole) <= columns:
        return whole
    short = "   ".join(f"{i}\u00a0{word}" for i, word in enumerate(_SHORT, 1))  # a digit stays with its word
    return "\n".join(row.strip() for row in wrapped(short, columns)).replace("\u00a0", " ")


def _codes(title: str, key: str, codes: tuple[str, ...], columns: int) -> list[ListEntry]:
    if not codes:
        return []
    lead = [line(Span(f"  {title}", "muted"))] if title else []
    rows = [line("    ", row) for row in flow(typed(" ".join(codes), "accent", limit=4000), max(20, columns - 4))]
    return [heading(key, *lead, *rows)]


def _what(unit: Unit, code: str) -> str:
    step = unit.step(code)
    return clean(step.what, limit=60) if step else "?"


def _head(key: str, words: str, *, is_first: bool) -> ListEntry:
    return heading(key, *([] if is_first else [BLANK]), group(words))


def _note(key: str, words: str, columns: int) -> ListEntry:
    return heading(key, *flow(typed(words, "muted"), columns))


def _many(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")


def _of(count: int, one: str, more: str) -> str:
    return f"nothing {one}" if count == 0 else f"{count} {one if count == 1 else more}"
