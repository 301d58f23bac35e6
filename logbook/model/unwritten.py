"""What somebody types where a thing is not written yet, in the line, in a form and in a document alike."""

from __future__ import annotations

from typing import Any, TypeVar

from logbook.model.base import Frozen
from logbook.model.edits import with_changes
from logbook.model.fields import Field, FieldKind, fields_of

R = TypeVar("R", bound=Frozen)

_SIGNS = frozenset({"?", "??", "???"})
_WORDS = frozenset({"unknown", "not known", "not written", "unwritten"})


def is_unwritten(text: str) -> bool:
    """Whether a text alone says that nobody has written it yet: `?`. It is never the name of a thing."""
    return text.strip() in _SIGNS


def is_unwritten_end(text: str) -> bool:
    """The same of an end of a wire, where `unknown` is no place either."""
    return is_unwritten(text) or " ".join(text.casefold().split()) in _WORDS


_ENDS = frozenset({"start", "end"})
"""The fields of a connection that say where it goes."""


def says_unwritten(field: Field, words: str) -> bool:
    """Whether the text of a field only says that it is not written yet, as `?` does: then the field stays empty.

    A field that is needed, such as a name, takes every word as it is.
    """
    if field.required or field.kind is not FieldKind.TEXT:
        return False
    return is_unwritten_end(words) if field.name in _ENDS else is_unwritten(words)


def with_unwritten_left_empty(record: R) -> R:
    """The record with every text that only says that nobody has written it yet left empty, all the way down.

    Whatever says nothing of the kind is shared with the record that was given.
    """
    changed: dict[str, Any] = {}
    for field in fields_of(type(record)):
        value = getattr(record, field.name)
        new = _left_empty(field, value)
        if new is not value:
            changed[field.name] = new
    return with_changes(record, **changed) if changed else record


def _left_empty(field: Field, value: Any) -> Any:
    if isinstance(value, str) and says_unwritten(field, value):
        return field.default
    if isinstance(value, Frozen):
        return with_unwritten_left_empty(value)
    if isinstance(value, tuple) and field.record is not None:
        inner = tuple(with_unwritten_left_empty(one) if isinstance(one, Frozen) else one for one in value)
        return value if all(a is b for a, b in zip(inner, value, strict=True)) else inner
    return value
