"""What a rebuilt case is made from: held dimensions, panels, openings and strips, as recorded."""

from __future__ import annotations

from logbook.model.base import Code, Count, Frozen, Name, Text
from logbook.model.case_plan import CasePlan, Counterbore, Fitting, Position, Size, StackUp
from logbook.model.measures import Length, Money, Number
from logbook.model.words import Axis, CaseJoint, Face, Grain, HeldKind, PanelRole, Sawn

__all__ = [
    "Case",
    "CasePlan",
    "Counterbore",
    "Fitting",
    "Groove",
    "HeldDimension",
    "Layer",
    "Leaf",
    "Material",
    "Opening",
    "Panel",
    "PanelJoint",
    "Position",
    "Size",
    "StackUp",
    "Strip",
]


class HeldDimension(Frozen):
    """A size that must not change, and why."""

    code: Code
    """Its short code, “H1”."""
    what: Name
    """What must not change, “inside width”."""
    kind: HeldKind = HeldKind.INSIDE
    """Which kind of size it is."""
    value: Length | None = None
    """The size to keep, “465”."""
    litres: Number | None = None
    """For a volume: how many litres, net of braces and parts, “18.5”."""
    positions: tuple[Position, ...] = ()
    """For holes: their places."""
    plus: Length | None = None
    """How much more it may be, “0.5”."""
    minus: Length | None = None
    """How much less it may be, “0.5”."""
    tolerance_percent: Number | None = None
    """How far it may be off, in percent, “5”."""
    at_least: bool = False
    """It is a least size, such as a clearance."""
    datum: Text = ""
    """Where it is measured from, “inside bottom left, seen from the front”."""
    readings: tuple[Length, ...] = ()
    """As measured, twice, each taken afresh, “465.0; 465.2”."""
    how: Text = ""
    """How it was measured, “with sticks, at the back”."""
    why: Text = ""
    """Why it must not change, “the chassis slides in”."""
    along: Axis = Axis.UNSAID
    """Width, height or depth. Not said: read from the name."""
    at: Text = ""
    """Code of the stack or the thing at which it is taken, “G1”."""
    member: Text = ""
    """For which one of a set, “left”. Empty: for every one."""
    panel: Text = ""
    """Code of the panel whose own finished size it is, “P1”. Empty: a size of the case."""
    between: tuple[Text, ...] = ()
    """Codes of the two panels it lies between, lower or left one first, “P4; P6”."""


class Layer(Frozen):
    """One layer of a panel: a sheet or a leaf of measured thickness."""

    material: Name
    """What it is, “12 ply”."""
    thickness: Length
    """As measured, “11.8”."""
    piece: Text = ""
    """Code of the piece it is cut from, “O01”."""


class PanelJoint(Frozen):
    """A joint at one end of a panel."""

    end: Name
    """Which end or edge, “both ends”."""
    kind: CaseJoint
    """Which joint."""
    depth: Length | None = None
    """How deep it is cut, “6”."""
    width: Length | None = None
    """How wide it is cut, “12”."""
    face: Text = ""
    """On which face, “inside”."""
    slack: Length | None = None
    """Taken off the part in all so that it never bottoms, “1”. Empty: 1 mm for a dado."""


class Groove(Frozen):
    """A groove or rabbet that is cut into a panel for another part to lie in."""

    takes: Name
    """What lies in it, “back”."""
    depth: Length | None = None
    """How deep it is, “6”."""
    width: Length | None = None
    """How wide it is, “6.5”. Empty: as what lies in it is thick."""
    set_in: Length | None = None
    """From the edge in to it, “8”."""
    rabbet: bool = False
    """It is open to the edge."""


class Leaf(Frozen):
    """A veneer leaf as cut for one panel."""

    material: Name
    """What it is, “oak veneer”."""
    thickness: Length
    """As measured, “0.6”."""
    size: Size | None = None
    """Size as cut, “496 x 247”. Empty: computed."""
    piece: Text = ""
    """Code of the piece it is cut from, “O05”."""
    show: bool = True
    """On the face that is seen; a backer is not."""


class Opening(Frozen):
    """A hole or cut-out in a panel."""

    what: Name
    """What it is for, “volume shaft”."""
    centre: Position
    """Its middle from the datum: across and up, “120 x 80”."""
    diameter: Length | None = None
    """For a round one, “10”."""
    size: Size | None = None
    """For a straight one: length and width, “120 x 40”."""
    through: bool = True
    """It goes all the way through."""
    pattern: Text = ""
    """Name of the traced pattern, “dial window”."""
    slotted: bool = False
    """Its ends are half round."""
    radius: Length | None = None
    """Inside radius of its corners, “3”."""
    check_what: Text = ""
    """What to measure on the pattern to prove it, “over both lugs”."""
    check: Length | None = None
    """What that must measure, “84”."""
    recess: Length | None = None
    """How deep it is let in, where it does not go through, “4”."""
    counterbore: Counterbore | None = None
    """Wider at its mouth for a head or nut: how wide and how deep, “12 x 4”."""
    face: Face = Face.OUTSIDE
    """From which face it is let in."""


