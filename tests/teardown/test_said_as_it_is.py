"""Said as it is: a typed line, its reading, the record, how it is told again, and the same line again.

Each row is one thing that a restorer says at the bench, in plain words.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from logbook.checks import check_unit
from logbook.costing import bill_of_materials, cost_views
from logbook.costing.to_buy import to_buy as purchases_of
from logbook.errors import InputError
from logbook.model.document import UnitDocument, read_document, write_document
from logbook.model.photo_edits import At, Placed, Spot, of_steps, with_photos, without_photo
from logbook.model.shop import Shop
from logbook.model.step import Photo, Step
from logbook.model.unit import Member, PartSet, Unit
from logbook.model.words import Action, ConnectionKind, Disposition, JointFound, SetKind, Stage, Then
from logbook.reassembly import ledger, readiness, refit_list, tick, write_reading
from logbook.render.bill_document import bom_csv
from logbook.render.build_record import build_record_page
from logbook.render.labels import LabelKind, labels_of
from logbook.render.paper_tables import bom_rows
from logbook.render.reassembly_list import reassembly_text
from logbook.render.to_buy_document import to_buy_csv
from logbook.teardown.bench_line import read_line
from logbook.teardown.beside_the_step import stop_questions
from logbook.teardown.complete import to_complete
from logbook.teardown.hold_answers import with_hold_answered
from logbook.teardown.operations_ready import ready_steps
from logbook.teardown.step_keeping import kept_from_line, line_of
from logbook.tui.screens.teardown_rows import found_in_words
from tests.agreement.views import rows_of
from tests.builders import at, operation, step, unit

NOW = at("2026-03-17 18:30")
PAIR = PartSet(
    code="LR",
    name="left and right",
    kind=SetKind.HANDED,
    members=(Member(code="L", position="left"), Member(code="R", position="right")),
)
DRAWERS = PartSet(code="D", name="drawers", members=tuple(Member(code=f"D{i}") for i in range(1, 5)))


def kept(line: str, *sets: PartSet) -> tuple[Unit, Step]:
    """The record after a line was typed into a unit with these sets, and the step in it."""
    before = unit(sets=sets, stage=Stage.TEARDOWN)
    after = kept_from_line(before, read_line(line, before), at=NOW)
    return after, after.steps[-1]


def fates(of: Step) -> list[tuple[str, int, int, str]]:
    return [(f.kind, f.holes, f.found, str(f.then)) for f in of.fasteners]


def own(of: Step, member: str) -> Any:
    return next(d for d in of.differences if d.member == member)


LAMPS = "lamps, each 3 screw 3.5x16, bag 1 left, bag 2 right"
"""A pair of wall lamps, three screws on each."""
RENEWED = "right 1 screw 3.5x16 renew as screw 3.5x20"
DOORS = "doors, each 2 hinge screw 3x16, bags 5 (left) and 6 (right), right 1 missing, left left-hand thread"
LINES: list[tuple[str, tuple[PartSet, ...], str]] = [
    ("lid, 6 screw 3x16, 1 lost, bag 1", (), "lid, 5 screw 3x16, 1 screw 3x16 lost, bag 1"),
    ("lid, 6 screw 3x16, 2 missing, bag 1", (), "lid, 6/4 screw 3x16, bag 1"),
    ("lid, 4 screw 3x16 lost", (), "lid, 4 screw 3x16 lost"),
    ("lid, 6 screw 3x16, bag 1, 1 renew", (), "lid, 5 screw 3x16, 1 screw 3x16 renew, bag 1"),
    ("lid, 6 screw 3x16, bag 1, 2 missing", (), "lid, 6/4 screw 3x16, bag 1"),
    ("lid, 4 screw 3x16 renew as 3.5x20", (), "lid, 4 screw 3x16 renew as screw 3.5x20"),
    ("lid, 8 bush renew 3 here", (), "lid, 8 bush renew 3 here"),
    (
        DOORS,
        (PAIR,),
        "doors, 2 hinge screw 3x16, each LR, left bag 5, left left-hand thread, right bag 6, "
        "right 2/1 hinge screw 3x16",
    ),
    (
        "doors, 6 screw 3x16 (3 each), bag 5 left, bag 6 right",
        (PAIR,),
        "doors, 3 screw 3x16, each LR, left bag 5, right bag 6",
    ),
    ("doors, each 2 screw 3x16, bags 5 and 6", (PAIR,), "doors, 2 screw 3x16, each LR, left bag 5, right bag 6"),
    ("doors, each 2 screw 3x16, right 3 nut M4", (PAIR,), "doors, 2 screw 3x16, each LR, right 3 nut M4"),
    (
        "doors, each 2 screw 3x16, right instead 3 nut M4",
        (PAIR,),
        "doors, 2 screw 3x16, each LR, right instead 3 nut M4",
    ),
    ("doors, each 2 screw 3x16, left no fasteners", (PAIR,), "doors, 2 screw 3x16, each LR, left no fasteners"),
    (
        "runners, each 2 screw 3x16, D2 1 lost",
        (DRAWERS,),
        "runners, 2 screw 3x16, each D, D2 instead 1 screw 3x16, D2 instead 1 screw 3x16 lost",
    ),
    ("runners, each D, drawer 2 note shim 0.8 left rear", (DRAWERS,), "runners, each D, D2 note shim 0.8 left rear"),
    ("runners, each D, D3 still to do", (DRAWERS,), "runners, each D, D3 still to do"),
    ("wheels, each LR, left guess which way round", (PAIR,), "wheels, each LR, left guess which way round"),
    (
        "wheels, each LR, right wrong washer inside, right should be washer outside",
        (PAIR,),
        "wheels, each LR, right wrong, right as found washer inside, right should be washer outside",
    ),
    (
        "wheels, each LR, left-hand thread, right right-hand thread",
        (PAIR,),
        "wheels, each LR, right right-hand thread, left-hand",
    ),
    ("lamps, each LR, right wire W9 from shell to tag 2", (PAIR,), "lamps, each LR, right wire W9 from shell to tag 2"),
    ("dial, setting pointer is 12 mm from the left end", (), "dial, setting pointer is 12 mm from the left end"),
    ("wheel, measured run-out is 0.04 mm", (), "wheel, measurement run-out is 0.04 mm"),
    (
        "wheels, each LR, left setting gap is 0.8, right measurement run-out is 0.04",
        (PAIR,),
        "wheels, each LR, left setting gap is 0.8, right measurement run-out is 0.04",
    ),
    (
        f"{LAMPS}, right 1 missing, {RENEWED}",
        (PAIR,),
        "lamps, 3 screw 3.5x16, each LR, left bag 1, right bag 2, right instead 2/1 screw 3.5x16, "
        "right instead 1 screw 3.5x16 renew as screw 3.5x20",
    ),
    (
        f"lamps, each 3 screw 3.5x16, {RENEWED}, right 1 screw 3.5x16 missing",
        (PAIR,),
        "lamps, 3 screw 3.5x16, each LR, right instead 2/1 screw 3.5x16, "
        "right instead 1 screw 3.5x16 renew as screw 3.5x20",
    ),
    (
        f"lamps, each 2 screw 3.5x16, right 2/1 screw 3.5x16, {RENEWED}",
        (PAIR,),
        "lamps, 2 screw 3.5x16, each LR, right instead 1/0 screw 3.5x16, "
        "right instead 1 screw 3.5x16 renew as screw 3.5x20",
    ),
    (
        "lamps, each 3 screw 3.5x16, right 1 renew, right 1 lost",
        (PAIR,),
        "lamps, 3 screw 3.5x16, each LR, right instead 1 screw 3.5x16, right instead 1 screw 3.5x16 lost, "
        "right instead 1 screw 3.5x16 renew",
    ),
    ("lamps, each 2 screw 3x16, right renew", (PAIR,), "lamps, 2 screw 3x16, each LR, right 2 screw 3x16 renew"),
    (
        "lamps, each 2 screw 3x16, right 3 screw 3x16 bag 4, right 1 screw 3x16 bag 5",
        (PAIR,),
        "lamps, 2 screw 3x16, each LR, right 3 screw 3x16 bag 4, right 1 screw 3x16 bag 5",
    ),
    ("lid, 3 screw 3x16, 1 renew, 1 missing", (), "lid, 2/1 screw 3x16, 1 screw 3x16 renew"),
    ("lid, 1 screw 3x16 missing", (), "lid, 1/0 screw 3x16"),
    ("lamps, each component 40 W lamp", (PAIR,), "lamps, each LR, left component 40 W lamp, right component 40 W lamp"),
    (
        "lamps, each new part lamp holder x2",
        (PAIR,),
        "lamps, each LR, left new part lamp holder x2, right new part lamp holder x2",
    ),
    ("lamps, each, left 2 wires", (PAIR,), "lamps, each LR, left wire W1, left wire W2"),
    ("lamps, each, left danger glass", (PAIR,), "lamps, each LR, danger glass"),
    ("knob, pulled off", (), "knob, slid"),
    ("drawer, pulled out", (), "drawer, slid"),
    ("switch, wire W5 from holder ring to ?", (), "switch, wire W5 from holder ring"),
    ("switch, wire W5 from unknown to tag 2", (), "switch, wire W5 to tag 2"),
    ("switch, wire W5 from not written to ?", (), "switch, wire W5"),
    ("switch, wire W5 one end at ?", (), "switch, wire W5 one end"),
    ("lamps, each, right wire W5 from ring to ?", (PAIR,), "lamps, each LR, right wire W5 from ring"),
    ("switch, wire W4 from tip to terminal L renew", (), "switch, wire W4 renew from tip to terminal L"),
    ("switch, wire W4 from tip to terminal L cut lost", (), "switch, wire W4 cut renew from tip to terminal L"),
    ("switch, wire W4 one end at terminal L scrap", (), "switch, wire W4 renew one end at terminal L"),
    ('switch, wire W4 from a to "key renew"', (), 'switch, wire W4 from a to "key renew"'),
    ("motor, 6 wires", (), "motor, wires 6"),
    ("motor, 2 wires W4", (), "motor, wire W4, wire W5"),
    ("motor, 1 wire cut", (), "motor, wire W1 cut"),
    ("motor, 3 wires, 1 renew", (), "motor, wires 3, wire W1 renew"),
    ("motor, 2 wires W4, 1 renew", (), "motor, wire W4, wire W5 renew"),
    ("motor, 3 wires, 1 lost", (), "motor, wires 3, wire W1 renew"),
    ("motor, renew wire W6 from a to b", (), "motor, wire W6 renew from a to b"),
    ("lamps, each, left renew wire W3 from a to b", (PAIR,), "lamps, each LR, left wire W3 renew from a to b"),
    ("pump, hose", (), "pump, hose W1"),
    ("pump, hoses W1 W2", (), "pump, hose W1, hose W2"),
    ("pump, 2 belts renew", (), "pump, belt W1 renew, belt W2 renew"),
    ("switch, W6 brown: cord to switch 1", (), "switch, wire W6 brown from cord to switch 1"),
    ("switch, W6: cord to switch 1", (), "switch, wire W6 from cord to switch 1"),
    ("switch, W6 green-yellow: chassis", (), "switch, wire W6 green-yellow from chassis"),
    ("switch, wire W6 from switch tag 2 to transformer", (), "switch, wire W6 from switch tag 2 to transformer"),
    ("switch, wire W6 one end at switch tag 2", (), "switch, wire W6 one end at switch tag 2"),
    ("switch, wire W6 other end at transformer", (), "switch, wire W6 other end at transformer"),
    ("switch, wire W6 renew from a to b", (), "switch, wire W6 renew from a to b"),
    ("switch, wire W6 loose end from tag 2", (), "switch, wire W6 loose end from tag 2"),
    (
        "lamps, each, right wire W6 earth from holder to terminal",
        (PAIR,),
        "lamps, each LR, right wire W6 earth from holder to terminal",
    ),
    (
        "lamp, wire W3 green-yellow earth lead from holder to tag",
        (),
        "lamp, wire W3 green-yellow earth lead from holder to tag",
    ),
    ("lamp, wire W3 earth brown cut from a to b", (), "lamp, wire W3 brown earth cut from a to b"),
    ("lamp, wire W3 neutral", (), "lamp, wire W3 neutral"),
    ("lamp, wire live from a to b", (), "lamp, wire W1 live from a to b"),
    ("lamp, wire W3 L1 from a to b", (), 'lamp, wire W3 "L1" from a to b'),
    ("lamp, cord W3 signal from a to ?", (), "lamp, wire W3 signal from a"),
    ("lamp, W3 earth: holder to tag", (), "lamp, wire W3 earth from holder to tag"),
    (
        "doors, each 2 hinge screw 3x16, right 1 hinge screw 3x16 lost renew as screw M4x16",
        (PAIR,),
        "doors, 2 hinge screw 3x16, each LR, right instead 1 hinge screw 3x16, "
        "right instead 1 hinge screw 3x16 lost renew as screw M4x16",
    ),
    (
        "doors, each 2 hinge screw 3x16, right 1 lost, renew as screw M4x16",
        (PAIR,),
        "doors, 2 hinge screw 3x16, each LR, right instead 1 hinge screw 3x16, "
        "right instead 1 hinge screw 3x16 lost renew as screw M4x16",
    ),
    (
        "doors, each 2 hinge screw 3x16, right 1 missing renew as screw M4x16",
        (PAIR,),
        "doors, 2 hinge screw 3x16, each LR, right instead 1 hinge screw 3x16, "
        "right instead 1/0 hinge screw 3x16 renew as screw M4x16",
    ),
    (
        "doors, each 2 hinge screw 3x16, right 1 missing, right 1 hinge screw 3x16 lost renew as screw M4x16",
        (PAIR,),
        "doors, 2 hinge screw 3x16, each LR, right instead 1/0 hinge screw 3x16, "
        "right instead 1 hinge screw 3x16 lost renew as screw M4x16",
    ),
    ("lid, 6 screw 3x16, 1 lost, renew as 4x20", (), "lid, 5 screw 3x16, 1 screw 3x16 lost renew as screw 4x20"),
    ("lid, 4 screw 3x16, renew as 4x20", (), "lid, 4 screw 3x16 renew as screw 4x20"),
    (
        "lamps, each, left component lamp 60 W renew as lamp 40 W",
        (PAIR,),
        "lamps, each LR, left component lamp 60 W renew as lamp 40 W",
    ),
    ("lamp, component lamp 60 W x2 renew", (), "lamp, component lamp 60 W x2 renew"),
    ("lamps, each, both new part starter", (PAIR,), "lamps, new part starter for both, each LR"),
    (
        "lamps, each wire W1 brown from holder to terminal",
        (PAIR,),
        "lamps, wire W1 brown from holder to terminal, each LR",
    ),
    ("lamps, each 3 wires", (PAIR,), "lamps, wires 3, each LR"),
    (
        "lamps, each, right wire W1 brown from holder to terminal, right wire W1 renew",
        (PAIR,),
        "lamps, each LR, right wire W1 brown renew from holder to terminal",
    ),
    ("arm, prised, glue broke", (), "arm, prised, one-way glued because the glue joint broke"),
    (
        "arm, prised, broken at the glue joint",
        (),
        "arm, prised, one-way glued because the glue joint broke",
    ),
    ("arm, prised, glued joint broke", (), "arm, prised, one-way glued because the glue joint broke"),
    ("arms, left 1 shim 0.5 mm under the arm", (PAIR,), "arms, each LR, left 1 shim 0.5 mm under the arm"),
    ("motor, unscrewed and cut", (), "motor, unscrewed and cut"),
    ("lamps, each unscrewed", (PAIR,), "lamps, unscrewed, each LR"),
    ("lamps, both unscrewed and cut", (PAIR,), "lamps, unscrewed and cut, each LR"),
    ("lamps, for each unhooked, 1 nut M4, bag 2", (PAIR,), "lamps, unhooked, 1 nut M4, bag 2, each LR"),
    ("lamps, each of them drilled out 4.1", (PAIR,), "lamps, drilled out, each LR, one-way drilled 4.1"),
    ("runners, each D, each unscrewed", (DRAWERS, PAIR), "runners, unscrewed, each D"),
    ("motor, unscrewed, cut", (), "motor, unscrewed and cut"),
    ("plate, drilled out 4.1", (), "plate, drilled out, one-way drilled 4.1"),
    ("plate, one-way glued and pinned measured", (), "plate, one-way glued pinned measured"),
    ("plate, one-way traced no photographed not needed", (), "plate, one-way traced no photographed not needed"),
    ("lid, lifted, no fasteners", (), "lid, lifted out, no fasteners"),
    ("capacitor, danger stored charge gone at the refit", (), "capacitor, danger stored charge gone at refit"),
    (
        "cover, hold proved dead read voltage reading 0.4 V by AB",
        (),
        "cover, hold proved dead read voltage reading 0.4 V by AB",
    ),
    (
        "arms, measured, each, left hold earth read ohm reading 0.1 by JB, right hold earth read ohm reading 0.4 by JB",
        (PAIR,),
        "arms, measured, each LR, left hold earth read ohm reading 0.1 by JB, "
        "right hold earth read ohm reading 0.4 by JB",
    ),
    (
        "arms, measured, each, left hold earth read ohm reading 0.1 by JB",
        (PAIR,),
        "arms, measured, each LR, left hold earth read ohm reading 0.1 by JB",
    ),
    (
        "arms, each hold earth read ohm",
        (PAIR,),
        "arms, each LR, left hold earth read ohm, right hold earth read ohm",
    ),
    (
        "arms, each, left hold earth read ohm because no meter, right hold play read mm",
        (PAIR,),
        "arms, each LR, left hold earth read ohm because no meter, right hold play read mm",
    ),
    ("arms, each LR, hold earth by JB", (PAIR,), "arms, each LR, hold earth by JB"),
    ("cover, hold proved dead because no meter here", (), "cover, hold proved dead because no meter here"),
    (
        "cord, unsoldered, first on entry bush, first on boot",
        (),
        "cord, unsoldered, first on entry bush, first on boot",
    ),
    ("arms, each, left bag next, right bag next", (PAIR,), "arms, each LR, left bag 1, right bag 2"),
    ("lid, 4 screw M4 bag next, 2 nut M3 bag next", (), "lid, 4 screw M4 bag 1, 2 nut M3 bag 2"),
    ("lamp, component 60 W lamp, new part lamp holder x2", (), "lamp, component 60 W lamp, new part lamp holder x2"),
    (
        "lamps, each, left component lamp, right new part lamp holder",
        (PAIR,),
        "lamps, each LR, left component lamp, right new part lamp holder",
    ),
]


@pytest.mark.parametrize(("line", "sets", "again"), LINES, ids=[row[0] for row in LINES])
def test_a_line_is_kept_and_read_back_the_same(line: str, sets: tuple[PartSet, ...], again: str) -> None:
    of, kept_step = kept(line, *sets)
    assert kept_step.note == ""
    assert kept_step.unread == ()
    written = line_of(of, kept_step)
    assert written == again
    reading = read_line(written, of, base=kept_step)
    assert reading.problems == ()
    assert reading.step == kept_step
    afresh = read_line(written, unit(sets=of.sets), code=kept_step.code).step
    assert line_of(of, afresh) == again


@pytest.mark.parametrize(("line", "sets", "again"), LINES, ids=[row[0] for row in LINES])
def test_it_stays_through_a_document_and_on_every_paper(line: str, sets: tuple[PartSet, ...], again: str) -> None:
    of, kept_step = kept(line, *sets)
    back = read_document(write_document(UnitDocument(logbook="unit", version=1, unit=of)))
    assert isinstance(back, UnitDocument)
    assert back.unit.steps[-1] == kept_step
    listed = refit_list(of)
    text = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    assert kept_step.code in text
    assert kept_step.what in build_record(of)


def build_record(of: Unit) -> str:
    shop = Shop()
    return build_record_page(
        of, shop, refit_list(of), ledger(of), bill=bill_of_materials(of, shop, NOW.date()),
        views=cost_views(of, shop, NOW.date()), version=1, kept_at=NOW, now=NOW, width=300,
    ).text()  # fmt: skip


def test_what_the_record_holds() -> None:
    _, lid = kept("lid, 6 screw 3x16, 1 lost, bag 1")
    assert fates(lid) == [("screw 3x16", 5, 5, "reuse"), ("screw 3x16", 1, 1, "lost")]
    _, lid = kept("lid, 4 screw 3x16 renew as 3.5x20")
    assert (lid.fasteners[0].then, lid.fasteners[0].renew_as) == (Then.RENEW, "screw 3.5x20")
    _, doors = kept(DOORS, PAIR)
    assert fates(doors) == [("hinge screw 3x16", 2, 2, "reuse")]
    assert (own(doors, "L").bag, own(doors, "L").left_hand, own(doors, "L").fasteners) == ("5", True, None)
    assert (own(doors, "R").bag, own(doors, "R").left_hand) == ("6", None)
    assert [(f.holes, f.found) for f in own(doors, "R").fasteners] == [(2, 1)]
    _, motor = kept("motor, 2 wires W4")
    assert [(c.code, c.kind) for c in motor.connections] == [("W4", ConnectionKind.WIRE), ("W5", ConnectionKind.WIRE)]
    _, motor = kept("motor, unscrewed and cut")
    assert (motor.action, motor.also) == (Action.UNSCREWED, (Action.CUT,))
    _, plate = kept("plate, drilled out 4.1")
    assert plate.one_way is not None
    assert plate.one_way.drilled is not None
    assert plate.one_way.drilled.in_mm() == "4.1"
    _, plate = kept("plate, one-way glued and pinned measured traced no photographed not needed")
    assert plate.one_way is not None
    assert (plate.one_way.joint, plate.one_way.further_joints) == (JointFound.GLUED, (JointFound.PINNED,))
    answers = [plate.one_way.answer(n) for n in ("measured", "traced", "photographed", "pattern_kept")]
    assert answers == ["yes", "no", "not needed", ""]


@pytest.mark.parametrize(
    "line",
    [f"{LAMPS}, right 1 missing, {RENEWED}", f"{LAMPS}, {RENEWED}, right 1 missing"],
)
def test_what_is_said_later_of_a_kind_is_about_some_of_those_already_said(line: str) -> None:
    """Of the right lamp's three screws one was missing and one is renewed longer: one good one is in bag 2."""
    of, lamps = kept(line, PAIR)
    right = own(lamps, "R").fasteners
    assert [(f.holes, f.found, str(f.then), f.renew_as) for f in right] == [
        (2, 1, "reuse", ""),
        (1, 1, "renew", "screw 3.5x20"),
    ]
    reading = read_line(line, unit(sets=(PAIR,)))
    assert reading.problems == ()
    assert reading.phrases[-1].meaning.endswith(
        "R in all 3 screw 3.5x16: 1 good, 1 missing, 1 renew as screw 3.5x20"
    ), "the echo says what will be kept"
    assert bags_of(of) == {"1": {"screw 3.5x16": 3}, "2": {"screw 3.5x16": 1}}
    account = ledger(of).total
    assert (account.holes, account.found) == (6, 5)
    assert sorted(to_buy(of)) == [("screw 3.5x16", "1"), ("screw 3.5x20", "1")]


