"""What stands beside the line of a step: how a phrase was read, and what is in doubt."""

from __future__ import annotations

import pytest

from logbook.teardown.bench_line import read_line
from logbook.tui.step_words import reading_in_words
from tests.builders import unit


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("lid, unscrwed", "Kept as a note: unscrwed (unscrewed?)"),
        ("foot, glued", "Kept as a note: glued (had to be broken? Say “one-way glued”.)"),
        ("foot, soft; sticky", "Kept as a note: soft; sticky"),
        ("foot, prised, one-way glued", ""),
    ],
)
def test_what_was_not_understood_is_said_with_what_it_may_be(line: str, doubt: str) -> None:
    assert reading_in_words(read_line(line, unit()))[1] == doubt
