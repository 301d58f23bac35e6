"""Random edits of a unit, as a person makes them on one side: each says what must be found of it after the joining."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from typing import NamedTuple

from hypothesis import strategies as st

from logbook.errors import LogbookError
from logbook.joining import Joined
from logbook.model.edits import drop_step, free_code, keep_step, next_step_code, relate
from logbook.model.numbering import next_code
from logbook.model.paths import moved_at, put_at
from logbook.model.step import HoldPoint
from logbook.model.unit import Component, LineState, SubAssembly, Unit
from logbook.model.work import Operation, Part, Spent
from tests.builders import at, fastener, part_set, relation, step, unit, wire

START = at("2026-03-12 18:00")
FIELDS = ("bag", "note", "box", "as_found", "held_by")
OLD = ("T01", "T02", "T03", "T04", "T05")

Make = Callable[[Unit, str, datetime], Unit]


class Edit(NamedTuple):
    """One edit of one side."""

    name: str
    make: Make

    def of(self, record: Unit, words: str, when: datetime) -> Unit:
        """The record after it; as it was, when the edit cannot be made any more."""
        try:
            return self.make(record, words, when)
        except LogbookError:
            return record


def before() -> Unit:
    """What both sides said in common."""
    steps = [step(code, f"part {code}", fasteners=(fastener("screw", 2),), note="as it was") for code in OLD]
    return unit(*steps, relations=[relation("T01", "T03")])


def _new_step(record: Unit, words: str, when: datetime) -> Unit:
    code = next_step_code(record)
    new = step(code, words, at=when, bag=words[-3:], connections=[wire("W1", words, "tag")])
    return keep_step(record, new, (record.steps[-1].code,) if record.steps else ())


def _field(field: str, code: str, record: Unit, words: str, _when: datetime) -> Unit:
    return put_at(record, ("steps", code, field), words)


def _drop(code: str, record: Unit, _words: str, _when: datetime) -> Unit:
    return drop_step(record, code)


def _relate(earlier: str, later: str, record: Unit, words: str, _when: datetime) -> Unit:
    return relate(record, relation(earlier, later, why=words))


def _tick(code: str, record: Unit, words: str, when: datetime) -> Unit:
    lines = tuple(x for x in record.refit.lines if x.line != code)
    line = LineState(line=code, done=True, at=when, initials="AB", differs=words)
    return put_at(record, ("refit", "lines"), (*lines, line))


def _part(record: Unit, words: str, _when: datetime) -> Unit:
    new = Part(code=f"N{len(record.parts) + 1}", name=words, quantity=1, for_steps=(record.steps[-1].code,))
    return record.model_copy(update={"parts": (*record.parts, new)})


def _notes(record: Unit, words: str, _when: datetime) -> Unit:
    return put_at(record, ("notes",), words)


def _operation(record: Unit, words: str, _when: datetime) -> Unit:
    after = (record.operations[-1].code,) if record.operations else ()
    steps = (record.steps[-1].code,) if record.steps else ()
    new = Operation(code=next_code(record, Operation), name=words, after=after, for_steps=steps)
    return record.model_copy(update={"operations": (*record.operations, new)})


def _set_with_a_step(record: Unit, words: str, when: datetime) -> Unit:
    code = free_code("D", [s.code for s in record.sets])
    with_set = record.model_copy(update={"sets": (*record.sets, part_set(code, 2, words))})
    return keep_step(with_set, step(next_step_code(record), words, at=when, each_of=code))


def _lump(record: Unit, words: str, _when: datetime) -> Unit:
    if not record.steps:
        return record
    code = free_code("A", [s.code for s in record.sub_assemblies])
    new = SubAssembly(code=code, name=words, came_out_at=record.steps[-1].code)
    return record.model_copy(update={"sub_assemblies": (*record.sub_assemblies, new)})


def _component(code: str, record: Unit, words: str, _when: datetime) -> Unit:
    name = free_code("V", [c.code for c in record.components])
    with_it = record.model_copy(update={"components": (*record.components, Component(code=name, name=words))})
    return put_at(with_it, ("steps", code, "components"), (name,))


def _hold(code: str, record: Unit, words: str, _when: datetime) -> Unit:
    now = record.step(code)
    if now is None:
        return record
    held = now.hold
    new = (
        HoldPoint(code="H1", what="insulation", limit=words)
        if held is None
        else held.model_copy(update={"reading": words, "initials": "AB"})
    )
    return put_at(record, ("steps", code, "hold"), new)


def _spent(record: Unit, words: str, _when: datetime) -> Unit:
    return record.model_copy(update={"spent": (*record.spent, Spent(what=words))})


def _moved(code: str, record: Unit, _words: str, _when: datetime) -> Unit:
    return moved_at(record, ("steps", code), -1)


def edits() -> st.SearchStrategy[list[Edit]]:
    """A few edits of one side."""
    code = st.sampled_from(OLD)
    one = st.one_of(
        st.just(Edit("step", _new_step)),
        st.just(Edit("part", _part)),
        st.just(Edit("notes", _notes)),
        st.just(Edit("operation", _operation)),
        st.just(Edit("set", _set_with_a_step)),
        st.just(Edit("lump", _lump)),
        st.just(Edit("spent", _spent)),
        st.builds(lambda c: Edit(f"component at {c}", partial(_component, c)), code),
        st.builds(lambda c: Edit(f"hold at {c}", partial(_hold, c)), code),
        st.builds(lambda c: Edit(f"{c} up", partial(_moved, c)), code),
        st.builds(lambda f, c: Edit(f"{c} {f}", partial(_field, f, c)), st.sampled_from(FIELDS), code),
        st.builds(lambda c: Edit(f"without {c}", partial(_drop, c)), code),
        st.builds(lambda a, b: Edit(f"{a} before {b}", partial(_relate, a, b)), code, code),
        st.builds(lambda c: Edit(f"tick {c}", partial(_tick, c)), code),
    )
    return st.lists(one, max_size=8)


def grown(base: Unit, side: str, made: list[Edit], minutes: int) -> tuple[Unit, list[str]]:
    """The record of a side after its edits, and the words that each of them wrote."""
    record, written = base, []
    for number, edit in enumerate(made):
        words = f"{side} wrote {number}"
        after = edit.of(record, words, START + timedelta(minutes=minutes + 10 * number))
        if after is not record:
            record = after
            written.append(words)
    return record, written


def found_in(result: Joined[Unit]) -> str:
    """The joined record and what is left to a person, as one text to look for words in."""
    return result.record.model_dump_json() + "".join(look.model_dump_json() for look in result.to_look_at)
