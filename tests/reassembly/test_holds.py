"""Work does not pass a hold point without its reading and initials: no view offers what covers an open one.

The yardstick is the record itself: the steps that came off before the held one (networkx, BSD, closes the order), and
the rule of quality plans that work may not proceed beyond a hold point until it is released (common practice).
"""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from logbook.checks import check_unit
from logbook.errors import CircleError, InputError
from logbook.model.paths import put_at
from logbook.model.precedence import precedence
from logbook.model.record_edits import added, sound
from logbook.model.shop import FreeTime, Shop
from logbook.model.step import HoldPoint, RefitNotes, Step
from logbook.model.unit import LineState, Refit, Unit
from logbook.model.words import Stage, WorkState
from logbook.planning.first_plan import first_plan
from logbook.planning.free_time import Clock
from logbook.planning.from_book import book_problem
from logbook.planning.what_now import what_now
from logbook.reassembly import Line, RefitList, readiness, ready_order, refit_list, standing, tick, write_reading
from logbook.reassembly.sequence import CHECK
from logbook.render.reassembly_list import reassembly_text
from logbook.teardown.keeping import kept_from_line
from logbook.teardown.line import read_line
from logbook.teardown.ready import now_list
from logbook.teardown.ready import readiness as work_readiness
from logbook.teardown.stage import next_action
from tests.builders import (
    at,
    book,
    chain,
    handed_pair,
    hold,
    operation,
    relation,
    shop,
    step,
    steps,
    tick_line,
    unit,
)  # fmt: skip
from tests.reassembly.random_records import record

NOW = at("2026-03-12 20:00")


def with_holds(seed: int, n: int) -> Unit:
    """A random unit with hold points at some of its steps, and ticks and readings at some of its lines."""
    made = record(seed, n)
    chance = Random(seed)
    held = [
        s.model_copy(update={"refit": RefitNotes(hold=hold(f"H{i}"))}) if chance.random() < 0.3 else s
        for i, s in enumerate(made.steps)
    ]
    held = [s.model_copy(update={"hold": teardown_hold(chance, i)}) for i, s in enumerate(held)]
    made = made.model_copy(update={"steps": tuple(held), "refit": Refit()})
    try:
        listed = refit_list(made)
    except CircleError:
        assume(False)
        raise
    states: list[LineState] = []
    for line in listed.lines:
        for key in line.tick_keys:
            if chance.random() < 0.5:
                read = chance.random() < 0.6
                states.append(
                    LineState(
                        line=key,
                        done=chance.random() < 0.7,
                        at=NOW,
                        reading="452" if read else "",
                        initials="AB" if read else "",
                        override="later",
                    )
                )
    return made.model_copy(update={"refit": Refit(lines=tuple(states))})


def teardown_hold(chance: Random, number: int) -> HoldPoint | None:
    """A hold point of the teardown at some steps: never read, read, or gone on without."""
    kind = chance.choice(("", "", "", "open", "open", "read", "without"))
    said = {"read": {"reading": "0.4 V", "initials": "AB"}, "without": {"without_because": "no meter"}}.get(kind, {})
    return hold(f"H{number + 50}", "dead", "voltage").model_copy(update=said) if kind else None


def open_at_the_teardown(of: Step) -> bool:
    """Whether a step that is done has a hold point without reading or initials and without a reason, field by field."""
    return not of.planned and of.hold is not None and not (of.hold.initials or of.hold.without_because)


def is_open(made: Unit, line: Line) -> bool:
    """Whether a hold point lacks a reading or initials at any member, by the record and by the ticks themselves."""
    of = [s for s in made.steps if s.code in line.steps and line.key in (CHECK, s.code)]
    at_the_step = any(s.refit.hold is not None or open_at_the_teardown(s) for s in of)
    if not at_the_step and line.hold is None:
        return False
    states = {s.line: s for s in made.refit.lines}
    for key in line.tick_keys:
        state = states.get(key)
        wants_reading = line.hold is None or bool(line.hold.reading_of)
        if state is None or not state.initials or (wants_reading and not state.reading):
            return True
    return False


