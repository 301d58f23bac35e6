"""The records of the bill of materials: its groups, its lines, and the whole."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from logbook.model.measures import Estimate
from logbook.model.members import called_for
from logbook.model.words import Source, Supply


class BillGroup(StrEnum):
    """The groups of the bill, in the order in which they stand."""

    COMPONENT = "components to renew or repair"
    FASTENER = "fasteners"
    PANEL = "panels"
    LEAF = "veneer"
    STRIP = "strips and blocks"
    CONSUMABLE = "consumables"
    PART = "parts"
    MADE = "newly made"
    OTHER = "other costs"


@dataclass(frozen=True, slots=True)
class BillLine:
    """One thing of the bill."""

    group: BillGroup
    code: str
    """Code in the record of a part, component, consumable or cost; empty for what is summed up."""
    name: str
    quantity: Decimal | None
    """In `unit`, to four places; None while it cannot be computed."""
    unit: str
    """Empty for pieces."""
    source: Source | None
    here: bool
    """All of it is here; nothing has to be got."""
    price: Estimate | None
    """What is still to be paid for the line, with its chance; None is unpriced, shown as “?”."""
    how: str
    """How the quantity was computed, in a sentence."""
    price_on: date | None = None
    seller: str = ""
    pack: str = ""
    used_in: tuple[str, ...] = ()
    """Codes of the steps, panels or components that it is for."""
    supply: Supply = Supply.NEEDED
    conditional: str = ""
    """The condition under which it is needed; empty: in any case."""
    used_up: Decimal | None = None
    """Cost of what this job uses of it, where that is not the price: a share of a pack, or of stock."""
    used_before: bool = False
    """It was used up before: what it cost is no cost of what is still to come."""
    share: Fraction | None = None
    """The share of one pack that is used."""
    rest: str = ""
    """What is left of the packs to buy and becomes stock, in words."""
    price_age: str = ""
    """What is wrong with the age of the price: it has no date, or is too old; empty when nothing is."""
    chance: Fraction | None = None
    """The stated chance, from 0 to 1, that its condition comes true; None: not stated."""
    when_needed: Estimate | None = None
    """What it costs if it is needed, when a chance is stated."""
    is_shipping: bool = False
    """It is the shipping of a parcel."""
    member: str = ""
    """Which one of a set it is for, in words: `left`; empty: all of it."""
    to_repair: bool = False
    """It is here and its repair is not done."""

    @property
    def is_ready(self) -> bool:
        """Whether it is here and nothing has to be done to it: its box is ticked."""
        return self.here and not self.to_repair

    @property
    def called(self) -> str:
        """Its name, with the member that it is for beside it: `lamp holder, left`."""
        return called_for(self.name, self.member)


@dataclass(frozen=True, slots=True)
class BillOfMaterials:
    """The whole bill of a unit."""

    lines: tuple[BillLine, ...]
    machine_minutes: int
    """Machine time of the parts still to be made."""

    def of(self, group: BillGroup) -> tuple[BillLine, ...]:
        """The lines of one group, in order."""
        return tuple(x for x in self.lines if x.group is group)

    @property
    def to_get(self) -> tuple[BillLine, ...]:
        """The lines of which something is not here."""
        return tuple(x for x in self.lines if not x.here)
