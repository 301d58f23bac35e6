"""Reaching into a record: the value at a path, and a new record with another value there.

A path is a sequence of field names and, inside lists, of codes (or positions where things have no code).
Codes keep an edit on its thing when others come or go.
"""

from __future__ import annotations

from typing import Any, TypeVar

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.fields import FieldKind, fields_of
from logbook.model.typed_values import put

Path = tuple[str | int, ...]
R = TypeVar("R", bound=Frozen)


def value_at(record: Frozen, path: Path) -> Any:
    """The value at `path`. Raises InputError when something on the way is gone."""
    value: Any = record
    for part in path:
        if isinstance(value, tuple):
            value = value[_index(value, part)]
        elif isinstance(value, Frozen) and isinstance(part, str) and part in type(value).model_fields:
            value = getattr(value, part)
        else:
            raise InputError(f"There is no longer anything at {words_of(path)}.")
    return value


def record_kind(root: Frozen, path: Path) -> type[Frozen]:
    """The kind of record in the list, or of the details, at `path`, by following the fields of the record."""
    kind: type[Frozen] = type(root)
    for part in path:
        field = next((f for f in fields_of(kind) if f.name == part), None) if isinstance(part, str) else None
        if field is not None and field.record is not None:
            kind = field.record
    return kind


def can_begin(kind: type[Frozen]) -> bool:
    """Whether details of this kind can be there with nothing said in them."""
    return not any(f.required for f in fields_of(kind))


def begun(root: R, path: Path) -> R:
    """The record with the details and lists on the way to `path` there, empty, where they can be.

    So a form can show details that nobody wrote yet, and the first thing that is typed there is one change.
    """
    for end in range(1, len(path) + 1):
        way = path[:end]
        kind = record_kind(root, way)
        holder = value_at(root, way[:-1])
        if not isinstance(holder, Frozen) or not isinstance(way[-1], str):
            continue
        field = next((f for f in fields_of(type(holder)) if f.name == way[-1]), None)
        if field is None or getattr(holder, way[-1]) is not None:
            continue
        if field.kind is FieldKind.RECORDS:
            root = put_at(root, way, ())
        elif field.kind is FieldKind.RECORD:
            if not can_begin(kind):
                return root
            root = put_at(root, way, kind())
    return root


def put_at(record: R, path: Path, value: Any) -> R:
    """A new record with `value` at `path`; what is not on the way is shared. Raises InputError as `put` does."""
    first, *rest = path
    if not isinstance(first, str):
        raise InputError(f"There is nothing at {words_of(path)}.")
    inside = getattr(record, first) if first in type(record).model_fields else None
    return put(record, first, _put_inside(inside, tuple(rest), value) if rest else value)


def _put_inside(inside: Any, path: Path, value: Any) -> Any:
    if isinstance(inside, tuple):
        i = _index(inside, path[0])
        item = _put_inside(inside[i], path[1:], value) if path[1:] else value
        return (*inside[:i], item, *inside[i + 1 :])
    if isinstance(inside, Frozen):
        return put_at(inside, path, value)
    raise InputError(f"There is no longer anything at {words_of(path)}.")


def added_at(record: R, path: Path, item: Frozen) -> R:
    """A new record with `item` at the end of the list at `path`. Raises InputError when its code is taken."""
    things: tuple[Any, ...] = value_at(record, path)
    code = getattr(item, "code", None)
    if code is not None and any(getattr(t, "code", None) == code for t in things):
        raise InputError(f"There is already one called {code}.")
    return put_at(record, path, (*things, item))


def removed_at(record: R, path: Path) -> R:
    """A new record without the list item at `path`."""
    things: tuple[Any, ...] = value_at(record, path[:-1])
    i = _index(things, path[-1])
    return put_at(record, path[:-1], things[:i] + things[i + 1 :])


def moved_at(record: R, path: Path, by: int) -> R:
    """A new record with the list item at `path` moved by so many places, as far as the list goes."""
    things: list[Any] = list(value_at(record, path[:-1]))
    i = _index(tuple(things), path[-1])
    item = things.pop(i)
    things.insert(max(0, min(i + by, len(things))), item)
    return put_at(record, path[:-1], tuple(things))


def words_of(path: Path) -> str:
    """A path as a person reads it: `steps / T05 / fasteners / 2`."""
    return " / ".join(str(p + 1) if isinstance(p, int) else p.replace("_", " ") for p in path)


def _index(things: tuple[Any, ...], part: str | int) -> int:
    if isinstance(part, int):
        if not 0 <= part < len(things):
            raise InputError(f"There is no number {part + 1} in that list any more.")
        return part
    for i, thing in enumerate(things):
        if getattr(thing, "code", None) == part:
            return i
    raise InputError(f"There is no {part} any more.")
