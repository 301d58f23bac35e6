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
from hypothesis import given, settings
from hypothesis import strategies as st
from textual.pilot import Pilot

from logbook.casework import panel_reasons, worked_case
from logbook.model.base import Frozen
from logbook.model.case_plan import CasePlan, CornerJoint, Counterbore, Size, StackUp
from logbook.model.casework_records import HeldDimension, Opening, Panel, PanelJoint, Strip
from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.line_again import line_again
from logbook.model.measures import Length
from logbook.model.numbering import first_code, next_code
from logbook.model.one_line import read_line
from logbook.model.paths import Path, put_at, value_at
from logbook.model.record_edits import added
from logbook.model.shop import Shop
from logbook.model.unit import Member, PartSet, Unit
from logbook.model.words import Axis, BackKind, CaseJoint, PanelRole
from logbook.render.case_document import panels_text
from logbook.session import Session
from logbook.session.papers import Form, Paper, Wish, make_paper
from logbook.tui.screens.case_screen import CaseScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import at, mm
from tests.casework.building import box, corner, held, inside, layer, opening, panel
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
    on_screen: str = ""
    """What stands on the screen, where that is not the first of these."""


OPENINGS: Path = ("case", "panels", "P4", "openings")
STACKS: Path = ("case", "stacks")


def drilled(*openings: Opening) -> Unit:
    """The box with these openings in its bottom."""
    return put_at(box(plan=BUTT), OPENINGS, openings)


HELD: Path = ("held_dimensions",)
BOTTOM: Path = ("case", "plan", "bottom")


def shelved(*dimensions: HeldDimension) -> Unit:
    """The box with a shelf in it, and what is held."""
    return box(panel("P5", "shelf"), plan=BUTT, dimensions=dimensions)


def backed() -> Unit:
    """The box with a back of 6 in a rabbet 6 deep."""
    plan = BUTT.model_copy(update={"back": BackKind.RABBET, "back_depth": mm("6")})
    return box(panel("P6", "back", "6", "6 ply"), plan=plan)


def grooved() -> Unit:
    """The box with a back of 6 of which the plan says nothing."""
    return box(panel("P6", "back", "6", "6 ply"), plan=BUTT)


def drawers(*panels: Panel) -> Unit:
    """The box with four drawers in it, 300 wide and 250 deep inside."""
    sizes = (held("H4", "drawer inside width", "300"), held("H5", "drawer inside depth", "250", along=Axis.DEPTH))
    of = PartSet(code="D", name="drawers", members=tuple(Member(code=f"D{i}") for i in range(1, 5)))
    return box(*panels, plan=BUTT, dimensions=(*inside(), *sizes), sets=(of,))


