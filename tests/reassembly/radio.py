"""The table radio of the examples, typed here in full so that the figures do not depend on any stored record."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from logbook.model.casework_records import HeldDimension
from logbook.model.step import RefitNotes, Relation, Remake, Setting, Step
from logbook.model.unit import Unit
from logbook.model.words import ConnectionKind, Supply, WorkState
from logbook.model.work import Operation
from tests.builders import (
    at,
    fastener,
    hazard,
    hold,
    mm,
    new_fasteners,
    one_way,
    operation,
    part,
    relation,
    renewed,
    scrapped,
    step,
    unit,
    wire,
)

NOW = at("2026-06-01 18:00")
BUILD = tuple(f"B{i:02d}" for i in range(1, 15))

AFTER = {
    "T02": "T01", "T03": "T02", "T04": "T03", "T05": "T01", "T06": "T03", "T07": "T03", "T08": "T03", "T09": "T08",
    "T10": "T03", "T11": "T05 T06 T07 T09 T10", "T12": "T11", "T13": "T12", "T14": "T05", "T15": "T12 T14",
    "T16": "T13 T15", "T17": "T16", "T18": "T12", "T19": "T16 T18", "T20": "T19", "T21": "T20", "T22": "T04 T17 T21",
}  # fmt: skip
"""Which steps had to come off before which."""


def relations() -> list[Relation]:
    """The hard ones, the valves better before the bolts, and what goes on first."""
    hard = [relation(earlier, later) for later, before in AFTER.items() for earlier in before.split()]
    return [
        *hard,
        relation("T04", "T11", "better"),
        relation("T08", "T09", "threaded", items="P-clip"),
        relation("T11", "T12", "threaded", items="upper bushes and tubes"),
    ]


def radio_steps() -> list[Step]:
    """T01 to T22 as they happened."""
    scrap_case = one_way("glued", measured=True, rebuilt_by=BUILD)
    made: list[dict[str, Any]] = [
        {"what": "plug out, tagged, photographed", "action": "recorded only", "hazards": [hazard("mains voltage")]},
        {"what": "back panel off; frame aerial unplugged", "bag": "1",
         "fasteners": [fastener("rh wood screw 3.5x16 steel slotted", 6, 5, renewed_here=True)],
         "connections": [wire("W1", "frame aerial", "aerial socket", kind=ConnectionKind.PLUG)]},
        {"what": "filter capacitors", "action": "bled", "hazards": [hazard("stored charge")],
         "refit": RefitNotes(hold=hold("H3", "insulation, polarity, first power", "insulation", competent=True))},
        {"what": "valves V1-V5", "action": "unplugged", "box": "1"},
        {"what": "four knobs", "bag": "2",
         "fasteners": [renewed("wax plug over grub screw", 4, renewed_here=True), fastener("grub screw M3x6", 4),
                       fastener("felt washer 20x8x1.5", 4)]},
        {"what": "speaker leads", "action": "unsoldered",
         "connections": [wire("W2", "transformer", "tag A", sleeve="25 mm"), wire("W3", "transformer", "tag B")]},
        {"what": "dial-lamp holders", "action": "slid",
         "connections": [wire("W4", stays_on=True), wire("W5", stays_on=True)]},
        {"what": "mains-cord clip", "bag": "3",
         "fasteners": [fastener("screw M4x10 ch hd"), fastener("nut M4"), fastener("P-clip 6")]},
        {"what": "mains cord", "action": "unsoldered", "as_found_wrong": True, "as_found": "two-core cord",
         "should_be": "as the local code says", "refit": RefitNotes(first=("entry bush on the cord",), local_code=True),
         "connections": [wire("W6", "cord", "switch tag 2"), wire("W7", "cord", "transformer primary")]},
        {"what": "pointer to low stop", "action": "recorded only",
         "settings": [Setting(what="pointer", value="12 mm right of the scale's left end")]},
        {"what": "chassis bolts", "bag": "4", "refit": RefitNotes(sequence="diagonal"),
         "fasteners": [fastener("hex bolt M5x35", 4), fastener("plain washer 5x25x1.5", 4),
                       fastener("spacer tube 6 long", 4), renewed("rubber bush", 8)],
         "stack": ["head", "washer", "bush", "BOTTOM", "bush", "tube", "captive nut"]},
        {"what": "chassis", "action": "lifted out", "weight_kg": Decimal("5.8"), "support": "keep level"},
        {"what": "speaker off the baffle", "bag": "5",
         "fasteners": [fastener("nut M4", 4), fastener("shakeproof washer M4", 4)]},
        {"what": "escutcheon", "bag": "6", "fasteners": [fastener("rh wood screw 2.5x10 brass", 4)]},
        {"what": "dial glass", "action": "lifted out", "bag": "7",
         "fasteners": [fastener("spring clip", 2), renewed("felt strip 200x5x1.5", 2, renewed_here=True)]},
        {"what": "baffle", "action": "prised", "one_way": one_way("stapled, pinned or nailed"),
         "fasteners": [scrapped("panel pin 20", 8)],
         "refit": RefitNotes(new_fasteners=(new_fasteners("rh wood screw 3.5x20", 8, here=True),))},
        {"what": "grille cloth", "action": "prised", "bag": "8",
         "one_way": one_way("gasket, felt, cloth, tape or wax", traced=True, remake=Remake(method="glue", cure=1440)),
         "fasteners": [scrapped("staple", 16), fastener("csk screw M4x20", 4)],
         "refit": RefitNotes(first=("4 csk screws in the baffle",))},
        {"what": "four feet", "bag": "9",
         "fasteners": [fastener("rh wood screw 3.5x20", 4), renewed("rubber foot 25x10", 4)]},
        {"what": "old case", "action": "measured", "refit": RefitNotes(hold=hold("H1", "held sizes", "H-W, H-H, H-D"))},
        {"what": "bottom", "action": "split", "one_way": scrap_case, "fasteners": [scrapped("nail 25", 10)]},
        {"what": "sides and top", "action": "split", "one_way": scrap_case},
        {"what": "all parts sorted, bags counted", "action": "recorded only"},
    ]  # fmt: skip
    for i, fields in enumerate(made, start=1):
        fields.update(code=f"T{i:02d}", stated=i > 1)
    return [step(**fields) for fields in made]


def build_operations(state: WorkState = WorkState.TO_DO, **more: Any) -> list[Operation]:
    """B01 to B14, all in the same state."""
    return [operation(code, f"work {code}", state=state, **more) for code in BUILD]


def radio(**more: Any) -> Unit:
    """R1 with the case still to build and the bushes, feet and cord still to buy."""
    fields: dict[str, Any] = {
        "relations": relations(),
        "operations": build_operations(),
        "held_dimensions": [HeldDimension(code="H-W", what="inside width", value=mm("452"))],
        "parts": [
            part("N1", "chassis bushes, set of 8", for_steps=("T11",), fastener="rubber bush"),
            part("N2", "rubber feet", for_steps=("T18",), fastener="rubber foot 25x10"),
            part("N3", "mains cord", for_steps=("T09",)),
            part("N4", "grille cloth", for_steps=("T17",)),
        ],
    }
    return unit(*radio_steps(), **{**fields, **more})


def ready_radio(*still_needed: str, **more: Any) -> Unit:
    """R1 with the case built and every part here but those named by their code."""
    bare = radio()
    parts = tuple(p if p.code in still_needed else p.model_copy(update={"supply": Supply.HERE}) for p in bare.parts)
    return bare.model_copy(update={"operations": tuple(build_operations(WorkState.DONE)), "parts": parts, **more})
