"""Amounts of money as a person reads them: grouped and pointed as in his country, by the Unicode CLDR through Babel.

Only screens and printed text use this. JSON and CSV have plain decimal numbers that any program reads.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from logbook.costing import cents, plain_number
from logbook.model.amount_words import (
    estimate_in_short,
    estimate_words,
    in_custom,
    money_locale,
    number_words,
    one_line,
)
from logbook.model.currency import is_code
from logbook.render.plain import clean

__all__ = ["amount_words", "estimate_in_short", "estimate_words", "figure", "in_custom", "money", "number_words"]


def amount_words(amount: Decimal, currency: str) -> str:
    """An amount with its currency: `$85.24`, `85,24 €`. A sign that is no code stands before the number.

    Args:
        amount: shown to the places that the currency has; one that is finer is rounded half to even.
        currency: as in the settings of the book: a code of ISO 4217, or a sign in an old book.
    """
    if not is_code(currency):
        return f"{clean(currency, limit=12)}{number_words(amount)}"
    from babel.numbers import format_currency

    return clean(one_line(format_currency(amount, currency, locale=money_locale())))


def money(value: Fraction | Decimal) -> str:
    """A computed amount, rounded half to even to hundredths, as `number_words` writes it."""
    return number_words(cents(value))


def figure(value: Fraction | Decimal | int | float, places: int = 4) -> str:
    """Hours, a rate, a share or a ratio beside amounts: as `plain_number`, with the decimal sign of the amounts."""
    return in_custom(plain_number(Fraction(value), places))