def lidded(*strips: Strip) -> Unit:
    """The box and a lid of 500 x 320 that is no part of its frame."""
    lid = panel("P9", "lid", finish=Size(length=mm("500"), width=mm("320")))
    return box(lid, plan=BUTT, case={"strips": strips})


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
        ("foot bolt: 25 long, grip 2.5 + 12 - 5 let in = 9.5; 15.5 left for the nut, at least 5 wanted",),
    ),
    # 30 through 16 - 6 goes 20 into 18: it comes through. 16 - 6 + 12 = 22 to 16 - 6 + 18 - 1 = 27 long holds
    Row(
        StackUp,
        "top screw, screw, 30, parts 16 rail, into 18, need 12, let in 6",
        "top screw, 30, screw, parts 16 rail 16, need 12, into 18, let in 6",
        STACKS,
        (
            "top screw: 30 long, passes 16 - 6 let in, bites 20 into 18; the point comes out by 2, at least 1 wanted; "
            "a screw 22 to 27 long fits",
        ),
    ),
    # the hole of the same name says how deep: 25 - 12 + 5 = 18 stands out
    Row(
        StackUp,
        "foot bolt, projection, 25, panel P4",
        "foot bolt, 25, projection, panel P4",
        STACKS,
        ("foot bolt: 25 - 12 + 5 let in = 18 beyond the panel",),
        drilled(opening("foot bolt", "200", "100", "5", counterbore=Counterbore(diameter=mm("14"), depth=mm("5")))),
    ),
    # 120 + 12 + 180 = 312 inside; top and bottom stand between the sides: 312 + 12 + 12 = 336
    Row(
        HeldDimension,
        "upper height, 180, plus 0.5, minus 0.5, between P5; P1",
        "upper height, value 180, plus 0.5, minus 0.5, between P5; P1",
        HELD,
        (
            "336 x 200",
            "H2 upper height 180 (±0.5) 180 0 holds",
            "All 4 held dimensions hold. Outside 424 x 336 x 200.",
        ),
        shelved(
            held("H-W", "inside width", "400"),
            held("H-D", "inside depth", "200", along=Axis.DEPTH),
            held("H1", "lower height", "120", between=("P4", "P5")),
        ),
    ),
    # the whole is held as well: 300 - (200 + 12) leaves 88 above the shelf, where 90 is held
    Row(
        HeldDimension,
        "lower height, 200, ±0.5, between P4; P5",
        "lower height, value 200, plus 0.5, minus 0.5, between P4; P5",
        HELD,
        ("H3 upper height 90 (±0.5) 88 -2 NOT HELD", "between P5 and P1: 300 - 212. Move P5 by 2"),
        shelved(*inside(), held("H3", "upper height", "90", between=("P5", "P1"))),
    ),
    Row(
        HeldDimension,
        "lower height, 200, between P4; P9",
        "lower height, value 200, between P4; P9",
        HELD,
        ("H4 lower height 200", "4 of 5 held dimensions hold; not known: H4.", "There is no panel P9 in this case."),
        shelved(*inside()[:2], held("H3", "upper height", "90", between=("P5", "P1")), inside()[2]),
    ),
    # 400 + 2 x 4 - 0.5 = 407.5
    Row(
        PanelJoint,
        "both ends, dado, depth 4, slack 0.5",
        "both ends, dado, depth 4, slack 0.5",
        ("case", "panels", "P5", "joints"),
        ("407.5 x 200", "both ends: dado 4 deep, slack 0.5"),
        shelved(*inside()),
    ),
    # the back 6 thick lies in a rabbet 6 deep: sides 200 + 6 = 206; the bottom ends at the back, the back runs on over
    # its edge: 300 + 12 + 6 - 0.5 = 317.5 high, 400 + 2 x 6 - 1 = 411 wide
    Row(CornerJoint, "short 0", "short 0", BOTTOM, ("400 x 200", "411 x 317.5"), backed()),
    # ten short of the back: 200 - 10 = 190
    Row(CornerJoint, "short 10", "short 10", BOTTOM, ("400 x 190", "411 x 317.5"), backed()),
    # the other way round the back stands on the bottom, into its rabbet: 300 + 2 x 6 - 1 = 311
    Row(CornerJoint, "rabbet, depth 6", "rabbet, depth 6", BOTTOM, ("412 x 206", "411 x 311"), backed()),
    # in a groove 6 deep, with 2 of play in all: 400 + 12 - 2 = 410, 300 + 12 - 2 = 310; 200 + 6 + 8 behind = 214
    Row(
        CasePlan,
        "loose in a groove, back depth 6, back set in 8, back gap 2",
        "loose in a groove, back depth 6, back set in 8, back gap 2",
        ("case", "plan"),
        ("410 x 310", "400 x 214"),
        backed(),
    ),
    # a joint in the line of a panel says how deep it is: 400 + 2 x 4 - 0.5 = 407.5
    Row(
        Panel,
        "shelf, 12 ply, joints both ends dado 4 deep slack 0.5",
        "shelf, layers 12 ply 12, joints both ends dado depth 4 slack 0.5",
        ("case", "panels"),
        ("407.5 x 200", "both ends: dado 4 deep, slack 0.5"),
        box(plan=BUTT),
    ),
    Row(
        Panel,
        "shelf, 12 ply 11.8, joints both ends dado depth 4 width 11.8 + front rabbet depth 3",
        "shelf, layers 12 ply 11.8, joints both ends dado depth 4 width 11.8 + front rabbet depth 3",
        ("case", "panels"),
        ("407 x 200", "both ends: dado 11.8 wide, 4 deep; front: rabbet 3 deep"),
        box(plan=BUTT),
    ),
    # the same in a phrase of its own behind the joint
    Row(
        Panel,
        "shelf, 12 ply, joints both ends dado, 4 deep, slack 0.5",
        "shelf, layers 12 ply 12, joints both ends dado depth 4 slack 0.5",
        ("case", "panels"),
        ("407.5 x 200", "both ends: dado 4 deep, slack 0.5"),
        box(plan=BUTT),
    ),
    # a groove for the back is that of the plan: 400 + 2 x 6 - 1.5 = 410.5, 300 + 2 x 6 - 1.5 = 310.5;
    # with the back 6 thick and 9 behind it the sides are 200 + 6 + 9 = 215
    Row(
        Panel,
        "fillet, 12 ply, groove 6 deep for the back, set in 9",
        "fillet, layers 12 ply 12, grooves back depth 6 set in 9",
        ("case", "panels"),
        ("410.5 x 310.5", "400 x 215", "groove 6 deep, 9 in, for the back"),
        grooved(),
    ),
    Row(
        Panel,
        "fillet, 12 ply, rabbet 6 deep for the back",
        "fillet, layers 12 ply 12, grooves back depth 6 rabbet",
        ("case", "panels"),
        ("411 x 311", "400 x 206", "rabbet 6 deep, for the back"),
        grooved(),
    ),
    # in a plan that has the back in a rabbet it is another one, which is said
    Row(
        Panel,
        "fillet, 12 ply, groove for the back 6 deep 6.2 wide",
        "fillet, layers 12 ply 12, grooves back depth 6 width 6.2",
        ("case", "panels"),
        ("a groove for the back, and the plan has the back in a rabbet", "groove 6.2 wide, 6 deep, for the back"),
        backed(),
    ),
    # a back that only butts is as large as the inside, and lies within the depth of the sides: 200 + 6 = 206
    Row(
        CasePlan,
        "between top and bottom",
        "between top and bottom",
        ("case", "plan"),
        ("400 x 300", "324 x 206"),
        backed(),
    ),
    # set in 8, with 2 of play in all: 398 x 298
    Row(
        CasePlan,
        "back between top and bottom, back set in 8, back gap 2",
        "between top and bottom, back set in 8, back gap 2",
        ("case", "plan"),
        ("398 x 298", "324 x 208"),
        backed(),
    ),
    # while the depth of its grooves is not said it has no size, and the case holds all the same
    # then every drawer bottom: 300 + 2 x 6 - 0.5 = 311.5 across; 250 + 6 - 0.5 = 255.5 back, in under the drawer's back
    Row(
        Panel,
        "drawer bottom, 4 ply, quantity 4, joints both ends dado + front dado",
        "drawer bottom, quantity 4, layers 4 ply 4, joints both ends dado + front dado",
        ("case", "panels"),
        ("drawer bottom", "All 3 held dimensions hold.", "both ends: dado; front: dado"),
        drawers(),
    ),
    Row(
        PanelJoint,
        "front, dado, depth 6, slack 0.5",
        "front, dado, depth 6, slack 0.5",
        ("case", "panels", "P7", "joints"),
        (
            "311.5 x 255.5",
            "drawer inside width 300 (±0.5) 299.5 to 300 0 holds",
            "drawer inside depth 250 (±0.5) 249.5 to 250 0 holds",
            "All 5 held dimensions hold. Outside 424 x 324 x 200.",
        ),
        drawers(
            Panel(
                code="P7",
                name="drawer bottom",
                quantity=4,
                layers=(layer("4", "4 ply"),),
                joints=(PanelJoint(end="both ends", kind=CaseJoint.DADO, depth=mm("6"), slack=mm("0.5")),),
            )
        ),
    ),
    # one drawer is wider than the others: its own bottom follows from its own width, 320 + 2 x 6 - 0.5 = 331.5
    Row(
        HeldDimension,
        "inside width, 320, member D2",
        "inside width, value 320, member D2",
        HELD,
        ("331.5 x 250", "write “R1 P8 bottom of the second D2” on it"),
        drawers(
            Panel(
                code="P8",
                name="bottom of the second",
                member="D2",
                role=PanelRole.BOTTOM,
                layers=(layer("4", "4 ply"),),
                joints=(PanelJoint(end="both ends", kind=CaseJoint.DADO, depth=mm("6"), slack=mm("0.5")),),
            )
        ),
    ),
    # a lid 500 x 320 with a frame of 40 x 18 behind it, 10 in from its edges: at the ends 320 - 2 x 10 = 300, between
    # them 500 - 2 x 10 - 2 x 40 = 400; 12 + 18 = 30 thick together
    Row(
        Strip,
        "frame end, 2, 0, pine, wide 40, thick 18, on P9, edges left; right, inset 10",
        "frame end, 2, 0, pine, wide 40, thick 18, on P9, edges left; right, inset 10",
        ("case", "strips"),
        ("finish 300 x 40 x 18", "behind P9: 12 + 18 = 30 thick together"),
        lidded(),
        "frame end 2 x 300",
    ),
    Row(
        Strip,
        "frame rail, 2, 0, pine, wide 40, thick 18, on P9, edges front; back, inset 10",
        "frame rail, 2, 0, pine, wide 40, thick 18, on P9, edges front; back, inset 10",
        ("case", "strips"),
        ("finish 400 x 40 x 18", "behind P9: 12 + 18 = 30 thick together"),
        lidded(
            Strip(
                code="S1",
                name="frame end",
                quantity=2,
                length=mm("0"),
                material="pine",
                wide=mm("40"),
                thick=mm("18"),
                on="P9",
                edges=("left", "right"),
                inset=mm("10"),
            )
        ),
        "frame rail 2 x 400",
    ),
]
IDS = [f"{row.kind.__name__}: {row.line}" for row in ROWS]


