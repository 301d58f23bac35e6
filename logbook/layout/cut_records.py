"""What a layout is asked with and what it answers: parts, pieces, rules, placements, cuts, leftovers.

Every length is a whole number of ticks of 1/80,000 mm (`logbook.model.measures`), so that nothing is rounded.
x runs along the length of a piece and y across it, both from the corner between its two reference edges.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from logbook.model.measures import TICKS_PER_MM
from logbook.model.usual_lengths import USUAL
from logbook.model.words import Grain

MM = TICKS_PER_MM

SHORT_RIP = 300 * MM
SHORT_CROSSCUT = 150 * MM
"""What is shorter is not ripped, or not crosscut, on a table saw (saw manuals; limits as in the trade's practice)."""


@dataclass(frozen=True, slots=True)
class PartToCut:
    """A part that is wanted, with the size at which it leaves the saw."""

    code: str
    quantity: int
    length: int
    width: int
    material: str
    thickness: int
    """What it was drawn for; the piece must measure that within the tolerance."""
    grain: Grain = Grain.LENGTH
    """Which way the grain runs on the part."""
    together: str = ""
    """Parts with the same word here come from one board, in the order given, with only the kerf between them."""
    unit: str = ""
    """Code of the unit it belongs to; empty means that of the rules. Matters for reserved pieces."""
    only_from: str = ""
    """Code of the one piece it may come from; empty: any that fits."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on a piece."""

    x: int
    y: int
    length: int
    width: int

    @property
    def area(self) -> int:
        """In square ticks."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece that can be cut: its usable rectangle, and what of that is no good."""

    code: str
    material: str
    thickness: tuple[int, ...]
    """As read by calliper; empty when it was never measured, and then nothing is cut from it."""
    length: int
    width: int
    grain: Grain = Grain.LENGTH
    value: Decimal | None = None
    """What it is worth to its owner; None: its area stands in, at the price of priced pieces of its material."""
    defects: tuple[Box, ...] = ()
    reserved_for: str = ""
    """Code of the unit it is promised to; empty when it is free."""
    trim_x: int | None = None
    """Squaring trim at the end x = 0; None: that of the rules; 0: that end is square already."""
    trim_y: int | None = None
    """Squaring trim at the edge y = 0; None: that of the rules; 0: that edge is true already."""
    kerf: int | None = None
    """None: that of the rules; 0 for what is cut with a knife."""
    keep_length: int | None = None
    keep_width: int | None = None
    """Long and short side from which a leftover of it is kept; None: those of the rules."""
    parent: str = ""
    """Code of the piece it was cut from, when it is one of the rests of a layout under way."""
    at: tuple[int, int] = (0, 0)
    """Where its corner lay on that piece."""


@dataclass(frozen=True, slots=True)
class Rules:
    """How it is cut, and how long is searched.

    The search ends after so many rounds or seconds, whichever is first. The same seed and rounds give the same answer,
    whatever the machine, as long as the seconds do not end it.
    """

    kerf: int = USUAL["kerf"].ticks
    trim: int = USUAL["trim"].ticks
    thickness_tolerance: int = USUAL["thickness_tolerance"].ticks
    keep_length: int = USUAL["keep_length"].ticks
    keep_width: int = USUAL["keep_width"].ticks
    for_unit: str = ""
    seed: int = 1
    rounds: int | None = 20_000
    seconds: float | None = 10.0

    def kerf_of(self, piece: Piece) -> int:
        """The kerf on a piece."""
        return self.kerf if piece.kerf is None else piece.kerf

    def trims_of(self, piece: Piece) -> tuple[int, int]:
        """The squaring trims of a piece along x and y."""
        return (
            self.trim if piece.trim_x is None else piece.trim_x,
            self.trim if piece.trim_y is None else piece.trim_y,
        )

    def kept_from(self, piece: Piece) -> tuple[int, int]:
        """The long and the short side from which on a leftover of a piece is worth keeping."""
        long = self.keep_length if piece.keep_length is None else piece.keep_length
        short = self.keep_width if piece.keep_width is None else piece.keep_width
        return long, short

    def keeps(self, piece: Piece, length: int, width: int) -> bool:
        """Whether a leftover of this size is worth keeping."""
        long, short = self.kept_from(piece)
        return max(length, width) >= long and min(length, width) >= short


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one part lies: its extent along x (`length`) and along y (`width`) of the piece."""

    part: str
    piece: str
    x: int
    y: int
    length: int
    width: int
    turned: bool
    """Turned: the length of the part lies across the piece."""

    @property
    def box(self) -> Box:
        """The rectangle alone."""
        return Box(self.x, self.y, self.length, self.width)


@dataclass(frozen=True, slots=True)
class Leftover:
    """What is left of a used piece, in one rectangle."""

    piece: str
    x: int
    y: int
    length: int
    width: int
    keep: bool
    defects: tuple[Box, ...] = ()
    """From the corner of the leftover."""


@dataclass(frozen=True, slots=True)
class Node:
    """One rectangle on the way from the piece to its parts: cut in two, a part, or a leftover.

    A cut node has `axis` and two children, `first` at the reference side and `rest` beyond the kerf; `rest` is None
    when the saw takes all that is left. A leaf has a part, or none.
    """

    box: Box
    axis: str = ""
    """“x”: a crosscut, at a distance along x; “y”: a rip, at a distance along y; empty: a leaf."""
    at: int = 0
    """Distance of the cut from the side of the box, up to the saw: the width of what stays on the reference side."""
    first: Node | None = None
    rest: Node | None = None
    part: str = ""
    turned: bool = False
    trim: bool = False
    """The cut only trues an edge or squares an end; `first` is None."""


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut at the saw."""

    piece: str
    order: int
    """Number over all pieces, in the order in which they are made; those with one fence setting stand together."""
    axis: str
    """“y”: along the length of the piece, a rip; “x”: across it, a crosscut."""
    fence: int
    """Distance between fence or stop and blade: the size of what is kept of the cut."""
    setting: int
    """Number of the fence setting; equal for cuts made without moving the fence."""
    cut_from: str
    """What lies on the saw: the piece, or a strip of it by name."""
    keep: str
    """What is kept of the cut on the fence side: a part, a strip by name, or the trued piece itself."""
    rest: str
    """What falls on the other side: a strip by name, a leftover by name, or empty for waste."""
    used: int
    """How much of the piece is used up after it, in the direction in which the cut divides."""
    of: int
    """The size of the piece in that direction."""
    trim: bool = False
    warning: str = ""
    """Why this one is not for the table saw, and the safer way; empty when it is."""


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A part that found no place."""

    part: str
    quantity: int
    why: str
    """A sentence: the nearest miss, or why no piece may be used."""


@dataclass(frozen=True, slots=True)
class PieceToBuy:
    """The smallest piece that would complete the layout, for the parts of one material and thickness."""

    material: str
    thickness: int
    length: int
    width: int
    grain: Grain
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything lies.

    Areas are in square ticks. `bound_value` and `bound_area` cannot be undercut by any layout that places the same
    parts; `proven` says that the value used reaches the bound.
    """

    placements: tuple[Placement, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    used: tuple[str, ...] = ()
    leftovers: tuple[Leftover, ...] = ()
    cuts: tuple[Cut, ...] = ()
    trees: tuple[tuple[str, Node], ...] = ()
    """For each used piece, how it is cut down to its parts."""
    purchases: tuple[PieceToBuy, ...] = ()
    used_area: int = 0
    part_area: int = 0
    bound_area: int = 0
    used_value: Decimal = Decimal(0)
    bound_value: Decimal = Decimal(0)
    proven: bool = False
    """No layout that places the same parts uses pieces of less value."""
    fewest_pieces: bool = False
    """The same parts cannot be placed on fewer pieces."""
    rounds: int = 0
    settings: int = 0
    """How many fence settings."""

    @property
    def complete(self) -> bool:
        """Whether every part has its place."""
        return not self.unplaced

    def with_cuts(self, cuts: tuple[Cut, ...]) -> Layout:
        """The same with its cuts in order."""
        return replace(self, cuts=cuts, settings=len({c.setting for c in cuts}))
