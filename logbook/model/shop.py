"""What all units share: the scrap pile, the shelf, limits, settings and free hours."""

from __future__ import annotations

from pydantic import Field

from logbook.model.apart import ToLookAt
from logbook.model.base import ClockTime, Code, ComingDay, Count, Day, Frozen, Minutes, Moment, Name, Text, Weekday
from logbook.model.measures import AboveZero, Currency, Estimate, FromZero, Length, Money, Price
from logbook.model.usual_work import OrderRule, UsualWork
from logbook.model.words import Grain, PieceKind
from logbook.model.work import Tool


class Defect(Frozen):
    """An unusable rectangle of an offcut, measured from its corner, seen from face A."""

    x: Length
    """From the corner along the piece, “980”."""
    y: Length
    """From the corner across it, “0”."""
    length: Length
    """How long it is, “40”."""
    width: Length
    """How wide it is, “260”."""
    what: Text = ""
    """What is wrong there, “end split”."""


class Offcut(Frozen):
    """A piece of the scrap pile."""

    code: Code
    """The number written on it, “O01”."""
    material: Name
    """What it is, “12 ply”."""
    thickness: tuple[Length, ...] = ()
    """By calliper at up to three places, “11.8; 11.8; 11.9”. Empty: not measured."""
    length: Length
    """How long, “980”."""
    width: Length
    """How wide, “260”."""
    usable_length: Length | None = None
    """How long without bad ends, “940”."""
    usable_width: Length | None = None
    """How wide without bad edges, “250”."""
    defects: tuple[Defect, ...] = ()
    """Places that cannot be used."""
    grain: Grain = Grain.LENGTH
    """Which way its grain runs."""
    true_edges: Count = 0
    """How many of the long edge and one end are true already, “1”."""
    kind: PieceKind | None = None
    """Sheet, solid, strip or veneer. Not said: read from the material."""
    damp: bool = False
    """Not dry yet: it moves until it is."""
    place: Text = ""
    """Where it lies, “sheet rack”."""
    origin: Text = ""
    """Where it came from, “old wardrobe”."""
    reserved_for: Text = ""
    """For which unit and for what, “C1 runners”. A second promise after a semicolon."""
    value: Money | None = None
    """What it is worth, “4.50”."""
    since: Day | None = None
    """Since when it lies here, “12 Mar”."""
    note: Text = ""
    """Anything else, “one face painted”."""


class Pack(Frozen):
    """What a pack of a consumable holds and costs."""

    size: AboveZero
    """How much it holds, “500”."""
    price: Price
    """What it costs, “9.50”."""
    price_on: Day | None = None
    """When that price was seen, “12 Mar”."""
    seller: Text = ""
    """From whom, “hardware counter”."""


class Consumable(Frozen):
    """Something used up, on the shelf."""

    name: Name
    """What it is, “PVA glue”."""
    unit: Text = ""
    """What is counted, “ml”. Empty: pieces."""
    pack: Pack | None = None
    """What a pack holds and costs, “500 9.50”."""
    stock: FromZero
    """How much is on the shelf, “250”."""
    packs_ordered: Count = 0
    """Packs that are ordered and not here, “1”."""
    ordered_on: Day | None = None
    """When they were ordered, “12 Mar”."""
    density: AboveZero | None = None
    """Grams per millilitre, “1.1”."""
    opened_on: Day | None = None
    """When it was opened, “12 Mar”."""
    keeps_months: Count | None = None
    """How many months it keeps once opened, “12”."""
    place: Text = ""
    """Where it stands, “frost-free shelf”."""
    note: Text = ""
    """Anything else, “no frost”."""


class Seller(Frozen):
    """Where things are bought, and what a parcel from there costs."""

    name: Name
    """Who sells, “spares by post”."""
    shipping: Estimate | None = None
    """What a parcel costs, “4.95”. Fetched by yourself: 0. Empty: not known."""
    free_from: Price | None = None
    """From goods for so much a parcel costs nothing, “50”."""
    days: Count | None = None
    """Days until a parcel is here, “3”."""
    note: Text = ""
    """Anything else, “closed on Mondays”."""


