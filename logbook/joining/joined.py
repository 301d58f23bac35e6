"""Three-way joining of records: what both said in common, and what each side says now.

A field that one side changed is as that side says. Things of lists are told by what they are called. What both changed
differently is asked once: until then the record has the second side's value, and both stand in `to_look_at`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any, Generic, NamedTuple, TypeVar

from logbook.errors import InputError
from logbook.joining.in_words import Place, Says, Three, both_changed, kept_all_the_same
from logbook.joining.looking import left_to_a_person
from logbook.joining.naming import NAMES, Named, codes_in, names_in
from logbook.joining.numbers import NewNumber, renumbered
from logbook.joining.step_order import joined_order
from logbook.joining.things import WHOLE, Key, keys_of, name_of
from logbook.model.apart import ToLookAt
from logbook.model.base import Frozen
from logbook.model.document import structure_problems
from logbook.model.fields import Field, FieldKind, fields_of
from logbook.model.record_edits import as_sentence
from logbook.model.shop import Shop
from logbook.model.unit import LineState, Unit

R = TypeVar("R", Unit, Shop)
Numbers = tuple[NewNumber, ...]
Looks = tuple[ToLookAt, ...]
Way = tuple[str, ...]
Kept = frozenset[tuple[str, Key]]
"""Things that were taken out on one side and that something else still names: they stay."""

_NEWEST = "touched"
_ADDS_UP = frozenset({"minutes_worked"})
"""Counters: what each side added counts."""


class Side(NamedTuple, Generic[R]):
    """One of the two copies."""

    record: R
    by: str
    """Who wrote last in it and when, as a sentence names the side: “AB, 2026-03-12 20:41”."""
    since: datetime
    """When it went its own way: its first change that the other does not have."""
    mark: str = ""
    """Settles which side is the first when both went their own way at one moment."""


class Joined(NamedTuple, Generic[R]):
    """What came of it."""

    record: R
    """It has `to_look_at` as well."""
    renumbered: Numbers
    to_look_at: Looks
    """Only what this joining left to a person; the record may have more of earlier ones."""


def joined(before: R, one: Side[R], other: Side[R]) -> Joined[R]:
    """Both copies in one record. Which is `one` and which `other` makes no difference.

    Raises:
        InputError: what each side wrote contradicts the other so that no record can hold both; says what.
    """
    first, second = sorted((one, other), key=lambda side: (side.since, side.mark))
    return Joined(*_joined(before, first, second))


def _joined(before: Any, first: Side[Any], second: Side[Any]) -> tuple[Any, Numbers, Looks]:
    numbered = renumbered(before, first.record, second.record, (first.mark, second.mark))
    three, says = Three(before, numbered.first, numbered.second), Says(first.by, second.by)
    record, asked = _walked(three, says)
    record, looked = left_to_a_person(record, three, says, numbered)
    looks = (*asked, *looked)
    record = record.model_copy(update={"to_look_at": tuple(dict.fromkeys((*record.to_look_at, *looks)))})
    _refuse_contradiction(record, numbered.first, numbered.second)
    return record, (*numbered.of_first, *numbered.of_second), looks


def _walked(three: Three, says: Says) -> tuple[Any, Looks]:
    """The joined record, in which everything is there that something names, and what both changed."""
    kept: Kept = frozenset()
    while True:
        joining = _Joining(type(three.first), says, kept)
        record = joining.record(three, ())
        missing = _put_back(record, three) - kept
        if not missing:
            return record, tuple(joining.looks)
        kept |= missing


def _put_back(record: Frozen, three: Three) -> Kept:
    """Things that one side took out while the other side wrote something that names them."""
    found = _names_of_nothing(record)
    if not found:
        return frozenset()
    known = _names_of_nothing(three.first) | _names_of_nothing(three.second)
    was = {(type(thing).__name__, code) for code, thing in codes_in(three.was)}
    wanted = {(named.kind, named.code) for named in found - known} & was
    return frozenset((kind, (code,)) for kind, code in wanted)


def _names_of_nothing(record: Frozen) -> set[Named]:
    """Names in a record for which nothing is there."""
    there = {(type(thing).__name__, code) for code, thing in codes_in(record)}
    return {named for named in names_in(record) if (named.kind, named.code) not in there}


def _refuse_contradiction(record: Frozen, first: Frozen, second: Frozen) -> None:
    if not (isinstance(record, Unit) and isinstance(first, Unit) and isinstance(second, Unit)):
        return
    found = [as_sentence(said) for said in structure_problems(record)]
    known = {as_sentence(said) for side in (first, second) for said in structure_problems(side)} if found else set()
    for said in found:
        if said not in known:
            raise InputError(f"{record.code} cannot be joined by itself, nothing was changed: {said}")


class _Joining:
    """Walks through three records together and collects what both changed."""

    def __init__(self, kind: type[Frozen], says: Says, kept: Kept) -> None:
        self._kind = kind
        self._says = says
        self._kept = kept
        self.looks: list[ToLookAt] = []

    def record(self, three: Three, way: Way) -> Any:
        """Every field by itself."""
        was, first, second = _one_tick(three)
        changes = {}
        kind: type[Frozen] = type(first)
        for field in fields_of(kind):
            x, y = getattr(first, field.name), getattr(second, field.name)
            if x is not y:
                changes[field.name] = self._field(field, Three(_before(was, field), x, y), (*way, field.name))
        return first.model_copy(update=changes)

    def _field(self, field: Field, three: Three, way: Way) -> Any:
        """A field as the one side says that changed it."""
        was, x, y = three
        if field.kind is FieldKind.RECORDS and self._has_kept(field):
            return self._things(field, three, way)
        if y in (x, was):
            return x
        if x == was:
            return y
        return self._both_changed(field, three, way)

    def _both_changed(self, field: Field, three: Three, way: Way) -> Any:
        was, x, y = three
        if field.name == _NEWEST:
            return max(filter(None, (x, y)))
        if field.name in _ADDS_UP:
            return max(0, x + y - (was or 0))
        if field.kind is FieldKind.RECORDS:
            return self._things(field, three, way)
        if field.kind is FieldKind.RECORD and field.record not in WHOLE and x is not None and y is not None:
            return self.record(three, way)
        if field.kind is FieldKind.TEXTS and field.name in _SETS:
            return _of_sets(was or (), x, y)
        return self._ask(field, x, y, way)

    def _has_kept(self, field: Field) -> bool:
        """Whether the list has things that stay although one side took them out."""
        return field.record is not None and any(kind == field.record.__name__ for kind, _ in self._kept)

    def _ask(self, field: Field, x: Any, y: Any, way: Way) -> Any:
        self.looks.append(both_changed(field, x, y, Place(self._kind, way), self._says))
        return y

    def _things(self, field: Field, three: Three, way: Way) -> Any:
        """A list of things, each by its own name."""
        lists = Three(*(things or () for things in three))
        keys = [keys_of(things) for things in lists]
        if any(k is None for k in keys):
            return self._ask(field, lists.first, lists.second, way)
        named = Three(*(dict(zip(k or (), things, strict=True)) for k, things in zip(keys, lists, strict=True)))
        found = {}
        for key in {**named.was, **named.first, **named.second}:
            thing = self._thing(field, key, Three(*(things.get(key) for things in named)), way)
            if thing is not None:
                found[key] = thing
        times = {key: getattr(thing, "at", None) or getattr(thing, "set_at", None) for key, thing in found.items()}
        order = joined_order(list(named.was), list(named.first), list(named.second), times)
        return tuple(found[key] for key in order if key in found)

    def _thing(self, field: Field, key: Key, three: Three, way: Way) -> Any:
        """One thing of a list; None when it is taken out."""
        was, x, y = three
        at = (*way, name_of(key))
        if x is None or y is None:
            return self._on_one_side(key, three, at)
        if y in (x, was):
            return x
        if x == was:
            return y
        if field.record in WHOLE:
            return self._ask(field._replace(kind=FieldKind.RECORD), x, y, at)
        return self.record(three, at)

    def _on_one_side(self, key: Key, three: Three, at: Way) -> Any:
        """A thing that one side added, or that one took out."""
        was, x, y = three
        there = y if x is None else x
        if was is None or there is None:
            return there
        if there == was and (type(was).__name__, key) not in self._kept:
            return None
        self.looks.append(kept_all_the_same(x, y, Place(self._kind, at), self._says, named=there == was))
        return there


def _before(before: Frozen | None, field: Field) -> Any:
    """What was in common; of a thing that was not there, nothing said."""
    if before is not None:
        return getattr(before, field.name)
    return _NOTHING if field.required else field.default


_NOTHING = object()


_SETS = {name for _, name in NAMES} | {
    "also",
    "answered_no",
    "apart_from",
    "banded",
    "covers",
    "done",
    "faces",
    "not_needed",
    "stands_for",
    "tools",
    "traits",
    "unread",
    "with_units",
}
"""Lists of codes and of words whose order says nothing."""


def _of_sets(before: Sequence[Any], x: Sequence[Any], y: Sequence[Any]) -> tuple[Any, ...]:
    """What neither side took out, and what either put in."""
    gone = (set(before) - set(x)) | (set(before) - set(y))
    return tuple(value for value in dict.fromkeys((*before, *x, *y)) if value not in gone)


def _one_tick(three: Three) -> Three:
    """Two ticks of one line are one: the earlier of the two. What was read and said at each stays apart."""
    was, first, second = three
    if not isinstance(first, LineState) or not isinstance(second, LineState) or (was is not None and was.done):
        return three
    if not (first.done and second.done) or first.at is None or second.at is None:
        return three
    tick = first if first.at <= second.at else second
    same = {name: getattr(tick, name) for name in ("at", "initials", "step_seen")}
    return Three(was, first.model_copy(update=same), second.model_copy(update=same))