def said(row: Row) -> Frozen:
    """The record that the line makes."""
    return read_line(row.kind, row.line, code=code_for(row)).record()


def code_for(row: Row) -> str:
    """The code that the program offers."""
    taken = value_at(row.before, row.into)
    listed = tuple(getattr(t, "code", "") for t in taken) if isinstance(taken, tuple) else ()
    return next_code(row.before, row.kind, tuple(c for c in listed if c))


def after_it(row: Row, before: Unit | None = None) -> Unit:
    """The unit once it was said."""
    before = before or row.before
    if isinstance(value_at(before, row.into), tuple):
        changed = added(before, row.into, said(row))
        assert isinstance(changed, Unit)
        return changed
    return put_at(before, row.into, said(row))


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_a_line_is_read_and_printed_as_the_same_line(row: Row) -> None:
    record = said(row)
    assert line_again(record) == row.again
    found = value_at(after_it(row), row.into)
    assert record in (found if isinstance(found, tuple) else (found,))


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_the_line_that_is_printed_says_the_same_again(row: Row) -> None:
    again = read_line(row.kind, row.again, code=code_for(row)).record()
    assert worded(again) == worded(said(row))


def worded(record: Frozen) -> str:
    """A record without the text as lengths were typed."""
    return re.sub(r", 'typed': '[^']*'", "", str(record.model_dump(mode="json")))


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_text_and_pdf_tell_it_with_the_figure_worked_by_hand(row: Row) -> None:
    after = after_it(row)
    text = " ".join(panels_text(after, Shop(), worked_case(after), NOW).split())
    pdf = letters("\n".join(pages(make_paper(source(after, Shop()), Wish(Paper.CASE, Form.PDF)).raw)))
    for words in row.told:
        assert words in text
        assert letters(words) in pdf


