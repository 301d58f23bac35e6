"""A unit or the shop as one JSON document: what `import` reads, `export` writes and `schema` describes.

A document is taken whole or not at all. What is wrong in it is said in sentences with the path to the
place, for every wrong place at once.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, Literal

from pydantic import ValidationError

from logbook.errors import CircleError, InputError
from logbook.model.base import Frozen, Text
from logbook.model.precedence import precedence
from logbook.model.shop import Shop
from logbook.model.unit import Unit

VERSION = 1
"""Version of the record's shape; a document of another version is refused by name."""
MOST_BYTES = 64 * 2**20


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
    kind, version = _head(raw, name)
    if kind not in ("unit", "shop"):
        raise InputError(
            f'{name} is not a document of this logbook: at its top it must say "logbook": "unit" or "logbook": "shop".'
        )
    if version != VERSION or isinstance(version, bool):
        raise InputError(f"{name} is of version {version!r}; this program reads version {VERSION}.")
    model = UnitDocument if kind == "unit" else ShopDocument
    try:
        document = model.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(_sentences(error, name)) from error
    if isinstance(document, UnitDocument):
        problems = list(structure_problems(document.unit))
        if problems:
            raise InputError(f"{name} cannot be used:\n" + "\n".join(f"  {p}" for p in problems[:20]))
    return document


def write_document(document: UnitDocument | ShopDocument) -> bytes:
    """The document as indented JSON, UTF-8, ending in a newline."""
    return document.model_dump_json(indent=2).encode() + b"\n"


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of both kinds of document."""
    from pydantic import TypeAdapter

    adapter: TypeAdapter[UnitDocument | ShopDocument] = TypeAdapter(UnitDocument | ShopDocument)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **adapter.json_schema(mode="validation"),
    }


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
            yield f"unit.steps[{i}].each_of names the set {s.each_of}, which does not exist."
        if s.inside and s.inside not in lumps:
            yield f"unit.steps[{i}].inside names the sub-assembly {s.inside}, which does not exist."
        yield from _member_problems(unit, i)
    for i, lump in enumerate(unit.sub_assemblies):
        if lump.came_out_at not in steps:
            yield f"unit.sub_assemblies[{i}].came_out_at names the step {lump.came_out_at}, which does not exist."
    try:
        precedence(unit)
    except CircleError as error:
        yield f"unit.relations: {error}"


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
        "refit.lines": [x.line for x in unit.refit.lines],
    }
    for where, codes in lists.items():
        for code, times in Counter(codes).items():
            if times > 1:
                yield f"unit.{where} has {code} {times} times; a code names one thing."
    for i, s in enumerate(unit.sets):
        for code, times in Counter(m.code for m in s.members).items():
            if times > 1:
                yield f"unit.sets[{i}].members has {code} {times} times; a code names one thing."


def _head(raw: bytes, name: str) -> tuple[Any, Any]:
    if not raw.strip():
        raise InputError(f"{name} is empty.")
    try:
        top = json.loads(raw)
    except UnicodeDecodeError as error:
        raise InputError(f"{name} is not UTF-8 text (byte {error.start}); save it as UTF-8.") from error
    except json.JSONDecodeError as error:
        raise InputError(f"{name} is not JSON: line {error.lineno}, column {error.colno}: {error.msg}.") from error
    except RecursionError as error:
        raise InputError(f"{name} is nested too deeply to be a record.") from error
    except ValueError as error:
        raise InputError(f"{name} holds a number that is too long to be one.") from error
    if not isinstance(top, dict):
        raise InputError(f"{name} is JSON, but its top is not an object with names and values.")
    return top.get("logbook"), top.get("version")


def path_of(where: tuple[int | str, ...]) -> str:
    """`("unit", "steps", 4, "holes")` as `unit.steps[4].holes`."""
    return "".join(f"[{p}]" if isinstance(p, int) else f".{p}" for p in where).lstrip(".")


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
    "string_too_short": "it may not be empty",
    "greater_than_equal": "it may not be below 0",
    "less_than_equal": "it is too large to be a count",
}


def _sentences(error: ValidationError, name: str) -> str:
    lines = []
    for e in error.errors(include_url=False):
        path = path_of(e["loc"]) or "the top"
        given = json.dumps(e["input"], ensure_ascii=False, default=str) if "input" in e else ""
        given = given if len(given) <= 60 else given[:60] + "…"
        kind = e["type"]
        if kind == "extra_forbidden":
            lines.append(f"{path} is not a field of the record.")
        elif kind == "missing":
            lines.append(f"{path} is missing.")
        elif kind in ("enum", "literal_error"):
            lines.append(f"{path} must be one of {e['ctx']['expected']}, not {given}.")
        elif kind == "string_pattern_mismatch":
            lines.append(f"{path} is {given}; a code there must match {e['ctx']['pattern']}.")
        elif kind == "value_error":
            lines.append(f"{path}: {e['ctx']['error']} (given {given}).")
        else:
            lines.append(f"{path}: {_WANTED.get(kind, e['msg'].rstrip('.'))}, not {given}.")
    more = f"\n  and {len(lines) - 20} more" if len(lines) > 20 else ""
    return f"{name} cannot be used:\n" + "\n".join(f"  {line}" for line in lines[:20]) + more
