"""Checks 10, 12 and 13: a case keeps what is held, its joints agree, and what follows from its sizes is told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.casework import worked_case
from logbook.casework.case_things import thing_of_panel
from logbook.casework.lookup import joint_at, mm, panels_of, sides_of
from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import CaseJoint, HeldKind, PanelRole

FACES = frozenset({"veneer", "sanding", "chamfer", "chamfer-flat"})
"""Consequences that are check 13; the others are check 12."""
ELSEWHERE = frozenset({"joint-width"})
"""Told by another check, which knows the tolerance of the shop."""
WEIGHTY = frozenset({"grip", "projection", "breakthrough", "clash", "mitre", "rails", "mirror", "comes-through"})
"""Consequences after which something does not go together; the others are to be looked at."""


def held_sizes(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 10: the case as drawn keeps what is held."""
    worked = worked_case(unit, shop.settings)
    for held in worked.not_held if worked is not None else ():
        sentence = (
            f"{held.code} {held.what} is held at {held.wanted}, but the case gives {held.given} ({held.why}). "
            f"{held.way_out}"
        )
        code = "hole-moved" if held.kind is HeldKind.POSITION else "held-size-lost"
        yield CheckProblem(10, code, unit.code, f"{held.panel} {held.code}".strip(), sentence, Severity.WRONG)


def sizes_missing(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 10: a case whose plan and sheets are written down gets its sizes; what stands in the way is said."""
    worked = worked_case(unit, shop.settings)
    if worked is None or unit.case is None or unit.case.plan is None:
        return
    if not unit.case.panels or any(p.finish is not None for p in worked.panels):
        return
    for sentence in worked.missing:
        yield CheckProblem(10, "no-sizes", unit.code, "case", f"No panel has a size. {sentence}", Severity.LOOK)


def joints_agree(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 10: a joint reads the same on both of its panels, and has the depth that sizes are worked out from."""
    if unit.case is None:
        return
    panels = tuple(p for p in unit.case.panels if thing_of_panel(p, unit) is None)
    planned = unit.case.plan is not None
    for role, end in ((PanelRole.TOP, "top"), (PanelRole.BOTTOM, "bottom")):
        for part in panels_of(panels, role):
            own = joint_at(part, "left")
            for side in sides_of(panels):
                joint = joint_at(side, end)
                if joint is None:
                    continue
                if own is not None and own.kind is not joint.kind:
                    sentence = (
                        f"{part.code} {part.name} meets {side.code} in a {own.kind}, but {side.code} says "
                        f"{joint.kind}. Correct one of the two."
                    )
                    place = f"{part.code} {side.code}"
                    yield CheckProblem(10, "joints-disagree", unit.code, place, sentence, Severity.WRONG)
                if joint.kind in (CaseJoint.RABBET, CaseJoint.DADO) and joint.depth is None and not planned:
                    sentence = (
                        f"{side.code} {end}: its {joint.kind} has no depth, so no size can be worked out. Write it "
                        "down."
                    )
                    yield CheckProblem(10, "joint-without-depth", unit.code, side.code, sentence, Severity.LOOK)


def sizes_differ(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 10: a size that was written down is the one that the plan gives."""
    worked = worked_case(unit, shop.settings)
    if worked is not None and worked.differing:
        sentence = (
            f"The sizes written down for {', '.join(worked.differing)} are not those that held dimensions and "
            "measured thickness give. In the case section, t takes over the computed ones."
        )
        yield CheckProblem(10, "recorded-size-differs", unit.code, worked.differing[0], sentence, Severity.LOOK)


def consequences_told(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Checks 12 and 13: grip, projection, breakthrough, clashes, edges; veneer, chamfer, sanding."""
    worked = worked_case(unit, shop.settings)
    for c in worked.consequences if worked is not None else ():
        if c.holds or c.code in ELSEWHERE:
            continue
        sentence = f"{c.sentence}. {c.way_out}".strip()
        weight = Severity.WRONG if c.holds is False and c.code in WEIGHTY else Severity.LOOK
        yield CheckProblem(13 if c.code in FACES else 12, c.code, unit.code, c.place, sentence, weight)


def outside_change(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 10: what the new case measures outside, against the old one. For information."""
    worked = worked_case(unit, shop.settings)
    now = worked.outside if worked is not None else None
    if worked is None or now is None or worked.old_outside is None or now == worked.old_outside:
        return
    sentence = f"Outside the new case measures {_outside_words(now, worked.old_outside)}. Look where it has to go."
    yield CheckProblem(10, "outside-changes", unit.code, "case", sentence, Severity.NOTE)


def _outside_words(now: tuple[int, ...], old: tuple[int, ...]) -> str:
    """Both outsides with the change."""
    changes = " / ".join(f"{'+' if a >= b else '-'}{mm(abs(a - b))}" for a, b in zip(now, old, strict=True))
    return f"{' x '.join(map(mm, now))}: {changes} on the old {' x '.join(map(mm, old))}"
