"""Every command that shows something, asked as a person asks it, over a book in a folder.

A new command stands in `SHOWING` with the words it is asked with, or in `NOT_SHOWING` with the reason; the suite
fails as long as it stands in neither. Each paper in each form is there by itself.
"""

from __future__ import annotations

import contextlib
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path

from logbook.cli.options import AS_CSV, AS_JSON
from logbook.cli.run_command import run
from logbook.model.unit import Book
from logbook.session import Session
from logbook.session.papers import Paper

Words = tuple[str, ...]
"""What is typed after `logbook`."""

SHOWING: dict[str, tuple[Words, ...]] = {
    "bench": ((),),
    "reassembly": (("UNIT",), ("UNIT", "--ready")),
    "bom": (("UNIT",),),
    "to-buy": ((), ("UNIT",)),
    "cost": (("UNIT",), ("UNIT", "--taken")),
    "plan": (("--anew",),),
    "now": (("600",),),
    "screw": (("4.2", "--length", "16"),),
    "pile": ((),),
    "panels": (("UNIT",),),
    "check": ((), ("UNIT",)),
    "photos": (("orphans",),),
    "export": (("UNIT",), ("shop",)),
}
"""What shows something of a book, with the words for it; `UNIT` stands for each unit."""
NOT_SHOWING = {
    "demo": "makes a book",
    "lesson": "speaks of a book of its own",
    "layout": "searches for as long as it is let; what was kept of it stands on the cut sheet",
    "print": "has a place of its own below, for each paper in each form",
    "ticks": "writes",
    "starters": "speaks of no book",
    "serve": "waits for somebody",
    "import": "writes",
    "join": "writes",
    "schema": "speaks of no book",
    "guide": "speaks of no book",
}
FORMS = ("txt", "csv")
"""The forms that are compared; that Markdown, web page and print have the words of the text, tests/paper says."""
NO_PAPER = (Paper.CUTS,)
"""Searched for as long as it is let."""


def asked() -> Iterator[tuple[str, ...]]:
    """The words of every command, `UNIT` still to be put in."""
    for command, ways in SHOWING.items():
        for words in ways:
            yield (command, *words)
            if command in AS_JSON:
                yield (command, *words, "--json")
            if command in AS_CSV:
                yield (command, *words, "--csv")
    for paper in Paper:
        for form in FORMS if paper not in NO_PAPER else ():
            yield ("print", "UNIT", str(paper), "--as", form, "--to", "-")


def kept(book: Book, folder: Path, now: Callable[[], datetime]) -> Path:
    """The book in a folder."""
    with Session.open(folder, now=now, by="AB") as session:
        session.apply_shop("the shop", lambda _: book.shop)
        for unit in book.units.values():
            session.add_unit(unit)
    return folder


def said(folder: Path, words: Sequence[str], now: datetime) -> str:
    """What a command prints."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(["--book", str(folder), *words], now=lambda: now)
    out.seek(0)
    err.seek(0)
    complained = err.read()
    assert code in (0, 1), f"{words}: {complained}"
    return (out.read() + complained).replace(str(folder), "BOOK")


def every_view(
    folder: Path, units: Sequence[str], now: datetime, *, only: Iterable[tuple[str, ...]] | None = None
) -> dict[str, str]:
    """What every command prints of a book, or those `only`, for these units."""
    found = {}
    for words in asked() if only is None else only:
        for code in units if "UNIT" in words else ("",):
            filled = [code if word == "UNIT" else word for word in words]
            found[" ".join(filled)] = said(folder, filled, now)
    return found
