"""One currency for each book: codes against Babel's list, signs of old books, and what must not be mixed."""

from __future__ import annotations

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.currency import (
    currency_codes,
    is_known,
    parse_currency,
    refuse_foreign,
    refuse_other_currency,
    same_currency,
)
from logbook.model.one_line import typed
from logbook.model.shop import ShopSettings


def test_the_list_is_that_of_babel() -> None:
    """Against the names that the Unicode CLDR has in English: every code there is one here."""
    assert set(Locale("en").currencies) <= currency_codes()
    # a few from the active list of ISO 4217, from memory
    assert currency_codes() >= {"EUR", "USD", "GBP", "JPY", "CHF", "SEK", "NOK", "DKK", "PLN", "CZK", "INR", "KWD"}


@pytest.mark.parametrize(("text", "code"), [("EUR", "EUR"), (" eur ", "EUR"), ("Usd", "USD")])
def test_a_code_is_read(text: str, code: str) -> None:
    assert parse_currency(text) == code
    assert typed(ShopSettings(), "currency", text).currency == code


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("$", "“$” is a sign that can mean more than one currency. Type the code: AUD, CAD, NZD, USD."),
        ("kr", "Type the code: NOK, SEK."),
        ("crowns", "“crowns” is no currency. Type its code of three letters (ISO 4217), like EUR, GBP or USD."),
        ("ZZZ", "“ZZZ” is no currency."),
    ],
)
def test_what_is_no_code_is_a_sentence_at_the_field(text: str, says: str) -> None:
    with pytest.raises(InputError) as refused:
        typed(ShopSettings(), "currency", text)
    assert says in str(refused.value)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("EUR", "eur", True),
        ("EUR", "USD", False),
        ("$", "USD", True),
        ("CAD", "$", True),
        ("$", "EUR", False),
        ("€", "EUR", True),
        ("$", "€", False),
        ("$", "$", True),
        ("crowns", "SEK", False),
    ],
)
def test_amounts_of_the_same_currency(one: str, other: str, same: bool) -> None:
    assert same_currency(one, other) is same


@given(st.text(max_size=8), st.sampled_from(sorted(currency_codes())))
def test_no_text_counts_as_a_code_that_it_is_not(text: str, code: str) -> None:
    if same_currency(text, code):
        assert is_known(text)


@pytest.mark.parametrize(("old", "new"), [("EUR", "USD"), ("USD", "$$"), ("€", "USD"), ("$", "bottle tops")])
def test_a_book_with_amounts_keeps_its_currency(old: str, new: str) -> None:
    with pytest.raises(InputError, match="The amounts in this book are in"):
        refuse_other_currency(old, new)


@pytest.mark.parametrize(("old", "new"), [("$", "EUR"), ("€", "EUR"), ("EUR", "EUR"), ("EUR", "€")])
def test_a_sign_may_become_a_code(old: str, new: str) -> None:
    refuse_other_currency(old, new)


@pytest.mark.parametrize("text", ["12 €", "€12", "EUR 12", "6 / 8 / 12 kr", "12 gbp"])
def test_an_amount_in_another_currency_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="and this book counts in USD"):
        refuse_foreign(text, "USD")


@pytest.mark.parametrize("text", ["12", "$12.50", "12 USD", "6 / 8.40 / 12", "", "-3", "12,50", "about 12", "12 x"])
def test_an_amount_in_the_currency_of_the_book_or_in_none(text: str) -> None:
    refuse_foreign(text, "USD")