def bags_of(of: Unit) -> dict[str, dict[str, int]]:
    """What must lie in each bag by the record, by kind."""
    index = refit_list(of).index
    assert index is not None
    return {name: dict(bag.kinds) for name, bag in index.bags.items() if name}


WALL_LAMPS = (
    "lamps, each 2 screw 3.5x16, each 2 screw M4x10, left bag 1, right bag 2, right 1 missing, "
    "right 1 screw M4x10 lost, right 2 screw 3.5x16 renew as 3.5x20, left 1 screw 3.5x16 renew as 3.5x20, "
    "right wire W1 from a to b"
)
"""Of the right lamp nothing goes back: one M4x10 was missing, the other is lost, both 3.5x16 are renewed longer."""


def test_new_pieces_say_for_which_member_they_are_and_what_is_lost_is_nobodys_own() -> None:
    of, _ = kept(WALL_LAMPS, PAIR)
    listed = refit_list(of)
    text = " ".join(reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW).split())
    for words in (
        "3 screw 3.5x20 (in place of screw 3.5x16, 1 for L, 2 for R)",
        "1 screw M4x10 (missing on arrival, for R)",
        "1 screw M4x10 (lost at the bench, for R)",
        "L: its own pieces: 1 screw 3.5x16 and 2 screw M4x10; new: 1 screw 3.5x20; bag 1.",
        "R: its own pieces: none; new: 2 screw 3.5x20 and 2 screw M4x10; bag 2.",
        "NOT READY: 2 new screw M4x10 not here (1 missing on arrival, for R; 1 lost at the bench, for R).",
    ):
        assert words in text, words
    bill = {line.name: line for line in bill_of_materials(of, Shop(), NOW.date()).lines}
    assert (bill["screw M4x10"].quantity, bill["screw M4x10"].member) == (2, "right")
    assert (bill["screw 3.5x20"].quantity, bill["screw 3.5x20"].member) == (3, "left and right")
    assert bill["screw M4x10"].how == (
        "1 screw M4x10 missing on arrival at T01 for R + 1 screw M4x10 lost at the bench at T01 for R"
    )


