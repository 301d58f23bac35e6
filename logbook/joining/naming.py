"""Which fields name which things, and a record with other codes, in which everything that names them follows."""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, NamedTuple, TypeVar

from logbook.model.base import Frozen
from logbook.model.fields import fields_of
from logbook.model.layout_records import KeptLayout

R = TypeVar("R", bound=Frozen)

Codes = Mapping[str, Mapping[str, str]]
"""By the kind of thing, such as `Step`: its old codes with the new ones."""

NAMES: Mapping[tuple[str, str], str] = {
    ("Relation", "earlier"): "Step",
    ("Relation", "later"): "Step",
    ("SubAssembly", "came_out_at"): "Step",
    ("Component", "from_step"): "Step",
    ("StackUp", "step"): "Step",
    ("Proof", "step"): "Step",
    ("ToLookAt", "first_steps"): "Step",
    ("ToLookAt", "second_steps"): "Step",
    ("Operation", "for_steps"): "Step",
    ("Operation", "before_steps"): "Step",
    ("Part", "for_steps"): "Step",
    ("Step", "each_of"): "PartSet",
    ("MemberDifference", "member"): "Member",
    ("Step", "inside"): "SubAssembly",
    ("Step", "components"): "Component",
    ("Part", "for_components"): "Component",
    ("Fitting", "component"): "Component",
    ("Operation", "after"): "Operation",
    ("OneWay", "rebuilt_by"): "Operation",
    ("Needs", "parts"): "Part",
    ("Panel", "mirror_of"): "Panel",
    ("Panel", "between"): "Panel",
    ("Strip", "on"): "Panel",
    ("StackUp", "panel"): "Panel",
    ("HeldDimension", "panel"): "Panel",
    ("HeldDimension", "between"): "Panel",
    ("HeldDimension", "at"): "StackUp",
    ("Layer", "piece"): "Offcut",
    ("Leaf", "piece"): "Offcut",
    ("Strip", "piece"): "Offcut",
}
"""Kind of record and field: the kind of thing whose code stands there, alone or in a list."""

_WORK = {"J": "Step", "C": "Component"}
"""Codes of work that follows from the record: `J-T05` the joint of a step, `C-CH` the repair of a component."""
_OF_WORK = {("Operation", "code"), ("Operation", "stands_for"), ("Operation", "apart_from"), ("Operation", "after")}
_LAID = {("WantedPart", "code"), ("Division", "part"), ("LeftOut", "part"), ("KeptLayout", "spoilt")}
"""Parts as a layout calls them: panels and strips."""
_STEP_OF_LINE = re.compile(r"[^/:]+")
"""The step in the key of a line of the refit list: `T13`, `T13/D2`, `T11:tighten`."""


class Named(NamedTuple):
    """A code that stands somewhere for a thing."""

    kind: str
    code: str
    at: tuple[str, str]
    """Kind of record and field in which it stands."""


@functools.cache
def fields_within(kind: type[Frozen]) -> tuple[str, ...]:
    """The fields of a kind of record that hold other records."""
    return tuple(field.name for field in fields_of(kind) if field.record is not None)


@functools.cache
def kinds_within(kind: type[Frozen]) -> frozenset[type[Frozen]]:
    """Every kind of record that can stand in one of this kind, all the way down, itself included."""
    found = {kind}
    todo = [kind]
    while todo:
        inside = {field.record for field in fields_of(todo.pop()) if field.record is not None} - found
        found |= inside
        todo += inside
    return frozenset(found)


@functools.cache
def _fields_that_lead_to(kind: type[Frozen], asked: Callable[[type[Frozen]], bool]) -> tuple[str, ...]:
    """The fields of a kind that hold records in which, all the way down, there is one of a kind asked for.

    A unit has thousands of fasteners and holes, in which nothing has a code and nothing is named: they are passed over.
    """
    return tuple(
        field.name
        for field in fields_of(kind)
        if field.record is not None and any(asked(each) for each in kinds_within(field.record))
    )


def _has_code(kind: type[Frozen]) -> bool:
    return "code" in kind.model_fields


def _names_something(kind: type[Frozen]) -> bool:
    return bool(_naming_fields(kind))


