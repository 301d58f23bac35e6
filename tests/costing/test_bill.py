"""The bill of materials: one line for each thing, its quantity computed, its price known or unknown."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.costing import BillGroup, BillLine, bill_of_materials, fastener_uses
from logbook.model.casework_records import Case
from logbook.model.shop import Shop
from logbook.model.step import MemberDifference
from logbook.model.unit import Unit
from logbook.model.words import Disposition, Source, Supply, Then
from logbook.model.work import CostLine
from logbook.render.bill_document import bom_text
from logbook.tui.look.inks import text_of
from logbook.tui.screens.bill_rows import bill_cells
from tests.builders import (
    at,
    component,
    consumable,
    day,
    estimate,
    fastener,
    handed_pair,
    mm,
    new_fasteners,
    offcut,
    part,
    part_set,
    renewed,
    scrapped,
    screws,
    shop,
    step,
    unit,
    use,
)
from tests.costing.radio import panel, size, strip


def lines(of_unit: Unit, group: BillGroup, of_shop: Shop | None = None) -> tuple[BillLine, ...]:
    return bill_of_materials(of_unit, of_shop or shop()).of(group)


def fastener_lines(of_unit: Unit, **more) -> list[tuple[str, int, bool]]:
    return [(x.name, int(x.quantity), x.here) for x in lines(of_unit, BillGroup.FASTENER, shop(**more))]


@pytest.mark.parametrize(
    ("of_step", "wanted"),
    [
        (screws(6, 6), []),
        (screws(6, 5), [1]),
        (screws(6, 4, stays_empty=True), []),
        (screws(4, 6), []),
        (renewed("bush", 8), [8]),
        (renewed("bush", 8, 6), [8]),
        (renewed("bush", 8, 6, stays_empty=True), [6]),
        (scrapped("pin", 8, 5), []),
    ],
)
def test_new_fasteners_of_one_step(of_step, wanted: list[int]) -> None:
    assert [u.count for u in fastener_uses(unit(step(fasteners=[of_step])))] == wanted


def test_one_line_for_a_kind_over_all_steps() -> None:
    of_unit = unit(
        step("T01", fasteners=[screws(6, 5), renewed("rh wood screw 3.5x16", 2)]),
        step("T02", fasteners=[screws(4, 3, kind="RH wood  screw 3.5x16", renewed_here=True)]),
        step("T03", refit={"new_fasteners": (new_fasteners("rh wood screw 3.5x16", 8, why="screwed now"),)}),
    )
    (line,) = lines(of_unit, BillGroup.FASTENER)
    assert (line.quantity, line.here, line.source, line.price) == (12, False, Source.BUY, None)
    assert line.used_in == ("T01", "T02", "T03")
    assert line.how == (
        "1 rh wood screw 3.5x16 missing on arrival at T01 + 2 rh wood screw 3.5x16 renewed at T01 + "
        "1 RH wood  screw 3.5x16 missing on arrival at T02 + 8 rh wood screw 3.5x16 screwed now at T03; 1 lie ready"
    )


@pytest.mark.parametrize(("stock", "here"), [(7, False), (8, True)])
def test_a_jar_on_the_shelf_makes_them_here(stock: int, here: bool) -> None:
    of_unit = unit(step(fasteners=[renewed("felt pad", 8)]))
    assert fastener_lines(of_unit, shelf=[consumable("Felt pad", stock)]) == [("felt pad", 8, here)]


def test_a_consumable_that_is_the_fastener_is_not_a_second_line() -> None:
    of_unit = unit(step(fasteners=[renewed("felt pad", 8)]), consumables=[use("felt pad", 8, price=estimate("2.40"))])
    bill = bill_of_materials(of_unit, shop())
    (line,) = bill.lines
    assert (line.group, line.code, line.quantity, line.price) == (BillGroup.FASTENER, "U1", 8, estimate("2.40"))


def test_a_part_that_renews_a_kind_is_its_line() -> None:
    bushes = part(
        "N1", "bushes, set of 8", 8, fastener="rubber bush", for_steps=["T11"], price=estimate("6", "8", "12")
    )
    (line,) = bill_of_materials(unit(step("T11", fasteners=[renewed("rubber bush", 8)]), parts=[bushes]), shop()).lines
    assert (line.group, line.code, line.quantity, line.here, line.price) == (
        BillGroup.FASTENER,
        "N1",
        8,
        False,
        bushes.price,
    )
    assert line.how == "8 rubber bush renewed at T11; N1: 8 as listed"
    arrived = bushes.model_copy(update={"supply": Supply.HERE})
    (line,) = bill_of_materials(unit(step("T11", fasteners=[renewed("rubber bush", 8)]), parts=[arrived]), shop()).lines
    assert line.here


def test_two_parts_of_one_kind_divide_its_steps() -> None:
    of_unit = unit(
        step("T01", fasteners=[renewed("foot", 4)]),
        step("T02", fasteners=[renewed("foot", 2)]),
        step("T03", fasteners=[renewed("foot", 1)]),
        parts=[
            part("N1", "feet, tall", fastener="foot", for_steps=["T02"]),
            part("N2", "feet", fastener="foot", for_steps=["T01"]),
        ],
    )
    found = [(x.code, int(x.quantity), x.used_in) for x in lines(of_unit, BillGroup.FASTENER)]
    assert found == [("N1", 2, ("T02",)), ("N2", 4, ("T01",)), ("", 1, ("T03",))], "no part is for those at T03"


def test_a_part_for_a_kind_that_no_step_renews_stays_a_part() -> None:
    of_unit = unit(step(fasteners=[screws()]), parts=[part("N1", "bushes", fastener="rubber bush")])
    assert [x.group for x in bill_of_materials(of_unit, shop()).lines] == [BillGroup.PART]


def test_members_of_a_set_count_each_with_their_differences() -> None:
    of_step = step(
        "C04",
        fasteners=[renewed("runner screw", 4)],
        each_of="D",
        differences=[
            MemberDifference(
                member="D2", fasteners=(renewed("runner screw", 3), fastener("shim 0.8", then=Then.RENEW))
            ),
            MemberDifference(member="D3", bag="7"),
        ],
        refit={"new_fasteners": (new_fasteners("nail 25", 3),)},
    )
    of_unit = unit(of_step, sets=[part_set("D", 4)])
    assert fastener_lines(of_unit) == [("runner screw", 15, False), ("shim 0.8", 1, False), ("nail 25", 12, False)]


def test_a_handed_pair_counts_twice() -> None:
    assert fastener_lines(unit(step(fasteners=[renewed("blotter", 2)], each_of="LR"), sets=[handed_pair()])) == [
        ("blotter", 4, False)
    ]


def test_components() -> None:
    of_unit = unit(
        components=[
            component("CA", "capacitor", disposition=Disposition.RENEW, quantity=3, price_to_replace=estimate("2")),
            component("CB", "back panel", disposition=Disposition.REPAIR, from_step="T02"),
            component("CC", "speaker", disposition=Disposition.KEEP),
            component("CD", "cord", disposition=Disposition.RENEW),
        ],
        parts=[part("N1", "cord", for_components=["CD"])],
    )
    found = [(x.code, x.quantity, x.here, x.price) for x in lines(of_unit, BillGroup.COMPONENT)]
    assert found == [("CA", 3, False, estimate("2")), ("CB", 1, True, None)]
    assert [x.used_in for x in lines(of_unit, BillGroup.PART)] == [("CD",)]


def a_case(**more) -> Case:
    return Case(panels=(panel("P1", "500x200"), panel("P2", "250x200")), **more)


@pytest.mark.parametrize(
    ("pieces", "here"),
    [
        ([offcut("O01", "1000x150")], True),
        ([offcut("O01", "999x150")], False),
        ([offcut("O01", "1000x150", "12.2")], False),
        ([offcut("O01", "1000x150", "")], False),
        ([offcut("O01", "1000x150", material="12 MDF")], False),
        ([offcut("O01", "1000x150", reserved_for="C1 runners")], False),
        ([offcut("O01", "1000x150", reserved_for="R1, case")], True),
        ([offcut("O01", "2000x150", usable_length=mm("900"))], False),
        ([offcut("O01", "600x150"), offcut("O02", "400x150")], True),
    ],
)
def test_panels_come_from_the_pile_when_it_has_enough(pieces: list, here: bool) -> None:
    (line,) = lines(unit(case=a_case()), BillGroup.PANEL, shop(offcuts=pieces))
    assert (str(line.quantity), line.unit, line.here) == ("0.1500", "m2", here)
    assert (line.source, None if line.price is None else line.price.likely) == (
        (Source.PILE, 0) if here else (Source.BUY, None)
    )


def test_a_tolerance_lets_another_thickness_count() -> None:
    of_shop = shop(offcuts=[offcut("O01", "1000x150", "12.0")], settings={"thickness_tolerance": mm("0.2")})
    assert lines(unit(case=a_case()), BillGroup.PANEL, of_shop)[0].here


def test_panels_are_grouped_by_material_and_measured_thickness() -> None:
    case = Case(
        panels=(
            panel("P1", "500x200").model_copy(update={"quantity": 2}),
            panel("P2", "100x100", core=("12 ply", "12.2")),
            panel("P3", "100x100", core=("9 ply", "8.8")),
            panel("P4", "100x50", core=("12  PLY", "11.8")),
        )
    )
    found = [(x.name, str(x.quantity), x.used_in) for x in lines(unit(case=case), BillGroup.PANEL)]
    assert found == [
        ("12 ply 11.8", "0.2050", ("P1", "P4")),
        ("12 ply 12.2", "0.0100", ("P2",)),
        ("9 ply 8.8", "0.0100", ("P3",)),
    ]


def test_a_panel_without_rough_size_uses_the_cut_size_and_says_so() -> None:
    known = panel("P1", "500x200").model_copy(update={"rough": None, "cut": size("490x190"), "finish": size("480x180")})
    (line,) = lines(unit(case=Case(panels=(known,))), BillGroup.PANEL)
    assert str(line.quantity) == "0.0931"
    assert "P1 490 × 190 (cut size)" in line.how


def test_a_panel_without_any_size_is_unknown_and_not_here() -> None:
    bare = panel("P1", "500x200").model_copy(update={"rough": None})
    pile = shop(offcuts=[offcut("O01", "2000x1000")])
    (line,) = lines(unit(case=Case(panels=(bare,))), BillGroup.PANEL, pile)
    assert (line.quantity, line.here, line.price) == (None, False, None)
    (both,) = lines(unit(case=Case(panels=(bare, panel("P2", "500x200")))), BillGroup.PANEL, pile)
    assert (str(both.quantity), both.here) == ("0.1000", False)
    assert "P1 has no size yet" in both.how


def test_a_leaf_that_is_also_a_layer_is_counted_once() -> None:
    veneered = panel("P1", "500x200", veneer="512x212")
    layers = (
        *veneered.layers,
        *(type(veneered.layers[0])(material=m, thickness=mm("0.6")) for m in ("dark veneer", "backer")),
    )
    of_unit = unit(case=Case(panels=(veneered.model_copy(update={"layers": layers}),)))
    assert [x.name for x in lines(of_unit, BillGroup.PANEL)] == ["12 ply 11.8"]
    assert [(x.name, str(x.quantity)) for x in lines(of_unit, BillGroup.LEAF)] == [
        ("dark veneer 0.6", "0.1085"),
        ("backer 0.6", "0.1085"),
    ]


def test_leaves_count_for_each_panel() -> None:
    two = panel("P2", "500x200", veneer="512x212").model_copy(update={"quantity": 2})
    (line, _) = lines(unit(case=Case(panels=(two,))), BillGroup.LEAF)
    assert str(line.quantity) == "0.2171"


def test_strips_by_length() -> None:
    (line,) = lines(unit(case=Case(strips=(strip("S1", 2, "276"), strip("K1", 6, "40")))), BillGroup.STRIP)
    assert (str(line.quantity), line.unit, line.used_in) == ("0.792", "m", ("S1", "K1"))


def test_newly_made_parts_say_their_material_and_machine_time() -> None:
    knob = part("M1", "knob", 2, source="newly made", made_from="resin", mass_g=Decimal("12.5"), machine=90)
    done = part("M2", "foot", 4, source="newly made", machine=30, supply="here")
    bill = bill_of_materials(unit(parts=[knob, done]), shop())
    assert bill.machine_minutes == 180
    assert [(x.code, x.here, x.how) for x in bill.of(BillGroup.MADE)] == [
        (
            "M1",
            False,
            "2 as listed, made from resin, 12.5 g each, 90 machine minutes each; "
            "material not known, machine 3:00 h not counted (no rate for an hour)",
        ),
        ("M2", True, "4 as listed, 30 machine minutes each"),
    ]


def test_a_part_made_from_sheet_takes_it_from_the_pile() -> None:
    shelf_board = part("M1", "shelf", "0.15", source="newly made", unit="m2", made_from="12 ply")
    pile = shop(offcuts=[offcut("O01", "1000x200", "11.8")])
    (line,) = lines(unit(parts=[shelf_board]), BillGroup.PANEL, pile)
    assert (line.name, str(line.quantity), line.here, line.used_in) == ("12 ply", "0.1500", True, ("M1",))


def test_conditional_parts_and_other_costs() -> None:
    of_unit = unit(
        parts=[
            part(
                "N6",
                "transformer",
                only_if="only if open",
                price=estimate("0", "0", "38"),
                price_on=day("2026-03-01"),
                seller="parts counter",
                pack="one",
            )
        ],
        cost_lines=[CostLine(code="S", name="shipping")],
    )
    found = [(x.conditional, x.price_on, x.seller, x.pack) for x in lines(of_unit, BillGroup.PART)]
    assert found == [("only if open", day("2026-03-01"), "parts counter", "one")]
    others = [(x.name, x.price) for x in lines(of_unit, BillGroup.OTHER)]
    assert others == [("shipping", None), ("shipping, parts counter", None)], "nobody said what a parcel costs"


def test_groups_stand_in_order_and_an_empty_unit_has_no_lines() -> None:
    of_unit = unit(
        step(fasteners=[renewed("bush")]),
        components=[component("CA", "capacitor", disposition=Disposition.RENEW)],
        parts=[part("M1", "knob", source="newly made"), part("N1")],
        case=a_case(strips=(strip("S1", 1, "10"),)),
        consumables=[use()],
        cost_lines=[CostLine(code="S", name="shipping")],
    )
    groups = [x.group for x in bill_of_materials(of_unit, shop()).lines]
    assert groups == [g for g in BillGroup if g is not BillGroup.LEAF]
    assert bill_of_materials(unit(), shop()).lines == ()


kinds = st.sampled_from(["bush", "foot", "pin"])
fasteners = st.builds(
    fastener,
    kinds,
    st.integers(0, 9),
    st.integers(0, 9),
    st.sampled_from(list(Then)),
    renewed_here=st.booleans(),
    stays_empty=st.booleans(),
)
some_parts = st.lists(
    st.tuples(kinds, st.lists(st.sampled_from(["T01", "T02", "T03"]), max_size=2, unique=True)), max_size=4
)


@given(st.lists(st.lists(fasteners, max_size=4), max_size=3), some_parts)
def test_every_new_fastener_is_on_exactly_one_line(of_steps: list, of_parts: list) -> None:
    of_unit = unit(
        *(step(f"T{i:02d}", fasteners=f) for i, f in enumerate(of_steps, start=1)),
        parts=[part(f"N{i}", f"part {i}", 77, fastener=k, for_steps=s) for i, (k, s) in enumerate(of_parts)],
    )
    uses = list(fastener_uses(of_unit))
    wanted = sum(u.count for u in uses)
    renewing = {u.kind for u in uses}
    counted = sum(x.quantity for x in lines(of_unit, BillGroup.FASTENER) if x.how.find(" at T") >= 0)
    assert counted == wanted
    shown = [x.code for x in bill_of_materials(of_unit, shop()).lines if x.code]
    assert sorted(shown) == sorted(p.code for p in of_unit.parts), "no part is lost and none stands twice"
    assert {x.name for x in lines(of_unit, BillGroup.FASTENER) if not x.code} <= renewing


def test_what_is_here_and_still_to_repair_has_no_ticked_box() -> None:
    drawers = component("DR", "drawers", quantity=4, disposition=Disposition.REPAIR)
    open_ = unit(components=(drawers,))
    done = unit(components=(drawers.model_copy(update={"repaired": True}),))
    lines = [bill_of_materials(of, Shop()).lines[0] for of in (open_, done)]
    assert [(x.here, x.is_ready, x.how) for x in lines] == [(True, False, "4 to repair"), (True, True, "4 repaired")]
    assert [text_of(bill_cells(x)[0]) for x in lines] == ["[ ]", "[x]"]
    texts = [bom_text(of, Shop(), bill_of_materials(of, Shop()), at("2026-03-17 19:00")) for of in (open_, done)]
    assert ["[x]" in text for text in texts] == [False, True]
