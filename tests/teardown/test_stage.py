"""Where units stand: next action, what can be done now, what is overdue, what must not be forgotten."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.step import Step
from logbook.model.templates import demo_documents
from logbook.model.unit import Arrival, Book, LineState, Refit, Unit
from logbook.model.words import Disposition, Stage, Supply, WorkState
from logbook.model.work import MakeOrBreak, Operation, Tool, Waiting
from logbook.planning.what_now import what_now
from logbook.teardown.operations_ready import decides, ready_steps, window_ends
from logbook.teardown.stage import (
    Overdue,
    Reminder,
    days_untouched,
    do_not_forget,
    next_action,
    overdue,
)
from tests.builders import (
    at,
    book,
    chain,
    component,
    day,
    effort,
    estimate,
    hazard,
    one_way,
    operation,
    part,
    relation,
    shop,
    step,
    unit,
)

TODAY = day("2026-03-12")
"""A Thursday."""
NOW = at("2026-03-12 19:00")


def waiting(what: str = "bearings", expected: str = "", chase: str = "", **more: Any) -> Waiting:
    return Waiting(what=what, expected=day(expected) if expected else None, chase=day(chase) if chase else None, **more)


def trial(what: str = "output transformer", **more: Any) -> MakeOrBreak:
    return MakeOrBreak(what=what, **more)


def done(code: str, moment: str = "2026-03-01 12:00", **more: Any) -> Operation:
    return operation(code, state=WorkState.DONE, done_at=at(moment), **more)


def lid(**more: Any) -> Step:
    return step(photo_taken=True, **more)


NEXT: list[tuple[str, Unit, str]] = [
    ("typed", unit(next_action=" lay out\non offcuts", waiting=[waiting()]), "next: lay out on offcuts"),
    ("typed, stopped", unit(next_action="sell the parts", stage=Stage.STOPPED), "next: sell the parts"),
    ("closed", unit(stage=Stage.CLOSED), "closed"),
    ("stopped, nothing kept", unit(stage=Stage.STOPPED, waiting=[waiting()]), "stopped"),
    (
        "stopped, parts to reuse",
        unit(
            stage=Stage.STOPPED,
            components=[
                component("A", quantity=2, disposition=Disposition.SPARE),
                component("B", disposition=Disposition.KEEP),
                component("C", disposition=Disposition.SCRAP),
            ],
        ),
        "parts to reuse: 3",
    ),
    (
        "waits",
        unit(waiting=[waiting("2 bearings", "2026-03-13", "2026-03-15")]),
        "WAITS 2 bearings, due Fri, chase Sun",
    ),
    ("waits, no days", unit(waiting=[waiting("a quiet\nevening")]), "WAITS a quiet evening"),
    ("waits, far", unit(waiting=[waiting(expected="2026-04-02")]), "WAITS bearings, due 2 Apr"),
    ("waits, late", unit(waiting=[waiting(expected="2026-03-10")]), "WAITS bearings, LATE, was due 10 Mar"),
    ("waits, chase", unit(waiting=[waiting(chase="2026-03-12")]), "WAITS bearings, CHASE NOW, since today"),
    (
        "waits for two, the first to chase first",
        unit(waiting=[waiting("oil"), waiting("bearings", chase="2026-03-14")]),
        "WAITS bearings, chase Sat and 1 more",
    ),
    ("waited", unit(waiting=[waiting(done=True)], arrival=Arrival(as_found="dead")), "next: step T01"),
    ("arrival", unit(), "next: write down how it was found"),
    (
        "arrival, test",
        unit(arrival=Arrival(as_found="dead", make_or_break=(trial(),))),
        "next: test: output transformer",
    ),
    ("arrival, tested", unit(arrival=Arrival(as_found="dead", make_or_break=(trial(passed=True),))), "next: step T01"),
    (
        "teardown, planned",
        unit(lid(), step("T02", "switch", planned=True), stage=Stage.TEARDOWN),
        "next: T02 switch",
    ),
    ("teardown, to complete", unit(step(wires=2), stage=Stage.TEARDOWN), "next: complete 2 things at the desk"),
    ("teardown, one to complete", unit(step(), stage=Stage.TEARDOWN), "next: complete 1 thing at the desk"),
    ("teardown, complete", unit(lid(), stage=Stage.TEARDOWN), "next: step T02"),
    (
        "rebuild",
        unit(operations=[done("B01"), operation("B02", "press", after=["B01"])], stage=Stage.REBUILD),
        "next: press",
    ),
    (
        "rebuild, test first",
        unit(operations=[operation()], arrival=Arrival(make_or_break=(trial(),)), stage=Stage.REBUILD),
        "next: test: output transformer",
    ),
    (
        "rebuild, part missing",
        unit(operations=[operation("K1", "fit cord", needs={"parts": ("N1",)})], parts=[part()], stage=Stage.REBUILD),
        "next: get mains cord, for fit cord",
    ),
    ("rebuild done", unit(operations=[done("B01")], stage=Stage.REBUILD), "next: reassembly"),
    (
        "rebuild, an operation that is not there",
        unit(operations=[operation("B02", "press", after=["B99"])], stage=Stage.REBUILD),
        "next: press, which waits on an operation that does not exist",
    ),
    ("reassembly", unit(stage=Stage.REASSEMBLY), "next: reassembly"),
    (
        "reassembly, begun",
        unit(stage=Stage.REASSEMBLY, refit=Refit(lines=(LineState(line="T01", done=True), LineState(line="T02")))),
        "next: reassembly",
    ),
]


def test_a_test_that_was_to_come_before_the_teardown_still_decides() -> None:
    price = trial("price of a new one", before="taking it apart")
    assert decides(unit(step(planned=True)), price) == "do it before taking it apart"
    assert decides(unit(step()), price) == "it was to come before taking it apart, and still decides whether to go on"


@pytest.mark.parametrize(("name", "of", "sentence"), NEXT, ids=[name for name, _, _ in NEXT])
def test_the_next_action_of_a_unit(name: str, of: Unit, sentence: str) -> None:
    assert next_action(of, TODAY) == sentence


def test_days_untouched_count_from_the_last_work_that_was_written_down() -> None:
    assert days_untouched(unit(), NOW) is None
    assert days_untouched(unit(touched=at("2026-03-09 20:00")), NOW) == 3, "days of the calendar, not times of 24 hours"
    assert days_untouched(unit(touched=at("2026-03-12 08:00")), NOW) == 0
    assert days_untouched(unit(step(at=at("2026-03-01 19:00")), step("T02")), NOW) == 11
    assert days_untouched(unit(touched=at("2026-03-13 19:00")), NOW) == 0


def doable(of: Unit | Book, minutes: int = 60, now: datetime = NOW) -> list[tuple[str, int | None, str]]:
    of_book = of if isinstance(of, Book) else book(of)
    return [(i.code or i.what, i.minutes, i.why) for i in what_now(of_book, minutes, now)]


def test_a_make_or_break_test_comes_first_and_says_what_hangs_on_it() -> None:
    radio = unit(
        operations=[operation("B01", minutes=5)],
        parts=[part("N6", "output transformer", only_if="only if open", price=estimate("0", "0", "38"))],
        arrival=Arrival(
            make_or_break=(trial("output transformer windings", minutes=18, before="B02", stop_if="open"),)
        ),
    )
    assert doable(radio) == [
        (
            "test: output transformer windings",
            18,
            "do it before B02; if it fails, up to 38.00 more to pay; stop if open",
        ),
        ("B01", 5, ""),
    ]
    unpriced = radio.model_copy(update={"parts": ()})
    assert doable(unpriced, 20)[0][2] == "do it before B02; stop if open"
    assert doable(radio, 17) == [("B01", 5, "")]
    passed = radio.model_copy(update={"arrival": Arrival(make_or_break=(trial(passed=True, minutes=1),))})
    assert doable(passed) == [("B01", 5, "")]


@pytest.mark.parametrize(
    ("of", "codes"),
    [
        (unit(operations=[operation("B01"), operation("B02", after=["B01"])]), ["B01"]),
        (unit(operations=[done("B01"), operation("B02", after=["B01"])]), ["B02"]),
        (unit(operations=[operation("B02", after=["B99"])]), []),
        (unit(operations=[operation("B01", minutes=61)]), []),
        (unit(operations=[operation("B01", minutes=60)]), ["B01"]),
        (unit(operations=[operation("B01", minutes=effort(10, 30, 600))]), ["B01"]),
        (unit(operations=[operation("B01", minutes=None), operation("B02", minutes=60)]), ["B02", "B01"]),
        (unit(operations=[operation(needs={"parts": ("N1",)})], parts=[part()]), []),
        (unit(operations=[operation(needs={"parts": ("N1",)})], parts=[part(supply=Supply.ORDERED)]), []),
        (unit(operations=[operation(needs={"parts": ("N1",)})], parts=[part(supply=Supply.HERE)]), ["B01"]),
        (unit(operations=[operation(needs={"parts": ("N9",)})]), []),
        (unit(operations=[operation()], stage=Stage.STOPPED), []),
        (unit(operations=[operation()], stage=Stage.CLOSED), []),
        (
            unit(
                operations=[operation()],
                arrival=Arrival(make_or_break=(trial(passed=None, before="B01, B02", minutes=99),)),
            ),
            [],
        ),
        (unit(operations=[operation()], arrival=Arrival(make_or_break=(trial(passed=False, before="B01"),))), []),
        (unit(operations=[operation()], arrival=Arrival(make_or_break=(trial(passed=True, before="B01"),))), ["B01"]),
        (unit(operations=[operation("B01"), operation("B02", state=WorkState.DOING)]), ["B02", "B01"]),
        (unit(operations=[operation("X"), operation("B01"), operation("B02", after=["B01"])]), ["B01", "X"]),
        (unit(components=[component("OT", disposition=Disposition.TEST)]), ["OT"]),
        (unit(components=[component("OT", disposition=Disposition.TEST, tests=[{"what": "ohm"}])]), ["OT"]),
        (
            unit(step(planned=True), components=[component("OT", disposition=Disposition.TEST, from_step="T01")]),
            ["T01"],
        ),
        (unit(step(planned=True), step("T02", planned=True)), ["T01"]),
        (unit(step(planned=True), step("T02", planned=True, stated=True)), ["T01", "T02"]),
        (unit(), []),
    ],
)
def test_only_what_has_all_it_needs_is_listed(of: Unit, codes: list[str]) -> None:
    assert [code for code, _, _ in doable(of)] == codes


def test_an_untested_component_named_by_a_make_or_break_test_is_listed_once() -> None:
    radio = unit(
        components=[component("OT", "output transformer", disposition=Disposition.TEST)],
        arrival=Arrival(make_or_break=(trial("output transformer windings"),)),
    )
    assert [code for code, _, _ in doable(radio)] == ["test: output transformer windings"]


def test_a_planned_step_says_its_danger_or_that_its_stop_question_is_open() -> None:
    planned = unit(
        step("T01", planned=True, stated=True, minutes=5, hazards=[hazard("mains")]),
        step("T02", planned=True, stated=True, one_way=one_way(measured=False)),
    )
    assert doable(planned) == [
        ("T01", 5, "WARNING mains"),
        ("T02", None, "one-way: answer the stop question first"),
    ]


WAIT = {"earliest": 60, "latest": 120, "after_sanding": 2880}
"""Not before an hour, freely up to two, and from two days on once sanded."""


@pytest.mark.parametrize(
    ("minutes_later", "expected"),
    [
        (59, []),
        (60, [("B02", 30, "window ends 21:00")]),
        (120, [("B02", 30, "window ends 21:00")]),
        (121, []),
        (2879, []),
        (2880, [("B02", 48, "window missed: scuff-sand")]),
    ],
)
def test_the_two_windows_of_a_wait(minutes_later: int, expected: list[tuple[str, int, str]]) -> None:
    # Practice: “within 1 h or after 48 h” stands on labels; the wait is three numbers for that.
    coat = done("B01", "2026-03-12 19:00", wait=WAIT, if_missed="scuff-sand", if_missed_minutes=18)
    radio = unit(operations=[coat, operation("B02", after=["B01"])])
    assert doable(radio, 60, NOW + timedelta(minutes=minutes_later)) == expected


def test_a_wait_without_a_second_window_only_asks_for_sanding_once_missed() -> None:
    coat = done("B01", "2026-03-12 16:00", wait={"earliest": 60, "latest": 120})
    assert doable(unit(operations=[coat, operation("B02", after=["B01"])])) == [
        ("B02", 30, "window missed: sand first")
    ]


def test_a_wait_that_began_at_an_unknown_moment_is_said_and_not_guessed() -> None:
    coat = operation("B01", state=WorkState.DONE, wait={"earliest": 60})
    radio = unit(operations=[coat, operation("B02", after=["B01"])])
    assert doable(radio) == [("B02", 30, "B01 was done at an unknown time: see that 60 min are over")]


def test_clamps_still_in_use_over_all_units_are_not_free() -> None:
    def plan(moment: str, **wait: Any) -> Book:
        pressed = done("B01", moment, needs={"clamps": 6}, wait={"earliest": 1680, **wait})
        drawer = operation("B01", needs={"clamps": 5, "helper": True, "quiet": True})
        of_shop = shop(tools=[Tool(name="clamps", number=10)])
        return book(unit(operations=[pressed]), unit(operations=[drawer], code="C1"), of_shop=of_shop)

    assert doable(plan("2026-03-12 16:00")) == []
    free = [("B01", 30, "needs 5 of 10 clamps; needs a helper; not in quiet hours")]
    assert doable(plan("2026-03-10 16:00")) == free
    assert doable(plan("2026-03-12 16:00", clamped=120)) == free
    assert doable(plan("2026-03-12 16:00").model_copy(update={"shop": shop()}))[0][2].startswith("needs 5 clamps")


def test_the_last_clamp_may_be_used() -> None:
    pressed = done("B01", "2026-03-12 16:00", needs={"clamps": 6}, wait={"earliest": 1680})
    for wanted, listed in ((4, 1), (5, 0)):
        glued = operation("B02", needs={"clamps": wanted})
        of_shop = shop(tools=[Tool(name="clamps, long", number=4), Tool(name="Clamps, short", number=6)])
        assert len(doable(book(unit(operations=[pressed, glued]), of_shop=of_shop))) == listed


def test_one_press_serves_one_stack_and_work_begun_keeps_what_it_has() -> None:
    press = shop(tools=[Tool(name="veneer press")])
    pressing = operation("B01", state=WorkState.DOING, needs={"press": 1})
    other = operation("B02", needs={"press": 1})
    assert doable(book(unit(operations=[pressing, other]), of_shop=press)) == [("B01", 30, "needs the press")]


def test_windows_that_are_open_now_end_unless_the_next_work_has_begun() -> None:
    coat = done("B01", "2026-03-12 18:00", wait=WAIT)
    following = operation("B02", after=["B01"])
    assert [(o.code, end) for o, end in window_ends(unit(operations=[coat, following]), NOW)] == [
        ("B01", at("2026-03-12 20:00"))
    ]
    begun = following.model_copy(update={"state": WorkState.DOING})
    assert window_ends(unit(operations=[coat, begun]), NOW) == ()
    assert window_ends(unit(operations=[coat, following]), NOW - timedelta(minutes=1)) == ()
    assert window_ends(unit(operations=[coat, following]), NOW + timedelta(minutes=61)) == ()


def test_what_is_overdue_over_all_units() -> None:
    grinder = unit(
        waiting=[
            waiting("bearings", "2026-03-10", "2026-03-12"),
            waiting("cloth", "2026-03-13", "2026-03-14"),
            waiting("oil", "2026-03-01", done=True),
            waiting("quiet", ""),
        ],
        parts=[
            part("N1", "bearing", supply=Supply.ORDERED, expected_on=day("2026-02-01")),
            part("N2", "cord", supply=Supply.ORDERED, chase_on=day("2026-03-12")),
            part("N3", "feet", supply=Supply.HERE, expected_on=day("2026-02-01")),
            part("N4", "wax", supply=Supply.ORDERED, expected_on=TODAY),
        ],
    )
    stopped = unit(code="L1", stage=Stage.STOPPED, waiting=[waiting(expected="2020-01-01")])
    assert overdue(book(grinder, stopped), TODAY) == (
        Overdue("R1", "bearings", day("2026-03-10"), day("2026-03-12"), 2),
        Overdue("R1", "cord", None, day("2026-03-12"), 0),
    )


def test_reminders_stand_in_the_order_of_what_cannot_be_put_right_later() -> None:
    lid_off = at("2026-03-12 12:00")
    case = unit(
        step("T20", "bottom", "split", planned=True, one_way=one_way(measured=False)),
        step("T21", "sides", "split", planned=True, one_way=one_way(traced=True)),
        code="R1",
        touched=lid_off,
        waiting=[waiting("cloth", chase="2026-03-12"), waiting("feet", "2026-03-11")],
        operations=[done("B14", "2026-03-12 18:00", name="coat 1", wait=WAIT, if_missed="scuff-sand")],
    )
    chest = unit(
        step("C01", "runners", photo_taken=True, note="a thin shim"),
        step("C02", "back"),
        code="C1",
        touched=at("2025-01-18 11:00"),
    )
    lamp = unit(code="L1", touched=at("2026-02-11 19:00"))
    waits = unit(code="G1", touched=at("2026-01-01 19:00"), waiting=[waiting()])
    closed = unit(step("X1", wires=2), code="X1", touched=at("2020-01-01 19:00"), stage=Stage.CLOSED)
    assert do_not_forget(book(case, chest, lamp, waits, closed), NOW) == (
        Reminder("R1", "T20 bottom: not measured, traced or photographed before it is split"),
        Reminder("R1", "window after B14 coat 1 ends 20:00, then scuff-sand"),
        Reminder("R1", "feet: 1 day overdue, ask again"),
        Reminder("R1", "cloth: ask again today"),
        Reminder(
            "C1",
            "untouched for 418 days: C01: which shim? Side, thickness and how many. (and 1 more to complete)",
        ),
        Reminder("L1", "untouched for 29 days, and nothing says what it waits for"),
    )


def test_a_unit_is_old_only_after_the_weeks_of_the_settings() -> None:
    lamp = unit(touched=at("2026-02-11 19:00"))
    assert do_not_forget(book(lamp, of_shop=shop(settings={"untouched_weeks": 5})), NOW) == ()
    assert do_not_forget(book(unit()), NOW) == ()


def test_moments_are_told_on_the_clock_of_the_shop() -> None:
    coat = done("B01", "2026-03-12 22:30", wait={"earliest": 10, "latest": 120})
    radio = unit(operations=[coat, operation("B02", after=["B01"])], touched=NOW)
    for zone, ends in (("UTC", "Fri 00:30"), ("Etc/GMT-1", "Fri 01:30")):
        of_book = book(radio, of_shop=shop(settings={"time_zone": zone}))
        assert doable(of_book, 60, at("2026-03-12 22:45"))[0][2] == f"window ends {ends}"


DEMO = {d.unit.code: d.unit for d in demo_documents() if d.logbook == "unit"}
DEMO_SHOP = next(d.shop for d in demo_documents() if d.logbook == "shop")


def test_the_example_book_says_what_now() -> None:
    whole = Book(shop=DEMO_SHOP, units=DEMO)
    now = datetime(2026, 3, 17, 19, tzinfo=UTC)
    lines = [next_action(u, now.date()) for u in DEMO.values()]
    assert lines == [
        "next: lay out on offcuts",
        "WAITS 2 bearings, due Fri, chase Sun and 1 more",
        "next: glue D1-D4",
        "parts to reuse: 3",
    ]
    half_hour = what_now(whole, 30, now)
    assert (half_hour[0].unit, half_hour[0].minutes, half_hour[0].kind) == ("R1", 18, "test")
    assert half_hour[0].why.startswith("do it before B01; if it fails, up to 38.00")
    written_down = [(i.unit, i.code, i.minutes) for i in half_hour[1:] if i.minutes is not None and "-" not in i.code]
    assert written_down == [("G1", "K01", 2)], "what follows from the record has a code of its own, such as C-ES"
    assert "B01" in [i.code for i in what_now(whole, 60, now) if i.unit == "C1"]
    assert "B01" not in [i.code for i in what_now(whole, 60, now) if i.unit == "R1"], "the test decides first"


@settings(max_examples=80, deadline=None)
@given(data=st.data(), size=st.integers(1, 8))
def test_ready_steps_are_those_without_a_planned_step_before_them_in_the_graph(data: st.DataObject, size: int) -> None:
    codes = [f"T{i:02d}" for i in range(1, size + 1)]
    pairs = [(a, b) for i, a in enumerate(codes) for b in codes[i + 1 :]]
    edges = data.draw(st.lists(st.sampled_from(pairs), unique=True, max_size=12)) if pairs else []
    planned = set(data.draw(st.lists(st.sampled_from(codes), unique=True)))
    of = unit(
        *(step(c, planned=c in planned, stated=True) for c in codes), relations=[relation(a, b) for a, b in edges]
    )
    graph = nx.DiGraph(edges)
    graph.add_nodes_from(codes)
    expected = {c for c in planned if not any(p in planned for p in graph.predecessors(c))}
    assert {s.code for s in ready_steps(of)} == expected


@settings(max_examples=80, deadline=None)
@given(data=st.data(), size=st.integers(2, 7))
def test_operations_are_ready_and_ranked_as_the_graph_says(data: st.DataObject, size: int) -> None:
    codes = [f"B{i:02d}" for i in range(size)]
    pairs = [(a, b) for i, a in enumerate(codes) for b in codes[i + 1 :]]
    edges = data.draw(st.lists(st.sampled_from(pairs), unique=True, max_size=12))
    graph = nx.DiGraph(edges)
    graph.add_nodes_from(codes)
    finished = set(data.draw(st.lists(st.sampled_from(codes), unique=True)))
    finished = {c for c in finished if nx.ancestors(graph, c) <= finished}
    of = unit(
        operations=[
            operation(c, after=list(graph.predecessors(c)), state=WorkState.DONE if c in finished else WorkState.TO_DO)
            for c in codes
        ]
    )
    listed = [code for code, _, _ in doable(of)]
    assert set(listed) == {c for c in codes if c not in finished and set(graph.predecessors(c)) <= finished}
    waiting_on = [len(nx.descendants(graph, c)) for c in listed]
    assert waiting_on == sorted(waiting_on, reverse=True)


def test_a_circle_in_a_damaged_record_does_not_hide_the_rest() -> None:
    round_and_round = [*chain("T01", "T02"), *chain("T02", "T01"), relation("T01", "T03")]
    of = unit(
        *(step(f"T0{i}", planned=True, stated=True) for i in (1, 2, 3)),
        step("T04", planned=True, stated=True),
        relations=round_and_round,
    )
    assert [s.code for s in ready_steps(of)] == ["T04"]
