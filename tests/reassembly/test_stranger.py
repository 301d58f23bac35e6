"""The chest C1 from its printed list alone: the document of questions and answers is true, word for word."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from logbook.model.edits import with_changes
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.model.words import Disposition
from logbook.reassembly import ledger, readiness, refit_list
from logbook.render.reassembly_list import reassembly_text
from logbook.teardown.complete import to_complete
from tests.builders import at

NOW = at("2026-03-17 19:30")
CHEST: Unit = next(d.unit for d in demo_documents() if d.logbook == "unit" and d.unit.code == "C1")
DOCUMENT = (Path(__file__).parent / "stranger_c1.md").read_text(encoding="utf-8")
SECTIONS = {
    title: re.findall(r"^- `(.+)`$", body, re.MULTILINE)
    for title, body in re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", DOCUMENT, re.MULTILINE | re.DOTALL)
}
QUESTIONS = {title: words for title, words in SECTIONS.items() if title[0].isdigit()}


def printed(of: Unit) -> str:
    """The list as it is printed, with single blanks, so that line ends do not matter."""
    listed = refit_list(of)
    text = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    return " ".join(text.split())


def with_step(code: str, change: Callable[[Any], Any]) -> Unit:
    """The chest with one of its steps changed."""
    return with_changes(CHEST, steps=tuple(change(s) if s.code == code else s for s in CHEST.steps))


def without_remake(step: Any, **more: Any) -> Any:
    """The step with another way of making its joint anew."""
    joint = step.one_way
    return with_changes(step, one_way=with_changes(joint, remake=with_changes(joint.remake, **more)))


def without_shim(step: Any) -> Any:
    return with_changes(step, differences=tuple(with_changes(d, note="") for d in step.differences))


def bag_of_d2(step: Any) -> Any:
    changed = tuple(with_changes(d, bag="7") if d.member == "D2" else d for d in step.differences)
    return with_changes(step, differences=changed)


WITHOUT: tuple[Unit, ...] = (
    with_changes(CHEST, steps=CHEST.steps[:5] + CHEST.steps[:4:-1]),
    with_step("C04", bag_of_d2),
    with_step("C04", without_shim),
    with_changes(CHEST, sets=tuple(with_changes(s, interchangeable=True) for s in CHEST.sets)),
    with_step("C08", lambda s: with_changes(s, settings=())),
    with_step("C03", lambda s: without_remake(s, method="")),
    with_step("C06", lambda s: with_changes(s, refit=with_changes(s.refit, test=""))),
    with_step("C05", lambda s: without_remake(s, cure=None)),
    with_step("C07", lambda s: with_changes(s, fasteners=())),
    with_changes(
        CHEST,
        components=tuple(
            with_changes(c, repaired=True) if c.disposition is Disposition.REPAIR else c for c in CHEST.components
        ),
    ),
)
"""For each question the chest without a fact that its answer rests on."""


def test_there_are_ten_questions_each_with_its_evidence() -> None:
    assert [title.split(".")[0] for title in QUESTIONS] == [str(i) for i in range(1, 11)]
    assert all(QUESTIONS.values())
    assert len(WITHOUT) == len(QUESTIONS)


@pytest.mark.parametrize("question", QUESTIONS)
def test_the_words_that_an_answer_rests_on_stand_on_the_printed_list(question: str) -> None:
    text = printed(CHEST)
    assert [words for words in QUESTIONS[question] if words not in text] == []


@pytest.mark.parametrize(("question", "poorer"), list(zip(QUESTIONS, WITHOUT, strict=True)), ids=list(QUESTIONS))
def test_without_the_fact_in_the_record_the_words_are_gone(question: str, poorer: Unit) -> None:
    text = printed(poorer)
    assert [words for words in QUESTIONS[question] if words not in text]


def test_what_was_in_doubt_once_is_answered_by_the_list_now() -> None:
    text = printed(CHEST)
    answered = SECTIONS["What the paper does not answer"]
    assert len(answered) == 4
    assert [words for words in answered if words not in text] == []


def test_how_it_lay_is_missed_where_it_is_not_written_down() -> None:
    poorer = with_step("C07", lambda s: with_changes(s, orientation=""))
    assert "How it lay then is not written down; see by the parts where its front was." in printed(poorer)
    assert "How it lay then" not in printed(CHEST)
    assert "C07: seen from below, how did it lie and where was its front?" in [m.sentence for m in to_complete(poorer)]


def test_the_labels_are_those_of_the_bags() -> None:
    bags = ledger(CHEST).bags
    assert SECTIONS["The labels"] == [
        f"C1 bag {bag}: {', '.join(f'{n} {kind}' for kind, n in contents.kinds.items())}"
        for bag, contents in sorted(bags.items())
    ]


def test_the_order_of_the_big_parts_is_the_order_on_paper() -> None:
    text = printed(CHEST)
    places = [text.index(words) for words in QUESTIONS["1. What goes on first, the top or the back?"]]
    assert places == sorted(places)


def test_what_the_paper_does_not_answer_is_asked_for_at_the_desk() -> None:
    asked = [m.sentence for m in to_complete(CHEST)]
    assert "PL plinth: in which box, on which shelf?" in asked
    assert "BK back: in which box, on which shelf?" in asked