@pytest.mark.parametrize("row", ROWS, ids=IDS)
def test_a_document_with_it_reads_the_same(row: Row) -> None:
    after = after_it(row)
    document = read_document(write_document(UnitDocument(logbook="unit", version=1, unit=after)))
    assert isinstance(document, UnitDocument)
    assert document.unit == after


def test_the_size_of_a_back_that_only_butts_is_told_with_its_reason() -> None:
    plan = CasePlan(top=corner("butt, between"), bottom=corner("butt, between"), back=BackKind.BETWEEN)
    found = worked_case(box(panel("P6", "back", "6", "6 ply"), plan=plan))
    assert found is not None
    (member,) = found.members
    said = panel_reasons(member, next(p for p in member.panels if p.code == "P6"))
    assert any("Inside 400 x 300: it only butts between top and bottom and between the sides." in s for s in said)


@pytest.fixture
def kept_book(tmp_path: FilePath) -> Iterator[Session]:
    session = Session.open(tmp_path / "book", by="AB", now=lambda: NOW)
    yield session
    session.close()


@pytest.mark.parametrize("row", ROWS, ids=IDS)
async def test_the_screen_tells_it_and_one_undo_takes_it_back(row: Row, kept_book: Session) -> None:
    kept_book.add_unit(row.before)
    kept_book.apply(row.before.code, "said", lambda u: after_it(row, u))
    async with opened(kept_book, CaseScreen(kept_book, row.before.code), size=(200, 90)) as pilot:
        words = row.on_screen or row.told[0]
        assert words in listed(pilot)
        await pilot.press("z")
        assert words not in listed(pilot)
    assert kept_book.unit(row.before.code).case == row.before.case
    assert kept_book.unit(row.before.code).held_dimensions == row.before.held_dimensions


