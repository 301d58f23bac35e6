"""The fields of a record as rows of a form, a list of records as a table, and what stands beside each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, in_a_line, is_said, offered_fields, shown
from logbook.model.usual_fields import example_value, first_shown
from logbook.model.usual_lengths import usual_value
from logbook.tui.look.inks import BLANK, Line, Span, flow, line, typed
from logbook.tui.look.told import Told, told_lines
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading

MORE = " more"
"""Key of the entry that opens the fields that are seldom filled; no field is called so."""
INSIDE = (FieldKind.RECORD, FieldKind.RECORDS)
"""Kinds of fields that are opened, not typed."""
NOTHING = "·"
"""In place of a value that nobody said."""
OPENS = "+"
"""Before the value of a field that is opened."""
MOST_THINGS = 6
"""Things of a list that stand below each other in the field that holds them."""
MOST_LETTERS = 300
"""Of a value in a row; the field itself, opened, holds all of it."""
FIELD_COLUMNS = (Column("field", least=12), Column(), Column("what stands there", least=18))
MOST_COLUMNS = 5
"""Fields of a list's things that have a column each; what else is said stands below them."""
FIGURES = frozenset({FieldKind.COUNT, FieldKind.MONEY, FieldKind.NUMBER, FieldKind.LENGTH, FieldKind.MINUTES})
"""Kinds of fields whose values end at the right edge of their column."""


# A form


def field_entries(record: Frozen, columns: int, *, shows_all: bool) -> list[ListEntry]:
    """Each field that is usually filled or holds something; the rest stands under “more”.

    Args:
        record: with its moments by the shop's clock.
        columns: of the list.
        shows_all: whether the fields under “more” are shown as well.
    """
    kind = type(record)
    said = frozenset(field.name for field in offered_fields(kind) if is_said(getattr(record, field.name), field))
    first, rest = first_shown(kind, said)
    fields = (*first, *rest) if shows_all else first
    cells = {field.name: list(_field_cells(record, field)) for field in fields}
    table = WrappingTable(FIELD_COLUMNS, (row for rows in cells.values() for row in rows), columns)
    entries = {name: entry(name, [one for row in rows for one in table.lines(row)]) for name, rows in cells.items()}
    shown_first = [entries[field.name] for field in first]
    if not rest:
        return shown_first
    words = "less" if shows_all else f"more ({len(rest)})"
    more = entry(MORE, [line(Span(words, "bold head"), Span("  fields that are seldom filled", "muted"))])
    return [*shown_first, more, *(entries[field.name] for field in rest if shows_all)]


def _field_cells(record: Frozen, field: Field) -> Iterator[list[Line]]:
    """The label with its value; of a list each of its first things in a row of its own."""
    sign = typed(OPENS if field.kind in INSIDE else "", "accent")
    label = typed(field.label, "head")
    if field.kind is FieldKind.RECORDS and getattr(record, field.name):
        things = getattr(record, field.name)
        for number, thing in enumerate(things[:MOST_THINGS]):
            words = typed(in_a_line(thing) or "(empty)", limit=MOST_LETTERS)
            yield [label, sign, words] if number == 0 else [BLANK, BLANK, words]
        if len(things) > MOST_THINGS:
            yield [BLANK, BLANK, typed(f"and {len(things) - MOST_THINGS} more", "muted")]
        return
    value = shown(record, field)
    usual = "" if value else usual_value(record, field.name)
    yield [label, sign, typed(value or usual or NOTHING, "" if value else "muted", limit=MOST_LETTERS)]


def field_in_full(record: Frozen, field: Field, columns: int) -> list[Line]:
    """What a field means, what stands in it, and what can be typed.

    Args:
        record: with its moments by the shop's clock.
        field: of that record.
        columns: of the pane.
    """
    rows = flow(typed(field.label, "bold"), columns)
    rows += [BLANK, *flow(typed(field.help), columns)] if field.help else []
    return [*rows, *told_lines(_told_of_field(record, field), columns)]


