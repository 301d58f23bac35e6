"""What a mistyped word is likely to mean: offered beside the note, never taken by itself."""

from __future__ import annotations

import pytest

from logbook.teardown.vocabulary import ACTION_FORMS, nearest_word


@pytest.mark.parametrize(
    ("typed", "near"),
    [
        ("unscrwed", "unscrewed"),
        ("Unsodered", "unsoldered"),
        ("phto", "photo"),
        ("onw-way", "one-way"),
        ("liftd off", "lifted off"),
        ("glued", "one-way glued"),
        ("rusty", ""),
        ("very tight", ""),
        ("cu", ""),
        ("", ""),
        ("a long sentence about the state it was found in", ""),
    ],
)
def test_the_nearest_word(typed: str, near: str) -> None:
    assert nearest_word(typed) == near


def test_what_is_spelt_rightly_is_its_own_nearest() -> None:
    assert all(nearest_word(form) == form for form in ACTION_FORMS if len(form) >= 4 and len(form) <= 20)
