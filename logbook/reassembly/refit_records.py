"""What the reassembly list is made of: frozen values that screens and paper read and never change."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, Any, NamedTuple

from logbook.model.holds import one_hold
from logbook.model.step import Connection, Hazard, HoldAt, HoldPoint, Setting
from logbook.model.work import Wait

if TYPE_CHECKING:
    pass


class LineKind(StrEnum):
    """What a line asks for."""

    CHECK = "check"
    """Compare with the record: the opening check, and steps that were only recorded or measured."""
    STEP = "step"
    """Something goes back."""
    FIRST = "first"
    """What is threaded on or put in place before a joint is made, such as a bush on a cord."""
    TIGHTEN = "tighten"
    """The final tightening of what was only nipped."""
    TEST = "test"
    """A test that a later line would hide, or a safety test before power."""
    AUDIT = "audit"
    """The last line: every bag empty, difference 0."""


class SentenceGroup(StrEnum):
    """What a sentence of a line is about; a screen shows each group under a head of its own."""

    MIND = "mind"
    """As found wrong, thread hand, what is only a guess, a check that the teardown left."""
    BEFORE = "before you start"
    """From where it is seen, how it lies, marks, what holds it."""
    TAKE = "take"
    """About the pieces."""
    DO = "do"
    EACH = "on each, from the head"
    """What sits on each fastener, in order."""
    COMPARE = "measure and compare"
    """What was recorded."""
    CONNECT = "connect"
    CHECK = "check"
    """A test before going on."""
    NOTED = "noted at the teardown"


GROUP_TITLES = {
    SentenceGroup.MIND: "Mind",
    SentenceGroup.BEFORE: "Before you start",
    SentenceGroup.TAKE: "Take",
    SentenceGroup.DO: "Do",
    SentenceGroup.EACH: "On each, from the head",
    SentenceGroup.COMPARE: "Measure and compare",
    SentenceGroup.CONNECT: "Connect",
    SentenceGroup.CHECK: "Check",
    SentenceGroup.NOTED: "Noted at the teardown",
}
"""The head of each group, wherever a line is shown in groups."""


class Sentence(NamedTuple):
    """One thing that a line says, and what it is about."""

    group: SentenceGroup
    body: str
    lead: str = ""
    """Words before it that say what the head of its group says as well: `Recorded: `."""

    @property
    def text(self) -> str:
        """The whole sentence, as on paper."""
        return self.lead + self.body


@dataclass(frozen=True, slots=True)
class LineFastener:
    """One kind of fastener that goes back at a line, from one place."""

    kind: str
    count: int
    """How many in all; for a set over all its members."""
    bag: str = ""
    """The bag they lie in; empty for new ones and for those that lie in none."""
    new: bool = False
    why: str = ""
    """Why it is new: missing on arrival, renewed, or not there before."""
    here: bool = True
    """Whether new ones lie ready; always true for old ones."""
    on_hand: int = 0
    """How many of the new ones lie ready."""
    each: int = 0
    """How many for each member of a set, when all have the same number; else 0."""
    members: tuple[str, ...] = ()
    """The members of a set that it is for, when it is not for all of them alike; empty for all."""


@dataclass(frozen=True, slots=True)
class LineConnection:
    """A connection that is made at a line."""

    code: str
    sentence: str
    """From where to where, how, and what has to be on first."""
    connection: Connection


@dataclass(frozen=True, slots=True)
class RemakeWork:
    """The build work that takes the place of a joint that cannot be undone. Times in minutes, None if not said."""

    text: str
    busy: int | None = None
    clamp: int | None = None
    cure: int | None = None

    @property
    def wait(self) -> int:
        """Minutes that must pass after the line is ticked before what follows it."""
        return (self.clamp or 0) + (self.cure or 0)


@dataclass(frozen=True, slots=True)
class MemberNote:
    """Where one member of a set differs from the pattern."""

    member: str
    text: str
    bags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RefitLine:
    """One line of the reassembly list: one thing to do, to tick, and all that is needed for it."""

    number: str
    """Its place on the list, such as `A07`. It changes with the record; `key` does not."""
    key: str
    """`T13`, `T11:tighten`, `T13:test`, `T12:first`, `check` or `audit`: what a tick is kept under."""
    kind: LineKind
    title: str
    """What goes back, in a few words: “speaker in”."""
    steps: tuple[str, ...] = ()
    """Codes of the steps it reverses; a tighten or test line names the step it belongs to."""
    said: tuple[Sentence, ...] = ()
    """What to do and to know, in the order in which it is read on paper."""
    first: tuple[str, ...] = ()
    """FIRST: what must be threaded on or in place before the joint is made, in order."""
    hazards: tuple[Hazard, ...] = ()
    """Shown before everything else, the worst first."""
    fasteners: tuple[LineFastener, ...] = ()
    bags: tuple[str, ...] = ()
    box: str = ""
    connections: tuple[LineConnection, ...] = ()
    settings: tuple[Setting, ...] = ()
    hold: HoldPoint | None = None
    """The hold point of the line; several of them are read as one (`holds` has each)."""
    holds: tuple[HoldPoint, ...] = ()
    hold_members: tuple[str, ...] = ()
    """For each of `holds` the member of the set that it is for alone; empty for all of them."""
    members: tuple[str, ...] = ()
    """Codes of the members of a set, each with a tick of its own; empty for a single thing."""
    mirrored: bool = False
    """The members are a handed pair: mirror images of each other."""
    member_notes: tuple[MemberNote, ...] = ()
    helper: str = ""
    weight_kg: Decimal | None = None
    support: str = ""
    tighten: str = ""
    """The tightening pattern; empty when there is nothing to draw down evenly."""
    remake: RemakeWork | None = None
    why_here: tuple[str, ...] = ()
    """Why it stands where it stands, in sentences."""
    inside: str = ""
    """Code of the sub-assembly it belongs to; empty for the unit itself."""
    must_follow: tuple[str, ...] = ()
    """Keys of the lines that have to be done before this one."""
    together: tuple[str, ...] = ()
    """Keys of the lines that go back as one lump with it, itself included; empty when it is alone."""

    @property
    def what(self) -> tuple[str, ...]:
        """What to do and to know, in sentences."""
        return tuple(sentence.text for sentence in self.said)

    @property
    def holds_at(self) -> tuple[HoldAt, ...]:
        """Each hold point of the line, and the member of the set that it is for alone."""
        return tuple(HoldAt(hold, member) for hold, member in zip(self.holds, self.hold_members, strict=True))

    @property
    def ticks(self) -> tuple[tuple[str, str], ...]:
        """Each tick of the line: the member of the set that it is for, or nothing, and its key."""
        return tuple(zip(self.members or ("",), self.tick_keys, strict=True))

    def is_for(self, at: HoldAt, member: str) -> bool:
        """Whether a hold point of the line is to be read at a member: all are at a line that is ticked as one."""
        return at.member in ("", member) or at.member not in self.members

    def hold_for(self, member: str) -> HoldPoint | None:
        """The hold points that are to be read at one member, as one; None when it has none."""
        return one_hold([at.hold for at in self.holds_at if self.is_for(at, member)])

    @property
    def tick_keys(self) -> tuple[str, ...]:
        """The keys under which its ticks are kept: its own, or one for each member (`C04/D2`)."""
        return tuple(f"{self.key}/{m}" for m in self.members) if self.members else (self.key,)


def with_holds(holds: Sequence[HoldAt]) -> dict[str, Any]:
    """The fields of a line that say its hold points."""
    points = tuple(at.hold for at in holds)
    return {"hold": one_hold(points), "holds": points, "hold_members": tuple(at.member for at in holds)}


@dataclass(frozen=True, slots=True)
class StepLeftOut:
    """A step that is on no line, and why."""

    step: str
    why: str


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to know before the refit starts, about one step or one line."""

    step: str
    """Code of the step, or key of the line when it is about a line."""
    sentence: str


