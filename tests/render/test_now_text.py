"""What now, in words: what was never estimated is shown apart and never said to fit."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from logbook.render.plan_document import LENGTH_UNKNOWN, now_sentence, now_text
from logbook.teardown.operations_ready import NowItem

NOW = datetime(2026, 3, 17, 18, tzinfo=UTC)


def thing(what: str, minutes: int | None) -> NowItem:
    return NowItem("R1", "B01", what, minutes, "", "operation")


SENTENCES = [
    ([], "Nothing is ready that fits into 30 min."),
    ([20], "1 thing fits into 30 min, best first."),
    ([20, 5, None], "2 things fit into 30 min, best first. 1 more has no time estimate."),
    ([None, None], "Nothing is ready that fits into 30 min. 2 have no time estimate."),
]


@pytest.mark.parametrize(("minutes", "said"), SENTENCES)
def test_how_much_fits(minutes: list[int | None], said: str) -> None:
    assert now_sentence([thing("x", m) for m in minutes], 30) == said


def test_what_has_no_known_length_stands_below_its_own_heading() -> None:
    text = now_text([thing("sand", 20), thing("look", None)], (), (), (), minutes=30, now=NOW)
    assert text.index("sand, 20 min") < text.index(LENGTH_UNKNOWN.upper()) < text.index("look, ? min")
    assert LENGTH_UNKNOWN.upper() not in now_text([thing("sand", 20)], (), (), (), minutes=30, now=NOW)
