"""What is still to be done with a component, and whether it goes back: one answer for list, work and components."""

from __future__ import annotations

from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, WorkState
from logbook.model.work import Operation

NOT_BACK = (Disposition.SCRAP, Disposition.PATTERN, Disposition.SPARE, Disposition.HAZARDOUS)
"""What becomes of a component that does not go back."""
WORK = {Disposition.REPAIR: "repair", Disposition.CLEAN: "cleaning", Disposition.TEST: "test"}
"""The work that a disposition asks for, as one names it."""


def work_code(component: Component) -> str:
    """The code under which the work on a component is proposed, and which an operation names that stands for it."""
    return f"C-{component.code}"[:16]


def standing_for(unit: Unit, component: Component) -> tuple[Operation, ...]:
    """The operations that are the work on a component."""
    code = work_code(component)
    return tuple(o for o in unit.operations if code in (o.code, *o.stands_for))


def work_open(unit: Unit, component: Component) -> bool:
    """Whether its disposition asks for work that is not done.

    It is done when somebody says so, or when every operation that stands for it is done. A test is also done by its
    verdict: one that was passed, and none that failed.
    """
    if component.disposition not in WORK or component.repaired:
        return False
    standing = standing_for(unit, component)
    if standing and all(o.state is WorkState.DONE for o in standing):
        return False
    if component.disposition is not Disposition.TEST:
        return True
    verdicts = {test.passed for test in component.tests}
    return True not in verdicts or False in verdicts


def failed_a_test(component: Component) -> bool:
    """Whether one of its tests failed."""
    return any(test.passed is False for test in component.tests)
