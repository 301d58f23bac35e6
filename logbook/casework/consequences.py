"""What follows from the sizes: joints, veneer, bands, sanding, bolts and screws, openings; each with a way out.

Limits without a source are common practice, and where a plan can say its own, it does.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from logbook.casework.back_groove import otherwise_than_planned
from logbook.casework.case_frame import Frame
from logbook.casework.case_room import SolidBody
from logbook.casework.clashes import clashes
from logbook.casework.finding import Consequence
from logbook.casework.leaves import laid, veneer_layers
from logbook.casework.lookup import face_of, joint_at, mm, sides_of, ticks, veneer_of
from logbook.casework.mirror import changes_hands
from logbook.casework.openings import openings
from logbook.casework.panels import WorkedPanel, back_joint_depth
from logbook.casework.sizes import size_words
from logbook.casework.stacks import WorkedStack, lengths_that_hold
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import Case, Panel
from logbook.model.measures import Length
from logbook.model.words import BackKind, CaseJoint, PanelRole, StackKind

WIDTH_OFF = Length.of("0.2 mm").ticks
"""How far a joint may be off the part in it (common practice)."""
FLAT_LEFT = Length.of("3 mm").ticks
"""Least flat left between chamfers (common practice)."""


def consequences(
    case: Case, frame: Frame, panels: Sequence[WorkedPanel], stacks: Sequence[WorkedStack], bodies: Sequence[SolidBody]
) -> tuple[Consequence, ...]:
    """Everything that follows, in the order: stacks, clashes, openings, joints, faces.

    Args:
        case: of one member.
        frame: its frame.
        panels: its panels with sizes.
        stacks: bolts, shafts and screws as worked out.
        bodies: what takes up room inside.
    """
    plan = case.plan or CasePlan()
    return (
        *(_of_stack(s) for s in stacks),
        *clashes(bodies, frame),
        *openings(panels, bodies, plan, frame),
        *_joints(case, plan, frame, panels),
        *_faces(panels, plan),
        *_mirrors(panels),
    )


def _of_stack(stack: WorkedStack) -> Consequence:
    record = stack.record
    codes = {StackKind.GRIP: "grip", StackKind.PROJECTION: "projection", StackKind.SCREW: "breakthrough"}
    need = f", at least {mm(stack.least)} wanted" if stack.least else ""
    old = f" ({mm(stack.old)} with the old panel)" if stack.old is not None else ""
    if record.kind is StackKind.SCREW and stack.old is not None and stack.old < 0:
        old = f" (with the old panel the point showed by {mm(-stack.old)})"
    would = lengths_that_hold(stack) if stack.let_in or not stack.holds else None
    lengths = f"; a screw {mm(would[0])} to {mm(would[1])} long fits" if would is not None else ""
    sentence = f"{record.what}: {stack.words}{need}{old}{lengths}"
    place = f"{record.code} {record.panel}".strip()
    return Consequence(
        codes[record.kind], place, sentence, stack.holds, "" if stack.holds else stack.way_out, stack.borderline
    )


# Joints


def _joints(case: Case, plan: CasePlan, frame: Frame, panels: Sequence[WorkedPanel]) -> Iterator[Consequence]:
    sides = [t for t in (frame.left, frame.right) if t is not None]
    for name, corner in (("top", frame.top), ("bottom", frame.bottom)):
        if corner is None or not sides:
            continue
        if corner.kind is CaseJoint.MITRE and corner.thickness is not None and {corner.thickness} != set(sides):
            sentence = f"{name}: a mitre of {mm(corner.thickness)} to {mm(sides[0])} does not meet at 45 degrees"
            yield Consequence("mitre", name, sentence, False, "Mitre only what is equally thick, or choose a rabbet.")
        if corner.depth:
            yield _depth(f"{name}: {corner.kind}", name, corner.kind, corner.depth, min(sides))
    if plan.back in (BackKind.RABBET, BackKind.GROOVE) and sides:
        depth = back_joint_depth(plan, frame.left)
        kind = CaseJoint.RABBET if plan.back is BackKind.RABBET else CaseJoint.DADO
        yield _depth(f"back {plan.back}", "back", kind, depth, min(sides))
    for panel, otherwise in otherwise_than_planned(case.panels, plan):
        way_out = "Say the same of it in both."
        yield Consequence("groove", panel.code, f"{panel.code} {panel.name}: {otherwise}", False, way_out)
    yield from _widths(case, panels)
    rails = plan.rails
    if rails is not None and rails.let_in and frame.back_taken is not None and frame.back_taken < rails.thickness.ticks:
        short = rails.thickness.ticks - frame.back_taken
        sentence = f"the hanging rail is {rails.thickness.in_mm()} thick and the back lies {mm(frame.back_taken)} in"
        yield Consequence(
            "rails", "rails", sentence, False, f"Set the back in by {mm(short)} more: it costs that depth."
        )


def _depth(what: str, place: str, kind: CaseJoint, depth: int, thickness: int) -> Consequence:
    """Usual is half the panel at most for a dado, two thirds for a rabbet."""
    rabbet = kind is CaseJoint.RABBET
    most, share = (thickness * 2 // 3, "two thirds") if rabbet else (thickness // 2, "half")
    sentence = f"{what} {mm(depth)} deep in {mm(thickness)} leaves {mm(thickness - depth)}"
    way_out = "" if depth <= most else f"Not deeper than {share} of the panel: {mm(most)}."
    return Consequence("joint-depth", place, sentence, depth <= most, way_out)


def _widths(case: Case, panels: Sequence[WorkedPanel]) -> Iterator[Consequence]:
    """A rabbet or dado of a side that is not as wide as the part in it is thick."""
    roles = {PanelRole.TOP: "top", PanelRole.BOTTOM: "bottom"}
    for part in panels:
        end = roles.get(part.role)
        for side in sides_of(case.panels) if end is not None else ():
            joint = joint_at(side, end or "")
            if joint is None or joint.width is None or part.thickness is None:
                continue
            off = part.thickness - joint.width.ticks
            if joint.kind in (CaseJoint.RABBET, CaseJoint.DADO) and abs(off) > WIDTH_OFF:
                sentence = (
                    f"{side.code}: {joint.kind} {joint.width.in_mm()} wide for {part.code}, {mm(part.thickness)} thick"
                )
                way_out = f"Make it {mm(part.thickness)} wide, measured on the part itself."
                yield Consequence("joint-width", f"{side.code} {part.code}", sentence, False, way_out)


# Faces and edges


def _faces(panels: Sequence[WorkedPanel], plan: CasePlan) -> Iterator[Consequence]:
    yield from _alike("veneer", (_veneer(p) for p in panels))
    yield from _alike("sanding", (_sanding(p, plan) for p in panels))
    for panel in panels:
        yield from _chamfer(panel.record, panel.thickness, ticks(plan.band))


def _alike(code: str, each: Iterable[Consequence | None]) -> Iterator[Consequence]:
    """What holds for several panels in the same words is said once; what does not hold, for each."""
    good: dict[str, list[str]] = {}
    for c in each:
        if c is not None and c.holds:
            good.setdefault(c.sentence, []).append(c.place)
        elif c is not None:
            yield replace(c, sentence=f"{c.place}: {c.sentence}")
    for sentence, places in good.items():
        yield Consequence(code, " ".join(places), f"{', '.join(places)}: {sentence}", True)


def _veneer(panel: WorkedPanel) -> Consequence | None:
    layers = veneer_of(panel.record)
    shown = sum(x.thickness for x in layers if x.show)
    behind = sum(x.thickness for x in layers if not x.show)
    if not panel.leaves:
        return None
    if panel.finish is not None and veneer_layers(map(laid, panel.record.leaves), panel.finish) != layers:
        sentence = f"its leaves do not cover its face of {size_words(panel.finish)} side by side, as their sizes say"
        way_out = "Write down each leaf as it is cut: halves that together are as large as the face, or whole ones."
        return Consequence("veneer", panel.code, sentence, False, way_out)
    side_by_side = next((layer for layer in layers if layer.leaves > 1), None)
    if side_by_side is not None and not panel.finish and face_of(panel.record) is None:
        of = f"{side_by_side.leaves} leaves of {side_by_side.material}"
        sentence = f"{of} are counted as one layer, side by side; without its size nobody can tell that they cover it"
        way_out = "Write down how large the panel is; if they lie on one another, leave out the sizes of the leaves."
        return Consequence("veneer", panel.code, sentence, False, way_out)
    if not shown or not behind:
        way_out = "Put a leaf of the same thickness on the other face; a plain species will do."
        return Consequence("veneer", panel.code, "veneered on one side only; it will pull hollow", False, way_out)
    if shown != behind:
        sentence = f"{mm(shown)} of veneer in front and {mm(behind)} behind; it may pull hollow"
        return Consequence("veneer", panel.code, sentence, False, "Balance both faces with equal thickness.")
    return Consequence("veneer", panel.code, f"{mm(shown)} of veneer on each face", True)


def _sanding(panel: WorkedPanel, plan: CasePlan) -> Consequence | None:
    """No more than half the leaf is sanded away (common practice)."""
    leaves = [x.thickness for x in panel.leaves if x.show]
    if plan.sanding is None or not leaves:
        return None
    leaf, taken = min(leaves), plan.sanding.ticks
    sentence = f"sanding {mm(taken)} of a leaf of {mm(leaf)} leaves {mm(leaf - taken)}"
    way_out = f"By hand only, from 180 up, and no more than {mm(leaf // 2)}; or take a thicker leaf."
    holds = taken * 2 <= leaf
    return Consequence("sanding", panel.code, sentence, holds, "" if holds else way_out)


def _chamfer(panel: Panel, thickness: int | None, band: int) -> Iterator[Consequence]:
    if panel.chamfer is None:
        return
    chamfer = panel.chamfer.ticks
    if panel.banded and chamfer >= band:
        sentence = f"{panel.code}: chamfer {mm(chamfer)} on a band of {mm(band)} shows the core"
        way_out = f"Chamfer less than {mm(band)}, or glue on a lipping thicker than {mm(chamfer)}."
        yield Consequence("chamfer", panel.code, sentence, False, way_out)
    elif panel.banded:
        yield Consequence("chamfer", panel.code, f"{panel.code}: chamfer {mm(chamfer)} in a band of {mm(band)}", True)
    if thickness is not None:
        left = thickness - chamfer * panel.chamfers
        if left < FLAT_LEFT:
            sentence = (
                f"{panel.code}: chamfering leaves {mm(left)} flat of {mm(thickness)}, at least {mm(FLAT_LEFT)} wanted"
            )
            yield Consequence("chamfer-flat", panel.code, sentence, False, "Chamfer less, or on one arris only.")


def _mirrors(panels: Sequence[WorkedPanel]) -> Iterator[Consequence]:
    """A mirror image that is not one."""
    by_code = {p.code: p for p in panels}
    for panel in panels:
        pattern = by_code.get(panel.record.mirror_of)
        if pattern is None:
            continue
        compared = ["finish", "thickness"]
        if not changes_hands(panel.record):
            compared.append("joints")
        unlike = [name for name in compared if getattr(panel, name) != getattr(pattern, name)]
        if unlike:
            sentence = f"{panel.code} is to be the mirror image of {pattern.code}, but differs in {', '.join(unlike)}"
            way_out = "Correct one of the two, or say that they are no handed pair."
            yield Consequence("mirror", f"{panel.code} {pattern.code}", sentence, False, way_out)
