"""Every panel of a case from its frame: finished, cut and rough size, joints, leaves, and where it stands.

Common practice, no source, for a part between two sides: butt between W; butt over the ends, and mitre at its long
point, W and both sides; rabbet and dado W and twice the depth (a dado less its slack). A back in a rabbet r is
W + 2r - 1 mm, loose in a groove g W + 2g - 1.5 mm; past a top or bottom that ends short of it, it runs on over that
edge. Cut size is the finish size less the bands on banded edges; what
is pressed is left 3 mm larger at each edge, and a leaf a further 6 mm. Solid wood is left 12.5 mm longer and 5 mm
wider. All sizes are whole ticks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from logbook.casework.case_frame import Corner, Frame, joint_depth
from logbook.casework.case_things import OwnSize
from logbook.casework.lookup import is_at, role_of, thickness_of, ticks
from logbook.casework.sizes import Extents, Flat, flat, larger, less_bands, rough_size
from logbook.casework.spans import span_of
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import Case, Panel, PanelJoint
from logbook.model.measures import Length
from logbook.model.words import BackKind, CaseJoint, FrontKind, Grain, PanelRole


class Difference(NamedTuple):
    """A size that was written down and is not what the plan gives."""

    what: str
    recorded: Flat
    computed: Flat


@dataclass(frozen=True, slots=True)
class WorkedLeaf:
    """A veneer leaf as it is cut."""

    material: str
    thickness: int
    size: Flat | None
    piece: str
    show: bool


@dataclass(frozen=True, slots=True)
class WorkedPanel:
    """A panel with its sizes: recorded ones where they were written down, else computed ones."""

    record: Panel
    role: PanelRole
    hand: str
    """“left” or “right” for a handed part, else empty."""
    quantity: int
    thickness: int | None
    computed: Flat | None
    """Finished size by the plan; None when it cannot be worked out."""
    finish: Flat | None
    cut: Flat | None
    rough: Flat | None
    leaves: tuple[WorkedLeaf, ...]
    joints: tuple[PanelJoint, ...]
    short: int | None
    """Of a mitred part: length at the short points."""
    box: Extents | None
    differences: tuple[Difference, ...]
    members: tuple[str, ...] = ("",)
    """For which of a set; one without a name when the unit is one thing."""
    from_held: str = ""
    """Where its size comes from, when it follows from what is held of a thing in the case."""
    own_code: str = ""
    """Where members differ: the code with the member's, such as `P2-L`."""

    @property
    def code(self) -> str:
        """What is written on the part."""
        return self.own_code or self.record.code

    @property
    def name(self) -> str:
        """What it is."""
        return self.record.name

    @property
    def grain(self) -> Grain:
        """Which way the face grain runs."""
        return self.record.grain

    @property
    def by_plan(self) -> bool:
        """Whether the plan gives its size."""
        return self.computed is not None


NO_OWN_SIZES: Mapping[str, OwnSize] = MappingProxyType({})


def worked_panels(case: Case, frame: Frame, own: Mapping[str, OwnSize] = NO_OWN_SIZES) -> tuple[WorkedPanel, ...]:
    """The panels of one member's case in the order of the record, each with its sizes.

    Args:
        case: of one member.
        frame: its frame.
        own: by code, the sizes of what is no part of the frame and follows from what is held of it alone.
    """
    placed: dict[str, Extents] = {}
    done: dict[str, WorkedPanel] = {}
    first = [p for p in case.panels if role_of(p) not in (PanelRole.DIVIDER, PanelRole.SHELF)]
    waiting = [p for p in case.panels if p not in first]
    for panel in [*first, *_in_turn(waiting)]:
        worked = _worked(case, frame, panel, placed, own.get(panel.code))
        done[panel.code] = worked
        if worked.box is not None:
            placed[panel.code] = worked.box
    return tuple(done[p.code] for p in case.panels)


def _in_turn(panels: list[Panel]) -> Iterator[Panel]:
    """Dividers and shelves, each after those it stands between; those in a circle come last as they are."""
    left, known = list(panels), set[str]()
    codes = {p.code for p in panels}
    while left:
        now = [p for p in left if not ((set(p.between) & codes) - known)] or left
        yield from now
        known |= {p.code for p in now}
        left = [p for p in left if p not in now]


