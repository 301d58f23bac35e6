"""Records and computed values as plain values for JSON: exact numbers as text, never a float."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from logbook.model.base import Frozen


def plain_values(value: Any) -> Any:
    """The value as dicts, lists, texts, whole numbers, true, false and null.

    Decimals become text such as "12.50". A fraction that ends becomes text as well; any other is written as
    "511/6", so that nothing is lost. Moments are ISO 8601 with their zone.

    Raises:
        TypeError: something in it has no form in JSON.
    """
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, str):
        return str(value)
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, Fraction):
        return fraction_words(value)
    if isinstance(value, datetime | date):
        return value.isoformat()
    return _compound(value)


def _compound(value: Any) -> Any:
    if isinstance(value, Frozen):
        return value.model_dump(mode="json")
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: plain_values(getattr(value, f.name)) for f in fields(value)}
    if hasattr(value, "_asdict"):  # a named tuple says what its parts are called
        return plain_values(value._asdict())
    if isinstance(value, Mapping):
        return {str(k): plain_values(v) for k, v in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        things = sorted(value) if isinstance(value, set | frozenset) else value
        return [plain_values(v) for v in things]
    raise TypeError(f"{type(value).__name__} has no form in JSON")


def fraction_words(value: Fraction) -> str:
    """An exact number as text: `85.24` when its decimals end, else `511/6`."""
    rest, places = value.denominator, 0
    for prime in (2, 5):
        power = 0
        while rest % prime == 0:
            rest, power = rest // prime, power + 1
        places = max(places, power)
    if rest != 1:
        return f"{value.numerator}/{value.denominator}"
    return format(Decimal(f"{value.numerator * 10**places // value.denominator}E-{places}"), "f")