def test_what_is_missing_of_a_component_is_asked_for_each_member() -> None:
    of, _ = kept("lamps, each component 40 W lamp", PAIR)
    asked = [m.sentence for m in to_complete(of) if m.field == "components"]
    assert [words.partition(":")[0] for words in asked if "keep, clean" in words] == [
        "C1 40 W lamp, left",
        "C2 40 W lamp, right",
    ]


def test_labels_and_table_say_whose_it_is() -> None:
    of, lamps = kept(WALL_LAMPS, PAIR)
    titles = {(label.code, label.title) for label in labels_of(of, Shop(), (LabelKind.BAG, LabelKind.WIRE))}
    assert titles == {
        ("R1 BAG 1", "L: lamps"),
        ("R1 BAG 2", "R: lamps"),
        ("R1 W1", "R: to a"),
        ("R1 W1", "R: to b"),
    }
    assert found_in_words(of, lamps) == "7/8 in all"
    of, covers = kept("covers, each 3 screw 3x12, right 1 missing", PAIR)
    assert found_in_words(of, covers) == "5/6 in all"
    of, covers = kept("covers, each 3/2 screw 3x12", PAIR)
    assert found_in_words(of, covers) == "2/3 x2"


def test_some_missing_and_the_rest_lost_are_told_apart() -> None:
    of, _ = kept("lid, 2/1 screw M4x10 lost")
    bought = [line.how for line in bill_of_materials(of, Shop(), NOW.date()).lines]
    assert bought == ["2 screw M4x10 1 missing on arrival, 1 lost at the bench at T01"]


