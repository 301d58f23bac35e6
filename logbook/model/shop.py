"""What all units share: the scrap pile, the shelf, limits, settings and free hours."""

from __future__ import annotations

from pydantic import Field

from logbook.model.base import Code, Count, Day, Frozen, Minutes, Moment, Name, Text
from logbook.model.measures import AboveZero, Currency, Estimate, FromZero, Length, Money, Price
from logbook.model.usual_work import OrderRule, UsualWork
from logbook.model.words import Grain, PieceKind
from logbook.model.work import Tool


class Defect(Frozen):
    """An unusable rectangle of an offcut, measured from its corner, seen from face A."""

    x: Length
    y: Length
    length: Length
    width: Length
    what: Text = ""


class Offcut(Frozen):
    """A piece of the scrap pile."""

    code: Code
    material: Name
    thickness: tuple[Length, ...] = ()
    """By calliper at up to three places; empty while unmeasured."""
    length: Length
    width: Length
    usable_length: Length | None = None
    usable_width: Length | None = None
    defects: tuple[Defect, ...] = ()
    grain: Grain = Grain.LENGTH
    true_edges: Count = 0
    """How many of the two reference edges, the long one and one end, are true already."""
    kind: PieceKind | None = None
    """Sheet, solid, strip or veneer; None: as its material and size say (`logbook.layout.keeping`)."""
    damp: bool = False
    """Not dry yet: it moves until it is."""
    place: Text = ""
    origin: Text = ""
    """Where it came from, or the code of the piece it is left over from."""
    reserved_for: Text = ""
    """Code of the unit it is promised to, and for what: “C1 runners”; a second promise after a semicolon."""
    value: Money | None = None
    since: Day | None = None
    note: Text = ""


class Pack(Frozen):
    """What a pack of a consumable holds and costs."""

    size: AboveZero
    """In the unit of the consumable."""
    price: Price
    price_on: Day | None = None
    seller: Text = ""


class Consumable(Frozen):
    """Something used up, on the shelf."""

    name: Name
    unit: Text = ""
    """“ml”, “g”, “m”, empty for pieces."""
    pack: Pack | None = None
    stock: FromZero
    """What is on the shelf, in its unit."""
    packs_ordered: Count = 0
    """Packs that are ordered and not here."""
    ordered_on: Day | None = None
    density: AboveZero | None = None
    """Grams per millilitre, where a need in grams meets a pack in millilitres."""
    opened_on: Day | None = None
    keeps_months: Count | None = None
    """Shelf life once opened."""
    place: Text = ""
    note: Text = ""


class Seller(Frozen):
    """Where things are bought, and what a parcel from there costs."""

    name: Name
    shipping: Estimate | None = None
    """One parcel; None while not known, 0 where things are fetched."""
    free_from: Price | None = None
    """From goods of so much on a parcel costs nothing."""
    days: Count | None = None
    """Days until a parcel is here."""
    note: Text = ""


class FreeTime(Frozen):
    """Hours in which work can be done, on a weekday (1 is Monday) or a single date."""

    weekday: Count | None = None
    on: Day | None = None
    start: Text
    """“19:00”, local time."""
    minutes: Minutes
    """On a single date the hours written down take the place of the weekly ones; 0 minutes: not free that day."""
    helper: bool = False
    """Somebody is there to help."""


class ShopSettings(Frozen):
    """Numbers that hold for the whole book."""

    currency: Currency = "$"
    """One currency per book, as a code of three letters like EUR (ISO 4217); amounts are never converted."""
    rate: Money | None = None
    """What an hour of one's own is counted at; None: not counted."""
    fair_rate: Money | None = None
    machine_rate: Price | None = None
    """What an hour of machine time costs, such as printing a part; None: not counted."""
    kerf: Length | None = None
    trim: Length | None = None
    thickness_tolerance: Length | None = None
    keep_length: Length | None = None
    """Long side from which a leftover of sheet or solid wood is kept; unknown: 300 mm."""
    keep_width: Length | None = None
    """Short side from which a leftover of sheet is kept; unknown: 50 mm."""
    keep_solid_width: Length | None = None
    """Short side from which a leftover of solid wood is kept; unknown: 40 mm."""
    keep_strip_length: Length | None = None
    """Length from which a leftover of strip is kept; unknown: 300 mm."""
    keep_veneer_length: Length | None = None
    """Long side from which a leftover of veneer is kept; unknown: 200 mm."""
    keep_veneer_width: Length | None = None
    """Short side from which a leftover of veneer is kept; unknown: 50 mm."""
    pile_months: Count = 24
    """A piece that lies unused for longer than this is looked at again."""
    pile_most: Count | None = None
    """How many pieces the pile holds at most; unknown: no limit."""
    price_old_months: Count = 6
    """A price older than this says so."""
    untouched_weeks: Count = 4
    """A unit not touched for longer than this says so."""
    time_zone: Text = ""
    """Where the hours of the plan hold, such as “Europe/Paris”; empty: as this computer says."""
    quiet_from: Text = ""
    """“20:30”: from here on no saw and no planing; empty: no quiet hours."""
    quiet_to: Text = ""
    """“08:00”."""
    delivery_days: Count = 9
    """Days that a part takes to come when it was not ordered, or its day is not known. Common practice, no source."""


class PlannedStart(Frozen):
    """Where one piece of work stands in the plan that was kept."""

    work: Name
    """`R1/B14.2`: the unit, the operation, and which of its times or pieces."""
    at: Moment


class Shop(Frozen):
    """The document beside the units."""

    settings: ShopSettings = Field(default_factory=ShopSettings)
    offcuts: tuple[Offcut, ...] = ()
    shelf: tuple[Consumable, ...] = ()
    tools: tuple[Tool, ...] = ()
    sellers: tuple[Seller, ...] = ()
    free_time: tuple[FreeTime, ...] = ()
    usual_work: tuple[UsualWork, ...] = ()
    """One's own usual pieces of work; one with the name of a usual one takes its place."""
    order_rules: tuple[OrderRule, ...] = ()
    """One's own rules of order; one with the code of a rule of the trade takes its place."""
    plan: tuple[PlannedStart, ...] = ()
    """The plan that was kept, so that a new one moves as little of it as it can."""
