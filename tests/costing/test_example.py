"""The table radio R1 to the cent. The figures were worked by hand from its prices, sizes and hours."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from logbook.costing import (
    BillGroup,
    StopState,
    bill_of_materials,
    cash_to_come,
    cents,
    comparison,
    consumption,
    cost_views,
    fastener_uses,
    hours,
    own_material,
)
from logbook.model.document import read_document
from tests.costing.radio import the_radio, the_shop

RADIO, SHOP = the_radio(), the_shop()


@pytest.mark.parametrize(
    ("name", "need", "packs", "used_up", "from_stock"),
    [
        ("PVA", "171.11", 0, "3.25", "3.25"),
        ("varnish", "135.32", 1, "5.95", "0.00"),
        ("stain", "29.00", 0, "1.62", "1.62"),
        ("shellac", "25.67", 0, "0.92", "0.92"),
        ("edge band", "1.7446", 1, "1.92", "0.00"),
        ("abrasive sheet", "3", 1, "3.60", "0.00"),
    ],
)
def test_consumables(name: str, need: str, packs: int, used_up: str, from_stock: str) -> None:
    found = next(n for n in consumption(RADIO, SHOP) if n.consumable == name)
    places = -Decimal(need).as_tuple().exponent
    assert round(found.need, places) == Fraction(need)
    assert (found.packs, str(found.used_up), str(found.from_stock)) == (packs, used_up, from_stock)
    assert found.from_stock + found.from_packs == found.used_up


def test_pva_is_188_grams() -> None:
    glue = consumption(RADIO, SHOP)[0]
    assert glue.stated == Fraction("188.2205")
    assert glue.need == glue.stated / Fraction("1.1")


def test_varnish_takes_54_percent_of_its_pack() -> None:
    varnish = consumption(RADIO, SHOP)[1]
    assert round(varnish.share * 100) == 54


def test_cash_to_come() -> None:
    cash = cash_to_come(RADIO, SHOP)
    assert (str(cash.low), str(cash.likely), str(cash.high)) == ("58.25", "74.30", "156.00")
    assert cash.expected == (Fraction("58.25") + 4 * Fraction("74.30") + 156) / 6
    assert (str(cash.expected_shown), str(cash.contingency_shown)) == ("85.24", "10.94")
    assert (cash.unpriced, cash.not_counted) == ((), ())
    assert len(cash.lines) == 11


def test_three_views_of_the_cost() -> None:
    views = cost_views(RADIO, SHOP)
    assert {
        "to pay": str(views.to_pay),
        "used up of what is bought": str(views.used_up_bought),
        "stock used": str(views.stock_used),
        "used up": str(views.used_up),
        "own material": str(views.own_material),
        "with own material": str(views.with_own_material),
        "already spent": str(views.already_spent),
    } == {
        "to pay": "74.30",
        "used up of what is bought": "60.52",
        "stock used": "5.79",
        "used up": "66.31",
        "own material": "24.97",
        "with own material": "91.28",
        "already spent": "13.50",
    }
    assert views.unpriced == ()


def test_own_material_at_replacement() -> None:
    own = own_material(RADIO, SHOP)
    assert [(x.material.name, str(x.material.quantity), str(x.replacement)) for x in own.lines] == [
        ("12 ply 11.8", "0.3650", "10.22"),
        ("9 ply 8.8", "0.1284", "2.82"),
        ("dark veneer 0.6", "0.4179", "7.52"),
        ("backer 0.6", "0.4179", "2.51"),
        ("softwood strip 12x12", "1.580", "1.90"),
    ]
    assert (str(own.at_zero), str(own.replacement)) == ("0.00", "24.97")
    ply = own.lines[0].material
    assert (str(ply.on_pile), ply.enough) == ("0.4960", True), "the piece of 12.2 does not count for 11.8"


def test_hours_to_come() -> None:
    work = hours(RADIO, SHOP)
    assert (work.low, work.likely, work.high) == (870, 1221, 2172), "14.5, 20.35 and 36.2 hours"
    assert work.expected_hours == Fraction("132.1") / 6
    assert cents(work.expected_hours) == Decimal("22.02")
    assert work.worked == 270


def test_decision_rows() -> None:
    table = comparison(RADIO, SHOP)
    assert table.rates == (0, 12, 30)
    rows = {r.option: [str(cents(a)) for a in r.at_rates] for r in table.rows}
    assert rows == {
        "rebuild": ["85.24", "349.44", "745.74"],
        "buy new": ["141.40"] * 3,
        "buy used, restored": ["205.00"] * 3,
        "buy used, as is": ["80.00"] * 3,
        "stop, sell the parts": ["-38.25"] * 3,
    }
    rebuild = table.rows[0]
    assert (str(rebuild.low), str(rebuild.high)) == ("58.25", "156.00")
    assert table.rows[3].risk == "repair risk"
    assert table.already_spent == Decimal("13.50")


@pytest.mark.parametrize(
    ("code", "gap", "rate", "at_own_rate", "with_parts", "rate_with_parts"),
    [
        ("NEW", "56.16", "2.55", "4.68", "17.91", "0.81"),
        ("RES", "119.76", "5.44", "9.98", "81.51", "3.70"),
        ("ASIS", "-5.24", None, None, "-43.49", None),
    ],
)
def test_break_evens(
    code: str, gap: str, rate: str | None, at_own_rate: str | None, with_parts: str, rate_with_parts: str | None
) -> None:
    found = next(b for b in comparison(RADIO, SHOP).break_evens if b.code == code)

    def shown(value: Fraction | None) -> str | None:
        return None if value is None else str(cents(value))

    assert [shown(x) for x in (found.gap, found.rate, found.hours, found.gap_with_parts, found.rate_with_parts)] == [
        gap,
        rate,
        at_own_rate,
        with_parts,
        rate_with_parts,
    ]


def test_the_high_case_passes_the_new_price_because_of_one_part() -> None:
    against_new = comparison(RADIO, SHOP).break_evens[0]
    assert against_new.high_can_pass
    assert against_new.because_of == ("output transformer",)


def test_resale_per_hour() -> None:
    (resale,) = comparison(RADIO, SHOP).resales
    assert (resale.net, cents(resale.left), cents(resale.per_hour)) == (
        Decimal("132.00"),
        Decimal("46.76"),
        Decimal("2.12"),
    )


def test_stop_line_and_the_test_that_comes_first() -> None:
    table = comparison(RADIO, SHOP)
    assert table.stop.state is StopState.HIGH_OVER
    assert table.stop.high_over == Decimal("56.00")
    assert table.stop.because_of == ("output transformer", "valve", "shipping")
    assert table.next_test.what == "test the output transformer"


def test_new_fasteners_are_27() -> None:
    assert sum(u.count for u in fastener_uses(RADIO)) == 27


def test_bill_names_each_thing_once() -> None:
    bill = bill_of_materials(RADIO, SHOP)
    fasteners = [(x.name, int(x.quantity), x.here, x.used_in) for x in bill.of(BillGroup.FASTENER)]
    assert fasteners == [
        ("rh wood screw 3.5x16", 1, True, ("T02",)),
        ("wax plug", 4, True, ("T05",)),
        ("chassis bushes, set of 8", 8, False, ("T11",)),
        ("felt strip", 2, True, ("T15",)),
        ("rh wood screw 3.5x20", 8, True, ("T16",)),
        ("rubber feet", 4, False, ("T18",)),
    ]
    assert bill.of(BillGroup.COMPONENT) == (), "the capacitor set is their line"
    assert [x.code for x in bill.of(BillGroup.PART)] == ["N3", "N4", "N5", "N6", "N7"]
    names = [x.name for x in bill.lines]
    assert len(names) == len(set(names))
    assert {x.name for x in bill.to_get} == {
        "varnish", "edge band", "abrasive sheet", "chassis bushes, set of 8", "rubber feet", "grille cloth",
        "mains cord and entry bush", "capacitor set", "output transformer", "valve", "shipping",
    }  # fmt: skip


def test_the_radio_of_the_demo_book_gives_the_same_figures() -> None:
    folder = Path(__file__).parents[2] / "templates" / "demo"
    radio = read_document((folder / "R1.json").read_bytes()).unit
    demo_shop = read_document((folder / "shop.json").read_bytes()).shop
    views, table = cost_views(radio, demo_shop, date(2026, 3, 17)), comparison(radio, demo_shop, date(2026, 3, 17))
    assert [str(x) for x in (views.to_pay, views.used_up, views.with_own_material)] == ["74.30", "66.31", "91.28"]
    assert [str(cents(b.gap)) for b in table.break_evens] == ["56.16", "119.76", "-5.24"]
    assert (table.cash.unpriced, table.cash.not_counted, views.unpriced) == ((), (), ())
