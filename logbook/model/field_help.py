"""The help of each field: the sentences below it in the source, read when somebody asks for them.

Reading them while the program starts would take longer than all else that its records need.
"""

from __future__ import annotations

import ast
import functools
import inspect
import sys
from collections.abc import Mapping
from typing import Any

from logbook.model.base import Frozen


@functools.cache
def help_of(kind: type[Frozen]) -> Mapping[str, str]:
    """The help of the fields of a kind of record, by their names; those without one are left out."""
    said: dict[str, str] = {}
    for base in reversed(kind.__mro__):
        if issubclass(base, Frozen):
            said |= _in_module(base.__module__).get(base.__name__, {})
    return said


@functools.cache
def _in_module(name: str) -> dict[str, dict[str, str]]:
    tree = ast.parse(inspect.getsource(sys.modules[name]))
    return {node.name: _in_class(node) for node in tree.body if isinstance(node, ast.ClassDef)}


def _in_class(node: ast.ClassDef) -> dict[str, str]:
    said = {}
    for field, below in zip(node.body, node.body[1:], strict=False):
        if not isinstance(field, ast.AnnAssign) or not isinstance(field.target, ast.Name):
            continue
        if isinstance(below, ast.Expr) and isinstance(below.value, ast.Constant) and isinstance(below.value.value, str):
            said[field.target.id] = inspect.cleandoc(below.value.value)
    return said


def with_help(schema: Any, kinds: Mapping[str, type[Frozen]]) -> Any:
    """A JSON Schema with the help of every field as its description.

    Args:
        schema: as the records give it, each kind of record under its name as the title.
        kinds: the kinds by their names.
    """
    if isinstance(schema, list):
        return [with_help(part, kinds) for part in schema]
    if not isinstance(schema, dict):
        return schema
    whole = {key: with_help(part, kinds) for key, part in schema.items()}
    kind = kinds.get(str(schema.get("title")))
    if kind is not None and "properties" in schema:
        said = help_of(kind)
        fields = whole["properties"].items()
        described = {name: {**field, "description": said[name]} for name, field in fields if name in said}
        whole["properties"] |= described
    return whole
