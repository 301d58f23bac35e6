"""What the step panel says of single members while a line is typed, and the line before it."""

from __future__ import annotations

import pytest

from logbook.model.unit import Member, PartSet
from logbook.model.words import Action, SetKind
from logbook.teardown.bench_line import read_line
from logbook.teardown.beside_the_step import before_this
from logbook.teardown.of_members import of_members
from logbook.tui.look.inks import text_of
from logbook.tui.step_words import draft_lines
from tests.builders import step, unit

PAIR = PartSet(
    code="LR",
    name="left and right",
    kind=SetKind.HANDED,
    members=(Member(code="L", position="left"), Member(code="R", position="right")),
)
LAMPS = "lamps, each 3 screw 3.5x16, bag 1 left, bag 2 right"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (LAMPS, [("L", ("bag 1",)), ("R", ("bag 2",))]),
        (
            f"{LAMPS}, right 1 missing, right 1 screw 3.5x16 renew as screw 3.5x20",
            [("L", ("bag 1",)), ("R", ("3 screw 3.5x16: 1 good, 1 missing, 1 renew as screw 3.5x20", "bag 2"))],
        ),
        ("lamps, each 2 nut M3, left no fasteners", [("L", ("no fasteners",))]),
        ("lamps, each 2 nut M3, right instead 1 nut M4", [("R", ("1 nut M4, reuse", "no nut M3"))]),
        (
            "lamps, each, wire W1 from a to b, right wire W5 from ring to ?",
            [("", ("wire W1 from a to b",)), ("R", ("wire W5 from ring, its other end is still to be written",))],
        ),
        (
            "lamps, each hold earth read ohm, left component 40 W lamp",
            [("L", ("hold earth: open", "component 40 W lamp")), ("R", ("hold earth: open",))],
        ),
        (
            "arms, each, left hold earth read ohm reading 0.1 by JB, right guess which way round, "
            "left setting gap is 2",
            [("L", ("hold earth: 0.1 by JB", "setting gap is 2")), ("R", ("~guess which way round",))],
        ),
        ("lid, 4 screw M4, bag 1", []),
    ],
)
def test_each_member_is_said_below_what_is_the_same(line: str, said: list[tuple[str, tuple[str, ...]]]) -> None:
    reading = read_line(line, unit(sets=(PAIR,)))
    assert reading.problems == ()
    assert [tuple(of) for of in of_members(reading)] == said
    shown = " ".join(" ".join(text_of(row) for row in draft_lines(reading, 100)).split())
    for _, words in said:
        for word in words:
            assert " ".join(word.split()) in shown


@pytest.mark.parametrize("rows", [4, 5, 6, 8, 20])
@pytest.mark.parametrize("columns", [46, 58, 78, 118])
def test_members_have_their_rows_however_small_the_panel(rows: int, columns: int) -> None:
    line = f"{LAMPS}, right 1 missing, left wire W4 from holder tip to terminal L, photo"
    shown = [text_of(row) for row in draft_lines(read_line(line, unit(sets=(PAIR,))), columns, rows)]
    inside = "\n".join(shown[:rows] if rows >= 6 else shown)
    assert "L only" in inside or "more, as the line says" in inside
    assert all(len(row) <= columns for row in shown)


def test_bags_of_members_stand_below_and_no_other_one_is_offered() -> None:
    reading = read_line(LAMPS, unit(sets=(PAIR,)))
    (bags,) = [text_of(row) for row in draft_lines(reading, 80, 20, "bag 3, b") if text_of(row).startswith("bag")]
    assert bags.split(maxsplit=1)[1] == "1, 2, as written below"


def test_the_line_before_names_every_action() -> None:
    cord = step("T01", "cord", action=Action.UNSOLDERED, also=(Action.CUT,), bag="3")
    assert before_this(unit(cord)) == "T01  cord, unsoldered and cut, bag 3"