def covering(made: Unit, listed: RefitList) -> set[str]:
    """Keys of the lines that cover an open hold point, from the order of the teardown and not from the list's own."""
    order = nx.DiGraph((e.later, e.earlier) for e in precedence(made).edges)
    order.add_nodes_from(s.code for s in made.steps)
    found: set[str] = set()
    for line in listed.lines:
        if not is_open(made, line):
            continue
        if line.key == CHECK:
            found |= {x.key for x in listed.lines} - {CHECK}
            continue
        found |= nx.descendants(order, line.steps[0])
        found.add("audit")
    return found & set(listed.by_key)


@settings(max_examples=250, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 20))
def test_no_view_offers_what_covers_an_open_hold_point(seed: int, n: int) -> None:
    made = with_holds(seed, n)
    listed = refit_list(made)
    covered_by = covering(made, listed)
    ready = readiness(made, listed, NOW)
    offered = {line.key for line in ready_order(made, listed, NOW)}
    paper = reassembly_text(made, listed, ready, version=1, kept_at=NOW, now=NOW, ready_only=True, width=200)
    can_be_done = paper.split("NOT READY, AND WHY")[0]
    for key in covered_by:
        line = listed.by_key[key]
        if ready[key].done:
            continue
        assert not ready[key].ready
        assert not ready[key].in_reach
        assert any("hold point" in reason for reason in ready[key].reasons)
        assert key not in offered
        assert f"] {line.number}  " not in can_be_done
        with pytest.raises(InputError):
            tick_line(made, line, NOW, initials="AB", reading="1")
    counted = standing(made, listed, NOW)
    assert counted.in_reach == sum(r.in_reach and not r.done for r in ready.values()) == len(offered)


def with_work(chance: Random, made: Unit) -> Unit:
    """The unit at some stage, with four pieces of work after each other, done or not, some with a hold point unread."""
    works = []
    for i in range(1, 5):
        after = tuple(f"B{j}" for j in range(1, i) if chance.random() < 0.4)
        state = chance.choice((WorkState.DONE, WorkState.TO_DO))
        point = hold(f"H{i}") if chance.random() < 0.4 else None
        works.append(operation(f"B{i}", "work", 20, after=after, state=state, hold=point))
    stage = chance.choice((Stage.TEARDOWN, Stage.REBUILD, Stage.REASSEMBLY))
    return made.model_copy(update={"stage": stage, "operations": tuple(works), "parts": ()})


def kept_back_by_holds(made: Unit) -> dict[str, set[str]]:
    """For each step still to come off and each piece of work still to do, where the open hold points before it are."""
    unread = {s.code for s in made.steps if open_at_the_teardown(s)}
    waits = {s.code: unread for s in made.steps if s.planned}
    works_unread = {w.code for w in made.operations if w.state is WorkState.DONE and w.hold is not None}
    waits |= {w.code: works_unread & set(w.after) for w in made.operations if w.state is not WorkState.DONE}
    return {code: at_codes for code, at_codes in waits.items() if at_codes}


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 12))
def test_neither_bench_nor_now_nor_plan_offers_what_would_go_past_an_open_hold_point(seed: int, n: int) -> None:
    made = with_work(Random(seed), with_holds(seed, n))
    kept_back = kept_back_by_holds(made)
    of_book = book(made, of_shop=shop(free_time=(FreeTime(weekday=5, start="09:00", minutes=480),)))
    for offered in (now_list(of_book, 600, NOW), what_now(of_book, 600, NOW)):
        assert kept_back.keys().isdisjoint(item.code for item in offered)
    assert not any(next_action(made, NOW.date()).startswith(f"next: {code} ") for code in kept_back)
    found = book_problem(of_book, Clock(NOW, "UTC"), proposals=False).problem
    starts = first_plan(found).starts
    for code, at_codes in kept_back.items():
        for unread in at_codes:
            key = f"{made.code}/hold {unread}"
            assert starts[f"{made.code}/{code}"] >= starts[key] + found.tasks[key].minutes


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 12))
def test_no_way_of_writing_a_step_down_takes_anything_off_past_an_open_hold_point(seed: int, n: int) -> None:
    made = with_holds(seed, n)
    assume(any(map(open_at_the_teardown, made.steps)))
    planned = next((s for s in made.steps if s.planned), None)
    for line in ("one more", "one more, unscrewed, 2 screw M4x10"):
        with pytest.raises(InputError, match="Nothing more comes off before it is read"):
            kept_from_line(made, read_line(line, made), at=NOW)
    with pytest.raises(InputError, match="Nothing more comes off before it is read"):
        added(made, ("steps",), step("T900", "one more"))
    assert added(made, ("steps",), step("T900", "one more", planned=True))
    if planned is not None:
        path = ("steps", planned.code, "planned")
        with pytest.raises(InputError, match="Nothing more comes off before it is read"):
            sound(made, put_at(made, path, value=False), path)


