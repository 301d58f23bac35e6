"""The one currency of a book: a code of ISO 4217, checked against the list that Babel carries.

Amounts are never converted. A book from before codes may have only a sign, such as `$`; it stays readable,
and a sign goes with every currency that is written with it.
"""

from __future__ import annotations

import re
from functools import cache
from string import ascii_letters

from logbook.errors import InputError

START = "$"
"""What a new book has until its person names a currency."""


@cache
def currency_codes() -> frozenset[str]:
    """Every code of ISO 4217 in Babel's list (the territory data of the Unicode CLDR), past ones included."""
    from babel.numbers import list_currencies

    return frozenset(list_currencies())


@cache
def _signs() -> dict[str, frozenset[str]]:
    """Each sign with the currencies that are written with it: `$` with USD, and with CAD, whose sign is `CA$`."""
    from babel import Locale

    found: dict[str, set[str]] = {}
    for name in ("en", "sv", "da", "nb", "pl", "cs"):
        for code, sign in Locale.parse(name).currency_symbols.items():
            for each in {sign.casefold(), sign.strip(ascii_letters).casefold()} - {""}:
                found.setdefault(each, set()).add(code)
    return {sign: frozenset(codes) for sign, codes in found.items()}


def is_code(text: str) -> bool:
    """Whether a text is a code of ISO 4217."""
    return text in currency_codes()


def usual_currency(locale: str) -> str:
    """The currency of the country that a locale such as `de_DE.UTF-8` names; `START` where it names none."""
    from babel import Locale, UnknownLocaleError
    from babel.numbers import get_territory_currencies

    try:
        territory = Locale.parse(locale.partition(".")[0].partition("@")[0]).territory
    except (UnknownLocaleError, ValueError):
        return START
    current = get_territory_currencies(territory) if territory else []
    return current[0] if current else START


def is_known(text: str) -> bool:
    """Whether a text is a code, or a sign that some currency is written with."""
    words = text.strip()
    return is_code(words.upper()) or words.casefold() in _signs()


def parse_currency(text: str) -> str:
    """The code that a person typed, in capitals.

    Raises:
        InputError: it is no code; when it is a sign, the sentence names codes that are written with it.
    """
    words = text.strip()
    code = words.upper()
    if code in currency_codes():
        return code
    shown = words[:20]
    if codes := _signs().get(words.casefold()):
        near = ", ".join(sorted(codes & _COMMON) or sorted(codes)[:4])
        raise InputError(f"“{shown}” is a sign that can mean more than one currency. Type the code: {near}.")
    raise InputError(f"“{shown}” is no currency. Type its code of three letters (ISO 4217), like EUR, GBP or USD.")


_COMMON = frozenset({"USD", "CAD", "AUD", "NZD", "EUR", "GBP", "JPY", "CNY", "SEK", "NOK", "DKK", "CZK", "INR", "KRW"})


def same_currency(one: str, other: str) -> bool:
    """Whether amounts of the two may stand in one book: the same code, or a sign and a code written with it."""
    a, b = one.strip(), other.strip()
    if a.upper() == b.upper():
        return True
    if is_code(a.upper()) == is_code(b.upper()):
        return False
    sign, code = (b, a.upper()) if is_code(a.upper()) else (a, b.upper())
    return code in _signs().get(sign.casefold(), frozenset())


def refuse_other_currency(old: str, new: str) -> None:
    """Refuse another currency for a book that holds amounts: they would be taken for what they are not.

    A sign may become any code that is written with it; the sign that every new book starts with, any code.

    Raises:
        InputError: the amounts would change their meaning.
    """
    if old == new or same_currency(old, new) or (old == START and is_code(new)):
        return
    raise InputError(f"The amounts in this book are in {old}; they cannot become {new}. Begin another book for that.")


_AMOUNT = re.compile(r"[\d\s.,/'+\-]+")


def refuse_foreign(text: str, currency: str) -> None:
    """Refuse an amount that was typed with the sign or code of another currency; amounts are never converted.

    Raises:
        InputError: what stands beside the digits is a currency, and not that of the book.
    """
    for word in _AMOUNT.split(text):
        if word and is_known(word) and not same_currency(word, currency):
            raise InputError(
                f"“{text.strip()[:30]}” is in {word[:8]}, and this book counts in {currency}. Convert it first."
            )
