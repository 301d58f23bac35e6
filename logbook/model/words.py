"""The closed lists of the trade: how something came off, what becomes of it, what kind of order holds.

Each value is the plain word as it stands in the record and on paper, so that a book can be read without
the program.
"""

from __future__ import annotations

from enum import StrEnum
from types import MappingProxyType


class Action(StrEnum):
    """How it came off. It decides what putting it back means (see `logbook.reassembly.reversal`)."""

    UNSCREWED = "unscrewed"
    UNPLUGGED = "unplugged"
    UNSOLDERED = "unsoldered"
    CUT = "cut"
    PRISED = "prised"
    SPLIT = "split"
    SLID = "slid"
    LOOSENED = "loosened only"
    RECORDED = "recorded only"
    LIFTED = "lifted out"
    UNHOOKED = "unhooked"
    DRILLED = "drilled out"
    SPRING_RELEASED = "spring released"
    DRAINED = "drained"
    BLED = "bled"
    MARKED = "marked"
    CLEANED = "cleaned"
    MEASURED = "measured"
    DISCARDED = "discarded"
    TRACED = "traced"
    UNCLIPPED = "unclipped"
    PEELED = "peeled off"
    UNDONE = "undone"
    """A strap, a buckle, a knot, a lace."""
    UNSAID = "not said"
    """Nobody wrote down how; it is asked at the desk."""


NOT_UNDONE = frozenset({Action.CUT, Action.DRILLED})
"""What cannot be undone by nature: the stop question is asked before it, also where nobody says one-way."""


class Then(StrEnum):
    """What becomes of a fastener."""

    REUSE = "reuse"
    RENEW = "renew"
    SCRAP = "scrap"
    LOST = "lost"
    """It was there and is gone since it came off: it is bought anew."""


class Certainty(StrEnum):
    """How sure the person was who wrote it."""

    SURE = "sure"
    THINK_SO = "think so"
    GUESS = "guess"


class RelationKind(StrEnum):
    """What the order between two steps means. `earlier` came off before `later`."""

    MUST = "must come off before"
    BETTER = "better before"
    TOGETHER = "together"
    LOOSEN = "loosen first, remove later"
    THREADED = "threaded on before"
    TEST = "test before covering"
    REFIT = "goes back after"
    """Of the way back alone: `later` goes back first; nothing is said about how they came off."""


class OrderBasis(StrEnum):
    """What a step's place in the order rests on."""

    PROVEN = "proven"
    """Nothing stated: it keeps its recorded place, after everything that came off before it."""
    STATED = "stated"
    """Only the stated relations hold; otherwise the step is free."""


class SignalWord(StrEnum):
    """Graded words of hazard, from the worst down (as in ANSI Z535.6 and ISO 3864-2)."""

    DANGER = "DANGER"
    WARNING = "WARNING"
    CAUTION = "CAUTION"
    NOTICE = "NOTICE"

    @property
    def rank(self) -> int:
        """For sorting: 0 for the worst, and so on down."""
        return tuple(SignalWord).index(self)


class JointFound(StrEnum):
    """A joint that cannot be undone as it was made, by how it was found."""

    GLUED = "glued"
    RIVETED = "riveted"
    PINNED = "stapled, pinned or nailed"
    DESOLDERED = "desoldered"
    WIRE_CUT = "wire cut"
    GASKET = "gasket, felt, cloth, tape or wax"
    LOCKED = "locking compound or paint mark"
    CRUSHED = "peeled or crushed"


class Disposition(StrEnum):
    """What will become of a component."""

    UNDECIDED = "undecided"
    TEST = "test first"
    KEEP = "keep"
    CLEAN = "clean"
    REPAIR = "repair"
    RENEW = "renew"
    PATTERN = "pattern"
    SPARE = "spare"
    SCRAP = "scrap"
    HAZARDOUS = "hazardous"


class Stage(StrEnum):
    """Where a unit stands in the job."""

    ARRIVAL = "arrival"
    TEARDOWN = "teardown"
    REBUILD = "rebuild"
    REASSEMBLY = "reassembly"
    CLOSED = "closed"
    STOPPED = "stopped"


AT_REST = frozenset({Stage.CLOSED, Stage.STOPPED})
"""Stages in which nothing is planned, bought or to be done."""


class ConnectionKind(StrEnum):
    """What joins the two points."""

    WIRE = "wire"
    PLUG = "plug"
    HOSE = "hose"
    BELT = "belt"
    LINKAGE = "linkage"


class Source(StrEnum):
    """Where a part or material comes from."""

    BUY = "to buy"
    SALVAGED = "salvaged"
    PILE = "scrap pile"
    SHELF = "shelf"
    SPARE = "another unit's spare"
    MAKE = "newly made"


