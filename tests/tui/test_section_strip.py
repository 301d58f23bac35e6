"""The line with the sections of a unit fits every width, and the section shown is always whole."""

from __future__ import annotations

import pytest

from logbook.render.plain import width
from logbook.tui.sections import strip_names
from logbook.tui.widgets.frame_lines import place_words

EIGHT = [
    (str(i + 1), name)
    for i, name in enumerate(
        ("arrival", "teardown", "components", "costs", "reassembly", "case", "work", "photos"),
    )
]


@pytest.mark.parametrize("columns", [24, 40, 58, 78, 118])
def test_it_fits_and_names_the_one_shown(columns: int) -> None:
    for _, here in EIGHT:
        words = strip_names(EIGHT, here, columns)
        assert len(" ".join(words)) <= columns
        assert len(words) == 8
        if columns >= 58:
            assert sum(here in w for w in words) == 1


def test_with_room_names_are_whole_and_apart() -> None:
    assert strip_names(EIGHT[:3], "teardown", 60) == (" 1 arrival ", "[2 teardown]", " 3 components ")


def test_without_room_the_others_are_cut() -> None:
    assert strip_names(EIGHT[:3], "teardown", 26) == ("1 arri", "[2 teardown]", "3 comp")


def test_narrower_than_any_name_the_digits_stay() -> None:
    assert strip_names(EIGHT[:3], "teardown", 8) == ("1", "[2]", "3")


@pytest.mark.parametrize("name", ["R1 table radio", "R1 " + "long name " * 20, "R1 古いラジオ" * 20])
@pytest.mark.parametrize("columns", [44, 64, 100])
def test_a_long_name_does_not_hide_where_you_are(name: str, columns: int) -> None:
    words = place_words(f" {name} / photos", columns)
    assert width(words) == columns
    assert words.rstrip().endswith(" / photos")
    assert words.startswith(" R1 ")


def test_where_you_are_is_cut_too_when_it_alone_is_too_long() -> None:
    assert place_words(" R1 x / " + "y" * 50, 20) == " R1 x / yyyyyyyyyyy…"


LONG = " R1 Kitchen table radio with a wide dial"


@pytest.mark.parametrize(
    ("place", "columns", "shown"),
    [
        (f"{LONG} / steps / T11 / fasteners", 47, " R1 Kitchen table ra… / steps / T11 / fasteners"),
        (f"{LONG} / steps / T11 / fasteners", 34, " R1 / steps / T11 / fasteners"),
        (f"{LONG} / steps / T11 / fasteners", 26, " R1 / … / T11 / fasteners"),
        (f"{LONG} / what is wired to it / new", 29, " R1 / what is wired to… / new"),
        (
            " Bench / joining demo here with the desk / question 2 of 3",
            47,
            " Bench / joining demo here w… / question 2 of 3",
        ),
    ],
)
def test_the_unit_and_the_innermost_place_stay(place: str, columns: int, shown: str) -> None:
    assert place_words(place, columns).rstrip() == shown
