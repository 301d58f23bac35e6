"""Thickness in a material's name is thickness: which names are one material, and which are not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.model.material_names import alike, bare_material, same_material
from logbook.model.measures import Length


def ticks(text: str) -> tuple[int, ...]:
    return tuple(Length.of(t).ticks for t in text.split())


@pytest.mark.parametrize(
    ("a", "thick_a", "b", "thick_b"),
    [
        ("0.6 oak veneer", "0.6", "oak veneer", "0.6"),
        ("0.6 oak veneer", "0.6", "Oak  veneer", ""),
        ("12 ply 12", "11.8", "12 ply", "11.8"),
        ("12 ply 12", "11.8", "ply", "11.8 11.9 11.8"),
        ("9 birch ply", "8.8", "birch ply 9", "9"),
        ("birch ply 9", "9", "birch ply", "9"),
        ("9 mm birch ply", "9", "birch ply 9mm", "8.8"),
        ("3/4 in birch ply", "18.3", "birch ply", "18.3"),
        ('3/4" birch ply', "18.3", "18 birch ply", "18.3"),
        ("1/4 ply", "5.2", "ply", "5.2"),
        ("12 ply", "", "12 PLY", ""),
    ],
)
def test_these_are_one_material(a: str, thick_a: str, b: str, thick_b: str) -> None:
    assert same_material(a, ticks(thick_a), b, ticks(thick_b))
    assert same_material(b, ticks(thick_b), a, ticks(thick_a))


@pytest.mark.parametrize(
    ("a", "thick_a", "b", "thick_b"),
    [
        ("12 ply", "11.8", "9 ply", "8.8"),
        ("5 ply", "12", "9 ply", "12"),  # so many plies
        ("oak veneer", "0.6", "ash veneer", "0.6"),
        ("1 oak veneer", "0.6", "oak veneer", "0.6"),
        ("birch ply", "9", "birch plywood", "9"),
        ("12 ply", "", "ply", ""),  # nothing measured: the name is all there is
        ("pine 20x15", "15", "pine 30x15", "15"),
    ],
)
def test_these_are_two(a: str, thick_a: str, b: str, thick_b: str) -> None:
    assert not same_material(a, ticks(thick_a), b, ticks(thick_b))


def test_a_name_that_is_a_number_stays_one() -> None:
    assert bare_material("12", ticks("12")) == "12"


@pytest.mark.parametrize(
    ("a", "b", "like"),
    [("birch ply", "birch plywood", True), ("12 ply", "ply 12", True), ("oak", "ash", False), ("12", "12 of", False)],
)
def test_names_that_share_a_telling_word(a: str, b: str, like: bool) -> None:
    assert alike(a, b) is like


NAMES = st.sampled_from(["ply", "birch ply", "oak veneer", "5 ply", "mdf black"])
TENTHS = st.integers(5, 400)


@given(NAMES, TENTHS, st.sampled_from(["{t} {n}", "{n} {t}", "{t} mm {n}", "{n} {t}mm", "{n}"]))
def test_however_the_thickness_is_written_it_is_the_same_material(name: str, tenths: int, form: str) -> None:
    thick = f"{tenths / 10}"
    written = form.format(n=name, t=thick)
    assert same_material(written, ticks(thick), name, ticks(thick))
