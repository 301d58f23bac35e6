"""A unit or the shop as one JSON document: what `import` reads, `export` writes and `schema` describes.

A document is taken whole or not at all. What is wrong in it is said in sentences with the path to the
place, for every wrong place at once.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

from pydantic import ValidationError

from logbook.errors import CircleError, InputError
from logbook.model.base import Frozen, Text
from logbook.model.fields import FieldKind, fields_of, shown_value
from logbook.model.limits import beyond
from logbook.model.precedence import precedence
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.unwritten import with_unwritten_left_empty

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

VERSION = 1
"""Version of the record's shape; a document of another version is refused by name."""
MOST_BYTES = 64 * 2**20
"""Larger than any unit's record could be: 64 MB."""
MOST_SENTENCES = 20
"""So many wrong places are told; the rest is only counted."""


class UnitDocument(Frozen):
    """One unit as a document."""

    logbook: Literal["unit"]
    version: Literal[1]
    currency: Text = ""
    """How amounts are meant; must be the book's own when both are given."""
    unit: Unit


class ShopDocument(Frozen):
    """What the units share, as a document."""

    logbook: Literal["shop"]
    version: Literal[1]
    shop: Shop


def read_document(raw: bytes, name: str = "the document") -> UnitDocument | ShopDocument:
    """The document in `raw`, checked whole.

    Raises:
        InputError: with one sentence for each thing that is wrong, naming the path to it.
    """
    if len(raw) > MOST_BYTES:
        raise InputError(f"{name} is larger than {MOST_BYTES // 2**20} MB; that is no unit's record.")
    text = _text(raw, name)
    kind, version = _head(text, name)
    if kind not in ("unit", "shop"):
        raise InputError(
            f'{name} is not a document of this logbook: at its top it must say "logbook": "unit" or "logbook": "shop".'
        )
    if version != VERSION or isinstance(version, bool):
        raise InputError(f"{name} is of version {shown(version)}; this program reads version {VERSION}.")
    model = UnitDocument if kind == "unit" else ShopDocument
    try:
        document = model.model_validate_json(text)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error
    if isinstance(document, UnitDocument):
        problems = [*structure_problems(document.unit), *beyond_limits(document.unit, "unit")]
    else:
        problems = list(beyond_limits(document.shop, "shop"))
    if problems:
        raise InputError(_cannot_be_used(name, problems))
    return with_unwritten_left_empty(document)


def beyond_limits(record: Frozen, place: str, before: Frozen | None = None) -> Iterator[str]:
    """Every value of a record, all the way down, that no form would take, in a sentence with the path to it.

    Args:
        record: to look through.
        place: what the path starts with.
        before: the record before an edit; what both share is not looked at, so that it costs what the edit touches.
    """
    for field in fields_of(type(record)):
        value, at = getattr(record, field.name), f"{place}.{field.name}"
        old = getattr(before, field.name, None)
        if value is old or field.name == "touched":  # the program's own mark, by whatever clock there is
            continue
        if field.record is None:
            if problem := beyond(value, field.least, field.name, field.kind):
                yield f"{at}: {_in_words(value, field.kind)} {problem}"
            continue
        inside = value if isinstance(value, tuple) else (value,)
        known = {id(one) for one in old} if isinstance(old, tuple) else set[int]()
        for i, inner in enumerate(inside):
            if isinstance(inner, Frozen) and id(inner) not in known:
                was = old if isinstance(old, Frozen) else None
                yield from beyond_limits(inner, f"{at}[{i}]" if isinstance(value, tuple) else at, was)


def _in_words(value: Any, kind: FieldKind) -> str:
    """A value as a person reads it; of a date beyond every calendar, as it stands there."""
    return value.isoformat() if isinstance(value, date) else shown_value(value, kind)


