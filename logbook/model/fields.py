"""Any record as a form: its fields with labels, how each is shown, and a new record from what was typed.

Screens need no knowledge of a record's fields: a field added to a record appears in its form, with its
docstring as help. Every typed value goes through the same validation as an imported document.
"""

from __future__ import annotations

import functools
import re
import types
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Annotated, Any, NamedTuple, TypeVar, Union, get_args, get_origin, get_type_hints

from pydantic import AwareDatetime, ValidationError

from logbook.errors import InputError
from logbook.model.base import Frozen, Marked
from logbook.model.currency import parse_currency
from logbook.model.edits import with_changes
from logbook.model.limits import beyond
from logbook.model.measures import (
    Effort,
    Estimate,
    Length,
    hours_and_minutes,
    parse_minutes,
    parse_money,
)

R = TypeVar("R", bound=Frozen)


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
    record: type[Frozen] | None
    """For details and lists: the kind of record inside."""
    least: str = ""
    """“above zero” or “from zero” for a number that is limited when it is typed."""


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
_UNSEEN = frozenset({"sha256", "touched", "refit", "step_letter"})
"""Fields that a form of the unit or a photo does not offer, because the program keeps them."""


@functools.cache
def fields_of(kind: type[Frozen]) -> tuple[Field, ...]:
    """The fields of a kind of record, in the order in which they stand in it."""
    hints = get_type_hints(kind, include_extras=True)
    fields = []
    for name, info in kind.model_fields.items():
        marks, inner, optional = _plain_type(hints[name])
        what, record, choices = _kind_of(inner, marks)
        label = _LABELS.get(name, name.replace("_", " "))
        text = " ".join((info.description or "").split())
        least = next((m for m in marks if m.endswith("zero")), "")
        fields.append(Field(name, label, text, what, info.is_required(), optional, choices, record, least))
    return tuple(fields)


def offered_fields(kind: type[Frozen]) -> tuple[Field, ...]:
    """The fields that a person fills in; the others are kept by the program."""
    seen = fields_of(kind)
    return tuple(f for f in seen if f.name not in _UNSEEN or (f.name == "refit" and kind.__name__ == "Step"))


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


def _estimate_words(value: Estimate) -> str:
    return str(value.likely) if value.low == value.high else f"{value.low} / {value.likely} / {value.high}"


def _records_words(values: tuple[Frozen, ...]) -> str:
    return f"{len(values)}: " + "; ".join(in_a_line(v) for v in values[:4]) + (" …" if len(values) > 4 else "")


def in_a_line(record: Frozen) -> str:
    """A record inside another one, in one line: its values in order, without what was not said."""
    parts = []
    for field in fields_of(type(record)):
        value = getattr(record, field.name)
        info = type(record).model_fields[field.name]
        default = None if info.is_required() else info.get_default(call_default_factory=True, validated_data={})
        if value == default or value in (None, "", ()):
            continue
        words = shown_value(value, field.kind)
        parts.append(f"{field.label} {words}" if field.kind in _LABELLED else field.label if words == "yes" else words)
    return ", ".join(parts)


_LABELLED = frozenset({FieldKind.COUNT, FieldKind.MINUTES, FieldKind.NUMBER, FieldKind.DATE, FieldKind.RECORDS})


def as_typed(record: Frozen, field: Field) -> str:
    """The value as it would be typed to get it again; what an edit line starts with."""
    value = getattr(record, field.name)
    if field.kind is FieldKind.EFFORT and value is not None:
        return f"{value.low} / {value.likely} / {value.high}"
    if field.kind is FieldKind.MINUTES and value is not None:
        return str(value)
    return shown_value(value, field.kind)


def typed(record: R, name: str, text: str) -> R:
    """The record with the field `name` set to what was typed; an empty text clears it.

    Raises:
        InputError: the text does not fit the field; the sentence says how to type it.
    """
    field = field_named(type(record), name)
    return put(record, name, _value(field, text))


def put(record: R, name: str, value: Any) -> R:
    """The record with the field `name` set to a value. Raises InputError when it does not fit."""
    try:
        return with_changes(record, **{name: value})
    except ValidationError as error:
        raise InputError(_first_sentence(error, field_named(type(record), name).label)) from error


