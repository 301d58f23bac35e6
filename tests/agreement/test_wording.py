"""What is printed reads as one restorer would say it: no doubled stop or blank, one thing in the singular.

Every text of the demo is looked through, and those of a book in which most things stand once.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from logbook.model.unit import Book
from logbook.model.words import Disposition, Stage
from logbook.session.papers import Paper
from tests.agreement.commands import NO_PAPER, asked, kept, said
from tests.agreement.test_nothing_else_changes import AFTERWARDS, ticking
from tests.agreement.variants import demo

COUNTED = (
    "line", "step", "piece", "cut", "hole", "panel", "part", "fastener", "screw", "unit", "day", "drawer", "opening",
    "thing", "photo", "row", "window", "clamp", "operation", "component", "member", "joint", "parcel", "wire", "bag",
    "label", "offcut", "leftover", "strip", "week", "month", "hour", "minute", "price", "question", "pack",
)  # fmt: skip
"""What texts count."""
_THINGS = "|".join(COUNTED)
COUNTED_ALONE = tuple(thing for thing in COUNTED if thing not in ("screw", "hour", "minute"))
"""Those of which more than one is never written in the singular; a kind of screw is called as somebody typed it."""
WRONG = {
    "two full stops": re.compile(r"(?<=\w)\.\.(?!\.)"),
    "a stop after a stop": re.compile(r"\w[.!?;,][;,.](?=\s|$)"),
    "one in the plural": re.compile(rf"(?<![\d.,/+x-])(?<!x )\b1 (?:{_THINGS})s\b"),
    "many in the singular": re.compile(
        rf"(?<![\d.,/+x:×-])(?<!x )\b(?!1\b)\d+ (?:{'|'.join(COUNTED_ALONE)})\b(?![-/ ][a-z]+s\b)(?!-)(?! pin\b)"
    ),
    "one with the verb of many": re.compile(rf"(?<![\d.,/+x-])\b1 (?:{_THINGS}) (?:are|go|have|lie|wait|were)\b"),
    "half of a place": re.compile(r"(?<!\d, )(?<!\d )\by \d+\b"),
    "a doubled blank in a sentence": re.compile(r"^(?:\S+ )*[a-z]+[,;]?  [a-z]+ [a-z]+ [a-z]+"),
}


def wrong_in(text: str) -> Iterator[str]:
    """What reads wrong in a text, with the words around it."""
    for line in text.splitlines():
        for name, pattern in WRONG.items():
            found = pattern.search(line.strip())
            if found is not None:
                yield f"{name}: {line.strip()[max(0, found.start() - 40) : found.end() + 40]}"


def texts(folder: Path, codes: list[str], now: datetime) -> Iterator[tuple[str, str]]:
    """Every text that a person reads of a book: what commands print, Markdown, and web pages without their tags."""
    asked_for = [words for words in asked() if not {"--json", "--csv", "export", "csv"} & set(words)]
    for paper in Paper:
        asked_for += [("print", "UNIT", str(paper), "--as", form, "--to", "-") for form in ("md", "html")]
    for words in asked_for:
        if len(words) > 2 and words[2] in map(str, NO_PAPER):
            continue
        for code in codes if "UNIT" in words else ("",):
            filled = [code if word == "UNIT" else word for word in words]
            text = said(folder, filled, now)
            if "html" in words:
                text = re.sub(r"<(style|script|svg)\b.*?</\1>", " ", text, flags=re.DOTALL)
                text = html.unescape(re.sub(r"<[^>]*>", "\n", text))
            yield " ".join(filled), text


def alone(code: str) -> Book:
    """A book of one unit of the demo."""
    return Book(shop=demo().shop, units={code: demo().units[code]})


def with_one_of_each(code: str) -> Book:
    """A book of one unit in which of most things there is one: one step, one panel with one opening, one line to do."""
    unit = demo().units[code]
    step = unit.steps[0]
    once = {"quantity": 1, "from_step": step.code, "disposition": Disposition.RENEW, "member": ""}
    operations = tuple(o.model_copy(update={"after": (), "for_steps": (), "before_steps": ()}) for o in unit.operations)
    changes: dict[str, Any] = {
        "steps": (step.model_copy(update={"components": (), "each_of": "", "differences": ()}),),
        "components": (unit.components[0].model_copy(update=once),),
        "parts": tuple(p.model_copy(update={"for_steps": (), "for_components": ()}) for p in unit.parts[:1]),
        "operations": operations[:1], "consumables": unit.consumables[:1], "cost_lines": unit.cost_lines[:1],
        "sets": (), "layouts": (), "relations": (), "waiting": (),
        "refit": type(unit.refit)(), "stage": Stage.REASSEMBLY,
    }  # fmt: skip
    if unit.case is not None and unit.case.panels:
        panel = next((p for p in unit.case.panels if p.openings), unit.case.panels[0])
        panel = panel.model_copy(update={"quantity": 1, "openings": panel.openings[:1]})
        changes["case"] = unit.case.model_copy(update={"panels": (panel,)})
    return Book(shop=demo().shop, units={code: unit.model_copy(update=changes)})


@pytest.mark.parametrize("code", ["R1", "C1", "G1", "L1"])
@pytest.mark.parametrize("of", [alone, with_one_of_each])
def test_what_is_printed_reads_well(of: Callable[[str], Book], code: str, tmp_path: Path) -> None:
    folder = kept(of(code), tmp_path / "book", ticking())
    wrong = [f"{words}: {found}" for words, text in texts(folder, [code], AFTERWARDS) for found in wrong_in(text)]
    assert wrong == [], "\n" + "\n".join(wrong)


@pytest.mark.parametrize(
    "text",
    [
        "no part is listed for it..", "It is 1 lines long.", "1 step go back", "600 + 1 cuts", "not measured, y 48",
        "two  blanks in a sentence", "so much,; and more", "1 holes", "4 line", "It has 12 hole.", "2 step go back",
    ],
)  # fmt: skip
def test_what_reads_wrong_is_found(text: str) -> None:
    assert list(wrong_in(text))


@pytest.mark.parametrize(
    "text",
    [
        "11 lines",
        "1 step goes back",
        "0 lines",
        "4 line drawings",
        "2.1 line",
        "A 1 line",
        "at x 78, y 48",
        "and so on ...",
        "4.1 cuts",
    ],
)
def test_what_reads_well_is_let_be(text: str) -> None:
    assert not list(wrong_in(text))