@pytest.mark.parametrize(
    ("line", "why", "note"),
    [
        (
            "lamps, each 3 screw 3.5x16, right 3 missing, right 1 renew",
            "R: 1 screw 3.5x16 cannot be renewed, none are left of 3 screw 3.5x16: 3 missing.",
            "right 1 renew",
        ),
        (
            "lamps, each 3 screw 3.5x16, right 2 missing, right 2 screw 3.5x16 lost",
            "R: 2 screw 3.5x16 cannot be lost, 1 is left of 3 screw 3.5x16: 1 good, 2 missing.",
            "right 2 screw 3.5x16 lost",
        ),
        (
            "lamps, each 3 screw 3.5x16, right 1 missing, right 2 screw 3.5x16",
            "R: How many screw 3.5x16 there are was said already.",
            "right 2 screw 3.5x16",
        ),
        ("lid, 3 screw 3x16, 2 renew, 2 missing", "2 screw 3x16 cannot be missing, 1 is left of", "2 missing"),
        ("lamps, each LR, right 1 missing", "R: No fastener was said of which 1 could be missing.", "right 1 missing"),
    ],
)
def test_more_than_there_are_is_said_before_it_is_kept(line: str, why: str, note: str) -> None:
    reading = read_line(line, unit(sets=(PAIR,)))
    assert len(reading.problems) == 1
    assert reading.problems[0].startswith(why)
    assert reading.problems[0].endswith("It stands in the note.")
    assert reading.step.note == note
    assert reading.step.unread == (note,), "the desk asks about it"


