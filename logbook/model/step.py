"""One step of a teardown: what came off, how, with what, and everything needed to put it back.

Only what came off is mandatory. The fields of the ten-second set come first; the rest is filled in at
the desk. What was found is never overwritten: `as_found`, `should_be` and the refit notes are three facts.
"""

from __future__ import annotations

from typing import Annotated, NamedTuple

from pydantic import Field

from logbook.model.base import Code, Count, Day, Frozen, Minutes, Moment, Name, StepCode, Text
from logbook.model.measures import Length, Number
from logbook.model.words import (
    Action,
    Certainty,
    ConnectionKind,
    JointFound,
    LinkBasis,
    MarkKind,
    OrderBasis,
    PhotoKind,
    RelationKind,
    SignalWord,
    Then,
)


class Hazard(Frozen):
    """Something that can hurt someone; shown before the step in both directions."""

    signal: SignalWord = SignalWord.WARNING
    """How bad it can get, from DANGER down to NOTICE."""
    what: Name
    """The danger in a few words, “stored charge”."""
    do: Text = ""
    """What to do before the step, “unplug and wait five minutes”."""
    prove: Text = ""
    """How to prove that it is safe, “meter across the capacitor under 1 V”."""
    gone_at_refit: bool = False
    """It is gone when the thing goes back, as the charge of a part that is renewed."""


class Proof(Frozen):
    """A reading taken to prove a danger gone; it holds for that sitting, until one that is not dead takes it back."""

    danger: Name
    """The danger as its warning says it, “mains voltage”."""
    reading: Name
    """What was measured or seen, “0.2 V”."""
    instrument: Text = ""
    """With what, “meter”. Empty: not said."""
    by: Text = ""
    """Initials of whoever took it, “AB”. Empty: not said."""
    at: Moment | None = None
    """When it was taken, “12 Mar 20:41”. Empty: not known, so it holds no longer."""
    step: Text = ""
    """The step before which it was taken, “T04”. Empty: at none, or where it is written."""
    member: Text = ""
    """Of which one of a set it speaks, by its code, “L”. Empty: of all of it."""


Share = Annotated[int, Field(ge=0, le=1000)]
"""A place along the upright picture's width or height, in thousandths, from the top left."""


class PictureMark(Frozen):
    """Something drawn over a picture when it is shown; the picture itself is never touched."""

    kind: MarkKind = MarkKind.ARROW
    """Arrow, ring, number or words."""
    x: Share
    """How far from the left, in thousandths of the width, “500”."""
    y: Share
    """How far from the top, in thousandths of the height, “250”."""
    from_x: Share | None = None
    """Where an arrow starts, from the left, “100”. Empty: from the nearer side."""
    from_y: Share | None = None
    """Where an arrow starts, from the top, “100”. Empty: from the nearer side."""
    radius: Share = 60
    """How big a ring is, in thousandths of the width, “60”."""
    text: Text = ""
    """The number or the words drawn, “3”."""


class Photo(Frozen):
    """A picture kept in the unit's folder, byte for byte as it came."""

    file: Name
    """Its file in the photos folder of this unit, “T05 bolts.jpg”."""
    sha256: Text = ""
    """Checksum of the file as it came."""
    caption: Text = ""
    """What it shows, “wires before unsoldering”."""
    kind: PhotoKind = PhotoKind.CLOSE
    """What it is for: the whole, a close view, before or after."""
    taken_at: Moment | None = None
    """When it was taken, “12 Mar 20:41”."""
    card: Text = ""
    """Number on the card that lies in the picture, “12”."""
    linked: LinkBasis = LinkBasis.HAND
    """How it is known to which step it belongs."""
    for_next: bool = False
    """It came while its step was still being written; the next step that is kept takes it."""
    marks: tuple[PictureMark, ...] = ()
    """Arrows, rings, numbers and words drawn over it."""


class Attachment(Frozen):
    """A drawing, a model file or a document that belongs to a part."""

    file: Name
    """Its file in the folder of this unit, “knob.stl”."""
    what: Text = ""
    """What it is, “drawing of the knob”."""
    sha256: Text = ""
    """Checksum of the file as it came."""


