"""Check 22: work in an order that the materials do not bear, such as a solvent adhesive after the finish beside it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.planning.material_order import Contrary, forced_order, too_early
from logbook.planning.usual_work_lists import order_rules, usual_work


def order_of_materials(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 22: the record shows, or had done, the other order than the one the materials force.

    Where it matters only on the same face and nobody wrote which faces the two touch, it is for information.
    """
    if not unit.operations:
        return
    order = forced_order(unit, unit.operations, order_rules(shop), usual_work(shop))
    alike: dict[tuple[str, str, bool], list[Contrary]] = {}
    for found in order.contrary:
        alike.setdefault((found.earlier, found.rule.code, found.certain), []).append(found)
    for first, *others in alike.values():
        severity = Severity.LOOK if first.certain else Severity.NOTE
        told = first._replace(later=", ".join([first.later, *(o.later for o in others)])).sentence
        yield CheckProblem(22, "order-against-materials", unit.code, first.later, told[:1].upper() + told[1:], severity)
    for sentence in too_early(unit, order):
        yield CheckProblem(22, "sooner-than-materials-bear", unit.code, "", sentence, Severity.LOOK)
