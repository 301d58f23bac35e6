"""Check 10: a case keeps what is held, its joints agree, and how much larger it becomes outside is told."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime

from logbook.checks.case_sizes import Inside, inside_sizes, joint_at, mm, outside, panels_named, says
from logbook.checks.problem import Problem, Severity
from logbook.model.casework_records import Case, HeldDimension
from logbook.model.measures import Length
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import CaseJoint, HeldKind

NEAR_HOLE = Length.of("10 mm").ticks
"""A hole that is off by less was meant for the place; one farther away is another hole."""


def held_sizes(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[Problem]:
    """Check 10: the case as drawn keeps its held inside sizes and hole positions."""
    if unit.case is None:
        return
    for size in inside_sizes(unit.case):
        for held in unit.held_dimensions:
            if held.kind is HeldKind.INSIDE and says(held.what, size.of) and held.value is not None:
                low, high = _limits(held)
                if size.most < low or (high is not None and size.least > high):
                    sentence = (
                        f"{size.panel} leaves {_span(size)} inside ({size.why}), but {held.code} {held.what} is held "
                        f"at {_held_words(held)}. Draw it anew from the measured thickness."
                    )
                    place = f"{size.panel} {held.code}"
                    yield Problem(10, "held-size-lost", unit.code, place, sentence, Severity.WRONG)
    for held in unit.held_dimensions:
        yield from _moved_holes(unit, unit.case, held)


def joints_agree(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[Problem]:
    """Check 10: a joint reads the same on both of its panels, and has the depth that sizes are worked out from."""
    if unit.case is None:
        return
    for part in panels_named(unit.case, "top") + panels_named(unit.case, "bottom"):
        end = "top" if says(part.name, "top") else "bottom"
        sides = [(s, j) for s in panels_named(unit.case, "side") if (j := joint_at(s, end)) is not None]
        own = joint_at(part, "left")
        for side, joint in sides:
            if own is not None and own.kind is not joint.kind:
                sentence = (
                    f"{part.code} {part.name} meets {side.code} in a {own.kind}, but {side.code} says {joint.kind}. "
                    "Correct one of the two."
                )
                place = f"{part.code} {side.code}"
                yield Problem(10, "joints-disagree", unit.code, place, sentence, Severity.WRONG)
            if joint.kind in (CaseJoint.RABBET, CaseJoint.DADO) and joint.depth is None:
                sentence = (
                    f"{side.code} {end}: its {joint.kind} has no depth, so no size can be worked out. Write it down."
                )
                yield Problem(10, "joint-without-depth", unit.code, side.code, sentence, Severity.LOOK)


def outside_change(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[Problem]:
    """Check 10: what the new case measures outside, against the old one. For information."""
    old = _old_outside(unit.arrival.size)
    now = None if unit.case is None else outside(unit.case)
    if old is None or now is None or now == old:
        return
    changes = " / ".join(f"{'+' if a >= b else '-'}{mm(abs(a - b))}" for a, b in zip(now, old, strict=True))
    sentence = (
        f"Outside the new case measures {' x '.join(map(mm, now))}: {changes} on the old {' x '.join(map(mm, old))}. "
        "Look where it has to go."
    )
    yield Problem(10, "outside-changes", unit.code, "case", sentence, Severity.NOTE)


def _limits(held: HeldDimension) -> tuple[int, int | None]:
    value = held.value.ticks if held.value is not None else 0
    plus, minus = (x.ticks if x is not None else 0 for x in (held.plus, held.minus))
    return (value, None) if held.at_least else (value - minus, value + plus)


def _held_words(held: HeldDimension) -> str:
    value = held.value.in_mm() if held.value is not None else "?"
    if held.at_least:
        return f"at least {value}"
    plus, minus = (x.in_mm() if x is not None else "0" for x in (held.plus, held.minus))
    return f"{value} (+{plus} -{minus})"


def _span(size: Inside) -> str:
    return mm(size.least) if size.least == size.most else f"{mm(size.least)} to {mm(size.most)}"


def _moved_holes(unit: Unit, case: Case, held: HeldDimension) -> Iterator[Problem]:
    """Held positions near which there is an opening that misses them."""
    if held.kind is not HeldKind.POSITION:
        return
    allowed = max((x.ticks for x in (held.plus, held.minus) if x is not None), default=0)
    centres = [(p.code, o.what, o.centre.x.ticks, o.centre.y.ticks) for p in case.panels for o in p.openings]
    for position in held.positions:
        x, y = position.x.ticks, position.y.ticks
        near = [(max(abs(cx - x), abs(cy - y)), code, what) for code, what, cx, cy in centres]
        if near and allowed < min(near)[0] <= NEAR_HOLE:
            off, code, what = min(near)
            sentence = (
                f"{code}: the opening “{what}” is {mm(off)} off its place at x {position.x.in_mm()}, y "
                f"{position.y.in_mm()}, which {held.code} {held.what} holds to {mm(allowed)}."
            )
            yield Problem(10, "hole-moved", unit.code, f"{code} {held.code}", sentence, Severity.WRONG)


_OUTSIDE = re.compile(r"(\d{1,5}(?:[.,]\d)?)\s?[x×]\s?(\d{1,5}(?:[.,]\d)?)\s?[x×]\s?(\d{1,5}(?:[.,]\d)?)", re.ASCII)


def _old_outside(size: str) -> tuple[int, ...] | None:
    """Width, height and depth outside as written on arrival, in ticks; None when it does not say so."""
    match = _OUTSIDE.search(size) if says(size, "outside") else None
    return None if match is None else tuple(Length.of(f"{n} mm").ticks for n in match.groups())
