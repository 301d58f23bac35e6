"""One line of plain words for a new thing: what is read from it, and what is refused with which sentence."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.case_plan import Position, StackPart
from logbook.model.casework_records import HeldDimension, Layer, Opening, Panel, PanelJoint, Strip
from logbook.model.fields import in_a_line, offered_fields
from logbook.model.numbering import first_code
from logbook.model.one_line import read_line, record_in, records_in
from logbook.model.shop import Consumable, FreeTime, Offcut, Seller, Shop
from logbook.model.step import Connection, Fastener, Hazard, Relation
from logbook.model.typed_values import Context
from logbook.model.unit import Component, PartSet, SubAssembly, Unit
from logbook.model.usual_fields import example_of
from logbook.model.work import Operation, Part, StopLine, Waiting
from tests.builders import mm

NOW = datetime(2026, 3, 20, 12, tzinfo=UTC)
"""A Friday."""
CONTEXT = Context(NOW, "EUR")


def kinds(kind: type[Frozen], seen: dict[str, type[Frozen]]) -> dict[str, type[Frozen]]:
    """Every kind of record that a form offers, from `kind` down."""
    for field in offered_fields(kind):
        if field.record is not None and field.record.__name__ not in seen:
            seen[field.record.__name__] = field.record
            kinds(field.record, seen)
    return seen


KINDS = kinds(Shop, kinds(Unit, {}))
LISTED = {
    f.record.__name__: f.record
    for kind in (Unit, Shop, *KINDS.values())
    for f in offered_fields(kind)
    if f.record is not None and (f.kind == "list" or any(x.required for x in offered_fields(f.record)))
}
"""What can be added: things of lists, and details that need something said."""


@pytest.mark.parametrize(
    ("kind", "line", "words"),
    [
        (Seller, "spares by post, shipping 4.95, days 3", "spares by post, 4.95, days 3"),
        (Seller, "spares by post, 4.95, 3 days, free from 50", "spares by post, 4.95, 50.00, days 3"),
        (Seller, "counter, shipping 0, closed on Mondays", "counter, 0.00, closed on Mondays"),
        (FreeTime, "Tue 18:00 2 h", "Tuesday, 18:00, 2:00 h"),
        (FreeTime, "Tuesday 18:00-20:00", "Tuesday, 18:00, 2:00 h"),
        (FreeTime, "Sat from 9.30 to 12, helper", "Saturday, 09:30, 2:30 h, helper"),
        (FreeTime, "Sun 8 pm - 0:00", "Sunday, 20:00, 4:00 h"),
        (FreeTime, "sat, 9:00, 90", "Saturday, 09:00, 1:30 h"),
        (FreeTime, "1.12.26 6 pm 45 min, helper", "on Tue 1 Dec 2026, 18:00, 45 min, helper"),
        (FreeTime, "tomorrow 18:00 2 h", "on Sat 21 Mar 2026, 18:00, 2:00 h"),
        (Panel, "left side, 12 ply + 0.6 oak veneer", "P1, left side, layers 2: 12 ply, 12; 0.6 oak veneer, 0.6"),
        (Panel, "P7 top, layers 12 ply 11.8", "P7, top, layers 1: 12 ply, 11.8"),
        (Panel, "back, quantity 2, 480 x 230, width", "P1, back, quantity 2, 480 x 230, width"),
        (Panel, "side, joints both ends dado + top rabbet", "P1, side, joints 2: both ends, dado; top, rabbet"),
        (HeldDimension, "inside width, 200, 200.4", "H1, inside width, 200, 200; 200.4"),
        (HeldDimension, "inside width, 200 200.4, ±0.5", "H1, inside width, 200, plus 0.5, minus 0.5, 200; 200.4"),
        (HeldDimension, "inside width, 200, plus 0.5, -0.2", "H1, inside width, 200, plus 0.5, minus 0.2"),
        (Layer, "12 ply", "12 ply, 12"),
        (Layer, "12 ply, 11.8", "12 ply, 11.8"),
        (Layer, "oak veneer 0.6", "oak veneer, 0.6"),
        (PanelJoint, "both ends, butt, between", "both ends, butt, between"),
        (PanelJoint, "both ends dado, depth 6", "both ends, dado, 6"),
        (PanelJoint, "both ends rebate, depth 6", "both ends, rabbet, 6"),
        (PanelJoint, "both ends, housing", "both ends, dado"),
        (Opening, "shaft, 120 x 80, 10", "shaft, 120 x 80, 10"),
        (Opening, "shaft, 120, 80, diameter 10", "shaft, 120 x 80, 10"),
        (Opening, "shaft, 120 x 80, dia 10", "shaft, 120 x 80, 10"),
        (Opening, "shaft, 120 x 80, ø10", "shaft, 120 x 80, 10"),
        (Opening, "window, 120 x 80, 60 x 40, not through", "window, 120 x 80, size 60 x 40, not through"),
        (Opening, "dial, 5 1/2 in x 3, radius 1/8", "dial, 5 1/2 in x 3, radius 1/8"),
        (Strip, "rear block, 2, 480, oak", "S1, rear block, quantity 2, 480, oak"),
        (StackPart, "2.5 rubber washer, quantity 2", "2.5 rubber washer, 2.5, quantity 2"),
        (Fastener, "4 screw 3.5x16, 3", "screw 3.5x16, holes 4, found 3"),
        (Fastener, "screw 3.5x16, 4, 4, renew, bag 7", "screw 3.5x16, holes 4, found 4, renew, 7"),
        (Fastener, "4/3 screw 3.5x16, bag 7", "screw 3.5x16, holes 4, found 3, 7"),
        (Fastener, "screw 3.5x16, 4", "screw 3.5x16, holes 4, found 4"),
        (Hazard, "stored charge, danger, do wait five minutes", "DANGER, stored charge, wait five minutes"),
        (Relation, "better before, T01, T03, why the knob hides it", "better before, T01, T03, the knob hides it"),
        (PartSet, "drawers, D1, D2, D3", "S1, drawers, members 3: D1; D2; D3"),
        (PartSet, "speakers, handed pair, left, right", "S1, speakers, handed pair, members 2: left; right"),
        (SubAssembly, "chassis, T11", "A1, chassis, T11"),
        (Connection, "brown, from chassis tag 3, to lamp, plug", "W1, plug, chassis tag 3, lamp, brown"),
        (Component, "output transformer, test first, where kept box 2", "C1, output transformer, test first, box 2"),
        (Part, "mains cord, 2 m, 8.40, seller counter", "N1, mains cord, quantity 2, m, 8.40, counter"),
        (Part, "mains cord, 8.40", "N1, mains cord, quantity 1, 8.40"),
        (Part, "mains cord, 8,40, 2", "N1, mains cord, quantity 2, 8.40"),
        (Part, "mains cord, 2.5", "N1, mains cord, quantity 2.5"),
        (Part, "mains cord, quantity 8.40", "N1, mains cord, quantity 8.4"),
        (Part, "valve, 1, price 6 / 8.40 / 12, only if weak", "N1, valve, quantity 1, weak, 6.00 / 8.40 / 12.00"),
        (Consumable, "wood glue, 250 ml, jar 2", "wood glue, ml, stock 250, jar 2"),
        (Consumable, "wood glue, 250 ml, pack 500 9.50", "wood glue, ml, size 500, 9.50, stock 250"),
        (Offcut, "12 ply, 980 x 260, 11.8, place sheet rack", "O01, 12 ply, 11.8, 980, width 260, sheet rack"),
        (Operation, "glue the sides, 20 min, wait 12 h", "B01, glue the sides, 20 min, earliest 12:00 h"),
        (StopLine, "100, why a new one costs 140", "100.00, a new one costs 140"),
        (Waiting, "bearings, Fri, since yesterday", "bearings, since Thu 19 Mar 2026, expected Fri 27 Mar 2026"),
    ],
)
def test_a_line_is_read_as_the_record_takes_it(kind: type[Frozen], line: str, words: str) -> None:
    reading = read_line(kind, line, CONTEXT, code=first_code(kind))
    assert (reading.problem, reading.missing) == ("", ())
    assert in_a_line(reading.record()) == words


@pytest.mark.parametrize(
    ("kind", "line", "problem"),
    [
        (Seller, "post, days soon", "days: “soon” is not a whole number. Type it like 4."),
        (Seller, "post, days 3, days 4", "“days” is said twice."),
        (Seller, "post, shipping $4", "“$4” is in $, and this book counts in EUR. Convert it first."),
        (FreeTime, "Tue 18:00 2 h, banana", "“banana” was not understood. Say first what it is: on, helper."),
        (FreeTime, "Mon-Fri 18:00 2 h", "“Mon-Fri 18:00 2 h” was not understood. Type it like Tue 18:00 2 h."),
        (
            FreeTime,
            "Tue, Thu evening 19-21",
            "One line is one weekday or one single day. Write the other day in a line of its own.",
        ),
        (FreeTime, "Tue 20:00-18:00", "“20:00-18:00” ends before it begins. Type it like Tue 18:00 2 h."),
        (
            Operation,
            "varnish, x min, after B01",
            "“x min” has a unit and no figure. Type it like 20 min, or leave it out.",
        ),
        (HeldDimension, "inside, 200, 0.5", "“0.5” is no second reading of 200. A tolerance is typed ±0.5."),
        (Relation, "better before, 9, T01", "earlier: it begins with a letter, like T05."),
        (
            PanelJoint,
            "both ends dado, glued",
            "“glued” was not understood. Say first what it is: depth, width, slack, face.",
        ),
        (Opening, "shaft, 120", "centre: “120” is only half of it. Type it like 120 80."),
        (Panel, "side, layers ply", "layers: “ply” says no thickness. Type it like 12 ply, 11.8, piece O01."),
        (PartSet, "drawers, second from top", "code: letters and digits only, like W6."),
        (PartSet, "drawers, D1, D1", "members: D1 is said twice."),
        (Relation, "better before, T01, knob", "later: letters and digits only, like T05."),
        (Position, "120 80 60", "“120 80 60” is more than is asked here."),
    ],
)
def test_what_is_not_understood_gives_one_sentence(kind: type[Frozen], line: str, problem: str) -> None:
    assert read_line(kind, line, CONTEXT, code=first_code(kind)).problem == problem


@pytest.mark.parametrize(
    ("kind", "line", "missing"),
    [
        (Seller, "", ["name"]),
        (FreeTime, "Tue", ["from", "how long"]),
        (Fastener, "screw 3.5x16", ["holes", "found"]),
        (Relation, "T01, T03", ["kind"]),
        (Panel, "", ["name"]),
        (Connection, "", []),
        (Opening, "shaft", ["centre"]),
        (PartSet, "drawers", ["members"]),
    ],
)
def test_what_was_not_said_is_still_to_be_asked(kind: type[Frozen], line: str, missing: list[str]) -> None:
    reading = read_line(kind, line, CONTEXT, code=first_code(kind))
    assert (reading.problem, [f.label for f in reading.missing]) == ("", missing)


@pytest.mark.parametrize(
    ("like", "line", "words"),
    [
        ((FreeTime, "Tue 18:00 2 h"), "Wed", "Wednesday, 18:00, 2:00 h"),
        ((FreeTime, "Tue 18:00 2 h"), "Sat 9:00", "Saturday, 09:00, 2:00 h"),
        ((Panel, "left side, 12 ply + 0.6 oak"), "right side", "P2, right side, layers 2: 12 ply, 12; 0.6 oak, 0.6"),
        ((Panel, "left side, 12 ply"), "", "P2, left side, layers 1: 12 ply, 12"),
        ((Layer, "12 ply, 11.8"), "thickness 12.2", "12 ply, 12.2"),
        ((Layer, "12 ply, 11.8"), "12.2", "12 ply, 12.2"),
    ],
)
def test_a_copy_says_only_what_differs(like: tuple[type[Frozen], str], line: str, words: str) -> None:
    kind, first = like
    copied = read_line(kind, first, CONTEXT, code="P1").record()
    assert in_a_line(read_line(kind, line, CONTEXT, code="P2", like=copied).record()) == words


@pytest.mark.parametrize("kind", LISTED.values(), ids=LISTED)
def test_the_example_in_grey_is_a_whole_entry(kind: type[Frozen]) -> None:
    reading = read_line(kind, example_of(kind), CONTEXT, code=first_code(kind))
    assert (reading.problem, reading.missing) == ("", ()), example_of(kind)
    assert in_a_line(reading.record())
    assert len(example_of(kind)) <= 60


def pieces() -> Iterator[str]:
    """What lines are made of."""
    yield from ("", ",", " ", "12", "12.5 mm", "0.6", "x", "+", "Tue", "18:00", "2 h", "note", "left", "T01", "D1")
    yield from (
        "shipping",
        "kind",
        "better before",
        "butt, between",
        "not",
        "\u202e",
        "[red]",
        "9" * 30,
        "1/0",
        "12 Mar",
    )


@given(st.sampled_from(sorted(KINDS)), st.lists(st.sampled_from(sorted(pieces())), max_size=7))
def test_any_words_give_a_record_or_a_sentence(name: str, words: list[str]) -> None:
    kind = KINDS[name]
    reading = read_line(kind, " ".join(words), CONTEXT, code=first_code(kind))
    try:
        record = reading.record()
    except InputError as error:
        sentence = str(error)
    else:
        assert isinstance(record, kind)
        return
    assert sentence.endswith(".")
    assert "None" not in sentence


def test_records_inside_a_phrase() -> None:
    layers = records_in(Layer, "12 ply + 0.6 oak veneer", CONTEXT)
    assert [(x.material, x.thickness.in_mm()) for x in layers] == [("12 ply", "12"), ("0.6 oak veneer", "0.6")]
    assert record_in(Position, "120 x 80", CONTEXT).y.in_mm() == "80"
    with pytest.raises(InputError, match="says no y"):
        record_in(Position, "120", CONTEXT)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("200 x 60", "knob, 200 x 60, 10"),
        ("second knob, 200 x 60", "second knob, 200 x 60, 10"),
        ("200 x 60, 12", "knob, 200 x 60, 12"),
        ("dia 12", "knob, 150 x 60, 12"),
    ],
)
def test_a_round_opening_like_another_says_only_where_it_is(line: str, words: str) -> None:
    knob = read_line(Opening, "knob, 150 x 60, diameter 10", CONTEXT).record()
    assert in_a_line(read_line(Opening, line, CONTEXT, like=knob).record()) == words


@pytest.mark.parametrize(
    ("line", "name", "quantity", "unit_of"),
    [
        ("60 W lamp, 2", "60 W lamp", "2", ""),
        ("2 60 W lamp", "60 W lamp", "2", ""),
        ("2-way switch, 1", "2-way switch", "1", ""),
        ("12 mm dowel, 4", "12 mm dowel", "4", ""),
        ("230 V relay x3", "230 V relay", "3", ""),
        ("2 lamp holder", "lamp holder", "2", ""),
        ("lamp holder 2", "lamp holder", "2", ""),
        ("1.5 m mains cord", "mains cord", "1.5", "m"),
        ("mains cord 2 m", "mains cord", "2", "m"),
        ("wire W4, price 3", "wire W4", "1", ""),
        ("wire W4, 3, price 2", "wire W4", "3", ""),
        ("2 wire W4", "wire W4", "2", ""),
        ("lamp holder E27 x2", "lamp holder E27", "2", ""),
        ("screw M4", "screw M4", "1", ""),
    ],
)
def test_a_number_in_the_name_of_a_part_is_not_its_quantity_and_no_word_is_lost(
    line: str, name: str, quantity: str, unit_of: str
) -> None:
    part = read_line(Part, line, CONTEXT, code="N1").record()
    assert isinstance(part, Part)
    assert (part.name, f"{part.quantity}", part.unit) == (name, quantity, unit_of)


@pytest.mark.parametrize("line", ["60 W lamp", "lamp 60 W", "2-way switch", "12 mm dowel"])
def test_a_part_without_a_number_is_one_and_what_it_is_rated_at_stays_in_its_name(line: str) -> None:
    reading = read_line(Part, line, CONTEXT, code="N1")
    assert reading.missing == ()
    part = reading.record()
    assert isinstance(part, Part)
    assert (part.name, part.quantity) == (line, 1)


@pytest.mark.parametrize(
    ("said", "takes", "depth", "wide"),
    [
        ("groove 6 deep for the back", "back", "6", ""),
        ("groove, depth 6, for the back", "back", "6", ""),
        ("groove 6 deep, 4 wide, for the bottom", "bottom", "6", "4"),
        ("back groove 6 deep", "back", "6", ""),
        ("drawer bottom groove 6 deep, 4 wide", "drawer bottom", "6", "4"),
    ],
)
def test_the_depth_of_a_groove_is_its_depth_wherever_it_is_said(said: str, takes: str, depth: str, wide: str) -> None:
    (groove,) = record_in(Panel, f"left side, 12 ply, {said}").grooves
    assert (groove.takes, groove.depth, groove.width) == (takes, mm(depth), mm(wide) if wide else None)


@pytest.mark.parametrize("line", ["left side, 12 ply, tongue and groove 6 deep", "back groove 6 deep, 12 ply"])
def test_what_is_no_groove_for_something_makes_none(line: str) -> None:
    assert record_in(Panel, line).grooves == ()
