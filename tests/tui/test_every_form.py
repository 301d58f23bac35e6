"""Every list and every form at any depth of a unit and of the shop, by keys: add, open, type, refuse, clear, leave."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.every_form import FIRST_PLACES, SPOTS, demo_book, empty_book, walked
from tests.tui.quick_loop import run_quickly

TOGETHER = 8
"""So many lists and forms share one run of the program."""
GROUPS = [SPOTS[i : i + TOGETHER] for i in range(0, len(SPOTS), TOGETHER)]


@pytest.mark.parametrize("at", range(len(GROUPS)), ids=lambda at: str(GROUPS[at][0]))
@pytest.mark.parametrize("on_demo", [False, True], ids=["empty", "demo"])
def test_every_list_and_form_keeps_its_word(tmp_path: Path, at: int, on_demo: bool) -> None:
    book = demo_book(tmp_path) if on_demo else empty_book(tmp_path)
    forms = FIRST_PLACES if on_demo else ()  # each kind of form once, on records that hold something
    places = GROUPS[at] if on_demo else [spot for spot in GROUPS[at] if spot in FIRST_PLACES]
    walker = run_quickly(walked(book, places, on_demo=on_demo, forms=forms))
    print(f"{walker.right} of {walker.right + len(walker.wrong)} right")
    assert walker.wrong == [], "\n\n".join(walker.wrong)
    assert walker.right >= len(places)