def listed(pilot: Pilot[Any]) -> str:
    """The entries of the case, with single blanks."""
    rows = pilot.app.screen.query_one("#lines", Rows).rows
    return " ".join(" ".join(line for row in rows for line in row.lines).split())


REFUSED = [
    (Opening, "bolt, 200 x 100, counterbore 14", "counterbore: “14” says no depth. Type it like 12 4."),
    (Opening, "flange, 200 x 100, recess deep", "“deep” is not a length."),
    (
        Panel,
        "side, 12 ply, depth 230",
        "“depth 230”: the depth of what? Of a panel say finish 480 x 230; of what is cut into it, with it: "
        "groove for the back depth 6, joints both ends dado depth 6.",
    ),
    (Opening, "flange, 200 x 100, recess 4, recess 5", "“recess” is said twice."),
    (StackUp, "bolt, 25, let in", "let in"),
]


@pytest.mark.parametrize(("kind", "line", "why"), REFUSED)
def test_what_cannot_be_meant_is_refused_in_one_sentence(kind: type[Frozen], line: str, why: str) -> None:
    problem = read_line(kind, line, code=first_code(kind)).problem
    assert why in problem
    assert problem.endswith((".", '".'))


@given(
    st.integers(400, 4000), st.integers(400, 4000), st.integers(30, 300), st.sampled_from(["butt, between", "rabbet"])
)
@settings(max_examples=40, deadline=None)
def test_two_held_heights_are_the_same_case_as_the_whole_with_a_shelf_at_its_place(
    lower: int, upper: int, thick: int, kind: str
) -> None:
    def tenths(number: int) -> str:
        return f"{number / 10}"

    plan = CasePlan(top=corner(kind), bottom=corner(kind))
    shelf = panel("P5", "shelf", tenths(thick))
    across = (held("H-W", "inside width", "400"), held("H-D", "inside depth", "200", along=Axis.DEPTH))
    low = held("H1", "lower height", tenths(lower), between=("P4", "P5"))
    high = held("H2", "upper height", tenths(upper), between=("P1", "P5"))  # either way round
    from_both = worked_case(box(shelf, plan=plan, dimensions=(*across, low, high)))
    whole = held("H-H", "inside height", tenths(lower + thick + upper))
    placed = shelf.model_copy(update={"at": mm(tenths(lower))})
    from_whole = worked_case(box(placed, plan=plan, dimensions=(*across, whole)))
    assert from_both is not None
    assert from_whole is not None
    assert [h.sign for h in from_both.held] == ["holds"] * 4
    assert [(p.code, p.finish, p.box) for p in from_both.panels] == [
        (p.code, p.finish, p.box) for p in from_whole.panels
    ]
    assert from_both.outside == from_whole.outside


