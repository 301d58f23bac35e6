"""How a case is to be built: its plan, what must find room in it, and what goes through its panels."""

from __future__ import annotations

from logbook.model.base import Code, Count, Frozen, Name, Text
from logbook.model.measures import Length, Number
from logbook.model.words import BackKind, CaseJoint, Face, FrontKind, StackKind


class Position(Frozen):
    """A place measured from the datum."""

    x: Length
    y: Length


class Size(Frozen):
    """Length along the part and width across it."""

    length: Length
    width: Length


class CornerJoint(Frozen):
    """How the top or the bottom meets the sides."""

    kind: CaseJoint = CaseJoint.BUTT_BETWEEN
    depth: Length | None = None
    """Of a rabbet or dado; not said, half the side for a rabbet and a third for a dado, down to the next 0.5 mm."""
    inset: Length | None = None
    """Of a dado: from the end of the side to the groove; nothing when not said."""
    slack: Length | None = None
    """Of a dado: what is taken off the part in all, so that it never bottoms; 1 mm when not said."""


class HangingRails(Frozen):
    """A pair of hanging rails, ripped from one board at 45 degrees."""

    board: Length
    """Width of the board."""
    thickness: Length
    length: Length | None = None
    material: Text = ""
    piece: Text = ""
    let_in: bool = False
    """The rail on the case lies within its depth, behind the back."""


class CasePlan(Frozen):
    """How the case is to be built: with the held dimensions and measured thicknesses it gives every size."""

    top: CornerJoint | None = None
    bottom: CornerJoint | None = None
    front: FrontKind = FrontKind.OPEN
    front_set_back: Length | None = None
    """How far the front face lies behind the front edges of the case."""
    front_gap: Length | None = None
    """Clear all round a front that is let in; 0.5 mm when not said."""
    back: BackKind = BackKind.OPEN
    back_depth: Length | None = None
    """How deep the rabbet or groove of the back is; not said, half the side for a rabbet, a third for a groove."""
    back_set_in: Length | None = None
    """From the back edges of the case in to the inner face of the back; to the outer face for one in a groove."""
    back_gap: Length | None = None
    """Taken off the back in all: 1 mm in a rabbet or on blocks, 1.5 mm in a groove when not said."""
    oversize: Length | None = None
    """Left on at each edge of what is pressed, until it is trued; 3 mm when not said."""
    leaf_oversize: Length | None = None
    """Further left on at each edge of a veneer leaf; 6 mm when not said."""
    band: Length | None = None
    """Thickness of the edge band or lipping."""
    sanding: Length | None = None
    """What sanding and rubbing down may take off a face in all."""
    edge_least: Length | None = None
    """Least wood between an opening and any edge or rabbet; 10 mm when not said."""
    rails: HangingRails | None = None
    humidity_dry: Number | None = None
    """Relative humidity where it will stand, in percent, in the driest season."""
    humidity_humid: Number | None = None
    """The same in the most humid season."""
    humidity_now: Number | None = None
    """Where the wood lies while it is fitted."""


class Fitting(Frozen):
    """Something that takes up room in the case: a component, a flange, a glass. In case coordinates.

    What is not said is not known, and never taken for nothing.
    """

    code: Code
    what: Name
    component: Text = ""
    """Code of the component it is."""
    face: Face = Face.INSIDE
    """Inside the case, or on the outer face of its front."""
    centre: Position | None = None
    diameter: Length | None = None
    """Round; else its size, or the four edges."""
    size: Size | None = None
    """Across and up, about the centre."""
    left: Length | None = None
    right: Length | None = None
    bottom: Length | None = None
    top: Length | None = None
    near: Length | None = None
    """From the face of the front it lies at, or stands behind, to where it begins; 0 lies on it."""
    far: Length | None = None
    """The same, to where it ends."""
    gap: Length | None = None
    """Least gap wanted to anything else."""
    covers: tuple[Text, ...] = ()
    """Openings that it is meant to stand over."""
    litres: Number | None = None
    """Room it takes from a held volume; not said, that of its box."""
    member: Text = ""
    """In which of a set alone."""


class StackPart(Frozen):
    """One thing in a stack: a washer, a bush, a spacer, a foot."""

    what: Name
    thickness: Length
    quantity: Count = 1


class StackUp(Frozen):
    """A bolt, shaft or screw with all that it goes through: what is left of it for its purpose."""

    code: Code
    what: Name
    kind: StackKind = StackKind.GRIP
    panel: Text = ""
    """Code of the panel it goes through, or that the screw ends in."""
    length: Length
    """Of the bolt under its head, of the shaft from its seat, of the screw."""
    parts: tuple[StackPart, ...] = ()
    """What it goes through besides the panel."""
    need: Length | None = None
    """Least that must be left in the nut, stand out, or bite."""
    into: Length | None = None
    """Of a screw: thickness of what it ends in, when that is no panel."""
    margin: Length | None = None
    """Of a screw: least wood left before its point; 1 mm when not said."""
    old_thickness: Length | None = None
    """Of the old panel there, to compare."""
    step: Text = ""
    """Code of the step at which it came off."""
