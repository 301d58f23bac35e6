"""How a unit was left half apart: what is asked on leaving, and how the answers read on coming back.

Common practice, no source: what a person coming back next week, or somebody else, has to know.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from logbook.model.unit import LeftAs, Unit


class LeavingQuestion(NamedTuple):
    """A question offered, never forced, when work is left half done."""

    field: str
    """Of `LeftAs`."""
    question: str
    like: str
    """An answer as somebody would type it."""
    answer_starts: str
    """How the answer begins where it is shown."""


LEAVING_QUESTIONS: tuple[LeavingQuestion, ...] = (
    LeavingQuestion("held_by", "What is it standing on or clamped in?", "two clamps", "held by"),
    LeavingQuestion("loose", "What is loose?", "the chassis", "loose:"),
    LeavingQuestion("way_up", "Which way up is it?", "on its face", "lies"),
    LeavingQuestion("beware", "DO NOT ...? (turn it over, switch it on)", "turn it over", "DO NOT"),
)


def answers_of(unit: Unit) -> dict[str, str]:
    """What was answered when the unit was left last, by field; empty texts where nothing was."""
    left = unit.left_as
    return {q.field: getattr(left, q.field) if left is not None else "" for q in LEAVING_QUESTIONS}


def with_answers(unit: Unit, answers: Mapping[str, str], at: datetime, by: str) -> Unit:
    """The unit as it is left now, in place of how it was left before; the history keeps that.

    Answers that say nothing at all take back what was said.
    """
    said = {q.field: " ".join(answers.get(q.field, "").split()) for q in LEAVING_QUESTIONS}
    left = LeftAs(**said, at=at, by=by) if any(said.values()) else None
    return unit if left == unit.left_as else unit.model_copy(update={"left_as": left})


def left_words(unit: Unit) -> str:
    """How it was left, in one sentence; what nobody may do comes first. Empty when nobody said.

    Older books have it as the last line of the notes.
    """
    if unit.left_as is None:
        match = _LEFT.fullmatch(unit.notes.rpartition("\n")[2])
        return match[1] if match else ""
    answers = answers_of(unit)
    said = [f"{q.answer_starts} {answers[q.field]}" for q in reversed(LEAVING_QUESTIONS) if answers[q.field]]
    beware = said[:1] if answers["beware"] else []
    rest = said[len(beware) :][::-1]
    return f"Left: {'; '.join((*beware, *rest))}."


_LEFT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2} [0-9]{2}:[0-9]{2} UTC (Left: .+)")


def still_as_left(unit: Unit) -> bool:
    """Whether no step was taken since it was left, so that it lies as it was said."""
    left = unit.left_as
    if left is None or left.at is None:
        return True
    return all(s.at is None or s.at <= left.at for s in unit.steps if not s.planned)
