"""One step of a teardown: what came off, how, with what, and everything needed to put it back.

Only what came off is mandatory. The fields of the ten-second set come first; the rest is filled in at
the desk. What was found is never overwritten: `as_found`, `should_be` and the refit notes are three facts.
"""

from __future__ import annotations

from typing import Annotated

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
    what: Name
    """The danger in a few words: “stored charge”."""
    do: Text = ""
    """What to do before the step."""
    prove: Text = ""
    """How to prove it is safe."""
    gone_at_refit: bool = False
    """It is gone by the time the thing goes back, such as the charge of a part that is renewed."""


class Proof(Frozen):
    """A reading that showed a danger gone when it was taken; it holds for the sitting in which it was taken."""

    danger: Name
    """The danger in a few words, as its warning says them: “mains voltage”."""
    reading: Name
    """What was measured or seen: “0.2 V”."""
    instrument: Text = ""
    """With what: “meter”. Empty: not said."""
    by: Text = ""
    """Initials of whoever took it. Empty: not said."""
    at: Moment | None = None
    """When it was taken. Empty: not known, so it holds no longer."""
    step: Text = ""
    """The step before which it was taken: “T04”. Empty: at none, or at the step that it is written at."""


Share = Annotated[int, Field(ge=0, le=1000)]
"""A place along the upright picture's width or height, in thousandths, from the top left."""


class PictureMark(Frozen):
    """Something drawn over a picture when it is shown; the picture itself is never touched."""

    kind: MarkKind = MarkKind.ARROW
    x: Share
    y: Share
    """Where it points, or the middle of a ring."""
    from_x: Share | None = None
    from_y: Share | None = None
    """Where an arrow starts; empty: from the nearer side."""
    radius: Share = 60
    """Of a ring, in thousandths of the picture's width."""
    text: Text = ""
    """The number or the words."""


class Photo(Frozen):
    """A picture kept in the unit's folder, byte for byte as it came."""

    file: Name
    """Name inside the unit's `photos` folder; never a path."""
    sha256: Text = ""
    caption: Text = ""
    kind: PhotoKind = PhotoKind.CLOSE
    taken_at: Moment | None = None
    card: Text = ""
    """Number on the card that lies in the picture."""
    linked: LinkBasis = LinkBasis.HAND
    for_next: bool = False
    """It came while its step was still being written: the next step that is kept takes it."""
    marks: tuple[PictureMark, ...] = ()
    """Arrows, rings, numbers and words to draw over it; the newest last."""


class Attachment(Frozen):
    """A drawing, a model file or a document that belongs to a part."""

    file: Name
    """Name inside the unit's folder; never a path."""
    what: Text = ""
    sha256: Text = ""


class FastenerDetail(Frozen):
    """What the desk adds to a kind of fastener."""

    diameter: Length | None = None
    length: Length | None = None
    head: Text = ""
    drive: Text = ""
    left_hand: bool = False
    """A left-hand thread: shown in capitals before the step."""
    finish: Text = ""
    strength_class: Text = ""
    """As marked on its head: “8.8”."""
    compound: Text = ""
    """Locking compound or paint mark found."""
    tightness: Text = ""
    """How tight it was found."""
    note: Text = ""
    """Such as “thread-forming: turn back to drop in”."""


class Fastener(Frozen):
    """One kind of fastener of a step: places for it, what was there, and what becomes of them.

    In a step that is recorded once for a set, the numbers are for each member.
    """

    kind: Name
    """Such as `rh wood screw 3.5x16`. The same words mean the same kind throughout a unit."""
    holes: Count
    """Places for it."""
    found: Count
    """What was there."""
    then: Then = Then.REUSE
    bag: Text = ""
    """Its own bag, when it is not the bag of the step."""
    renewed_here: bool = False
    """The new ones (renewed or missing) lie ready."""
    stays_empty: bool = False
    """The empty places are to stay empty; nothing is missing."""
    renew_as: Text = ""
    """The kind that takes its place when it is renewed in another size; empty: the same kind."""
    new_here: Count = 0
    """How many of the new ones lie ready while not all of them do."""
    piece: bool = False
    """A loose piece and no fastener, such as a shim or a stop block: counted the same way, in an account of its own."""
    detail: FastenerDetail | None = None


class NewFastener(Frozen):
    """A fastener that the refit needs and the teardown did not have, such as screws instead of pins."""

    kind: Name
    count: Count
    why: Text = ""
    here: bool = False