class FreeTime(Frozen):
    """Hours in which work can be done, on a weekday (1 is Monday) or a single date."""

    weekday: Weekday | None = None
    """On which day of every week, “Tue”."""
    on: ComingDay | None = None
    """On one single day, “1 Dec”; it takes the place of the weekly hours."""
    start: ClockTime
    """From when, “18:00”."""
    minutes: Minutes
    """How long, “2 h”. 0: not free that day."""
    helper: bool = False
    """Somebody is there to help."""


class ShopSettings(Frozen):
    """Numbers that hold for the whole book."""

    currency: Currency = "$"
    """The currency of this book, “EUR”. Amounts are never converted."""
    rate: Money | None = None
    """What an hour of your own counts, “12”. Empty: not counted."""
    fair_rate: Money | None = None
    """What an hour would cost elsewhere, “35”."""
    machine_rate: Price | None = None
    """What an hour of machine time costs, “0.40”. Empty: not counted."""
    kerf: Length | None = None
    """How wide the saw cuts, “3”."""
    trim: Length | None = None
    """What truing an edge takes off, “5”."""
    thickness_tolerance: Length | None = None
    """How much two pieces may differ in thickness, “0.2”."""
    keep_length: Length | None = None
    """A leftover of sheet or solid wood is kept from this long, “300”. Empty: 300 mm."""
    keep_width: Length | None = None
    """A leftover of sheet is kept from this wide, “50”. Empty: 50 mm."""
    keep_solid_width: Length | None = None
    """A leftover of solid wood is kept from this wide, “40”. Empty: 40 mm."""
    keep_strip_length: Length | None = None
    """A leftover of strip is kept from this long, “300”. Empty: 300 mm."""
    keep_veneer_length: Length | None = None
    """A leftover of veneer is kept from this long, “200”. Empty: 200 mm."""
    keep_veneer_width: Length | None = None
    """A leftover of veneer is kept from this wide, “50”. Empty: 50 mm."""
    pile_months: Count = 24
    """A piece that lies longer is looked at again, in months, “24”."""
    pile_most: Count | None = None
    """How many pieces the pile holds at most, “40”. Empty: no limit."""
    price_old_months: Count = 6
    """A price older than so many months says so, “6”."""
    untouched_weeks: Count = 4
    """A job not touched for so many weeks says so, “4”."""
    time_zone: Text = ""
    """Where the hours of the plan hold, “Europe/Paris”. Empty: as this computer says."""
    quiet_from: ClockTime = ""
    """No saw and no planing from here on, “20:30”. Empty: no quiet hours."""
    quiet_to: ClockTime = ""
    """Quiet until here, “08:00”."""
    delivery_days: Count = 9
    """Days a part takes when its day is not known, “9”. Common practice, no source."""


class PlannedStart(Frozen):
    """Where one piece of work stands in the plan that was kept."""

    work: Name
    """`R1/B14.2`: the unit, the operation, and which of its times or pieces."""
    at: Moment


class Shop(Frozen):
    """The document beside the units."""

    settings: ShopSettings = Field(default_factory=ShopSettings)
    """Numbers that hold for the whole book."""
    offcuts: tuple[Offcut, ...] = ()
    """Pieces of the scrap pile."""
    shelf: tuple[Consumable, ...] = ()
    """What is used up: glue, finish, abrasive, jars of screws."""
    tools: tuple[Tool, ...] = ()
    """How many clamps, presses and benches there are."""
    sellers: tuple[Seller, ...] = ()
    """Where things are bought, and what a parcel costs."""
    free_time: tuple[FreeTime, ...] = ()
    """Hours in which there is time to work."""
    usual_work: tuple[UsualWork, ...] = ()
    """Your own usual pieces of work; one with the name of a usual one takes its place."""
    order_rules: tuple[OrderRule, ...] = ()
    """Your own rules of order; one with the code of a rule of the trade takes its place."""
    plan: tuple[PlannedStart, ...] = ()
    """The plan that was kept, so that a new one moves as little of it as it can."""
    to_look_at: tuple[ToLookAt, ...] = ()
    """What joining two copies left to a person."""
