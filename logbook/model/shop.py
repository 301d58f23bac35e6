"""What all units share: the scrap pile, the shelf, limits, settings and free hours."""

from __future__ import annotations

from pydantic import Field

from logbook.model.base import Code, Count, Day, Frozen, Minutes, Moment, Name, Text
from logbook.model.measures import Length, Money, Number
from logbook.model.usual import OrderRule, UsualWork
from logbook.model.words import Grain
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
    place: Text = ""
    origin: Text = ""
    """Where it came from, or the code of the piece it is left over from."""
    reserved_for: Text = ""
    """Code of the unit it is promised to, and for what."""
    value: Money | None = None
    since: Day | None = None
    note: Text = ""


class Pack(Frozen):
    """What a pack of a consumable holds and costs."""

    size: Number
    price: Money
    price_on: Day | None = None
    seller: Text = ""


class Consumable(Frozen):
    """Something used up, on the shelf."""

    name: Name
    unit: Text = ""
    """“ml”, “g”, “m”, empty for pieces."""
    pack: Pack | None = None
    stock: Number
    """What is on the shelf, in its unit."""
    density: Number | None = None
    """Grams per millilitre, where a need in grams meets a pack in millilitres."""
    opened_on: Day | None = None
    keeps_months: Count | None = None
    """Shelf life once opened."""
    place: Text = ""
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

    currency: Name = "$"
    """One currency per book, as it is written before an amount."""
    rate: Money | None = None
    """What an hour of one's own is counted at; None: not counted."""
    fair_rate: Money | None = None
    kerf: Length | None = None
    trim: Length | None = None
    thickness_tolerance: Length | None = None
    keep_length: Length | None = None
    keep_width: Length | None = None
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
    free_time: tuple[FreeTime, ...] = ()
    usual_work: tuple[UsualWork, ...] = ()
    """One's own usual pieces of work; one with the name of a usual one takes its place."""
    order_rules: tuple[OrderRule, ...] = ()
    """One's own rules of order; one with the code of a rule of the trade takes its place."""
    plan: tuple[PlannedStart, ...] = ()
    """The plan that was kept, so that a new one moves as little of it as it can."""
