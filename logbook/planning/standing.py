"""Where a unit stands: what the views over all units need of one, drawn from its record alone.

Nothing here depends on the day, the clock or another unit, so that it can be kept beside the record and shown years
later. Windows, waits and days come in when it is shown: `what_now`, `reminders`, `countdowns` and `at_rest` ask for it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import Field

from logbook.model.base import Code, Count, Frozen, Minutes, Moment, Name, Text, UnitCode
from logbook.model.shop import Shop
from logbook.model.unit import Arrival, Book, Unit
from logbook.model.words import Stage
from logbook.model.work import MakeOrBreak, Operation, Part, Waiting


class ToTest(Frozen):
    """A test that can be made at any time."""

    code: Text = ""
    """Code of the component; empty for a test that decides the job."""
    what: Text
    minutes: Minutes | None = None
    why: Text


class StepReady(Frozen):
    """A step that can come off, but for work that is still drying before it."""

    code: Code
    what: Text
    minutes: Minutes | None = None
    why: Text


class Following(Frozen):
    """Work that follows from the record and waits on nothing."""

    operation: Operation
    why: Text


class Earlier(Frozen):
    """What a rule of materials puts before an operation."""

    later: Text
    passed: bool
    done_at: Moment | None = None
    minutes: Count = 0
    """Least wait between the two."""
    why: Text
    """The rule."""


class JointSetting(Frozen):
    """A joint that a line of the reassembly made anew, and when it has set."""

    code: Text
    """Where it is ticked, “C05/D1”."""
    what: Text
    until: Moment


class LineToGoBack(Frozen):
    """The line of the list that goes back next, where no work stands for the reassembly or it waits on other work."""

    code: Text
    """Its key in the list, “T05”."""
    what: Text
    """“A06 refit nuts”."""
    minutes: Count | None = None
    """As usual for a line."""
    ready_from: Moment | None = None
    """When every wait that the record knows of is over; empty when it knows of none."""


class UnitStanding(Frozen):
    """Where one unit stands."""

    code: UnitCode
    name: Name
    stage: Stage
    next: Text
    """What is next, in words; empty when it waits, because those words depend on the day."""
    touched: Moment | None = None
    """When it was last worked on."""
    waiting: tuple[Waiting, ...] = ()
    """The stated reasons for which it stands still."""
    parts: tuple[Part, ...] = ()
    """Parts that are ordered, and those that work which could begin needs."""
    make_or_break: tuple[MakeOrBreak, ...] = ()
    operations: tuple[Operation, ...] = ()
    """What is begun or done, and what nothing in the record holds back."""
    frees: Mapping[str, int] = Field(default_factory=dict)
    """For each operation, how many others wait for it."""
    not_their_turn: tuple[Text, ...] = ()
    """Operations that make a joint anew whose line of the list comes after lines that are not done."""
    setting: tuple[JointSetting, ...] = ()
    """Joints of the reassembly that were made anew, with when each has set."""
    not_bought: Mapping[str, Text] = Field(default_factory=dict)
    """For each operation that puts all back together, what no part is listed for, in words."""
    earlier: tuple[Earlier, ...] = ()
    tests: tuple[ToTest, ...] = ()
    steps: tuple[StepReady, ...] = ()
    following: tuple[Following, ...] = ()
    goes_back: LineToGoBack | None = None
    stop_questions: tuple[Text, ...] = ()
    """One-way steps that come next without an answer to their stop question, in sentences."""
    batteries: tuple[Text, ...] = ()
    """What is still in it that leaks, in sentences."""
    incomplete: Text = ""
    """The first thing to complete at the desk, with the number of the others."""

    @property
    def unit(self) -> Unit:
        """The unit as far as it is known here; asked for anything else it raises AttributeError and guesses nothing."""
        arrival = Arrival.model_construct(make_or_break=self.make_or_break)
        known: dict[str, Any] = {"code": self.code, "name": self.name, "stage": self.stage, "touched": self.touched}
        known |= {"waiting": self.waiting, "operations": self.operations, "parts": self.parts, "arrival": arrival}
        unit = Unit.model_construct(**known)
        for name in unit.__dict__.keys() - known.keys():
            del unit.__dict__[name]
        return unit


@dataclass(frozen=True, slots=True)
class Whole:
    """Where all units of a book stand, and what they share."""

    shop: Shop
    standings: tuple[UnitStanding, ...]

    @property
    def units(self) -> dict[str, Unit]:
        """The units as far as they are known here, see `UnitStanding.unit`."""
        return {s.code: s.unit for s in self.standings}

    @property
    def book(self) -> Book:
        """The book as far as it is known here."""
        return Book.model_construct(shop=self.shop, units=self.units)
