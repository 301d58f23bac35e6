"""Commands, and a power cut at every effect on the disk: what was said to be done is there afterwards.

A sample is looked at by `test_power_cuts.py`; `python -m tests.benchmarks.power_cuts` looks at every one.
"""

from __future__ import annotations

import contextlib
import io
import shutil
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from logbook.session import Session
from logbook.session.unit_photos import photo_problems
from tests.cli.conftest import NOW
from tests.cli.writing import PUTTING, WRITING, again, called
from tests.store.power import Cut, Cuts, lay_out

COMMANDS = WRITING | PUTTING


def cuts_of(name: str, made: Path, used: Path) -> list[Cut]:
    """Run a command in a copy of the prepared folder; what a cut at each moment may leave, the last ones last."""
    again(made, used)
    raw, codes = io.BytesIO(), list[int]()
    cuts = Cuts(used, lambda: bool(codes or raw.tell()))
    with contextlib.redirect_stdout(io.TextIOWrapper(raw, write_through=True)), cuts.on():
        codes.append(called(used, COMMANDS[name]))
    assert codes[0] in (0, 1), (name, codes)
    return cuts.in_turn()


def untrue(name: str, folder: Path, cuts: Iterable[Cut]) -> Iterator[str]:
    """What was said and is not so after these cuts, one sentence each.

    Args:
        name: the command.
        folder: holds the prepared folder `made`, and `used` as the command left it.
        cuts: those to look at.
    """
    made, used, place = folder / "made", folder / "used", folder / "place"
    command = COMMANDS[name]
    before = versions(made / "book")
    for said, files in cuts:
        shutil.rmtree(place, ignore_errors=True)
        lay_out(files, place)
        left = place / used.name
        try:
            if command.puts:
                found = _bytes(left / command.puts)
                assert found == _bytes(used / command.puts) or (not said and found == _bytes(made / command.puts)), (
                    "torn"
                )
            is_whole_after(left / "book", before, command.is_done if said else None)
        except Exception as fault:  # noqa: BLE001 - each is told
            yield f"{name}{', said to be done' if said else ''}: {type(fault).__name__}: {str(fault)[:200]}"
    shutil.rmtree(place, ignore_errors=True)


def _bytes(path: Path) -> bytes | None:
    return path.read_bytes() if path.exists() else None


def versions(book: Path) -> dict[str, int]:
    """How many changes each record of a book has."""
    with Session.open(book, now=lambda: NOW, create=False, read_only=True) as session:
        return {code: len(session.entries(code)) for code in (*session.codes(), "")}


def is_whole_after(book: Path, before: dict[str, int], is_done: Callable[[Session], bool] | None) -> None:
    """Fails unless a book that a cut left is whole, has every earlier change, and shows what was said to be done.

    Args:
        book: its folder.
        before: how many changes each record had before the work began.
        is_done: whether a book shows what was said; None when nothing was said by then.
    """
    after = versions(book)
    assert all(after.get(code, 0) >= number for code, number in before.items()), "an earlier change is gone"
    with Session.open(book, now=lambda: NOW, create=False) as session:
        said = session.look_through()
        assert said == (), said
        for code in session.codes():
            assert photo_problems(session, code) == ()
        assert is_done is None or is_done(session), "it was said and is not kept"