@pytest.mark.parametrize("said", ["box 2", "photo", "5 min", "12 kg"])
def test_what_cannot_be_true_of_one_member_alone_stands_in_its_note(said: str) -> None:
    _, lamps = kept(f"lamps, each LR, left {said}", PAIR)
    assert own(lamps, "L").note == said


@pytest.mark.parametrize(
    ("line", "sets", "meaning"),
    [
        ("motor, 6 wires", (), "6 wires counted"),
        ("lamps, 6 wires", (PAIR,), "6 wires counted in all: “each” behind what came off makes it so many on each"),
        ("lamps, each, 6 wires", (PAIR,), "6 wires counted on each of LR, 12 in all"),
        ("lamps, each, wires 6", (PAIR,), "6 wires counted on each of LR, 12 in all"),
        ("lamps, pair, 1 wire", (), "1 wire counted on each of LR, 2 in all"),
        ("x, wire W5 from ring to ?", (), "wire W5 from ring, its other end is still to be written"),
        ("x, wire W4 from a to b renew", (), "wire W4 renew from a to b"),
    ],
)
def test_the_echo_says_what_will_be_kept_of_wires(line: str, sets: tuple[PartSet, ...], meaning: str) -> None:
    assert read_line(line, unit(sets=sets)).phrases[-1].meaning == meaning


def test_an_end_that_nobody_wrote_keeps_its_line_not_ready_and_is_asked_for() -> None:
    of, _ = kept("lamps, each, right wire W5 from holder ring to ?", PAIR)
    assert any("W5 comes from holder ring and goes where?" in m.sentence for m in to_complete(of))
    missing = [m for r in readiness(of, refit_list(of), NOW).values() for m in r.missing]
    assert any("W5" in m for m in missing)


def test_connections_are_never_fasteners() -> None:
    for line in ("x, 6 wires", "x, 2 wires W4", "x, 1 wire cut", "x, hose", "x, 2 belts", "x, hoses W1 W2"):
        _, of = kept(line)
        assert of.fasteners == (), line


def to_buy(of: Unit) -> list[tuple[str, str]]:
    return [
        (line.name, f"{line.quantity}") for line in bill_of_materials(of, Shop(), NOW.date()).lines if not line.here
    ]


def test_a_wire_to_be_renewed_is_to_buy_once_and_stops_its_line() -> None:
    of, motor = kept("motor, 3 wires, 1 renew")
    assert motor.fasteners == ()
    assert to_buy(of) == [("wire W1", "1")]
    missing = readiness(of, refit_list(of), NOW)["T01"].missing
    assert any("new wire W1: no part is written down for it" in words for words in missing)
    of, _ = kept("motor, 3 wires, 1 renew, new part wire 0.75 mm")
    assert to_buy(of) == [("wire 0.75 mm", "1")]
    of, _ = kept("lamps, each, wire W1 renew, left wire W2 renew", PAIR)
    assert to_buy(of) == [("wire W1", "2"), ("wire W2", "1")]


def test_what_is_for_one_member_is_listed_for_it_alone_and_bought_once() -> None:
    of, _ = kept("lamps, each, left component lamp, right new part lamp holder", PAIR)
    (lamp,), (holder,) = of.components, of.parts
    assert (lamp.code, lamp.name, lamp.from_step, lamp.member) == ("C1", "lamp", "T01", "L")
    assert (holder.code, holder.name, holder.quantity, holder.for_steps, holder.member) == (
        "N1", "lamp holder", 1, ("T01",), "R",
    )  # fmt: skip
    assert to_buy(of) == [("lamp holder", "1")]
    bill = bill_of_materials(of, Shop(), NOW.date())
    needed = {row["name"]: row["member"] for row in rows_of(bom_csv(bill))}
    assert needed["lamp holder"] == "right"
    assert [row["member"] for row in rows_of(to_buy_csv(purchases_of([of], Shop(), NOW)))] == ["right"]
    head, *rows = bom_rows(bill)
    assert ("lamp holder", "right") in [(row[head.index("name")], row[head.index("member")]) for row in rows]
    listed = refit_list(of)
    text = " ".join(reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW).split())
    for words in ("L only: lamp.", "R only: new lamp holder.", "NOT READY: R: new lamp holder not here (to buy)."):
        assert words in text, words
    record = build_record(of)
    assert "L: component lamp" in record
    assert "R: new part lamp holder" in record
    renewed = of.model_copy(update={"components": (lamp.model_copy(update={"disposition": Disposition.RENEW}),)})
    assert ("lamp", "1") in to_buy(renewed), "what is got for the right one does not stand for the left one"
    again = kept_from_line(of, read_line(line_of(of, of.steps[0]), of, code="T01", base=of.steps[0]), at=NOW)
    assert (again.components, again.parts) == (of.components, of.parts)


