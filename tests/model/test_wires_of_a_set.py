"""The wires of a step that was recorded for a set: counted on each, written once for all or one by one."""

from __future__ import annotations

import pytest

from logbook.checks import check_unit
from logbook.model.members import wires_of
from logbook.model.step import Connection
from tests.builders import at, part_set, shop, step, unit

NOW = at("2026-03-12 20:00")
LEFT_AND_RIGHT = ("L", "R")


def wires(*codes: str, member: str = "") -> tuple[Connection, ...]:
    return tuple(Connection(code=code, start="clamp", end="holder", member=member) for code in codes)


FOR_ALL = wires("W1", "W2", "W3")
OF_EACH = wires("W1", "W2", "W3", member="L") + wires("W4", "W5", "W6", member="R")
ONE_BY_ONE = wires("W1", "W2", "W3", "W4", "W5", "W6")


@pytest.mark.parametrize(
    ("members", "written", "in_all", "still_open"),
    [
        pytest.param((), FOR_ALL, (3, 3), 0, id="of one thing"),
        pytest.param(LEFT_AND_RIGHT, FOR_ALL, (6, 6), 0, id="three that stand for one on each"),
        pytest.param(LEFT_AND_RIGHT, OF_EACH, (6, 6), 0, id="three of the left, three of the right"),
        pytest.param(LEFT_AND_RIGHT, ONE_BY_ONE, (6, 6), 0, id="six numbers, each one wire"),
        pytest.param(LEFT_AND_RIGHT, ONE_BY_ONE[:5], (6, 5), 1, id="five numbers of six wires"),
        pytest.param(LEFT_AND_RIGHT, OF_EACH[:4], (6, 4), 2, id="two of the right are open"),
        pytest.param(LEFT_AND_RIGHT, (*ONE_BY_ONE, *wires("W7")), (6, 7), 0, id="one too many"),
        pytest.param(("L",), FOR_ALL, (3, 3), 0, id="only the left one is apart"),
    ],
)
def test_three_wires_on_each(
    members: tuple[str, ...], written: tuple[Connection, ...], in_all: tuple[int, int], still_open: int
) -> None:
    found = wires_of(step("T01", wires=3, connections=written), members)
    assert found is not None
    assert (found.counted, found.written) == in_all
    assert found.open == still_open


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (ONE_BY_ONE, []),
        (OF_EACH, []),
        (
            ONE_BY_ONE[:5],
            [
                "T01: 6 wires (3 on each) counted at the bench, 5 written down. Write each missing one "
                "from the photos, in the line of this step: W1 brown: cord to switch 1."
            ],
        ),
    ],
)
def test_no_wire_of_a_pair_is_called_too_many(written: tuple[Connection, ...], said: list[str]) -> None:
    pair = part_set("LR", members=LEFT_AND_RIGHT)
    record = unit(step("T01", each_of="LR", wires=3, connections=written), sets=[pair])
    found = check_unit(record, shop(), NOW)
    assert [problem.sentence for problem in found if problem.code == "wires-not-as-counted"] == said
