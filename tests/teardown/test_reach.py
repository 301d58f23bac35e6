"""How far a stranger would get: step by step in the order of the way back, until something heavy is missing."""

from __future__ import annotations

import pytest

from logbook.model.edits import with_changes
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.model.words import Action, OrderBasis
from logbook.teardown.complete import to_complete
from logbook.teardown.stranger import STOPS, reach
from tests.builders import one_way, relation, screws, step, unit

UNITS = {d.unit.code: d.unit for d in demo_documents() if d.logbook == "unit"}


def whole(code: str, what: str = "panel") -> object:
    """A step with everything that a stranger needs."""
    return step(code, what, Action.UNSCREWED, fasteners=[screws(2)], bag=code[1:], viewed_from="front")


def sound(n: int = 3, **more: object) -> Unit:
    return unit(*(whole(f"T{i:02d}") for i in range(1, n + 1)), **more)  # type: ignore[arg-type]


def stopping(of: Unit, code: str) -> Unit:
    """The record with a one-way joint at a step of which nothing was measured: nobody can make that again."""
    made = of.step(code)
    assert made is not None
    blind = with_changes(made, one_way=one_way("glued", measured=False))
    return with_changes(of, steps=tuple(blind if s.code == code else s for s in of.steps))


def test_the_helper_makes_what_it_says() -> None:
    assert [m for m in to_complete(sound()) if m.weight >= STOPS] == []
    heavy = [m for m in to_complete(stopping(sound(), "T02")) if m.weight >= STOPS]
    assert {m.step for m in heavy} == {"T02"}


def test_a_whole_record_takes_a_stranger_all_the_way() -> None:
    found = reach(sound())
    assert found is not None
    assert (found.steps, found.clear, found.straight, found.stop) == (3, 3, 3, None)
    assert found.sentence == "Somebody else could put back all 3 steps."


def test_one_step_is_said_as_one() -> None:
    found = reach(sound(1))
    assert found is not None
    assert found.sentence == "Somebody else could put back the one step."


@pytest.mark.parametrize(("code", "straight"), [("T03", 0), ("T02", 1), ("T01", 2)])
def test_the_way_back_begins_at_the_last_step(code: str, straight: int) -> None:
    found = reach(stopping(sound(), code))
    assert found is not None
    assert (found.steps, found.clear, found.straight) == (3, 2, straight)
    assert found.stop is not None
    assert found.stop.step == code
    assert found.stop.sentence in found.sentence


def test_the_order_is_that_of_the_relations() -> None:
    free = unit(
        *(with_changes(whole(f"T{i:02d}"), order=OrderBasis.STATED) for i in (1, 2, 3)),  # type: ignore[type-var]
        relations=[relation("T03", "T01")],
    )
    found = reach(stopping(free, "T01"))
    assert found is not None
    assert found.straight == 0  # T01 came off last, so it goes back first


def test_a_circle_does_not_keep_the_figure_back() -> None:
    round_it = sound(relations=[relation("T01", "T02"), relation("T02", "T01")])
    found = reach(round_it)
    assert found is not None
    assert found.steps == 3


def test_nothing_taken_off_has_no_reach() -> None:
    assert reach(unit()) is None
    assert reach(unit(step("T01", planned=True))) is None


def test_a_planned_step_is_not_counted() -> None:
    planned = with_changes(whole("T04"), planned=True)  # type: ignore[type-var]
    found = reach(unit(*sound().steps, planned))
    assert found is not None
    assert found.steps == 3


def test_light_gaps_cost_time_but_stop_nobody() -> None:
    bare = unit(step("T01", "panel", fasteners=[screws(2, kind="screw")], bag="1"))
    gaps = to_complete(bare)
    assert gaps
    assert max(m.weight for m in gaps) < STOPS
    found = reach(bare)
    assert found is not None
    assert (found.clear, found.stop) == (1, None)


@pytest.mark.parametrize("code", sorted(UNITS))
def test_the_figures_of_the_example_add_up(code: str) -> None:
    found = reach(UNITS[code])
    assert found is not None
    assert found.steps == sum(not s.planned for s in UNITS[code].steps)
    heavy = {m.step for m in to_complete(UNITS[code]) if m.weight >= STOPS}
    assert found.clear == found.steps - len(heavy & {s.code for s in UNITS[code].steps if not s.planned})
    assert (found.stop is None) is (not heavy)
