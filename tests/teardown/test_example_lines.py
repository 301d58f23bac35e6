"""The steps of the example book, written as lines and read back."""

from __future__ import annotations

import pytest

from logbook.model.step import Step
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.model.words import Certainty
from logbook.teardown.bench_line import SAYABLE, read_line
from logbook.teardown.relations import said_order
from logbook.teardown.write import write_line
from tests.builders import fastener, renewed, scrapped, unit


def demo_units() -> dict[str, Unit]:
    return {d.unit.code: d.unit for d in demo_documents() if d.logbook == "unit"}


STEPS = [(u, s) for u in demo_units().values() for s in u.steps]


def without_desk_details(step: Step) -> dict[str, object]:
    """What a line can say of a step, without the details that belong to a fastener, a hazard or a rebuild."""
    bare = {name: getattr(step, name) for name in SAYABLE}
    bare["fasteners"] = tuple(f.model_copy(update={"detail": None, "renewed_here": False}) for f in step.fasteners)
    bare["hazards"] = tuple((h.signal, h.what) for h in step.hazards)
    if step.one_way is not None:
        bare["one_way"] = step.one_way.model_copy(update={"drilled": None, "remake": None, "rebuilt_by": ()})
    return bare


@pytest.mark.parametrize(("of", "step"), STEPS, ids=[f"{u.code} {s.code}" for u, s in STEPS])
def test_a_step_of_the_example_is_the_same_from_its_line(of: Unit, step: Step) -> None:
    after, better = said_order(of, step.code)
    line = write_line(step, after, better, unit=of)
    reading = read_line(line, of, code=step.code)
    assert without_desk_details(reading.step) == without_desk_details(step)
    assert (reading.after, reading.better_after) == (after, better)
    assert read_line(line, of, base=step).step == step
    assert reading.unknown == ()


R1_LINES = [
    ("T01", '"plug out, as found", rec, hazard mains voltage, photo'),
    ("T02", "back panel, uns, 6/5 rh wood screw 3.5x16 steel slotted, wire 1, from back, after T01, bag 1, photo"),
    ("T03", "filter capacitors, bled, hazard stored charge, after T02"),
    ("T04", "valves V1-V5, unp, box 1, photo, from back, after T03"),
    (
        "T05",
        "knobs, uns, 4 wax plug over grub screw renew, 4 grub screw M3x6, 4 felt washer 20x8x1.5, bag 2, photo, "
        "after 1",
    ),
    ("T06", "speaker leads, unso, 2 wires, photo, after T03"),
    ("T07", "dial-lamp holders, slid, 2 wires, photo, after T03"),
    ("T08", "mains-cord clip, uns, 1 screw M4x10 ch hd, 1 nut M4, 1 P-clip 6, bag 3, photo"),
    ("T09", "mains cord, unsoldered, wires 2, hazard mains voltage, wrong, photo, after T08"),
    ("T10", "pointer, rec, photo, after T03"),
    (
        "T11",
        "chassis bolts, unscrewed, 4 hex bolts M5x35, 4 plain washers 5x25x1.5, 4 spacer tubes 6 long, "
        "8 rubber bushes renew, bag 4, from below, after T05, T06, T07, T09, T10, better after T04, photo",
    ),
    ("T12", "chassis, lifted, caution weight, 5.8 kg, after T11, photo"),
    ("T13", "speaker, uns, 4 nut M4 and 4 shakeproof washer M4, bag 5, photo"),
    ("T14", "escutcheon, uns, 4x rh wood screw 2.5x10 brass, bag 6, photo"),
    ("T15", "dial glass, lift, 2 spring clips, 2 felt strip 200x5x1.5 renew, bag 7, box 2 FRAGILE, photo"),
    ("T16", "baffle, prised, 8 panel pin 20, scrap, one-way pinned measured traced photographed, photo"),
    ("T17", "grille cloth, pri, 16 staple scrap, 4 csk screw M4x20, bag 8, one-way cloth, photo"),
    ("T18", "feet, uns, 4 rh wood screw 3.5x20, 4 rubber foot 25x10 renew, bag 9, photo"),
    ("T19", "old case, mea, photo"),
    ("T20", "bottom, split, 10 nail 25 scrap, one-way glued"),
    ("T21", "sides and top, split, one-way glued, photo"),
    ("T22", "all parts, recorded"),
]
"""The radio as it would be typed at the bench; plurals and short forms mean the kinds and words of the record."""


@pytest.mark.parametrize(("code", "line"), R1_LINES, ids=[code for code, _ in R1_LINES])
def test_the_radio_typed_at_the_bench_gives_the_ten_second_set_of_its_record(code: str, line: str) -> None:
    radio = demo_units()["R1"]
    recorded = radio.step(code)
    assert recorded is not None
    typed = read_line(line, radio, code=code).step
    counted = [(f.kind, f.holes, f.found, f.then) for f in typed.fasteners]
    assert counted == [(f.kind, f.holes, f.found, f.then) for f in recorded.fasteners]
    for name in ("what", "action", "bag", "box", "wires", "left_hand", "as_found_wrong", "photo_taken"):
        assert getattr(typed, name) == getattr(recorded, name), name
    assert [h.signal for h in typed.hazards] == [h.signal for h in recorded.hazards][: len(typed.hazards)]
    assert (typed.one_way is None) == (recorded.one_way is None)
    assert typed.certainty is Certainty.SURE


def test_the_radio_typed_line_by_line_counts_as_worked_by_hand() -> None:
    # 103 places, 102 found; 50 go back, 18 are renewed, 34 are scrap: worked by hand with the example.
    empty = unit()
    fasteners = [f for _, line in R1_LINES for f in read_line(line, empty).step.fasteners]
    assert sum(f.holes for f in fasteners) == 103
    assert sum(f.found for f in fasteners) == 102
    by_end = {then: sum(f.found for f in fasteners if f.then == then) for then in ("reuse", "renew", "scrap")}
    assert by_end == {"reuse": 50, "renew": 18, "scrap": 34}


METRIC = ["M2", "M2.5", "M3", "M3.5", "M4", "M5", "M6", "M8", "M10", "M12"]
"""First and second choice diameters of ISO 261, general purpose metric screw threads."""
UNIFIED = ["#2-56", "#4-40", "#6-32", "#8-32", "#10-24", "#12-24", "1/4-20", "5/16-18", "3/8-16", "1/2-13"]
"""Coarse thread series of ASME B1.1, unified inch screw threads."""
BSW = ["1/8 BSW", "3/16 BSW", "1/4 BSW"]
"""British Standard Whitworth sizes, BS 84."""


@pytest.mark.parametrize(
    "size", [*METRIC, *(f"{m}x16" for m in METRIC), *UNIFIED, *(f"{u} x 3/4" for u in UNIFIED), *BSW]
)
@pytest.mark.parametrize("order", ["{count} screw {size}", "{count} {size} screw"])
def test_every_published_thread_size_stays_whole_in_a_kind(size: str, order: str) -> None:
    kind = order.format(count="", size=size).strip()
    for then, made in (("", fastener), (" renew", renewed), (" scrap", scrapped)):
        read = read_line(f"lid, {order.format(count=6, size=size)}{then}, bag 4", unit()).step
        assert read.fasteners == (made(kind, 6),)
        assert read.bag == "4"