def write_document(document: UnitDocument | ShopDocument) -> bytes:
    """The document as indented JSON, UTF-8, ending in a newline; what was never said is left out."""
    return document.model_dump_json(indent=2, exclude_defaults=True).encode() + b"\n"


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of both kinds of document."""
    from pydantic import TypeAdapter

    from logbook.model.field_help import with_help

    adapter: TypeAdapter[UnitDocument | ShopDocument] = TypeAdapter(UnitDocument | ShopDocument)
    made = with_help(adapter.json_schema(mode="validation"), {kind.__name__: kind for kind in _kinds(Frozen)})
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}


def _kinds(kind: type[Frozen]) -> Iterator[type[Frozen]]:
    """Every kind of record under this one."""
    for below in kind.__subclasses__():
        yield below
        yield from _kinds(below)


def structure_problems(unit: Unit) -> Iterator[str]:
    """What makes a unit's record contradict itself: codes used twice, names of things that do not exist, circles."""
    yield from _doubles(unit)
    steps = {s.code for s in unit.steps}
    sets = {s.code for s in unit.sets}
    lumps = {s.code for s in unit.sub_assemblies}
    for i, r in enumerate(unit.relations):
        for end, code in (("earlier", r.earlier), ("later", r.later)):
            if code not in steps:
                yield f"unit.relations[{i}].{end} names the step {code}, which does not exist."
        if r.earlier == r.later:
            yield f"unit.relations[{i}] says that {r.earlier} comes before itself."
    for i, s in enumerate(unit.steps):
        if s.each_of and s.each_of not in sets:
            yield f"unit.steps[{i}].each_of names the set {shown(s.each_of)}, which does not exist."
        if s.inside and s.inside not in lumps:
            yield f"unit.steps[{i}].inside names the sub-assembly {shown(s.inside)}, which does not exist."
        yield from _member_problems(unit, i)
    for i, lump in enumerate(unit.sub_assemblies):
        if lump.came_out_at not in steps:
            yield f"unit.sub_assemblies[{i}].came_out_at names the step {lump.came_out_at}, which does not exist."
    yield from _unknown_operations(unit)
    try:
        precedence(unit)
    except CircleError as error:
        yield f"unit.relations: {error}"


def _unknown_operations(unit: Unit) -> Iterator[str]:
    known = {o.code for o in unit.operations}
    for i, o in enumerate(unit.operations):
        for code in o.after:
            if code not in known:
                yield f"unit.operations[{i}].after names the operation {code}, which does not exist."


def _member_problems(unit: Unit, i: int) -> Iterator[str]:
    step = unit.steps[i]
    of = unit.set_of(step)
    members = {m.code for m in of.members} if of else set()
    for j, d in enumerate(step.differences):
        if d.member not in members:
            yield f"unit.steps[{i}].differences[{j}] names the member {d.member}, which its set does not have."


def _doubles(unit: Unit) -> Iterator[str]:
    lists: dict[str, Iterable[str]] = {
        "steps": [s.code for s in unit.steps],
        "sets": [s.code for s in unit.sets],
        "sub_assemblies": [s.code for s in unit.sub_assemblies],
        "components": [c.code for c in unit.components],
        "parts": [p.code for p in unit.parts],
        "operations": [o.code for o in unit.operations],
        "held_dimensions": [h.code for h in unit.held_dimensions],
        "refit.lines": [shown(x.line) for x in unit.refit.lines],
    }
    for where, codes in lists.items():
        for code, times in Counter(codes).items():
            if times > 1:
                yield f"unit.{where} has {code} {times} times; a code names one thing."
    for i, s in enumerate(unit.sets):
        for code, times in Counter(m.code for m in s.members).items():
            if times > 1:
                yield f"unit.sets[{i}].members has {code} {times} times; a code names one thing."


