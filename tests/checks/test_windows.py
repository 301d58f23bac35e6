"""Checks 20 and 21: windows that were missed, and more in use than there is."""

from __future__ import annotations

from datetime import timedelta

import pytest

from logbook.checks import CheckProblem, Severity, check_book, check_unit
from logbook.model.shop import PlannedStart, Shop, Tool
from logbook.model.unit import Unit
from logbook.model.words import Stage, WorkState
from logbook.model.work import Operation
from tests.builders import at, book, operation, shop, unit

NOW = at("2026-03-20 18:00")
DONE = at("2026-03-18 08:00")
COAT = {"what": "recoat", "earliest": 240, "latest": 24 * 60, "after_sanding": 72 * 60}
CLAMPS = Tool(name="clamp", number=10)


def coat(**more: object) -> Operation:
    """A coat that was put on at 8 in the morning: again after 4 h, up to 24 h, or sanded after 72 h."""
    given = {"state": WorkState.DONE, "done_at": DONE, "wait": COAT, "if_missed": "scuff-sand 320", **more}
    return operation("B01", "coat 1", **given)


def begun_after(hours: float, **more: object) -> Operation:
    """The next coat, which took half an hour and was begun so long after the first was done."""
    ended = DONE + timedelta(hours=hours, minutes=30)
    return operation("B02", "coat 2", after=("B01",), state=WorkState.DONE, done_at=ended, spent=30, **more)


def found(of: Unit, check: int, of_shop: Shop | None = None) -> list[CheckProblem]:
    return [p for p in check_unit(of, of_shop or shop(), NOW) if p.check == check]


@pytest.mark.parametrize(
    ("hours", "code", "severity"),
    [
        (3.9, "before-wait-ended", Severity.LOOK),
        (4, None, None),
        (24, None, None),
        (24.1, "in-forbidden-time", Severity.LOOK),
        (71.9, "in-forbidden-time", Severity.LOOK),
        (72, "after-window", Severity.NOTE),
    ],
)
def test_a_coat_is_too_early_in_time_forbidden_or_late(hours: float, code: str | None, severity: Severity) -> None:
    problems = found(unit(operations=(coat(), begun_after(hours))), 20)
    assert [(p.code, p.severity, p.place) for p in problems] == ([(code, severity, "B02")] if code else [])


def test_what_is_only_begun_counts_from_when_it_was_taken_up() -> None:
    begun = operation("B02", "coat 2", after=("B01",), state=WorkState.DOING, started_at=DONE + timedelta(hours=1))
    (problem,) = found(unit(operations=(coat(), begun)), 20)
    assert problem.sentence.startswith(
        "B02 coat 2 was begun 1:00 h after B01 coat 1, which has to wait 4:00 h (recoat)"
    )


@pytest.mark.parametrize(
    ("hours_ago", "code"), [(1, None), (10, "window-open"), (30, "window-missed"), (80, "window-missed")]
)
def test_a_window_that_runs_is_told_and_one_that_closed_is_to_be_looked_at(hours_ago: int, code: str | None) -> None:
    next_coat = operation("B02", "coat 2", after=("B01",))
    of = unit(operations=(coat(done_at=NOW - timedelta(hours=hours_ago)), next_coat))
    assert [p.code for p in found(of, 20)] == ([code] if code else [])
    stopped = of.model_copy(update={"stage": Stage.STOPPED})
    assert found(stopped, 20) == []


def glued(code: str, clamps: int, hours_ago: float) -> Unit:
    """A unit whose glue-up stands in so many clamps for two hours."""
    done = NOW - timedelta(hours=hours_ago)
    wait = {"what": "glue", "earliest": 1440, "clamped": 120}
    of = operation("B01", "glue-up", state=WorkState.DONE, done_at=done, wait=wait, needs={"clamps": clamps})
    return unit(code=code, operations=(of,))


@pytest.mark.parametrize(("hours_ago", "over"), [(1.9, True), (2, False)])
def test_more_clamps_in_use_than_the_shop_has_cannot_be(hours_ago: float, over: bool) -> None:
    both = book(glued("R1", 8, hours_ago), glued("C1", 4, 1), of_shop=shop(tools=(CLAMPS,)))
    problems = [p for p in check_book(both, NOW) if p.check == 21]
    assert [(p.code, p.severity) for p in problems] == ([("limit-exceeded", Severity.WRONG)] if over else [])
    if over:
        assert problems[0].sentence.startswith(
            "clamps: 12 are in use by the record (R1 B01 8, C1 B01 4), the shop has 10"
        )
        nobody_counted = book(glued("R1", 8, hours_ago), glued("C1", 4, 1))
        assert [p for p in check_book(nobody_counted, NOW) if p.check == 21] == []


def planned(hours: float) -> list[str]:
    """What is wrong with a kept plan of two glue-ups in the clamps so long after one another."""
    works = [operation(code, "glue-up", needs={"clamps": 6}) for code in ("B01", "B02")]
    first = NOW + timedelta(days=1)
    plan = (
        PlannedStart(work="R1/B01", at=first),
        PlannedStart(work="R1/B02", at=first + timedelta(hours=hours)),
    )
    of = book(unit(code="R1", stage=Stage.REBUILD, operations=tuple(works)), of_shop=shop(tools=(CLAMPS,), plan=plan))
    return [p.code for p in check_book(of, NOW) if p.check in (20, 21)]


def test_a_kept_plan_that_takes_more_clamps_than_there_are_is_told() -> None:
    assert planned(0.25) == ["plan-over-limit"]
    assert planned(0.5) == []


def test_a_kept_plan_that_does_not_wait_long_enough_any_more_is_told() -> None:
    works = (operation("B01", "glue-up", wait={"earliest": 60}), operation("B02", "sand", after=("B01",)))
    first = NOW + timedelta(days=1)

    def codes_when(minutes: int) -> list[str]:
        second = PlannedStart(work="R1/B02", at=first + timedelta(minutes=minutes))
        plan = (PlannedStart(work="R1/B01", at=first), second)
        of = book(unit(code="R1", stage=Stage.REBUILD, operations=works), of_shop=shop(plan=plan))
        return [p.code for p in check_book(of, NOW) if p.check in (20, 21)]

    assert codes_when(89) == ["plan-against-wait"]
    assert codes_when(90) == []
