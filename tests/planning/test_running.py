"""Work begun and laid down, windows that run, what now in its order, and the order that materials ask for."""

from __future__ import annotations

from datetime import timedelta

import pytest

from logbook.errors import InputError
from logbook.model.shop import Shop
from logbook.model.step import Hazard, OneWay, Remake
from logbook.model.unit import Unit
from logbook.model.usual_work import OrderRule, RuleKind, UsualWork
from logbook.model.words import Disposition, JointFound, SignalWord, Stage, WorkState
from logbook.model.work import Wait, Waiting
from logbook.planning.at_rest import at_rest
from logbook.planning.at_work import running_words
from logbook.planning.countdown import countdowns
from logbook.planning.material_order import forced_order
from logbook.planning.operations import as_another, as_this_one, operations_of, proposed, taken_in, to_be_asked
from logbook.planning.reminders import reminders
from logbook.planning.running import finished, started, stopped, with_hold_read
from logbook.planning.usual_work_lists import order_rules, read_rules, read_usual, trade_rules, trade_work, usual_work
from logbook.planning.what_now import what_now
from logbook.planning.work_to_come import work_to_come
from tests.builders import at, book, component, day, effort, hold, operation, part, shop, step, unit

NOW = at("2026-03-17 19:00")
RECOAT = Wait(what="recoat", earliest=360, latest=1440, after_sanding=4320)
CURE = Wait(what="cure", earliest=10080, wet=480)


def coats(**more: object):
    fields = {"times": 4, "between": RECOAT, "wait": CURE, "if_missed": "scuff-sand", "if_missed_minutes": 18, **more}
    return operation("B14", "varnish", effort(96), **fields)


def rebuilt(*operations, code: str = "R1", **more: object):
    return unit(code=code, stage=Stage.REBUILD, operations=operations, **more)


def test_time_is_counted_over_two_stretches() -> None:
    radio = started(rebuilt(operation("B01", "cut", 60)), "B01", NOW, Shop())
    assert radio.operations[0].state is WorkState.DOING
    assert running_words(radio.operations[0], NOW + timedelta(minutes=25)) == "since 19:00, 25 min of 1:00 h"
    radio = stopped(radio, "B01", NOW + timedelta(minutes=25))
    assert (radio.operations[0].spent, radio.operations[0].started_at) == (25, None)
    radio = finished(started(radio, "B01", NOW + timedelta(days=1), Shop()), "B01", NOW + timedelta(days=1, minutes=20))
    assert (radio.operations[0].spent, radio.operations[0].state) == (45, WorkState.DONE)
    with pytest.raises(InputError, match="is done already"):
        started(radio, "B01", NOW, Shop())


def test_each_coat_is_finished_by_itself() -> None:
    radio = rebuilt(coats())
    for n in range(4):
        assert radio.operations[0].state is not WorkState.DONE
        radio = finished(radio, "B14", NOW + timedelta(days=n))
    assert radio.operations[0].done_at == NOW + timedelta(days=3)


def test_a_hold_point_is_written_down_before_the_work_is_finished() -> None:
    radio = rebuilt(operation("B10", "dry assembly", hold=hold("H2", "diagonals equal", "H-W")))
    with pytest.raises(
        InputError, match=r"B10 is hold point H2 \(diagonals equal\): write the reading of H-W and init"
    ):
        finished(radio, "B10", NOW)
    for reading, initials in (("", "AB"), ("452.0", " ")):
        with pytest.raises(InputError, match="write the reading of H-W and initials"):
            with_hold_read(radio, "B10", reading, initials, NOW)
    read = with_hold_read(radio, "B10", " 452.0 ", "AB", NOW)
    written = read.operations[0].hold
    assert (written.reading, written.initials, written.read_at) == ("452.0", "AB", NOW)
    assert finished(read, "B10", NOW).operations[0].state is WorkState.DONE
    with pytest.raises(InputError, match="B01 cut has no hold point"):
        with_hold_read(rebuilt(operation("B01", "cut")), "B01", "1", "AB", NOW)


