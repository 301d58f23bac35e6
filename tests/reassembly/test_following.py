"""What is worked out after a tick from the progress before it is what would be worked out from the record alone."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from logbook.errors import CircleError, InputError
from logbook.model.edits import with_changes
from logbook.model.unit import Unit
from logbook.reassembly import (
    Progress,
    RefitList,
    count_bag,
    differs,
    follow,
    ledger,
    refit_list,
    tick,
    untick,
    write_reading,
)
from logbook.reassembly.following import lines_touched
from tests.builders import at, lump, one_way, operation, relation, screws, step, unit
from tests.reassembly.random_records import record

NOW = at("2026-03-12 20:00")
DEEDS = ("tick", "tick", "tick", "untick", "reading", "differs", "count", "wait")


def as_worked_out_anew(progress: Progress) -> None:
    """All that screens ask of a progress agrees with one that knows nothing of any before it."""
    anew = Progress(progress.unit, progress.list, progress.now)
    assert dict(progress.lines) == dict(anew.lines)
    assert list(progress.lines) == list(anew.lines)
    assert progress.own == anew.own
    assert {k: set(v) for k, v in progress.held_up.items()} == {k: set(v) for k, v in anew.held_up.items()}
    assert progress.standing() == anew.standing()


def done(made: Unit, lst: RefitList, deed: str, key: str, now: datetime, chance: st.DataObject) -> Unit:
    """The unit after one thing that a person does at the bench; the same unit when it is refused."""
    try:
        match deed:
            case "tick":
                return tick(made, key, at=now, initials="AB", reading="1", override="because", lst=lst)
            case "untick":
                return untick(made, key, lst=lst)
            case "reading":
                return write_reading(made, key, "0.4 V", "AB", now, lst=lst)
            case "differs":
                return differs(made, key, chance.draw(st.sampled_from(("", "one short"))), lst=lst)
            case "count":
                bags = ledger(made).bags
                bag = chance.draw(st.sampled_from(sorted(bags))) if bags else ""
                kind = chance.draw(st.sampled_from(sorted(bags[bag].kinds))) if bags else ""
                return count_bag(made, bag, kind, chance.draw(st.integers(0, 4)), at=now)
    except InputError:
        pass
    return made


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 20), st.data())
def test_the_progress_after_each_deed_is_that_of_the_record(seed: int, n: int, data: st.DataObject) -> None:
    made = record(seed, n)
    try:
        lst = refit_list(made)
    except CircleError:
        assume(False)
        raise
    assume(lst.lines)
    now, progress = NOW, Progress(made, lst, NOW)
    keys = st.sampled_from(sorted(lst.by_tick))
    for deed in data.draw(st.lists(st.sampled_from(DEEDS), min_size=1, max_size=8)):
        made = done(made, lst, deed, data.draw(keys), now, data)
        now += timedelta(minutes=data.draw(st.sampled_from((0, 1, 59, 60, 61)))) if deed == "wait" else timedelta(0)
        progress = follow(progress, made, now)
        assert (progress.unit, progress.now) == (made, now)
        as_worked_out_anew(progress)


def glued_then_panel() -> tuple[Unit, RefitList]:
    """A panel that goes on 60 minutes after a glued block."""
    block = step("T02", "block", one_way=one_way("glued", remake={"method": "glue it", "cure": 60}))
    made = unit(step("T01", "panel", fasteners=[screws(4)], bag="1"), block, step("T03", "foot"))
    return made, refit_list(made)


def test_a_wait_begins_with_the_tick_and_ends_by_itself() -> None:
    made, lst = glued_then_panel()
    before = Progress(made, lst, NOW)
    for key in ("check", "T03", "T02"):
        made = tick(made, key, at=NOW, initials="AB", reading="1", lst=lst)
        before = follow(before, made, NOW)
    waits = before.lines["T01"]
    assert not waits.ready
    assert "is curing" in waits.missing[0]
    over = follow(before, made, NOW + timedelta(minutes=60))
    assert over.lines["T01"].ready
    as_worked_out_anew(over)


def test_a_clock_set_back_is_believed() -> None:
    made, lst = glued_then_panel()
    for key in ("check", "T03", "T02"):
        made = tick(made, key, at=NOW, initials="AB", reading="1", lst=lst)
    late = Progress(made, lst, NOW + timedelta(minutes=61))
    assert late.lines["T01"].ready
    early = follow(late, made, NOW + timedelta(minutes=59))
    assert not early.lines["T01"].ready
    as_worked_out_anew(early)


def test_only_what_a_tick_bears_on_is_another_value() -> None:
    made = unit(*(step(f"T{i:02d}", stated=True) for i in range(1, 30)), relations=[relation("T01", "T02")])
    lst = refit_list(made)
    made = tick(made, "check", at=NOW, lst=lst)
    before = Progress(made, lst, NOW)
    ticked = tick(made, "T02", at=NOW, over=before)
    after = follow(before, ticked, NOW)
    assert lines_touched(before, after) == {"T02"}
    assert {k for k in after.lines if after.lines[k] is not before.lines[k]} == {"T01", "T02", "audit"}
    assert after.lines["T01"].ready
    assert after.index is before.index


def test_a_lump_waits_for_what_comes_before_any_of_it() -> None:
    made = unit(
        *(step(code, stated=True) for code in ("T01", "T02", "T03")),
        relations=[relation("T01", "T02", "together"), relation("T02", "T03")],
        sub_assemblies=[lump("S1", "T01")],
    )
    lst = refit_list(made)
    made = tick(made, "check", at=NOW, lst=lst)
    before = Progress(made, lst, NOW)
    assert not before.lines["T01"].ready
    after = follow(before, tick(made, "T03", at=NOW, over=before), NOW)
    assert after.lines["T01"].ready
    as_worked_out_anew(after)


def test_a_change_of_the_record_is_not_taken_for_a_tick() -> None:
    made, lst = glued_then_panel()
    before = Progress(made, lst, NOW)
    changed = with_changes(made, operations=(operation("B1", for_steps=("T03",)),))
    after = follow(before, changed, NOW)
    assert after.index is not before.index
    assert after.lines["T03"].missing
    as_worked_out_anew(after)
