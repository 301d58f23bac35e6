"""One holder for both of a pair: said in the line, it came out once, is asked for once and is bought once."""

from __future__ import annotations

import pytest

from logbook.costing import bill_of_materials
from logbook.model.unit import Unit
from logbook.model.words import Disposition
from logbook.reassembly import readiness, refit_list
from logbook.render.build_step import step_sentences
from logbook.render.reassembly_list import reassembly_text
from logbook.teardown.bench_line import read_line
from logbook.teardown.step_keeping import kept_from_line, line_of
from tests.builders import at, part_set, shop, unit
from tests.teardown.test_said_as_it_is import PAIR

NOW = at("2026-03-12 20:00")


def kept(line: str, of: Unit | None = None) -> Unit:
    of = unit(sets=[PAIR]) if of is None else of
    return kept_from_line(of, read_line(line, of), at=NOW)


def on_the_way_back(of: Unit) -> str:
    listed = refit_list(of)
    page = reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)
    return " ".join(page.split())


@pytest.mark.parametrize(
    "said",
    ["one starter for both", "1 starter for both", "a starter for the pair", "component starter for both",
     "component starter for all"],
)  # fmt: skip
def test_a_thing_that_both_share_came_out_once(said: str) -> None:
    made = kept(f"lamps, each, {said}")
    assert [(c.name, c.quantity, c.member) for c in made.components] == [("starter", 1, "")]
    (step,) = made.steps
    assert (step.each_of, step.fasteners, step.note) == ("LR", (), "")
    again = read_line(line_of(made, step), made, base=step)
    assert again.step == step
    assert kept_from_line(made, again, at=NOW).components == made.components, "kept again it is no second one"


def test_the_reading_says_that_it_is_for_all_of_them() -> None:
    reading = read_line("lamps, each, one starter for both", unit(sets=[PAIR]))
    assert reading.phrases[-1].meaning == "component starter, came out here, for all of LR together"


def test_the_pair_may_be_made_in_the_same_line() -> None:
    of = unit()
    made = kept_from_line(of, read_line("lamps, pair, one starter for both", of), at=NOW)
    assert [(c.name, c.quantity) for c in made.components] == [("starter", 1)]
    assert made.steps[0].each_of == "LR"


def test_a_shared_part_is_bought_once_and_one_for_each_is_bought_twice() -> None:
    made = kept("lamps, each, new part holder for both, left new part lamp, right new part lamp")
    assert [(p.name, int(p.quantity), p.member) for p in made.parts] == [
        ("holder", 1, ""),
        ("lamp", 1, "L"),
        ("lamp", 1, "R"),
    ]


def test_a_shared_component_that_is_renewed_stands_once_on_the_bill() -> None:
    made = kept("lamps, each, one starter for both")
    (starter,) = made.components
    renewed = starter.model_copy(update={"disposition": Disposition.RENEW})
    bill = bill_of_materials(made.model_copy(update={"components": (renewed,)}), shop(), NOW.date())
    assert [str(line.quantity) for line in bill.lines if "starter" in line.name] == ["1"]


def test_a_screw_for_both_is_asked_about_and_never_counted_twice() -> None:
    reading = read_line("lamps, each, 1 screw M4x10 for both", unit(sets=[PAIR]))
    assert reading.step.fasteners == ()
    assert reading.problems[0].startswith("screw M4x10: a step of a set counts screws on each of it.")


def test_a_thing_that_is_called_so_keeps_its_name() -> None:
    made = kept('lamps, each, component "holder for both"')
    assert [c.name for c in made.components] == ["holder for both"]
    again = read_line(line_of(made, made.steps[0]), made, base=made.steps[0])
    assert kept_from_line(made, again, at=NOW).components == made.components


SHARED_AND_OWN = "lamps, each, one starter for both, new part holder for both, component lamp x2, left new part switch"


def test_the_line_again_says_that_it_is_shared() -> None:
    made = kept(SHARED_AND_OWN)
    assert line_of(made, made.steps[0]).split(", ") == [
        "lamps", "component starter for both", "component lamp x2", "new part holder for both", "each LR",
        "left new part switch",
    ]  # fmt: skip
    again = kept_from_line(made, read_line(line_of(made, made.steps[0]), made, base=made.steps[0]), at=NOW)
    assert (again.components, again.parts) == (made.components, made.parts)


def test_the_way_back_and_the_build_record_say_one_for_both() -> None:
    made = kept(SHARED_AND_OWN)
    listed = on_the_way_back(made)
    assert "One starter for both." in listed
    assert "One new holder for both." in listed
    assert "lamp for both" not in listed
    assert "component starter for both" in tuple(step_sentences(made, made.steps[0]))


def test_of_three_it_is_for_all_and_of_one_taken_apart_nothing_is_shared() -> None:
    of = unit(sets=[part_set("D", members=3)])
    made = kept("drawers, each, one key for all", of)
    assert "component key for all" in line_of(made, made.steps[0])
    assert "One key for all." in on_the_way_back(made)
    alone = kept("lamps, each, right still to do, component starter")
    assert "for both" not in line_of(alone, alone.steps[0])