def _text(raw: bytes, name: str) -> str:
    """The document as text; a byte order mark before it, as some editors write one, is no part of it."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{name} is not UTF-8 text (byte {error.start}); save it as UTF-8.") from error
    if not text.strip():
        raise InputError(f"{name} is empty.")
    return text


def _head(text: str, name: str) -> tuple[Any, Any]:
    """What kind of document it says it is, and of which version."""

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        values = dict(pairs)
        if len(values) != len(pairs):
            twice = next(key for key, times in Counter(key for key, _ in pairs).items() if times > 1)
            raise InputError(f"{name} says {shown(twice)} twice in one place; only one of the two can be meant.")
        return values

    try:
        top = json.loads(text, object_pairs_hook=once)
    except json.JSONDecodeError as error:
        raise InputError(f"{name} is not JSON: line {error.lineno}, column {error.colno}: {error.msg}.") from error
    except RecursionError as error:
        raise InputError(f"{name} is nested too deeply to be a record.") from error
    except ValueError as error:
        raise InputError(f"{name} holds a number that is too long to be one.") from error
    if not isinstance(top, dict):
        raise InputError(f"{name} is JSON, but its top is not an object with names and values.")
    return top.get("logbook"), top.get("version")


def shown(value: Any) -> str:
    """What stands in a document, as a sentence can quote it: one short line in which nothing is invisible."""
    text = json.dumps(value, ensure_ascii=False, default=str)
    return _visible(text if len(text) <= 60 else text[:60] + "…")


def _visible(text: str) -> str:
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def path_of(where: tuple[int | str, ...]) -> str:
    """`("unit", "steps", 4, "holes")` as `unit.steps[4].holes`."""
    names = (f"[{p}]" if isinstance(p, int) else f".{p if p.isidentifier() else shown(p)}" for p in where)
    return "".join(names).lstrip(".")


_WANTED = {
    "string_type": "text is wanted",
    "int_type": "a whole number is wanted",
    "int_parsing": "a whole number is wanted",
    "int_from_float": "a whole number is wanted",
    "bool_type": "true or false is wanted",
    "tuple_type": "a list is wanted",
    "model_type": "an object with names and values is wanted",
    "date_type": "a date like 2026-03-12 is wanted",
    "date_parsing": "a date like 2026-03-12 is wanted",
    "date_from_datetime_parsing": "a date like 2026-03-12 is wanted",
    "datetime_type": "a time with zone like 2026-03-12T20:41:00Z is wanted",
    "datetime_parsing": "a time with zone like 2026-03-12T20:41:00Z is wanted",
    "datetime_from_date_parsing": "a time with zone like 2026-03-12T20:41:00Z is wanted",
    "timezone_aware": "the time needs its zone, like 2026-03-12T20:41:00Z",
    "too_short": "it may not be empty",
    "greater_than_equal": "it may not be below 0",
}


def sentences(error: ValidationError, name: str) -> str:
    """What pydantic found wrong, as one sentence for each place with the path to it, twenty at most."""
    return _cannot_be_used(name, [_sentence(e) for e in error.errors(include_url=False)])


def _sentence(e: ErrorDetails) -> str:
    path, given, context = path_of(e["loc"]) or "the top", shown(e["input"]), e.get("ctx", {})
    match e["type"]:
        case "json_invalid":
            said = f"it is not JSON: {context['error']}"
        case "extra_forbidden":
            said = f"{path} is not a field of the record"
        case "missing":
            said = f"{path} is missing"
        case "enum" | "literal_error":
            said = f"{path} must be one of {context['expected']}, not {given}"
        case "string_pattern_mismatch":
            said = f"{path} is {given}; a code there must match {context['pattern']}"
        case "value_error":
            said = f"{path}: {context['error']} (given {given})"
        case "less_than_equal":
            said = f"{path} is {given}; the most that is taken there is {context['le']}"
        case kind:
            said = f"{path}: {_WANTED.get(kind, e['msg'].rstrip('.'))}, not {given}"
    return said + "."


def _cannot_be_used(name: str, problems: Sequence[str]) -> str:
    more = f"\n  and {len(problems) - MOST_SENTENCES} more" if len(problems) > MOST_SENTENCES else ""
    return f"{name} cannot be used:\n" + "\n".join(f"  {_visible(p)}" for p in problems[:MOST_SENTENCES]) + more
