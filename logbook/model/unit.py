"""The record of one salvaged unit: the whole of what is known about it, in one immutable value."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import Field

from logbook.model.apart import ToLookAt
from logbook.model.base import (
    Code,
    ComingDay,
    Count,
    Frozen,
    Minutes,
    Moment,
    Name,
    StepCode,
    StepLetter,
    Text,
    UnitCode,
)
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
    """Its short name, “D2” or “left”."""
    position: Text = ""
    """Where it sits, “second from the top”."""
    state: Text = ""
    """How it is, “runner worn”."""
    note: Text = ""
    """Anything else, “smells of oil”."""


class PartSet(Frozen):
    """Repeated identical things recorded once, or a handed pair."""

    code: Code
    """Its short code, “D”."""
    name: Name
    """What they are, “drawers”."""
    kind: SetKind = SetKind.REPEATED
    """Several alike, or a left and a right one."""
    members: tuple[Member, ...]
    """Their short names, “D1, D2, D3”."""
    interchangeable: bool = False
    """One may take the place of another; only then may their bags be merged."""
    whole_unit: bool = False
    """The unit itself is this set, such as a pair of lamps."""


class SubAssembly(Frozen):
    """A lump that came out and goes back as one, with an inside list of its own."""

    code: Code
    """Its short code, “A1”."""
    name: Name
    """What it is, “chassis”."""
    came_out_at: StepCode
    """Code of the step at which it came out, “T11”."""


class TestResult(Frozen):
    """A test of a component, and what it said."""

    __test__ = False

    what: Name
    """What is tested, “heater continuity”."""
    result: Text = ""
    """What it said, “open” or a reading."""
    passed: bool | None = None
    """Whether it passed. Not said: not tested yet."""
    at: Moment | None = None
    """When it was tested, “12 Mar 20:41”."""


class Component(Frozen):
    """A part or lump worth a name of its own."""

    code: Code
    """Its short code, “V1”."""
    name: Name
    """What it is, “output transformer”."""
    quantity: Count = 1
    """How many, “1”."""
    from_step: Text = ""
    """Code of the step at which it came out, “T11”."""
    member: Text = ""
    """For which one of a set, by its code, “L”. Empty: for all of it."""
    condition: Text = ""
    """How it is, “dusty, winding open”."""
    disposition: Disposition = Disposition.UNDECIDED
    """What will become of it."""
    repaired: bool = False
    """The cleaning or repair it needs is done."""
    where_kept: Text = ""
    """Where it lies now, “box 2”."""
    measurements: tuple[Measurement, ...] = ()
    """What was measured on it."""
    tests: tuple[TestResult, ...] = ()
    """What was tested on it."""
    price_to_replace: Estimate | None = None
    """What a new one would cost, “38” or “30 / 38 / 45”."""
    hazards: tuple[Hazard, ...] = ()
    """What can hurt someone at it."""
    disposal: Disposal | None = None
    """Where and when it was handed in."""
    photos: tuple[Photo, ...] = ()
    """Pictures of it."""
    attachments: tuple[Attachment, ...] = ()
    """Drawings and model files."""
    note: Text = ""
    """Anything else, “kept as a pattern”."""


class Question(Frozen):
    """Something to ask before the first screw, and what was answered."""

    what: Name
    """What to ask, “did it ever work?”."""
    answer: Text = ""
    """What was answered, “until last winter”. Leave empty until answered."""


class Arrival(Frozen):
    """How it came: as found, from where, what was tested before the first screw."""

    as_found: Text = ""
    """How it looked and sounded when it came, “dead, dial cord broken”."""
    origin: Text = ""
    """Where it came from, “house clearance”."""
    arrived_at: Moment | None = None
    """When it came, “12 Mar 18:30”."""
    object_class: Text = ""
    """What kind of object it is, for its usual hazards and questions, “valve radio”."""
    size: Text = ""
    """How big and heavy, “50 x 32 x 25 cm, 8 kg”."""
    questions: tuple[Question, ...] = ()
    """What to ask before the first screw, and the answers."""
    tests: tuple[TestResult, ...] = ()
    """What was tried before anything was opened."""
    make_or_break: tuple[MakeOrBreak, ...] = ()
    """Cheap tests that decide the job before the expensive work."""
    note: Text = ""
    """Anything else about how it came, “stood in a damp shed”."""


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
    """Key of the line: `T13`, `T13/D2` for one member, `T11:tighten`, `T12:first`, `check`, `audit`."""
    done: bool = False
    at: Moment | None = None
    initials: Text = ""
    reading: Text = ""
    differs: Text = ""
    """“Different from plan”, in words."""
    step_seen: Text = ""
    """Mark of what the line said when it was ticked; another mark now means: look again."""
    override: Text = ""
    """Why it was ticked although something it needs was not ready."""


class Refit(Frozen):
    """The state of the reassembly."""

    lines: tuple[LineState, ...] = ()
    counts: tuple[BagCount, ...] = ()


class LeftAs(Frozen):
    """How a unit was left half apart: what whoever comes back, or somebody else, has to know."""

    held_by: Text = ""
    """What it stands on or is clamped in, “two clamps”."""
    loose: Text = ""
    """What is loose, “the chassis”."""
    way_up: Text = ""
    """Which way up it lies, “on its face”."""
    beware: Text = ""
    """What nobody may do, “turn it over”."""
    by: Text = ""
    """Initials of whoever left it, “AB”."""
    at: Moment | None = None
    """When it was left, “12 Mar 20:41”."""


class Unit(Frozen):
    """A salvaged unit. Every screen, list and figure is a pure function of this record."""

    code: UnitCode
    """The short code on every bag and box, “R1”."""
    name: Name
    """What it is, “table radio”."""
    stage: Stage = Stage.ARRIVAL
    """Where the job stands now."""
    step_letter: StepLetter = "T"
    """The letter its step codes start with."""
    next_action: Text = ""
    """What to do next, “dry fit the sides”. Empty: as the record suggests."""
    why_stopped: Text = ""
    """Why nobody goes on with it, “no valve to be had”."""
    touched: Moment | None = None
    """When it was last worked on."""
    arrival: Arrival = Field(default_factory=Arrival)
    """How it came in: as found, from where, what was tested first."""
    hazards: tuple[Hazard, ...] = ()
    """What can hurt someone here, shown before every step."""
    proofs: tuple[Proof, ...] = ()
    """Dangers that were proved safe between the steps, the newest last."""
    left_as: LeftAs | None = None
    """How it was left last. Empty: nobody said."""
    steps: tuple[Step, ...] = ()
    """What came off, in the order in which it happened."""
    relations: tuple[Relation, ...] = ()
    """What must, or should, come off before what."""
    sets: tuple[PartSet, ...] = ()
    """Things of which there are several alike, such as drawers, or a handed pair."""
    sub_assemblies: tuple[SubAssembly, ...] = ()
    """Lumps that came out as one and go back as one."""
    components: tuple[Component, ...] = ()
    """Parts worth a name of their own: test, keep, clean, repair."""
    parts: tuple[Part, ...] = ()
    """What must be got or made for the refit."""
    held_dimensions: tuple[HeldDimension, ...] = ()
    """Sizes of the old case that must not change."""
    case: Case | None = None
    """The case to be built: panels, strips, openings."""
    layouts: tuple[KeptLayout, ...] = ()
    """Where its parts lie on the pieces of the scrap pile, as chosen and as far as cut."""
    operations: tuple[Operation, ...] = ()
    """The work of the rebuild, with its waits."""
    consumables: tuple[ConsumableUse, ...] = ()
    """Glue, finish, abrasive: what this job takes of them."""
    cost_lines: tuple[CostLine, ...] = ()
    """Cash still to come that is no part, such as shipping."""
    comparators: tuple[Comparator, ...] = ()
    """What could be bought or done instead."""
    stop_lines: tuple[StopLine, ...] = ()
    """How much more cash at most; the last one holds."""
    spent: tuple[Spent, ...] = ()
    """Money and time already gone; not part of the decision."""
    waiting: tuple[Waiting, ...] = ()
    """Why it stands still, and until when."""
    minutes_worked: Minutes = 0
    """Hands-on time so far, “2:30 h”."""
    owner_value: Number | None = None
    """What it is worth to its owner, as one amount, “150”."""
    refit: Refit = Field(default_factory=Refit)
    due: ComingDay | None = None
    """When it is wanted, “1 Dec” or “in 3 weeks”. Every day later counts ten times in the plan."""
    weight: Count = 1
    """How much being late matters, against 1 for any other job, “2”."""
    photos: tuple[Photo, ...] = ()
    """Pictures of the whole unit."""
    notes: Text = ""
    """Anything else worth knowing, “belongs to the club house”."""
    to_look_at: tuple[ToLookAt, ...] = ()
    """What joining two copies left to a person."""

    def step(self, code: str) -> Step | None:
        """The step of that code, or None."""
        return next((s for s in self.steps if s.code == code), None)

    def whole_set(self) -> PartSet | None:
        """The set that the unit itself is, such as a pair of lamps; None when it is one thing."""
        return next((s for s in self.sets if s.whole_unit), None)

    def set_of(self, step: Step) -> PartSet | None:
        """The set a step was recorded for, or None when it was recorded for one thing."""
        return self.set_called(step.each_of)

    def set_called(self, code: str) -> PartSet | None:
        """The set of that code, or None."""
        return next((s for s in self.sets if s.code == code), None) if code else None


class Book(Frozen):
    """All units and what they share, as one value."""

    shop: Shop = Field(default_factory=Shop)
    units: Mapping[str, Unit] = Field(default_factory=dict)
