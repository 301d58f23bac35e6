"""The groove or rabbet for the back, where a panel says it and the plan of the case does not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from logbook.casework.lookup import role_of, words_in
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import Case, Groove, Panel
from logbook.model.words import BackKind, PanelRole

_KINDS = {False: BackKind.GROOVE, True: BackKind.RABBET}


def plan_said(case: Case) -> CasePlan | None:
    """The plan of a case, with the back in the groove that a panel of it has; None when there is no plan.

    What the plan says of the back itself stands.
    """
    plan = case.plan
    if plan is None or plan.back is not BackKind.OPEN:
        return plan
    groove = next((groove for _, groove in for_the_back(case.panels)), None)
    if groove is None:
        return plan
    said = {
        "back": _KINDS[groove.rabbet],
        "back_depth": plan.back_depth or groove.depth,
        "back_set_in": plan.back_set_in or groove.set_in,
    }
    return plan.model_copy(update=said)


def for_the_back(panels: Iterable[Panel]) -> Iterator[tuple[Panel, Groove]]:
    """Each groove that a panel has for the back, with the panel."""
    panels = tuple(panels)
    backs = {p.code.casefold() for p in panels if role_of(p) is PanelRole.BACK}
    for panel in panels:
        for groove in panel.grooves:
            words = words_in(groove.takes)
            if "back" in words or not backs.isdisjoint(words):
                yield panel, groove


def otherwise_than_planned(panels: Iterable[Panel], plan: CasePlan) -> Iterator[tuple[Panel, str]]:
    """Each panel whose groove for the back is not the one that the plan says, and what of it is otherwise."""
    for panel, groove in for_the_back(panels):
        name = "rabbet" if groove.rabbet else "groove"
        if plan.back is not BackKind.OPEN and plan.back is not _KINDS[groove.rabbet]:
            yield panel, f"a {name} for the back, and the plan has the back {plan.back}"
        elif plan.back_depth and groove.depth and plan.back_depth.ticks != groove.depth.ticks:
            yield panel, f"the {name} for the back {groove.depth.in_mm()} deep, in the plan {plan.back_depth.in_mm()}"
