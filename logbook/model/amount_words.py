"""An amount of money as the person reads it, by the custom that the environment names."""

from __future__ import annotations

import os
from decimal import Decimal
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from babel import Locale

    from logbook.model.measures import Estimate


def number_words(amount: Decimal) -> str:
    """An amount without its currency, to hundredths: `1,234.50`, or `1.234,50` where that is the custom."""
    return _in_hundredths(str(amount), money_custom())


def estimate_in_short(price: Estimate) -> str:
    """A price in few columns: `12.00`, `~8.40` where it is one of three points, `0-38.00` where it may be nothing."""
    if price.low == price.high:
        return number_words(price.likely)
    return f"0-{number_words(price.high)}" if not price.likely else f"~{number_words(price.likely)}"


def estimate_words(price: Estimate | None) -> str:
    """Three amounts, or one when they are the same: `6.00 / 8.40 / 12.00`, `8.40`; `?` where there is no price."""
    if price is None:
        return "?"
    points = (price.likely,) if price.low == price.high else (price.low, price.likely, price.high)
    return " / ".join(map(number_words, points))


def in_custom(number: str) -> str:
    """A plain number that stands beside amounts, with the decimal sign that these have: `23.41`, or `23,41`."""
    from babel.numbers import get_decimal_symbol

    return number.replace(".", get_decimal_symbol(money_locale()))


def one_line(text: str) -> str:
    """What a custom writes, with plain spaces and a plain minus sign."""
    return text.replace("\u00a0", " ").replace("\u202f", " ").replace("\u2212", "-")


def money_locale() -> Locale:
    """The person's locale for money, as the environment says; plain English where it says none that is known."""
    return _parsed(money_custom())


def money_custom() -> str:
    """The name of the custom by which amounts are written, as the environment says."""
    return next((v for name in ("LC_ALL", "LC_MONETARY", "LANG") if (v := os.environ.get(name))), "")


@lru_cache(maxsize=4096)
def _in_hundredths(amount: str, custom: str) -> str:
    from babel.numbers import format_decimal

    return one_line(format_decimal(Decimal(amount), "#,##0.00", locale=_parsed(custom)))


@lru_cache(maxsize=8)
def _parsed(said: str) -> Locale:
    from babel import Locale, UnknownLocaleError

    name = said.partition(".")[0].partition("@")[0]
    if name not in ("", "C", "POSIX"):
        try:
            return Locale.parse(name)
        except (UnknownLocaleError, ValueError):
            return Locale("en")
    return Locale("en")
