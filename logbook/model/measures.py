"""Lengths and money, exact: nothing typed in millimetres, inches or currency is ever rounded in a record.

A length is held as a whole number of ticks. One tick is 1/80,000 mm, the coarsest step in which 0.01 mm,
1/128 in and 0.001 in are all whole (0.01 mm = 800, 1/128 in = 15,875 and 0.001 in = 2,032 ticks; an inch
is 25.4 mm by the international agreement of 1959). Every whole tick is an exact decimal number of
millimetres, so the stored JSON reads as millimetres and keeps the text as it was typed beside it.
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, GetJsonSchemaHandler, PlainSerializer, model_serializer, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema

from logbook.errors import InputError
from logbook.model.base import Frozen, Marked, Minutes, Name, Text

TICKS_PER_MM = 80_000
MM_PER_INCH = Fraction(254, 10)
MOST_MM = 10**9
"""1,000 km: a length from here on is a slip of the unit."""

LengthUnit = Literal["mm", "in"]

_VULGAR = str.maketrans(
    {c: f" {n}/{d}" for c, (n, d) in {
        "½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
    }.items()}
    | {"″": '"', "′": "'", "”": '"', "’": "'", "−": "-", "\u2044": "/"}
)  # fmt: skip
_LENGTH = re.compile(
    r"""(?P<minus>-)?\ ?
        (?:(?P<feet>\d{1,6})\ ?(?:'|feet|foot|ft)\ ?-?\ ?)?
        (?:(?P<whole>\d{1,9}(?:[.,]\d{1,9})?)(?![\d/]))?
        (?:[\ -]?(?P<over>\d{1,6})/(?P<under>\d{1,6}))?
        \ ?(?P<unit>mm|cm|m|inches|inch|in|")?""",
    re.ASCII | re.VERBOSE | re.IGNORECASE,
)
_TO_MM: dict[str, Fraction] = {
    "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000),
    "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, '"': MM_PER_INCH,
}  # fmt: skip
_MM = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,12})?", re.ASCII)
_MONEY = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,4})?", re.ASCII)
_NUMBER = re.compile(r"-?[0-9]{1,12}(\.[0-9]{1,9})?", re.ASCII)
_TYPED_MONEY = re.compile(r"(-?)[^\d,.\-]{0,4}\s?([0-9]{1,12})(?:[.,]([0-9]{1,4}))?\s?[^\d,.\-]{0,4}", re.ASCII)


def parse_length(text: str, default: LengthUnit = "mm") -> Fraction:
    """The length that a person typed, in exact millimetres.

    Args:
        text: `12`, `12.5 mm`, `12,5`, `3/4`, `23 5/16 in`, `1½"`, `1' 2-1/2"`. A bare fraction is inches.
        default: the unit of a number typed without one.

    Raises:
        InputError: the text is no length, or is finer than 1/80,000 mm.
    """
    shown = text if len(text) <= 40 else text[:40] + "…"
    match = _LENGTH.fullmatch(re.sub(r"\s+", " ", text.translate(_VULGAR)).strip())
    if match is None or not (match["feet"] or match["whole"] or match["over"]) or _mixed(match):
        raise InputError(f"“{shown}” is not a length. Type it like 12.5, 12.5 mm, 3/4, 23 5/16 in or 1' 2-1/2\".")
    unit = (match["unit"] or "").lower()
    if match["under"] and int(match["under"]) == 0:
        raise InputError(f"“{shown}” divides by zero.")
    if match["feet"] and unit in ("mm", "cm", "m"):
        raise InputError(f"“{shown}” mixes feet with {unit}. Use feet and inches, or millimetres.")
    value = Fraction((match["whole"] or "0").replace(",", ".")) + 12 * int(match["feet"] or 0)
    if match["over"]:
        value += Fraction(int(match["over"]), int(match["under"]))
    inches = bool(match["feet"] or match["over"]) and not unit
    millimetres = value * _TO_MM[unit or ("in" if inches else default)] * (-1 if match["minus"] else 1)
    if (millimetres * TICKS_PER_MM).denominator != 1:
        raise InputError(f"“{shown}” is finer than can be kept. Use halves to 128ths of an inch, or 0.01 mm.")
    if abs(millimetres) >= MOST_MM:
        raise InputError(f"“{shown}” is longer than 1,000 km. Check the unit.")
    return millimetres


def _mixed(match: re.Match[str]) -> bool:
    """Whether a number with decimals stands before a fraction, as in `12.5 1/2`: a slip, not a length."""
    return bool(match["over"]) and not (match["whole"] or "0").isdigit()