def made(kind: type[R], answers: Mapping[str, str]) -> R:
    """A new record from typed answers. Raises InputError for the first that is missing or does not fit."""
    values: dict[str, Any] = {}
    for field in fields_of(kind):
        text = answers.get(field.name, "")
        if field.required and not text.strip():
            raise InputError(f"“{field.label}” is needed.")
        if text.strip():
            values[field.name] = _value(field, text)
    try:
        return kind(**values)
    except ValidationError as error:
        raise InputError(_first_sentence(error, "It")) from error


def _first_sentence(error: ValidationError, label: str) -> str:
    first = error.errors(include_url=False)[0]
    if first["type"] == "value_error":
        return f"{label}: {first['ctx']['error']}."
    if first["type"] == "string_pattern_mismatch":
        return f"{label}: a code is letters and digits, like {_example(str(first['ctx']['pattern']))}."
    if first["type"] in ("string_too_short", "too_short"):
        return f"{label} may not be empty."
    return f"{label}: {first['msg'][:1].lower()}{first['msg'][1:]}."


def _example(pattern: str) -> str:
    return "T05" if "{1,4}" in pattern else "R1" if "{0,7}" in pattern else "W6"


def _value(field: Field, text: str) -> Any:
    words = text.strip()
    if field.kind is FieldKind.TEXT:
        return text
    if words:
        parse = _PARSERS.get(field.kind)
        if parse is None:
            raise InputError(f"{field.label} is opened with Enter, not typed.")
        return _in_limits(field, words, parse(field, words))
    if field.kind in _EMPTY:
        return _EMPTY[field.kind]
    if field.optional:
        return None
    raise InputError(f"{field.label} may not be empty.")


def parsed(kind: FieldKind, label: str, text: str) -> Any:
    """What was typed for a value of a kind that is no field of a record. Raises InputError with a sentence."""
    return _value(Field(label, label, "", kind, required=True, optional=False, choices=(), record=None), text)


def _in_limits(field: Field, words: str, value: Any) -> Any:
    """The value, when the field may hold so much. Raises InputError with a sentence when it may not."""
    if problem := beyond(value, field.least, field.name, field.kind):
        raise InputError(f"{field.label}: “{words[:40]}” {problem}")
    return value


_EMPTY: dict[FieldKind, Any] = {
    FieldKind.TEXTS: (),
    FieldKind.LENGTHS: (),
    FieldKind.RECORDS: (),
    FieldKind.FLAG: False,
}


def _parts(words: str) -> list[str]:
    return [p.strip() for p in words.split(";") if p.strip()]


def _whole(field: Field, words: str) -> int:
    if not words.isascii() or not words.isdigit() or len(words) > 9:
        raise InputError(f"{field.label}: “{words[:40]}” is not a whole number.")
    return int(words)


_FINE = re.compile(r"-?[0-9]{1,12}[.,][0-9]{5,9}", re.ASCII)


def _number(field: Field, words: str) -> Decimal:
    if _FINE.fullmatch(words):  # finer than any amount of money, such as an area of 0.33835 m2
        return Decimal(words.replace(",", ".")).normalize() + 0
    try:
        return parse_money(words).normalize() + 0
    except InputError as error:
        raise InputError(f"{field.label}: “{words[:40]}” is not a number like 0.75.") from error


def _three(field: Field, words: str, kind: type[Any], parse: Any) -> Any:
    parts = [p for p in words.split("/") if p.strip()]
    if len(parts) not in (1, 3):
        raise InputError(f"{field.label}: type one value, or three like 6 / 8 / 12 (low, likely, high).")
    values = [parse(p) for p in (parts if len(parts) == 3 else parts * 3)]
    try:
        return kind(low=values[0], likely=values[1], high=values[2])
    except ValidationError as error:
        raise InputError(f"{field.label}: the three must not decrease: low, likely, high.") from error


def _flag(field: Field, words: str) -> bool:
    for value, names in ((True, ("yes", "y", "true", "x")), (False, ("no", "n", "false", "-"))):
        if words.lower() in names:
            return value
    raise InputError(f"{field.label}: type yes or no.")


def _choice(field: Field, words: str) -> StrEnum:
    exact = [c for c in field.choices if c.lower() == words.lower()]
    near = exact or [c for c in field.choices if c.lower().startswith(words.lower())]
    if len(near) != 1:
        raise InputError(f"{field.label}: choose one of {', '.join(field.choices)}.")
    return near[0]