def _told_of_field(record: Frozen, field: Field) -> Iterator[Told]:
    value = getattr(record, field.name)
    if field.kind is FieldKind.RECORDS:
        things = tuple((str(number), in_a_line(thing)) for number, thing in enumerate(value, 1))
        yield Told("What stands there", things or (("", "nothing yet"),))
        yield Told("Enter", (("", "opens the list, to add, change, move or take out"),))
        return
    words = shown(record, field) or usual_value(record, field.name)
    yield Told("What stands there", (("", words or "nothing yet"),))
    if field.name == "code":
        return
    if field.kind is FieldKind.RECORD:
        yield Told("Enter", (("", "opens the details"),))
    elif field.kind is FieldKind.CHOICE:
        yield Told("One of", tuple(("", str(choice)) for choice in field.choices))
    elif field.kind is FieldKind.FLAG:
        yield Told("Enter", (("", "yes, no or not said" if field.optional else "turns yes to no, no to yes"),))
    else:
        yield Told("To type", tuple(_to_type(field)))


def _to_type(field: Field) -> Iterator[tuple[str, str]]:
    yield "as", str(field.kind)
    if field.least:
        yield "not below", field.least
    if field.choices:
        yield "words", ", ".join(str(choice) for choice in field.choices)
    if example := example_value(field):
        yield "such as", example


# A list


def thing_entries(things: Sequence[Frozen], kind: type[Frozen], columns: int, *, beside: bool) -> list[ListEntry]:
    """A table of records of one kind: the fields that any of them fills in columns, what else is said below.

    Args:
        things: with their moments by the shop's clock.
        kind: of record.
        columns: of the list.
        beside: whether the thing under the cursor stands in full beside the list, which leaves the rest to it.
    """
    if not things:
        return []
    fields = _said_by_any(things, kind)
    first, rest = fields[:MOST_COLUMNS], fields[MOST_COLUMNS:]
    cells = [_thing_cells(thing, first, () if beside else rest) for thing in things]
    table = WrappingTable([*_columns_of(first), Column(least=40, below=True)], cells, columns)
    keys = [thing_key(thing, number) for number, thing in enumerate(things)]
    entries = [entry(key, table.lines(of)) for key, of in zip(keys, cells, strict=True)]
    return [heading("head things", table.head), *entries]


def thing_key(thing: Frozen, number: int) -> str:
    """The key of a thing in a list: its code, or its number where it has none."""
    return str(getattr(thing, "code", number))


def _said_by_any(things: Sequence[Frozen], kind: type[Frozen]) -> list[Field]:
    """The fields that any of the things fills in, those that are usually filled first; its own name before all."""
    offered = offered_fields(kind)
    said = frozenset(f.name for f in offered if any(is_said(getattr(thing, f.name), f) for thing in things))
    first, _ = first_shown(kind, said)
    return [field for field in first if field.name in said]


def _columns_of(fields: Sequence[Field]) -> Iterator[Column]:
    for number, field in enumerate(fields):
        is_figure = field.kind in FIGURES
        least = 0 if is_figure or field.name == "code" else 12
        yield Column(field.label, least, right=is_figure, below=number > 1, lead=field.label)


def _thing_cells(thing: Frozen, first: Sequence[Field], rest: Sequence[Field]) -> list[Line]:
    ink = {"code": "bold accent"}
    cells = [typed(_value(thing, field), ink.get(field.name, ""), limit=MOST_LETTERS) for field in first]
    others = ((field.label, _value(thing, field)) for field in rest)
    said = ", ".join(f"{label} {words}" for label, words in others if words)
    is_empty = not said and not rest and not any(cells)
    return [*cells, typed("(empty)" if is_empty else said, "muted", limit=MOST_LETTERS)]


def _value(thing: Frozen, field: Field) -> str:
    """What a thing says in a field; nothing where it is as in a new one."""
    return shown(thing, field) if is_said(getattr(thing, field.name), field) else ""
