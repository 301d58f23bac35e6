"""Work and money of a rebuild, as recorded: operations, parts, consumables, costs and comparators."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

from pydantic import AfterValidator

from logbook.model.base import Code, Count, Day, Frozen, Minutes, Moment, Name, StepCode, Text
from logbook.model.measures import AboveZero, Effort, Estimate, FromZero, Length, Money, Number
from logbook.model.step import Attachment, HoldPoint
from logbook.model.words import ComparatorKind, MixBy, Source, Supply, WorkState


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
    earliest: Minutes = 0
    """Before this nothing may follow."""
    clamped: Minutes | None = None
    """How much of it, from its start, it stays in the clamps or the press; None: all of it."""
    latest: Minutes | None = None
    """Up to this the next may follow without sanding; None: no limit."""
    after_sanding: Minutes | None = None
    """From this on it may follow once sanded; between the two it is forbidden."""
    wet: Minutes | None = None
    """How much of it, from its start, a finish is wet or its solvent in the air; None: all of it, a day at most."""


class Needs(Frozen):
    """What an operation ties up while it is done, and after it while it waits."""

    clamps: Count = 0
    press: Count = 0
    bench: Text = ""
    """“clean”, “dirty” or empty."""
    finishing_place: bool = False
    helper: bool = False
    quiet: bool = False
    """Cannot be done in quiet hours."""
    parts: tuple[Code, ...] = ()
    tools: tuple[Text, ...] = ()


class Operation(Frozen):
    """One piece of build or repair work."""

    code: Code
    name: Name
    effort: Effort | None = None
    """Busy time; None while nobody has estimated it."""
    after: tuple[Code, ...] = ()
    wait: Wait | None = None
    if_missed: Text = ""
    """Work that is inserted when the window was missed, such as a scuff-sand."""
    if_missed_minutes: Minutes | None = None
    needs: Needs | None = None
    produces: Text = ""
    traits: tuple[Text, ...] = ()
    """“dusty”, “wet finish”, “solvent”, “hot work”: what makes it clash with others."""
    hold: HoldPoint | None = None
    for_steps: tuple[StepCode, ...] = ()
    state: WorkState = WorkState.TO_DO
    done_at: Moment | None = None
    spent: Minutes | None = None
    """Busy time really used."""
    kind: Text = ""
    """The kind of work, such as “glue-up”: what took long before corrects the next of its kind. Empty: the name."""
    note: Text = ""
    times: Count = 1
    """How often it is done before it is done, such as four coats; the busy time is for all of them together."""
    between: Wait | None = None
    """The wait between two of these times; None: none."""
    times_done: Count = 0
    last_at: Moment | None = None
    """When the latest of these times ended."""
    pausable: bool = False
    """It can be laid down in the middle and taken up another day."""
    started_at: Moment | None = None
    """Since when it is being worked on; None: nobody is at it."""
    faces: tuple[Text, ...] = ()
    """Faces it works on or comes near: “show faces”, “inside”."""
    before_steps: tuple[StepCode, ...] = ()
    """Steps still to come off that wait for it, such as a seized bolt that soaks first."""
    stands_for: tuple[Text, ...] = ()
    """Work that follows from the record and that this is: “C-CH” the repair of CH, “A-all” the reassembly."""

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
    name: Name
    quantity: AboveZero
    unit: Text = ""
    """What the quantity counts: empty for pieces, else “m”, “m2”, “ml”."""
    source: Source = Source.BUY
    supply: Supply = Supply.NEEDED
    for_steps: tuple[StepCode, ...] = ()
    """Steps whose refit waits for it."""
    for_components: tuple[Code, ...] = ()
    fastener: Text = ""
    """The kind of fastener it renews; empty when it is no fastener."""
    only_if: Text = ""
    """The condition under which it is needed: “only if open”. Empty: needed in any case."""
    chance_percent: Percent | None = None
    """How likely the condition comes true; the price is then what it costs if it does. None: not said."""
    paid: Paid | None = None
    """What was really paid; from then on it is spent and not to come."""
    paid_on: Day | None = None
    price: Estimate | None = None
    """For the whole quantity as bought. None is unpriced, never zero."""
    price_on: Day | None = None
    seller: Text = ""
    pack: Text = ""
    pack_size: AboveZero | None = None
    """How many a pack holds, in the unit of the quantity, when units can share one; the price is for whole packs."""
    spare_of: Text = ""
    """Unit and component that it is taken from, such as “L1 SW”, when its source is another unit's spare."""
    ordered_on: Day | None = None
    expected_on: Day | None = None
    chase_on: Day | None = None
    attachments: tuple[Attachment, ...] = ()
    made_from: Text = ""
    mass_g: AboveZero | None = None
    """Mass of one, when it is made from something on the shelf that is counted by mass or volume."""
    machine: Minutes | None = None
    """Machine time for one; what an hour costs stands in the settings."""
    note: Text = ""