def test_initials_alone_do_where_nothing_is_to_be_read_and_only_the_last_time_is_held() -> None:
    radio = rebuilt(coats(hold=hold("H5", "no runs", "")))
    for _ in range(3):
        radio = finished(radio, "B14", NOW)
    with pytest.raises(InputError, match="write initials before it is finished"):
        finished(radio, "B14", NOW)
    assert finished(with_hold_read(radio, "B14", "", "AB", NOW), "B14", NOW).operations[0].state is WorkState.DONE


@pytest.mark.parametrize(
    ("hours", "words", "open_now"),
    [
        (2, "opens 23:00", False),
        (20, "open until 17:00, else scuff-sand", True),
        (40, "MISSED: forbidden until Fri 17:00, then scuff-sand", False),
        (80, "MISSED: first scuff-sand, 18 min", True),
    ],
)
def test_the_window_between_coats_counts_down(hours: int, words: str, open_now: bool) -> None:
    done = at("2026-03-17 17:00")
    radio = rebuilt(coats(times_done=1, last_at=done, state=WorkState.DOING))
    now = done + timedelta(hours=hours)
    (found,) = countdowns(book(radio), now)
    assert (found.words, found.open_now) == (words, open_now)
    listed = {i.code: i for i in what_now(book(radio), 60, now)}
    assert ("B14" in listed) == open_now
    if hours == 80:
        assert listed["B14"].minutes == 24 + 18, "the scuff-sanding is part of it"


def test_what_now_puts_a_closing_window_first_then_tests_then_what_frees_most() -> None:
    radio = rebuilt(coats(times_done=1, last_at=NOW - timedelta(hours=20), state=WorkState.DOING))
    grinder = rebuilt(
        operation("B01", "mark", 20), operation("B02", "file", 20), operation("B03", "fit", 20, after=("B02",)),
        operation("B04", "begun", 20, state=WorkState.DOING), code="G1",
        components=(component("RC", "run capacitor", disposition=Disposition.TEST),),
    )  # fmt: skip
    found = what_now(book(radio, grinder), 60, NOW)
    assert [i.code for i in found] == ["B14", "B04", "B02", "B01", "RC"]
    assert found[2].why == "frees 1 more"


def test_a_wait_that_starts_early_comes_before_what_frees_little() -> None:
    chest = rebuilt(
        operation("B01", "mark", 20), operation("B02", "mark again", 20, after=("B01",)),
        operation("B03", "set and leave", 20, wait=Wait(earliest=3 * 1440)),
    )  # fmt: skip
    assert [i.code for i in what_now(book(chest), 60, NOW)] == ["B03", "B01"]


def test_nothing_dusty_now_while_a_finish_is_wet_in_another_unit() -> None:
    radio = rebuilt(coats(times_done=1, last_at=NOW - timedelta(hours=1), state=WorkState.DOING))
    chest = rebuilt(operation("B01", "plane the runners", 30), operation("B02", "mark", 30), code="C1")
    now = [i.code for i in what_now(book(radio, chest), 60, NOW)]
    assert now == ["B02"]
    dry = [i.code for i in what_now(book(radio, chest), 60, NOW + timedelta(hours=6))]
    assert "B01" in dry
    wet = [r.sentence for r in reminders(book(radio, chest), NOW)]
    assert "B14 varnish is wet until Wed 00:00: no dust in the same air" in wet


def test_a_battery_that_was_left_in_is_not_forgotten() -> None:
    clock = unit(hazards=(Hazard(signal=SignalWord.CAUTION, what="a battery may leak", do="take it out"),))
    assert [r.sentence for r in reminders(book(clock), NOW)] == ["the battery is still in: cells leak"]
    out = clock.model_copy(update={"steps": (step("T01", "battery"),)})
    assert not any("battery" in r.sentence for r in reminders(book(out), NOW))


