"""The demo book's raw figures, from the records alone: counted by hand once and here counted from the documents.

Nothing of the program's computations is used, so that a mistake in a record and one in a computation cannot
hide each other.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

import networkx as nx
import pytest

from logbook.model.document import ShopDocument, UnitDocument
from logbook.model.shop import Shop
from logbook.model.step import Fastener, Step
from logbook.model.templates import DEMO, demo_documents, hazard_classes, template_bytes
from logbook.model.unit import Unit
from logbook.model.words import (
    ComparatorKind,
    Disposition,
    OrderBasis,
    RelationKind,
    SetKind,
    Source,
    Stage,
    Supply,
    Then,
)
from tests.builders import at, codes, day

READ = demo_documents()
UNITS = {d.unit.code: d.unit for d in READ if isinstance(d, UnitDocument)}
SHOP: Shop = next(d.shop for d in READ if isinstance(d, ShopDocument))
R1, G1, C1, L1 = (UNITS[code] for code in ("R1", "G1", "C1", "L1"))


def each(unit: Unit, step: Step) -> Iterable[tuple[str, Fastener]]:
    """Every kind of fastener of a step with its bag, once for each member of its set."""
    of = unit.set_of(step)
    own = {d.member: d for d in step.differences}
    for member in (m.code for m in of.members) if of else ("",):
        different = own.get(member)
        pattern = step.fasteners if different is None or different.fasteners is None else different.fasteners
        yield from ((f.bag or (different.bag if different else "") or step.bag, f) for f in pattern)


def taken_off(unit: Unit) -> list[tuple[Step, str, Fastener]]:
    """Every kind of fastener that came off, with its step and bag."""
    return [(s, bag, f) for s in unit.steps if not s.planned for bag, f in each(unit, s)]


def bags(unit: Unit) -> dict[str, int]:
    """Pieces to reuse in each bag."""
    counted: Counter[str] = Counter()
    for _, bag, f in taken_off(unit):
        if f.then is Then.REUSE:
            counted[bag] += f.found
    return dict(counted)


def must(unit: Unit) -> dict[str, set[str]]:
    """What must come off before each step."""
    before: defaultdict[str, set[str]] = defaultdict(set)
    for r in unit.relations:
        if r.kind is RelationKind.MUST:
            before[r.later].add(r.earlier)
    return before


def test_the_book() -> None:
    assert DEMO == ("shop", "R1", "G1", "C1", "L1")
    assert [d.unit.code for d in READ if isinstance(d, UnitDocument)] == ["R1", "G1", "C1", "L1"]
    assert [u.stage for u in UNITS.values()] == [Stage.REBUILD, Stage.TEARDOWN, Stage.REBUILD, Stage.STOPPED]
    assert {d.currency for d in READ if isinstance(d, UnitDocument)} == {SHOP.settings.currency} == {"$"}


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_every_unit_is_of_a_known_class_and_carries_its_hazards(unit: Unit) -> None:
    usual = next(c for c in hazard_classes() if c.name == unit.arrival.object_class)
    assert set(usual.hazards) <= set(unit.hazards)


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_every_step_with_a_hazard_says_what_to_do_first(unit: Unit) -> None:
    for s in unit.steps:
        assert all(h.what and h.do for h in s.hazards), s.code
        electric = [h for h in s.hazards if "mains" in h.what or "charge" in h.what]
        assert all(h.prove and "Local codes and licensed practice come first" in h.do for h in electric), s.code


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_steps_stand_in_the_order_of_their_times(unit: Unit) -> None:
    times = [s.at for s in unit.steps if s.at is not None]
    assert times == sorted(times)
    assert all((s.at is None) == s.planned for s in unit.steps)
    assert sum(s.minutes or 0 for s in unit.steps) == unit.minutes_worked
    assert all(at("2025-01-01 00:00") < t < at("2026-11-01 00:00") for t in times)


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_names_of_things_exist(unit: Unit) -> None:
    steps, components, parts = set(codes(unit.steps)), set(codes(unit.components)), set(codes(unit.parts))
    operations, pieces = set(codes(unit.operations)), set(codes(SHOP.offcuts))
    shelf = {c.name for c in SHOP.shelf}
    assert {c for s in unit.steps for c in s.components} <= components
    assert {c.from_step for c in unit.components} - {""} <= steps
    assert {s for p in unit.parts for s in p.for_steps} <= steps
    assert {c for p in unit.parts for c in p.for_components} <= components
    assert {o for x in unit.operations for o in x.after} <= operations
    assert {s for x in unit.operations for s in x.for_steps} <= steps
    assert {p for x in unit.operations if x.needs for p in x.needs.parts} <= parts
    assert {o for s in unit.steps if s.one_way for o in s.one_way.rebuilt_by} <= operations
    assert {u.consumable for u in unit.consumables} <= shelf
    if unit.case:
        assert {s.piece for s in unit.case.strips} <= pieces
        priced = {m.name for m in unit.case.materials}
        assert {x.material for p in unit.case.panels for x in (*p.layers, *p.leaves)} <= priced
        assert priced <= {o.material for o in SHOP.offcuts}


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_operations_have_no_circle(unit: Unit) -> None:
    graph = nx.DiGraph([(a, x.code) for x in unit.operations for a in x.after])
    assert nx.is_directed_acyclic_graph(graph)


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_every_wire_has_two_ends_and_as_many_lines_as_were_counted(unit: Unit) -> None:
    for s in unit.steps:
        assert len(s.connections) == (s.wires or 0), s.code
        assert all(c.start and c.end and c.labels == 2 for c in s.connections), s.code
    undone = [c.code for s in unit.steps for c in s.connections if not c.stays_on]
    assert len(undone) == len(set(undone)), "undone once"


# ------------------------------------------------------------------------------------------------ R1


def test_r1_steps() -> None:
    assert codes(R1.steps) == [f"T{i:02d}" for i in range(1, 23)]


def test_r1_relations() -> None:
    assert must(R1) == {
        "T02": {"T01"}, "T03": {"T02"}, "T04": {"T03"}, "T05": {"T01"}, "T06": {"T03"}, "T07": {"T03"},
        "T08": {"T03"}, "T09": {"T08"}, "T10": {"T03"}, "T11": {"T05", "T06", "T07", "T09", "T10"}, "T12": {"T11"},
        "T13": {"T12"}, "T14": {"T05"}, "T15": {"T12", "T14"}, "T16": {"T13", "T15"}, "T17": {"T16"},
        "T18": {"T12"}, "T19": {"T16", "T18"}, "T20": {"T19"}, "T21": {"T20"}, "T22": {"T04", "T17", "T21"},
    }  # fmt: skip
    others = [(r.kind, r.earlier, r.later, r.items) for r in R1.relations if r.kind is not RelationKind.MUST]
    assert others == [
        (RelationKind.BETTER, "T04", "T11", ""),
        (RelationKind.THREADED, "T08", "T09", "P-clip and entry bush"),
        (RelationKind.THREADED, "T11", "T12", "upper bushes and tubes"),
    ]
    assert {s.code for s in R1.steps if s.order is OrderBasis.STATED} == set(must(R1))


def test_r1_free_steps_by_networkx() -> None:
    """The sets of steps that are free of each other, by an outside graph library."""
    after = nx.transitive_closure_dag(nx.DiGraph([(e, later) for later, es in must(R1).items() for e in es]))

    def free(*names: str) -> bool:
        return not any(after.has_edge(a, b) for a in names for b in names)

    assert free("T02", "T05")
    assert free("T04", "T06", "T07", "T08", "T10")
    assert free("T13", "T15", "T18")
    assert all(free("T14", c) for c in ("T02", "T03", "T11", "T12", "T13"))
    assert not free("T12", "T15")


def test_r1_fasteners() -> None:
    by: Counter[Then] = Counter()
    holes = 0
    for _, _, f in taken_off(R1):
        by[f.then] += f.found
        holes += f.holes
    assert (holes, by.total()) == (103, 102)
    assert (by[Then.REUSE], by[Then.RENEW], by[Then.SCRAP]) == (50, 18, 34)
    renewed = {f.kind: f.holes for _, _, f in taken_off(R1) if f.then is Then.RENEW}
    assert renewed == {
        "wax plug over grub screw": 4,
        "rubber bush": 8,
        "felt strip 200x5x1.5": 2,
        "rubber foot 25x10": 4,
    }
    missing = sum(f.holes - f.found for _, _, f in taken_off(R1))
    added = sum(n.count for s in R1.steps for n in s.refit.new_fasteners)
    assert (missing, added) == (1, 8)
    assert by[Then.REUSE] + missing + sum(renewed.values()) + added == 77
    assert missing + sum(renewed.values()) + added == 27


KINDS = {
    "T02": [("rh wood screw 3.5x16 steel slotted", 6, 5, "reuse")],
    "T05": [
        ("wax plug over grub screw", 4, 4, "renew"), ("grub screw M3x6", 4, 4, "reuse"),
        ("felt washer 20x8x1.5", 4, 4, "reuse"),
    ],
    "T08": [("screw M4x10 ch hd", 1, 1, "reuse"), ("nut M4", 1, 1, "reuse"), ("P-clip 6", 1, 1, "reuse")],
    "T11": [
        ("hex bolt M5x35", 4, 4, "reuse"), ("plain washer 5x25x1.5", 4, 4, "reuse"),
        ("spacer tube 6 long", 4, 4, "reuse"), ("rubber bush", 8, 8, "renew"),
    ],
    "T13": [("nut M4", 4, 4, "reuse"), ("shakeproof washer M4", 4, 4, "reuse")],
    "T14": [("rh wood screw 2.5x10 brass", 4, 4, "reuse")],
    "T15": [("spring clip", 2, 2, "reuse"), ("felt strip 200x5x1.5", 2, 2, "renew")],
    "T16": [("panel pin 20", 8, 8, "scrap")],
    "T17": [("staple", 16, 16, "scrap"), ("csk screw M4x20", 4, 4, "reuse")],
    "T18": [("rh wood screw 3.5x20", 4, 4, "reuse"), ("rubber foot 25x10", 4, 4, "renew")],
    "T20": [("nail 25", 10, 10, "scrap")],
}  # fmt: skip


def test_r1_fasteners_step_by_step() -> None:
    found = {s.code: [(f.kind, f.holes, f.found, f.then) for f in s.fasteners] for s in R1.steps if s.fasteners}
    assert found == KINDS


def test_r1_bags_and_boxes() -> None:
    assert bags(R1) == {"1": 5, "2": 8, "3": 3, "4": 12, "5": 8, "6": 4, "7": 2, "8": 4, "9": 4}
    assert {s.box: s.code for s in R1.steps if s.box} == {"1": "T04", "2": "T15"}


def test_r1_what_lies_ready() -> None:
    here = {f.kind for _, _, f in taken_off(R1) if f.renewed_here}
    assert here == {"rh wood screw 3.5x16 steel slotted", "wax plug over grub screw", "felt strip 200x5x1.5"}
    assert [(n.kind, n.count, n.here) for s in R1.steps for n in s.refit.new_fasteners] == [
        ("rh wood screw 3.5x20", 8, True)
    ]
    assert not any(p.supply is Supply.HERE for p in R1.parts)


def test_r1_marks() -> None:
    assert [s.code for s in R1.steps if s.one_way] == ["T16", "T17", "T20", "T21"]
    assert all(s.one_way.answered for s in R1.steps if s.one_way)
    assert [s.code for s in R1.steps if s.as_found_wrong] == ["T09"]
    assert [(s.code, h.code) for s in R1.steps if (h := s.refit.hold)] == [("T03", "H3"), ("T19", "H1")]
    assert [(x.code, x.hold.code) for x in R1.operations if x.hold] == [("B10", "H2")]
    assert [c.code for s in R1.steps for c in s.connections] == [f"W{i}" for i in range(1, 8)]


def test_r1_planted_discrepancy() -> None:
    (count,) = R1.refit.counts
    assert (count.bag, count.kind, count.recorded, count.counted) == ("5", "shakeproof washer M4", 4, 3)
    assert count.explained == ""
    in_bag = sum(f.found for _, bag, f in taken_off(R1) if bag == count.bag and f.kind == count.kind)
    assert in_bag == count.recorded


CASH = {
    "wipe-on varnish": "11 11 13", "abrasive sheet": "6 6 9", "edge band": "8.25 8.25 10",
    "chassis bushes, set of 8": "6 8.40 12", "rubber feet": "0 3.20 4", "mains cord and entry bush": "5 6.50 9",
    "grille cloth 350x500": "6 9 14", "capacitor set": "11 14 20", "output transformer": "0 0 38", "valve": "0 0 12",
    "shipping, one parcel": "5 7.95 15", "PVA glue": "0 0 0", "stain": "0 0 0", "shellac sealer": "0 0 0",
}  # fmt: skip


def test_r1_cash() -> None:
    lines = {line.name: line.price for line in (*R1.parts, *R1.cost_lines)}
    lines |= {use.consumable: use.price for use in R1.consumables}
    assert None not in lines.values()
    three = {name: (p.low, p.likely, p.high) for name, p in lines.items() if p}
    assert three == {name: tuple(map(Decimal, words.split())) for name, words in CASH.items()}
    low, likely, high = (sum(x) for x in zip(*three.values(), strict=True))
    assert (low, likely, high) == (Decimal("58.25"), Decimal("74.30"), Decimal("156.00"))
    # (low + 4 likely + high) / 6: Malcolm, Roseboom, Clark and Fazar 1959.
    assert round((Fraction(low) + 4 * Fraction(likely) + Fraction(high)) / 6, 2) == Fraction("85.24")
    assert [(p.name, p.only_if) for p in R1.parts if p.only_if] == [
        ("output transformer", "only if open"),
        ("valve", "only if weak"),
    ]


def test_r1_hours() -> None:
    efforts = [x.effort for x in R1.operations]
    assert codes(R1.operations) == [*(f"B{i:02d}" for i in range(1, 15)), "K01", "K02", "A"]
    assert None not in efforts
    sums = [Fraction(sum(getattr(e, which) for e in efforts), 60) for which in ("low", "likely", "high")]
    assert sums == [Fraction("14.5"), Fraction("20.35"), Fraction("36.2")]
    assert round((sums[0] + 4 * sums[1] + sums[2]) / 6, 2) == Fraction("22.02")
    assert R1.minutes_worked == 270


def test_r1_spent_and_stop_line() -> None:
    assert sum(s.amount or 0 for s in R1.spent) == Decimal("13.50")
    assert [s.amount for s in R1.stop_lines] == [Decimal("100.00")]
    (test,) = R1.arrival.make_or_break
    assert (test.minutes, test.before, test.passed) == (18, "B01", None)


def test_r1_comparators() -> None:
    by = {c.kind: c for c in R1.comparators}
    paid = {kind: (c.price or 0) + (c.delivery or 0) for kind, c in by.items()}
    assert paid[ComparatorKind.NEW] == Decimal("141.40")
    assert paid[ComparatorKind.USED_RESTORED] == Decimal("205.00")
    assert paid[ComparatorKind.USED_AS_IS] == Decimal("80.00")
    parts = by[ComparatorKind.SELL_PARTS]
    assert sum(s.price for s in parts.sales) * (100 - (parts.fee_percent or 0)) / 100 == Decimal("38.25")
    rebuilt = by[ComparatorKind.SELL_REBUILT]
    assert (rebuilt.price or 0) * (100 - (rebuilt.fee_percent or 0)) / 100 == Decimal("132.00")


def test_r1_components() -> None:
    by = {c.code: c.disposition for c in R1.components}
    assert by["OT"] is Disposition.TEST
    assert by["V5"] is Disposition.TEST
    assert {c.code: c.condition for c in R1.components}["V3"] == "weak"
    assert sum(c.quantity for c in R1.components if c.disposition is Disposition.RENEW) == 5
    assert [c.code for c in R1.components if c.disposition is Disposition.SCRAP] == ["MC", "GC"]


def test_r1_held_dimensions() -> None:
    held = {h.code: h for h in R1.held_dimensions}
    sizes = {c: (h.value.mm, h.plus and h.plus.mm, h.minus and h.minus.mm) for c, h in held.items() if h.value}
    half = Decimal("0.5")
    assert sizes == {
        "H-W": (452, half, half),
        "H-H": (276, half, half),
        "H-D": (210, 1, 0),
        "H-P": (12, None, None),
        "H-V": (30, None, None),
    }
    assert [(p.x.mm, p.y.mm) for p in held["H-S"].positions] == [(78, 48), (164, 48), (288, 48), (374, 48)]
    assert {c for c, h in held.items() if h.at_least} == {"H-P", "H-V"}
    assert all(len(h.readings) == 2 for c, h in held.items() if c != "H-S")


def size(of: Any) -> tuple[Decimal, Decimal]:
    return of.length.mm, of.width.mm


def test_r1_panels() -> None:
    assert R1.case is not None
    panels = {p.code: p for p in R1.case.panels}
    assert {c: (*size(p.finish), *size(p.cut), *size(p.rough)) for c, p in panels.items()} == {
        c: tuple(map(Decimal, words.split()))
        for c, words in {
            "P1": "478.0 230.0 478.0 229.4 484.0 235.4",
            "P2": "300.8 230.0 300.8 229.4 306.8 235.4",
            "P3": "300.8 230.0 300.8 229.4 306.8 235.4",
            "P4": "465.0 230.0 465.0 229.4 465.0 229.4",
            "P5": "451.0 275.0 451.0 275.0 457.0 281.0",
        }.items()
    }
    thick = {c: sum(x.thickness.mm for x in (*p.layers, *p.leaves)) for c, p in panels.items()}
    assert thick == {"P1": 13, "P2": 13, "P3": 13, "P4": Decimal("11.8"), "P5": 10}
    assert panels["P3"].mirror_of == "P2"
    area: Counter[str] = Counter()
    for p in panels.values():
        for x in p.layers:
            area[x.material] += int(size(p.rough)[0] * size(p.rough)[1])
        for leaf in p.leaves:
            area[leaf.material] += int(leaf.size.length.mm * leaf.size.width.mm)
    assert {m: round(Fraction(a, 10**6), 4) for m, a in area.items()} == {
        "12 ply": Fraction("0.3650"),
        "9 ply": Fraction("0.1284"),
        "dark veneer leaf": Fraction("0.4179"),
        "plain backer veneer": Fraction("0.4179"),
    }


def test_r1_sizes_follow_from_what_is_held() -> None:
    """The panel formulas (common practice, no source) on the held dimensions and the measured thicknesses."""
    assert R1.case is not None
    held = {h.code: h.value.mm for h in R1.held_dimensions if h.value}
    panels = {p.code: p for p in R1.case.panels}
    side = sum(x.thickness.mm for x in (*panels["P2"].layers, *panels["P2"].leaves))
    bottom = panels["P4"].layers[0].thickness.mm
    rabbet = next(j for j in panels["P2"].joints if j.end == "bottom")
    assert rabbet.depth is not None
    assert rabbet.width is not None
    assert rabbet.width.mm == bottom
    assert size(panels["P1"].finish)[0] == held["H-W"] + 2 * side, "mitred: long point to long point"
    assert size(panels["P4"].finish)[0] == held["H-W"] + 2 * rabbet.depth.mm
    assert size(panels["P2"].finish)[0] == held["H-H"] + side + bottom
    assert size(panels["P1"].finish)[1] == 6 + 10 + held["H-D"] + 4
    assert size(panels["P5"].finish) == (held["H-W"] - 1, held["H-H"] - 1)


def test_r1_strips_and_openings() -> None:
    assert R1.case is not None
    assert sum(s.quantity * s.length.mm for s in R1.case.strips) == 1580
    assert sum(s.quantity for s in R1.case.strips) == 13
    strip = next(o for o in SHOP.offcuts if o.code == "O12")
    assert SHOP.settings.kerf is not None
    assert strip.length.mm - 1580 - 13 * SHOP.settings.kerf.mm == 781
    assert C1.case is not None
    assert [(s.piece, s.quantity * s.length.mm) for s in C1.case.strips] == [("O12", 600)]
    openings = next(p for p in R1.case.panels if p.code == "P5").openings
    placed = {(o.centre.x.mm, o.centre.y.mm): o.diameter.mm if o.diameter else size(o.size) for o in openings}
    assert placed == {(130, 165): 165, (335, 165): (180, 70), (78, 48): 10, (164, 48): 10, (288, 48): 10, (374, 48): 10}


def test_r1_own_material_at_replacement_prices() -> None:
    assert R1.case is not None
    prices = {m.name: m.per_m2 or m.per_m for m in R1.case.materials}
    assert prices == {
        "12 ply": 28,
        "9 ply": 22,
        "dark veneer leaf": 18,
        "plain backer veneer": 6,
        "softwood strip 12x12": Decimal("1.20"),
    }


# ---------------------------------------------------------------------------------------- G1, C1 and L1


def test_g1_pieces_in_bags() -> None:
    by_step: Counter[str] = Counter()
    for s, _, f in taken_off(G1):
        by_step[s.code] += f.found
    assert list(by_step.values()) == [8, 8, 6, 5, 5, 6, 8]
    assert sum(bags(G1).values()) == 46
    assert "" not in bags(G1)


def test_g1_progress_and_order() -> None:
    assert [s.planned for s in G1.steps] == [False] * 10 + [True] * 3
    assert must(G1) == {"G12": {f"G{i:02d}" for i in range(4, 11)}, "G13": {"G12"}}
    to_come = {s.code: sum(f.holes for f in s.fasteners) for s in G1.steps if s.planned}
    assert to_come == {"G11": 2, "G12": 12, "G13": 1}


def test_g1_pair_and_left_hand_thread() -> None:
    (pair,) = G1.sets
    assert pair.kind is SetKind.HANDED
    assert codes(pair.members) == ["L", "R"]
    assert not pair.interchangeable
    assert [s.code for s in G1.steps if s.each_of == "LR"] == ["G02", "G03", "G04", "G07"]
    assert [s.code for s in G1.steps if s.left_hand] == ["G05"]
    threads = [(s.code, f.kind) for s in G1.steps for f in s.fasteners if f.detail and f.detail.left_hand]
    assert threads == [("G05", "spindle nut 1/2-12 left-hand")]
    labelled = next(s for s in G1.steps if s.code == "G09")
    assert [c.code for c in labelled.connections] == [f"W{i}" for i in range(1, 8)]
    assert all(c.stays_on for c in labelled.connections)


def test_g1_waits() -> None:
    bearings, soaking = G1.waiting
    assert (bearings.since, bearings.expected, bearings.chase) == (
        day("2026-03-08"),
        day("2026-03-20"),
        day("2026-03-22"),
    )
    today = day("2026-03-17")
    assert (today - (bearings.since or today)).days == 9
    assert (today - (soaking.since or today)).days == 2
    assert [p.name for p in G1.parts if p.supply is Supply.ORDERED] == ["bearing"]
    assert all(p.price is None for p in G1.parts), "unpriced, not free"


def test_c1_counts() -> None:
    by_step: Counter[tuple[str, str]] = Counter()
    for s, _, f in taken_off(C1):
        by_step[s.code, f.kind] += f.found
    assert by_step == {
        ("C02", "screw M4x25"): 8,
        ("C03", "nail 25"): 12,
        ("C04", "wood screw 4x30"): 16,
        ("C06", "nail 25"): 10,
        ("C07", "wood screw 4x40"): 6,
        ("C08", "wood screw 4x20"): 4,
    }
    assert bags(C1) == {"1": 6, "2": 6, "3": 6, "4": 6, "5": 6, "6": 4}


def test_c1_drawers() -> None:
    (drawers,) = C1.sets
    assert codes(drawers.members) == ["D1", "D2", "D3", "D4"]
    assert drawers.kind is SetKind.REPEATED
    assert not drawers.interchangeable
    runners = next(s for s in C1.steps if s.code == "C04")
    shimmed = [(d.member, d.note) for d in runners.differences if d.note]
    assert [m for m, _ in shimmed] == ["D2"]
    assert "0.8" in shimmed[0][1]
    assert {s.code for s in C1.steps if s.one_way} >= {"C03", "C05"}


def test_c1_material() -> None:
    reserved = {o.code: o.reserved_for for o in SHOP.offcuts if o.reserved_for}
    assert reserved == {"O13": "C1 runners"}
    assert [p.made_from for p in C1.parts if p.source is Source.PILE] == ["O13"]


def test_l1_stopped() -> None:
    dear = sum(p.price.likely for p in L1.parts if p.price)
    (new,) = L1.comparators
    assert (dear, new.price) == (Decimal("38.00"), Decimal("24.90"))
    assert L1.why_stopped
    kept = [c.name for c in L1.components if c.disposition is Disposition.SPARE]
    assert kept == ["harp", "shade ring", "in-line switch"]
    assert [c.name for c in L1.components if c.disposition is Disposition.SCRAP] == ["socket", "cord"]


# ------------------------------------------------------------------------------------------------ shop

PILE = """
O01 12 ply|11.8|1020 260|980 260|0.2548
O02 12 ply|11.8|660 300|660 300|0.1980
O03 9 ply|8.8|500 320|500 320|0.1600
O04 12 MDF|12.0|600 400|600 400|0.2400
O05 18 ply|17.6|800 220|800 220|0.1760
O06 12 ply|12.2|520 250|520 250|0.1300
O07 6 ply|5.5|610 305|610 305|0.1860
O08 3 hardboard|3.1|480 320|480 300|0.1440
O09 dark veneer leaf|0.6|1300 260|1260 255|0.3213
O10 dark veneer leaf|0.6|560 310|560 305|0.1708
O11 plain backer veneer|0.6|1700 300|1700 300|0.5100
O12 softwood strip 12x12|12.0|2400 12|2400 12|0.0288
O13 18 pine board|18.0|900 140|860 140|0.1204
O14 16 faced chipboard|15.8|700 300|600 280|0.1680
O15 12 ply|11.8|240 180|240 180|0.0432
O16 hardwood bar|25.0|600 40|600 40|0.0240
"""


def test_pile() -> None:
    lines = PILE.strip().splitlines()
    assert len(lines) == len(SHOP.offcuts) == 16
    for line, o in zip(lines, SHOP.offcuts, strict=True):
        named, thickness, full, usable, m2 = line.split("|")
        assert o.usable_length is not None
        assert o.usable_width is not None
        assert f"{o.code} {o.material}" == named
        assert {t.mm for t in o.thickness} == {Decimal(thickness)}
        assert f"{o.length.mm} {o.width.mm}" == full
        assert f"{o.usable_length.mm} {o.usable_width.mm}" == usable
        # Half a square centimetre: the table rounds some areas down.
        assert abs(o.usable_length.mm * o.usable_width.mm / 10**6 - Decimal(m2)) <= Decimal("0.00005")


def test_defects_lie_outside_the_usable_rectangle_and_inside_the_piece() -> None:
    for o in SHOP.offcuts:
        assert o.usable_length is not None
        assert o.usable_width is not None
        for d in o.defects:
            assert d.x.mm >= o.usable_length.mm or d.y.mm >= o.usable_width.mm, o.code
            assert d.x.mm + d.length.mm <= o.length.mm, o.code
            assert d.y.mm + d.width.mm <= o.width.mm, o.code


def test_pile_has_enough_ply_of_the_right_thickness() -> None:
    sound = [o for o in SHOP.offcuts if o.material == "12 ply" and {t.mm for t in o.thickness} == {Decimal("11.8")}]
    area = sum(o.usable_length.mm * o.usable_width.mm for o in sound if o.usable_length and o.usable_width)
    assert round(area / 10**6, 3) == Decimal("0.496")


def test_settings_and_limits() -> None:
    s = SHOP.settings
    assert [x and x.mm for x in (s.kerf, s.trim, s.keep_width, s.keep_length)] == [3, 5, 50, 300]
    assert (s.rate, s.fair_rate) == (12, 30)
    assert {t.name: t.number for t in SHOP.tools}["clamps"] == 10
    assert {t.name: t.number for t in SHOP.tools}["press"] == 1


def test_shelf_covers_what_r1_uses() -> None:
    """Need, pack and stock of each consumable, computed here by hand: amount x times x rate, or / coverage, + waste."""
    per = {"g": Fraction(1), "l": Fraction(1000), "m": Fraction(1), "": Fraction(1)}
    shelf = {c.name: c for c in SHOP.shelf}
    cost = {}
    for u in R1.consumables:
        need = sum(
            Fraction(t.amount) * t.times * Fraction(t.rate or 1) / Fraction(t.coverage or 1) for t in u.terms
        ) * (1 + Fraction(u.waste_percent or 0) / 100)
        item = shelf[u.consumable]
        need = need * per[u.unit] / Fraction(item.density or 1)
        assert item.pack is not None
        cost[u.consumable] = (
            round(float(need), 3),
            float(round(Fraction(item.pack.price) * need / Fraction(item.pack.size), 2)),
        )
        assert (need <= item.stock) == (u.price is not None and u.price.high == 0), u.consumable
    assert cost == {
        "PVA glue": (171.11, 3.25),
        "wipe-on varnish": (135.34, 5.95),
        "stain": (29.001, 1.62),
        "shellac sealer": (25.668, 0.92),
        "edge band": (1.745, 1.92),
        "abrasive sheet": (3.0, 3.60),
    }


def test_documents_are_plain_data() -> None:
    """No number with a fraction stands bare in a document, because a reader may take it for a float."""
    for code in DEMO:
        json.loads(template_bytes(f"demo/{code}.json"), parse_float=pytest.fail)