def _worked(case: Case, frame: Frame, panel: Panel, placed: Mapping[str, Extents], own: OwnSize | None) -> WorkedPanel:
    plan, role = case.plan or CasePlan(), role_of(panel)
    thick = thickness_of(panel)
    found = _placed(case, frame, panel, thick, placed) if case.plan is not None else None
    size, box = found if found is not None else (None, None)
    size = size if own is None else own.flat
    finish = flat(panel.finish) or size
    planned = case.plan is not None or size is not None
    cut_by_plan = None if finish is None or not planned else less_bands(panel, role, finish, ticks(plan.band))
    cut = flat(panel.cut) or cut_by_plan
    rough_by_plan = None if cut is None or not planned else rough_size(panel, cut, plan)
    rough = flat(panel.rough) or rough_by_plan
    leaf_by_plan = None if rough is None or not planned else larger(rough, ticks(plan.leaf_oversize, "6 mm"))
    leaves = tuple(
        WorkedLeaf(x.material, x.thickness.ticks, flat(x.size) or leaf_by_plan, x.piece, x.show) for x in panel.leaves
    )
    pairs = [("finish", panel.finish, size), ("cut", panel.cut, cut_by_plan), ("rough", panel.rough, rough_by_plan)]
    pairs += [(f"leaf {x.material}", x.size, leaf_by_plan) for x in panel.leaves]
    differences = [Difference(w, r, c) for w, said, c in pairs if (r := flat(said)) and c is not None and r != c]
    joints, short = _joints(frame, panel, role), _short_length(frame, role, size)
    hand = {PanelRole.LEFT: "left", PanelRole.RIGHT: "right"}.get(role, "")
    return WorkedPanel(
        panel, role, hand, 2 if role is PanelRole.SIDES else panel.quantity, thick, size, finish, cut, rough, leaves,
        joints, short, box, tuple(dict.fromkeys(differences)), from_held=own.words if own is not None else "",
    )  # fmt: skip


def _placed(
    case: Case, frame: Frame, panel: Panel, thick: int | None, placed: Mapping[str, Extents]
) -> tuple[Flat, Extents | None] | None:
    """Finished size and place of a panel; None when something it follows from is not known."""
    role = role_of(panel)
    if role in (PanelRole.DIVIDER, PanelRole.SHELF):
        found = span_of(frame, panel, role, thick, placed)
        return None if found is None else (Flat(*found[0]), None if found[1] is None else Extents(*found[1]))
    box = _box(case, frame, role, thick)
    if box is None:
        return None
    if role in (PanelRole.TOP, PanelRole.BOTTOM):
        return Flat(box.right - box.left, box.rear - box.front), box
    if role in (PanelRole.FRONT, PanelRole.BACK):
        return Flat(box.right - box.left, box.top - box.bottom), box
    return Flat(box.top - box.bottom, box.rear - box.front), box


def _box(case: Case, frame: Frame, role: PanelRole, thick: int | None) -> Extents | None:
    settled = (frame.width, frame.height, frame.deep, frame.left, frame.right)
    if thick is None or frame.ends is None or None in settled:
        return None
    width, height, deep, left, right = (x or 0 for x in settled)
    below, above = frame.ends
    box = None
    if role in (PanelRole.LEFT, PanelRole.SIDES):
        box = Extents(-left, 0, -below, height + above, 0, deep)
    elif role is PanelRole.RIGHT:
        box = Extents(width, width + right, -below, height + above, 0, deep)
    elif role is PanelRole.TOP and frame.top is not None:
        box = Extents(*_across(frame.top, width, left, right), height, height + thick, 0, _rear(frame, frame.top))
    elif role is PanelRole.BOTTOM and frame.bottom is not None:
        box = Extents(*_across(frame.bottom, width, left, right), -thick, 0, 0, _rear(frame, frame.bottom))
    elif role is PanelRole.FRONT:
        box = _front(case, frame, thick)
    elif role is PanelRole.BACK:
        box = _back(case, frame, thick)
    return box


def _across(corner: Corner, width: int, left: int, right: int) -> tuple[int, int]:
    """From where to where a part between the sides reaches."""
    if corner.kind is CaseJoint.BUTT_BETWEEN:
        return 0, width
    if corner.kind in (CaseJoint.BUTT_OVER, CaseJoint.MITRE):
        return -left, width + right
    slack = corner.slack // 2
    return -corner.depth + slack, width + corner.depth - (corner.slack - slack)


def _rear(frame: Frame, corner: Corner) -> int:
    """How far back a top or bottom reaches: to the back edges of the sides, or so much short of the back."""
    deep = frame.deep or 0
    return deep if corner.short is None else deep - (frame.back_taken or 0) - corner.short


def _whole_face(frame: Frame) -> tuple[int, int, int, int] | None:
    """The outside of the case seen from the front: left, right, bottom, top."""
    if frame.outside is None or frame.width is None or frame.left is None or frame.right is None:
        return None
    lid = frame.bottom
    low = 0 if lid is None else (lid.thickness or 0) + lid.inset
    return -frame.left, frame.width + frame.right, -low, -low + frame.outside[1]


