"""Check 22: the order that materials bear. The rules and their sources stand in templates/order_rules.json."""

from __future__ import annotations

from datetime import timedelta

import pytest

from logbook.checks import CheckProblem, Severity, check_unit
from logbook.model.unit import Unit
from logbook.model.words import Stage, WorkState
from logbook.model.work import Operation
from tests.builders import at, operation, shop, unit

NOW = at("2026-03-20 18:00")
VARNISH = operation("B01", "varnish", traits=("wet finish",), faces=("show",))


def leaf(code: str = "B02", **more: object) -> Operation:
    return operation(code, "leaf on", traits=("solvent adhesive",), faces=("show",), **more)


def found(*operations: Operation, stage: Stage = Stage.REBUILD) -> list[CheckProblem]:
    of: Unit = unit(operations=operations, stage=stage)
    return [p for p in check_unit(of, shop(), NOW) if p.check == 22]


def test_the_other_order_is_told_with_why_and_how_to_put_it_right() -> None:
    (problem,) = found(VARNISH, leaf(after=("B01",)))
    assert (problem.code, problem.place, problem.severity) == ("order-against-materials", "B01", Severity.LOOK)
    assert "B02 belongs before B01" in problem.sentence
    assert "softens a finished face" in problem.sentence
    assert "To put it right" in problem.sentence


def test_several_against_one_are_one_sentence() -> None:
    second = VARNISH.model_copy(update={"code": "B03", "name": "varnish again"})
    (problem,) = found(VARNISH, second, leaf(after=("B01", "B03")))
    assert "B02 belongs before B01, B03" in problem.sentence


@pytest.mark.parametrize(
    "operations",
    [
        (),
        (leaf("B01"), VARNISH.model_copy(update={"code": "B02", "after": ("B01",)})),
        (leaf("B02"), VARNISH),
        (operation("B01", "lay out"), operation("B02", "rough cut", after=("B01",))),
    ],
    ids=["none", "as it should be", "not said yet", "nothing to do with each other"],
)
def test_nothing_is_told_where_nothing_is_against_it(operations: tuple[Operation, ...]) -> None:
    assert found(*operations) == []


def test_on_a_face_that_nobody_wrote_down_it_is_for_information() -> None:
    block = operation("B02", "block on", after=("B01",), traits=("glue",))
    (problem,) = found(VARNISH, block)
    assert problem.severity is Severity.NOTE
    assert problem.sentence.startswith("If on the same face")


def test_felt_on_a_finish_that_was_not_cured() -> None:
    done = at("2026-03-10 20:00")
    varnish = VARNISH.model_copy(update={"state": WorkState.DONE, "done_at": done})
    felt = operation("B02", "felt feet", after=("B01",), traits=("felt or rubber",), state=WorkState.DONE)
    early = felt.model_copy(update={"done_at": done + timedelta(hours=20)})
    late = felt.model_copy(update={"done_at": done + timedelta(days=30)})
    assert [p.code for p in found(varnish, early)] == ["sooner-than-materials-bear"]
    assert found(varnish, late) == []


def test_a_closed_unit_is_left_in_peace() -> None:
    assert found(VARNISH, leaf(after=("B01",)), stage=Stage.CLOSED) == []