class Connection(Frozen):
    """A wire, plug, hose or linkage between two named points."""

    code: Code
    """The number on the label at both ends: `W6`."""
    kind: ConnectionKind = ConnectionKind.WIRE
    start: Text = ""
    end: Text = ""
    colour: Text = ""
    """Colour and tracer as seen under white light; never the only way to tell it."""
    joint: Text = ""
    polarity: Text = ""
    route: Text = ""
    sleeve: Text = ""
    labels: Count = 0
    """How many ends carry a label: 0, 1 or 2."""
    stays_on: bool = False
    """It was not undone in this step, only named."""
    refit: Text = ""
    """Where or how it goes back, when that differs from as found."""
    renew: bool = False
    """A new one is fitted."""
    one_end: bool = False
    """Only one of its ends was undone in this step; another step has the other end, under the same number."""
    loose_end: bool = False
    """One of its ends was found connected to nothing."""
    member: Text = ""
    """Of which of a set alone it is; empty: of each."""


class Setting(Frozen):
    """An adjustment to be restored: turns out, mm from a stop, gap, position."""

    what: Name
    value: Text = ""
    """As found, in words: “12 mm right of the scale's left end”."""
    length: Length | None = None
    how: Text = ""
    member: Text = ""
    """Of which of a set alone it is; empty: of each."""


class Measurement(Frozen):
    """Something measured at a step; a held dimension is measured twice."""

    what: Name
    value: Length | None = None
    again: Length | None = None
    """The second reading, taken afresh."""
    text: Text = ""
    """A reading that is no length, such as “0.4 V”."""
    tolerance: Text = ""
    by: Text = ""
    at: Moment | None = None
    member: Text = ""
    """Of which of a set alone it is; empty: of each."""


class MapPosition(Frozen):
    """One place on the position map, numbered clockwise from top left, seen from the named side."""

    number: Count
    where: Text = ""
    kind: Text = ""
    x: Length | None = None
    y: Length | None = None


class HoldPoint(Frozen):
    """Work does not pass until the check is done, the reading written and somebody has initialled it."""

    code: Code
    what: Name
    reading_of: Text = ""
    """What is to be read; empty when initials alone are enough."""
    limit: Text = ""
    competent: bool = False
    """Only a competent person may do it; local codes and licensed practice come first."""
    photos: tuple[Photo, ...] = ()
    reading: Text = ""
    """What was read, for work of the rebuild; at a step the line of the list says it."""
    initials: Text = ""
    """Of whoever did the check, likewise."""
    read_at: Moment | None = None
    without_because: Text = ""
    """Why work went on without it; shown wherever the hold point is."""

    def lacks(self, reading: str, initials: str) -> tuple[str, ...]:
        """What is still to be written before work may pass it: “reading”, “initials”, both or nothing."""
        missing: list[str] = []
        if self.reading_of.strip() and not reading.strip():
            missing.append("reading")
        if not initials.strip():
            missing.append("initials")
        return tuple(missing)


class Remake(Frozen):
    """The build work that takes the place of a joint that cannot be undone."""

    method: Text = ""
    material: Text = ""
    busy: Minutes | None = None
    clamp: Minutes | None = None
    """Least time held in clamps."""
    cure: Minutes | None = None
    """Least time to full strength after that."""
    hold: HoldPoint | None = None


STOP_ANSWERS = ("measured", "traced", "photographed", "pattern_kept", "held_twice")
"""The parts of the stop question, by their field."""


class OneWay(Frozen):
    """A step that cannot be undone, with the answers to the stop question asked before it."""

    joint: JointFound | None = None
    further_joints: tuple[JointFound, ...] = ()
    """Other joints of the same step that cannot be undone either."""
    drilled: Length | None = None
    measured: bool = False
    traced: bool = False
    photographed: bool = False
    pattern_kept: bool = False
    held_twice: bool = False
    """Held dimensions were taken twice."""
    answered_no: tuple[Text, ...] = ()
    """Parts of the stop question that were answered with no: “traced”."""
    not_needed: tuple[Text, ...] = ()
    """Parts of the stop question that somebody found not needed."""
    skipped_because: Text = ""
    """Why the stop question was left unanswered; shown at the refit."""
    remake: Remake | None = None
    rebuilt_by: tuple[Code, ...] = ()
    """Operations that build the part anew before the refit, instead of a joint made in its place."""

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
    """What to do, in words; it takes the place of the reversed action when given."""
    first: tuple[Text, ...] = ()
    """What must be in place or threaded on before the joint is made, in order."""
    new_fasteners: tuple[NewFastener, ...] = ()
    renew: tuple[Text, ...] = ()
    """What is renewed here and is no fastener: “grille cloth”."""
    lock: Text = ""
    torque: Text = ""
    sequence: Text = ""
    """Tightening order: “diagonal”, “crosswise, three rounds”."""
    adjust: Text = ""
    test: Text = ""
    """A test that a later step would hide."""
    hold: HoldPoint | None = None
    local_code: bool = False
    """Wired or joined as the local code says, by a competent person."""


