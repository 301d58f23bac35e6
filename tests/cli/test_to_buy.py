"""`logbook to-buy` and `logbook bom --csv`, and the currency of a document that is taken in."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from tests.builders import component, part, unit
from tests.cli.conftest import Ask, BookOf, Written, numbers_in


def test_over_all_units(ask: Ask, demo: Path) -> None:
    said = ask("--book", demo, "to-buy")
    assert (said.code, said.err) == (0, "")
    assert "14 things to get for 3 units" in said.out
    assert "LOOK HERE FIRST" in said.out
    assert max(map(len, said.out.splitlines())) <= 80
    data = ask("--book", demo, "to-buy", "--json").json
    assert data["price"] == {"low": "68.75", "likely": "86.30", "high": "169.50"}
    assert [u for u, _ in data["by_unit"]] == ["C1", "G1", "R1"]
    assert not [n for n in numbers_in(data) if isinstance(n, float)]


def test_for_one_unit_with_the_spares_of_the_others(ask: Ask, book_of: BookOf) -> None:
    from logbook.model.words import Disposition

    owner = unit(code="L1", name="lamp", components=[component("CD", "mains cord", disposition=Disposition.SPARE)])
    book = book_of(owner, unit(parts=[part()]))
    said = ask("--book", book, "to-buy", "r1")
    assert "R1 table radio" in said.out
    assert "mains cord for R1: mains cord, spare of L1 lamp" in " ".join(said.out.split())


@pytest.mark.parametrize("command", [("to-buy",), ("bom", "R1")])
def test_csv_has_a_row_for_each_line(ask: Ask, demo: Path, command: tuple[str, ...]) -> None:
    said = ask("--book", demo, *command, "--csv")
    assert (said.code, said.err) == (0, "")
    read = list(csv.DictReader(io.StringIO(said.out, newline="")))
    assert len(read) >= 15
    assert all(None not in row and None not in row.values() for row in read), "every row has every column"


def test_an_unknown_unit_is_a_sentence(ask: Ask, demo: Path) -> None:
    said = ask("--book", demo, "to-buy", "R9")
    assert said.code == 2
    assert "R9" in said.err


def test_a_document_in_the_sign_of_the_books_currency_is_taken_in(ask: Ask, document: Written, tmp_path: Path) -> None:
    """A book in EUR takes a document in €; one in $ or in a word that is no currency is refused with a sentence."""
    path = document(unit(code="X1"))
    raw = path.read_bytes()
    path.write_bytes(raw.replace(b'"$"', b'"EUR"'))
    assert ask("--book", tmp_path / "b", "import", path).code == 0
    assert ask("--book", tmp_path / "b", "export", "shop").json["shop"]["settings"]["currency"] == "EUR"
    path.write_bytes(raw.replace(b'"$"', '"€"'.encode()).replace(b'"X1"', b'"X2"'))
    assert ask("--book", tmp_path / "b", "import", path).code == 0
    path.write_bytes(raw.replace(b'"X1"', b'"X3"'))
    said = ask("--book", tmp_path / "b", "import", path)
    assert (said.code, "counts in $ and the book in EUR" in said.err) == (2, True)
    path.write_bytes(raw.replace(b'"$"', b'"shells"').replace(b'"X1"', b'"X4"'))
    said = ask("--book", tmp_path / "new", "import", path)
    assert (said.code, "counts in shells, which is neither a code of ISO 4217" in said.err) == (2, True)


def test_what_came_is_written_down_with_what_was_paid(ask: Ask, book_of: BookOf) -> None:
    from logbook.model.measures import Estimate

    book = book_of(unit(parts=[part(price=Estimate.of("5", "6.50", "9"))]))
    said = ask("--book", book, "to-buy", "--here", "mains cord")
    assert said.code == 2
    assert "What was paid for mains cord? Say it: --paid 6.50, which is likely; or --paid ?" in said.err
    said = ask("--book", book, "to-buy", "r1", "--here", "cord", "--paid", "7.20")
    assert (said.code, said.err, said.out) == (0, "", "mains cord: here, paid 7.20.\n")
    (kept,) = ask("--book", book, "export", "R1").json["unit"]["parts"]
    assert (kept["supply"], kept["paid"]) == ("here", "7.20")


@pytest.mark.parametrize(
    ("paid", "words"), [("?", "here; what was paid is not known"), ("not known", "is not known"), ("0", "here.")]
)
def test_not_known_stays_not_known(ask: Ask, book_of: BookOf, paid: str, words: str) -> None:
    book = book_of(unit(parts=[part()]))
    said = ask("--book", book, "to-buy", "--here", "mains cord", "--paid", paid)
    assert (said.code, said.err) == (0, "")
    assert words in said.out
    (kept,) = ask("--book", book, "export", "R1").json["unit"]["parts"]
    assert kept["supply"] == "here"
    assert kept.get("paid") == ("0.00" if paid == "0" else None)


@pytest.mark.parametrize(
    ("here", "paid", "said"),
    [
        ("varnish tin", "8", "Nothing to buy is called “varnish tin”. There is: mains cord."),
        ("cord", "eight", "eight"),
        ("cord", "-3", "from 0 up"),
        ("cord", "8 €", "this book counts in"),
    ],
)
def test_what_cannot_be_taken_is_a_sentence(ask: Ask, book_of: BookOf, here: str, paid: str, said: str) -> None:
    found = ask("--book", book_of(unit(parts=[part()])), "to-buy", "--here", here, f"--paid={paid}")
    assert found.code == 2
    assert said in found.err


def test_a_whole_parcel_comes_by_the_name_of_its_seller(ask: Ask, demo: Path) -> None:
    said = ask("--book", demo, "to-buy", "R1", "--here", "radio spares by post", "--paid", "36.85")
    assert (said.code, said.err) == (0, "")
    assert said.out == "radio spares by post: here, paid 36.85.\n"
