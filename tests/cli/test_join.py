"""`logbook join`: what would happen, what happened, what is left, in words and as JSON."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.model.edits import keep_step, next_step_code
from logbook.model.paths import put_at
from logbook.model.unit import Unit
from logbook.session import Session
from tests.builders import step, unit
from tests.cli.conftest import NOW, Ask

Edit = Callable[[Unit], Unit]


def written(book: Path, by: str, hours: int, *edits: Edit) -> None:
    with Session.open(book, by=by, now=lambda: NOW + timedelta(hours=hours)) as session:
        for edit in edits:
            session.apply("R1", f"{by} wrote", edit)


def new(what: str) -> Edit:
    return lambda record: keep_step(record, step(next_step_code(record), what, bag="9"))


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    with Session.open(bench, by="AB", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "plug"), step("T02", "back panel")))
    shutil.copytree(bench, desk)
    return bench, desk


def test_a_dry_run_says_what_would_happen_and_changes_nothing(ask: Ask, two: tuple[Path, Path]) -> None:
    bench, desk = two
    written(bench, "AB", 1, new("dial"), lambda u: put_at(u, ("notes",), "x"))
    written(desk, "CD", 2, new("valve"), lambda u: put_at(u, ("notes",), "y"))
    before = {p: p.read_bytes() for p in bench.rglob("*") if p.is_file()}
    done = ask("join", desk, "--book", bench, "--dry-run")
    assert done.code == 1, "something is left to choose"
    assert done.err == ""
    said = " ".join(done.out.split())
    assert "Joining with desk would change 1 record. Nothing was changed yet. 3 things to look at." in said
    there, here = "2 changes, the last by CD, 17 Mar 2026 21:30", "2 changes, the last by AB, 17 Mar 2026 20:30"
    assert f"R1 table radio: in the other copy {there}; here {here}." in said
    assert "step T04 is new: T04, valve" in said
    assert "NEW NUMBERS T03 valve is T04 now: write it on bag 9." in said
    assert "notes: “x” (here: AB, 17 Mar 2026 20:30) or “y” (the other copy: CD, 17 Mar 2026 21:30)?" in said
    heads = [said.index(head) for head in ("NEW NUMBERS", "TO CHOOSE", "TO LOOK AT", "comes in")]
    assert heads == sorted(heads), "what got another number is told before what looks overwritten"
    assert {p: p.read_bytes() for p in bench.rglob("*") if p.is_file()} == before


def test_joining_says_what_was_done_and_check_what_is_left(ask: Ask, two: tuple[Path, Path]) -> None:
    bench, desk = two
    written(bench, "AB", 1, lambda u: put_at(u, ("notes",), "x"))
    written(desk, "CD", 2, lambda u: put_at(u, ("notes",), "y"))
    done = ask("join", desk, "--book", bench, "--by", "EF", "--json")
    assert done.code == 1
    (record,) = done.json["records"]
    assert done.json["done"] is True
    assert (record["code"], record["changes_there"], record["changes_here"]) == ("R1", 1, 1)
    assert [(x["first"], x["second"]) for x in record["to_look_at"]] == [('"x"', '"y"')]
    left = ask("check", "R1", "--book", bench)
    assert left.code == 1
    assert "in ! on the bench." in " ".join(left.out.split())
    again = ask("join", desk, "--book", bench)
    assert (again.code, again.out) == (0, "Nothing of desk is new here.\n")


def test_a_book_of_the_same_name_is_told_from_this_one(ask: Ask, tmp_path: Path) -> None:
    bench, stick = tmp_path / "laptop" / "book", tmp_path / "stick" / "book"
    with Session.open(bench, by="AB", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "plug")))
    shutil.copytree(bench, stick)
    written(stick, "CD", 2, new("valve"))
    done = ask("join", stick, "--book", bench)
    assert done.out.startswith("Joined with stick/book: 1 record.")
    assert "stick/book itself is as it was: join it with this book there" in " ".join(done.out.split())
    above = ask("join", tmp_path / "stick", "--book", bench)
    assert above.code == 2
    assert f"But {stick} is a book: name that one." in above.err


def test_what_fits_together_leaves_nothing_to_look_at(ask: Ask, two: tuple[Path, Path]) -> None:
    bench, desk = two
    written(desk, "CD", 2, new("valve"))
    done = ask("join", desk, "--book", bench)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("Joined with desk: 1 record. Nothing is left to look at.\n")


@pytest.mark.parametrize("width", ["40", "200"])
def test_hostile_words_break_no_line(ask: Ask, two: tuple[Path, Path], width: str) -> None:
    bench, desk = two
    written(bench, "AB", 1, lambda u: put_at(u, ("notes",), "\x1b[31m\u202e" + "long " * 2000))
    written(desk, "CD", 2, lambda u: put_at(u, ("notes",), "=1+1\n\n" + "w" * 3000), new("\x07 [bold]"))
    done = ask("join", desk, "--book", bench, "--width", width)
    assert done.code == 1
    assert all(len(line) <= int(width) for line in done.out.splitlines())
    assert not set(done.out) & {"\x1b", "\x07", "\u202e"}


def test_what_is_no_copy_is_bad_use(ask: Ask, two: tuple[Path, Path], tmp_path: Path) -> None:
    for other in (tmp_path / "nowhere", tmp_path, ""):
        done = ask("join", other, "--book", two[0])
        assert (done.code, done.out) == (2, "")
        assert done.err.startswith("logbook: ")
    assert ask("join", two[0], "--book", two[0]).code == 2


def test_nothing_is_joined_while_another_program_writes(ask: Ask, two: tuple[Path, Path]) -> None:
    bench, desk = two
    written(desk, "CD", 2, new("valve"))
    with Session.open(bench, by="AB", now=lambda: NOW):
        done = ask("join", desk, "--book", bench)
        assert done.code == 2
        assert "another program" in done.err
        assert ask("join", desk, "--book", bench, "--dry-run").code == 0
