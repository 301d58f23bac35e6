"""Where the sizes of a panel come from, in sentences with every figure."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.casework.case_frame import Corner, Frame
from logbook.casework.leaves import VeneerLayer
from logbook.casework.lookup import mm, ticks, veneer_of
from logbook.casework.panels import WorkedPanel, back_gap, back_joint_depth
from logbook.casework.sizes import Flat, less_bands, size_words
from logbook.casework.worked import MemberCase
from logbook.model.case_plan import CasePlan
from logbook.model.words import Axis, BackKind, CaseJoint, FrontKind, PanelRole

_SIDES = (PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES)


def panel_reasons(member: MemberCase, panel: WorkedPanel) -> tuple[str, ...]:
    """Why a panel has its size: how it was worked out, what was taken off and left on, what was written down."""
    plan = member.case.plan or CasePlan()
    said = [*_thickness(panel)]
    if panel.computed is None:
        said += member.frame.missing or ("Nothing says what this panel is in the case: give it a role.",)
    else:
        said += [*_finished(member.frame, plan, panel), f"Computed: {size_words(panel.computed)}."]
    said += _smaller_and_larger(plan, panel)
    for d in panel.differences:
        said.append(
            f"Written down as {d.what}: {size_words(d.recorded)}; computed {size_words(d.computed)}. What is written "
            "down wins."
        )
    if panel.record.mirror_of:
        said.append(f"It is the mirror image of {panel.record.mirror_of}.")
    return tuple(said)


def _thickness(panel: WorkedPanel) -> Iterator[str]:
    if panel.thickness is None:
        yield "No layer is measured, so it has no thickness. Measure the sheet by calliper."
    else:
        parts = [f"{x.thickness.in_mm()} {x.material}" for x in panel.record.layers]
        parts += [_veneer_words(layer) for layer in veneer_of(panel.record)]
        sum_ = " + ".join(parts)
        yield f"Thickness: {sum_} = {mm(panel.thickness)}. Measure again after pressing."


def _veneer_words(layer: VeneerLayer) -> str:
    beside = f" ({layer.leaves} leaves side by side)" if layer.leaves > 1 else ""
    return f"{mm(layer.thickness)} {layer.material}{beside}"


def _finished(frame: Frame, plan: CasePlan, panel: WorkedPanel) -> Iterator[str]:
    if panel.from_held:
        yield panel.from_held
    elif panel.role in (PanelRole.TOP, PanelRole.BOTTOM):
        corner = frame.top if panel.role is PanelRole.TOP else frame.bottom
        if corner is not None:
            yield f"Length: {_across(frame, corner)}."
        yield f"Width: {_deep(frame, plan)}{_shorter(frame, corner)}."
    elif panel.role in _SIDES:
        taken = [f"{c.kind} {mm(c.taken or 0)}" for c in (frame.bottom, frame.top) if c is not None]
        row = frame.sums.get(Axis.HEIGHT, "")
        yield f"Length: inside height {mm(frame.height or 0)}{row} and at its ends {' and '.join(taken) or 'nothing'}."
        yield f"Width: {_deep(frame, plan)}."
    elif panel.role is PanelRole.FRONT:
        yield _front(frame, plan)
    elif panel.role is PanelRole.BACK:
        yield _back(frame, plan)
    else:
        yield (
            f"Length: the clear span between what it stands between, and what it goes into both ends. Width: inside "
            f"depth {mm(frame.depth or 0)} less {mm(ticks(panel.record.set_back))} set back."
        )
    if panel.short is not None:
        long_points = mm(panel.computed.length if panel.computed else 0)
        yield f"Mitred: {long_points} between the long points, {mm(panel.short)} between the short ones."


def _across(frame: Frame, corner: Corner) -> str:
    width, left, right = (mm(x or 0) for x in (frame.width, frame.left, frame.right))
    width += frame.sums.get(Axis.WIDTH, "")
    if corner.kind is CaseJoint.BUTT_BETWEEN:
        return f"inside width {width}, between the sides"
    if corner.kind in (CaseJoint.BUTT_OVER, CaseJoint.MITRE):
        where = "over the ends" if corner.kind is CaseJoint.BUTT_OVER else "mitre to the long points"
        return f"inside width {width} + {left} + {right}, {where}"
    guess = "~" if corner.assumed else ""
    slack = f" - {mm(corner.slack)} so that it never bottoms" if corner.slack else ""
    return f"inside width {width} + 2 x {guess}{mm(corner.depth)} in the {corner.kind}{slack}"


def _deep(frame: Frame, plan: CasePlan) -> str:
    parts = []
    if plan.front is FrontKind.BETWEEN:
        parts += [f"{mm(ticks(plan.front_set_back))} set back", f"{mm(frame.front or 0)} front"]
    parts.append(f"{mm(frame.depth or 0)} inside depth")
    if frame.back_taken:
        parts.append(f"{mm(frame.back_taken)} behind, for the back {plan.back}")
    return f"{' + '.join(parts)} = {mm(frame.deep or 0)}"


def _shorter(frame: Frame, corner: Corner | None) -> str:
    """That a top or bottom ends short of the back."""
    if corner is None or corner.short is None:
        return ""
    less = f", less {mm(frame.back_taken or 0)} behind"
    return less + (f" and {mm(corner.short)} short of the back" if corner.short else ", short of the back")


def _front(frame: Frame, plan: CasePlan) -> str:
    if plan.front is FrontKind.OVER:
        return "It covers the whole outside of the case."
    gap = mm(ticks(plan.front_gap, "0.5 mm"))
    return f"Inside {mm(frame.width or 0)} x {mm(frame.height or 0)}, clear {gap} all round."


def _back(frame: Frame, plan: CasePlan) -> str:
    if plan.back is BackKind.OVER:
        return "It covers the whole outside of the case."
    gap = mm(back_gap(plan))
    depth = mm(back_joint_depth(plan, frame.left))
    inside = f"Inside {mm(frame.width or 0)} x {mm(frame.height or 0)}"
    past = [name for name, c in (("bottom", frame.bottom), ("top", frame.top)) if c is not None and c.short is not None]
    over = f" It runs on past the {' and the '.join(past)}, over the whole edge there." if past else ""
    if plan.back is BackKind.BETWEEN:
        less = f", less {gap} in all" if back_gap(plan) else ""
        return f"{inside}: it only butts between top and bottom and between the sides{less}.{over}"
    return f"{inside} and {depth} into each panel it meets, less {gap} in all.{over}"


def _smaller_and_larger(plan: CasePlan, panel: WorkedPanel) -> Iterator[str]:
    if panel.finish is None or panel.cut is None or panel.rough is None:
        return
    bare = less_bands(panel.record, panel.role, panel.finish, ticks(plan.band))
    if bare != panel.finish:
        edges = ", ".join(panel.record.banded)
        yield f"Cut: less the band of {mm(ticks(plan.band))} along {edges} = {size_words(bare)}."
    more = Flat(panel.rough.length - panel.cut.length, panel.rough.width - panel.cut.width)
    if any(more):
        why = "solid wood" if panel.record.species else "left on until it is trued"
        yield f"Rough: {mm(more.length)} longer and {mm(more.width)} wider, {why} = {size_words(panel.rough)}."
    for leaf in panel.leaves:
        yield f"Leaf of {leaf.material}: {size_words(leaf.size)}, trimmed flush after pressing."