def test_what_goes_on_first_is_a_line_of_its_own_whose_title_says_what_it_is() -> None:
    of, cord = kept("cord, unsoldered, first on entry bush, first on boot")
    assert cord.refit.first == ("entry bush", "boot")
    line = refit_list(of).by_key["T01:first"]
    assert (line.number, line.title) == ("A01a", "first: entry bush and 1 more, before cord")
    assert line.first == ("entry bush.", "boot.")
    again = read_line("cord, unsoldered, first on boot, first on entry bush", of, code="T01", base=cord).step
    assert again.refit.first == ("boot", "entry bush"), "the order is as said last"


def test_hose_clamps_and_wire_ties_stay_fasteners() -> None:
    _, of = kept("x, 2 hose clamps, 4 wire tie")
    assert [f.kind for f in of.fasteners] == ["hose clamps", "wire tie"]
    assert of.connections == ()


def test_a_line_that_speaks_of_members_offers_to_make_the_set() -> None:
    before = unit()
    reading = read_line("doors, each 2 screw 3x16, right 1 missing, bags 5 and 6", before)
    assert len(reading.problems) == 1
    assert reading.problems[0].startswith("This unit has no set yet: add “pair” or “set of 4 drawers”")
    made, doors = kept("doors, pair, each 2 screw 3x16, right 1 missing")
    assert [(s.code, s.kind) for s in made.sets] == [("LR", SetKind.HANDED)]
    assert doors.each_of == "LR"
    made, _ = kept("runners, set of 4 drawers, each 2 screw 3x16")
    assert [m.code for m in made.sets[0].members] == ["D1", "D2", "D3", "D4"]


def test_what_is_not_read_is_asked_about_when_it_holds_a_number_or_a_bag() -> None:
    of, lid = kept("lid, thingummy left at 3 o'clock, something odd, somewhere in bag nine")
    assert lid.unread == ("thingummy left at 3 o'clock", "somewhere in bag nine")
    asked = [m.sentence for m in to_complete(of) if m.field == "note"]
    assert asked == [
        "T01: “thingummy left at 3 o'clock” was not understood; where does it belong?",
        "T01: “somewhere in bag nine” was not understood; where does it belong?",
    ]
    _, cord = kept("mains cord, 8.40")
    assert (cord.note, cord.unread, cord.fasteners) == ("8.40", ("8.40",), ())
    settled = lid.model_copy(update={"note": "something odd"})
    assert [m for m in to_complete(unit(settled)) if m.field == "note"] == []


@pytest.mark.parametrize("line", ["switch, to do clean contacts", "switch, still to do clean contacts, bag 1"])
def test_work_that_a_line_says_is_asked_for_as_an_operation_until_there_is_one(line: str) -> None:
    of, switch = kept(line)
    assert not switch.planned
    assert switch.note in line
    asked = [m.sentence for m in to_complete(of) if m.field == "note"]
    assert asked == ["T01: “clean contacts” is work to be done: add an operation of that name for T01."]
    assert read_line(line_of(of, switch), of, base=switch).step == switch
    for name, left in (("Clean contacts", []), ("wax it", asked)):
        work = operation("K1", name, for_steps=["T01"])
        with_work = of.model_copy(update={"operations": (work,)})
        assert [m.sentence for m in to_complete(with_work) if m.field == "note"] == left


def test_nothing_more_comes_off_before_a_hold_point_of_the_teardown_is_read() -> None:
    of, cover = kept("cover, hold proved dead read voltage")
    planned = step("T02", "chassis", planned=True)
    waiting = of.model_copy(update={"steps": (cover, planned)})
    assert ready_steps(waiting) == ()
    assert any("lacks the reading and the initials" in m.sentence for m in to_complete(waiting))
    _, read = kept("cover, hold proved dead read voltage reading 0.4 V by AB")
    assert ready_steps(of.model_copy(update={"steps": (read, planned)})) == (planned,)
    _, without = kept("cover, hold proved dead because no meter here")
    assert ready_steps(of.model_copy(update={"steps": (without, planned)})) == (planned,)
    assert "gone on without, because no meter here" in build_record(
        kept("cover, hold proved dead because no meter here")[0]
    )


def test_the_two_ends_of_a_wire_undone_in_two_steps_are_one_wire() -> None:
    first, switch = kept("switch, wire W6 one end at switch tag 2")
    reading = read_line("transformer, wire W6 other end at transformer", first)
    both = kept_from_line(first, reading, at=NOW)
    listed = refit_list(both)
    missing = [m for r in readiness(both, listed, NOW).values() for m in r.missing]
    assert not any("W6" in m for m in missing)
    alone = readiness(first, refit_list(first), NOW)[switch.code].missing
    assert any("W6: one end is at switch tag 2, the other is not written down." in m for m in alone)


def test_a_danger_that_is_gone_is_not_shown_on_the_way_back() -> None:
    of, _ = kept("capacitor, danger stored charge gone at the refit")
    assert refit_list(of).by_key["T01"].hazards == ()
    of, _ = kept("capacitor, danger stored charge")
    assert [h.what for h in refit_list(of).by_key["T01"].hazards] == ["stored charge"]


def test_an_order_of_the_way_back_alone_moves_the_list_and_contradicts_nothing() -> None:
    of = unit(step("T01", "glass"), step("T02", "frame"), step("T03", "backing"), stage=Stage.TEARDOWN)
    assert [line.key for line in refit_list(of).lines] == ["check", "T03", "T02", "T01", "audit"]
    of = kept_from_line(of, read_line("glass, back before T03", of, code="T01", base=of.steps[0]), at=NOW)
    assert line_of(of, of.steps[0]) == "glass, back before T03"
    lines = [line.key for line in refit_list(of).lines]
    assert lines.index("T01") < lines.index("T03"), "it came off first, and still goes back before"
    assert [p for p in check_unit(of, Shop(), NOW) if p.check in (1, 2)] == []
    planned = of.model_copy(update={"steps": tuple(s.model_copy(update={"planned": True}) for s in of.steps)})
    assert [s.code for s in ready_steps(planned)] == ["T01"], "nothing is said about how they come off"


@pytest.mark.parametrize(
    ("phrase", "again", "first"),
    [
        ("first on T01", "first on T01", ("grommet (of T01) threaded on or in place.",)),
        ("first on washer of T01", "first on washer of T01", ("washer (of T01) threaded on or in place.",)),
        ("first on lid of tin", "first on lid of tin", ("lid of tin.",)),
        ("first on T09", "first on T09", ("T09.",)),
    ],
)
def test_what_came_off_at_another_step_goes_on_first(phrase: str, again: str, first: tuple[str, ...]) -> None:
    before, _ = kept("grommet, lifted, note lip outside")
    of = kept_from_line(before, read_line(f"cord, unsoldered, {phrase}", before), at=NOW)
    cord = of.steps[-1]
    assert line_of(of, cord) == f"cord, unsoldered, {again}"
    assert refit_list(of).by_key["T02:first"].first == first
    assert kept_from_line(of, read_line(line_of(of, cord), of, base=cord), at=NOW) == of