class UseTerm(Frozen):
    """One term of a consumable's need: amount x rate x coats, as area, length, joints or pieces.

    `rate` is what one unit of amount takes (g per m2); `coverage` is what one unit of the consumable
    covers (m2 per l). Exactly one of the two is given, or neither when the amount is the need itself.
    """

    what: Text = ""
    amount: Number
    per: Text = ""
    """Unit of the amount: “m2”, “m”, “joint”, empty for pieces."""
    rate: FromZero | None = None
    """What one of the amount takes, such as 200 g for a square metre."""
    coverage: AboveZero | None = None
    """What one unit of the consumable covers, such as 12 m2 for a litre."""
    times: Count = 1
    """Coats, or other repeats."""
    source: Text = ""
    """Where the rate or coverage comes from: the label on the tin, a table, a test piece."""


class MixShare(Frozen):
    """What is mixed into a consumable by parts: thinner into a finish, hardener into a resin."""

    consumable: Name
    """Name as on the shelf."""
    parts: AboveZero
    """Its parts; those of the consumable itself stand beside it."""
    price: Estimate | None = None
    """Cash for the packs to buy; without one the price of the pack on the shelf counts."""
    price_on: Day | None = None
    seller: Text = ""


class ConsumableUse(Frozen):
    """What a unit needs of one consumable on the shelf, with how it was computed."""

    code: Code
    consumable: Name
    """Name as on the shelf."""
    paid: Paid | None = None
    """What was really paid for its packs; from then on it is spent and not to come."""
    paid_on: Day | None = None
    unit: Text = ""
    """Unit of the need: “g”, “ml”, “l”, “m”, empty for pieces."""
    terms: tuple[UseTerm, ...] = ()
    waste_percent: FromZero | None = None
    parts: AboveZero | None = None
    """Its own parts of a mix; the terms then say how much of the mix is needed."""
    mixed_with: tuple[MixShare, ...] = ()
    """What is mixed into it, by parts."""
    parts_by: MixBy = MixBy.VOLUME
    """Whether the parts of the mix are measured or weighed. Mass against volume needs the densities of all."""
    price: Estimate | None = None
    """Cash for the packs to buy; None while unpriced. Zero is typed as 0."""
    price_on: Day | None = None
    seller: Text = ""
    used_on: Day | None = None
    """The day on which it was used up; from then on it is no need any more."""
    note: Text = ""


class CostLine(Frozen):
    """Cash still to spend that is neither a part nor a consumable, such as shipping."""

    code: Code
    name: Name
    only_if: Text = ""
    """The condition under which it comes. Empty: in any case."""
    chance_percent: Percent | None = None
    """How likely the condition comes true; the price is then what it costs if it does. None: not said."""
    paid: Paid | None = None
    """What was really paid; from then on it is spent and not to come."""
    paid_on: Day | None = None
    price: Estimate | None = None
    """None is unpriced, never zero."""
    price_on: Day | None = None
    seller: Text = ""
    parcel: bool = False
    """It is the shipping of one parcel from the seller: units that order there together share one."""
    note: Text = ""


class Spent(Frozen):
    """Money or time already gone; shown, never in the decision."""

    what: Name
    amount: Money | None = None
    minutes: Minutes | None = None
    on: Day | None = None


class SaleLine(Frozen):
    """Something that would be sold, and for how much."""

    what: Name
    price: Money


class Comparator(Frozen):
    """What could be bought or done instead."""

    code: Code
    kind: ComparatorKind
    what: Text = ""
    price: Money | None = None
    delivery: Money | None = None
    """Delivery, tax and disposal of the old together."""
    sales: tuple[SaleLine, ...] = ()
    fee_percent: Number | None = None
    ready: Text = ""
    """“3 days”."""
    risk: Text = ""
    price_on: Day | None = None
    seller: Text = ""


class StopLine(Frozen):
    """The limit of further cash, set before starting and changed only with a reason."""

    amount: Money
    why: Text = ""
    set_at: Moment | None = None


class Waiting(Frozen):
    """One stated reason why a unit stands still."""

    what: Name
    since: Day | None = None
    expected: Day | None = None
    chase: Day | None = None
    done: bool = False


class MakeOrBreak(Frozen):
    """A cheap test that decides the project before the expensive work."""

    what: Name
    minutes: Minutes | None = None
    before: Text = ""
    """What must not start before it."""
    passed: bool | None = None
    """None while it is open."""
    stop_if: Text = ""


class Tool(Frozen):
    """A limit of the shop, by number."""

    name: Name
    number: Count = 1
    length: Length | None = None
