"""The frame of a case: inside as held, outside as it follows from measured thickness and joints.

Common practice, no source: a side is as long as the inside height and what each end takes (a butt between, a rabbet
or a mitre the thickness there, a dado its distance from the end as well, a part laid over the ends nothing). Its
width is what front and back take, and the inside depth between them. All sizes are whole ticks of a length.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from logbook.casework.compartments import row_of
from logbook.casework.lookup import axis_of, joint_between, panels_of, side_thickness, sides_of, thickness_of, ticks
from logbook.model.case_plan import CasePlan, CornerJoint
from logbook.model.casework_records import Case, HeldDimension
from logbook.model.measures import TICKS_PER_MM, Length
from logbook.model.words import Axis, BackKind, CaseJoint, FrontKind, HeldKind, PanelRole

HALF_MM = TICKS_PER_MM // 2
CUBIC_MM_PER_LITRE = 10**6


@dataclass(frozen=True, slots=True)
class Corner:
    """How the top or the bottom meets the sides, with every size settled."""

    kind: CaseJoint
    depth: int
    """Of a rabbet or dado, else 0."""
    inset: int
    slack: int
    thickness: int | None
    """Of the part there; it is the width of a rabbet or dado."""
    assumed: bool
    """The depth was not said and follows from the side."""
    short: int | None = None
    """How far short of the back it ends; None when it runs to the back edges."""

    @property
    def taken(self) -> int | None:
        """What the part takes of the height of a side."""
        if self.kind is CaseJoint.BUTT_OVER:
            return 0
        return None if self.thickness is None else self.thickness + self.inset


@dataclass(frozen=True, slots=True)
class Frame:
    """Inside and outside of one case; what cannot be known is None, and `missing` says why."""

    width: int | None
    height: int | None
    depth: int | None
    left: int | None
    """Thickness of the left side."""
    right: int | None
    top: Corner | None
    bottom: Corner | None
    front: int | None
    """Thickness of the front panel; 0 for an open front."""
    back: int | None
    """Thickness of the back panel; 0 when there is none."""
    front_taken: int | None
    """What lies before the inside within the width of a side."""
    back_taken: int | None
    side_length: int | None
    deep: int | None
    """Width of the sides: front edge to back edge."""
    outside: tuple[int, int, int] | None
    """Width, height and depth."""
    missing: tuple[str, ...]
    sums: Mapping[Axis, str] = field(default_factory=dict)
    """The sum that width or height comes from, where sizes between panels are held."""

    @property
    def ends(self) -> tuple[int, int] | None:
        """How far a side reaches below and above the inside."""
        below, above = (0 if c is None else c.taken for c in (self.bottom, self.top))
        return None if below is None or above is None else (below, above)


def frame_of(case: Case, held: Sequence[HeldDimension], filled: int = 0) -> Frame:
    """The frame that held dimensions, measured thicknesses and the plan give.

    Args:
        case: of one member.
        held: what is held for that member.
        filled: room inside that is taken, in cubic ticks, where the depth follows from a held volume.
    """
    plan = case.plan or CasePlan()
    sides = side_thickness(case.panels)
    left, right = sides if sides is not None else (None, None)
    top, bottom = (corner_of(case, end, left) for end in ("top", "bottom"))
    front = _thick_or_none(case, PanelRole.FRONT) if plan.front is not FrontKind.OPEN else 0
    back = _thick_or_none(case, PanelRole.BACK) if plan.back is not BackKind.OPEN else 0
    front_taken, back_taken = _front_taken(plan, front), _back_taken(plan, back)
    rows = {axis: row_of(case, held, axis) for axis in (Axis.WIDTH, Axis.HEIGHT)}
    width = _inside(held, Axis.WIDTH, _sum(left, right), rows[Axis.WIDTH].whole)
    height = _inside(
        held,
        Axis.HEIGHT,
        _sum(*(0 if c is None else _sum(c.thickness, c.inset) for c in (top, bottom))),
        rows[Axis.HEIGHT].whole,
    )
    over = (front if plan.front is FrontKind.OVER else 0, back if plan.back is BackKind.OVER else 0)
    depth = _inside(held, Axis.DEPTH, _sum(front_taken, back_taken, *over))
    if depth is None and width and height:
        depth = _depth_of_volume(held, width * height, filled)
    ends = (0 if c is None else c.taken for c in (top, bottom))
    side_length = _sum(height, *ends)
    deep = _sum(depth, front_taken, back_taken)
    lids = (c.thickness if c is not None and c.kind is CaseJoint.BUTT_OVER else 0 for c in (top, bottom))
    whole = (_sum(width, left, right), _sum(side_length, *lids), _sum(deep, *over))
    known = None if None in whole else (whole[0] or 0, whole[1] or 0, whole[2] or 0)
    missing = _missing(case, plan, held, (width, height, depth), (left, right, top, bottom, front, back))
    return Frame(
        width, height, depth, left, right, top, bottom, front, back, front_taken, back_taken, side_length, deep, known,
        missing, {axis: f" = {row.words}" for axis, row in rows.items() if row.whole is not None},
    )  # fmt: skip


def corner_of(case: Case, end: str, side: int | None) -> Corner | None:
    """The corner at one end, as the plan says or else as the joints of the panels say; None when nothing is there."""
    parts = panels_of(case.panels, PanelRole.TOP if end == "top" else PanelRole.BOTTOM)
    if not parts:
        return None
    said = getattr(case.plan, end, None) if case.plan is not None else None
    if said is None:
        joint = joint_between(sides_of(case.panels), parts[0], end)
        said = CornerJoint() if joint is None else CornerJoint(kind=joint.kind, depth=joint.depth, slack=joint.slack)
    grooved = said.kind in (CaseJoint.RABBET, CaseJoint.DADO)
    depth, assumed = joint_depth(said.kind, said.depth, side) if grooved else (0, False)
    dado = said.kind is CaseJoint.DADO
    return Corner(
        said.kind,
        depth,
        ticks(said.inset) if dado else 0,
        ticks(said.slack, "1 mm") if dado else 0,
        thickness_of(parts[0]),
        assumed,
        None if said.short is None else said.short.ticks,
    )


def joint_depth(kind: CaseJoint, said: Length | None, thickness: int | None) -> tuple[int, bool]:
    """Depth of a rabbet or dado, and whether it was assumed: half the panel, a third for a dado, down to 0.5 mm."""
    if said is not None:
        return said.ticks, False
    share = 2 if kind is CaseJoint.RABBET else 3
    return (thickness or 0) // share // HALF_MM * HALF_MM, True


def _thick_or_none(case: Case, role: PanelRole) -> int | None:
    found = panels_of(case.panels, role)
    return thickness_of(found[0]) if found else None


def _front_taken(plan: CasePlan, front: int | None) -> int | None:
    if plan.front is FrontKind.BETWEEN:
        return None if front is None else ticks(plan.front_set_back) + front
    return 0


def _back_taken(plan: CasePlan, back: int | None) -> int | None:
    """What lies behind the inside within the width of a side."""
    if plan.back in (BackKind.OPEN, BackKind.OVER):
        return 0
    if plan.back is BackKind.GROOVE:
        return None if back is None or plan.back_set_in is None else back + plan.back_set_in.ticks
    return back if plan.back_set_in is None else plan.back_set_in.ticks


def _inside(held: Sequence[HeldDimension], axis: Axis, around: int | None, in_a_row: int | None = None) -> int | None:
    """The inside size along an axis: as held, the sum of held sizes in a row, or what a held outside leaves."""
    of = [h for h in held if h.value is not None and not h.at_least and not h.between and axis_of(h) is axis]
    for h in of:
        if h.kind is HeldKind.INSIDE and h.value is not None:
            return h.value.ticks
    if in_a_row is not None:
        return in_a_row
    for h in of:
        if h.kind is HeldKind.OUTSIDE and h.value is not None and around is not None:
            return h.value.ticks - around
    return None


def _depth_of_volume(held: Sequence[HeldDimension], face: int, filled: int) -> int | None:
    """The depth that a held volume asks for, to 0.1 mm."""
    litres = next((h.litres for h in held if h.kind is HeldKind.VOLUME and h.litres is not None), None)
    if litres is None:
        return None
    cubic = Fraction(litres) * CUBIC_MM_PER_LITRE * TICKS_PER_MM**3 + filled
    tenth = TICKS_PER_MM // 10
    return round(cubic / face / tenth) * tenth


def _sum(*parts: int | None) -> int | None:
    return None if any(p is None for p in parts) else sum(p or 0 for p in parts)


def _missing(
    case: Case,
    plan: CasePlan,
    held: Sequence[HeldDimension],
    inside: tuple[int | None, ...],
    thick: tuple[int | Corner | None, ...],
) -> tuple[str, ...]:
    """Sentences for what stands in the way of the sizes."""
    said = [
        f"The inside {name} is not held. Measure it twice and write it down as a held dimension."
        for name, size in zip(("width", "height", "depth"), inside, strict=True)
        if size is None and not _held_outside(held, name)
    ]
    left, right, top, bottom, front, back = thick
    if left is None or right is None:
        said.append("The two sides, or their thickness, are not known. Add them and measure the sheet by calliper.")
    for corner, name in ((top, "top"), (bottom, "bottom")):
        if isinstance(corner, Corner) and corner.thickness is None:
            said.append(f"The thickness of the {name} is not measured.")
    if front is None:
        said.append("The plan has a front and no front panel of known thickness. Add the panel and its layers.")
    if plan.back is BackKind.GROOVE and (back is None or plan.back_set_in is None):
        said.append("For a back in a groove, its thickness and how far in it lies are needed.")
    elif _back_taken(plan, back if isinstance(back, int) else None) is None:
        said.append("Say how far the back is set in, or add the back panel and its layers.")
    if case.plan is None and case.panels:
        said.append("There is no plan yet: how front, back and corners are joined.")
    return tuple(said)


def _held_outside(held: Sequence[HeldDimension], name: str) -> bool:
    return any(h.kind is HeldKind.OUTSIDE and h.value is not None and axis_of(h) == name for h in held)
