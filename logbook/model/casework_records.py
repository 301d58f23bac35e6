"""What a rebuilt case is made from: held dimensions, panels, openings and strips, as recorded."""

from __future__ import annotations

from logbook.model.base import Code, Count, Frozen, Name, Text
from logbook.model.case_plan import CasePlan, Fitting, Position, Size, StackUp
from logbook.model.measures import Length, Money, Number
from logbook.model.words import Axis, CaseJoint, Grain, HeldKind, PanelRole, Sawn

__all__ = [
    "Case",
    "CasePlan",
    "Fitting",
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
    what: Name
    kind: HeldKind = HeldKind.INSIDE
    value: Length | None = None
    litres: Number | None = None
    """For a held volume, net of braces and parts."""
    positions: tuple[Position, ...] = ()
    plus: Length | None = None
    minus: Length | None = None
    tolerance_percent: Number | None = None
    at_least: bool = False
    """The value is a minimum, such as a clearance or a projection."""
    datum: Text = ""
    """Where it is measured from: “inside bottom left, seen from the front”."""
    readings: tuple[Length, ...] = ()
    """As measured, each taken afresh; a held dimension wants two."""
    how: Text = ""
    why: Text = ""
    along: Axis = Axis.UNSAID
    """Which way it runs; not said, its name tells: “inside width”."""
    at: Text = ""
    """Code of the stack or of the thing inside at which a projection or a clearance is taken."""
    member: Text = ""
    """Of which of a set it holds; empty: of every one."""
    panel: Text = ""
    """Code of the panel whose own finished size it is; empty: a size of the case."""


class Layer(Frozen):
    """One layer of a panel: a sheet or a leaf of measured thickness."""

    material: Name
    thickness: Length
    piece: Text = ""
    """Code of the offcut it is cut from, once that is settled."""


class PanelJoint(Frozen):
    """A joint at one end of a panel."""

    end: Name
    """“top”, “bottom”, “left”, “right”, “both ends”."""
    kind: CaseJoint
    depth: Length | None = None
    width: Length | None = None
    face: Text = ""


class Leaf(Frozen):
    """A veneer leaf as cut for one panel."""

    material: Name
    thickness: Length
    size: Size | None = None
    """None while it is still to be computed."""
    piece: Text = ""
    show: bool = True
    """On the show face; a backer is not."""


class Opening(Frozen):
    """A hole or cut-out in a panel."""

    what: Name
    centre: Position
    diameter: Length | None = None
    size: Size | None = None
    through: bool = True
    pattern: Text = ""
    """Name of the traced pattern, when its shape is neither round nor rectangular."""
    slotted: bool = False
    """Its ends are half round."""
    radius: Length | None = None
    """Inside radius of its corners: that of the cutter."""
    check_what: Text = ""
    """What is measured on the transferred pattern to prove it: “over both lugs”."""
    check: Length | None = None
    """What that must measure."""


class Panel(Frozen):
    """A flat part of the case, with the sizes known so far."""

    code: Code
    name: Name
    quantity: Count = 1
    layers: tuple[Layer, ...] = ()
    leaves: tuple[Leaf, ...] = ()
    finish: Size | None = None
    """Final size; None while it is still to be computed."""
    cut: Size | None = None
    """Before edge banding."""
    rough: Size | None = None
    """Before truing."""
    grain: Grain = Grain.LENGTH
    joints: tuple[PanelJoint, ...] = ()
    banded: tuple[Text, ...] = ()
    openings: tuple[Opening, ...] = ()
    mirror_of: Text = ""
    """Code of the panel of which this is the mirror image."""
    note: Text = ""
    role: PanelRole = PanelRole.UNSAID
    show_face: Text = ""
    """Which face is seen, as it is marked on the part."""
    oversize: Length | None = None
    """Left on at each edge until it is trued; not said, that of the plan."""
    chamfer: Length | None = None
    """At 45 degrees, along the banded or seen edges."""
    chamfers: Count = 1
    """On how many arrises of an edge."""
    at: Length | None = None
    """Of a divider: its left face from the datum. Of a shelf: its lower face."""
    between: tuple[Text, ...] = ()
    """Codes of the two panels that a divider or shelf stands between; empty: bottom and top, or the sides."""
    set_back: Length | None = None
    """Of a divider or shelf: how far behind the front of the inside it begins."""
    wrap: Text = ""
    """Panels with the same word here get their face veneer from one piece, in sequence."""
    species: Text = ""
    """Of solid wood: the species, as in the list of species; it moves with the humidity."""
    sawn: Sawn = Sawn.FLAT
    member: Text = ""
    """For which of a set alone; empty: for every one."""


class Strip(Frozen):
    """A strip or block, cut to length from stock of one section."""

    code: Code
    name: Name
    quantity: Count
    length: Length
    material: Name
    piece: Text = ""
    note: Text = ""
    wide: Length | None = None
    """Of its section: along the panel it lies on."""
    thick: Length | None = None
    """Of its section: how far it stands off the panel."""
    on: Text = ""
    """Code of the front or back panel it lies behind; its length then follows from the case."""
    edges: tuple[Text, ...] = ()
    """Along which edges of that panel: “left”, “right”, “top”, “bottom”; those at the sides run full."""


class Material(Frozen):
    """What own material would cost to replace; taken from the scrap pile it is charged at zero."""

    name: Name
    per_m2: Money | None = None
    per_m: Money | None = None
    waste_percent: Number | None = None


class Case(Frozen):
    """The case to be built."""

    datum: Text = ""
    panels: tuple[Panel, ...] = ()
    strips: tuple[Strip, ...] = ()
    materials: tuple[Material, ...] = ()
    kerf: Length | None = None
    notes: Text = ""
    plan: CasePlan | None = None
    fittings: tuple[Fitting, ...] = ()
    stacks: tuple[StackUp, ...] = ()