def test_later_on_the_test_line_does_not_open_the_way_for_what_covers_it() -> None:
    of = unit(
        step("T01", "cover"),
        step("T02", "lock", refit=RefitNotes(hold=hold("H2", "lock turns", "turns"), test="it locks")),
        relations=[relation("T01", "T02", "test")],
    )
    of = tick(of, "check", at=NOW)
    of = tick(of, "T02:test", at=NOW, override="later")
    with pytest.raises(InputError, match=r"A04 refit cover is not ready: hold point H2 at A02 has no reading"):
        tick(of, "T01", at=NOW)
    listed = refit_list(of)
    said = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    assert "NOT READY: hold point H2 at A02 has no reading and no initials." in said
    only_ready = reassembly_text(
        of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW, ready_only=True
    )
    assert "A04  refit cover: hold point H2 at A02 has no reading and no initials." in only_ready


def test_a_reading_of_one_member_leaves_the_hold_open_for_the_other() -> None:
    of = unit(
        step("T01", "guard"),
        step("T02", "wheel", each_of="LR", refit=RefitNotes(hold=hold("H2", "runs true", "run-out"))),
        relations=[relation("T01", "T02")],
        sets=[handed_pair()],
    )
    of = tick(of, "check", at=NOW)
    of = write_reading(of, "T02/L", "0.04", "AB", NOW)
    listed = refit_list(of)
    open_for_right = "hold point H2 at A02 has no reading and no initials for R."
    assert open_for_right in readiness(of, listed, NOW)["T01"].reasons
    assert [x.key for x in ready_order(of, listed, NOW)] == ["T02"]
    of = write_reading(of, "T02/R", "0.05", "AB", NOW)
    assert [x.key for x in ready_order(of, listed, NOW)] == ["T02", "T01", "audit"]


def test_work_does_not_go_past_an_operation_whose_hold_point_is_open() -> None:
    press = operation("B1", name="press", state=WorkState.DONE, hold=hold("H2", "no bubbles", "bubbles"))
    trim = operation("B2", name="trim", after=("B1",))
    of = unit(operations=[press, trim], stage=Stage.REBUILD)
    assert work_readiness(of, trim, NOW).blocked == "hold point H2 at B1 has no reading and no initials"
    assert next_action(of, NOW.date()) == "next: hold point H2 of press: write the reading and the initials"
    read = press.model_copy(update={"hold": hold("H2", reading="none", initials="AB")})
    assert work_readiness(of.model_copy(update={"operations": (read, trim)}), trim, NOW).blocked == ""


def test_a_chain_behind_a_hold_is_freed_by_its_reading_alone() -> None:
    held = step("T04", "part 4", refit=RefitNotes(hold=hold("H2")))
    of = unit(*steps(3), held, relations=chain("T01", "T02", "T03", "T04"))
    listed = refit_list(of)
    assert standing(of, listed, NOW).sentence == "2 of 6 lines are in reach; hold point H2 at A02 would free 4 more."
    read = write_reading(of, "T04", "452", "AB", NOW)
    assert standing(read, listed, NOW).sentence == "6 of 6 lines are in reach."


def test_a_unit_is_not_closed_while_the_hold_of_one_member_was_never_met() -> None:
    of = unit(
        step("T02", "wheel", bag="1", each_of="LR", refit=RefitNotes(hold=hold("H2", "runs true", "run-out"))),
        sets=[handed_pair()],
        stage=Stage.CLOSED,
        refit=Refit(lines=(LineState(line="T02/L", done=True, at=NOW, reading="0.04", initials="AB"),)),
    )
    said = [p.sentence for p in check_unit(of, Shop(), NOW) if p.code == "closed-open"]
    assert any("the hold point H2 (runs true) lacks its tick for R" in sentence for sentence in said)