def test_what_goes_on_first_as_a_whole_stands_once_in_the_list() -> None:
    before, _ = kept("grommet, lifted, caution sharp edge, note lip outside")
    of = kept_from_line(before, read_line("cord, unsoldered, first on T01", before), at=NOW)
    listed = refit_list(of)
    assert [(line.number, line.title) for line in listed.lines][1:3] == [
        ("A01a", "first: grommet, before cord"),
        ("A02", "cord soldered"),
    ]
    first = listed.by_key["T02:first"]
    assert first.what == ("Noted at the teardown: lip outside.",)
    assert [h.what for h in first.hazards] == ["sharp edge"]
    assert [(left.step, left.why) for left in listed.left_out] == [
        ("T01", "it goes on first, before the joint of T02 is made")
    ]
    text = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    assert text.count("grommet") == 2, "in the title of its line, and in its one sentence"


def test_what_goes_on_first_and_is_fastened_later_has_a_line_for_fastening_it() -> None:
    before, _ = kept("P-clip, unscrewed, 1 screw M4, bag 3")
    of = kept_from_line(before, read_line("cord, unsoldered, first on T01", before), at=NOW)
    titles = [line.title for line in refit_list(of).lines]
    assert titles[1:4] == ["first: P-clip, before cord", "cord soldered", "fasten P-clip"]


def two_holds() -> Unit:
    """A pair of arms, both with an open hold point of their own."""
    of, _ = kept("arms, each hold earth read ohm", PAIR)
    return of


def answered(of: Unit) -> list[tuple[str, str, str, str]]:
    return [(at.member, at.hold.reading, at.hold.initials, at.hold.without_because) for s in of.steps for at in s.holds]


BOTH = [("L", "0.3", "AB", ""), ("R", "0.4", "AB", "")]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("left 0.3, right 0.4 by AB", BOTH),
        ("left 0.3 and right 0.4 by AB", BOTH),
        ("R 0.4 by AB, L 0.3 by AB", BOTH),
        ("0.3, 0.4 by AB", BOTH),
        ("0,3, 0,4 by AB", [("L", "0,3", "AB", ""), ("R", "0,4", "AB", "")]),
        ("left 0.3 ohm by AB, right 0.4 by CD", [("L", "0.3 ohm", "AB", ""), ("R", "0.4", "CD", "")]),
        ("left 0.3 by AB, right because no lead", [("L", "0.3", "AB", ""), ("R", "", "", "no lead")]),
        ("right 0.4 by CD", [("L", "", "", ""), ("R", "0.4", "CD", "")]),
        ("0.3 by AB", [("L", "0.3", "AB", ""), ("R", "", "", "")]),
    ],
)
def test_one_answer_closes_the_open_holds_of_a_set(text: str, said: list[tuple[str, str, str, str]]) -> None:
    assert answered(with_hold_answered(two_holds(), "T01", text, NOW)) == said


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("left 0.3, right 0.4", "L: Who did the check?"),
        ("left 0.3, right by AB", "R: What was read?"),
        ("left because, right 0.4 by AB", "L: Why is it passed by?"),
    ],
)
def test_an_answer_for_several_is_kept_whole_or_not_at_all(text: str, why: str) -> None:
    with pytest.raises(InputError, match=re.escape(why)):
        with_hold_answered(two_holds(), "T01", text, NOW)


@pytest.mark.parametrize("text", ["left 0.3, right 0.4", "0.3; 0.4", "L 0.3 and R 0.4"])
def test_one_answer_reads_the_holds_of_a_line_of_the_list(text: str) -> None:
    of = tick(two_holds(), "check", at=NOW, initials="AB")
    both = write_reading(of, "T01", text, "AB", NOW)
    assert [(s.line, s.reading, s.initials) for s in both.refit.lines[1:]] == [
        ("T01/L", "0.3", "AB"),
        ("T01/R", "0.4", "AB"),
    ]
    assert tick(both, "T01", at=NOW).refit.lines[-1].done
    assert tick(of, "T01", at=NOW, reading=text, initials="AB").refit.lines[-1].done
    with pytest.raises(InputError, match="what was read at R"):
        write_reading(of, "T01", "left 0.3, right", "AB", NOW)


@pytest.mark.parametrize(
    ("line", "sets", "waits"),
    [
        ("wheels, each LR, left guess which way round", (PAIR,), "NOT READY: L: the guess is not settled."),
        ("wheel, guess which way round", (), "NOT READY: the guess is not settled."),
    ],
)
def test_a_guess_is_told_once_at_its_line(line: str, sets: tuple[PartSet, ...], waits: str) -> None:
    of, _ = kept(line, *sets)
    listed = refit_list(of)
    text = " ".join(reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW).split())
    at_the_line = text[text.index("[ ] A02") : text.index("[ ] A03")]
    assert at_the_line.count("which way round") == 1
    assert waits in at_the_line
    with pytest.raises(InputError, match="is a guess: which way round"):
        tick(of, "T01", at=NOW, initials="AB")


def test_a_hold_point_of_the_teardown_carries_photos_for_all_or_for_one_member() -> None:
    of, _ = kept("arms, each hold earth read ohm, hold play by AB", PAIR)
    codes = {at.name: at.hold.code for at in of.steps[0].holds}
    assert codes == {"H1": "H1", "H2 for L": "H2", "H3 for R": "H3"}
    for code in codes.values():
        of = with_photos(of, [Placed(Spot(At.HOLD, code), Photo(file=f"{code}.jpg", caption=f"check {code}"))])
    (arms,) = of.steps
    assert [[p.file for p in at.hold.photos] for at in arms.holds] == [["H1.jpg"], ["H2.jpg"], ["H3.jpg"]]
    assert [placed.photo.file for placed in of_steps(of, ("T01",))] == ["H1.jpg", "H2.jpg", "H3.jpg"]
    again = read_line(line_of(of, arms), of, base=arms).step
    assert again == arms, "what a line cannot say stays"
    assert "H3 earth: check H3" in build_record(of)
    gone = without_photo(of, Spot(At.HOLD, "H3"), "H3.jpg")
    assert [len(at.hold.photos) for at in gone.steps[0].holds] == [1, 1, 0]


