"""Money as people read it, against Babel's own locale data; JSON and CSV keep plain numbers."""

from __future__ import annotations

from decimal import Decimal

import pytest
from babel import Locale
from babel.numbers import format_currency, get_decimal_symbol, get_group_symbol
from hypothesis import given
from hypothesis import strategies as st

from logbook.render.money import amount_words, number_words


@pytest.fixture(autouse=True)
def _no_locale(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("LC_ALL", "LC_MONETARY", "LANG", "LANGUAGE"):
        monkeypatch.delenv(name, raising=False)


@pytest.mark.parametrize(
    ("said", "currency", "words"),
    [
        ("", "USD", "$1,234.50"),
        ("C.UTF-8", "EUR", "€1,234.50"),
        ("de_DE.UTF-8", "EUR", "1.234,50 €"),
        ("de_DE.UTF-8", "JPY", "1.234 ¥"),
        ("fr_FR", "EUR", "1 234,50 €"),
        ("en_GB.UTF-8", "GBP", "£1,234.50"),
        ("sv_SE@euro", "SEK", "1 234,50 kr"),
        ("no such place", "USD", "$1,234.50"),
        ("de_DE.UTF-8", "$", "$1.234,50"),
        ("", "Taler", "Taler1,234.50"),
    ],
)
def test_an_amount_in_the_custom_of_the_person(
    said: str, currency: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_MONETARY", said)
    assert amount_words(Decimal("1234.50"), currency) == words


@pytest.mark.parametrize("name", ["de_DE", "fr_CH", "en_IN", "pl_PL", "ja_JP", "pt_BR", "tr_TR"])
def test_signs_and_points_are_those_of_the_locale_data(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", name)
    monkeypatch.setenv("LC_MONETARY", "en_US")
    words = number_words(Decimal("1234567.89"))
    point, group = get_decimal_symbol(name), get_group_symbol(name).replace("\u00a0", " ").replace("\u202f", " ")
    assert words.endswith(f"{point}89")
    assert words.count(group) in (2, 3), "LC_ALL wins over LC_MONETARY, as everywhere"
    babel = format_currency(Decimal("1234567.89"), "EUR", locale=Locale.parse(name))
    assert amount_words(Decimal("1234567.89"), "EUR").replace(" ", "") == "".join(babel.split())


@given(st.decimals(min_value=-(10**8), max_value=10**8, places=2))
def test_an_amount_reads_back(amount: Decimal) -> None:
    assert Decimal(number_words(amount).replace(",", "")) == amount


def test_a_currency_of_hostile_text_cannot_move_the_screen() -> None:
    assert amount_words(Decimal(1), "\x1b[2J\u202e$").isprintable()
