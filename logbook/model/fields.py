"""Any record as a form: its fields with labels and help, and how each is shown.

Screens need no knowledge of a record's fields: a field added to a record appears in its form, with its
docstring as help. What is typed for a field is read in `logbook.model.typed_values`.
"""

from __future__ import annotations

import functools
import types
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, NamedTuple, Union, get_args, get_origin, get_type_hints

from pydantic import AwareDatetime

from logbook.model.base import Frozen, Marked
from logbook.model.dates_in_words import WEEKDAYS, whole_day
from logbook.model.field_help import help_of
from logbook.model.measures import Effort, Estimate, Length, hours_and_minutes
from logbook.model.moments import whole_moment


class FieldKind(StrEnum):
    """How a field is typed."""

    TEXT = "text"
    COUNT = "whole number"
    MINUTES = "time"
    MONEY = "amount"
    NUMBER = "number"
    LENGTH = "length"
    ESTIMATE = "amount: low / likely / high"
    EFFORT = "time: low / likely / high"
    CHOICE = "choice"
    FLAG = "yes or no"
    MOMENT = "date and time"
    DATE = "date"
    CLOCK = "time of day"
    WEEKDAY = "weekday"
    TEXTS = "list of words"
    LENGTHS = "list of lengths"
    CURRENCY = "currency"
    RECORD = "details"
    RECORDS = "list"


class Field(NamedTuple):
    """One field of a record as a form sees it."""

    name: str
    label: str
    help: str
    kind: FieldKind
    required: bool
    """A new record cannot be made without it."""
    optional: bool
    """It may be unknown (None)."""
    choices: tuple[StrEnum, ...]
    """For a choice; for several words the words that are taken."""
    record: type[Frozen] | None
    """For details and lists: the kind of record inside."""
    least: str = ""
    """“above zero” or “from zero” for a number that is limited when it is typed."""
    ahead: bool = False
    """A day without a year lies ahead of today, not behind it."""
    default: Any = None
    """What a new record has there, when it is not required."""


_LABELS = {
    "at": "when",
    "by": "initials",
    "then": "becomes",
    "each_of": "each of set",
    "inside": "in sub-assembly",
    "order": "order rests on",
    "one_way": "one-way",
    "per_m2": "price per m2",
    "per_m": "price per m",
    "sha256": "checksum",
    "weight_kg": "weight, kg",
    "mass_g": "mass, g",
    "chance_percent": "chance, %",
    "if_missed": "if window missed",
    "start": "from",
    "end": "to",
    "local_code": "per local code",
}
_OWN_LABELS = {
    "Panel.at": "at",
    "HeldDimension.at": "at",
    "PanelJoint.end": "end",
    "Part.price": "price for all",
    "FreeTime.minutes": "how long",
}
"""Labels of single fields whose name means something else in other records."""
_KEPT_BY_THE_PROGRAM = {
    "Unit": {"touched", "refit", "step_letter", "layouts", "to_look_at"},
    "Shop": {"plan", "to_look_at"},
    "Photo": {"sha256", "marks", "linked", "for_next"},
    "Attachment": {"sha256"},
}
"""Fields that a form does not offer, because they are written elsewhere: by the program, or drawn on a picture."""


@functools.cache
def fields_of(kind: type[Frozen]) -> tuple[Field, ...]:
    """The fields of a kind of record, in the order in which they stand in it."""
    hints = get_type_hints(kind, include_extras=True)
    fields = []
    for name, info in kind.model_fields.items():
        marks, inner, optional = _plain_type(hints[name])
        what, record, choices = _kind_of(inner, marks)
        label = _OWN_LABELS.get(f"{kind.__name__}.{name}") or _LABELS.get(name, name.replace("_", " "))
        text = " ".join(help_of(kind).get(name, "").split())
        least = next((m for m in marks if m.endswith("zero")), "")
        needed = info.is_required()
        default = None if needed else info.get_default(call_default_factory=True, validated_data={})
        ahead = "ahead" in marks
        fields.append(Field(name, label, text, what, needed, optional, choices, record, least, ahead, default))
    return tuple(fields)


