"""What the finished panels and joints of a case give between them and outside.

Common practice, no source:

- across, of a part between two sides: butt between, its length; rabbet or dado, its length less twice the depth;
  mitre or butt over the ends, its length less both sides;
- up, of a side: its length less what each end takes: a rabbet its width, a mitre or a butt between the thickness of
  the part there, a butt over the ends nothing. A dado does not say how far from the end it is.

All sizes are whole ticks of a length. Which panel is which follows from its name: top, bottom, side.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from logbook.model.casework_records import Case, Panel, PanelJoint
from logbook.model.measures import Length
from logbook.model.words import CaseJoint

DADO_SLACK = Length.of("1 mm").ticks
"""A part in dadoes is cut up to so much short, so that it never bottoms (common practice)."""


class Inside(NamedTuple):
    """A size between the panels, in ticks: it lies between `least` and `most`."""

    of: str
    """“width” or “height”."""
    panel: str
    """Code of the panel it was worked out from."""
    least: int
    most: int
    why: str


def inside_sizes(case: Case) -> tuple[Inside, ...]:
    """The inside width and height that finished sizes and joints give, each way they can be worked out."""
    return (*_widths(case), *_heights(case))


def outside(case: Case) -> tuple[int, int, int] | None:
    """Width, height and depth outside; None when one of them cannot be worked out."""
    sides = [s for s in panels_named(case, "side") if s.finish is not None]
    both = _pair_thickness(sides)
    inside = next((w.least for w in _widths(case) if w.least == w.most), None)
    height = _outside_height(case, sides[0]) if sides else None
    if inside is None or both is None or height is None or sides[0].finish is None:
        return None
    return inside + sum(both), height, sides[0].finish.width.ticks


def _widths(case: Case) -> Iterator[Inside]:
    sides = panels_named(case, "side")
    both = _pair_thickness(sides)
    for end in ("top", "bottom"):
        for part in panels_named(case, end):
            joint = joint_between(sides, part, end)
            if joint is None or part.finish is None:
                continue
            length = part.finish.length.ticks
            if joint.kind is CaseJoint.BUTT_BETWEEN:
                yield Inside("width", part.code, length, length, f"{mm(length)} between the sides")
            elif joint.kind in (CaseJoint.RABBET, CaseJoint.DADO):
                if joint.depth is not None:
                    left = length - 2 * joint.depth.ticks
                    slack = DADO_SLACK if joint.kind is CaseJoint.DADO else 0
                    why = f"{mm(length)} less twice {joint.depth.in_mm()}"
                    yield Inside("width", part.code, left, left + slack, why)
            elif both is not None:
                left = length - sum(both)
                why = f"{mm(length)} less {mm(both[0])} and {mm(both[1])}"
                yield Inside("width", part.code, left, left, why)


def _heights(case: Case) -> Iterator[Inside]:
    for side in panels_named(case, "side"):
        taken = [_taken(case, side, end) for end in ("top", "bottom")]
        if side.finish is not None and None not in taken:
            length = side.finish.length.ticks
            left = length - sum(t for t in taken if t is not None)
            why = f"{mm(length)} less {' and '.join(mm(t) for t in taken if t is not None)}"
            yield Inside("height", side.code, left, left, why)


def _taken(case: Case, side: Panel, end: str) -> int | None:
    """What the part at one end takes of the height of a side; None when it cannot be known."""
    parts = panels_named(case, end)
    if len(parts) != 1:
        return None
    joint = joint_between([side], parts[0], end)
    if joint is None or joint.kind is CaseJoint.DADO:
        return None
    if joint.kind is CaseJoint.BUTT_OVER:
        return 0
    if joint.kind is CaseJoint.RABBET and joint.width is not None:
        return joint.width.ticks
    return thickness_of(parts[0])


def _outside_height(case: Case, side: Panel) -> int | None:
    """The side with what lies over its ends; None when that is not known."""
    over = 0
    for end in ("top", "bottom"):
        for part in panels_named(case, end):
            joint = joint_between([side], part, end)
            if joint is not None and joint.kind is CaseJoint.BUTT_OVER:
                thick = thickness_of(part)
                if thick is None:
                    return None
                over += thick
    return None if side.finish is None else side.finish.length.ticks + over


def joint_between(sides: Sequence[Panel], part: Panel, end: str) -> PanelJoint | None:
    """The joint of a part with the sides, as the first side has it or else as the part has it."""
    at_sides = (j for s in sides if (j := joint_at(s, end)) is not None)
    return next(at_sides, None) or joint_at(part, "left")


def joint_at(panel: Panel, end: str) -> PanelJoint | None:
    """The joint of a panel at one end; None when it has none there."""
    return next((j for j in panel.joints if is_at(j, end)), None)


def is_at(joint: PanelJoint, end: str) -> bool:
    """Whether a joint is at that end."""
    return "both" in joint.end.casefold() or says(joint.end, end)


def panels_named(case: Case, word: str) -> tuple[Panel, ...]:
    """The panels whose name has the word."""
    return tuple(p for p in case.panels if says(p.name, word))


def says(text: str, word: str) -> bool:
    """Whether a text has the word."""
    return word in re.split(r"[\W_]+", text.casefold())


def _pair_thickness(sides: Sequence[Panel]) -> tuple[int, int] | None:
    """The thickness of the two sides; None when there are not two or one is not known."""
    each = [thickness_of(s) for s in sides for _ in range(s.quantity)]
    return None if len(each) != 2 or each[0] is None or each[1] is None else (each[0], each[1])


def thickness_of(panel: Panel) -> int | None:
    """All its layers and leaves together, in ticks; None when no layer was measured."""
    if not panel.layers:
        return None
    return sum(x.thickness.ticks for x in panel.layers) + sum(x.thickness.ticks for x in panel.leaves)


def mm(ticks: int) -> str:
    """To 0.01 mm."""
    return Length.from_ticks(ticks).in_mm()