class FastenerDetail(Frozen):
    """What the desk adds to a kind of fastener."""

    diameter: Length | None = None
    """Across the thread, “3.5”."""
    length: Length | None = None
    """From under the head, “16”."""
    head: Text = ""
    """Shape of the head, “round”."""
    drive: Text = ""
    """What turns it, “slot”."""
    left_hand: bool = False
    """A left-hand thread: shown in capitals before the step."""
    finish: Text = ""
    """Its surface, “brass plated”."""
    strength_class: Text = ""
    """As marked on its head, “8.8”."""
    compound: Text = ""
    """Locking compound or paint found on it, “red paint dot”."""
    tightness: Text = ""
    """How tight it was, “hand tight”."""
    note: Text = ""
    """Anything else, “thread-forming: turn back to drop in”."""


class Fastener(Frozen):
    """One kind of fastener of a step: places for it, what was there, and what becomes of them.

    In a step that is recorded once for a set, the numbers are for each member.
    """

    kind: Name
    """What it is called all through this job, “rh wood screw 3.5x16”."""
    holes: Count
    """How many places there are for it, “4”."""
    found: Count
    """How many were there, “3”."""
    then: Then = Then.REUSE
    """What becomes of them."""
    bag: Text = ""
    """Its own bag, “7”. Empty: the bag of the step."""
    renewed_here: bool = False
    """The new ones lie ready."""
    stays_empty: bool = False
    """The empty places stay empty; nothing is missing."""
    renew_as: Text = ""
    """What takes its place when it is renewed in another size, “screw 4x16”. Empty: the same kind."""
    new_here: Count = 0
    """How many of the new ones lie ready, while not all do, “2”."""
    piece: bool = False
    """A loose piece and no fastener, such as a shim or a stop block."""
    detail: FastenerDetail | None = None
    """Size, head, drive, finish and what was found on it."""


class NewFastener(Frozen):
    """A fastener that the refit needs and the teardown did not have, such as screws instead of pins."""

    kind: Name
    """What is to be used, “pan head screw 3x20”."""
    count: Count
    """How many, “4”."""
    why: Text = ""
    """Why it takes the place of the old way, “the pins tore out”."""
    here: bool = False
    """They lie ready."""


class Connection(Frozen):
    """A wire, plug, hose or linkage between two named points."""

    code: Code
    """The number on the label at both ends, “W6”."""
    kind: ConnectionKind = ConnectionKind.WIRE
    """Wire, plug, hose or linkage."""
    start: Text = ""
    """Where it begins, “chassis tag 3”."""
    end: Text = ""
    """Where it goes, “lamp holder”."""
    colour: Text = ""
    """Colour and tracer in white light, “brown with white tracer”."""
    function: Text = ""
    """What it is for or called, “earth”."""
    joint: Text = ""
    """How it is fixed, “soldered”."""
    polarity: Text = ""
    """Which way round, “plus to the ring”."""
    route: Text = ""
    """Which way it runs, “under the dial bracket”."""
    sleeve: Text = ""
    """What covers it, “cotton sleeve”."""
    labels: Count = 0
    """How many of its ends carry a label, “2”."""
    stays_on: bool = False
    """It was not undone here, only named."""
    refit: Text = ""
    """Where or how it goes back, when not as found, “10 mm longer”."""
    renew: bool = False
    """A new one is fitted."""
    one_end: bool = False
    """Only one of its ends was undone in this step; another step has the other end, under the same number."""
    loose_end: bool = False
    """One of its ends was found connected to nothing."""
    member: Text = ""
    """For which one of a set, by its code, “L”. Empty: for every one."""


class Setting(Frozen):
    """An adjustment to be restored: turns out, mm from a stop, gap, position."""

    what: Name
    """What was adjusted, “trimmer C4”."""
    value: Text = ""
    """As found, in words, “12 mm right of the left end”."""
    length: Length | None = None
    """As found, as a size, “12”."""
    how: Text = ""
    """How to set it again, “pointer on the line, then tighten”."""
    member: Text = ""
    """For which one of a set, by its code, “L”. Empty: for every one."""


class Measurement(Frozen):
    """Something measured at a step; a held dimension is measured twice."""

    what: Name
    """What was measured, “shaft sticks out”."""
    value: Length | None = None
    """What it measured, “12.5”."""
    again: Length | None = None
    """The second reading, taken afresh, “12.4”."""
    text: Text = ""
    """A reading that is no size, “0.4 V”."""
    tolerance: Text = ""
    """How far it may be off, “0.5 mm”."""
    by: Text = ""
    """Initials of who measured, “AB”."""
    at: Moment | None = None
    """When, “12 Mar 20:41”."""
    member: Text = ""
    """For which one of a set, by its code, “L”. Empty: for every one."""


