"""The record of one salvaged unit: the whole of what is known about it, in one immutable value."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import Field

from logbook.model.base import Code, Count, Day, Frozen, Minutes, Moment, Name, StepCode, StepLetter, Text, UnitCode
from logbook.model.casework_records import Case, HeldDimension
from logbook.model.layout_records import KeptLayout
from logbook.model.measures import Estimate, Number
from logbook.model.shop import Shop
from logbook.model.step import Attachment, Disposal, Hazard, Measurement, Photo, Proof, Relation, Step
from logbook.model.words import Disposition, SetKind, Stage
from logbook.model.work import (
    Comparator,
    ConsumableUse,
    CostLine,
    MakeOrBreak,
    Operation,
    Part,
    Spent,
    StopLine,
    Waiting,
)


class Member(Frozen):
    """One of a set, with its own place and state."""

    code: Code
    """`D2`, `L`, `R`."""
    position: Text = ""
    """“second from the top”."""
    state: Text = ""
    note: Text = ""


class PartSet(Frozen):
    """Repeated identical things recorded once, or a handed pair."""

    code: Code
    name: Name
    kind: SetKind = SetKind.REPEATED
    members: tuple[Member, ...]
    interchangeable: bool = False
    """Only then may bags of members be merged."""
    whole_unit: bool = False
    """The unit itself is this set, such as a pair of lamps: a new step is for each of it unless it says “once”."""


class SubAssembly(Frozen):
    """A lump that came out and goes back as one, with an inside list of its own."""

    code: Code
    name: Name
    came_out_at: StepCode


class TestResult(Frozen):
    """A test of a component, and what it said."""

    __test__ = False

    what: Name
    result: Text = ""
    passed: bool | None = None
    at: Moment | None = None


class Component(Frozen):
    """A part or lump worth a name of its own."""

    code: Code
    name: Name
    quantity: Count = 1
    from_step: Text = ""
    """Code of the step at which it came out."""
    condition: Text = ""
    disposition: Disposition = Disposition.UNDECIDED
    repaired: bool = False
    """The cleaning or repair that its disposition asks for is done."""
    where_kept: Text = ""
    measurements: tuple[Measurement, ...] = ()
    tests: tuple[TestResult, ...] = ()
    price_to_replace: Estimate | None = None
    hazards: tuple[Hazard, ...] = ()
    disposal: Disposal | None = None
    photos: tuple[Photo, ...] = ()
    attachments: tuple[Attachment, ...] = ()
    note: Text = ""


class Question(Frozen):
    """Something to ask before the first screw, and what was answered."""

    what: Name
    answer: Text = ""
    """Empty while it is open."""


class Arrival(Frozen):
    """How it came: as found, from where, what was tested before the first screw."""

    as_found: Text = ""
    origin: Text = ""
    arrived_at: Moment | None = None
    object_class: Text = ""
    """The class whose usual hazards and questions apply: “valve radio”."""
    size: Text = ""
    questions: tuple[Question, ...] = ()
    tests: tuple[TestResult, ...] = ()
    make_or_break: tuple[MakeOrBreak, ...] = ()
    note: Text = ""


class BagCount(Frozen):
    """A bag counted at the refit that differs from the record, or agrees after a count."""

    bag: Text
    kind: Text
    recorded: Count
    counted: Count
    explained: Text = ""
    """Why it differs; the difference is open while this is empty."""
    at: Moment | None = None


class LineState(Frozen):
    """What was done at one line of the refit list. It belongs to a step, not to a line number."""

    line: Name
    """Key of the line: `T13`, `T13/D2` for one member, `T11:tighten`, `check`, `audit`."""
    done: bool = False
    at: Moment | None = None
    initials: Text = ""
    reading: Text = ""
    differs: Text = ""
    """“Different from plan”, in words."""
    step_seen: Text = ""
    """Mark of the step as it read when the line was ticked; another mark now means: look again."""
    override: Text = ""
    """Why it was ticked although something it needs was not ready."""


class Refit(Frozen):
    """The state of the reassembly."""

    lines: tuple[LineState, ...] = ()
    counts: tuple[BagCount, ...] = ()


class LeftAs(Frozen):
    """How a unit was left half apart: what whoever comes back, or somebody else, has to know."""

    held_by: Text = ""
    """What it stands on or is clamped in: “two clamps”."""
    loose: Text = ""
    """What is loose: “the chassis”."""
    way_up: Text = ""
    """Which way up it lies: “on its face”."""
    beware: Text = ""
    """What nobody may do: “turn it over”."""
    by: Text = ""
    """Initials of whoever left it."""
    at: Moment | None = None


class Unit(Frozen):
    """A salvaged unit. Every screen, list and figure is a pure function of this record."""

    code: UnitCode
    name: Name
    stage: Stage = Stage.ARRIVAL
    step_letter: StepLetter = "T"
    """The letter its step codes start with."""
    next_action: Text = ""
    """What to do next, when it is not what the record suggests."""
    why_stopped: Text = ""
    touched: Moment | None = None
    """When it was last worked on."""
    arrival: Arrival = Field(default_factory=Arrival)
    hazards: tuple[Hazard, ...] = ()
    proofs: tuple[Proof, ...] = ()
    """Dangers that were proved safe between the steps, the newest last; a step has those of its own."""
    left_as: LeftAs | None = None
    """How it was left last. Empty: nobody said."""
    steps: tuple[Step, ...] = ()
    """In the order in which they happened: a proven order."""
    relations: tuple[Relation, ...] = ()
    sets: tuple[PartSet, ...] = ()
    sub_assemblies: tuple[SubAssembly, ...] = ()
    components: tuple[Component, ...] = ()
    parts: tuple[Part, ...] = ()
    held_dimensions: tuple[HeldDimension, ...] = ()
    case: Case | None = None
    layouts: tuple[KeptLayout, ...] = ()
    """Where its parts lie on the pieces of the scrap pile, as chosen and as far as cut."""
    operations: tuple[Operation, ...] = ()
    consumables: tuple[ConsumableUse, ...] = ()
    cost_lines: tuple[CostLine, ...] = ()
    comparators: tuple[Comparator, ...] = ()
    stop_lines: tuple[StopLine, ...] = ()
    """The last one holds; the earlier ones are why it moved."""
    spent: tuple[Spent, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    minutes_worked: Minutes = 0
    owner_value: Number | None = None
    """What it is worth to its owner, as a number of its own."""
    refit: Refit = Field(default_factory=Refit)
    due: Day | None = None
    """When it is wanted; the plan counts a day after it ten times."""
    weight: Count = 1
    """How much its end matters in the plan, against 1 for any other unit."""
    photos: tuple[Photo, ...] = ()
    notes: Text = ""

    def step(self, code: str) -> Step | None:
        """The step of that code, or None."""
        return next((s for s in self.steps if s.code == code), None)

    def whole_set(self) -> PartSet | None:
        """The set that the unit itself is, such as a pair of lamps; None when it is one thing."""
        return next((s for s in self.sets if s.whole_unit), None)

    def set_of(self, step: Step) -> PartSet | None:
        """The set a step was recorded for, or None when it was recorded for one thing."""
        return next((s for s in self.sets if s.code == step.each_of), None) if step.each_of else None


class Book(Frozen):
    """All units and what they share, as one value."""

    shop: Shop = Field(default_factory=Shop)
    units: Mapping[str, Unit] = Field(default_factory=dict)
