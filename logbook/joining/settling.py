"""A question that joining left open, settled: one of the two values put in its place."""

from __future__ import annotations

from typing import Any, NamedTuple, TypeVar

import orjson
from pydantic import ValidationError

from logbook.errors import InputError
from logbook.joining.things import keys_of, name_of
from logbook.model.apart import ToLookAt
from logbook.model.base import Frozen
from logbook.model.fields import field_named, in_a_line, shown
from logbook.model.record_edits import sound
from logbook.model.shop import Shop
from logbook.model.unit import Unit

R = TypeVar("R", Unit, Shop)


class Values(NamedTuple):
    """Both values of a question, as a person reads them."""

    first: str
    second: str


def chosen(record: R, look: ToLookAt, *, first: bool | None = None) -> R:
    """The record with one thing to look at less, and the chosen value in its place.

    Args:
        record: the unit or the shop.
        look: what is settled.
        first: the value of the first side, or of the second; None leaves what stands there.

    Raises:
        InputError: it is settled already, or its place or what it names is not there any more.
    """
    if look not in record.to_look_at:
        raise InputError("That is settled already.")
    rest = record.model_copy(update={"to_look_at": tuple(one for one in record.to_look_at if one != look)})
    if first is None or not look.asks:
        return rest
    after: R = _put(rest, look.at, orjson.loads(look.first if first else look.second))
    return sound(rest, after, look.at)


def values_of(record: Unit | Shop, look: ToLookAt) -> Values:
    """What each side says, in words."""
    first, second = (_in_words(record, look.at, orjson.loads(value)) for value in (look.first, look.second))
    return Values(first, second)


def _put(record: Any, way: tuple[str, ...], value: Any) -> Any:
    """The record with a plain value put at the end of the way; None takes a thing out of its list."""
    name, *rest = way
    if name not in type(record).model_fields:
        raise _gone()
    inside = getattr(record, name)
    if not rest:
        return _with_field(record, name, value)
    if not isinstance(inside, tuple):
        if inside is None:
            raise _gone()
        return record.model_copy(update={name: _put(inside, tuple(rest), value)})
    called, *deeper = rest
    at = _place(inside, called)
    if deeper:
        if at is None:
            raise _gone()
        changed = (*inside[:at], _put(inside[at], tuple(deeper), value), *inside[at + 1 :])
    else:
        changed = _with_thing(record, name, inside, at, value)
    return record.model_copy(update={name: changed})


def _with_thing(record: Frozen, name: str, inside: tuple[Any, ...], at: int | None, value: Any) -> tuple[Any, ...]:
    end = len(inside) if at is None else at
    new = () if value is None else (_thing(record, name, value),)
    return (*inside[:end], *new, *inside[end + 1 :])


def _thing(record: Frozen, name: str, value: Any) -> Frozen:
    kind = field_named(type(record), name).record
    if kind is None:
        raise InputError("There is no such list any more.")
    return kind.model_validate_json(orjson.dumps(value))


def _with_field(record: Frozen, name: str, value: Any) -> Frozen:
    plain = record.model_dump(mode="json", by_alias=True) | {name: value}
    try:
        read = type(record).model_validate_json(orjson.dumps(plain))
    except ValidationError as error:
        raise InputError("That value does not fit the record any more. Type it in its form.") from error
    return record.model_copy(update={name: getattr(read, name)})


def _place(things: tuple[Any, ...], called: str) -> int | None:
    names = [name_of(key) for key in keys_of(things) or ()]
    return names.index(called) if called in names else None


def _gone() -> InputError:
    return InputError("What this is about is not in the record any more. It can be left as it stands.")


def _in_words(record: Any, way: tuple[str, ...], value: Any) -> str:
    """A plain value in words, by the field at the end of the way."""
    if value is None:
        return "nothing, or taken out"
    name, *rest = way
    inside = getattr(record, name, None)
    if not rest:
        return shown(_with_field(record, name, value), field_named(type(record), name)) or "nothing"
    if not isinstance(inside, tuple):
        return _in_words(inside, tuple(rest), value)
    called, *deeper = rest
    if not deeper:
        return in_a_line(_thing(record, name, value))
    at = _place(inside, called)
    if at is None:
        raise _gone()
    return _in_words(inside[at], tuple(deeper), value)
