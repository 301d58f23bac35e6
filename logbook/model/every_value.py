"""The same change made to every value of a record, all the way down its details and lists."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from logbook.model.base import Frozen

R = TypeVar("R", bound=Frozen)


def with_every_value(record: R, change: Callable[[object], object]) -> R:
    """The record with each value that is neither a record nor a list replaced by what `change` makes of it."""
    changes = {name: _changed(getattr(record, name), change) for name in type(record).model_fields}
    return record.model_copy(update=changes)


def _changed(value: object, change: Callable[[object], object]) -> object:
    if isinstance(value, Frozen):
        return with_every_value(value, change)
    if isinstance(value, tuple):
        return tuple(_changed(item, change) for item in value)
    return change(value)
