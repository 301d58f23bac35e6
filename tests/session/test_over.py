"""One change over several units and the shop: kept, undone and done again as one, or not at all."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.typed_values import put
from logbook.session import Session
from tests.builders import consumable, shop, unit


@pytest.fixture
def book(tmp_path: Path):
    session = Session.open(tmp_path / "book", by="AB")
    for code in ("R1", "C1", "G1"):
        session.add_unit(unit(code=code))
    yield session
    session.close()


def both(units, of_shop):
    named = {code: with_changes(u, notes="seen") for code, u in units.items() if code != "G1"}
    return {**units, **named}, with_changes(of_shop, shelf=(consumable("glue", 3),))


def notes(session: Session) -> list[str]:
    return [session.unit(c).notes for c in ("R1", "C1", "G1")] + [c.name for c in session.shop.shelf]


def test_it_is_one_change_and_one_undo(book: Session) -> None:
    heard: list[str] = []
    book.subscribe(lambda change: heard.append(change.code))
    before = book.kept("G1").version
    book.apply_over(["R1", "C1", "G1"], "both", both)
    assert notes(book) == ["seen", "seen", "", "glue"]
    assert set(heard) == {"R1", "C1", ""}
    assert book.kept("G1").version == before, "what stayed the same is not written"
    assert book.undo() == "both"
    assert notes(book) == ["", "", ""]
    assert book.redo() == "both"
    assert notes(book) == ["seen", "seen", "", "glue"]


def test_it_is_there_when_the_book_is_opened_again(book: Session, tmp_path: Path) -> None:
    book.apply_over(["R1", "C1"], "both", both)
    book.close()
    with Session.open(tmp_path / "book", read_only=True) as again:
        assert notes(again) == ["seen", "seen", "", "glue"]


def test_what_the_edit_refuses_changes_nothing(book: Session) -> None:
    def refused(units, of_shop):
        raise InputError("no")

    with pytest.raises(InputError, match="no"):
        book.apply_over(["R1", "C1"], "both", refused)
    assert notes(book) == ["", "", ""]
    book.apply_over(["R1"], "nothing", lambda units, of_shop: (dict(units), of_shop))
    assert book.unit("R1").notes == ""


def test_the_currency_of_a_book_with_units_stays(book: Session) -> None:
    def to(code: str):
        return lambda s: put(s, "settings", put(s.settings, "currency", code))

    book.apply_shop("currency", to("EUR"))
    with pytest.raises(InputError, match="The amounts in this book are in EUR; they cannot become USD"):
        book.apply_shop("currency", to("USD"))
    assert book.shop.settings.currency == "EUR"


def test_the_currency_of_an_empty_book_is_free(tmp_path: Path) -> None:
    with Session.open(tmp_path / "new") as session:
        for code in ("EUR", "USD"):
            session.apply_shop("currency", lambda _, code=code: shop(settings={"currency": code, "rate": Decimal(3)}))
        assert session.shop.settings.currency == "USD"


@pytest.mark.parametrize(
    ("said", "currency"),
    [("de_DE.UTF-8", "EUR"), ("sv_SE", "SEK"), ("C.UTF-8", "$"), ("en", "$"), ("xx_YY", "$"), ("", "$")],
)
def test_a_new_book_counts_in_the_currency_of_the_country(
    said: str, currency: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_MONETARY", said)
    monkeypatch.setenv("LANG", "C.UTF-8")
    with Session.open(tmp_path / "new") as session:
        assert session.shop.settings.currency == currency
