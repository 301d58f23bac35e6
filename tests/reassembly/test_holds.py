"""Work does not pass a hold point without its reading and initials: no view offers what covers an open one.

The yardstick is the record itself: the steps that came off before the held one (networkx, BSD, closes the order), and
the rule of quality plans that work may not proceed beyond a hold point until it is released (common practice).
"""

from __future__ import annotations

from itertools import product
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
from logbook.model.step import HoldPoint, MemberDifference, RefitNotes, Step
from logbook.model.unit import LineState, Refit, Unit
from logbook.model.words import Stage, WorkState
from logbook.planning.first_plan import first_plan
from logbook.planning.free_time import PlanClock
from logbook.planning.from_book import book_problem
from logbook.planning.what_now import what_now
from logbook.reassembly import RefitLine, RefitList, readiness, ready_order, refit_list, standing, tick, write_reading
from logbook.reassembly.sequence import CHECK
from logbook.render.reassembly_line_document import ticked
from logbook.render.reassembly_list import reassembly_text
from logbook.teardown.bench_line import read_line
from logbook.teardown.hold_answers import hold_is_open, hold_sign, with_hold_answered
from logbook.teardown.operations_ready import readiness as work_readiness
from logbook.teardown.stage import next_action
from logbook.teardown.step_keeping import kept_from_line
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
    held = [held_by_members(chance, made, s, i) for i, s in enumerate(held)]
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


def held_by_members(chance: Random, made: Unit, of: Step, number: int) -> Step:
    """The step with a hold point of their own at some members of its set, whatever the others have."""
    members = [m.code for s in made.sets if s.code == of.each_of for m in s.members]
    differences = {d.member: d for d in of.differences}
    for place, member in enumerate(members):
        point = teardown_hold(chance, 100 + 10 * number + place)
        if point is not None:
            own = differences.get(member, MemberDifference(member=member))
            differences[member] = own.model_copy(update={"hold": point})
    return of.model_copy(update={"differences": tuple(differences.values())})


def is_unread(point: HoldPoint | None) -> bool:
    """Whether a hold point of the teardown has no initials: a reason for going on then is no reading."""
    return point is not None and not point.initials


def keeps_back(point: HoldPoint | None) -> bool:
    """Whether nothing more comes off before it: neither read nor gone on without for a reason."""
    return point is not None and is_unread(point) and not point.without_because


def unread_members(of: Step) -> set[str]:
    """The members of a step that is done whose own hold point is unread; one not taken apart has nothing to read."""
    return set() if of.planned else {d.member for d in of.differences if d.done and is_unread(d.hold)}


def open_at_the_teardown(of: Step) -> bool:
    """Whether a step that is done has a hold point that keeps the rest on, for all of it or for one member."""
    own = (d.hold for d in of.differences if d.done)
    return not of.planned and any(map(keeps_back, (of.hold, *own)))


def open_at(made: Unit, line: RefitLine) -> set[str]:
    """At which members a hold point lacks a reading or initials, by the record and by the ticks themselves."""
    of = [s for s in made.steps if s.code in line.steps and line.key in (CHECK, s.code)]
    for_all = any(s.refit.hold is not None or (not s.planned and is_unread(s.hold)) for s in of)
    alone = set().union(*map(unread_members, of))
    if not (for_all or alone) and line.hold is None:
        return set()
    states = {s.line: s for s in made.refit.lines}
    found = set()
    for member, key in zip(line.members or ("",), line.tick_keys, strict=True):
        if line.members and of and not for_all and member not in alone:
            continue
        state = states.get(key)
        wants_reading = line.hold is None or bool(line.hold.reading_of)
        if state is None or not state.initials or (wants_reading and not state.reading):
            found.add(member)
    return found


Tick = tuple[str, str]
"""A line by its key, and a member of it, or nothing."""