class MapPosition(Frozen):
    """One place on the position map, numbered clockwise from top left, seen from the named side."""

    number: Count
    """Its number, clockwise from top left, “3”."""
    where: Text = ""
    """Where it is, “top right corner”."""
    kind: Text = ""
    """What sits there, “rh wood screw 3.5x16”."""
    x: Length | None = None
    """From the left edge, “15”."""
    y: Length | None = None
    """From the bottom edge, “40”."""


class HoldPoint(Frozen):
    """Work does not pass until the check is done, the reading written and somebody has initialled it."""

    code: Code
    """Its short code, “H1”."""
    what: Name
    """What must be checked before anybody goes on, “insulation of the mains side”."""
    reading_of: Text = ""
    """What is read, “megohms at 500 V”. Empty: initials are enough."""
    limit: Text = ""
    """What it must be, “over 2 megohms”."""
    competent: bool = False
    """Only a competent person may do it; local codes and licensed practice come first."""
    photos: tuple[Photo, ...] = ()
    """Pictures of the check."""
    reading: Text = ""
    """What was read, “5.2 megohms”."""
    initials: Text = ""
    """Of who did the check, “AB”."""
    read_at: Moment | None = None
    """When, “12 Mar 20:41”."""
    without_because: Text = ""
    """Why work went on without it, “meter was away”. It is shown wherever the hold point is."""

    @property
    def wants(self) -> tuple[str, ...]:
        """What is still to be written at the hold point itself; nothing where work went on without for a reason."""
        return () if self.without_because.strip() else self.unread

    @property
    def unread(self) -> tuple[str, ...]:
        """What nobody wrote of the check, also where work went on without: a reason is no reading."""
        return self.lacks(self.reading, self.initials)

    def lacks(self, reading: str, initials: str) -> tuple[str, ...]:
        """What is still to be written before work may pass it: “reading”, “initials”, both or nothing."""
        missing: list[str] = []
        if self.reading_of.strip() and not reading.strip():
            missing.append("reading")
        if not initials.strip():
            missing.append("initials")
        return tuple(missing)


class HoldAt(NamedTuple):
    """A hold point, and for whom it is."""

    hold: HoldPoint
    member: str = ""
    """Code of the one of a set that it is for alone; empty when it is for all that the step says."""

    @property
    def name(self) -> str:
        """`H1`, or of one of a set `H1 for L`."""
        return f"{self.hold.code} for {self.member}" if self.member else self.hold.code


class Remake(Frozen):
    """The build work that takes the place of a joint that cannot be undone."""

    method: Text = ""
    """How it is joined again, “glued and clamped”."""
    material: Text = ""
    """With what, “PVA glue”."""
    busy: Minutes | None = None
    """Hands-on time, “20 min”."""
    clamp: Minutes | None = None
    """Least time in the clamps, “1 h”."""
    cure: Minutes | None = None
    """Least time after that to full strength, “24 h”."""
    hold: HoldPoint | None = None
    """A check that work does not pass without."""


STOP_ANSWERS = ("measured", "traced", "photographed", "pattern_kept", "held_twice")
"""The parts of the stop question, by their field."""


class OneWay(Frozen):
    """A step that cannot be undone, with the answers to the stop question asked before it."""

    joint: JointFound | None = None
    """What kind of joint it was."""
    further_joints: tuple[JointFound, ...] = ()
    """Other joints here that cannot be undone either, “glued”."""
    drilled: Length | None = None
    """Which drill was used, “3.2”."""
    measured: bool = False
    """It was measured before."""
    traced: bool = False
    """It was traced before."""
    photographed: bool = False
    """It was photographed before."""
    pattern_kept: bool = False
    """The old part is kept as a pattern."""
    held_twice: bool = False
    """The sizes that must not change were taken twice."""
    answered_no: tuple[Text, ...] = ()
    """Parts of the stop question that were answered with no: “traced”."""
    not_needed: tuple[Text, ...] = ()
    """What of the stop question was not needed, “traced”."""
    skipped_because: Text = ""
    """Why none of this was done, “was loose already”."""
    remake: Remake | None = None
    """How the joint is made again."""
    rebuilt_by: tuple[Code, ...] = ()
    """Codes of the work that builds the part anew, “B01; B02”."""

    @property
    def answered(self) -> bool:
        """Whether the stop question has at least one answer, or a reason for none."""
        yes = any(getattr(self, name) for name in STOP_ANSWERS)
        return yes or bool(self.skipped_because) or set(STOP_ANSWERS) <= {*self.answered_no, *self.not_needed}

    def answer(self, name: str) -> str:
        """The answer to one part of the stop question: “yes”, “no”, “not needed”, or nothing while it is open."""
        if getattr(self, name):
            return "yes"
        if name in self.answered_no:
            return "no"
        return "not needed" if name in self.not_needed else ""


