"""A short mark of what a line said when it was ticked: another mark later means “look again”.

It has two parts. A line is looked at again when both of them say something else: the record behind the line, and the
line as it is read, topic by topic, which also tells what has changed.

The first part is drawn from everything of the record that says what is taken, done, tightened or checked at the
line, and not from the words for it: a sentence that reads better in a later program is no reason to look again. Nor is
the number of a line or of a step, which says where it stands.

Ticks of older books have the first part alone, or a mark that was drawn from the step alone, with every field of it
written out. They are compared by that one. A field that a record learnt later must not change it for a step that does
not use it: such fields stand in the table below and are left out while they say nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from hashlib import sha256
from typing import Any

from logbook.model.base import Frozen
from logbook.model.step import (
    Connection,
    Fastener,
    Hazard,
    HoldPoint,
    Measurement,
    MemberDifference,
    OneWay,
    Setting,
    Step,
)
from logbook.reassembly.counting import step_totals
from logbook.reassembly.index import RefitIndex
from logbook.reassembly.line_topics import topics_changed, topics_marked
from logbook.reassembly.refit_records import LineKind, RefitLine, Totals
from logbook.reassembly.sequence import CHECK

_PASSING = ("photos", "photo_taken", "proofs", "at", "by", "minutes")
"""Fields of a step that say nothing about the way back, so a change of them is no reason to look again."""

_LOOSE_PIECES: Mapping[type[Frozen], tuple[str, ...]] = {Fastener: ("piece",)}
_OF_MEMBERS: Mapping[type[Frozen], tuple[str, ...]] = {
    MemberDifference: (
        "left_hand",
        "certainty",
        "certainty_note",
        "guess_settled",
        "as_found_wrong",
        "as_found",
        "should_be",
    ),
}
_SAID_AS_IT_IS: Mapping[type[Frozen], tuple[str, ...]] = {
    Step: ("also", "no_fasteners", "unread", "hold"),
    Fastener: ("renew_as", "new_here"),
    Connection: ("renew", "one_end", "loose_end", "member"),
    Setting: ("member",),
    Measurement: ("member",),
    Hazard: ("gone_at_refit",),
    OneWay: ("further_joints", "answered_no", "not_needed"),
    HoldPoint: ("without_because",),
}
_HOLD_OF_A_MEMBER: Mapping[type[Frozen], tuple[str, ...]] = {MemberDifference: ("hold",)}
_FUNCTION_OF_A_WIRE: Mapping[type[Frozen], tuple[str, ...]] = {Connection: ("function",)}
_LEARNT_LATER = (_LOOSE_PIECES, _OF_MEMBERS, _SAID_AS_IT_IS, _HOLD_OF_A_MEMBER, _FUNCTION_OF_A_WIRE)
"""What the records learnt after the first books were written, each time together: kind of record to its new fields."""


_OF_THE_WHOLE_LINE = "2:"
"""Begins the marks of older books that are drawn from the record behind all of a line; still older ones have nothing
before them."""
_WITH_TOPICS = "3:"
"""Begins the marks that have the topics of the line behind them as well."""
_FACTS = 12
"""Letters of the first part."""
_OF_ITS_PLACE = ("code", "order", "inside", "components", "each_of")
"""Fields of a step that say which it is and where it stands; what they name is in the mark by what it says."""


def mark_of(index: RefitIndex, line: RefitLine) -> str:
    """A short mark of what a line says; it changes when what is taken, done, tightened or checked does."""
    return f"{_WITH_TOPICS}{_mark_of_facts(index, line)}{topics_marked(line)}"


def reads_as_seen(index: RefitIndex, line: RefitLine, seen: str) -> bool:
    """Whether a line still says what a tick of it has seen, by the mark that was kept with the tick."""
    if seen.startswith(_WITH_TOPICS):
        facts, topics = _parts(seen)
        return facts == _mark_of_facts(index, line) or not topics_changed(line, topics)
    if seen.startswith(_OF_THE_WHOLE_LINE):
        return seen == f"{_OF_THE_WHOLE_LINE}{_mark_of_facts(index, line)}"
    return seen == _older_mark(index, line)


def changed_since(line: RefitLine, seen: str) -> tuple[str, ...]:
    """Of what a line says something else than a tick of it has seen, in words; nothing when the mark does not tell."""
    return topics_changed(line, _parts(seen)[1]) if seen.startswith(_WITH_TOPICS) else ()


def _parts(seen: str) -> tuple[str, str]:
    """The two parts of a mark that has topics."""
    at = len(_WITH_TOPICS)
    return seen[at : at + _FACTS], seen[at + _FACTS :]


def _mark_of_facts(index: RefitIndex, line: RefitLine) -> str:
    digest = sha256()
    for fact in _facts(index, line):
        digest.update(f"{fact}\n".encode())
    return digest.hexdigest()[:_FACTS]


def _facts(index: RefitIndex, line: RefitLine) -> Iterator[Any]:
    """Everything of the record that the words and counts of a line are drawn from."""
    yield line.members, line.mirrored
    yield sorted((f.kind, f.count, f.bag, f.new) for f in line.fasteners)
    for code in line.steps:
        step = index.steps[code]
        yield step.model_dump_json(exclude={*_PASSING, *_OF_ITS_PLACE}, exclude_defaults=True)
    if line.kind is LineKind.AUDIT:
        yield Totals.of_all(step_totals(index.sets, step) for step in index.unit.steps)
    if line.kind is LineKind.AUDIT or line.key == CHECK:
        yield sorted((bag, sorted(contents.kinds.items())) for bag, contents in index.bags.items())
    if line.key == CHECK:
        yield [held.model_dump_json(exclude_defaults=True) for held in index.unit.held_dimensions]
        return  # what other records say of the steps that are checked stands at none of its sentences
    for code in line.steps:
        yield from _FROM_OTHERS[line.kind if line.key != code else LineKind.STEP](index, code)


def _at_the_step(index: RefitIndex, code: str) -> Iterator[Any]:
    """What other records say at the line of a step itself: components, parts of one member, lumps, relations."""
    for component in index.components.get(code, ()):
        yield component.name, str(component.disposition), component.member, component.quantity
    for part in index.parts.get(code, ()):
        if part.member and not part.fastener.strip():
            yield part.name, part.member, part.quantity, part.unit
    yield [lump.name for lump in index.came_out_at.get(code, ())]
    yield [relation.items for relation in index.went_on_at.get(code, ())]
    yield code in index.nipped_for, code in index.loosened_for, code in index.tested_before


def _put_on_first(index: RefitIndex, code: str) -> Iterator[Any]:
    """What of other steps goes on before the joint of a step."""
    for relation in index.goes_on_first.get(code, ()):
        source = index.steps.get(relation.earlier)
        yield relation.items or (source.what if source is not None else "")


def _tightened_with(index: RefitIndex, code: str) -> Iterator[Any]:
    """How the steps are tightened that were nipped until this one is."""
    for relation in index.loosened_for.get(code, ()):
        nipped = index.steps.get(relation.later)
        if nipped is not None:
            yield nipped.model_dump_json(include=_TIGHTENING, exclude_defaults=True)


def _tested_because(index: RefitIndex, code: str) -> Iterator[Any]:
    """What the test of a step is for, as what covers it says."""
    yield [relation.why for relation in index.tested_before.get(code, ())]


_FROM_OTHERS: Mapping[LineKind, Callable[[RefitIndex, str], Iterator[Any]]] = {
    LineKind.STEP: _at_the_step,
    LineKind.FIRST: _put_on_first,
    LineKind.TIGHTEN: _tightened_with,
    LineKind.TEST: _tested_because,
}
"""By the kind of line, what other records than its step say at it."""
_TIGHTENING = {"fasteners", "positions", "refit"}


def _older_mark(index: RefitIndex, line: RefitLine) -> str:
    """The mark of a line as older books drew it: from its steps, the bags of the audit, and what is held."""
    digest = sha256()
    if line.kind is LineKind.AUDIT:
        for bag, contents in sorted(index.bags.items()):
            digest.update(repr((bag, sorted(contents.kinds.items()))).encode())
    if line.key == CHECK:
        for held in index.unit.held_dimensions:
            digest.update(held.model_dump_json().encode())
    for code in line.steps:
        step = index.steps[code]
        shown = (f for _, fasteners, _ in index.sets.each(step) for f in fasteners)
        digest.update(step.model_dump_json(exclude=_left_out(step, tuple(shown))).encode())
    return digest.hexdigest()[:12]


def _left_out(step: Step, shown: tuple[Fastener, ...]) -> dict[str, Any]:
    """What does not count for the mark of a step, as pydantic wants it said."""
    records = (step, *_within(step))
    left_out: dict[str, Any] = dict.fromkeys(_PASSING, True)
    for table in _LEARNT_LATER:
        asked = shown if table is _LOOSE_PIECES else records
        if not any(_says(record, table.get(type(record), ())) for record in asked):
            _leave_out(left_out, table)
    return left_out


def _within(step: Step) -> Iterator[Frozen]:
    """The records inside a step that may have learnt fields."""
    yield from step.fasteners
    yield from step.connections
    yield from step.settings
    yield from step.measurements
    yield from step.hazards
    if step.refit.hold is not None:
        yield step.refit.hold
    if step.one_way is not None:
        yield step.one_way
        if step.one_way.remake is not None and step.one_way.remake.hold is not None:
            yield step.one_way.remake.hold
    for difference in step.differences:
        yield difference
        yield from difference.fasteners or ()


def _says(record: Frozen, names: tuple[str, ...]) -> bool:
    """Whether a record uses one of these fields."""
    fields = type(record).model_fields
    return any(getattr(record, name) != fields[name].default for name in names)


_PLACES: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "Step": ((),),
    "Fastener": (("fasteners", "__all__"), ("differences", "__all__", "fasteners", "__all__")),
    "Connection": (("connections", "__all__"),),
    "Setting": (("settings", "__all__"),),
    "Measurement": (("measurements", "__all__"),),
    "Hazard": (("hazards", "__all__"),),
    "OneWay": (("one_way",),),
    "HoldPoint": (("refit", "hold"), ("one_way", "remake", "hold")),
    "MemberDifference": (("differences", "__all__"),),
}
"""Where in a step each kind of record stands."""


def _leave_out(left_out: dict[str, Any], table: Mapping[type[Frozen], tuple[str, ...]]) -> None:
    """Add the fields of a table to what is left out, at every place of their record."""
    for kind, names in table.items():
        for way in _PLACES.get(kind.__name__, ()):
            at = left_out
            for key in way:
                at = at.setdefault(key, {})
            at.update(dict.fromkeys(names, True))