def order_of_ticks(made: Unit, listed: RefitList) -> nx.DiGraph:
    """What goes back before what, from the order of the teardown and not from the list's own.

    What a set's members have in common goes member by member; all else, and what goes back as one lump, comes after
    all of them.
    """
    order = nx.DiGraph()
    lines = {s.code: listed.by_key.get(s.code) for s in made.steps}
    ticks = {code: [(code, m) for m in (line.members if line else ()) or ("",)] for code, line in lines.items()}
    for of_line in ticks.values():
        order.add_nodes_from(of_line)
    for edge in precedence(made).edges:
        one, other = lines[edge.later], lines[edge.earlier]
        is_by_members = one is not None and other is not None and one.members and one.members == other.members
        if is_by_members and not (one.together or other.together):
            order.add_edges_from(zip(ticks[edge.later], ticks[edge.earlier], strict=True))
        else:
            order.add_edges_from(product(ticks[edge.later], ticks[edge.earlier]))
    return order


def covering(made: Unit, listed: RefitList) -> set[Tick]:
    """The ticks that cover an open hold point."""
    order = order_of_ticks(made, listed)
    found: set[Tick] = set()
    every = {(line.key, member) for line in listed.lines for member in line.members or ("",)}
    for line in listed.lines:
        for member in open_at(made, line):
            if line.key == CHECK:
                found |= every - {(CHECK, "")}
                continue
            members = {member} if line.key == line.steps[0] else set(listed.by_key[line.steps[0]].members or ("",))
            for each in members:
                found |= nx.descendants(order, (line.steps[0], each))
            found.add(("audit", ""))
    return found & every


@settings(max_examples=250, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 20))
def test_no_view_offers_what_covers_an_open_hold_point(seed: int, n: int) -> None:
    made = with_holds(seed, n)
    listed = refit_list(made)
    covering_ticks = covering(made, listed)
    ready = readiness(made, listed, NOW)
    offered = {line.key for line in ready_order(made, listed, NOW)}
    paper = reassembly_text(made, listed, ready, version=1, kept_at=NOW, now=NOW, ready_only=True, width=200)
    can_be_done = paper.split("NOT READY, AND WHY")[0]
    states = {state.line: state for state in made.refit.lines}
    for line in listed.lines:
        if ready[line.key].done:
            continue
        to_do = [(member, key) for member, key in line.ticks if not ticked(line, key, states)]
        covers = [(member, key) for member, key in to_do if (line.key, member) in covering_ticks]
        for member, key in covers:
            with pytest.raises(InputError):
                tick(made, key, at=NOW, initials="AB", reading="1")
            said = [text for text in ready[line.key].waits if text.startswith(f"{member}: ") or len(to_do) == 1]
            assert said or not ready[line.key].ready
        if to_do and covers == to_do:
            assert not ready[line.key].ready
            assert not ready[line.key].in_reach
            assert any("hold point" in reason for reason in ready[line.key].reasons)
            assert line.key not in offered
            assert f"] {line.number}  " not in can_be_done
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
    for offered in (what_now(of_book, 600, NOW),):
        assert kept_back.keys().isdisjoint(item.code for item in offered)
    assert not any(next_action(made, NOW.date()).startswith(f"next: {code} ") for code in kept_back)
    found = book_problem(of_book, PlanClock(NOW, "UTC"), proposals=False).problem
    starts = first_plan(found).starts
    for code, at_codes in kept_back.items():
        for unread in at_codes:
            names = [unread, *(f"{unread}/{m.code}" for of in made.sets for m in of.members)]
            keys = [key for name in names if (key := f"{made.code}/hold {name}") in starts]
            assert keys
            for key in keys:
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


def held_pair(left: str, right: str) -> Unit:
    """A pair that was taken apart before its guard, with these hold points at its arms."""
    of = unit(sets=[handed_pair()], stage=Stage.TEARDOWN)
    said = ", ".join(f"{side} hold {words}" for side, words in (("L", left), ("R", right)) if words)
    for line in ("guard", f"arms, each LR, {said}"):
        of = kept_from_line(of, read_line(line, of), at=NOW)
    return of


