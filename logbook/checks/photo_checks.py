"""Check 24: a step at which a photo was taken has it, and every photo that belongs nowhere yet is named."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.plural import counted
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Stage

_AT_ONCE = 3
"""So many steps without their photo are named one by one; more are one sentence."""


def photos_and_steps(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 24: photos said to be taken and not linked, once any photo was linked; photos that belong to no step."""
    linked = any(step.photos for step in unit.steps)
    without = [s.code for s in unit.steps if s.photo_taken and not s.photos]
    if linked and without:
        if len(without) <= _AT_ONCE:
            for code in without:
                sentence = f"{code}: a photo was taken, and none is linked. “logbook photos link FOLDER” looks for it."
                yield CheckProblem(24, "photo-not-linked", unit.code, code, sentence, Severity.NOTE)
        else:
            sentence = (
                f"At {counted(len(without), 'step')} a photo was taken, and none is linked: {', '.join(without[:12])}"
                f"{' and more' if len(without) > 12 else ''}."
            )
            yield CheckProblem(24, "photo-not-linked", unit.code, without[0], sentence, Severity.NOTE)
    if unit.photos and unit.stage is Stage.REASSEMBLY:
        count = len(unit.photos)
        sentence = f"{count} photo{'s stand' if count != 1 else ' stands'} at the unit as a whole and at no step."
        yield CheckProblem(24, "photo-without-step", unit.code, "", sentence, Severity.NOTE)
