"""The decision in full: rows, chances, conditions, stand-ins, the stop line and its warnings, and what if."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.costing import (
    StopState,
    Trial,
    cash_outlook,
    cash_to_come,
    cents,
    comparison,
    decision,
    hours,
    hours_outlook,
    stop_crossing,
    trial_lines,
    tried,
    with_typed,
)
from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.measures import Estimate
from logbook.model.words import ComparatorKind, Disposition, Supply, WorkState
from logbook.model.work import Comparator, CostLine, MakeOrBreak, StopLine
from logbook.render.costs_document import answer
from logbook.render.weighing import weighed
from tests.builders import day, effort, estimate, operation, part, shop, unit
from tests.costing.radio import comparator, the_radio, the_shop
from tests.example_records import L1, R1, SHOP

RADIO, RADIO_SHOP = the_radio(), the_shop()
NEW = ComparatorKind.NEW


# The worked example


def test_every_row_of_the_decision() -> None:
    rows = {r.option: r for r in decision(RADIO, RADIO_SHOP).rows}
    shown = {name: [str(cents(x)) for x in r.at_rates if x is not None] for name, r in rows.items()}
    assert shown == {
        "rebuild": ["85.24", "349.44", "745.74"],
        "buy new": ["141.40"] * 3,
        "buy used, restored": ["205.00"] * 3,
        "buy used, as is": ["80.00"] * 3,
        "stop, sell the parts": ["-38.25"] * 3,
        "sell the rebuilt": ["-46.76", "217.44", "613.74"],
    }
    rebuild = rows["rebuild"]
    assert (str(rebuild.low), str(rebuild.high), rebuild.hours) == ("58.25", "156.00", Fraction("132.1") / 6)
    assert rows["buy used, as is"].remarks == ("repair risk",)
    assert "gives up parts worth 38.25" in rebuild.remarks
    assert "13.50 is gone either way" in rebuild.remarks
    assert "first test: test the output transformer" in rebuild.remarks


def test_gaps_and_break_evens_of_the_radio() -> None:
    new, restored, as_is = comparison(RADIO, RADIO_SHOP).break_evens
    assert (str(cents(new.gap)), str(cents(new.rate or 0)), str(cents(new.hours or 0))) == ("56.16", "2.55", "4.68")
    assert (str(cents(new.gap_with_parts or 0)), str(cents(new.rate_with_parts or 0))) == ("17.91", "0.81")
    assert (str(cents(restored.gap)), str(cents(restored.rate or 0))) == ("119.76", "5.44")
    assert (str(cents(as_is.gap)), as_is.rate) == ("-5.24", None)


def test_half_of_new_the_owners_value_and_the_hours() -> None:
    found = decision(RADIO.model_copy(update={"owner_value": Decimal(120)}), RADIO_SHOP)
    assert found.half_of_new is not None
    assert found.owner is not None
    assert (found.half_of_new.half, found.half_of_new.above) == (Fraction("70.70"), True)
    assert (found.owner.value, str(cents(found.owner.above_cash))) == (120, "34.76")
    assert found.hours_against_gap.startswith("22.02 hours left at 12 are 264.20, more than the 56.16 saved")
    assert decision(RADIO, RADIO_SHOP).owner is None


def test_the_stated_value_moves_no_other_figure() -> None:
    one = decision(RADIO, RADIO_SHOP)
    other = decision(RADIO.model_copy(update={"owner_value": Decimal(9999)}), RADIO_SHOP)
    assert (one.rows, one.chances, one.compared, one.half_of_new) == (
        other.rows,
        other.chances,
        other.compared,
        other.half_of_new,
    )


def test_chances_of_the_radio_are_those_of_its_transformer() -> None:
    """Without the transformer the sum never passes 118: so 100 is passed about as often as the transformer comes."""
    found = decision(RADIO, RADIO_SHOP)
    assert found.stop_chance == pytest.approx(1 / 6, abs=0.015)
    chances = {c.code: c.above for c in found.chances}
    assert chances["NEW"] < Fraction(1, 100)
    assert chances["RES"] == 0, "the high case 156 is below 205"
    assert 0 < chances["ASIS"] < 1


def test_the_transformer_drives_the_high_case() -> None:
    drivers = decision(RADIO, RADIO_SHOP).cash.drivers
    assert [(d.name, d.up) for d in drivers[:3]] == [
        ("output transformer", 38),
        ("valve", 12),
        ("shipping", Fraction("7.05")),
    ]
    assert sum(d.share for d in drivers) == 1
    assert drivers[0].share > Fraction(4, 5)


def test_l1_was_stopped_because_it_would_cost_more_than_new() -> None:
    """Socket, cord and stem bush 38.00 against 24.90 new."""
    found = decision(L1, SHOP)
    new = found.compared.break_evens[0]
    assert found.compared.cash.likely == Decimal("38.00")
    assert new.price == Decimal("24.90")
    assert new.gap == Fraction("-13.10")
    assert "38.00" in L1.why_stopped
    assert "24.90" in L1.why_stopped


def test_the_demo_record_has_the_same_figures() -> None:
    found = decision(R1, SHOP, day("2026-03-20"))
    assert str(found.compared.cash.expected_shown) == "85.24"
    assert found.ready.words == "~3 weeks", "22.02 h at 19.5 a week, and 9.75 days of waiting on the longest chain"
    assert found.ready.waits == 14040


# Conditions and chances


def conditional(*price: str, chance: str | None = None, only_if: str = "only if open"):
    percent = None if chance is None else Decimal(chance)
    return unit(parts=[part("N1", "transformer", only_if=only_if, price=estimate(*price), chance_percent=percent)])


@pytest.mark.parametrize(
    ("price", "chance", "sums", "expected"),
    [
        (("0", "0", "38"), None, ("0", "0", "38"), Fraction(38, 6)),
        (("0", "0", "38"), "30", ("0", "0", "38"), Fraction("11.4")),
        (("30", "36", "42"), "30", ("0", "0", "42"), Fraction("10.8")),
        (("30", "36", "42"), "50", ("0", "36", "42"), Fraction(18)),
        (("30", "36", "42"), "100", ("30", "36", "42"), Fraction(36)),
        (("30", "36", "42"), "0", ("0", "0", "0"), Fraction(0)),
        (("30", "36", "42"), None, ("30", "36", "42"), Fraction(36)),
        (("0", "10", "20"), None, ("0", "10", "20"), Fraction(10)),
    ],
)
def test_a_condition_counts_with_its_chance(
    price: tuple[str, str, str], chance: str | None, sums: tuple[str, str, str], expected: Fraction
) -> None:
    cash = cash_to_come(conditional(*price, chance=chance), shop())
    assert (cash.low, cash.likely, cash.high) == tuple(Decimal(x) for x in sums)
    assert cash.expected == expected
    assert cash.by_three_sums is (chance is None)


def test_all_or_nothing_is_drawn_as_such() -> None:
    drawn = cash_outlook(cash_to_come(conditional("0", "0", "38"), shop())).distribution
    assert set(drawn.values) == {0.0, 38.0}
    assert drawn.chance_above(Fraction(1)) == pytest.approx(1 / 6, abs=0.015)


def test_what_is_paid_is_spent_and_not_to_come() -> None:
    bought = unit(
        parts=[part("N1", price=estimate("10"), paid=Decimal(12))],
        cost_lines=[CostLine(code="S", name="shipping", price=estimate("5"), paid=Decimal("4.50"))],
    )
    found = decision(bought, shop())
    assert found.compared.cash.lines == ()
    assert found.compared.already_spent == Decimal("16.50")


# What nobody has priced


def test_what_has_no_price_is_counted_and_widens_the_range() -> None:
    priced = [part(f"N{i}", f"part {i}", price=estimate("4", "6", "10")) for i in range(3)]
    known = cash_outlook(cash_to_come(unit(parts=priced), shop()))
    cash = cash_to_come(unit(parts=[*priced, part("N9", "knob")]), shop())
    found = cash_outlook(cash)
    assert cash.unpriced == ("knob",)
    assert cash.high == 30, "the sums leave it out"
    assert found.standing_in == ("knob",)
    assert found.spread.high == known.spread.high + 10
    assert found.spread.low == known.spread.low + 4
    assert found.spread.variance > known.spread.variance
    assert next(d for d in found.drivers if d.stands_in).name == "knob"


def test_few_like_lines_are_not_enough_to_stand_for_one() -> None:
    lines = [CostLine(code=f"S{i}", name=f"cost {i}", price=estimate("1", "2", "50")) for i in range(2)]
    found = cash_outlook(
        cash_to_come(unit(parts=[part("N1", price=estimate("4")), part("N9")], cost_lines=lines), shop())
    )
    stand_in = next(t for t in found.terms if t.stands_in)
    assert (stand_in.point.low, stand_in.point.likely, stand_in.point.high) == (1, 2, 50)


def test_without_any_price_there_is_no_range_and_no_chance() -> None:
    found = decision(unit(parts=[part("N1", "cord")], comparators=[comparator("NEW", NEW, "100")]), shop())
    assert not found.cash.known
    assert found.cash.no_range == ("cord",)
    assert found.chances == ()
    assert found.rows[0].remarks[0] == "1 without a price"


def test_without_any_price_the_answer_names_what_is_missing_and_no_rule_speaks() -> None:
    parts = [part("N1", "cord"), part("N2", "dial"), part("N3", "fuse")]
    found = decision(unit(parts=parts, comparators=[comparator("NEW", NEW, "180")]), shop())
    assert found.half_of_new is None
    assert not any("50 %" in words for words in weighed(found))
    assert answer(found.compared) == (
        "3 things have no price: cord, dial, fuse. Until one has, it cannot be compared with anything in money yet."
    )


def test_with_a_price_missing_the_cash_is_a_lower_limit() -> None:
    parts = [part("N1", "cord"), part("N2", "dial", price=estimate("8"))]
    cheap = decision(unit(parts=parts, comparators=[comparator("NEW", NEW, "180")]), shop())
    dear = decision(unit(parts=parts, comparators=[comparator("NEW", NEW, "10")]), shop())
    assert "at most 172.00 cheaper in cash" in answer(cheap.compared)
    assert any(
        "at least 8.00 is not above half of new, 90.00, as far as it is known: it says nothing yet" in words
        for words in weighed(cheap)
    )
    assert any("at least 8.00 is above half of new, 5.00: replace" in words for words in weighed(dear))


def test_an_operation_without_a_time_widens_the_hours() -> None:
    timed = [operation(f"B{i}", minutes=effort(30, 60, 120)) for i in range(3)]
    found = hours_outlook(hours(unit(operations=[*timed, operation("B9", "glue", None)]), shop()))
    assert found.standing_in == ("B9 glue",)
    assert (found.spread.low, found.spread.high) == (120, 480)


# The stop line


def stopped_at(amount: str, *parts):
    return unit(parts=list(parts), stop_lines=[StopLine(amount=Decimal(amount))])


@pytest.mark.parametrize(
    ("price", "state", "words"),
    [
        (("10", "20", "45"), None, ""),
        (("10", "20", "60"), StopState.HIGH_OVER, "the high case 70.00 now passes it"),
        (("10", "39", "90"), StopState.EXPECTED_OVER, "expected 52.67 now passes it"),
        (("10", "50", "60"), StopState.LIKELY_OVER, "likely 60.00 now passes it: stop, or say why not"),
    ],
)
def test_the_edit_that_passes_the_stop_line_is_named(
    price: tuple[str, str, str], state: StopState | None, words: str
) -> None:
    before = stopped_at("50" if state else "60", part("N1", "feet", price=estimate("10")))
    after = before.model_copy(update={"parts": (*before.parts, part("N2", "cord", price=estimate(*price)))})
    found = stop_crossing(before, after, shop(), shop())
    if state is None:
        assert found is None
        return
    assert found is not None
    assert (found.before, found.after) == (StopState.UNDER, state)
    assert words in found.sentence
    assert found.sentence.startswith("STOP LINE 50.00: ")
    assert len(found.lines) == 1
    assert found.lines[0].startswith("cord (+")


def test_a_line_that_moved_down_did_it_itself() -> None:
    before = stopped_at("50", part("N1", price=estimate("40")))
    lower = StopLine(amount=Decimal(30), why="less in the purse")
    found = stop_crossing(before, before.model_copy(update={"stop_lines": (*before.stop_lines, lower)}), shop(), shop())
    assert found is not None
    assert found.lines == ()
    assert "The line itself was moved." in found.sentence


def test_an_edit_that_makes_nothing_worse_says_nothing() -> None:
    over = stopped_at("50", part("N1", price=estimate("10", "20", "60")))
    cheaper = over.model_copy(update={"parts": (part("N1", price=estimate("10", "20", "55")),)})
    assert stop_crossing(over, cheaper, shop(), shop()) is None
    assert stop_crossing(over, over, shop(), shop()) is None
    assert stop_crossing(unit(), over, shop(), shop()) is None, "before there was no line to pass"


def test_the_first_price_makes_the_line_readable_and_crosses_it_only_when_it_passes_it() -> None:
    unpriced = stopped_at("50", part("N1"))
    cheap = stopped_at("50", part("N1", price=estimate("10")))
    dear = stopped_at("50", part("N1", price=estimate("60")))
    assert stop_crossing(unpriced, cheap, shop(), shop()) is None
    assert stop_crossing(cheap, unpriced, shop(), shop()) is None
    crossed = stop_crossing(unpriced, dear, shop(), shop())
    assert crossed is not None
    assert (crossed.before, crossed.after) == (StopState.UNKNOWN, StopState.LIKELY_OVER)


# What if


def line(key: str, of_unit=RADIO, of_shop=RADIO_SHOP):
    return next(x for x in trial_lines(of_unit, of_shop) if x.key == key)


def expected_of(trial: Trial) -> Fraction:
    return decision(*tried(RADIO, RADIO_SHOP, trial)).compared.cash.expected


@pytest.mark.parametrize(
    ("key", "typed", "difference"),
    [
        ("cash N6", "", Fraction(0)),
        ("cash N6", "38", 38 - Fraction(38, 6)),
        ("cash N6", "50 %", 19 - Fraction(38, 6)),
        ("cash N1", "x2", Fraction("8.6") * Fraction(-3, 4)),
        ("cash N1", "x16", Fraction("8.6")),
        ("cash N1", "x0", -Fraction("8.6")),
        ("cash S", "x2", Fraction("51.8") / 6),
        ("cash U2", "5/5/5", 5 - Fraction(68, 6)),
    ],
)
def test_another_figure_moves_the_expected_cash(key: str, typed: str, difference: Fraction) -> None:
    trial = with_typed(Trial(), line(key), typed)
    assert expected_of(trial) - expected_of(Trial()) == difference


@pytest.mark.parametrize("key", ["cash N6", "cash S", "cash U2", "cash N3"])
def test_a_line_ticked_out_costs_nothing_and_in_again_what_it_did(key: str) -> None:
    gone = next(x for x in cash_to_come(RADIO, RADIO_SHOP).lines if f"cash {x.code}" == key)
    trial = Trial().toggled(key)
    assert expected_of(Trial()) - expected_of(trial) == gone.expected
    assert expected_of(trial.toggled(key)) == expected_of(Trial())
    assert trial.cleared(key) == Trial()


def test_rates_times_and_comparators_can_be_tried() -> None:
    trial = with_typed(Trial(), line("rate mine"), "20")
    trial = with_typed(trial, line("work K01"), "60")
    trial = with_typed(trial, line("instead NEW"), "100").toggled("work B01")
    found = decision(*tried(RADIO, RADIO_SHOP, trial)).compared
    assert found.rates == (0, 20, 30)
    assert found.break_evens[0].price == 100
    assert found.hours.likely == 1221 - 180 + 60 - 30
    assert found.hours.lines[0].code == "B02"


def test_work_that_follows_from_the_record_can_be_tried_as_well() -> None:
    unit, shop = R1, SHOP
    before = decision(unit, shop).compared.hours
    followed = {x.code: x.effort for x in before.lines if x.proposed and x.effort is not None}
    assert followed["C-BP"].likely == 30
    one = next(x for x in trial_lines(unit, shop) if x.key == "work C-BP")
    left_out = decision(*tried(unit, shop, Trial().toggled(one.key))).compared.hours
    assert (before.likely or 0) - (left_out.likely or 0) == 30
    longer = decision(*tried(unit, shop, with_typed(Trial(), one, "100"))).compared.hours
    assert (longer.likely or 0) - (before.likely or 0) == 70


def test_a_cost_without_a_line_of_its_own_is_told_and_not_tried() -> None:
    unit = R1
    speaker = next(c for c in unit.components if c.code == "SP")
    renewed = with_changes(speaker, disposition=Disposition.RENEW, price_to_replace=Estimate.of("15", "20", "30"))
    components = tuple(renewed if c.code == "SP" else c for c in unit.components)
    lines = trial_lines(unit.model_copy(update={"components": components}), SHOP)
    one = next(x for x in lines if x.key == "cash SP")
    assert not one.can_leave_out
    with pytest.raises(InputError, match="has no line of its own in the record"):
        with_typed(Trial(), one, "12")


def test_a_trial_leaves_the_record_as_it_was() -> None:
    copy, shop_copy = the_radio(), the_shop()
    tried(copy, shop_copy, with_typed(Trial().toggled("cash N6"), line("cash N1"), "1"))
    assert (copy, shop_copy) == (the_radio(), the_shop())


@pytest.mark.parametrize(
    ("key", "typed", "sentence"),
    [
        ("cash N1", "-3", "is below zero"),
        ("cash N1", "9/5/12", "must not decrease"),
        ("cash N1", "5/6", "type one value, or three"),
        ("cash N1", "much", "is not an amount"),
        ("cash N6", "101 %", "from 0 to 100 %"),
        ("cash U2", "30 %", "is used in any case"),
        ("work B01", "-5", "is no length of time"),
        ("work B01", "90/30/10", "must not decrease"),
        ("rate mine", "-1", "is below zero"),
        ("instead NEW", "EUR ten", "is not an amount"),
    ],
)
def test_bad_input_is_a_sentence(key: str, typed: str, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        with_typed(Trial(), line(key), typed)


# Properties


prices = st.lists(st.integers(0, 50_000), min_size=3, max_size=3).map(
    lambda xs: Estimate(
        **{k: Decimal(x).scaleb(-2) for k, x in zip(("low", "likely", "high"), sorted(xs), strict=True)}
    )
)
chances = st.none() | st.integers(0, 100).map(Decimal)


@st.composite
def cost_line(draw: st.DrawFn, code: str = "X1") -> CostLine:
    return CostLine(code=code, name=code, price=draw(prices), chance_percent=draw(chances), only_if="only if broken")


@given(st.lists(prices, max_size=6), cost_line())
@settings(max_examples=40, deadline=None)
def test_adding_a_cost_never_raises_the_gap(before: list[Estimate], more: CostLine) -> None:
    lines = [CostLine(code=f"S{i}", name="cost", price=p) for i, p in enumerate((estimate("1"), *before))]
    of_unit = unit(cost_lines=lines, comparators=[comparator("NEW", NEW, "100")])
    dearer = of_unit.model_copy(update={"cost_lines": (*of_unit.cost_lines, more)})
    one, other = comparison(of_unit, shop()), comparison(dearer, shop())
    assert other.break_evens[0].gap <= one.break_evens[0].gap
    for name in ("low", "likely", "high", "expected"):
        assert getattr(other.cash, name) >= getattr(one.cash, name)


@given(st.lists(cost_line(), max_size=8), st.integers(0, 8))
@settings(max_examples=40, deadline=None)
def test_sums_are_those_of_their_parts_to_the_last_cent(lines: list[CostLine], at: int) -> None:
    named = [x.model_copy(update={"code": f"S{i}"}) for i, x in enumerate(lines)]
    whole = cash_to_come(unit(cost_lines=named), shop())
    one, other = (cash_to_come(unit(cost_lines=x), shop()) for x in (named[:at], named[at:]))
    for name in ("low", "likely", "high", "expected"):
        assert getattr(whole, name) == getattr(one, name) + getattr(other, name)


# When it is ready


@pytest.mark.parametrize(
    ("operations", "words"),
    [
        ([], "?"),
        ([operation("B01", state=WorkState.DONE)], "now"),
        ([operation("B01", minutes=None)], "?"),
        ([operation("B01", minutes=60)], "~1 day"),
        (
            [operation("B01", minutes=60, wait={"earliest": 4 * 1440}), operation("B02", minutes=60, after=["B01"])],
            "~6 days",
        ),
        ([operation("B01", minutes=60, wait={"earliest": 20 * 1440})], "~3 weeks"),
        ([operation("B01", minutes=60, after=["B02"]), operation("B02", minutes=60, after=["B01"])], "~2 days"),
    ],
)
def test_ready_when(operations: list[object], words: str) -> None:
    from logbook.model.shop import FreeTime

    of_shop = shop(free_time=[FreeTime(weekday=d, start="19:00", minutes=60) for d in range(1, 8)])
    assert decision(unit(operations=operations), of_shop).ready.words == words


def test_ready_is_not_known_without_free_hours() -> None:
    found = decision(unit(operations=[operation()]), shop()).ready
    assert found.words == "?"
    assert "No free hours" in found.why


def test_an_old_price_is_remarked() -> None:
    old = Comparator(code="NEW", kind=NEW, price=Decimal(100), price_on=day("2025-03-01"))
    found = decision(unit(comparators=[old]), shop(), day("2026-03-20"))
    assert found.rows[1].remarks == ("price of 1 Mar 2025, older than 6 months",)
    fresh = old.model_copy(update={"price_on": day("2026-03-01")})
    assert decision(unit(comparators=[fresh]), shop(), day("2026-03-20")).rows[1].remarks == ()


def test_what_is_here_and_a_passed_test_change_the_remarks() -> None:
    from logbook.model.unit import Arrival

    passed = unit(
        arrival=Arrival(make_or_break=(MakeOrBreak(what="windings", passed=True),)), parts=[part(supply=Supply.HERE)]
    )
    assert decision(passed, shop()).rows[0].remarks == ()
