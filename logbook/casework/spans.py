"""Dividers and shelves: how far they reach between two panels, with their joints at both ends."""

from __future__ import annotations

from collections.abc import Mapping

from logbook.casework.case_frame import Frame, joint_depth
from logbook.casework.lookup import ticks
from logbook.casework.sizes import Extents
from logbook.model.casework_records import Panel
from logbook.model.words import CaseJoint, PanelRole

Six = tuple[int, int, int, int, int, int]


def span_of(
    frame: Frame, panel: Panel, role: PanelRole, thick: int | None, placed: Mapping[str, Extents]
) -> tuple[tuple[int, int], Six | None] | None:
    """Finished length and width of a divider or shelf, and its place as the six sides of a box.

    Its length is the clear span and what it goes into each end (a dado less its slack, 1 mm unless another is said);
    its width is the inside depth less what it is set back. None when something it follows from is not known.
    """
    if thick is None or frame.width is None or frame.height is None or frame.depth is None:
        return None
    upright = role is PanelRole.DIVIDER
    clear = _clear(panel, placed, 0, frame.height if upright else frame.width, upright=upright)
    if clear is None:
        return None
    low, high = clear
    into, slack = _into(panel, end_depth(frame, panel, role))
    first, last = low - into + slack // 2, high + into - (slack - slack // 2)
    back = ticks(panel.set_back)
    size = (last - first, frame.depth - back)
    if panel.at is None:
        return size, None
    start = (frame.front_taken or 0) + back
    near, far = panel.at.ticks, panel.at.ticks + thick
    deep = (start, start + size[1])
    return size, ((near, far, first, last, *deep) if upright else (first, last, near, far, *deep))


def _clear(
    panel: Panel, placed: Mapping[str, Extents], low: int, high: int, *, upright: bool
) -> tuple[int, int] | None:
    """The clear span: between the two panels named, each of which bounds it on the side where it lies."""
    if not panel.between:
        return low, high
    boxes = [placed.get(code) for code in panel.between]
    if len(boxes) != 2 or boxes[0] is None or boxes[1] is None:
        return None
    extents = sorted((b.bottom, b.top) if upright else (b.left, b.right) for b in boxes if b is not None)
    low, high = max(low, extents[0][1]), min(high, extents[1][0])
    return (low, high) if high > low else None


def end_depth(frame: Frame, panel: Panel, role: PanelRole) -> int:
    """How far each end of a divider or shelf goes into the panel that it meets; 0 where it only butts."""
    joint = panel.joints[0] if panel.joints else None
    if joint is None or joint.kind not in (CaseJoint.RABBET, CaseJoint.DADO):
        return 0
    return joint_depth(joint.kind, joint.depth, _thinnest(frame, upright=role is PanelRole.DIVIDER))[0]


def _into(panel: Panel, depth: int) -> tuple[int, int]:
    """How far each end goes into its neighbour, and what is taken off in all."""
    joint = panel.joints[0] if panel.joints else None
    if joint is None or joint.kind not in (CaseJoint.RABBET, CaseJoint.DADO):
        return 0, 0
    return depth, ticks(joint.slack, "1 mm") if joint.kind is CaseJoint.DADO else ticks(joint.slack)


def _thinnest(frame: Frame, *, upright: bool) -> int | None:
    """The thinner of the two panels a divider (top and bottom) or a shelf (sides) goes into."""
    both = (frame.top.thickness, frame.bottom.thickness) if upright and frame.top and frame.bottom else None
    known = [t for t in (both or (frame.left, frame.right)) if t is not None]
    return min(known, default=None)
