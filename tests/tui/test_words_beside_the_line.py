"""What stands beside the line of a step: how a phrase was read, and what is in doubt."""

from __future__ import annotations

import pytest

from logbook.teardown.bench_line import read_line
from logbook.teardown.offered_word import with_offered_word
from logbook.tui.step_words import reading_in_words
from tests.builders import unit


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("lid, unscrwed", "Kept as a note: unscrwed (unscrewed? Right takes it)"),
        ("foot, glued", "Kept as a note: glued (had to be broken? Say “one-way glued”, or Right.)"),
        ("foot, soft; sticky", "Kept as a note: soft; sticky"),
        ("foot, prised, one-way glued", ""),
    ],
)
def test_what_was_not_understood_is_said_with_what_it_may_be(line: str, doubt: str) -> None:
    assert reading_in_words(read_line(line, unit()))[1] == doubt


@pytest.mark.parametrize(
    ("line", "put_right"),
    [
        ("lid, unscrwed, 4 screw 4x20", "lid, unscrewed, 4 screw 4x20"),
        ("lid, phto, unscrwed", "lid, phto, unscrewed"),
        ("lid, phto, unscrewed", "lid, photo, unscrewed"),
        ("foot, glued", "foot, one-way glued"),
        ("foot, soft", None),
        ("lid, unscrewed", None),
        ("", None),
    ],
)
def test_the_offered_word_takes_the_place_of_the_mistyped_one(line: str, put_right: str | None) -> None:
    assert with_offered_word(line, read_line(line, unit())) == put_right
