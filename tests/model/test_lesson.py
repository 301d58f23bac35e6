"""The tasks of the lesson are read from the record, one after the other, and each can be undone again."""

from __future__ import annotations

import pytest

from logbook.model.lesson import TASKS, lesson_standing, lesson_words
from logbook.model.shop import Consumable
from logbook.model.step import Connection, Hazard, Proof
from logbook.model.unit import Book, LineState, Refit, Unit
from logbook.model.words import Then
from logbook.tui.places import keys_of_actions, screens
from tests.builders import screws, shop, step, unit

COVER = step("T01", "base cover", fasteners=[screws(4, found=3)], bag="1")
WIRE = Connection(code="W1", start="cord", end="switch 1")
CORD = step("T02", "cord", fasteners=[screws(1, then=Then.RENEW)], connections=[WIRE])
SWITCH = step("T03", "switch")
MAINS = Hazard(what="mains voltage")


def book(*steps: object, lamp: Unit | None = None, **more: object) -> Book:
    """A book with the lamp as far as it is."""
    return Book(shop=shop(**more), units={"L1": lamp or unit(*steps, code="L1", hazards=(MAINS,))})  # type: ignore[arg-type]


PROVED = unit(COVER, CORD, SWITCH, code="L1", hazards=(MAINS,), proofs=(Proof(danger="mains voltage", reading="0 V"),))
TICKED = PROVED.model_copy(update={"refit": Refit(lines=(LineState(line="check", done=True),))})
GROMMET = {"shelf": (Consumable(name="grommet", stock=1),)}
IN_TURN = (
    Book(),
    Book(units={"L1": unit(code="L1")}),
    book(),
    book(COVER),
    book(COVER, CORD),
    book(COVER, CORD, SWITCH),
    book(lamp=PROVED),
    book(lamp=PROVED, **GROMMET),
    book(lamp=TICKED, **GROMMET),
)
"""The record before each task, and after the last one."""


@pytest.mark.parametrize(("done", "record"), enumerate(IN_TURN))
def test_the_next_task_is_the_first_that_the_record_does_not_show(done: int, record: Book) -> None:
    assert lesson_standing(record).number == done + 1


def test_every_place_and_key_of_a_task_exists() -> None:
    for number, task in enumerate(TASKS):
        assert {place for place, _ in task.stops} <= set(screens())
        for place in (*screens(), "FormScreen"):
            for in_a_unit in (True, False):
                words = lesson_words(lesson_standing(IN_TURN[number]), place, in_a_unit=in_a_unit)
                named = [part.partition("}")[0] for part in words.split("{")[1:]]
                assert [action for action in named if action not in keys_of_actions()] == []


def test_when_all_is_done_the_end_is_said_everywhere() -> None:
    assert "All done." in lesson_words(lesson_standing(IN_TURN[-1]), "BenchScreen", in_a_unit=False)