class Measure(StrEnum):
    """What of a record says how much of a consumable is needed."""

    VENEERED_FACES = "veneered faces"
    SHOW_FACES = "show faces"
    BARE_FACES = "bare faces"
    ONE_FACE = "one face of each panel"
    ALL_EDGES = "all edges"
    JOINT_FACES = "joint faces"
    BANDED_EDGES = "banded edges"
    STRIPS = "strips"
    SOLDERED_ENDS = "soldered ends"


class MixBy(StrEnum):
    """How the parts of a mix are meant; the label on the tin says which."""

    VOLUME = "volume"
    MASS = "mass"


class Supply(StrEnum):
    """How far a part has come."""

    NEEDED = "needed"
    ORDERED = "ordered"
    HERE = "here"


class SetKind(StrEnum):
    """How the members of a set relate to each other."""

    REPEATED = "repeated set"
    HANDED = "handed pair"


class PhotoKind(StrEnum):
    """What a photo is for."""

    WIDE = "wide"
    CLOSE = "close"
    POINTING = "pointing"
    BEFORE = "before"
    AFTER = "after"


class MarkKind(StrEnum):
    """What a mark on a picture is."""

    ARROW = "arrow"
    RING = "ring"
    NUMBER = "number"
    TEXT = "text"


class LinkBasis(StrEnum):
    """How it is known to which step a photo belongs."""

    HAND = "by hand"
    TIME = "by time"
    CARD = "by its card"
    PHONE = "from the phone"


class WorkState(StrEnum):
    """How far an operation has come."""

    TO_DO = "to do"
    DOING = "doing"
    DONE = "done"


class HeldKind(StrEnum):
    """Which dimension is held."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    VOLUME = "volume"
    POSITION = "hole position"
    PROJECTION = "projection"
    CLEARANCE = "clearance"


ALSO_CALLED = MappingProxyType({"rebate": "rabbet", "rebated": "rabbet", "housing": "dado", "miter": "mitre"})
"""Words of the trade that mean the same as a word of a choice here."""


class CaseJoint(StrEnum):
    """The four plain joints of a case; butt in its two ways."""

    BUTT_BETWEEN = "butt, between"
    BUTT_OVER = "butt, over the ends"
    RABBET = "rabbet"
    DADO = "dado"
    MITRE = "mitre"


class Axis(StrEnum):
    """Which way a size of a case runs, seen from the front."""

    UNSAID = "not said"
    WIDTH = "width"
    HEIGHT = "height"
    DEPTH = "depth"


class PanelRole(StrEnum):
    """What a panel is in its case; not said, it follows from the panel's name."""

    UNSAID = "not said"
    TOP = "top"
    BOTTOM = "bottom"
    LEFT = "left side"
    RIGHT = "right side"
    SIDES = "both sides"
    FRONT = "front"
    BACK = "back"
    DIVIDER = "divider"
    SHELF = "shelf"
    OTHER = "other"


class FrontKind(StrEnum):
    """How the front, or the baffle, is put to the case."""

    OPEN = "open"
    BETWEEN = "let in between"
    OVER = "laid on the edges"


class BackKind(StrEnum):
    """How the back is put to the case."""

    OPEN = "open"
    RABBET = "in a rabbet"
    GROOVE = "loose in a groove"
    BLOCKS = "on blocks, set in"
    BETWEEN = "between top and bottom"
    OVER = "laid on the edges"


class Face(StrEnum):
    """On which side of a panel something is."""

    INSIDE = "inside"
    OUTSIDE = "outside"


class StackKind(StrEnum):
    """What a stack of parts through a panel has to give."""

    GRIP = "bolt grip"
    PROJECTION = "projection"
    SCREW = "screw"


class Sawn(StrEnum):
    """How a board lay in the log; it decides how much it moves across its width."""

    FLAT = "flatsawn"
    QUARTER = "quartersawn"


class Grain(StrEnum):
    """Which way the grain runs on a part or a piece."""

    LENGTH = "length"
    WIDTH = "width"
    FREE = "free"


class PieceKind(StrEnum):
    """What a piece of the scrap pile is, as far as cutting and keeping go."""

    SHEET = "sheet"
    SOLID = "solid"
    STRIP = "strip"
    VENEER = "veneer"


class ComparatorKind(StrEnum):
    """What could be done instead of rebuilding, or with the result."""

    NEW = "buy new"
    USED_RESTORED = "buy used, restored"
    USED_AS_IS = "buy used, as is"
    SELL_PARTS = "stop, sell the parts"
    SELL_REBUILT = "sell the rebuilt"