def _front(case: Case, frame: Frame, thick: int) -> Extents | None:
    plan = case.plan or CasePlan()
    if plan.front is FrontKind.BETWEEN and frame.width is not None and frame.height is not None:
        gap, back = ticks(plan.front_gap, "0.5 mm"), ticks(plan.front_set_back)
        return Extents(gap, frame.width - gap, gap, frame.height - gap, back, back + thick)
    face = _whole_face(frame) if plan.front is FrontKind.OVER else None
    return None if face is None else Extents(*face, -thick, 0)


def _back(case: Case, frame: Frame, thick: int) -> Extents | None:
    plan = case.plan or CasePlan()
    if frame.deep is None or frame.width is None or frame.height is None or plan.back is BackKind.OPEN:
        return None
    if plan.back is BackKind.OVER:
        face = _whole_face(frame)
        return None if face is None else Extents(*face, frame.deep, frame.deep + thick)
    inner = frame.deep - (frame.back_taken or 0)
    depth = back_joint_depth(plan, frame.left)
    gap = back_gap(plan)
    half = gap // 2
    low, high = _into(frame.bottom, depth, half), _into(frame.top, depth, gap - half)
    return Extents(
        -depth + half, frame.width + depth - (gap - half), -low, frame.height + high, inner, inner + thick,
    )  # fmt: skip


def _into(corner: Corner | None, depth: int, gap: int) -> int:
    """How far a back reaches beyond the inside at one end.

    Into the joint of the panel there less its gap; past the edge of a panel that ends short of it, all the way.
    """
    if corner is None:
        return -gap
    return depth - gap if corner.short is None else (corner.thickness or 0) + corner.inset


def back_gap(plan: CasePlan) -> int:
    """What is taken off a back in all, unless another is said: one that only butts is cut to the inside."""
    usual = {BackKind.GROOVE: "1.5 mm", BackKind.BETWEEN: "0 mm"}.get(plan.back, "1 mm")
    return ticks(plan.back_gap, usual)


def back_joint_depth(plan: CasePlan, side: int | None) -> int:
    """How deep the rabbet or groove of the back is; 0 for any other back."""
    kinds = {BackKind.RABBET: CaseJoint.RABBET, BackKind.GROOVE: CaseJoint.DADO}
    return joint_depth(kinds[plan.back], plan.back_depth, side)[0] if plan.back in kinds else 0


def _joints(frame: Frame, panel: Panel, role: PanelRole) -> tuple[PanelJoint, ...]:
    """The joints as recorded, with the widths and depths that follow; those of the plan where none were recorded."""
    if role in (PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES):
        made = []
        for end, corner in (("top", frame.top), ("bottom", frame.bottom)):
            own = next((j for j in panel.joints if is_at(j, end)), None)
            if own is not None:
                made.append(own if corner is None else _completed(own, _joint(end, corner)))
            elif corner is not None:
                made.append(_joint(end, corner))
        return tuple(dict.fromkeys(made))
    corner = {PanelRole.TOP: frame.top, PanelRole.BOTTOM: frame.bottom}.get(role)
    if panel.joints or corner is None or corner.kind in (CaseJoint.RABBET, CaseJoint.DADO):
        return panel.joints
    return (PanelJoint(end="both ends", kind=corner.kind),)


def _completed(own: PanelJoint, by_plan: PanelJoint) -> PanelJoint:
    """A recorded joint of the kind that the plan has, with the depth and width that were not written down."""
    if own.kind is not by_plan.kind:
        return own
    return own.model_copy(update={"depth": own.depth or by_plan.depth, "width": own.width or by_plan.width})


def _joint(end: str, corner: Corner) -> PanelJoint:
    grooved = corner.kind in (CaseJoint.RABBET, CaseJoint.DADO)
    depth = Length.from_ticks(corner.depth) if grooved else None
    width = Length.from_ticks(corner.thickness) if grooved and corner.thickness is not None else None
    return PanelJoint(end=end, kind=corner.kind, depth=depth, width=width, face="inside" if grooved else "")


def _short_length(frame: Frame, role: PanelRole, size: Flat | None) -> int | None:
    """Length of a mitred part between its short points."""
    if size is None:
        return None
    if role is PanelRole.TOP and frame.top is not None and frame.top.kind is CaseJoint.MITRE:
        return size.length - (frame.left or 0) - (frame.right or 0)
    if role is PanelRole.BOTTOM and frame.bottom is not None and frame.bottom.kind is CaseJoint.MITRE:
        return size.length - (frame.left or 0) - (frame.right or 0)
    if role in (PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES):
        mitres = [c for c in (frame.top, frame.bottom) if c is not None and c.kind is CaseJoint.MITRE]
        return size.length - sum(c.thickness or 0 for c in mitres) if mitres else None
    return None