def test_units_at_rest_say_their_one_reason_or_that_there_is_none() -> None:
    waits = unit(code="G1", waiting=(Waiting(what="bearings", since=day("2026-03-08"), chase=day("2026-03-22")),))
    silent = unit(code="C1", touched=at("2025-12-01 10:00"))
    fresh = unit(code="L1", touched=NOW)
    found = at_rest(book(waits, silent, fresh), NOW)
    assert [(r.unit, r.reason, r.chase) for r in found] == [("C1", "", None), ("G1", "bearings", day("2026-03-22"))]


# Order by materials


def order_of(*operations, rules=None):
    of_shop = shop(order_rules=rules or ())
    found = rebuilt(*operations)
    usual = usual_work(of_shop)
    return forced_order(found, operations_of(found, usual), order_rules(of_shop), usual)


def test_the_order_is_proposed_with_its_reason() -> None:
    found = order_of(operation("B1", "varnish"), operation("B2", "drill the holes"), operation("B3", "rubber feet"))
    forced = {(f.earlier, f.later): f for f in found.forced}
    assert forced.keys() == {("B2", "B1"), ("B1", "B3")}
    assert forced["B2", "B1"].rule.why == "drilling, openings and trial fit scratch a finished face"
    assert forced["B1", "B3"].minutes == 7 * 24 * 60


def test_the_other_order_in_the_record_is_reported_with_what_it_costs() -> None:
    found = order_of(operation("B1", "varnish"), operation("B2", "drill the holes", after=("B1",)))
    assert found.forced == ()
    assert [c.sentence for c in found.contrary] == [
        "B2 belongs before B1: drilling, openings and trial fit scratch a finished face. To put it right: sand the "
        "scratches out and coat again, about 1:30 h"
    ]


def test_a_rule_about_faces_forces_only_on_the_same_face() -> None:
    def faced(a: tuple[str, ...], b: tuple[str, ...]):
        return order_of(operation("B1", "glue-up", faces=a), operation("B2", "oil stain", faces=b, after=("B1",)))

    assert [c.certain for c in faced(("show",), ("Show",)).contrary] == [True]
    assert [c.certain for c in faced((), ("show",)).contrary] == [False]
    assert faced(("inside",), ("show",)).contrary == ()


def test_a_person_adds_a_rule_and_replaces_one() -> None:
    mine = OrderRule(code="wax", kind=RuleKind.BEFORE, first=("waxed",), second=("polished",), why="mine")
    off = OrderRule(code="drill-finish", kind=RuleKind.BEFORE, first=("never",), second=("never",), why="not here")
    operations = (
        operation("B1", "x", traits=("polished",)), operation("B2", "y", traits=("waxed",)),
        operation("B3", "varnish"), operation("B4", "drill"),
    )  # fmt: skip
    found = order_of(*operations, rules=(mine, off))
    assert [(f.earlier, f.later) for f in found.forced] == [("B2", "B1")]


def test_the_lists_that_come_along_say_where_each_number_is_from() -> None:
    assert all(w.source and w.words for w in trade_work())
    assert all(r.source and r.why for r in trade_rules())
    assert len({r.code for r in trade_rules()}) == len(trade_rules())
    known = {t for w in trade_work() for t in w.traits}
    assert {"dusty", "wet finish", "solvent", "hot work", "glue", "stain"} <= known
    with pytest.raises(InputError, match="rules"):
        read_rules(b'{"rules": [{"code": "x"}]}')
    with pytest.raises(InputError, match="effort"):
        read_usual(b'{"work": [{"name": "x", "effort": {"low": 3, "likely": 2, "high": 1}}]}')


def test_ones_own_usual_work_takes_the_place_of_the_trades() -> None:
    own = usual_work(shop(usual_work=(UsualWork(name="shellac", words=("shellac",), effort=effort(7)),)))
    assert own.named("shellac").effort == effort(7)
    assert own.kinds("two coats of shellac")[0].name == "shellac"


# What follows from the record