@dataclass(frozen=True, slots=True)
class InsideList:
    """The lines of a sub-assembly, which are finished before it goes back as one."""

    code: str
    name: str
    came_out_at: str
    """Code of the step at which it came out; its line is the one the whole goes back at."""
    keys: tuple[str, ...]


class FromShop(NamedTuple):
    """What the shop adds to the record of a unit for its list (`costing.from_shop`)."""

    kinds: frozenset[str] = frozenset()
    """Kinds of new fasteners, as compared, of which enough lie on the shelf."""
    waits: Mapping[str, Wait] = {}
    """Usual waits after operations for which nobody wrote one, by code."""


class Totals(NamedTuple):
    """Counts of fasteners: found = reuse + renew + scrap + lost.

    `refit` counts what goes back, `new` how many of it are new.
    """

    holes: int = 0
    found: int = 0
    reuse: int = 0
    renew: int = 0
    scrap: int = 0
    refit: int = 0
    new: int = 0
    lost: int = 0

    @property
    def fates(self) -> str:
        """What became of those found, in words: `4 to use again + 1 to renew + 0 scrap`, lost ones where there are."""
        lost = f" + {self.lost} lost" if self.lost else ""
        return f"{self.reuse} to use again + {self.renew} to renew + {self.scrap} scrap{lost}"

    @classmethod
    def of_all(cls, totals: Iterable[Totals]) -> Totals:
        """All of them together."""
        return cls(*map(sum, zip(*totals, strict=True)))