def test_a_hold_of_one_member_has_its_own_record_and_keeps_back_what_covers_it() -> None:
    of = held_pair("earth read ohm reading 0.1 by JB", "earth read ohm")
    arms = of.steps[1]
    assert [(at.name, at.hold.reading, at.hold.initials) for at in arms.holds] == [
        ("H1 for L", "0.1", "JB"),
        ("H2 for R", "", ""),
    ]
    with pytest.raises(InputError, match=r"HOLD H2 for R at T02 is open: earth\. Nothing more comes off"):
        kept_from_line(of, read_line("motor", of), at=NOW)
    of = tick(of, "check", at=NOW)
    listed = refit_list(of)
    ready = readiness(of, listed, NOW)
    assert "hold point H2 at A02 has no reading and no initials for R." in ready["T01"].reasons
    assert [x.key for x in ready_order(of, listed, NOW)] == ["T02"]
    left = tick(of, "T02/L", at=NOW)
    with pytest.raises(InputError, match=r"A02 is hold point H2 \(earth\): write the reading of ohm first"):
        tick(left, "T02/R", at=NOW)
    with pytest.raises(InputError, match="write its reading, at T02/R"):
        write_reading(of, "T02", "0.4", "AB", NOW)
    read = tick(write_reading(left, "T02/R", "0.4", "AB", NOW), "T02/R", at=NOW)
    assert [x.key for x in ready_order(read, listed, NOW)] == ["T01", "audit"]


def test_paper_gives_the_open_hold_of_one_member_its_own_fields_and_the_other_none() -> None:
    of = held_pair("earth read ohm reading 0.1 by JB", "earth read ohm")
    listed = refit_list(of)
    printed = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW, width=200)
    assert "HOLD H1 for L of the teardown: earth, read 0.1, initials JB. It is worth reading again here." in printed
    assert "HOLD H2 for R of the teardown: earth. It was not done then: do it here, with initials." in printed
    assert "HOLD POINT H2 for R, before A03, A04: earth" in printed
    assert [x.strip() for x in printed.splitlines() if "ohm: reading" in x] == [
        "R  ohm: reading ________________   initials ________"
    ]
    both = held_pair("earth read ohm", "play read mm")
    listed = refit_list(both)
    printed = reassembly_text(both, listed, readiness(both, listed, NOW), version=1, kept_at=NOW, now=NOW, width=200)
    fields = [x.strip()[:8] for x in printed.splitlines() if ": reading" in x]
    assert fields == ["L  ohm: ", "R  mm: r"]
    reasons = readiness(both, listed, NOW)["T01"].reasons
    assert any(
        "hold point H1 at A02 has no reading and no initials for L and hold point H2 at A02 has no reading and no "
        "initials for R." in reason
        for reason in reasons
    )


def test_each_open_hold_of_a_pair_is_answered_by_itself() -> None:
    of = held_pair("earth read ohm", "earth read ohm")
    assert hold_is_open(of.steps[1]) == "HOLD H1 for L is open: earth"
    of = with_hold_answered(of, "T02", "0.1 by AB", NOW)
    assert hold_is_open(of.steps[1]) == "HOLD H2 for R is open: earth"
    assert hold_sign(of.steps[1]) == "HOLD open R"
    with pytest.raises(InputError, match="Nothing more comes off"):
        kept_from_line(of, read_line("motor", of), at=NOW)
    of = with_hold_answered(of, "T02", "because the meter is away", NOW)
    assert [(at.member, at.hold.reading, at.hold.without_because) for at in of.steps[1].holds] == [
        ("L", "0.1", ""),
        ("R", "", "the meter is away"),
    ]
    assert kept_from_line(of, read_line("motor", of), at=NOW).steps[-1].what == "motor"


def test_a_member_still_to_do_does_not_come_off_past_the_open_hold_of_the_other() -> None:
    of = unit(sets=[handed_pair()], stage=Stage.TEARDOWN)
    of = kept_from_line(of, read_line("arms, each LR, L hold earth read ohm, R still to do", of), at=NOW)
    step_done = of.steps[0].model_copy(update={"differences": of.steps[0].differences[:1]})
    with pytest.raises(InputError, match="HOLD H1 for L at T01 is open"):
        sound(of, of.model_copy(update={"steps": (step_done,)}), ("steps", "T01", "differences"))
    answered = with_hold_answered(of, "T01", "0.1 by AB", NOW)
    step_done = answered.steps[0].model_copy(update={"differences": answered.steps[0].differences[:1]})
    assert sound(answered, answered.model_copy(update={"steps": (step_done,)}), ("steps", "T01", "differences"))


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
