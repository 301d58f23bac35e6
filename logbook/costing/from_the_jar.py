"""New fasteners that are taken out of a jar: they lie ready with the unit, and the jar has fewer."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from logbook.costing.stock import taken_from_jar
from logbook.errors import InputError
from logbook.model.new_fasteners import new_of
from logbook.model.replacements import uses_without_part
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.step import Fastener, Step
from logbook.model.unit import Unit


def with_taken_from_the_jar(unit: Unit, shop: Shop, kind: str, on: date) -> tuple[Unit, Shop]:
    """All new fasteners of a kind that no part stands for lie ready, and so many are gone from the shelf.

    Raises:
        InputError: they lie ready already, or the shelf has too few.
    """
    uses = uses_without_part(unit).get(same_words(kind), [])
    lacking = sum(use.count for use in uses if not use.here)
    if not lacking:
        raise InputError(f"Every {kind} of {unit.code} lies ready already.")
    shop = taken_from_jar(shop, kind, Decimal(lacking), on)
    at = {use.step for use in uses}
    steps = tuple(_ready(step, kind) if step.code in at else step for step in unit.steps)
    return unit.model_copy(update={"steps": steps}), shop


def _ready(step: Step, kind: str) -> Step:
    """The step with its new fasteners of the kind ready, also where a member differs and where the refit adds some."""
    extra = tuple(
        new.model_copy(update={"here": True}) if same_words(new.kind) == same_words(kind) else new
        for new in step.refit.new_fasteners
    )
    return step.model_copy(
        update={
            "fasteners": _all_ready(step.fasteners, kind),
            "differences": tuple(
                d if d.fasteners is None else d.model_copy(update={"fasteners": _all_ready(d.fasteners, kind)})
                for d in step.differences
            ),
            "refit": step.refit.model_copy(update={"new_fasteners": extra}),
        }
    )


def _all_ready(fasteners: tuple[Fastener, ...], kind: str) -> tuple[Fastener, ...]:
    return tuple(_with_new_ready(f, kind) for f in fasteners)


def _with_new_ready(fastener: Fastener, kind: str) -> Fastener:
    new = new_of(fastener)
    if new is None or same_words(new.kind) != same_words(kind):
        return fastener
    return fastener.model_copy(update={"renewed_here": True})