def _holds_a_code(kind: type[Frozen]) -> bool:
    """Whether codes stand in a kind of record: its own, or those of what it names."""
    return bool(_fields_with_codes(kind))


@functools.cache
def _fields_with_codes(kind: type[Frozen]) -> tuple[str, ...]:
    """The fields of a kind of record in which a code stands, alone or in a list."""
    places = {*NAMES, *_OF_WORK, *_LAID, ("LineState", "line")}
    return tuple(name for name in kind.model_fields if name == "code" or (kind.__name__, name) in places)


@functools.cache
def _naming_fields(kind: type[Frozen]) -> tuple[tuple[str, str], ...]:
    """The fields of a kind of record that name things, each with the kind of what it names."""
    return tuple((name, of) for (holder, name), of in NAMES.items() if holder == kind.__name__)


def within(record: Frozen) -> Iterator[tuple[str, Frozen]]:
    """The records that stand in a record, each with its field."""
    for name in fields_within(type(record)):
        for one in _inside(record, name):
            yield name, one


def _inside(record: Frozen, name: str) -> Iterable[Frozen]:
    """The records that stand in one field of a record."""
    value = getattr(record, name)
    if isinstance(value, tuple):
        return value
    return () if value is None else (value,)


def names_in(record: Frozen) -> list[Named]:
    """Everything that is named by its code in a record, all the way down."""
    found: list[Named] = []
    todo = [record]
    while todo:
        holder = todo.pop()
        kind = type(holder)
        for name, of in _naming_fields(kind):
            value = getattr(holder, name)
            codes = value if isinstance(value, tuple) else (value,)
            found += [Named(of, str(code), (kind.__name__, name)) for code in codes if code]
        for name in _fields_that_lead_to(kind, _names_something):
            todo += _inside(holder, name)
    return found


def codes_in(record: Frozen) -> list[tuple[str, Frozen]]:
    """Every thing with a code in a record, all the way down, but for what a layout only copied: the code, the thing."""
    found: list[tuple[str, Frozen]] = []
    _collect_codes(record, found)
    return found


def _collect_codes(record: Frozen, found: list[tuple[str, Frozen]]) -> None:
    for name in _fields_that_lead_to(type(record), _has_code):
        for one in _inside(record, name):
            kind = type(one)
            if kind is KeptLayout:
                continue
            if _has_code(kind):
                found.append((one.code, one))  # type: ignore[attr-defined]
            if _fields_that_lead_to(kind, _has_code):
                _collect_codes(one, found)


def with_codes(record: R, codes: Codes) -> R:
    """The record with other codes for some things; whatever names them follows. What stays is shared."""
    if not any(codes.values()):
        return record
    changes = {}
    kind = type(record)
    for name in (*_fields_with_codes(kind), *_fields_that_lead_to(kind, _holds_a_code)):
        value = getattr(record, name)
        after = _followed(value, kind.__name__, name, codes)
        if after is not value and after != value:
            changes[name] = after
    return record.model_copy(update=changes) if changes else record


def _followed(value: Any, kind: str, name: str, codes: Codes) -> Any:
    if isinstance(value, Frozen):
        return with_codes(value, codes)
    if isinstance(value, tuple):
        after = tuple(_followed(one, kind, name, codes) for one in value)
        return after if any(a is not b for a, b in zip(after, value, strict=True)) else value
    return _code(value, kind, name, codes) if isinstance(value, str) else value


def _code(value: str, kind: str, name: str, codes: Codes) -> str:
    place = (kind, name)
    if place == ("LineState", "line"):
        return _STEP_OF_LINE.sub(lambda step: codes.get("Step", {}).get(step[0], step[0]), value, count=1)
    if place in _LAID:
        return codes.get("Panel", {}).get(value) or codes.get("Strip", {}).get(value, value)
    if place in _OF_WORK and (of := _WORK.get(value[:1])) and value[1:2] == "-":
        return value[:2] + codes.get(of, {}).get(value[2:], value[2:])
    named = kind if name == "code" else NAMES.get(place, "")
    return codes.get(named, {}).get(value, value)


def step_of_line(line: str) -> str:
    """The code of the step that a line of the refit list belongs to; another word for the lines of none."""
    found = _STEP_OF_LINE.match(line)
    return found[0] if found else ""