class Panel(Frozen):
    """A flat part of the case, with the sizes known so far."""

    code: Code
    """The code written on it, “P1”."""
    name: Name
    """What it is, “left side”."""
    quantity: Count = 1
    """How many alike, “1”."""
    layers: tuple[Layer, ...] = ()
    """Its layers from the outside in, “12 ply + 0.6 oak veneer”."""
    leaves: tuple[Leaf, ...] = ()
    """Veneer leaves as cut for it."""
    finish: Size | None = None
    """Final size, “480 x 230”. Empty: computed."""
    cut: Size | None = None
    """Size before edge banding, “480 x 229.4”."""
    rough: Size | None = None
    """Size before truing, “486 x 236”."""
    grain: Grain = Grain.LENGTH
    """Which way its grain runs."""
    joints: tuple[PanelJoint, ...] = ()
    """Joints at its ends, “both ends dado”."""
    grooves: tuple[Groove, ...] = ()
    """Cut into it for another part, “back 6”."""
    banded: tuple[Text, ...] = ()
    """Edges with a band, “front; left”."""
    openings: tuple[Opening, ...] = ()
    """Holes and cut-outs."""
    mirror_of: Text = ""
    """Code of the panel it is the mirror image of, “P2”."""
    note: Text = ""
    """Anything else, “keep the old paper label”."""
    role: PanelRole = PanelRole.UNSAID
    """What it is in the case. Not said: read from its name."""
    show_face: Text = ""
    """Which face is seen, “pencil cross inside”."""
    oversize: Length | None = None
    """Left on at each edge until it is trued, “3”. Empty: as planned."""
    chamfer: Length | None = None
    """How wide its edges are chamfered, at 45 degrees, “2”."""
    chamfers: Count = 1
    """On how many arrises of an edge, “2”."""
    at: Length | None = None
    """For a divider its left face, for a shelf its lower face, from the datum, “150”."""
    between: tuple[Text, ...] = ()
    """Codes of the panels it stands between, “P2; P3”."""
    set_back: Length | None = None
    """How far behind the front of the inside it begins, “10”."""
    wrap: Text = ""
    """Panels with the same word get their veneer from one piece, in sequence, “A”."""
    species: Text = ""
    """For solid wood: which, as it moves with the damp, “oak”."""
    sawn: Sawn = Sawn.FLAT
    """How the board lay in the log."""
    member: Text = ""
    """For which one of a set, “left”. Empty: for every one."""


class Strip(Frozen):
    """A strip or block, cut to length from stock of one section."""

    code: Code
    """The code written on it, “S1”."""
    name: Name
    """What it is, “rear block”."""
    quantity: Count
    """How many alike, “2”."""
    length: Length
    """How long, “480”."""
    material: Name
    """What of, “oak”."""
    piece: Text = ""
    """Code of the piece it is cut from, “O03”."""
    note: Text = ""
    """Anything else, “bevel the front edge”."""
    wide: Length | None = None
    """Across the panel it lies on, “20”."""
    thick: Length | None = None
    """How far it stands off the panel, “15”."""
    on: Text = ""
    """Code of the panel it lies behind, “P5”. Its length then follows."""
    edges: tuple[Text, ...] = ()
    """Along which edges, “left; right”."""
    inset: Length | None = None
    """How far in from those edges it lies, “10”."""


class Material(Frozen):
    """What own material would cost to replace; taken from the scrap pile it is charged at zero."""

    name: Name
    """What it is, “12 ply”."""
    per_m2: Money | None = None
    """What a square metre costs, “28”."""
    per_m: Money | None = None
    """What a metre costs, “3.20”."""
    waste_percent: Number | None = None
    """How much is lost in cutting, in percent, “15”."""


class Case(Frozen):
    """The case to be built."""

    datum: Text = ""
    """Where all its sizes are measured from, “inside bottom left, seen from the front”."""
    panels: tuple[Panel, ...] = ()
    """The flat parts."""
    strips: tuple[Strip, ...] = ()
    """Strips and blocks."""
    materials: tuple[Material, ...] = ()
    """What own material would cost to replace."""
    kerf: Length | None = None
    """How wide the saw cuts, “3”. Empty: that of the shop."""
    notes: Text = ""
    """Anything else about the case, “keep the old feet”."""
    plan: CasePlan | None = None
    """How it is to be joined; the sizes follow from it."""
    fittings: tuple[Fitting, ...] = ()
    """What must find room in it."""
    stacks: tuple[StackUp, ...] = ()
    """Bolts and shafts that go through its panels."""
