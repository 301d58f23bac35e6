"""Money as people read it, against Babel's own locale data; JSON and CSV keep plain numbers."""

from __future__ import annotations

from decimal import Decimal

import pytest
from babel import Locale
from babel.numbers import format_currency, get_decimal_symbol
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.money import amount_words, number_words


@pytest.fixture(autouse=True)
def _no_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("LC_ALL", "LC_MONETARY", "LANG", "LANGUAGE"):
        monkeypatch.delenv(name, raising=False)


def as_babel_writes(amount: Decimal, currency: str, locale: str) -> str:
    """An amount by Babel and the locale data that it brings, each narrow or fixed blank as a plain one."""
    return " ".join(format_currency(amount, currency, locale=Locale.parse(locale)).split())


@pytest.mark.parametrize(
    ("environment", "currency", "locale"),
    [
        ("", "USD", "en"),
        ("C.UTF-8", "EUR", "en"),
        ("de_DE.UTF-8", "EUR", "de_DE"),
        ("de_DE.UTF-8", "JPY", "de_DE"),
        ("fr_FR", "EUR", "fr_FR"),
        ("en_GB.UTF-8", "GBP", "en_GB"),
        ("sv_SE@euro", "SEK", "sv_SE"),
        ("no such place", "USD", "en"),
    ],
)
def test_an_amount_in_the_custom_of_the_person(
    environment: str, currency: str, locale: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_MONETARY", environment)
    amount = Decimal("1234.50")
    assert amount_words(amount, currency) == as_babel_writes(amount, currency, locale)


@pytest.mark.parametrize("sign", ["$", "Taler"])
def test_a_sign_that_is_no_code_stands_before_the_number(sign: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_MONETARY", "de_DE.UTF-8")
    assert amount_words(Decimal("1234.50"), sign) == sign + number_words(Decimal("1234.50"))


@pytest.mark.parametrize("name", ["de_DE", "fr_CH", "en_IN", "pl_PL", "ja_JP", "pt_BR", "tr_TR"])
def test_signs_and_points_are_those_of_the_locale_data(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", name)
    monkeypatch.setenv("LC_MONETARY", "en_US")  # LC_ALL wins over it, as everywhere
    amount = Decimal("1234567.89")
    assert amount_words(amount, "EUR") == as_babel_writes(amount, "EUR", name)
    assert number_words(amount).endswith(f"{get_decimal_symbol(name)}89")
    digits = [sign for sign in number_words(amount) if sign.isdigit()]
    assert "".join(digits) == "123456789"


@given(st.decimals(min_value=-(10**8), max_value=10**8, places=2))
def test_an_amount_reads_back(amount: Decimal) -> None:
    assert Decimal(number_words(amount).replace(",", "")) == amount


def test_a_currency_of_hostile_text_cannot_move_the_screen() -> None:
    assert amount_words(Decimal(1), "\x1b[2J\u202e$").isprintable()
