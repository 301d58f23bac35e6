"""Adding to lists by keys: one entry is one change, what is needed is asked for, Escape leaves nothing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.casework_records import Case, Panel
from logbook.model.paths import Path, value_at
from logbook.session import Session
from logbook.tui.opening import add_to
from logbook.tui.screens.form import NewScreen
from logbook.tui.widgets.ask import Ask
from tests.builders import step, unit
from tests.tui.conftest import opened, text_on, typed, until

ENTRIES: list[tuple[str, Path, Sequence[str]]] = [
    ("R1", ("hazards",), ["stored charge"]),
    ("R1", ("steps", "T01", "hazards"), ["sharp edge"]),
    ("R1", ("steps", "T01", "measurements"), ["shaft sticks out"]),
    ("R1", ("steps", "T01", "fasteners"), ["screw 3.5x16", "4", "4"]),
    ("R1", ("relations",), ["better before", "T01", "T03"]),
    ("R1", ("sets",), ["DR", "drawers", "D1, D2, D3"]),
    ("R1", ("sets",), ["LR", "the two sides", "left, right"]),
    ("R1", ("case", "panels", "P1", "layers"), ["12 ply", "11.8"]),
    ("R1", ("case", "panels", "P1", "openings"), ["shaft", "120, 80"]),
    ("R1", ("spent",), ["stripping solvent"]),
    ("", ("shelf",), ["wood glue", "250"]),
    ("", ("sellers",), ["spares by post"]),
    ("", ("free_time",), ["18:00", "2 h"]),
]
"""Unit (empty: the store), list, and what is typed, line by line, after an offered code."""


def lines_of(book: Session) -> int:
    """How many lines the histories of a book hold."""
    files = book.path.rglob("*.history.jsonl")
    return sum(file.read_text(encoding="utf-8").count("\n") for file in files)


def asks(pilot: Pilot[Any]) -> bool:
    """Whether something new is asked for."""
    return isinstance(pilot.app.screen, NewScreen) and any(ask.is_open for ask in pilot.app.screen.query(Ask))


def of_case(book: Session) -> None:
    """A unit with steps and one panel of its case, in the book."""
    steps = [step("T01", "plug out"), step("T02", "back panel"), step("T03", "chassis bolts")]
    book.add_unit(unit(*steps, case=Case(panels=(Panel(code="P1", name="front"),))))


@pytest.mark.parametrize(("code", "path", "answers"), ENTRIES, ids=lambda v: "/".join(map(str, v)) if v else "store")
async def test_one_entry_is_one_change(book: Session, code: str, path: Path, answers: Sequence[str]) -> None:
    of_case(book)
    root = book.unit(code) if code else book.shop
    before = len(value_at(root, path))
    async with opened(book) as pilot:
        add_to(pilot.app.screen, code, path)  # type: ignore[arg-type]
        await until(pilot, lambda: asks(pilot))
        changes = lines_of(book)
        for answer in answers:
            assert asks(pilot), text_on(pilot)
            await pilot.press("ctrl+u")
            await typed(pilot, answer)
            await pilot.press("enter")
            await pilot.pause()
        await until(pilot, lambda: not isinstance(pilot.app.screen, NewScreen))
        assert len(value_at(book.unit(code) if code else book.shop, path)) == before + 1
        assert lines_of(book) == changes + 1
        await pilot.press("z")
        assert len(value_at(book.unit(code) if code else book.shop, path)) == before


@pytest.mark.parametrize(("code", "path", "answers"), ENTRIES, ids=lambda v: "/".join(map(str, v)) if v else "store")
async def test_enter_on_nothing_says_what_is_needed_and_escape_leaves_nothing(
    book: Session, code: str, path: Path, answers: Sequence[str]
) -> None:
    of_case(book)
    changes = lines_of(book)
    async with opened(book) as pilot:
        add_to(pilot.app.screen, code, path)  # type: ignore[arg-type]
        await until(pilot, lambda: asks(pilot))
        for answer in ("", *answers[:-1], ""):
            await pilot.press("ctrl+u")
            await typed(pilot, answer)
            await pilot.press("enter")
            await pilot.pause()
            assert asks(pilot)
            assert answer or "is needed. Type it, or press Esc to cancel." in text_on(pilot)
        await pilot.press("escape")
        await until(pilot, lambda: not isinstance(pilot.app.screen, NewScreen))
        assert lines_of(book) == changes
