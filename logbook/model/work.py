"""Work and money of a rebuild, as recorded: operations, parts, consumables, costs and comparators."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import AfterValidator

from logbook.model.base import Code, ComingDay, Count, Day, Frozen, Minutes, Moment, Name, StepCode, Text
from logbook.model.measures import AboveZero, Effort, Estimate, FromZero, Length, Money, Number
from logbook.model.step import Attachment, HoldPoint
from logbook.model.words import ComparatorKind, Measure, MixBy, Source, Supply, WorkState


def _percent(value: Decimal) -> Decimal:
    if not 0 <= value <= 100:
        raise ValueError(f"a chance is from 0 to 100 %, and {value} is not")
    return value


def _not_negative(value: Decimal) -> Decimal:
    if value < 0:
        raise ValueError(f"what was paid is from 0 up, and {value} is not")
    return value


Percent = Annotated[Number, AfterValidator(_percent)]
"""A chance from 0 to 100."""

Paid = Annotated[Money, AfterValidator(_not_negative)]
"""An amount that was paid, never below zero."""


class Wait(Frozen):
    """The passive time after an operation, as three numbers, because a recoat window is not one."""

    what: Text = ""
    """What is waited for, “glue sets”."""
    earliest: Minutes = 0
    """Nothing may follow before this, “12 h”."""
    clamped: Minutes | None = None
    """How long of it in the clamps, “1 h”. Empty: all of it."""
    latest: Minutes | None = None
    """Next coat within this time needs no sanding, “24 h”. Empty: no limit."""
    after_sanding: Minutes | None = None
    """From here on it may follow once sanded, “72 h”."""
    wet: Minutes | None = None
    """How long it is wet or smells, “8 h”. Empty: all of it, a day at most."""


class Needs(Frozen):
    """What an operation ties up while it is done, and after it while it waits."""

    clamps: Count = 0
    """How many clamps, “4”."""
    press: Count = 0
    """How many presses, “1”."""
    bench: Text = ""
    """Which bench, “clean” or dirty."""
    finishing_place: bool = False
    """It needs the place for finishing."""
    helper: bool = False
    """It needs a second person."""
    quiet: bool = False
    """It is loud: not in quiet hours."""
    parts: tuple[Code, ...] = ()
    """Codes of parts that must be here, “N1; N2”."""
    tools: tuple[Text, ...] = ()
    """Tools it needs, “router; 8 mm bit”."""


class Operation(Frozen):
    """One piece of build or repair work."""

    code: Code
    """Its short code, “B01”."""
    name: Name
    """What is done, “glue up the sides”."""
    effort: Effort | None = None
    """Hands-on time, “20 min”, or low, likely, high “20 / 30 / 60”. Empty: not known."""
    after: tuple[Code, ...] = ()
    """Codes of the work that comes first, “B01; B02”."""
    wait: Wait | None = None
    """How long to wait afterwards, “12 h”."""
    if_missed: Text = ""
    """What to do when the time for the next was missed, “scuff-sand”."""
    if_missed_minutes: Minutes | None = None
    """How long that takes, “30 min”."""
    needs: Needs | None = None
    """What it ties up: clamps, press, bench."""
    produces: Text = ""
    """What comes of it, “two sides”."""
    traits: tuple[Text, ...] = ()
    """What makes it clash with other work, “dusty; hot work”."""
    hold: HoldPoint | None = None
    """A check that work does not pass without."""
    for_steps: tuple[StepCode, ...] = ()
    """Codes of the steps whose refit waits for it, “T11”."""
    state: WorkState = WorkState.TO_DO
    """How far it has come."""
    done_at: Moment | None = None
    """When it was done, “12 Mar 20:41”."""
    spent: Minutes | None = None
    """Hands-on time it really took, “45 min”."""
    kind: Text = ""
    """The kind of work, “glue-up”; the next of its kind learns from it. Empty: the name."""
    note: Text = ""
    """Anything else, “mask the inside first”."""
    times: Count = 1
    """How often it is done, such as coats, “4”; its time is for all together."""
    between: Wait | None = None
    """How long to wait between two of these, “4 h”."""
    times_done: Count = 0
    """How often it is done already, “1”."""
    last_at: Moment | None = None
    """When the latest ended, “12 Mar 20:41”."""
    pausable: bool = False
    """It can be laid down in the middle and taken up another day."""
    started_at: Moment | None = None
    """Since when somebody is at it, “12 Mar 20:41”."""
    faces: tuple[Text, ...] = ()
    """Faces it works on or comes near, “show faces”."""
    before_steps: tuple[StepCode, ...] = ()
    """Codes of steps still to come off that wait for it, “T14”."""
    stands_for: tuple[Text, ...] = ()
    """Work that follows from the record and that this is, “C-CH” the repair of CH."""
    apart_from: tuple[Text, ...] = ()
    """Work that follows from the record and is called alike, but is another, “C-CH”."""

    @property
    def hold_lacks(self) -> tuple[str, ...]:
        """What its hold point still wants before work may go past it; nothing when it has none."""
        return () if self.hold is None else self.hold.lacks(self.hold.reading, self.hold.initials)

    @property
    def passed(self) -> bool:
        """Whether it is done and work may go past it: its hold point, if it has one, is read and initialled."""
        return self.state is WorkState.DONE and not self.hold_lacks


class Part(Frozen):
    """A part that the refit needs and that is not the old one: bought, newly made, or from elsewhere.

    A part newly made carries its drawing or model file, its material and machine time.
    """

    code: Code
    """Its short code, “N1”."""
    name: Name
    """What it is, “mains cord”."""
    quantity: AboveZero
    """How many or how much, “2”."""
    unit: Text = ""
    """What is counted, “m”. Empty: pieces."""
    source: Source = Source.BUY
    """Where it comes from."""
    supply: Supply = Supply.NEEDED
    """How far it has come."""
    for_steps: tuple[StepCode, ...] = ()
    """Codes of the steps whose refit waits for it, “T11; T12”."""
    member: Text = ""
    """For which one of a set, by its code, “L”. Empty: for all of it."""
    for_components: tuple[Code, ...] = ()
    """Codes of the components it belongs to, “V1”."""
    fastener: Text = ""
    """The fastener it renews, “bolt M5x35”."""
    only_if: Text = ""
    """When it is needed at all, “only if open”. Empty: in any case."""
    chance_percent: Percent | None = None
    """How likely that is, in percent, “30”."""
    paid: Paid | None = None
    """What was really paid, “6.50”. From then on it is spent."""
    paid_on: Day | None = None
    """When it was paid, “12 Mar”."""
    price: Estimate | None = None
    """For all of it, “8.40” or low, likely, high “6 / 8.40 / 12”. Empty: not known."""
    price_on: Day | None = None
    """When that price was seen, “12 Mar”."""
    seller: Text = ""
    """From whom, “spares by post”."""
    pack: Text = ""
    """How it is sold, “bag of 10”."""
    pack_size: AboveZero | None = None
    """How many a pack holds, “10”; the price is then for whole packs."""
    spare_of: Text = ""
    """Whose spare it is, “L1 SW”."""
    ordered_on: Day | None = None
    """When it was ordered, “12 Mar”."""
    expected_on: ComingDay | None = None
    """When it should be here, “in 2 weeks”."""
    chase_on: ComingDay | None = None
    """When to ask after it, “1 Dec”."""
    attachments: tuple[Attachment, ...] = ()
    """Drawings and model files."""
    made_from: Text = ""
    """What it is made from, “PLA filament”."""
    mass_g: AboveZero | None = None
    """How heavy one is, in grams, “12”."""
    machine: Minutes | None = None
    """Machine time for one, “2 h”."""
    note: Text = ""
    """Anything else, “the old one was 2 m”."""


class UseTerm(Frozen):
    """One term of a consumable's need: amount x rate x coats, as area, length, joints or pieces.

    `rate` is what one unit of amount takes (g per m2); `coverage` is what one unit of the consumable
    covers (m2 per l). Exactly one of the two is given, or neither when the amount is the need itself.
    """

    what: Text = ""
    """What it is for, “both faces”."""
    amount: Number
    """How much there is of it, “0.6”. Of what the case measures: how many times, “2”."""
    measure: Measure | None = None
    """What of the case is measured for it, “joint faces”. Empty: the amount is as typed."""
    per: Text = ""
    """What is counted, “m2”. Empty: pieces."""
    rate: FromZero | None = None
    """What one of it takes, “200”."""
    coverage: AboveZero | None = None
    """How far one unit of it goes, “12”."""
    times: Count = 1
    """How many coats, “3”."""
    source: Text = ""
    """Where the number comes from, “label on the tin”."""


class MixShare(Frozen):
    """What is mixed into a consumable by parts: thinner into a finish, hardener into a resin."""

    consumable: Name
    """What is mixed in, as it is called on the shelf, “thinner”."""
    parts: AboveZero
    """How many parts of it, “1”."""
    price: Estimate | None = None
    """What the packs to buy cost, “7.50”. Empty: as on the shelf."""
    price_on: Day | None = None
    """When that price was seen, “12 Mar”."""
    seller: Text = ""
    """From whom, “hardware counter”."""


class ConsumableUse(Frozen):
    """What a unit needs of one consumable on the shelf, with how it was computed."""

    code: Code
    """Its short code, “U1”."""
    consumable: Name
    """What it is, as it is called on the shelf, “PVA glue”."""
    paid: Paid | None = None
    """What was really paid, “9.50”. From then on it is spent."""
    paid_on: Day | None = None
    """When it was paid, “12 Mar”."""
    unit: Text = ""
    """What is counted, “ml”. Empty: pieces."""
    terms: tuple[UseTerm, ...] = ()
    """What it is needed for, and how much."""
    waste_percent: FromZero | None = None
    """How much is lost, in percent, “10”."""
    parts: AboveZero | None = None
    """Its own parts of a mix, “4”."""
    mixed_with: tuple[MixShare, ...] = ()
    """What is mixed into it, by parts."""
    parts_by: MixBy = MixBy.VOLUME
    """Whether the parts are measured or weighed."""
    price: Estimate | None = None
    """What the packs to buy cost, “9.50”. Empty: not known; free is 0."""
    price_on: Day | None = None
    """When that price was seen, “12 Mar”."""
    seller: Text = ""
    """From whom, “hardware counter”."""
    used_on: Day | None = None
    """When it was used up, “12 Mar”. From then on it is not needed any more."""
    note: Text = ""
    """Anything else, “the clear one”."""


class CostLine(Frozen):
    """Cash still to spend that is neither a part nor a consumable, such as shipping."""

    code: Code
    """Its short code, “K1”."""
    name: Name
    """What it is, “shipping”."""
    only_if: Text = ""
    """When it comes at all, “only if open”. Empty: in any case."""
    chance_percent: Percent | None = None
    """How likely that is, in percent, “30”."""
    paid: Paid | None = None
    """What was really paid, “7.95”. From then on it is spent."""
    paid_on: Day | None = None
    """When it was paid, “12 Mar”."""
    price: Estimate | None = None
    """What it costs, “7.95” or low, likely, high “6 / 7.95 / 12”. Empty: not known."""
    price_on: Day | None = None
    """When that price was seen, “12 Mar”."""
    seller: Text = ""
    """From whom, “spares by post”."""
    parcel: bool = False
    """It is the shipping of a parcel; objects that order there together share it."""
    note: Text = ""
    """Anything else, “weighs under 2 kg”."""


class Spent(Frozen):
    """Money or time already gone; shown, never in the decision."""

    what: Name
    """On what, “stripping solvent”."""
    amount: Money | None = None
    """How much money, “12.50”."""
    minutes: Minutes | None = None
    """How much time, “45 min”."""
    on: Day | None = None
    """When, “12 Mar”."""


class SaleLine(Frozen):
    """Something that would be sold, and for how much."""

    what: Name
    """What would be sold, “pair of knobs”."""
    price: Money
    """For how much, “15”."""


class Comparator(Frozen):
    """What could be bought or done instead."""

    code: Code
    """Its short code, “X1”."""
    kind: ComparatorKind
    """Buy new, buy used, or sell."""
    what: Text = ""
    """What exactly, “new kitchen radio”."""
    price: Money | None = None
    """What it costs or brings, “120”."""
    delivery: Money | None = None
    """Delivery, tax and disposal of the old together, “21.40”."""
    sales: tuple[SaleLine, ...] = ()
    """What would be sold, and for how much."""
    fee_percent: Number | None = None
    """What selling costs, in percent, “10”."""
    ready: Text = ""
    """How soon it is there, “3 days”."""
    risk: Text = ""
    """What can go wrong, “no returns”."""
    price_on: Day | None = None
    """When that price was seen, “12 Mar”."""
    seller: Text = ""
    """From whom, “hardware counter”."""


class StopLine(Frozen):
    """The limit of further cash, set before starting and changed only with a reason."""

    amount: Money
    """How much more cash at most, “100”."""
    why: Text = ""
    """Why so much, “a new one costs 140”."""
    set_at: Moment | None = None
    """When that was settled, “12 Mar 20:41”."""
    least_rate: Money | None = None
    """The lowest pay per hour that is still worth it, “4”. Empty: no such rule."""
    months_at_rest: Count | None = None
    """So many months untouched are too many, “12”. Empty: no such rule."""


class Waiting(Frozen):
    """One stated reason why a unit stands still."""

    what: Name
    """What it waits for, “bearings”."""
    since: Day | None = None
    """Since when, “12 Mar”."""
    expected: ComingDay | None = None
    """When it should end, “Fri”."""
    chase: ComingDay | None = None
    """When to ask after it, “in 3 days”."""
    done: bool = False
    """It is over."""


class MakeOrBreak(Frozen):
    """A cheap test that decides the project before the expensive work."""

    what: Name
    """The cheap test, “transformer windings continuous”."""
    minutes: Minutes | None = None
    """How long it takes, “20 min”."""
    before: Text = ""
    """What must not start before it, “cutting the case”."""
    passed: bool | None = None
    """Whether it passed. Not said: still open."""
    stop_if: Text = ""
    """When to give the job up, “both windings open”."""


class Tool(Frozen):
    """A limit of the shop, by number."""

    name: Name
    """What there is, “clamps”."""
    number: Count = 1
    """How many, “10”."""
    length: Length | None = None
    """How far it reaches, “600”."""
