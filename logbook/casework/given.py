"""What the finished panels and joints of a case give between them and outside.

Common practice, no source:

- across, of a part between two sides: butt between, its length; rabbet or dado, its length less twice the depth;
  mitre or butt over the ends, its length less both sides;
- up, of a side: its length less what each end takes: a rabbet its width, a mitre or a butt between the thickness of
  the part there, a dado its distance from the end as well, a butt over the ends nothing;
- back, of a side: its width less what front and back take.

All sizes are whole ticks of a length. Panels are taken as they are finished, whether a size was written down or not.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.casework.case_frame import Frame
from logbook.casework.lookup import joint_between, mm, panels_of, side_thickness, sides_of, thickness_of, ticks
from logbook.model.casework_records import Case, Panel, PanelJoint
from logbook.model.words import Axis, BackKind, CaseJoint, FrontKind, PanelRole

_ENDS = (("top", PanelRole.TOP), ("bottom", PanelRole.BOTTOM))


class Given(NamedTuple):
    """A size between the panels, in ticks: it lies between `least` and `most`."""

    axis: Axis
    panel: str
    """Code of the panel it was worked out from."""
    least: int
    most: int
    why: str

    @property
    def words(self) -> str:
        """The size in words."""
        return mm(self.least) if self.least == self.most else f"{mm(self.least)} to {mm(self.most)}"


def given_sizes(case: Case, frame: Frame | None = None) -> tuple[Given, ...]:
    """The inside width, height and, with a plan, depth that finished sizes and joints give, each way there is."""
    depths = _depths(case, frame) if frame is not None and case.plan is not None else ()
    return (*_widths(case), *_heights(case), *depths)


def given_outside(case: Case) -> tuple[int, int, int] | None:
    """Width, height and depth outside; None when one of them cannot be worked out."""
    sides = [s for s in sides_of(case.panels) if s.finish is not None]
    both = side_thickness(case.panels)
    exact = case.plan is not None
    inside = next((w for w in _widths(case) if exact or w.least == w.most), None)
    height = _outside_height(case, sides[0]) if sides else None
    if inside is None or both is None or height is None or sides[0].finish is None:
        return None
    width = _middle(inside) + sum(both)
    return width, height, sides[0].finish.width.ticks + _laid_on(case)


def _middle(size: Given) -> int:
    """A dado leaves its slack at both ends: the part is taken as it is drawn, with all of it."""
    return size.most


def _laid_on(case: Case) -> int:
    """Front and back that lie on the edges of the sides."""
    if case.plan is None:
        return 0
    on = [(case.plan.front is FrontKind.OVER, PanelRole.FRONT), (case.plan.back is BackKind.OVER, PanelRole.BACK)]
    return sum(thickness_of(p) or 0 for over, role in on if over for p in panels_of(case.panels, role))


def _slack(case: Case, end: str, joint: PanelJoint) -> int:
    said = getattr(case.plan, end, None) if case.plan is not None else None
    return ticks(joint.slack if said is None else said.slack, "1 mm")


def _widths(case: Case) -> Iterator[Given]:
    sides, both = sides_of(case.panels), side_thickness(case.panels)
    for end, role in _ENDS:
        for part in panels_of(case.panels, role):
            joint = joint_between(sides, part, end)
            if joint is None or part.finish is None:
                continue
            length = part.finish.length.ticks
            if joint.kind is CaseJoint.BUTT_BETWEEN:
                yield Given(Axis.WIDTH, part.code, length, length, f"{mm(length)} between the sides")
            elif joint.kind in (CaseJoint.RABBET, CaseJoint.DADO):
                if joint.depth is not None:
                    left = length - 2 * joint.depth.ticks
                    slack = _slack(case, end, joint) if joint.kind is CaseJoint.DADO else 0
                    why = f"{mm(length)} less twice {joint.depth.in_mm()}"
                    yield Given(Axis.WIDTH, part.code, left, left + slack, why)
            elif both is not None:
                left = length - sum(both)
                why = f"{mm(length)} less {mm(both[0])} and {mm(both[1])}"
                yield Given(Axis.WIDTH, part.code, left, left, why)


def _heights(case: Case) -> Iterator[Given]:
    for side in sides_of(case.panels):
        taken = [_taken(case, side, end, role) for end, role in _ENDS]
        if side.finish is not None and None not in taken:
            length = side.finish.length.ticks
            left = length - sum(t for t in taken if t is not None)
            why = f"{mm(length)} less {' and '.join(mm(t) for t in taken if t is not None)}"
            yield Given(Axis.HEIGHT, side.code, left, left, why)


def _depths(case: Case, frame: Frame) -> Iterator[Given]:
    for side in sides_of(case.panels):
        if side.finish is not None and frame.front_taken is not None and frame.back_taken is not None:
            width = side.finish.width.ticks
            left = width - frame.front_taken - frame.back_taken
            why = f"{mm(width)} less {mm(frame.front_taken)} in front and {mm(frame.back_taken)} behind"
            yield Given(Axis.DEPTH, side.code, left, left, why)


def _taken(case: Case, side: Panel, end: str, role: PanelRole) -> int | None:
    """What the part at one end takes of the height of a side; None when it cannot be known."""
    parts = panels_of(case.panels, role)
    if not parts and case.plan is not None:
        return 0
    if len(parts) != 1:
        return None
    joint = joint_between([side], parts[0], end)
    said = getattr(case.plan, end, None) if case.plan is not None else None
    taken = thickness_of(parts[0])
    if joint is None:
        return None
    if joint.kind is CaseJoint.BUTT_OVER:
        taken = 0
    elif joint.kind is CaseJoint.RABBET and joint.width is not None:
        taken = joint.width.ticks
    elif joint.kind is CaseJoint.DADO:
        taken = None if said is None or taken is None else taken + ticks(said.inset)
    return taken


def _outside_height(case: Case, side: Panel) -> int | None:
    """The side with what lies over its ends; None when that is not known."""
    over = 0
    for end, role in _ENDS:
        for part in panels_of(case.panels, role):
            joint = joint_between([side], part, end)
            if joint is not None and joint.kind is CaseJoint.BUTT_OVER:
                thick = thickness_of(part)
                if thick is None:
                    return None
                over += thick
    return None if side.finish is None else side.finish.length.ticks + over