class RefitNotes(Frozen):
    """What holds only on the way back; shown in the refit list, not in the teardown."""

    text: Text = ""
    """What to do on the way back, in words, “start all four by hand”."""
    first: tuple[Text, ...] = ()
    """What must be in place before the joint is made, in order, “bush; tube”."""
    new_fasteners: tuple[NewFastener, ...] = ()
    """Fasteners that the refit needs and the teardown did not have."""
    renew: tuple[Text, ...] = ()
    """What is renewed here and is no fastener, “grille cloth”."""
    lock: Text = ""
    """How it is secured, “new split pin”."""
    torque: Text = ""
    """How tight, “2 Nm”."""
    sequence: Text = ""
    """In which order to tighten, “diagonal”."""
    adjust: Text = ""
    """What to adjust, “pointer to the left end of the scale”."""
    test: Text = ""
    """A test that a later step would hide, “plays before the back goes on”."""
    hold: HoldPoint | None = None
    """A check that work does not pass without."""
    local_code: bool = False
    """Wired or joined as the local code says, by a competent person."""


class MemberDifference(Frozen):
    """Where one member of a set differs from the pattern of the step."""

    member: Code
    """Which one of the set, “D2”."""
    bag: Text = ""
    """Its own bag, “7”."""
    note: Text = ""
    """What is different, “one runner was glued”."""
    fasteners: tuple[Fastener, ...] | None = None
    """Its own fasteners, when they are not those of the others."""
    done: bool = True
    """It has been taken apart in this step."""
    left_hand: bool | None = None
    """Its own thread is left-hand. Not said: as in the others."""
    certainty: Certainty = Certainty.SURE
    """How sure you are of what is said of this one alone."""
    certainty_note: Text = ""
    """What exactly is a guess at this one, “which runner it had”."""
    guess_settled: Text = ""
    """How that guess was settled, “photo 12 shows it”. Leave empty until it is."""
    as_found_wrong: bool = False
    """This one alone was wrong when it was found."""
    as_found: Text = ""
    """What was found at this one, “one washer missing”."""
    should_be: Text = ""
    """How it ought to be instead, “a washer on each bolt”."""
    hold: HoldPoint | None = None
    """A hold point of the teardown that this one has for itself, with its own reading and initials."""


class Disposal(Frozen):
    """Where and when something hazardous was handed in."""

    where: Name
    """Where it is handed in, “recycling yard”."""
    on: Day
    """On which day, “12 Mar”."""


