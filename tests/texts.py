"""Every text of the program that a person reads, with where it stands: `python -m tests.texts [WORD]` prints them.

Taken from the code as it is parsed: sentences and words between quotes that are neither documentation of the code, nor
names for it; the documentation of fields, which forms show; and the texts that come along as data. What is put in while
the program runs stands there as `{}`.
"""

from __future__ import annotations

import ast
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]
_LEAST_WORDS = 2


class Text(NamedTuple):
    """A text and where it stands."""

    where: str
    words: str


def texts() -> Iterator[Text]:
    """Every text, file by file."""
    for path in sorted((ROOT / "logbook").rglob("*.py")):
        yield from _in_code(path)
    for path in sorted((ROOT / "templates").rglob("*.json")):
        yield from _in_data(path.relative_to(ROOT).as_posix(), json.loads(path.read_text(encoding="utf-8")))
    for path in sorted((ROOT / "templates" / "guide").glob("*.md")):
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            yield Text(f"{path.relative_to(ROOT).as_posix()}:{number}", line)


def _in_code(path: Path) -> Iterator[Text]:
    """The texts of a module; of the records also what documents a field, because a form shows it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    name = path.relative_to(ROOT).as_posix()
    documented = {id(d) for d in _documentation(tree)}
    inside = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in ast.walk(n) if v is not n}
    for node in ast.walk(tree):
        if id(node) in inside:
            continue
        words = _words(node)
        if words is None or len(words.split()) < _LEAST_WORDS:
            continue
        is_help = name.startswith("logbook/model/") and not words.startswith("\n")
        if id(node) not in documented or is_help:
            yield Text(f"{name}:{getattr(node, 'lineno', 0)}", " ".join(words.split()))


def _documentation(tree: ast.AST) -> Iterator[ast.AST]:
    """Strings that stand for themselves: what documents modules, classes, functions and values."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            yield node.value


def _words(node: ast.AST) -> str | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(v.value if isinstance(v, ast.Constant) else "{}" for v in node.values if _is_part(v))
    return None


def _is_part(value: ast.expr) -> bool:
    return isinstance(value, ast.FormattedValue) or (isinstance(value, ast.Constant) and isinstance(value.value, str))


def _in_data(name: str, value: object) -> Iterator[Text]:
    """The texts of a file of data, wherever they stand in it."""
    if isinstance(value, str) and len(value.split()) >= _LEAST_WORDS:
        yield Text(name, value)
    elif isinstance(value, dict):
        for inner in value.values():
            yield from _in_data(name, inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _in_data(name, inner)


if __name__ == "__main__":
    wanted = " ".join(sys.argv[1:]).casefold()
    for text in texts():
        if wanted in text.words.casefold():
            print(f"{text.where}: {text.words}".encode("utf-8", "backslashreplace").decode("utf-8"))
