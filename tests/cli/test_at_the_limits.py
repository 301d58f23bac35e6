"""Books whose values stand at the limits: every command answers, and no screen fails.

A few here; `python -m tests.benchmarks.accepted` looks at as many as there is time for.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.accepted import NOW, book_of, screens
from tests.limits import COMMANDS, asked

SEEDS = (10, 14)


@pytest.mark.parametrize("seed", SEEDS)
async def test_a_book_at_the_limits_is_worked_out(seed: int, tmp_path: Path) -> None:
    book = book_of(tmp_path, seed)
    for words in COMMANDS:
        code, wrong, _ = asked(book, words, NOW)
        assert code in (0, 1, 2), words
        assert "fault of the program" not in wrong, (words, wrong)
        assert "Traceback" not in wrong, (words, wrong)
    told: list[tuple[float, str]] = []
    await screens(book, told)
    assert len(told) > 30
