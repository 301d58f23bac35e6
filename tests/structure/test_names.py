"""A name tells a room apart: no two modules are called alike, and no two public classes."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from pathlib import Path

import pytest

import logbook

PACKAGE = Path(logbook.__file__).parent
MODULES = sorted(file for file in PACKAGE.rglob("*.py") if file.stem not in ("__init__", "__main__"))


def test_no_two_modules_have_one_name() -> None:
    where: dict[str, list[str]] = defaultdict(list)
    for file in MODULES:
        where[file.stem].append(str(file.relative_to(PACKAGE)))
    assert {name: files for name, files in where.items() if len(files) > 1} == {}


def test_no_two_public_classes_have_one_name() -> None:
    where: dict[str, list[str]] = defaultdict(list)
    for file in MODULES:
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                where[node.name].append(str(file.relative_to(PACKAGE)))
    assert {name: files for name, files in where.items() if len(files) > 1} == {}


@pytest.mark.skipif(not (PACKAGE.parent / "DEVELOPERS.md").exists(), reason="an installed program has no such file")
def test_every_module_that_the_developers_page_names_is_there() -> None:
    words = (PACKAGE.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    files = {file.name for file in (*MODULES, *PACKAGE.rglob("__init__.py"), *PACKAGE.rglob("__main__.py"))}
    files |= {file.name for file in (PACKAGE.parent / "tests").rglob("*.py")}
    named = {name.rsplit("/", 1)[-1] for name in re.findall(r"`([\w/]+\.py)`", words)}
    assert named - files == set()
