"""A case said as it is: a typed line, its record, how it is told on screen, text and paper, and the same line again.

Each row is one thing that a restorer says of a case, with the figure worked by hand beside it. The box is 400 x 300 x
200 inside, of 12 mm, top and bottom between the sides, unless the row says another.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any, NamedTuple

import pytest
from textual.pilot import Pilot

from logbook.casework import worked_case
from logbook.model.base import Frozen
from logbook.model.case_plan import CasePlan, Counterbore, StackUp
from logbook.model.casework_records import Opening
from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.line_again import line_again
from logbook.model.numbering import first_code
from logbook.model.one_line import read_line
from logbook.model.paths import Path, put_at, value_at
from logbook.model.record_edits import added
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.casework import panels_text
from logbook.session import Session
from logbook.session.papers import Form, Paper, Wish, make_paper
from logbook.tui.screens.case import CaseScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import at, mm
from tests.casework.building import box, corner, opening
from tests.paper.reading import letters, pages, source
from tests.tui.conftest import opened

NOW = at("2026-03-17 18:30")
BUTT = CasePlan(top=corner("butt, between"), bottom=corner("butt, between"))


class Row(NamedTuple):
    """One thing said."""

    kind: type[Frozen]
    line: str
    again: str
    """The line that the record is printed as; read again it gives the same record."""
    into: Path
    """The list that it goes into."""
    told: tuple[str, ...]
    """What the case says then, worked by hand; the first stands on the case screen too."""
    before: Unit = box(plan=BUTT)


OPENINGS: Path = ("case", "panels", "P4", "openings")
STACKS: Path = ("case", "stacks")


def drilled(*openings: Opening) -> Unit:
    """The box with these openings in its bottom."""
    return put_at(box(plan=BUTT), OPENINGS, openings)


ROWS = [
    # 12 - 4 = 8 are left behind the flange
    Row(
        Opening,
        "flange, 200 x 100, 120 x 90, recess 4, inside",
        "flange, 200 x 100, size 120 x 90, recess 4, inside",
        OPENINGS,
        (
            "P4 “flange”: a recess 4 deep from the inside in 12 leaves 8 behind it, at least 3 wanted",
            "recess 4 deep from the inside leaves 8",
        ),
    ),
    # 12 - 9 = 3: just what is wanted; 12 - 10 = 2 is too little, 9 at most
    Row(
        Opening,
        "flange, 200, 100, diameter 60, recess 9",
        "flange, 200 x 100, diameter 60, recess 9",
        OPENINGS,
        ("P4 “flange”: a recess 9 deep from the outside in 12 leaves 3 behind it, at least 3 wanted",),
    ),
    Row(
        Opening,
        "flange, 200 x 100, diameter 60, recess 10",
        "flange, 200 x 100, diameter 60, recess 10",
        OPENINGS,
        ("in 12 leaves 2 behind it, at least 3 wanted. Let it in 9 at most, or take a thicker panel.",),
    ),
    Row(
        Opening,
        "flange, 200 x 100, diameter 60, recess 12",
        "flange, 200 x 100, diameter 60, recess 12",
        OPENINGS,
        ("a recess 12 deep from the outside comes through: P4 is 12 thick. Let it in 9 at most",),
    ),
    # 12 - 5 = 7 under the head; from the left end of a bottom between the sides 200, from its front edge 100
    Row(
        Opening,
        "foot bolt, 200 x 100, diameter 5, counterbore 14 x 5",
        "foot bolt, 200 x 100, diameter 5, counterbore 14 x 5",
        OPENINGS,
        (
            "P4 “foot bolt”: a counterbore 5 deep from the outside in 12 leaves 7 under the head, at least 3 wanted",
            "foot bolt Ø5 at x 200, y 100; on the panel 200 from the left end, 100 from the front edge, "
            "counterbore Ø14 5 deep from the outside leaves 7",
        ),
    ),
    Row(
        Opening,
        "foot bolt, 200 x 100, diameter 5, counterbore 5 x 4",
        "foot bolt, 200 x 100, diameter 5, counterbore 5 x 4",
        OPENINGS,
        ("a counterbore of 5 is no wider than its hole of 5. Make it as wide as the head or washer.",),
    ),
    # grip 2.5 + 12 - 5 = 9.5 of 25 leaves 15.5
    Row(
        StackUp,
        "foot bolt, bolt grip, length 25, panel P4, parts 2.5 washer, need 5, let in 5",
        "foot bolt, 25, panel P4, parts 2.5 washer 2.5, need 5, let in 5",
        STACKS,
        ("foot bolt: grip 2.5 + 12 - 5 let in = 9.5, leaves 15.5 of 25, need 5",),
    ),
    # 30 through 16 - 6 goes 20 into 18: it comes through. 16 - 6 + 12 = 22 to 16 - 6 + 18 - 1 = 27 long holds
    Row(
        StackUp,
        "top screw, screw, 30, parts 16 rail, into 18, need 12, let in 6",
        "top screw, 30, screw, parts 16 rail 16, need 12, into 18, let in 6",
        STACKS,
        (
            "top screw: 30 through 16 - 6 let in goes 20 into 18, -2 left before the point, need 1; "
            "a screw 22 to 27 long holds",
        ),
    ),
    # the hole of the same name says how deep: 25 - 12 + 5 = 18 stands out
    Row(
        StackUp,
        "foot bolt, projection, 25, panel P4",
        "foot bolt, 25, projection, panel P4",
        STACKS,
        ("foot bolt: 25 - 12 + 5 let in = 18 stands out",),
        drilled(opening("foot bolt", "200", "100", "5", counterbore=Counterbore(diameter=mm("14"), depth=mm("5")))),
    ),
]
IDS = [f"{row.kind.__name__}: {row.line}" for row in ROWS]


def said(row: Row) -> Frozen:
    """The record that the line makes."""
    return read_line(row.kind, row.line, code=first_code(row.kind)).record()


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_a_line_is_read_and_printed_as_the_same_line(row: Row) -> None:
    record = said(row)
    assert line_again(record) == row.again
    assert value_at(added(row.before, row.into, record), row.into)[-1] == record


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_line_that_is_printed_says_the_same_again(row: Row) -> None:
    again = read_line(row.kind, row.again, code=first_code(row.kind)).record()
    assert worded(again) == worded(said(row))


def worded(record: Frozen) -> str:
    """A record without the text as lengths were typed."""
    return re.sub(r", 'typed': '[^']*'", "", str(record.model_dump(mode="json")))


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_text_and_pdf_tell_it_with_the_figure_worked_by_hand(row: Row) -> None:
    after = added(row.before, row.into, said(row))
    assert isinstance(after, Unit)
    text = " ".join(panels_text(after, Shop(), worked_case(after), NOW).split())
    pdf = letters("\n".join(pages(make_paper(source(after, Shop()), Wish(Paper.CASE, Form.PDF)).raw)))
    for words in row.told:
        assert words in text
        assert letters(words) in pdf


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_a_document_with_it_reads_the_same(row: Row) -> None:
    after = added(row.before, row.into, said(row))
    assert isinstance(after, Unit)
    document = read_document(write_document(UnitDocument(logbook="unit", version=1, unit=after)))
    assert isinstance(document, UnitDocument)
    assert document.unit == after


@pytest.fixture
def kept_book(tmp_path: FilePath) -> Iterator[Session]:
    session = Session.open(tmp_path / "book", by="AB", now=lambda: NOW)
    yield session
    session.close()


@pytest.mark.parametrize("row", ROWS, ids=IDS)
async def test_the_screen_tells_it_and_one_undo_takes_it_back(row: Row, kept_book: Session) -> None:
    kept_book.add_unit(row.before)
    kept_book.apply(row.before.code, "said", lambda u: added(u, row.into, said(row)))  # type: ignore[arg-type,return-value]
    async with opened(kept_book, CaseScreen(kept_book, row.before.code), size=(200, 90)) as pilot:
        assert row.told[0] in listed(pilot)
        await pilot.press("z")
        assert row.told[0] not in listed(pilot)
    assert kept_book.unit(row.before.code).case == row.before.case
    assert kept_book.unit(row.before.code).held_dimensions == row.before.held_dimensions


def listed(pilot: Pilot[Any]) -> str:
    """The entries of the case, with single blanks."""
    rows = pilot.app.screen.query_one("#lines", Rows).rows
    return " ".join(" ".join(line for row in rows for line in row.lines).split())


REFUSED = [
    (Opening, "bolt, 200 x 100, counterbore 14", "counterbore: “14” says no depth. Type it like 12 4."),
    (Opening, "flange, 200 x 100, recess deep", "“deep” is not a length."),
    (Opening, "flange, 200 x 100, recess 4, recess 5", "“recess” is said twice."),
    (StackUp, "bolt, 25, let in", "let in"),
]


@pytest.mark.parametrize(("kind", "line", "why"), REFUSED)
def test_what_cannot_be_meant_is_refused_in_one_sentence(kind: type[Frozen], line: str, why: str) -> None:
    problem = read_line(kind, line, code=first_code(kind)).problem
    assert why in problem
    assert problem.endswith((".", '".'))