@given(st.integers(0, 500), st.sampled_from([BackKind.RABBET, BackKind.GROOVE, BackKind.BLOCKS]), st.booleans())
@settings(max_examples=40, deadline=None)
def test_what_ends_short_of_the_back_never_meets_it_and_the_back_covers_its_edge(
    short: int, kind: BackKind, both: bool
) -> None:
    corner_ = CornerJoint(short=mm(f"{short / 10}"))
    plan = CasePlan(bottom=corner_, top=corner_ if both else None, back=kind, back_set_in=mm("9"), back_depth=mm("4"))
    found = worked_case(box(panel("P6", "back", "6"), plan=plan))
    assert found is not None
    at_ = {p.code: p.box for p in found.panels}
    back, bottom, top, side = at_["P6"], at_["P4"], at_["P1"], at_["P2"]
    assert back is not None and bottom is not None and top is not None and side is not None  # noqa: PT018
    assert back.front - bottom.rear == mm(f"{short / 10}").ticks
    assert back.bottom == bottom.bottom == side.bottom
    assert (top.rear < back.front + 1) is both
    assert (back.top == top.top) is both


@given(st.integers(200, 600), st.integers(100, 400), st.integers(20, 80), st.integers(0, 20))
@settings(max_examples=40, deadline=None)
def test_a_drawer_changes_nothing_of_the_case_and_holds_what_is_held_of_it(
    wide: int, deep: int, into: int, slack: int
) -> None:
    grooved = PanelJoint(end="all", kind=CaseJoint.DADO, depth=mm(f"{into / 10}"), slack=mm(f"{slack / 10}"))
    bottom = panel("P7", "drawer bottom", "4", joints=(grooved,))
    with_drawer = drawers(bottom)
    sizes = {"H4": str(wide), "H5": str(deep)}
    held_ = tuple(
        h.model_copy(update={"value": mm(sizes[h.code])}) if h.code in sizes else h for h in with_drawer.held_dimensions
    )
    found = worked_case(with_drawer.model_copy(update={"held_dimensions": held_}))
    alone = worked_case(box(plan=BUTT))
    assert found is not None
    assert alone is not None
    assert found.panels[:4] == alone.panels
    assert (found.outside, found.consequences) == (alone.outside, alone.consequences)
    assert {h.code: h.sign for h in found.held} == dict.fromkeys(("H-W", "H-H", "H-D", "H4", "H5"), "holds")
    own = found.panels[4].finish
    more = mm(f"{(2 * into - slack) / 10}").ticks
    assert own == (mm(str(wide)).ticks + more, mm(str(deep)).ticks + more)


def test_a_drawer_bottom_as_it_is_published() -> None:
    """Bottoms of 1/4 in are let into a groove of 1/4 in on all four sides (drawer.com, “Drawer bottoms”).

    Inside 12 x 18 in it is then 12 1/2 x 18 1/2 in where it reaches the ground of the groove, without slack.
    """
    all_round = PanelJoint(end="all", kind=CaseJoint.DADO, depth=mm("1/4 in"), slack=mm("0"))
    of = drawers(panel("P7", "drawer bottom", "1/4 in", "ply", joints=(all_round,)))
    inches = {"H4": "12 in", "H5": "18 in"}
    sizes = tuple(
        h.model_copy(update={"value": Length.of(inches[h.code])}) if h.code in inches else h for h in of.held_dimensions
    )
    found = worked_case(of.model_copy(update={"held_dimensions": sizes}))
    assert found is not None
    assert found.panels[4].finish == (Length.of("12 1/2 in").ticks, Length.of("18 1/2 in").ticks)
