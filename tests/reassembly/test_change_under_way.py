"""The teardown record is changed while the refit is under way: nothing ticked disappears, and what changed is said."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import NamedTuple

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from logbook.errors import CircleError, InputError
from logbook.model.edits import change_step, drop_step, keep_step, relate, state_order, unrelate, with_changes
from logbook.model.precedence import HARD
from logbook.model.step import Relation, Step
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.reassembly import (
    LineKind,
    Progress,
    RefitLine,
    RefitList,
    left_over,
    lines_to_look_at_again,
    refit_list,
    tick,
)
from logbook.reassembly.refit_records import SentenceGroup
from tests.builders import at, relation, screws, step, steps, tick_line, unit
from tests.reassembly.random_records import record

NOW = at("2026-03-12 20:00")
EDITS = ("words", "fasteners", "photo taken", "drop", "add", "relate", "unrelate", "free", "tick", "tick", "tick")


def edited(made: Unit, edit: str, data: st.DataObject) -> Unit:
    """The record after one edit at the desk; the same when it is refused."""
    code = data.draw(st.sampled_from([s.code for s in made.steps]))
    chosen = made.step(code)
    assert chosen is not None
    try:
        match edit:
            case "words":
                return change_step(made, with_changes(chosen, what=f"{chosen.what} again"))
            case "fasteners":
                return change_step(made, with_changes(chosen, fasteners=(*chosen.fasteners, screws(2))))
            case "photo taken":
                return change_step(made, with_changes(chosen, photo_taken=True))
            case "drop":
                return drop_step(made, code) if len(made.steps) > 1 else made
            case "add":
                return keep_step(made, step(f"Z{len(made.steps)}", "found later"), [code])
            case "relate":
                other = data.draw(st.sampled_from([s.code for s in made.steps]))
                kind = data.draw(st.sampled_from(list(RelationKind)))
                return relate(made, relation(code, other, kind)) if other != code else made
            case "unrelate":
                return unrelate(made, data.draw(st.sampled_from(made.relations))) if made.relations else made
            case "free":
                return state_order(made, code, OrderBasis.STATED)
    except (InputError, CircleError):
        pass
    return made


def seen_of(made: Unit, codes: tuple[str, ...]) -> list[Step]:
    """The steps without what says nothing about the way back, as the person who ticked saw them."""
    passing = {"photos": (), "photo_taken": None, "at": None, "by": "", "minutes": None, "order": OrderBasis.PROVEN}
    found = [made.step(code) for code in codes]
    return [s.model_copy(update=passing) for s in found if s is not None]


def said_at(line: RefitLine) -> tuple[object, ...]:
    """What one takes, does, tightens and checks at a line; a number of another line is only where that stands."""
    groups = (SentenceGroup.DO, SentenceGroup.TAKE, SentenceGroup.EACH, SentenceGroup.CONNECT, SentenceGroup.CHECK)
    said = tuple(re.sub(r"A\d+a?", "", sentence.text) for sentence in line.said if sentence.group in groups)
    pieces = tuple((piece.kind, piece.count, piece.bag, piece.new) for piece in line.fasteners)
    return (
        re.sub(r"A\d+a?", "", line.title),
        said,
        pieces,
        line.box,
        line.first,
        line.tighten,
        line.connections,
        line.settings,
        line.holds,
        line.members,
    )


def the_list_is_whole(made: Unit, lst: RefitList) -> None:
    """Every step stands at one line or says why not, and every hard relation between lines is kept."""
    own = [c for x in lst.lines if x.key in (*x.steps, "check") for c in x.steps]
    assert sorted(own + [x.step for x in lst.left_out]) == sorted(s.code for s in made.steps)
    place = {x.key: i for i, x in enumerate(lst.lines)}
    for r in made.relations:
        if r.kind in HARD and r.earlier in place and r.later in place:
            assert place[r.later] < place[r.earlier]


class Seen(NamedTuple):
    """What a person saw who ticked a line."""

    steps: list[Step]
    said: tuple[object, ...]
    relations: frozenset[Relation]


def seen_now(made: Unit, line: RefitLine) -> Seen:
    related = (r for r in made.relations if {r.earlier, r.later} & set(line.steps))
    return Seen(seen_of(made, line.steps), said_at(line), frozenset(related))


@settings(max_examples=150, deadline=None)
@given(st.integers(0, 2**32), st.integers(2, 16), st.lists(st.sampled_from(EDITS), min_size=3, max_size=14), st.data())
def test_ticks_outlive_every_edit_of_the_record(seed: int, n: int, edits: list[str], data: st.DataObject) -> None:
    made = with_changes(record(seed, n), refit={})
    try:
        lst = refit_list(made)
    except CircleError:
        assume(False)
        raise
    seen: dict[str, Seen] = {}
    for i, edit in enumerate(edits):
        if edit == "tick":
            if not lst.lines:
                continue
            line = lst.by_key[data.draw(st.sampled_from([x.key for x in lst.lines]))]
            now = NOW + timedelta(minutes=i)
            made = tick_line(made, line, now, initials="AB", reading="1", override="as it is", lst=lst)
            now_seen = seen_now(made, refit_list(made).by_key[line.key])
            seen.update(dict.fromkeys(line.tick_keys, now_seen))
        else:
            made = edited(made, edit, data)
        try:
            lst = refit_list(made)
        except CircleError:  # a set of edits may well close one; the relations say so at the desk
            return
        the_list_is_whole(made, lst)
        ticks_are_where_they_belong(made, lst, seen)


def ticks_are_where_they_belong(made: Unit, lst: RefitList, seen: dict[str, Seen]) -> None:
    """Every tick is at its line, marked exactly when that says something else now; or it is said to be gone."""
    kept = {x.line for x in made.refit.lines if x.done}
    assert kept == set(seen)
    gone, progress = {x.step for x in lst.gone}, Progress(made, lst, NOW)
    again = lines_to_look_at_again(progress)
    for key in kept:
        line = lst.by_tick.get(key)
        assert (line is None) == (key in gone)
        if line is not None and all(k in kept for k in line.tick_keys):
            assert progress.is_done(line)
            now = seen_now(made, line)
            then = [seen[k] for k in line.tick_keys]
            assert line.key in again or all(t.said == now.said for t in then)
            if line.kind is LineKind.STEP:
                assert line.key not in again or any(t != now for t in then)
    assert again <= {lst.by_tick[k].key for k in kept if k in lst.by_tick}
    open_ones = {x.about for x in left_over(made, lst)}
    assert again <= open_ones
    assert gone <= open_ones


def test_a_step_found_later_takes_its_place_and_the_ticks_stay_with_theirs() -> None:
    made = unit(*steps(4))
    made = tick(made, "check", at=NOW)
    made = tick(made, "T04", at=NOW, initials="AB")
    made = tick(made, "T03", at=NOW, initials="AB")
    numbers = {x.key: x.number for x in refit_list(made).lines}
    assert numbers["T03"] == "A03"
    made = keep_step(made, step("T05", "bracket that was forgotten"), ["T04"])
    lst = refit_list(made)
    assert [x.key for x in lst.lines] == ["check", "T05", "T04", "T03", "T02", "T01", "audit"]
    found = Progress(made, lst, NOW).lines
    assert [k for k, r in found.items() if r.done] == ["check", "T04", "T03"]
    assert found["T05"].ready
    assert lines_to_look_at_again(Progress(made, lst, NOW)) == frozenset()


def test_a_ticked_step_that_is_taken_out_is_said_and_keeps_the_unit_open() -> None:
    made = tick(unit(*steps(3)), "T03", at=NOW, override="it was never off")
    made = drop_step(made, "T03")
    lst = refit_list(made)
    assert [x.step for x in lst.gone] == ["T03"]
    assert "T03" in {x.about for x in left_over(made, lst)}