@pytest.mark.parametrize(
    ("line", "sets", "again"),
    [
        ("arms, each, bags next (left) and next (right)", (PAIR,), "arms, each LR, left bag 1, right bag 2"),
        ("lid, bag next, 2 nut M3 bag next", (), "lid, 2 nut M3 bag 2, bag 1"),
        ("lid, bag 7, 2 nut M3 bag next", (), "lid, 2 nut M3 bag 8, bag 7"),
    ],
)
def test_each_next_bag_of_a_line_is_another_one(line: str, sets: tuple[PartSet, ...], again: str) -> None:
    of, made = kept(line, *sets)
    assert line_of(of, made) == again


def test_a_wheel_that_can_burst_is_one_danger_however_it_is_worded() -> None:
    of, _ = kept("wheel, danger wheel burst, warning wheel burst and guard gaps")
    assert len(refit_list(of).by_key["T01"].hazards) == 1


def test_bags_stand_in_the_order_of_their_numbers() -> None:
    of, _ = kept("lid, 1 screw A bag 10, 1 screw B bag 2, 1 screw C bag 9")
    listed = refit_list(of)
    text = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    at_the_line = text[text.index("[ ] A02") : text.index("[ ] A03")]
    assert re.findall(r"Bag (\d+),", at_the_line) == ["2", "9", "10"]
    assert re.findall(r"bag (\d+) empty", text) == ["2", "9", "10"]


def test_an_earth_wire_stands_on_list_label_and_build_record_and_one_not_read_is_asked_about() -> None:
    of, lamps = kept("lamps, each, right wire W6 earth from holder to terminal", PAIR)
    assert (lamps.connections[0].function, lamps.connections[0].member) == ("earth", "R")
    assert "W6 earth: R only, holder to terminal" in listed_text(of)
    assert "R: wire W6 earth: holder to terminal" in build_record(of)
    labels = labels_of(of, Shop(), (LabelKind.WIRE,))
    assert [label.lines[-1].startswith("T01 earth") for label in labels] == [True, True]
    before = unit(sets=(PAIR,))
    for phrase in ("wire W6 soldered to tag and chassis both", "right hose W7 under the plate"):
        reading = read_line(f"lamps, each, {phrase}", before)
        assert "where does it go?" in " ".join(reading.problems)
        again, _ = kept(f"lamps, each, {phrase}", PAIR)
        assert "was not understood" in " ".join(m.sentence for m in to_complete(again))


def test_a_lost_screw_renewed_as_another_is_counted_bought_and_told_as_that_one() -> None:
    line = "doors, each 2 hinge screw 3x16, bag 3, right 1 hinge screw 3x16 lost renew as screw M4x16"
    of, doors = kept(line, PAIR)
    assert [(f.holes, f.then, f.renew_as) for f in own(doors, "R").fasteners] == [
        (1, Then.REUSE, ""),
        (1, Then.LOST, "screw M4x16"),
    ]
    text = listed_text(of)
    assert "Fasteners: 4 holes, 4 found = 3 to use again + 0 to renew + 0 scrap + 1 lost." in text
    assert "[ ] 1 screw M4x16 (in place of hinge screw 3x16, lost at the" in text
    assert "hinge screw 3x16, lost, renew as screw M4x16" in build_record(of)
    assert [row.name for row in bill_of_materials(of, Shop(), NOW.date()).lines] == ["screw M4x16"]


def listed_text(of: Unit) -> str:
    listed = refit_list(of)
    return reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)


def test_a_component_renewed_as_another_is_bought_once_for_its_member() -> None:
    of, _ = kept("lamps, each, left component lamp 60 W renew as lamp 40 W", PAIR)
    (old,), (new,) = of.components, of.parts
    assert (old.name, old.disposition, old.member) == ("lamp 60 W", Disposition.RENEW, "L")
    assert (new.name, new.member, new.for_components) == ("lamp 40 W", "L", (old.code,))
    assert [line.name for line in bill_of_materials(of, Shop(), NOW.date()).lines] == ["lamp 40 W"]
    text = listed_text(of)
    assert "- L only: new lamp 40 W." in text
    assert "lamp 60 W" not in text
    assert [label.title for label in labels_of(of, Shop(), (LabelKind.PART,))] == ["L: lamp 60 W"]
    shared, _ = kept("lamps, each, component starter renew as starter S2 for both", PAIR)
    assert "One new starter S2 for both." in listed_text(shared)


def test_no_label_is_printed_for_a_bag_of_lost_screws() -> None:
    of, _ = kept("doors, each 1 hinge screw 3x16, left bag 5, right bag 6, right lost", PAIR)
    codes = {label.code for label in labels_of(of, Shop(), (LabelKind.BAG,))}
    assert codes == {"R1 BAG 5"}
    assert "bag 6" not in listed_text(of).casefold()
    assert "R: 1 hinge screw 3x16, lost" in build_record(of)


def test_wires_named_for_one_member_are_among_those_counted_on_it() -> None:
    of, lamps = kept(
        "lamps, each 3 wires from holder to terminal, right wire W3 renew, right wire W2 from holder to ?", PAIR
    )
    assert (lamps.wires, lamps.fasteners) == (3, ())
    assert [(c.code, c.member, c.renew) for c in lamps.connections] == [("W3", "R", True), ("W2", "R", False)]
    assert lamps.note == "3 wires from holder to terminal"
    assert "T01: 6 wires (3 on each) counted, 2 connections written." in [m.sentence for m in to_complete(of)]
    assert "Fasteners: 0 holes" in listed_text(of)


def test_a_wire_renewed_later_is_that_wire_or_is_asked_about() -> None:
    of, lamps = kept("lamps, each wire W1 brown from holder to terminal, right wire W1 renew", PAIR)
    assert (len(lamps.connections), lamps.unread) == (1, ("right wire W1 renew",))
    later = read_line("shade, right wire W1 renew", of)
    assert later.step.connections == ()
    assert later.problems == (
        "W1 stands at T01, lamps: is it that wire? Then say it in the line of T01. It stands in the note.",
    )


def test_what_is_said_to_have_broken_already_is_not_asked_about_before_it_is_done() -> None:
    of, arm = kept("arm, prised, glue broke")
    assert arm.one_way is not None
    assert (arm.one_way.joint, arm.one_way.answered) == (JointFound.GLUED, True)
    assert "one-way, and neither measured" not in " ".join(m.sentence for m in to_complete(of))
    assert stop_questions(arm) == ()


def test_a_shim_with_its_place_and_thickness_is_not_asked_about() -> None:
    for line in (
        "arms, each, left 1 shim 0.5 mm under the arm, left note shim as found",
        "arms, 1 shim 0.5 mm, note the shim",
    ):
        of, _ = kept(line, PAIR)
        assert "which shim" not in " ".join(m.sentence for m in to_complete(of))
    of, _ = kept("arms, note the shim under the left arm", PAIR)
    assert "T01: which shim? Side, thickness and how many." in [m.sentence for m in to_complete(of)]
