"""A short mark of a step as it read when its line was ticked: another mark later means “look again”.

The mark is drawn from the step as it is written in a document. A field that a record learnt later must not change the
mark of a step that does not use it, or every tick of an older book would want another look: such fields stand in the
table below and are left out while they say nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
from logbook.reassembly.index import RefitIndex
from logbook.reassembly.refit_records import LineKind, RefitLine
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
_LEARNT_LATER = (_LOOSE_PIECES, _OF_MEMBERS, _SAID_AS_IT_IS, _HOLD_OF_A_MEMBER)
"""What the records learnt after the first books were written, each time together: kind of record to its new fields."""


def mark_of(index: RefitIndex, line: RefitLine) -> str:
    """A short mark of all that the line's words and counts are drawn from; it changes when they may have."""
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
