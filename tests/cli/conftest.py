"""A command line that touches nothing of the person who runs the tests, and a demo book to ask."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from logbook.cli.run_command import run
from logbook.model.document import UnitDocument, write_document
from logbook.model.unit import Unit
from logbook.session import Session

NOW = datetime(2026, 3, 17, 19, 30, tzinfo=UTC)


class Done(NamedTuple):
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The output as JSON."""
        return json.loads(self.out)


Ask = Callable[..., Done]
BookOf = Callable[..., Path]
Written = Callable[[Unit], Path]


@pytest.fixture(autouse=True)
def alone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Own folders for data, settings and faults, and nothing set in the environment."""
    for name in ("DATA", "CONFIG", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))
    for name in ("LOGBOOK_BOOK", "LOGBOOK_INITIALS", "LOGBOOK_SETTINGS", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TZ", "UTC")


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    """Run a command in this process at half past seven on 17 March 2026."""

    def asked(*words: str | Path) -> Done:
        code = run([str(w) for w in words], now=lambda: NOW)
        said = capsys.readouterr()
        return Done(code, said.out, said.err)

    return asked


@pytest.fixture(scope="session")
def _made_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made") / "demo"
    from logbook.cli.arguments import read
    from logbook.cli.books import CommandCall
    from logbook.cli.example import make_demo

    make_demo(CommandCall(read(["--book", str(path), "--by", "RB", "demo"]), lambda: NOW))
    return path


@pytest.fixture
def demo(_made_demo: Path, tmp_path: Path) -> Path:
    """The demo book, one's own copy."""
    path = tmp_path / "demo"
    shutil.copytree(_made_demo, path)
    return path


@pytest.fixture
def book_of(tmp_path: Path) -> BookOf:
    """Make a book of some units; gives its folder."""

    def made(*units: Unit) -> Path:
        path = tmp_path / "book"
        with Session.open(path, by="RB", now=lambda: NOW) as session:
            for each in units:
                session.add_unit(each)
        return path

    return made


@pytest.fixture
def document(tmp_path: Path) -> Written:
    """Write a unit down as a document; gives the file."""

    def written(unit: Unit) -> Path:
        path = tmp_path / f"{unit.code}.json"
        path.write_bytes(write_document(UnitDocument(logbook="unit", version=1, currency="$", unit=unit)))
        return path

    return written


def files_of(path: Path) -> dict[str, bytes]:
    """Every file of a book but those that any opening may renew."""
    return {
        str(p.relative_to(path)): p.read_bytes()
        for p in sorted(path.rglob("*"))
        if p.is_file() and not p.name.startswith(".")
    }


def numbers_in(value: Any) -> Iterator[int | float]:
    """Every number in a JSON value, all the way down."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from numbers_in(item)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value
