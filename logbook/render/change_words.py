"""A change to a record in words: which field, what it was, what it is now.

Changes are kept as JSON Patch (RFC 6902) with the inverse beside it; the two are read together. Numbers in
a path are turned into the codes that stand on bags and labels, by looking into the record as it was.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from logbook.render.page import moment_words

Op = Mapping[str, Any]
MOST = 200
"""Lines of one change that are told; the rest is counted."""
MOST_FIELDS = 12
"""Fields told of a thing that came or went."""


class Changed(NamedTuple):
    """One thing that a change did."""

    name: str
    """Where in the record, `steps / T05 / bag`; empty where the record began."""
    before: str | None
    """What stood there; None when nothing is known to have stood there."""
    after: str | None
    """What stands there; None when it was taken out."""

    @property
    def words(self) -> str:
        """In a sentence."""
        if not self.name:
            return f"The record began: {self.after}"
        if self.after is None:
            return f"{self.name}: taken out, it was {self.before}"
        return f"{self.name}: {self.after}" if self.before is None else f"{self.name}: {self.before} → {self.after}"


def change_words(
    do: Sequence[Op], undo: Sequence[Op], after: Any, before: Any = None, now: datetime | None = None
) -> tuple[str, ...]:
    """One sentence for each thing that a change did, as `what_changed` finds them; beyond `MOST` they are counted."""
    lines = [changed.words for changed in what_changed(do, undo, after, before, now)]
    if len(lines) > MOST:
        lines = [*lines[:MOST], f"and {len(lines) - MOST} more"]
    return tuple(lines)


def what_changed(
    do: Sequence[Op], undo: Sequence[Op], after: Any, before: Any = None, now: datetime | None = None
) -> tuple[Changed, ...]:
    """Each thing that a change did.

    Args:
        do: the change.
        undo: its inverse; says what stood there before.
        after: the record after the change, as plain values.
        before: the record before it, for naming what was taken out; None when there was none.
        now: the clock by which moments are read; without it as they are kept, in UTC.
    """
    if now is not None:
        do, undo = [_by_clock(op, now) for op in do], [_by_clock(op, now) for op in undo]
    old = {str(op.get("path", "")): op.get("value") for op in undo if op.get("op") in ("replace", "add")}
    return tuple(_changed(op, old, after, before) for op in do if not _is_own_mark(op))


def names_by_number(do: Sequence[Op]) -> bool:
    """Whether a change names a thing by its place in a list, which only the record itself can turn into a code."""
    parts = (part for op in do for part in str(op.get("path", "")).split("/"))
    return any(part.isdigit() or part == "-" for part in parts)


_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT[\d:.]+(Z|[+-]\d\d:\d\d)")
"""A moment as it is kept in a record."""


def _by_clock(value: Any, now: datetime) -> Any:
    """A plain value with every moment in it as a person reads it, by the clock of `now`."""
    if isinstance(value, dict):
        return {name: _by_clock(inside, now) for name, inside in value.items()}
    if isinstance(value, list):
        return [_by_clock(inside, now) for inside in value]
    if isinstance(value, str) and _MOMENT.fullmatch(value):
        return moment_words(datetime.fromisoformat(value), now)
    return value


_OWN_MARKS = ("touched", "step_seen")
"""What the program notes for itself: when the record was changed, and what a line said when it was ticked."""


def _is_own_mark(op: Op) -> bool:
    return str(op.get("path", "")).rpartition("/")[2] in _OWN_MARKS


def _changed(op: Op, old: Mapping[str, Any], after: Any, before: Any) -> Changed:
    path, kind = str(op.get("path", "")), op.get("op")
    if kind == "remove":
        return Changed(_named(path, before if before is not None else after), _value(old.get(path)), None)
    if not path:
        return Changed("", None, _summary(op.get("value")))
    stood_there = _value(old[path]) if kind == "replace" and path in old else None
    return Changed(_named(path, after), stood_there, _value(op.get("value")))


def _summary(record: Any) -> str:
    """What a whole record holds: its plain fields, and how many things are in its lists."""
    if not isinstance(record, dict):
        return _value(record)
    words = []
    for name, value in record.items():
        if isinstance(value, list) and value:
            words.append(f"{len(value)} {name.replace('_', ' ')}")
        elif isinstance(value, str | int) and value and name not in _OWN_MARKS:
            words.append(f"{name.replace('_', ' ')} {value}")
    return ", ".join(words) or "empty"


def _named(path: str, record: Any) -> str:
    """`/steps/4/bag` as `steps / T05 / bag`."""
    words, here = [], record
    for part in (p.replace("~1", "/").replace("~0", "~") for p in path.split("/")[1:]):
        if isinstance(here, list):
            at = int(part) if part.isascii() and part.isdigit() else len(here) - 1
            here = here[at] if 0 <= at < len(here) else None
            words.append(_name_of(here) or str(at + 1))
        else:
            here = here.get(part) if isinstance(here, dict) else None
            words.append(part.replace("_", " "))
    return " / ".join(words)


def _name_of(thing: Any) -> str:
    """What a thing in a list is called: its code, or what it is."""
    if not isinstance(thing, dict):
        return ""
    return next((str(thing[k]) for k in ("code", "line", "kind", "what", "name", "file") if thing.get(k)), "")


def _value(value: Any) -> str:
    """A plain value in a line; what says nothing is left out."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not _says(value) and value != 0:
        return "nothing"
    if isinstance(value, list):
        return "; ".join(_value(v) for v in value[:6]) + (" …" if len(value) > 6 else "")
    if not isinstance(value, dict):
        return str(value)
    if "mm" in value and set(value) <= {"mm", "typed"}:
        return str(value.get("typed") or f"{value['mm']} mm")
    said = [(k.replace("_", " "), _value(v)) for k, v in value.items() if _says(v) and k not in _OWN_MARKS]
    return ", ".join(f"{name} {words}" for name, words in said[:MOST_FIELDS])


def _says(value: Any) -> bool:
    """Whether a value says anything, all the way down."""
    if isinstance(value, dict):
        return any(_says(v) for v in value.values())
    return value not in (None, "", [], False)
