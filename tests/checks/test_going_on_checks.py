"""Checks of what is still to come: parts, shelf life, prices, the stop line, waiting."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

import pytest

from logbook.checks import Severity, check_book, check_unit
from logbook.model.shop import Shop
from logbook.model.unit import Arrival, Unit
from logbook.model.words import ComparatorKind, Stage, WorkState
from logbook.model.work import Comparator, CostLine, MakeOrBreak, SaleLine, StopLine, Waiting
from tests.builders import (
    at,
    book,
    consumable,
    day,
    estimate,
    new_fasteners,
    operation,
    part,
    part_set,
    renewed,
    screws,
    shop,
    step,
    unit,
    use,
)

NOW: datetime = at("2026-03-17 20:00")
LINE = (StopLine(amount=Decimal(100)),)


def found(of: Unit, check: int, of_shop: Shop | None = None) -> list[tuple[str, str]]:
    return [(p.code, p.place) for p in check_unit(of, of_shop or shop(), NOW) if p.check == check]


def sentences(of: Unit, check: int) -> list[str]:
    return [p.sentence for p in check_unit(of, shop(), NOW) if p.check == check]


# Check 8 ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("of_step", "parts", "missing"),
    [
        ({"fasteners": [renewed("bush", 8)]}, [], "8 bush (renewed)"),
        ({"fasteners": [renewed("bush", 8, renewed_here=True)]}, [], ""),
        ({"fasteners": [renewed("bush", 8)]}, [part(fastener="bush", supply="here")], ""),
        ({"fasteners": [renewed("bush", 8)]}, [part(fastener="Bush", supply="here", for_steps=["T11"])], ""),
        (
            {"fasteners": [renewed("bush", 8)]},
            [part(fastener="bush", supply="here", for_steps=["T12"])],
            "8 bush (renewed)",
        ),
        ({"fasteners": [renewed("bush", 8)]}, [part(fastener="bush", supply="ordered")], "mains cord (ordered)"),
        ({"fasteners": [screws(6, 5)]}, [], "1 rh wood screw 3.5x16 (missing on arrival)"),
        ({"fasteners": [screws(6, 5, stays_empty=True)]}, [], ""),
        ({"refit": {"new_fasteners": (new_fasteners("screw", 8),)}}, [], "8 screw (not there before)"),
        ({"refit": {"new_fasteners": (new_fasteners("screw", 8, here=True),)}}, [], ""),
        ({}, [part("N1", "new cord", for_steps=["T11"])], "new cord (needed)"),
        ({}, [part("N1", "new cord", for_steps=["T11"], supply="here")], ""),
        ({}, [part("N1", "new cord", for_steps=["T11"], only_if="only if open")], ""),
        ({}, [part("N1", "new cord", for_steps=["T12"])], ""),
    ],
)
def test_what_a_step_waits_for(of_step: dict, parts: list, missing: str) -> None:
    of = unit(step("T11", "bolts", **of_step), step("T12", "chassis"), parts=parts)
    said = [s for s in sentences(of, 8) if s.startswith("T11")]
    assert said == ([f"T11 bolts cannot go back yet; not here: {missing}."] if missing else [])


def test_what_a_set_waits_for_counts_every_member() -> None:
    of_step = step("C03", each_of="D", refit={"new_fasteners": (new_fasteners("nail 25", 3),)})
    assert "12 nail 25 (not there before)" in sentences(unit(of_step, sets=[part_set("D", 4)]), 8)[0]


def test_what_is_not_here_is_information() -> None:
    problems = check_unit(unit(step(fasteners=[renewed("bush")])), shop(), NOW)
    assert [p.severity for p in problems] == [Severity.NOTE]


# Checks 17 and 18 ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("opened", "months", "stock", "past"),
    [
        ("2025-09-16", 6, "80", True),
        ("2025-09-17", 6, "80", False),
        ("2025-09-16", None, "80", False),
        ("2025-09-16", 6, "0", False),
    ],
)
def test_stock_past_its_shelf_life(opened: str, months: int | None, stock: str, past: bool) -> None:
    tin = consumable("varnish", stock, unit="ml", opened_on=day(opened), keeps_months=months)
    of_shop = shop(shelf=[tin])
    assert bool(found(unit(consumables=[use("Varnish", 10, "ml")], stop_lines=LINE), 17, of_shop)) is past
    assert found(unit(consumables=[use("stain", 10, "ml")], stop_lines=LINE), 17, of_shop) == []
    assert [p.code for p in check_book(book(of_shop=of_shop), NOW)] == (["shelf-past-shelf-life"] if past else [])


OLD, FRESH, EDGE = day("2025-09-16"), day("2026-03-01"), day("2025-09-17")


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({}, "unpriced"),
        ({"supply": "here"}, None),
        ({"source": "salvaged"}, None),
        ({"source": "newly made"}, "unpriced"),
        ({"source": "newly made", "made_from": "ash"}, None),
        ({"price": estimate("5"), "price_on": FRESH}, None),
        ({"price": estimate("5"), "price_on": EDGE}, None),
        ({"price": estimate("5"), "price_on": OLD}, "price-old"),
        ({"price": estimate("5")}, "price-old"),
        ({"price": estimate("0")}, None),
        ({"price": estimate("5"), "price_on": OLD, "supply": "here"}, None),
    ],
)
def test_prices_of_parts(more: dict, code: str | None) -> None:
    assert [c for c, _ in found(unit(parts=[part(**more)]), 18)] == ([code] if code else [])


def test_a_price_without_date_weighs_less_than_an_old_one() -> None:
    problems = check_unit(
        unit(parts=[part("N1", price=estimate("5")), part("N2", price=estimate("5"), price_on=OLD)], stop_lines=LINE),
        shop(),
        NOW,
    )
    assert [(p.place, p.severity) for p in problems] == [("N1", Severity.NOTE), ("N2", Severity.LOOK)]


def test_how_old_a_price_may_be_is_a_setting() -> None:
    of = unit(parts=[part(price=estimate("5"), price_on=OLD)])
    assert found(of, 18, shop(settings={"price_old_months": 12})) == []


@pytest.mark.parametrize(
    ("shelf", "codes"),
    [
        ([], ["unpriced"]),
        ([consumable("glue", 0)], ["unpriced"]),
        ([consumable("glue", 1)], []),
        ([consumable("Glue", 0, ("1", "2"))], []),
    ],
)
def test_prices_of_consumables(shelf: list, codes: list[str]) -> None:
    assert [c for c, _ in found(unit(consumables=[use("glue")]), 18, shop(shelf=shelf))] == codes


def test_prices_of_other_costs_and_comparators() -> None:
    sold = Comparator(
        code="P", kind=ComparatorKind.SELL_PARTS, sales=(SaleLine(what="knob", price=Decimal(8)),), price_on=FRESH
    )
    of = unit(
        cost_lines=[CostLine(code="S", name="shipping")],
        comparators=[
            sold,
            Comparator(code="A", kind=ComparatorKind.NEW),
            Comparator(code="B", kind=ComparatorKind.NEW, price=Decimal(9), price_on=OLD),
        ],
    )
    assert found(of, 18) == [("unpriced", "S"), ("comparator-unpriced", "A"), ("price-old", "B")]


def test_old_pack_prices_on_the_shelf() -> None:
    of_shop = shop(shelf=[consumable("glue", 1, ("1", "2"))])
    assert [(p.check, p.unit, p.place) for p in check_book(book(of_shop=of_shop), NOW)] == [(18, "", "glue")]


# Check 19 --------------------------------------------------------------------------------------------


def test_a_stop_line_is_set_before_money_is_spent() -> None:
    assert found(unit(parts=[part()]), 19) == [("no-stop-line", "stop line")]
    assert found(unit(), 19) == []


@pytest.mark.parametrize(
    ("lines", "moved"),
    [
        ([("100", ""), ("120", "")], True),
        ([("100", ""), ("120", "the cloth is worth it")], False),
        ([("100", ""), ("100", "")], False),
        ([("100", ""), ("120", ""), ("130", "said why")], True),
    ],
)
def test_a_stop_line_moves_only_with_a_reason(lines: list[tuple[str, str]], moved: bool) -> None:
    stop_lines = [StopLine(amount=Decimal(a), why=w) for a, w in lines]
    assert (("stop-line-moved", "stop line") in found(unit(stop_lines=stop_lines), 19)) is moved


@pytest.mark.parametrize(
    ("price", "code"),
    [
        (("10", "20", "100"), None),
        (("10", "20", "100.01"), "stop-line-could-pass"),
        (("60", "90", "180"), "stop-line-could-pass"),
        (("60", "90", "180.06"), "stop-line-at-risk"),
        (("60", "100", "250"), "stop-line-at-risk"),
        (("60", "100.01", "250"), "stop-line-passed"),
    ],
)
def test_cash_against_the_stop_line(price: tuple[str, str, str], code: str | None) -> None:
    of = unit(parts=[part(price=estimate(*price), price_on=FRESH)], stop_lines=LINE)
    assert [c for c, _ in found(of, 19)] == ([code] if code else [])


def test_only_what_is_certain_to_be_needed_is_added_up() -> None:
    fifty = estimate("50")
    of = unit(
        parts=[part("N1", price=fifty), part("N2", price=fifty, supply="here"), part("N3")],
        cost_lines=[CostLine(code="S", name="shipping", price=estimate("49"))],
        consumables=[use("glue", price=fifty), use("wax", code="U2", price=estimate("1.50"))],
        stop_lines=LINE,
    )
    in_stock = shop(shelf=[consumable("glue", 1)])
    assert [p.sentence for p in check_unit(of, in_stock, NOW) if p.check == 19] == [
        "Stop line 100.00: likely 100.50 is over by 0.50: stop. 1 thing has no price and can only add to this."
    ]
    without_wax = of.model_copy(update={"consumables": of.consumables[:1]})
    assert found(without_wax, 19, in_stock) == []


@pytest.mark.parametrize(
    ("passed", "state", "code"),
    [
        (None, WorkState.TO_DO, None),
        (None, WorkState.DOING, "test-overtaken"),
        (None, WorkState.DONE, "test-overtaken"),
        (True, WorkState.DONE, None),
        (False, WorkState.TO_DO, "test-failed"),
    ],
)
def test_make_or_break(passed: bool | None, state: WorkState, code: str | None) -> None:
    test = MakeOrBreak(what="output transformer", before="B01", passed=passed, stop_if="open and no donor under 20")
    of = unit(arrival=Arrival(make_or_break=(test,)), operations=[operation("B01", state=state)])
    assert [c for c, _ in found(of, 19)] == ([code] if code else [])


# Check 23 --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("dates", "code", "severity"),
    [
        ({"since": "2026-03-08", "expected": "2026-03-20", "chase": "2026-03-22"}, "waits", Severity.NOTE),
        ({"since": "2026-03-08", "expected": "2026-03-10", "chase": "2026-03-17"}, "chase-due", Severity.LOOK),
        ({"since": "2026-03-08", "expected": "2026-03-16", "chase": "2026-03-22"}, "overdue", Severity.LOOK),
        ({"since": "2026-03-08", "expected": "2026-03-17"}, "waits", Severity.NOTE),
        ({"since": "2026-03-08"}, "no-chase-date", Severity.LOOK),
        ({}, "no-chase-date", Severity.LOOK),
        ({"chase": "2026-03-18"}, "waits", Severity.NOTE),
    ],
)
def test_waiting(dates: dict[str, str], code: str, severity: Severity) -> None:
    days = {k: day(v) for k, v in dates.items()}
    waiting = unit(waiting=[Waiting(what="2 bearings", **days)])
    ordered = unit(
        parts=[
            part(
                name="2 bearings",
                supply="ordered",
                **{f"{'ordered' if k == 'since' else k}_on": v for k, v in days.items()},
            )
        ]
    )
    for of in (waiting, ordered):
        (problem,) = [p for p in check_unit(of, shop(), NOW) if p.check == 23]
        assert (problem.code, problem.severity) == (code, severity)
        assert ("since 8 Mar 2026, 9 days" in problem.sentence) is ("since" in dates)
    assert found(unit(waiting=[Waiting(what="2 bearings", done=True, **days)]), 23) == []


@pytest.mark.parametrize(
    ("weeks", "more", "problems"),
    [
        (4, {}, []),
        (5, {}, [("untouched", Severity.LOOK)]),
        (5, {"waiting": [Waiting(what="cold", chase=day("2026-04-01"))]}, [("untouched-waiting", Severity.NOTE)]),
        (5, {"waiting": [Waiting(what="cold", done=True)]}, [("untouched", Severity.LOOK)]),
        (5, {"stage": Stage.STOPPED}, []),
        (5, {"stage": Stage.CLOSED}, []),
    ],
)
def test_untouched(weeks: int, more: dict, problems: list) -> None:
    of = unit(touched=NOW - timedelta(weeks=weeks), **more)
    assert [(p.code, p.severity) for p in check_unit(of, shop(), NOW) if p.code.startswith("untouched")] == problems


def test_nothing_is_to_come_for_a_unit_that_ended() -> None:
    fields = {"parts": [part()], "waiting": [Waiting(what="cold")], "touched": at("2020-01-01")}
    assert len(check_unit(unit(**fields), shop(), NOW)) > 2
    assert check_unit(unit(stage=Stage.STOPPED, **fields), shop(), NOW) == ()


def test_a_book_is_checked_unit_by_unit() -> None:
    units = [unit(code=c, parts=[part()], stop_lines=LINE) for c in ("R1", "G1")]
    assert [(p.unit, p.check) for p in check_book(book(*units), NOW)] == [("R1", 18), ("G1", 18)]