class MemberDifference(Frozen):
    """Where one member of a set differs from the pattern of the step."""

    member: Code
    bag: Text = ""
    note: Text = ""
    fasteners: tuple[Fastener, ...] | None = None
    """This member's own fasteners; None when they are those of the pattern."""
    done: bool = True
    """Whether this member has been taken apart in this step."""
    left_hand: bool | None = None
    """Whether this member's thread is left-hand; None when it is as in the pattern."""
    certainty: Certainty = Certainty.SURE
    """How sure of what is said of this member alone."""
    certainty_note: Text = ""
    """What exactly is a guess at this member."""
    guess_settled: Text = ""
    """How that guess was settled; empty while it is open."""
    as_found_wrong: bool = False
    """This member alone was wrong as found."""
    as_found: Text = ""
    should_be: Text = ""


class Disposal(Frozen):
    """Where and when something hazardous was handed in."""

    where: Name
    on: Day


class Step(Frozen):
    """One thing done in the teardown, in its place in the order."""

    code: StepCode
    what: Name
    """What came off, in two to four words."""
    action: Action = Action.UNSAID
    also: tuple[Action, ...] = ()
    """Further ways in which it came off in the same step: unscrewed, and one wire cut."""
    fasteners: tuple[Fastener, ...] = ()
    no_fasteners: bool = False
    """It was held by none: somebody looked."""
    bag: Text = ""
    box: Text = ""
    hazards: tuple[Hazard, ...] = ()
    one_way: OneWay | None = None
    certainty: Certainty = Certainty.SURE
    left_hand: bool = False
    as_found_wrong: bool = False
    photo_taken: bool = False
    wires: Count | None = None
    """Wires counted at the bench; the desk writes one connection for each."""
    note: Text = ""
    unread: tuple[Text, ...] = ()
    """Phrases of its line that hold a number or a bag and were not understood; they stand in the note as well."""
    hold: HoldPoint | None = None
    """A hold point of the teardown itself: nothing more comes off before it is read."""

    planned: bool = False
    """Still to do: written down beforehand, not yet taken off."""
    at: Moment | None = None
    by: Text = ""
    """Initials."""
    minutes: Minutes | None = None

    each_of: Text = ""
    """Code of the set this step was recorded for; quantities are then for each member. Empty: not a set."""
    differences: tuple[MemberDifference, ...] = ()
    inside: Text = ""
    """Code of the sub-assembly this step belongs to; empty when it belongs to the unit itself."""
    order: OrderBasis = OrderBasis.PROVEN

    viewed_from: Text = ""
    orientation: Text = ""
    marks: Text = ""
    """Marks made on parts."""
    positions: tuple[MapPosition, ...] = ()
    stack: tuple[Text, ...] = ()
    """Order of pieces on one fastener, from the head inwards."""
    connections: tuple[Connection, ...] = ()
    settings: tuple[Setting, ...] = ()
    held_by: Text = ""
    in_the_way: Text = ""
    components: tuple[Code, ...] = ()
    """Codes of components that came out here."""
    measurements: tuple[Measurement, ...] = ()
    proofs: tuple[Proof, ...] = ()
    """Dangers that were proved safe at this step."""
    as_found: Text = ""
    should_be: Text = ""
    certainty_note: Text = ""
    """What exactly is a guess."""
    guess_settled: Text = ""
    """How the guess was settled; empty while it is open."""
    helper: Text = ""
    weight_kg: Number | None = None
    support: Text = ""
    """How to hold it: “keep level”."""
    photos: tuple[Photo, ...] = ()
    refit: RefitNotes = Field(default_factory=RefitNotes)

    @property
    def wires_written(self) -> int:
        """How many of the wires counted at the bench are written down: hoses and belts are none."""
        return sum(c.kind in (ConnectionKind.WIRE, ConnectionKind.PLUG) for c in self.connections)

    @property
    def hold_lacks(self) -> tuple[str, ...]:
        """What its hold point of the teardown still wants; nothing when it has none, or work went on without."""
        if self.hold is None or self.hold.without_because.strip():
            return ()
        return self.hold.lacks(self.hold.reading, self.hold.initials)


_UPENDED = frozenset({"below", "above", "bottom", "top", "underneath"})


def seen_upended(step: Step) -> bool:
    """Whether a step's directions are as seen from below or above, where “top left” depends on how the thing lay."""
    return not _UPENDED.isdisjoint(step.viewed_from.casefold().split())


class Relation(Frozen):
    """An order between two steps. `earlier` came off (or was loosened) before `later`."""

    kind: RelationKind
    earlier: StepCode
    later: StepCode
    why: Text = ""
    items: Text = ""
    """For “threaded on before”: what of the earlier step goes on first."""
    still_protects: bool = True
    """For “better before”: whether it still protects something on the way back."""
