"""How a case is to be built: its plan, what must find room in it, and what goes through its panels."""

from __future__ import annotations

from logbook.model.base import Code, Count, Frozen, Name, Text
from logbook.model.measures import Length, Number
from logbook.model.words import BackKind, CaseJoint, Face, FrontKind, StackKind


class Position(Frozen):
    """A place measured from the datum."""

    x: Length
    """From the left of the datum, “120”."""
    y: Length
    """Up from the datum, “80”."""


class Size(Frozen):
    """Length along the part and width across it."""

    length: Length
    """Along the part, “480”."""
    width: Length
    """Across it, “230”."""


class Counterbore(Frozen):
    """A hole that is wider at its mouth, for a head or a nut."""

    diameter: Length
    """How wide, “12”."""
    depth: Length
    """How deep, “4”."""


class CornerJoint(Frozen):
    """How the top or the bottom meets the sides."""

    kind: CaseJoint = CaseJoint.BUTT_BETWEEN
    """Which joint."""
    depth: Length | None = None
    """How deep it is cut, “6”. Empty: half the side for a rabbet, a third for a dado."""
    inset: Length | None = None
    """For a dado: from the end of the side to the groove, “10”."""
    slack: Length | None = None
    """For a dado: taken off the part so that it never bottoms, “1”. Empty: 1 mm."""
    short: Length | None = None
    """How far short of the back it ends, which then runs on past it, “0”. Empty: it runs to the back edges."""


class HangingRails(Frozen):
    """A pair of hanging rails, ripped from one board at 45 degrees."""

    board: Length
    """How wide the board is, “80”."""
    thickness: Length
    """How thick it is, “18”."""
    length: Length | None = None
    """How long the rails are, “400”."""
    material: Text = ""
    """What of, “oak”."""
    piece: Text = ""
    """Code of the piece it is cut from, “O03”."""
    let_in: bool = False
    """The rail on the case lies within its depth, behind the back."""


class CasePlan(Frozen):
    """How the case is to be built: with the held dimensions and measured thicknesses it gives every size."""

    top: CornerJoint | None = None
    """How the top meets the sides."""
    bottom: CornerJoint | None = None
    """How the bottom meets the sides."""
    front: FrontKind = FrontKind.OPEN
    """How the front is put to the case."""
    front_set_back: Length | None = None
    """How far its face lies behind the front edges, “6”."""
    front_gap: Length | None = None
    """Clear all round a front that is let in, “0.5”. Empty: 0.5 mm."""
    back: BackKind = BackKind.OPEN
    """How the back is put to the case."""
    back_depth: Length | None = None
    """How deep its rabbet or groove is, “6”. Empty: half or a third of the side."""
    back_set_in: Length | None = None
    """From the back edges in to the back, “4”."""
    back_gap: Length | None = None
    """Taken off the back in all, “1”. Empty: 1 mm, in a groove 1.5 mm, where it only butts nothing."""
    oversize: Length | None = None
    """Left on at each edge until it is trued, “3”. Empty: 3 mm."""
    leaf_oversize: Length | None = None
    """Left on besides at each edge of a veneer leaf, “6”. Empty: 6 mm."""
    band: Length | None = None
    """How thick the edge band is, “0.6”."""
    sanding: Length | None = None
    """What sanding may take off a face in all, “0.2”."""
    edge_least: Length | None = None
    """Least wood between an opening and an edge, “10”. Empty: 10 mm."""
    rails: HangingRails | None = None
    """A pair of hanging rails from one board."""
    humidity_dry: Number | None = None
    """Humidity where it will stand, in percent, at its driest, “30”."""
    humidity_humid: Number | None = None
    """The same at its dampest, “60”."""
    humidity_now: Number | None = None
    """Humidity where the wood lies now, in percent, “45”."""


class Fitting(Frozen):
    """Something that takes up room in the case: a component, a flange, a glass. In case coordinates.

    What is not said is not known, and never taken for nothing.
    """

    code: Code
    """Its short code, “F1”."""
    what: Name
    """What must find room, “loudspeaker”."""
    component: Text = ""
    """Code of the component it is, “SP”."""
    face: Face = Face.INSIDE
    """Inside the case, or on the outside of its front."""
    centre: Position | None = None
    """Its middle from the datum, “120 x 80”."""
    diameter: Length | None = None
    """When it is round, “130”."""
    size: Size | None = None
    """Across and up, about its middle, “120 x 90”."""
    left: Length | None = None
    """Its left edge, “60”."""
    right: Length | None = None
    """Its right edge, “180”."""
    bottom: Length | None = None
    """Its lower edge, “35”."""
    top: Length | None = None
    """Its upper edge, “125”."""
    near: Length | None = None
    """From the face it lies at to where it begins, “0”."""
    far: Length | None = None
    """From the same face to where it ends, “70”."""
    gap: Length | None = None
    """Least gap to anything else, “10”."""
    covers: tuple[Text, ...] = ()
    """Openings it is meant to stand over, “speaker hole”."""
    litres: Number | None = None
    """Room it takes from a held volume, in litres, “0.4”. Empty: its box."""
    member: Text = ""
    """For which one of a set, “left”."""


class StackPart(Frozen):
    """One thing in a stack: a washer, a bush, a spacer, a foot."""

    what: Name
    """What lies there, “rubber washer”."""
    thickness: Length
    """How thick, “2.5”."""
    quantity: Count = 1
    """How many of it, “2”."""


class StackUp(Frozen):
    """A bolt, shaft or screw with all that it goes through: what is left of it for its purpose."""

    code: Code
    """Its short code, “G1”."""
    what: Name
    """What goes through, “chassis bolt”."""
    kind: StackKind = StackKind.GRIP
    """What must be left of it for its purpose."""
    panel: Text = ""
    """Code of the panel it goes through, “P4”."""
    length: Length
    """Under its head, or from its seat, “35”."""
    parts: tuple[StackPart, ...] = ()
    """What else it goes through."""
    need: Length | None = None
    """Least that must be left, “5”."""
    into: Length | None = None
    """For a screw: how thick the thing is that it ends in, “18”."""
    margin: Length | None = None
    """For a screw: least wood left before its point, “1”. Empty: 1 mm."""
    old_thickness: Length | None = None
    """How thick the old panel was there, “9”."""
    step: Text = ""
    """Code of the step at which it came off, “T11”."""
    let_in: Length | None = None
    """How deep its head or nut is let in, “4”. Empty: as its opening in the panel says."""