class Step(Frozen):
    """One thing done in the teardown, in its place in the order."""

    code: StepCode
    """The code on its bag, “T05”. It never changes."""
    what: Name
    """What came off, in two to four words, “chassis bolts”."""
    action: Action = Action.UNSAID
    """How it came off."""
    fasteners: tuple[Fastener, ...] = ()
    """Screws, bolts, clips: how many places, how many were there."""
    also: tuple[Action, ...] = ()
    """Further ways in which it came off in the same step, “cut”."""
    no_fasteners: bool = False
    """It was held by none: somebody looked."""
    bag: Text = ""
    """The bag its small things went into, “4”."""
    box: Text = ""
    """The box it lies in, “2”."""
    hazards: tuple[Hazard, ...] = ()
    """What can hurt someone at this step."""
    one_way: OneWay | None = None
    """For a step that cannot be undone: what was measured, traced and kept first."""
    certainty: Certainty = Certainty.SURE
    """How sure you are of what stands here."""
    left_hand: bool = False
    """A left-hand thread: it opens clockwise."""
    as_found_wrong: bool = False
    """It was wrong when it was found; it goes back right, not as found."""
    photo_taken: bool = False
    """A photo was taken at the bench."""
    wires: Count | None = None
    """How many wires were counted, “3”. The desk writes each one down."""
    note: Text = ""
    """Anything else, “washer stuck to the chassis”."""
    unread: tuple[Text, ...] = ()
    """Phrases of its line that were not understood, “bag 4b”. They stand in the note as well."""
    hold: HoldPoint | None = None
    """A hold point of the teardown itself: nothing more comes off before it is read."""

    planned: bool = False
    """Still to do: not taken off yet."""
    at: Moment | None = None
    """When it came off, “12 Mar 20:41”."""
    by: Text = ""
    """Initials of who did it, “AB”."""
    minutes: Minutes | None = None
    """Hands-on time, “20 min”."""

    each_of: Text = ""
    """Code of the set it was done for, “D”. Counts are then for each of the set."""
    differences: tuple[MemberDifference, ...] = ()
    """Where one of the set differs from the others."""
    inside: Text = ""
    """Code of the lump it belongs to, “A1”. Empty: the unit itself."""
    order: OrderBasis = OrderBasis.PROVEN
    """What its place in the order rests on."""

    viewed_from: Text = ""
    """From where left and right are meant, “front”."""
    orientation: Text = ""
    """Which way up or round it sat, “label to the back”."""
    marks: Text = ""
    """Marks that were made on it, “pencil line across both”."""
    positions: tuple[MapPosition, ...] = ()
    """Places on a plate or board, numbered clockwise from top left."""
    stack: tuple[Text, ...] = ()
    """What sits on one bolt, from the head inwards, “washer; rubber; tube”."""
    connections: tuple[Connection, ...] = ()
    """Wires, plugs and hoses that were undone or named."""
    settings: tuple[Setting, ...] = ()
    """Adjustments to bring back: turns, gaps, positions."""
    held_by: Text = ""
    """What holds it besides the screws, “friction and old glue”."""
    in_the_way: Text = ""
    """What must be held aside, “the dial cord”."""
    components: tuple[Code, ...] = ()
    """Codes of components that came out here, “V1; V2”."""
    measurements: tuple[Measurement, ...] = ()
    """What was measured here."""
    proofs: tuple[Proof, ...] = ()
    """Dangers that were proved safe at this step."""
    as_found: Text = ""
    """What was found, before anything was changed, “one washer missing”."""
    should_be: Text = ""
    """How it ought to be instead, “a washer on each bolt”."""
    certainty_note: Text = ""
    """What exactly is a guess, “which way the clip sat”."""
    guess_settled: Text = ""
    """How the guess was settled, “photo 12 shows it”. Leave empty until it is."""
    helper: Text = ""
    """Who is needed, “second pair of hands”."""
    weight_kg: Number | None = None
    """How heavy it is, in kg, “5.8”."""
    support: Text = ""
    """How to hold it, “keep level”."""
    photos: tuple[Photo, ...] = ()
    """Pictures taken at this step."""
    refit: RefitNotes = Field(default_factory=RefitNotes)
    """What holds only on the way back."""

    @property
    def holds(self) -> tuple[HoldAt, ...]:
        """Its hold points of the teardown: the one for all, then those of single members that were taken apart."""
        of_all = () if self.hold is None else (HoldAt(self.hold),)
        own = (HoldAt(d.hold, d.member) for d in self.differences if d.hold is not None and d.done)
        return (*of_all, *own)

    @property
    def open_holds(self) -> tuple[HoldAt, ...]:
        """Those that keep back what comes after: the step is done, and they are still to be read."""
        return () if self.planned else tuple(at for at in self.holds if at.hold.wants)

    @property
    def unread_holds(self) -> tuple[HoldAt, ...]:
        """Those that nobody read when it came apart, for whatever reason: they are read on the way back."""
        return () if self.planned else tuple(at for at in self.holds if at.hold.unread)


_UPENDED = frozenset({"below", "above", "bottom", "top", "underneath"})


def seen_upended(step: Step) -> bool:
    """Whether a step's directions are as seen from below or above, where “top left” depends on how the thing lay."""
    return not _UPENDED.isdisjoint(step.viewed_from.casefold().split())


class Relation(Frozen):
    """An order between two steps. `earlier` came off (or was loosened) before `later`."""

    kind: RelationKind
    """What the order between the two means."""
    earlier: StepCode
    """Code of the step that comes off first, “T01”."""
    later: StepCode
    """Code of the step that comes off after it, “T03”."""
    why: Text = ""
    """Why, “the knob hides the screw”."""
    items: Text = ""
    """For threaded on before: what of it goes on first, “the washers”."""
    still_protects: bool = True
    """For better before: it still protects something on the way back."""