def _exact_decimal(value: Fraction) -> Decimal:
    """A whole number of ticks as a decimal number of millimetres, without rounding or an exponent."""
    ticks = value * TICKS_PER_MM
    # 1/80,000 = 0.0000125, so seven places always suffice.
    number = Decimal(int(ticks) * 125).scaleb(-7).normalize()
    return number if number.as_tuple().exponent in range(-7, 1) else number.quantize(Decimal(1))


class Length(Frozen):
    """A length, exact, with the text as it was typed kept beside it.

    In JSON it is `{"mm": "19.05", "typed": "3/4"}`; a plain text such as `"3/4 in"` is read as well.
    """

    mm: Decimal
    """Exact millimetres; always a whole number of 1/80,000 mm."""
    typed: Text = ""
    """As typed; empty when the length was computed."""

    @model_validator(mode="before")
    @classmethod
    def _read(cls, value: Any) -> Any:
        if isinstance(value, str):
            try:
                return {"mm": _exact_decimal(parse_length(value)), "typed": value.strip()}
            except InputError as error:
                raise ValueError(str(error)) from error
        if isinstance(value, dict) and isinstance(value.get("mm"), str):
            if not _MM.fullmatch(value["mm"]):
                raise ValueError("mm is a decimal number in quotes, like “12.5”")
            return {**value, "mm": Decimal(value["mm"])}
        if not isinstance(value, Length) and not (isinstance(value, dict) and isinstance(value.get("mm"), Decimal)):
            raise ValueError("a length is text like “12.5 mm”, or mm as a decimal number in quotes")  # noqa: TRY004
        return value

    @model_validator(mode="after")
    def _whole_ticks(self) -> Length:
        # Places are counted before anything is computed: 1E+999999999 overflows, and a fraction of
        # 1E-999999999 would never be done.
        if not self.mm.is_finite() or self.mm.adjusted() >= 9:
            raise ValueError("a length must be a number below 1,000 km")
        if int(self.mm.as_tuple().exponent) < -12 or (Fraction(self.mm) * TICKS_PER_MM).denominator != 1:
            raise ValueError("a length is a whole number of 1/80,000 mm (0.0000125 mm)")
        return self

    @classmethod
    def __get_pydantic_json_schema__(cls, core: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """A text as typed, or the object as written; never a JSON number, which may be a float."""
        length = handler.resolve_ref_schema(handler(core))
        length["properties"]["mm"] = {"type": "string", "pattern": f"^{_MM.pattern}$"}
        length["properties"]["typed"]["description"] = "As typed; empty when the length was computed."
        as_typed = {"type": "string", "description": "As typed, such as `12.5 mm` or `3/4`."}
        return {"anyOf": [{**length, "title": "Exact"}, as_typed], "title": "Length"}

    @model_serializer
    def _write(self) -> dict[str, str]:
        return {"mm": format(self.mm, "f"), "typed": self.typed} if self.typed else {"mm": format(self.mm, "f")}

    @classmethod
    def of(cls, text: str, default: LengthUnit = "mm") -> Length:
        """The length typed as `text`. Raises InputError with a sentence when it is none."""
        return cls(mm=_exact_decimal(parse_length(text, default)), typed=text.strip())

    @classmethod
    def from_ticks(cls, ticks: int) -> Length:
        """A computed length of so many 1/80,000 mm."""
        return cls(mm=_exact_decimal(Fraction(ticks, TICKS_PER_MM)))

    @property
    def ticks(self) -> int:
        """Whole 1/80,000 mm: what computations add and compare."""
        return int(self.mm * TICKS_PER_MM)

    def in_mm(self) -> str:
        """To 0.01 mm, as screens show it: `12.5`, `11.8`, `19.05`."""
        text = format(self.mm.quantize(Decimal("0.01")), "f").rstrip("0").rstrip(".")
        return "0" if text == "-0" else text


def _written(value: Decimal) -> str:
    """As it stands in a document; empty when no document could hold it, however long it took to write."""
    return format(value, "f") if value.is_finite() and -20 < value.adjusted() < 20 else ""


def _money(value: Any) -> Any:
    text = _written(value) if isinstance(value, Decimal) else value
    if not isinstance(text, str) or not _MONEY.fullmatch(text):
        raise ValueError("money is a decimal number in quotes with at most four places, like “12.50”")
    return value if isinstance(value, Decimal) else Decimal(text)


Money = Annotated[
    Decimal,
    BeforeValidator(_money, json_schema_input_type=str),
    PlainSerializer(lambda d: format(d, "f"), return_type=str, when_used="json"),
    Marked("money"),
]
"""An exact amount in the currency of the book. JSON has it in quotes, because a JSON number may be a float."""


def _number(value: Any) -> Any:
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) < 10**12:
        return Decimal(value)
    text = _written(value) if isinstance(value, Decimal) else value
    if not isinstance(text, str) or not _NUMBER.fullmatch(text):
        raise ValueError("this is a decimal number in quotes, like “0.75”, or a whole number")
    return value if isinstance(value, Decimal) else Decimal(text)


