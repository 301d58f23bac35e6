"""How one thing of a list is told from the others, in any copy of the record: by its code, or by what it is about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from logbook.model.base import Frozen
from logbook.model.casework_records import Size
from logbook.model.layout_records import KeptLayout
from logbook.model.shop import FreeTime
from logbook.model.step import Connection, Disposal, Measurement, PictureMark, Proof, Relation, Setting, Step
from logbook.model.unit import BagCount, LeftAs, TestResult
from logbook.model.work import MakeOrBreak, Spent, StopLine

Key = tuple[str, ...]
"""What a thing is called; empty when it has no name of its own."""

_ALL = ("",)
"""Everything that is said in it: a note of what happened, which is added and hardly ever changed."""

_TOLD_BY: dict[type[Frozen], tuple[str, ...]] = {
    Relation: ("kind", "earlier", "later"),
    BagCount: ("bag", "kind"),
    Measurement: ("what", "member"),
    Setting: ("what", "member"),
    FreeTime: ("weekday", "on", "start"),
    KeptLayout: ("what", "with_units"),
    Proof: _ALL,
    Spent: _ALL,
    StopLine: _ALL,
    PictureMark: _ALL,
}
_USUAL = ("code", "line", "sha256", "file", "member", "name", "what", "kind", "work", "consumable", "number")
"""Of any other thing: the first of these that it has."""

WHOLE: frozenset[type[Frozen]] = frozenset({KeptLayout, LeftAs, TestResult, MakeOrBreak, Disposal, Size})
"""Records whose fields belong together, so that half of one and half of the other would be true of neither."""

_SAME: dict[type[Frozen], tuple[str, ...]] = {Step: ("what", "at"), Connection: ("start", "end")}
"""What must agree for two things, written apart under one code, to be the same thing; else its name or what it is."""


def key_of(thing: Frozen) -> Key:
    """What a thing is called."""
    named = _TOLD_BY.get(type(thing))
    if named == _ALL:
        return (thing.model_dump_json(),)
    if named is not None:
        return tuple(_text(getattr(thing, name)) for name in named)
    fields = type(thing).model_fields
    return next(((_text(getattr(thing, name)),) for name in _USUAL if name in fields and getattr(thing, name)), ())


def keys_of(things: Sequence[Frozen]) -> list[Key] | None:
    """What each of a list is called; None when not every one has a name of its own."""
    keys = [key_of(thing) for thing in things]
    if any(_TOLD_BY.get(type(thing)) == _ALL for thing in things):
        return _counted(keys)
    return keys if all(keys) and len(set(keys)) == len(keys) else None


def name_of(key: Key) -> str:
    """What a thing is called, as it stands in the way to a field."""
    return " ".join(filter(None, key))


def are_same(one: Frozen, other: Frozen) -> bool:
    """Whether two things that were written apart under one code are one thing."""
    if one == other:
        return True
    fields = type(one).model_fields
    named = _SAME.get(type(one)) or tuple(name for name in ("name", "what") if name in fields)
    said = [(_text(getattr(one, name)), _text(getattr(other, name))) for name in named]
    return bool(said) and all(a and a.casefold() == b.casefold() for a, b in said)


def is_another(was: Frozen, now: Frozen) -> bool:
    """Whether a thing was taken out and its code given to another: no word of what it was is left, nor its time."""
    named = [name for name in ("name", "what") if name in type(was).model_fields]
    old, new = ({word for name in named for word in _text(getattr(one, name)).casefold().split()} for one in (was, now))
    at, at_now = (getattr(one, "at", None) for one in (was, now))
    is_same_time = at is not None and at == at_now
    return bool(old and new) and not old & new and not is_same_time


def _counted(keys: Sequence[Key]) -> list[Key]:
    """The keys, a second one of the same with its number."""
    seen: Counter[Key] = Counter()
    numbered = []
    for key in keys:
        numbered.append((*key, str(seen[key])) if seen[key] else key)
        seen[key] += 1
    return numbered


def _text(value: object) -> str:
    if isinstance(value, tuple):
        return " ".join(map(_text, value))
    return "" if value is None else " ".join(str(value).split())
