"""Veneer of several leaves: halves of a face lie side by side and are one layer, whole ones lie on one another."""

from __future__ import annotations

import pytest

from logbook.casework import worked_case
from logbook.casework.consequences import Consequence
from logbook.casework.lookup import thickness_of, veneer_of
from logbook.casework.reasons import panel_reasons
from logbook.model.case_plan import Size
from logbook.model.casework_records import Layer, Leaf, Panel
from logbook.model.unit import Unit
from logbook.model.words import PanelRole
from tests.builders import mm
from tests.casework.building import box

WHOLE, HALF = "496x247", "248x247"
"""A face of 490 x 240, its whole leaf, and half of it with the joint across; halves together are 496 long."""


def size(of: str) -> Size:
    length, width = of.split("x")
    return Size(length=mm(length), width=mm(width))


def leaf(of: str = "", material: str = "oak veneer", show: bool = True, thickness: str = "0.6") -> Leaf:
    return Leaf(material=material, thickness=mm(thickness), size=size(of) if of else None, show=show)


def top(*leaves: Leaf, finish: str = "490x240") -> Panel:
    core = Layer(material="12 ply", thickness=mm("11.8"))
    face = size(finish) if finish else None
    return Panel(code="P8", name="panel", role=PanelRole.OTHER, layers=(core,), leaves=leaves, finish=face)


BACKER = leaf(WHOLE, "backer", show=False)


@pytest.mark.parametrize(
    ("leaves", "layers", "thick"),
    [
        pytest.param([leaf(WHOLE), BACKER], [1, 1], "13", id="a whole leaf on each face: 11.8 + 2 x 0.6"),
        pytest.param([leaf(HALF), leaf(HALF), BACKER], [2, 1], "13", id="two halves in front"),
        pytest.param([leaf("496x124"), leaf("496x124"), BACKER], [2, 1], "13", id="joined along their long edges"),
        pytest.param([leaf("300x247"), leaf("196x247"), BACKER], [2, 1], "13", id="unlike in length, 496 together"),
        pytest.param([leaf("248x124")] * 4 + [BACKER], [4, 1], "13", id="four quarters"),
        pytest.param([leaf(WHOLE), leaf(WHOLE), BACKER], [1, 1, 1], "13.6", id="two whole ones are two layers"),
        pytest.param([leaf("200x247"), leaf("200x247"), BACKER], [1, 1, 1], "13.6", id="400 of 490 is no face"),
        pytest.param([leaf(HALF), leaf(HALF, "maple"), BACKER], [1, 1, 1], "13.6", id="of two veneers"),
        pytest.param([leaf(), leaf(), BACKER], [1, 1, 1], "13.6", id="no sizes: cut as large as the face"),
        pytest.param(
            [leaf(HALF), leaf(HALF), leaf(HALF, "backer", False), leaf(HALF, "backer", False)], [2, 2], "13",
            id="halves on both faces",
        ),
    ],
)  # fmt: skip
def test_leaves_on_a_face(leaves: list[Leaf], layers: list[int], thick: str) -> None:
    made = top(*leaves)
    assert [layer.leaves for layer in veneer_of(made)] == layers
    assert thickness_of(made) == mm(thick).ticks


def veneer_said(of: Unit) -> list[Consequence]:
    worked = worked_case(of)
    assert worked is not None
    return [c for c in worked.consequences if c.code == "veneer"]


def test_halves_in_front_and_one_leaf_behind_are_balanced() -> None:
    """0.6 of veneer on each face, not 1.2 in front."""
    (said,) = veneer_said(box(top(leaf(HALF), leaf(HALF), BACKER)))
    assert (said.sentence, said.holds) == ("P8: 0.6 of veneer on each face", True)


def test_the_reason_of_the_thickness_says_how_they_lie() -> None:
    worked = worked_case(box(top(leaf(HALF), leaf(HALF), BACKER)))
    assert worked is not None
    panel = next(p for p in worked.panels if p.code == "P8")
    said = panel_reasons(worked.members[0], panel)
    assert said[0].startswith("Thickness: 11.8 12 ply + 0.6 oak veneer (2 leaves side by side) + 0.6 backer = 13.")


def test_while_the_face_is_not_known_halves_alike_are_taken_to_cover_it() -> None:
    assert thickness_of(top(leaf(HALF), leaf(HALF), BACKER, finish="")) == mm("13").ticks


def test_while_the_face_is_not_known_it_is_asked_and_without_sizes_there_are_two_layers() -> None:
    (said,) = veneer_said(box(top(leaf(HALF), leaf(HALF), BACKER, finish="")))
    assert not said.holds
    assert said.sentence.startswith("P8: 2 leaves of oak veneer are counted as one layer, side by side;")
    (two,) = veneer_said(box(top(leaf(), leaf(), BACKER, finish="")))
    assert two.sentence.startswith("P8: 1.2 of veneer in front and 0.6 behind")
