"""The JSON Schema agrees with the reader about what a document is."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from typing import Any

import pytest

from logbook.errors import InputError
from logbook.model.document import (
    read_document,
    schema,
)
from logbook.model.templates import template_bytes

DEMO = ("R1", "G1", "C1", "L1", "shop")
RADIO = template_bytes("demo/R1.json")


def test_the_schema_knows_every_field_of_the_demo() -> None:
    """The schema names exactly the fields that the documents have (the schema itself is JSON Schema 2020-12)."""
    described = schema()
    assert described["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    for code in DEMO:
        top = json.loads(template_bytes(f"demo/{code}.json"))
        assert _misfits(top, described, described) == []


def test_the_schema_refuses_what_the_reader_refuses() -> None:
    described = schema()
    good = json.loads(RADIO)
    changes: list[Callable[[Any], Any]] = [
        lambda top: top["unit"].update(stpes=1),
        lambda top: top["unit"].update(stage="sold"),
        lambda top: top["unit"]["steps"][0].pop("what"),
        lambda top: top["unit"]["held_dimensions"][0].update(value=12.5),
        lambda top: top["unit"]["held_dimensions"][0].update(value={"mm": 12.5}),
        lambda top: top["unit"]["spent"][0].update(amount=10),
        lambda top: top.update(version=2),
    ]
    for change in changes:
        bad = copy.deepcopy(good)
        change(bad)
        assert _misfits(bad, described, described)
        with pytest.raises(InputError):
            read_document(json.dumps(bad).encode())


def _misfits(value: Any, rule: dict[str, Any], root: dict[str, Any], way: str = "") -> list[str]:
    """Where a value does not fit a JSON Schema, for the words of it that pydantic writes."""
    if "$ref" in rule:
        return _misfits(value, root["$defs"][rule["$ref"].rsplit("/", 1)[1]], root, way)
    if "anyOf" in rule:
        tries = [_misfits(value, each, root, way) for each in rule["anyOf"]]
        return min(tries, key=len)
    wrong = []
    kinds = {"string": str, "integer": int, "boolean": bool, "array": list, "object": dict, "null": type(None)}
    if "type" in rule and not (
        isinstance(value, kinds[rule["type"]]) and (rule["type"] == "boolean" or not isinstance(value, bool))
    ):
        return [f"{way}: {rule['type']} wanted"]
    if "enum" in rule and value not in rule["enum"]:
        wrong.append(f"{way}: not one of the words")
    if "const" in rule and value != rule["const"]:
        wrong.append(f"{way}: not {rule['const']}")
    if "pattern" in rule and not re.search(rule["pattern"], value):
        wrong.append(f"{way}: does not match")
    if isinstance(value, dict):
        known = rule.get("properties", {})
        wrong += [
            f"{way}.{k}: not a field" for k in value if k not in known and rule.get("additionalProperties") is False
        ]
        wrong += [f"{way}.{k}: missing" for k in rule.get("required", ()) if k not in value]
        for k, v in value.items():
            wrong += _misfits(v, known.get(k, {}), root, f"{way}.{k}")
    if isinstance(value, list):
        for i, v in enumerate(value):
            wrong += _misfits(v, rule.get("items", {}), root, f"{way}[{i}]")
    return wrong
