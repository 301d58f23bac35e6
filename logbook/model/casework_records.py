"""What a rebuilt case is made from: held dimensions, panels, openings and strips, as recorded."""

from __future__ import annotations

from logbook.model.base import Code, Count, Frozen, Name, Text
from logbook.model.measures import Length, Money, Number
from logbook.model.words import CaseJoint, Grain, HeldKind


class Position(Frozen):
    """A place measured from the datum."""

    x: Length
    y: Length


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


class Size(Frozen):
    """Length along the part and width across it."""

    length: Length
    width: Length


class Leaf(Frozen):
    """A veneer leaf as cut for one panel."""

    material: Name
    thickness: Length
    size: Size
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
    wrap: Text = ""
    """Panels with the same word here get their face veneer from one piece, in sequence."""
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