def test_what_follows_from_the_record_is_proposed_once() -> None:
    glued = OneWay(joint=JointFound.GLUED, measured=True, remake=Remake(busy=15, clamp=60, cure=1440))
    chest = unit(
        step("T01", "back"), step("T02", "stops", one_way=glued),
        code="C1", stage=Stage.REBUILD,
        components=(component("TP", "top", disposition=Disposition.CLEAN),),
    )  # fmt: skip
    usual = usual_work(Shop())
    found = {p.operation.code: p.operation for p in proposed(chest, usual)}
    assert list(found) == ["J-T02", "C-TP", "A-all"]
    assert (found["J-T02"].wait.earliest, found["J-T02"].wait.clamped) == (1500, 60)
    assert set(found["A-all"].after) == {"J-T02", "C-TP"}
    for p in proposed(chest, usual):
        chest = taken_in(chest, p)
    assert proposed(chest, usual) == ()
    assert [o.code for o in chest.operations] == ["J-T02", "C-TP", "A-all"]


def test_starting_what_only_follows_writes_it_down() -> None:
    top = component("TP", "top", disposition=Disposition.CLEAN)
    chest = unit(stage=Stage.REBUILD, components=(top,))
    begun = started(chest, "C-TP", NOW, Shop())
    assert [(o.code, o.started_at) for o in begun.operations] == [("C-TP", NOW)]
    with pytest.raises(InputError, match="has no operation X"):
        started(chest, "X", NOW, Shop())


# Work that is written down beside what follows from the record


def alike(*operations) -> Unit:
    chassis = component("CH", "chassis", disposition=Disposition.REPAIR, from_step="T01")
    return unit(step("T01", "chassis out"), components=[chassis], operations=operations, stage=Stage.REBUILD)


def open_codes(of: Unit) -> list[str]:
    return [c.operation.code for c in work_to_come(of, usual_work(Shop()))]


@pytest.mark.parametrize("name", ["repair chassis", "Repair the chassis", "chassis: repair"])
def test_work_under_the_same_words_counts_once_until_somebody_says_what_it_is(name: str) -> None:
    of, usual = alike(operation("X1", name)), usual_work(Shop())
    assert open_codes(of) == ["X1", "A-all"]
    assert [(a.proposal.operation.code, a.operation.code) for a in to_be_asked(of, usual)] == [("C-CH", "X1")]
    same, other = as_this_one(of, "X1", "C-CH"), as_another(of, "X1", "C-CH")
    assert (open_codes(same), to_be_asked(same, usual)) == (["X1", "A-all"], ())
    assert (open_codes(other), to_be_asked(other, usual)) == (["X1", "C-CH", "A-all"], ())
    assert finished(same, "X1", NOW).components[0].repaired
    assert not finished(other, "X1", NOW).components[0].repaired


@pytest.mark.parametrize(
    ("name", "more", "asked"),
    [
        ("clean the chassis", {}, False),
        ("repair the chassis plate", {}, False),
        ("repair of a crack", {"for_steps": ("T01",)}, True),
        ("repair of a crack", {"for_steps": ("T02",)}, False),
        ("repair chassis", {"state": WorkState.DONE}, False),
        ("repair chassis", {"stands_for": ("C-XX",)}, False),
    ],
)
def test_only_what_may_be_the_same_is_asked(name: str, more: dict, asked: bool) -> None:
    of = alike(operation("X1", name, **more))
    assert bool(to_be_asked(of, usual_work(Shop()))) == asked
    assert ("C-CH" in open_codes(of)) != asked


def test_a_reassembly_that_somebody_wrote_down_says_in_what_now_what_no_part_is_listed_for() -> None:
    whole = operation("X1", "put it together", 60, stands_for=("A-all",))
    speaker = component("SP", "speaker", disposition=Disposition.RENEW)
    here = {i.code: i.why for i in what_now(book(rebuilt(whole, components=(speaker,))), 600, NOW)}
    assert here["X1"] == "no part is listed for speaker"
    bought = rebuilt(whole, components=(speaker,), parts=(part("P01", "speaker", for_components=("SP",)),))
    assert {i.code: i.why for i in what_now(book(bought), 600, NOW)}["X1"] == ""