class BagContents(NamedTuple):
    """What must lie in a bag by the record."""

    bag: str
    kinds: Mapping[str, int]
    steps: tuple[str, ...]

    @property
    def total(self) -> int:
        """How many pieces."""
        return sum(self.kinds.values())


@dataclass(frozen=True, slots=True)
class OpenDifference:
    """A count that does not agree and is not explained."""

    steps: tuple[str, ...]
    bag: str
    """Empty when the difference is in the record and not in a bag."""
    kind: str
    recorded: int
    counted: int
    sentence: str


@dataclass(frozen=True, slots=True)
class ConnectionEntry:
    """A connection and the line at which it is made, or the reason why at none."""

    code: str
    step: str
    key: str
    """Key of the line; empty when there is none."""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Ledger:
    """The account of fasteners, loose pieces and connections."""

    total: Totals
    steps: Mapping[str, Totals]
    """For each step that was taken apart."""
    bags: Mapping[str, BagContents]
    without_bag: int
    """Fasteners and pieces to be used again that lie in no bag by the record."""
    pieces: Totals
    """Loose pieces that are no fasteners, such as shims; their holes are places. In no other total."""
    open: tuple[OpenDifference, ...]
    connections: tuple[ConnectionEntry, ...]


class Readiness(NamedTuple):
    """Whether a line can be done now, and if not, why."""

    ready: bool
    """It can be done now, at one of its members at least: all before it is done and nothing is missing. False once it
    is done."""
    done: bool
    reasons: tuple[str, ...] = ()
    """What speaks against it, in sentences: first what is missing, then the lines before it.
    An open count difference stands here too, though the line may be ticked."""
    missing: tuple[str, ...] = ()
    """Only what is missing or open at this line itself, without the lines before it."""
    in_reach: bool = False
    """It can be done with what is here, now or after lines that are in reach themselves, and no open hold point
    stands before it."""
    holds: tuple[str, ...] = ()
    """The open hold points that keep it back, in sentences, where all lines right before it are done."""
    waits: tuple[str, ...] = ()
    """What single members still wait for, in sentences, while others of them can go on: the line before, or a joint
    that sets."""


@dataclass(frozen=True, slots=True)
class RefitStanding:
    """How far the reassembly is."""

    done: int
    in_reach: int
    """Lines not done that what is here is enough for, now or after others; which are ready now, each line says."""
    total: int
    frees: tuple[str, int] | None
    """The one thing that would bring most further lines in reach, and how many; None if no one thing would."""
    sentence: str
    hint: str = ""
    """The same beside the figures: what would free most, without counting the lines a second time."""


@dataclass(frozen=True, slots=True)
class LeftOver:
    """Something that must be done or explained before the unit can be closed."""

    about: str
    """Key of a line, number of a bag or code of a component."""
    sentence: str
