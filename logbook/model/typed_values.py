"""From what a person typed for a field of a record to its value, or to one sentence that says what would be taken.

Every typed value goes through the same validation as an imported document.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, NamedTuple, TypeVar, get_type_hints

from pydantic import TypeAdapter, ValidationError

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.currency import parse_currency, refuse_foreign
from logbook.model.dates_in_words import WEEKDAYS
from logbook.model.days import parse_day, parse_weekday
from logbook.model.edits import with_changes
from logbook.model.fields import Field, FieldKind, field_named, fields_of, shown_value
from logbook.model.limits import beyond
from logbook.model.measures import Effort, Estimate, Length, parse_minutes, parse_money
from logbook.model.moments import parse_clock, parse_moment
from logbook.model.unwritten import says_unwritten
from logbook.model.words import ALSO_CALLED

R = TypeVar("R", bound=Frozen)


class Context(NamedTuple):
    """What typed words are read against."""

    now: datetime | None = None
    """An aware time on the clock that is meant, for “tomorrow” and “Fri”; without it only whole dates are read."""
    currency: str = ""
    """The currency of the book; an amount in another one is refused."""


NO_CONTEXT = Context()


def as_typed(record: Frozen, field: Field) -> str:
    """The value as it would be typed to get it again; what an edit line starts with."""
    value = getattr(record, field.name)
    if value is None:
        return ""
    if field.kind is FieldKind.EFFORT:
        return str(value.low) if value.low == value.high else f"{value.low} / {value.likely} / {value.high}"
    if field.kind is FieldKind.MINUTES:
        return str(value)
    if field.kind is FieldKind.DATE:
        return f"{value:%Y-%m-%d}"
    if field.kind is FieldKind.MOMENT:
        return f"{value.astimezone() if value.tzinfo is UTC else value:%Y-%m-%d %H:%M}"
    return shown_value(value, field.kind)


def put(record: R, name: str, value: Any) -> R:
    """The record with the field `name` set to a value. Raises InputError when it does not fit."""
    try:
        return with_changes(record, **{name: value})
    except ValidationError as error:
        raise InputError(_first_sentence(error, type(record), field_named(type(record), name).label)) from error


def of_values(kind: type[R], values: Mapping[str, Any]) -> R:
    """A new record of these values. Raises InputError with a sentence when they do not go together."""
    try:
        return kind(**values)
    except ValidationError as error:
        raise InputError(_first_sentence(error, kind, "This")) from error


def plain_value(kind: type[Frozen], field: Field, text: str, context: Context = NO_CONTEXT) -> Any:
    """What was typed for a field that holds no records; an empty text is what a new record has there.

    Raises:
        InputError: it does not fit, or nothing was said and the record cannot be without it.
    """
    return fitting(kind, field, _value(field, text, context))


def fitting(kind: type[Frozen], field: Field, value: Any) -> Any:
    """The value as the field of that kind of record holds it. Raises InputError when it does not fit."""
    try:
        return _adapter(kind, field.name).validate_python(value, strict=True)
    except ValidationError as error:
        raise InputError(_first_sentence(error, kind, field.label)) from error


def parsed(kind: FieldKind, label: str, text: str) -> Any:
    """What was typed for a value of a kind that is no field of a record. Raises InputError with a sentence."""
    return _value(Field(label, label, "", kind, required=True, optional=False, choices=(), record=None), text)


@functools.cache
def _adapter(kind: type[Frozen], name: str) -> TypeAdapter[Any]:
    return TypeAdapter(get_type_hints(kind, include_extras=True)[name])


def _first_sentence(error: ValidationError, kind: type[Frozen], label: str) -> str:
    first = error.errors(include_url=False)[0]
    named = next((f.label for f in fields_of(kind) if first["loc"] and f.name == first["loc"][0]), label)
    if first["type"] == "value_error":
        return f"{named}: {first['ctx']['error']}."
    if first["type"] == "string_pattern_mismatch":
        if not str(first["input"])[:1].isalpha():
            return f"{named}: it begins with a letter, like {_example(str(first['ctx']['pattern']))}."
        return f"{named}: letters and digits only, like {_example(str(first['ctx']['pattern']))}."
    if first["type"] in ("string_too_short", "too_short"):
        return f"“{named}” is needed."
    if first["type"] == "less_than_equal":
        return f"{named} is at most {first['ctx']['le']}."
    return f"{named}: {first['msg'][:1].lower()}{first['msg'][1:]}."


def _example(pattern: str) -> str:
    if "{1,4}" in pattern:
        return "T05"
    return "R1" if "{0,7}" in pattern else "W6"


def _value(field: Field, text: str, context: Context = NO_CONTEXT) -> Any:
    words = text.strip()
    if not words:
        if field.required:
            raise InputError(f"“{field.label}” is needed.")
        return field.default
    if field.kind is FieldKind.TEXT:
        return field.default if says_unwritten(field, words) else words
    if field.kind in (FieldKind.MONEY, FieldKind.ESTIMATE) and context.currency:
        refuse_foreign(words, context.currency)
    value = _PARSERS[field.kind](field, words, context)
    if problem := beyond(value, field.least, field.name, field.kind):
        raise InputError(f"{field.label}: “{words[:40]}” {problem}")
    return value


def _parts(words: str) -> list[str]:
    return [p.strip() for p in words.split(";") if p.strip()]


def _whole(field: Field, words: str, _: Context) -> int:
    if not words.isascii() or not words.isdigit() or len(words) > 9:
        raise InputError(f"{field.label}: “{words[:40]}” is not a whole number. Type it like 4.")
    return int(words)


_FINE = re.compile(r"-?[0-9]{1,12}[.,][0-9]{5,9}", re.ASCII)


_OTHER_WORDS = re.compile(r"[^\W\d_]{4,}|[^\W\d_]\s+[^\W\d_]")
"""Words beside a number that are no unit of it: a long one, or several."""


_CODE = re.compile(r"(?![x×][0-9])[^\W\d_]+[0-9]", re.IGNORECASE)
"""Letters and a figure right behind them are a number or a size of something, “W4”, “M4”, “E27”; “x3” is a count."""


def parsed_number(words: str) -> Decimal:
    """A number as people write it, “0.75” or “0,33835”. Raises InputError when it is none."""
    if _OTHER_WORDS.search(words) or _CODE.match(words.strip()):
        raise InputError(f"“{words[:40]}” is more than a number.")
    if _FINE.fullmatch(words):  # finer than any amount of money, such as an area of 0.33835 m2
        return Decimal(words.replace(",", ".")).normalize() + 0
    return parse_money(words).normalize() + 0


def _number(field: Field, words: str, _: Context) -> Decimal:
    try:
        return parsed_number(words)
    except InputError as error:
        raise InputError(f"{field.label}: “{words[:40]}” is not a number like 0.75.") from error


def _three(field: Field, words: str, kind: type[Any], parse: Callable[[str], Any]) -> Any:
    parts = [p for p in words.split("/") if p.strip()]
    if len(parts) not in (1, 3):
        raise InputError(f"{field.label}: type one value, or three like 6 / 8 / 12 (low, likely, high).")
    values = [parse(p) for p in (parts if len(parts) == 3 else parts * 3)]
    try:
        return kind(low=values[0], likely=values[1], high=values[2])
    except ValidationError as error:
        raise InputError(f"{field.label}: the three must not decrease: low, likely, high.") from error


def _estimate(field: Field, words: str) -> Estimate:
    """One amount or three; three with only blanks between could be one grouped number, so they are refused."""
    numbers = words.split()
    if "/" not in words and len(numbers) > 1 and all(number[0].isdigit() for number in numbers):
        raise InputError(
            f"“{words[:40]}” is not one amount. Type it like 12.50, or low / likely / high like 8 / 12 / 18."
        )
    found: Estimate = _three(field, words, Estimate, parse_money)
    return found


YES, NO = ("yes", "y", "true", "x"), ("no", "n", "false", "-", "not")


def _flag(field: Field, words: str, _: Context) -> bool:
    for value, names in ((True, YES), (False, NO)):
        if words.lower() in names:
            return value
    raise InputError(f"{field.label}: type yes or no.")


def _choice(field: Field, words: str, _: Context) -> StrEnum:
    small = " ".join(ALSO_CALLED.get(word, word) for word in words.lower().split())
    exact = [c for c in field.choices if c.lower() in (words.lower(), small)]
    near = exact or [c for c in field.choices if c.lower().startswith(small)]
    if len(near) != 1:
        raise InputError(f"{field.label}: choose one of {', '.join(field.choices)}.")
    return near[0]


def _texts(field: Field, words: str, context: Context) -> tuple[str, ...]:
    """Several words with ; between; only those of a choice where it is one."""
    if field.choices:
        return tuple(_choice(field, part, context) for part in _parts(words))
    return tuple(_parts(words))


def _moment(field: Field, words: str, context: Context) -> datetime:
    now = context.now or datetime.now().astimezone()
    try:
        return parse_moment(words, now, past=not field.ahead)
    except InputError as error:
        raise InputError(f"{field.label}: {error}") from error


def _date(field: Field, words: str, context: Context) -> date:
    if context.now is None:
        try:
            return date.fromisoformat(words)
        except ValueError as error:
            raise InputError(f"{field.label}: type it like 2026-03-12.") from error
    return parse_day(words, context.now.date(), past=not field.ahead)


def _clock(_: Field, words: str, __: Context) -> str:
    return f"{parse_clock(words):%H:%M}"


def _weekday(field: Field, words: str, _: Context) -> int:
    number = parse_weekday(words)
    if number is None:
        names = ", ".join(name[:3].capitalize() for name in WEEKDAYS)
        raise InputError(f"{field.label}: “{words[:40]}” is not one of {names}.")
    return number


def _phrases(words: str) -> list[str]:
    return [p.strip() for p in words.split(",") if p.strip()]


_READINGS = re.compile(r"[0-9]{1,6}(?:[.,][0-9]{1,3})?(?:[ /]+[0-9]{1,6}(?:[.,][0-9]{1,3})?)+(?: ?mm)?", re.ASCII)


def _lengths(words: str) -> tuple[Length, ...]:
    """One length, or readings one behind the other as they are read off: “11.8 12.0 11.9”."""
    try:
        return (Length.of(words),)
    except InputError:
        if not _READINGS.fullmatch(words):
            raise
    return tuple(Length.of(part) for part in re.split(r"[ /]+", words.removesuffix("mm").strip()))


_PARSERS: dict[FieldKind, Callable[[Field, str, Context], Any]] = {
    FieldKind.COUNT: _whole,
    FieldKind.MINUTES: lambda _, words, __: parse_minutes(words),
    FieldKind.MONEY: lambda _, words, __: parse_money(words),
    FieldKind.NUMBER: _number,
    FieldKind.LENGTH: lambda _, words, __: Length.of(words),
    FieldKind.LENGTHS: lambda _, words, __: tuple(x for p in _parts(words) for x in _lengths(p)),
    FieldKind.ESTIMATE: lambda f, words, _: _estimate(f, words),
    FieldKind.EFFORT: lambda f, words, _: _three(f, words, Effort, parse_minutes),
    FieldKind.CHOICE: _choice,
    FieldKind.FLAG: _flag,
    FieldKind.MOMENT: _moment,
    FieldKind.DATE: _date,
    FieldKind.CLOCK: _clock,
    FieldKind.WEEKDAY: _weekday,
    FieldKind.TEXTS: _texts,
    FieldKind.CURRENCY: lambda _, words, __: parse_currency(words),
}
"""How each kind is read."""
