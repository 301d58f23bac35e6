"""G1, C1, L1 and the shop of the demo book: their raw figures, counted from the records alone."""

from __future__ import annotations

import json
from collections import Counter
from decimal import Decimal
from fractions import Fraction

import pytest

from logbook.model.templates import DEMO, template_bytes
from logbook.model.words import (
    Disposition,
    SetKind,
    Source,
    Supply,
)
from logbook.reassembly import Totals, ledger
from tests.builders import codes, day
from tests.example_records import C1, G1, L1, R1, SHOP, bags, must, taken_off


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
    assert ledger(C1).total.refit == 34 + 22
    assert ledger(C1).pieces == Totals(holes=9, found=9, reuse=9, refit=9), "eight stop blocks and the shim of D2"


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
    assert s.rate == 12
    assert s.fair_rate == 30
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
