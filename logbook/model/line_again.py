"""The line that says a record: typed again it gives the same one."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from typing import Any

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, in_a_line, is_said, offered_fields, shown_value
from logbook.model.one_line import record_in
from logbook.model.usual_fields import leading_fields


def line_again(record: Frozen) -> str:
    """What would have to be typed for a record; empty where a line alone cannot say all of it.

    What the record cannot do without stands first and bare, all else behind its label. Its code is left out: it numbers
    itself, or the code offered is typed before the line.
    """
    kind = type(record)
    leads = leading_fields(kind)
    rest = tuple(f for f in offered_fields(kind) if f not in leads and f.name != "code")
    parts: list[str] = []
    for field in (*leads, *rest):
        value = getattr(record, field.name)
        if not is_said(value, field):
            continue
        words = _words(field, value)
        if not words or ("," in words and field.kind in (FieldKind.RECORD, FieldKind.RECORDS)):
            return ""
        bare = field in leads or field.kind in (FieldKind.CHOICE, FieldKind.FLAG)
        parts.append(words if bare else f"{field.label} {words}")
    return ", ".join(parts)


def _words(field: Field, value: Any) -> str:
    if field.kind is FieldKind.FLAG:
        return field.label if value else f"not {field.label}"
    if field.kind is FieldKind.RECORDS:
        return " + ".join(_inside(value))
    if field.kind is FieldKind.RECORD:
        return next(_inside((value,)), "")
    return shown_value(value, field.kind)


def _inside(records: tuple[Frozen, ...]) -> Iterator[str]:
    """Records inside another one, each in words without a comma; nothing for one that these do not say."""
    for record in records:
        line = in_a_line(record)
        for words in (line, line_again(record).replace(",", ""), line.replace(",", "")):
            with contextlib.suppress(InputError):
                if "," not in words and _as_kept(record_in(type(record), words)) == _as_kept(record):
                    yield words
                    break
        else:
            yield ","


def _as_kept(record: Frozen) -> Any:
    return _without_typed(record.model_dump(mode="json"))


def _without_typed(value: Any) -> Any:
    """Values alone: how a length was typed makes no difference."""
    if isinstance(value, dict):
        return {name: _without_typed(inner) for name, inner in value.items() if name != "typed"}
    return [_without_typed(inner) for inner in value] if isinstance(value, list) else value