def offered_fields(kind: type[Frozen]) -> tuple[Field, ...]:
    """The fields that a person fills in; the others are kept by the program."""
    unseen = _KEPT_BY_THE_PROGRAM.get(kind.__name__, set())
    return tuple(f for f in fields_of(kind) if f.name not in unseen)


def field_named(kind: type[Frozen], name: str) -> Field:
    """The field called `name`. Raises KeyError when the record has none."""
    return next(f for f in fields_of(kind) if f.name == name) if name in kind.model_fields else _no_field(kind, name)


def _no_field(kind: type[Frozen], name: str) -> Field:
    raise KeyError(f"{kind.__name__} has no field {name}")


def shown(record: Frozen, field: Field) -> str:
    """The value of a field as a person reads it; empty when nothing was said."""
    return shown_value(getattr(record, field.name), field.kind)


def shown_value(value: Any, kind: FieldKind) -> str:
    """One value in words."""
    if value is None or value in ("", ()):
        return ""
    return _SHOWN.get(kind, str)(value)


def _length_words(value: Length) -> str:
    return value.typed or f"{value.in_mm()} mm"


def _three_words(value: Estimate | Effort, words: Callable[[Any], str]) -> str:
    """Low, likely, high; one alone when they are the same."""
    three = (words(value.low), words(value.likely), words(value.high))
    return three[0] if value.low == value.high else " / ".join(three)


def _records_words(values: tuple[Frozen, ...]) -> str:
    return f"{len(values)}: " + "; ".join(in_a_line(v) for v in values[:4]) + (" …" if len(values) > 4 else "")


def is_said(value: Any, field: Field) -> bool:
    """Whether a value of a field says more than that nothing was said."""
    if value in (None, "", ()):
        return False
    return field.required or value != field.default


def in_a_line(record: Frozen) -> str:
    """A record inside another one, in one line: its values in order, without what was not said."""
    parts = []
    before: set[object] = set()
    thick_and_long = _thick_and_long(record)
    if thick_and_long:
        parts.append(thick_and_long)
    for field in fields_of(type(record)):
        if thick_and_long and field.name in _THICK_AND_LONG:
            continue
        value = getattr(record, field.name)
        measure = _measure_of(field)
        taken = measure in before - {None} and not _is_across(type(record))
        before.add(measure)
        if not is_said(value, field):
            continue
        words = shown_value(value, field.kind)
        parts.append(f"{field.label} {words}" if taken else _part_of_a_line(field, words))
    return (" x " if _is_across(type(record)) else ", ").join(parts)


_THICK_AND_LONG = ("diameter", "length")
"""Names of the two fields that the trade says as one size, when a record begins with them."""


def _thick_and_long(record: Frozen) -> str:
    """How thick and how long a fastener is: `Ø5 x 35`, `Ø5`, `length 35`; empty when neither was said."""
    names = tuple(field.name for field in fields_of(type(record)))
    if names[:2] != _THICK_AND_LONG:
        return ""
    thick, long = (getattr(record, name) for name in _THICK_AND_LONG)
    if thick is None:
        return "" if long is None else f"length {_length_words(long)}"
    size = f"Ø{_length_words(thick)}"
    return size if long is None else f"{size} x {_length_words(long)}"


def _measure_of(field: Field) -> object:
    """What a figure looks like: the first of that look stands alone, each later one with its label."""
    if field.kind in (FieldKind.LENGTH, FieldKind.MONEY):
        return field.kind
    across = field.kind is FieldKind.RECORD and field.record is not None and _is_across(field.record)
    return "across" if across else None


def _is_across(kind: type[Frozen]) -> bool:
    """Whether it is a size or a place: two lengths and nothing else."""
    return [f.kind for f in fields_of(kind)] == [FieldKind.LENGTH] * 2


