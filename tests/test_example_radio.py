"""R1, the table radio of the demo book: its raw figures, counted from the record alone."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from fractions import Fraction
from typing import Any

import networkx as nx

from logbook.model.words import (
    ComparatorKind,
    Disposition,
    OrderBasis,
    RelationKind,
    Supply,
    Then,
)
from tests.builders import codes
from tests.example_records import C1, R1, SHOP, bags, built_up, must, taken_off


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
    after: nx.DiGraph[str] = nx.transitive_closure_dag(
        nx.DiGraph([(e, later) for later, es in must(R1).items() for e in es])
    )

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
    lines = {part.name: part.price for part in R1.parts} | {line.name: line.price for line in R1.cost_lines}
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
    sizes: dict[str, object] = {
        c: (h.value.mm, h.plus and h.plus.mm, h.minus and h.minus.mm) for c, h in held.items() if h.value
    }
    half = Decimal("0.5")
    assert sizes == {
        "H-W": (452, half, half),
        "H-H": (276, half, half),
        "H-D": (210, 1, 0),
        "H-P": (12, None, None),
        "H-V": (30, None, None),
    }
    assert [f"{p.x.mm} {p.y.mm}" for p in held["H-S"].positions] == ["78 48", "164 48", "288 48", "374 48"]
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
    thick = {c: sum(mm for _, mm in built_up(p)) for c, p in panels.items()}
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
    side = sum(mm for _, mm in built_up(panels["P2"]))
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
    assert {s.piece: s.quantity * s.length.mm for s in C1.case.strips} == {"O12": 600}
    openings = next(p for p in R1.case.panels if p.code == "P5").openings
    placed = [
        (f"{o.centre.x.mm} {o.centre.y.mm}", str(o.diameter.mm) if o.diameter else "{} x {}".format(*size(o.size)))
        for o in openings
    ]
    assert placed == [
        ("130 165", "165"),
        ("335 165", "180 x 70"),
        *((f"{x} 48", "10") for x in (78, 164, 288, 374)),
    ]


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
