"""Folders made or changed by somebody else, to do harm or by mistake: one bad unit never takes the others with it."""

from __future__ import annotations

import gzip
import json
import os
import shutil
import signal
import zlib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from logbook.cli.run_command import run
from logbook.session import Session
from logbook.store.storage import encode, seal
from tests.builders import part, step, unit
from tests.limits import COMMANDS

NOW = datetime(2026, 3, 17, 19, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def nothing_waits_for_ever() -> Iterator[None]:
    """A reader that waits for a pipe to be written would wait for ever; it is ended and fails."""

    def ended(*_: object) -> None:
        raise AssertionError("it waited for ever")

    before = signal.signal(signal.SIGALRM, ended)
    signal.alarm(120)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book with a good unit, and one that a test spoils."""
    path = tmp_path / "book"
    with Session.open(path, by="RB", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "lid"), code="R1", name="radio"))
        session.add_unit(unit(step("T01", "lid"), code="B1", name="box", parts=[part()]))
        session.apply("B1", "named", lambda u: u.model_copy(update={"name": "bad box"}))
    return path


def line(**fields: Any) -> bytes:
    """A line of a history with the right checksum, whatever it says."""
    rest = encode(fields)[1:]
    return b'{"crc":"%08x",%s\n' % (zlib.crc32(rest), rest)


def last_mark(folder: Path) -> tuple[int, str]:
    last = json.loads((folder / "unit.history.jsonl").read_bytes().splitlines()[-1])
    return last["n"], last["crc"]


def added(folder: Path, **fields: Any) -> None:
    """One more line that leads on from the last."""
    n, mark = last_mark(folder)
    what = {"after": mark, "n": n + 1, "at": "2026-03-17T19:31:00.000000Z", "by": "X", "what": "x", "kind": "change"}
    with (folder / "unit.history.jsonl").open("ab") as out:
        out.write(line(**(what | {"do": [], "undo": []} | fields)))


def whole(value: object) -> dict[str, Any]:
    return {"do": [{"op": "replace", "path": "", "value": value}], "undo": []}


def a_list(folder: Path) -> None:
    added(folder, **whole([1, 2]))


def a_number(folder: Path) -> None:
    added(folder, **whole(7))


def nothing_at_all(folder: Path) -> None:
    added(folder, do=[{"op": "remove", "path": ""}])


def a_patch_of_numbers(folder: Path) -> None:
    added(folder, do=[{"op": 1, "path": 2}])


def a_patch_to_nowhere(folder: Path) -> None:
    added(folder, do=[{"op": "replace", "path": "/steps/99/what", "value": 1}])


def the_year_one(folder: Path) -> None:
    added(folder, at="0001-01-01T00:00:00+14:00")


def the_year_9999(folder: Path) -> None:
    added(folder, at="9999-12-31T23:59:59-12:00")


def a_touch_in_the_year_one(folder: Path) -> None:
    added(folder, do=[{"op": "replace", "path": "/touched", "value": "0001-01-01T00:00:00+14:00"}])


def deep(folder: Path) -> None:
    value: Any = 1
    for _ in range(250):
        value = [value]
    added(folder, do=[{"op": "add", "path": "/deep", "value": value}])


def deep_by_hand(folder: Path) -> None:
    (folder / "unit.json").write_bytes(b'{"data":' + b"[" * 100_000)


def a_pipe_as_history(folder: Path) -> None:
    (folder / "unit.history.jsonl").unlink()
    os.mkfifo(folder / "unit.history.jsonl")


def a_pipe_as_document(folder: Path) -> None:
    (folder / "unit.json").unlink()
    os.mkfifo(folder / "unit.json")


def a_pipe_beside(folder: Path) -> None:
    os.mkfifo(folder / "other.json")


def a_device(folder: Path) -> None:
    (folder / "unit.json").unlink()
    (folder / "unit.json").symlink_to("/dev/zero")


def a_number_as_line(folder: Path) -> None:
    with (folder / "unit.history.jsonl").open("ab") as out:
        out.write(b"7\n")


def a_line_of_another_kind(folder: Path) -> None:
    with (folder / "unit.history.jsonl").open("ab") as out:
        out.write(line(kind=7) + line(kind="base") + b'{"crc":"00000000",\n' + b"[]\nnull\n")


def edited_below_zero(folder: Path) -> None:
    """Prices below zero, edited by hand in a document that somebody sealed again."""
    whole_document = json.loads((folder / "unit.json").read_bytes())
    whole_document.pop("sha256")
    (parts,) = whole_document["data"]["parts"].values()
    parts["price"] = {"low": "-5.00", "likely": "-4.00", "high": "-3.00"}
    (folder / "unit.json").write_bytes(seal(encode(whole_document, indent=True)))


def edited_beyond_every_limit(folder: Path) -> None:
    added(folder, do=[{"op": "replace", "path": "/parts/0/quantity", "value": "999999999999"}])
    operation = {"code": "B01", "name": "glue", "wait": {"earliest": 9_999_999}}
    added(folder, do=[{"op": "add", "path": "/operations", "value": [operation]}])


def a_due_day_at_the_end_of_days(folder: Path) -> None:
    added(folder, do=[{"op": "add", "path": "/due", "value": "9999-12-31"}])


def older_history_that_explodes(folder: Path) -> None:
    (folder / "history").mkdir()
    (folder / "history/00000001-00000002.jsonl.gz").write_bytes(gzip.compress(bytes(30_000_000)))


def a_folder_of_links(folder: Path) -> None:
    (folder / "photos").symlink_to("/proc/self")
    (folder / "aside").symlink_to(folder)


CRAFTS: tuple[Callable[[Path], None], ...] = (
    a_list,
    a_number,
    nothing_at_all,
    a_patch_of_numbers,
    a_patch_to_nowhere,
    the_year_one,
    the_year_9999,
    a_touch_in_the_year_one,
    deep,
    deep_by_hand,
    a_pipe_as_history,
    a_pipe_as_document,
    a_pipe_beside,
    a_device,
    a_number_as_line,
    a_line_of_another_kind,
    edited_below_zero,
    edited_beyond_every_limit,
    a_due_day_at_the_end_of_days,
    older_history_that_explodes,
    a_folder_of_links,
)


@pytest.mark.parametrize("craft", CRAFTS, ids=lambda f: f.__name__)
def test_a_crafted_unit_takes_no_other_and_no_command_with_it(
    book: Path, craft: Callable[[Path], None], capsys: pytest.CaptureFixture[str]
) -> None:
    craft(book / "units/B1")
    for words in COMMANDS:
        code = run(["--book", str(book), *words], now=lambda: NOW)
        said = capsys.readouterr()
        assert "fault of the program" not in said.err, (words, said.err)
        assert code in (0, 1, 2), words
        if words in (("bench",), ("now", "60"), ("plan", "--json"), ("to-buy",), ("reassembly", "R1"), ("cost", "R1")):
            assert code in (0, 1), (words, said.err)
        if words in (("bench",), ("reassembly", "R1")):
            assert "R1" in said.out, words
    with Session.open(book, by="RB", now=lambda: NOW) as session:
        assert "R1" in session.codes()
        session.apply("R1", "goes on", lambda u: u.model_copy(update={"name": "radio again"}))
        assert session.unkept == ()
        assert all(sentence.endswith(".") for sentence in session.problems), session.problems


def test_a_unit_of_garbage_is_not_said_to_be_changed_outside_until_it_is(tmp_path: Path) -> None:
    path = tmp_path / "book"
    with Session.open(path, by="AB", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "lid")))
    good, bad = path / "units/R1", path / "units/Z8"
    bad.mkdir()
    (bad / "unit.json").write_bytes(b'{"a": "\0\x1b[2J"}\n')
    (bad / "unit.history.jsonl").write_bytes(b"\0\0\x1b]0;x\x07")
    with Session.open(path, by="AB", now=lambda: NOW) as session:
        assert "Z8" in session.broken()
        session.poll()
        assert session.to_read_again() == ()
        for file in ("unit.json", "unit.history.jsonl"):
            shutil.copyfile(good / file, bad / file)
        assert session.to_read_again() == ("Z8",)
