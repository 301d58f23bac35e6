"""Amounts of money as a person reads them: grouped and pointed as in his country, by the Unicode CLDR through Babel.

Only screens and printed text use this. JSON and CSV have plain decimal numbers that any program reads.
"""

from __future__ import annotations

import os
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from logbook.costing import cents
from logbook.model.currency import is_code
from logbook.render.plain import clean

if TYPE_CHECKING:
    from babel import Locale


def amount_words(amount: Decimal, currency: str) -> str:
    """An amount with its currency: `$85.24`, `85,24 €`. A sign that is no code stands before the number.

    Args:
        amount: shown to the places that the currency has; one that is finer is rounded half to even.
        currency: as in the settings of the book: a code of ISO 4217, or a sign in an old book.
    """
    if not is_code(currency):
        return f"{clean(currency, limit=12)}{number_words(amount)}"
    from babel.numbers import format_currency

    return _one_line(format_currency(amount, currency, locale=_locale()))


def number_words(amount: Decimal) -> str:
    """An amount without its currency, to hundredths: `1,234.50`, or `1.234,50` where that is the custom."""
    from babel.numbers import format_decimal

    return _one_line(format_decimal(amount, "#,##0.00", locale=_locale()))


def money(value: Fraction | Decimal) -> str:
    """A computed amount, rounded half to even to hundredths, as `number_words` writes it."""
    return number_words(cents(value))


def _one_line(text: str) -> str:
    return clean(text.replace("\u00a0", " ").replace("\u202f", " ").replace("\u2212", "-"))


def _locale() -> Locale:
    """The person's locale for money, as the environment says; plain English where it says none that is known."""
    said = next((v for name in ("LC_ALL", "LC_MONETARY", "LANG") if (v := os.environ.get(name))), "")
    return _parsed(said)


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