Number = Annotated[
    Decimal,
    BeforeValidator(_number, json_schema_input_type=str | int),
    PlainSerializer(lambda d: format(d, "f"), return_type=str, when_used="json"),
]
"""An exact decimal number that is neither money nor a length: an area, a rate, a percentage."""


AboveZero = Annotated[Number, Marked("above zero")]
"""A number that a person types above zero and below a million: a pack, a rate, parts of a mix. Checked when typed."""

FromZero = Annotated[Number, Marked("from zero")]
"""A number that a person types from zero up to a million: what is in stock, a waste."""

Price = Annotated[Money, Marked("from zero")]
"""An amount that a person types from zero up to a million."""


Currency = Annotated[Name, Marked("currency")]
"""The currency of a book: a code of ISO 4217; old books may have only its sign. Checked when typed."""


def parse_money(text: str) -> Decimal:
    """The amount that a person typed: `12`, `12.50`, `12,50`, `$12.50`. Raises InputError with a sentence."""
    shown = text if len(text) <= 40 else text[:40] + "…"
    if not text.strip():
        raise InputError("An amount is needed. Type it like 12.50.")
    match = _TYPED_MONEY.fullmatch(text.strip())
    if match is None:
        raise InputError(f"“{shown}” is not an amount. Type it like 12.50.")
    if len(match[3] or "") == 3 and len(match[2]) <= 3 and int(match[2]):
        one, other = f"{match[2]}{match[3]}", f"{match[2]}.{match[3]}"
        raise InputError(f"“{shown}” could be {one} or {other}. Type {one} or {other}0.")
    return Decimal(f"{match[1]}{match[2]}.{match[3] or '0'}").quantize(Decimal(10) ** -max(2, len(match[3] or "")))


_HOURS = re.compile(r"(\d{1,6})(?:[.,](\d{1,3}))? ?(?:h|hours?)", re.ASCII)
_CLOCK = re.compile(r"(?:(\d{1,6}) ?(?::|h) ?)?(\d{1,7}) ?(?:m|min|minutes?)?", re.ASCII)
_SHOWN_HOURS = re.compile(r"(\d{1,6}):([0-5]\d) ?h", re.ASCII)


def parse_minutes(text: str) -> int:
    """The length of time that a person typed, in whole minutes: `45`, `45 min`, `1:30`, `1h30`, `1.5 h`.

    Raises:
        InputError: it is none, or no whole number of minutes.
    """
    words = " ".join(text.lower().split())
    if hours := _HOURS.fullmatch(words):
        minutes = Fraction(f"{hours[1]}.{hours[2] or 0}") * 60
        if minutes.denominator != 1:
            raise InputError(f"“{words[:40]}” is no whole number of minutes. Type minutes, or hours like 1.5 h.")
        return int(minutes)
    if clock := _CLOCK.fullmatch(words) or _SHOWN_HOURS.fullmatch(words):
        return int(clock[1] or 0) * 60 + int(clock[2])
    raise InputError(f"“{words[:40]}” is no length of time. Type it like 45, 1:30 or 1.5 h.")


def hours_and_minutes(minutes: int) -> str:
    """Minutes as people read them: `45 min`, `1:30 h`."""
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60}:{minutes % 60:02d} h"


class Estimate(Frozen):
    """A three-point amount of money: at best, most likely, at worst. low ≤ likely ≤ high."""

    low: Money
    likely: Money
    high: Money

    @model_validator(mode="after")
    def _in_order(self) -> Estimate:
        if not self.low <= self.likely <= self.high:
            raise ValueError(f"low {self.low}, likely {self.likely} and high {self.high} must not decrease")
        return self

    @classmethod
    def of(cls, low: str, likely: str | None = None, high: str | None = None) -> Estimate:
        """From typed amounts; one amount alone is all three."""
        likely = likely if likely is not None else low
        return cls(
            low=parse_money(low),
            likely=parse_money(likely),
            high=parse_money(high if high is not None else likely),
        )


class Effort(Frozen):
    """A three-point length of busy time, in minutes: at best, most likely, at worst."""

    low: Minutes
    likely: Minutes
    high: Minutes

    @model_validator(mode="after")
    def _in_order(self) -> Effort:
        if not self.low <= self.likely <= self.high:
            raise ValueError(f"low {self.low}, likely {self.likely} and high {self.high} minutes must not decrease")
        return self