def _moment(field: Field, words: str) -> datetime:
    try:
        moment = datetime.fromisoformat(words)
    except ValueError as error:
        raise InputError(f"{field.label}: type it like 2026-03-12 20:41.") from error
    try:
        return moment.astimezone(UTC)
    except OverflowError as error:
        raise InputError(f"{field.label}: “{words[:40]}” is no time of the calendar.") from error


def _date(field: Field, words: str) -> date:
    try:
        return date.fromisoformat(words)
    except ValueError as error:
        raise InputError(f"{field.label}: type it like 2026-03-12.") from error


def _phrases(words: str) -> list[str]:
    return [p.strip() for p in words.split(",") if p.strip()]


def _inside(field: Field) -> tuple[type[Frozen], list[Field]]:
    """The kind of record inside a field, and what such a record cannot do without."""
    if field.record is None:
        raise InputError(f"{field.label} is opened with Enter, not typed.")
    needed = [f for f in fields_of(field.record) if f.required]
    if not needed:
        raise InputError(f"{field.label} is opened with Enter, not typed.")
    return field.record, needed


def _details(field: Field, words: str) -> Frozen:
    """What is needed of one record, in its order: “120, 80” for a place."""
    kind, needed = _inside(field)
    phrases = _phrases(words)
    if len(phrases) != len(needed):
        wanted = ", ".join(f.label for f in needed)
        raise InputError(f"{field.label}: type {wanted}, with a comma between.")
    return made(kind, {f.name: phrase for f, phrase in zip(needed, phrases, strict=True)})


def _things(field: Field, words: str) -> tuple[Frozen, ...]:
    """Several records that each need one thing said: “left, right” for the members of a set."""
    kind, needed = _inside(field)
    if len(needed) > 1:
        raise InputError(f"{field.label} is opened with Enter, not typed.")
    return tuple(made(kind, {needed[0].name: phrase}) for phrase in _phrases(words))


def _texts(field: Field, words: str) -> tuple[Any, ...]:
    """Several texts; of a closed list, those of the list."""
    if field.choices:
        return tuple(_choice(field, part) for part in _parts(words))
    return tuple(_parts(words))


_SHOWN: dict[FieldKind, Callable[[Any], str]] = {
    FieldKind.FLAG: lambda v: "yes" if v else "no",
    FieldKind.MINUTES: hours_and_minutes,
    FieldKind.LENGTH: _length_words,
    FieldKind.LENGTHS: lambda v: "; ".join(_length_words(x) for x in v),
    FieldKind.ESTIMATE: _estimate_words,
    FieldKind.EFFORT: lambda v: " / ".join(hours_and_minutes(m) for m in (v.low, v.likely, v.high)),
    FieldKind.MOMENT: lambda v: f"{v.astimezone():%Y-%m-%d %H:%M}",
    FieldKind.TEXTS: "; ".join,
    FieldKind.RECORD: in_a_line,
    FieldKind.RECORDS: _records_words,
}

_PARSERS: dict[FieldKind, Callable[[Field, str], Any]] = {
    FieldKind.COUNT: _whole,
    FieldKind.MINUTES: lambda _, words: parse_minutes(words),
    FieldKind.MONEY: lambda _, words: parse_money(words),
    FieldKind.NUMBER: _number,
    FieldKind.LENGTH: lambda _, words: Length.of(words),
    FieldKind.LENGTHS: lambda _, words: tuple(Length.of(p) for p in _parts(words)),
    FieldKind.ESTIMATE: lambda f, words: _three(f, words, Estimate, parse_money),
    FieldKind.EFFORT: lambda f, words: _three(f, words, Effort, parse_minutes),
    FieldKind.CHOICE: _choice,
    FieldKind.FLAG: _flag,
    FieldKind.MOMENT: _moment,
    FieldKind.DATE: _date,
    FieldKind.TEXTS: _texts,
    FieldKind.CURRENCY: lambda _, words: parse_currency(words),
    FieldKind.RECORD: _details,
    FieldKind.RECORDS: _things,
}
"""How each kind is read. Details and lists in one line hold only what is needed; the rest is filled in opened."""


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
    marked = {"minutes": FieldKind.MINUTES, "money": FieldKind.MONEY, "currency": FieldKind.CURRENCY}
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
