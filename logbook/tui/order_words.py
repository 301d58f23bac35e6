"""The order of steps in rows for its screen: seen from one step, of the whole, or of a circle."""

from __future__ import annotations

from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.render.plain import clean, fitted, wrapped
from logbook.teardown.relations import Near, OrderAround, freed_together, order_words
from logbook.tui.widgets.rows import Row

CODE_COLUMNS = 6
WHAT_COLUMNS = 24
KINDS = tuple(RelationKind)
"""Kinds that a digit states on the screen of the order."""
_SHORT = ("must", "better", "together", "loosen", "threaded", "test", "back")


class Seen(NamedTuple):
    """What the screen shows."""

    question: str
    """The sentence at the top."""
    facts: str
    rows: tuple[Row, ...]
    near: dict[str, Near]
    """The neighbour that a row stands for, by the row's key."""


def seen_from(unit: Unit, around: OrderAround, columns: int, *, implied: bool) -> Seen:
    """The order seen from one step; `implied` shows what other relations say already."""
    near: dict[str, Near] = {}
    sides = (
        (f"Comes off before {around.code}", "before", around.before, around.further_before),
        (f"Waits for {around.code}", "waits", around.waiting, around.further_waiting),
        (f"Came out with {around.code}", "with", around.together, ()),
        (f"On the way back alone, {around.code}", "back", around.way_back, ()),
    )
    rows: list[Row] = []
    for title, side, direct, further in sides:
        shown = [n for n in direct if implied or not n.implied]
        if shown or further:
            rows.append(_head(f"head {side}", title))
        for i, n in enumerate(shown):
            key = f"{side} {n.code} {n.why} {i}"
            near[key] = n
            rows.append(Row(key, (_near_line(unit, n),), "" if n.relation else "done"))
        rows += _codes("and by way of these:", f"further {side}", further, columns)
    rows += _codes("Free of it, in any order:", "free", around.free, columns)
    if not near:
        rows.insert(0, _note("nothing", "Nothing is stated yet. Ask: what holds it? what is in the way?"))
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


def _near_line(unit: Unit, near: Near) -> str:
    r = near.relation
    extra = [clean(r.items, limit=60)] if r is not None and r.items else []
    if r is not None and r.kind is RelationKind.BETTER and not r.still_protects:
        extra.append("protects nothing now")
    if near.implied:
        extra.append("said by others too")
    why = near.why if r is not None or "recorded" not in near.why else "recorded order"
    said = f" ({', '.join(extra)})" if extra else ""
    return f"  {near.code:<{CODE_COLUMNS}}{fitted(_what(unit, near.code), WHAT_COLUMNS)} {why}{said}"


def whole_order(unit: Unit) -> Seen:
    """Every step, in groups of what comes free at the same moment."""
    groups = freed_together(unit)
    rows: list[Row] = []
    for i, group in enumerate(groups):
        after = f"after {' '.join(group.after)}" if group.after else "at any time"
        rows.append(_head(f"group {i}", after + ("  free of each other:" if len(group.lumps) > 1 else "")))
        for lump in group.lumps:
            for code in lump:
                others = f"  with {' '.join(c for c in lump if c != code)}" if len(lump) > 1 else ""
                words = order_words(unit, code) or "recorded place"
                what = fitted(_what(unit, code), WHAT_COLUMNS)
                rows.append(Row(f"step {code}", (f"  {code:<{CODE_COLUMNS}}{what} {words}{others}",)))
    if not rows:
        rows = [_note("nothing", "There are no steps yet. Write the first one in bench mode (b on the desk).")]
    free = _many(sum(1 for g in groups if len(g.lumps) > 1), "group")
    said = f"{_many(len(unit.steps), 'step')}, {_many(len(unit.relations), 'relation')}; {free} free of each other."
    return Seen(said, "What stands in one group can come off in any order.", tuple(rows), {})


def circle(unit: Unit, error: CircleError) -> Seen:
    """The relations of a circle that is in the record, so that one of them can be taken out."""
    round_it = set(error.steps)
    near: dict[str, Near] = {}
    rows = [_head("circle", "The relations of the circle; x takes the one under the cursor out")]
    for i, r in enumerate(unit.relations):
        if {r.earlier, r.later} <= round_it:
            key = f"circle {i}"
            near[key] = Near(r.earlier, str(r.kind), r)
            rows.append(Row(key, (f"  {r.earlier:<{CODE_COLUMNS}}{r.kind} {r.later}",), "error"))
    return Seen(str(error), "No order exists, and so no way back, while they go round.", tuple(rows), near)


def kinds_line(columns: int) -> str:
    """What the digits state, in words as short as the width asks for."""
    whole = "   ".join(f"{i} {kind}" for i, kind in enumerate(KINDS, 1))
    if len(whole) <= columns:
        return whole
    short = "   ".join(f"{i}\u00a0{word}" for i, word in enumerate(_SHORT, 1))  # a digit stays with its word
    return "\n".join(row.strip() for row in wrapped(short, columns)).replace("\u00a0", " ")


def _codes(title: str, key: str, codes: tuple[str, ...], columns: int) -> list[Row]:
    lines = wrapped(" ".join(codes), max(20, columns - 8), "    ")
    return [_note(key, f"  {title}", *lines)] if codes else []


def _what(unit: Unit, code: str) -> str:
    step = unit.step(code)
    return clean(step.what, limit=60) if step else "?"


def _head(key: str, words: str) -> Row:
    return Row(key, (words,), "head", selectable=False)


def _note(key: str, *lines: str) -> Row:
    return Row(key, lines, "done", selectable=False)


def _many(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")


def _of(count: int, one: str, more: str) -> str:
    return f"nothing {one}" if count == 0 else f"{count} {one if count == 1 else more}"