def _part_of_a_line(field: Field, words: str) -> str:
    if field.kind is FieldKind.FLAG:
        return field.label if words == "yes" else f"not {field.label}"
    says_itself = field.kind is FieldKind.MINUTES and field.label in ("minutes", "how long")  # “2:00 h” names its unit
    return f"{field.label} {words}" if field.kind in _LABELLED and not says_itself else words


_LABELLED = frozenset({FieldKind.COUNT, FieldKind.MINUTES, FieldKind.NUMBER, FieldKind.DATE, FieldKind.RECORDS})


_SHOWN: dict[FieldKind, Callable[[Any], str]] = {
    FieldKind.FLAG: lambda v: "yes" if v else "no",
    FieldKind.MINUTES: hours_and_minutes,
    FieldKind.LENGTH: _length_words,
    FieldKind.LENGTHS: lambda v: "; ".join(_length_words(x) for x in v),
    FieldKind.ESTIMATE: lambda v: _three_words(v, str),
    FieldKind.EFFORT: lambda v: _three_words(v, hours_and_minutes),
    FieldKind.MOMENT: whole_moment,
    FieldKind.DATE: whole_day,
    FieldKind.WEEKDAY: lambda v: WEEKDAYS[v - 1].capitalize() if 1 <= v <= len(WEEKDAYS) else str(v),
    FieldKind.TEXTS: lambda v: "; ".join(str(part) for part in v),
    FieldKind.RECORD: in_a_line,
    FieldKind.RECORDS: _records_words,
}


def _plain_type(hint: Any) -> tuple[tuple[str, ...], Any, bool]:
    """Marks, the type without Annotated and None, and whether None was allowed."""
    marks: list[str] = []
    optional = False
    while True:
        origin = get_origin(hint)
        if origin is Annotated:
            inner, *metadata = get_args(hint)
            marks += [m.unit for m in metadata if isinstance(m, Marked)]
            hint = inner
        elif origin in (Union, types.UnionType):
            kinds = [a for a in get_args(hint) if a is not type(None)]
            optional = optional or len(kinds) < len(get_args(hint))
            hint = kinds[0]
        else:
            return tuple(marks), hint, optional


_BY_TYPE: dict[Any, FieldKind] = {
    bool: FieldKind.FLAG,
    int: FieldKind.COUNT,
    Decimal: FieldKind.NUMBER,
    Length: FieldKind.LENGTH,
    Estimate: FieldKind.ESTIMATE,
    Effort: FieldKind.EFFORT,
    datetime: FieldKind.MOMENT,
    AwareDatetime: FieldKind.MOMENT,
    date: FieldKind.DATE,
}


def _kind_of(inner: Any, marks: tuple[str, ...]) -> tuple[FieldKind, type[Frozen] | None, tuple[StrEnum, ...]]:
    marked = {
        "minutes": FieldKind.MINUTES,
        "money": FieldKind.MONEY,
        "currency": FieldKind.CURRENCY,
        "clock": FieldKind.CLOCK,
        "weekday": FieldKind.WEEKDAY,
    }
    kind = next((marked[m] for m in marks if m in marked), None) or _BY_TYPE.get(inner)
    if kind is not None:
        return kind, None, ()
    if get_origin(inner) is tuple:
        _, item, _ = _plain_type(get_args(inner)[0])
        if item is Length:
            return FieldKind.LENGTHS, None, ()
        if isinstance(item, type) and issubclass(item, StrEnum):
            return FieldKind.TEXTS, None, tuple(item)
        return (FieldKind.RECORDS, item, ()) if _is_record(item) else (FieldKind.TEXTS, None, ())
    if isinstance(inner, type) and issubclass(inner, StrEnum):
        return FieldKind.CHOICE, None, tuple(inner)
    return (FieldKind.RECORD, inner, ()) if _is_record(inner) else (FieldKind.TEXT, None, ())


def _is_record(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Frozen)
