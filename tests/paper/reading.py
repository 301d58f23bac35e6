"""Papers of the demo book and of hostile records, and their words as they can be read from a PDF."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session.papers import Form, MadePaper, Paper, PaperSource, Wish, make_paper
from tests.example_records import SHOP, UNITS

NOW = datetime(2026, 3, 20, 18, 0, tzinfo=UTC)
_SIGNS = re.compile(r"\[[ x]\]|_{4,}")


def source(unit: Unit | None, shop: Shop = SHOP, photos: Path = Path("nowhere"), version: int = 7) -> PaperSource:
    """A source of papers as the session gives it."""
    return PaperSource(unit.code if unit is not None else "", unit, shop, version, NOW, NOW, photos)


def made(unit: str | Unit, what: str, form: str = "pdf", **more: object) -> MadePaper:
    """A paper of a unit of the demo book, or of a unit of one's own."""
    of = UNITS[unit] if isinstance(unit, str) else unit
    return make_paper(source(of), Wish(Paper(what), Form(form), **more))  # type: ignore[arg-type]


def pages(pdf: bytes) -> list[str]:
    """The text of each page, without the line at its foot."""
    from pypdf import PdfReader

    texts = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        text = page.extract_text().replace("\u200b", "").replace("\u00a0", " ")
        texts.append(re.sub(r"\n[^\n]*·[^\n]*record version[^\n]*(\npage[^\n]*)?\s*$", "", f"\n{text}"))
    return texts


def in_words(text: str) -> list[str]:
    """The words of a text without signs for the pencil, rules, and blanks within words that a line end brought."""
    return _SIGNS.sub(" ", re.sub(r"^-+$", " ", text, flags=re.MULTILINE)).split()


def letters(text: str) -> str:
    """A text without signs for the pencil and without any blank, so that it does not matter where lines break."""
    return "".join(in_words(text))


def lines_of(words: list[str]) -> Iterator[tuple[str, str]]:
    """Each line of a reassembly list with its number: all words from one `A01` to the next."""
    number, said = "", list[str]()
    for word in words:
        if re.fullmatch(r"A\d\d", word) and int(word[1:]) == (int(number[1:] or 0) if number else 0) + 1:
            yield number, " ".join(said)
            number, said = word, []
        said.append(word)
    yield number, " ".join(said)
