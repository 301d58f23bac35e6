"""What a page of paper is made of, whether it becomes text, Markdown, a web page or print.

The words in it are the person's own and are cleaned when a block is made; signs that a hand will fill in
(boxes, blank lines) are values of their own, so that no typed text can pass for one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, StrEnum

from logbook.render.plain import clean

MOST = 20_000
"""Characters of one piece of user text that are set; what is cut is counted in the text."""


class Sign(Enum):
    """A place for the pencil. The value is how it stands in plain text."""

    BOX = "[\u00a0]"
    """A box to tick that no line end comes into."""
    TICKED = "[x]"
    BLANK = "________"
    """A short line to write on, such as for initials."""
    LONG_BLANK = "________________"
    REST = "________ "
    """A line to write on up to the right edge; it comes last."""


Run = str | Sign
Runs = tuple[Run, ...]
Words = str | Runs
"""Text, or texts and signs in turn."""


class Tone(StrEnum):
    """What a paragraph is, for whoever sets it; every tone also reads as plain words."""

    PLAIN = ""
    TITLE = "title"
    """What is to be done at a line of a list."""
    HAZARD = "hazard"
    HOLD = "hold"
    FIRST = "first"
    LARGE = "large"
    """Said in big letters, to be read from two metres."""
    FIXED = "fixed"
    """Drawn with characters: every one takes the same room, and blanks count."""
    NOTE = "note"
    """Said in smaller letters."""


@dataclass(frozen=True, slots=True)
class Ends:
    """Something at both ends of a line."""

    left: Runs
    right: Runs
    mark: Runs = ()
    """What stands before the left end, such as a box and an amount."""


@dataclass(frozen=True, slots=True)
class PageRule:
    """A line across the page."""


@dataclass(frozen=True, slots=True)
class Gap:
    """An empty line."""


@dataclass(frozen=True, slots=True)
class Head:
    """A heading."""

    words: str


@dataclass(frozen=True, slots=True)
class Item:
    """A paragraph after a mark; without a mark it is a plain paragraph."""

    mark: Runs
    words: Runs
    indent: int = 0
    """Columns before the mark."""
    tone: Tone = Tone.PLAIN


@dataclass(frozen=True, slots=True)
class Table:
    """Rows in columns; all rows have the same number of cells."""

    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    """Columns that are set to the right, such as amounts."""
    widest: int = 0
    """The column that gives way first."""
    headed: bool = False
    """Whether the first row says what the columns are."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo of the unit's folder."""

    file: str
    """Name inside the unit's `photos` folder."""
    caption: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """Photos side by side."""

    pictures: tuple[Picture, ...]
    beside: bool = False
    """On paper they stand small beside what they belong to, not below it: it saves pages."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A rectangle of a drawing, from the reference corner: x to the right, y upwards. All in one unit."""

    x: int
    y: int
    length: int
    width: int
    kind: str
    """`part`, `keep`, `waste`, `defect`, `usable` for the edge of what can be used, `around` for what cannot."""
    labels: tuple[str, ...] = ()
    grain: str = ""
    """`x` or `y`: which way the grain runs; empty: neither."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A piece with what lies on it, drawn to scale on paper and with characters in plain text."""

    length: int
    width: int
    per_mm: int
    """How many units are a millimetre."""
    shapes: tuple[Shape, ...]
    lines: tuple[str, ...]
    """The same drawn with characters."""


class PlotMark(StrEnum):
    """How a stretch of a plot is drawn; each is told from the others without colour."""

    SOLID = "solid"
    """A dark bar."""
    GREY = "grey"
    """A light bar with an edge."""
    OPEN = "open"
    """A bar with nothing but its edge."""
    RANGE = "range"
    """A line with a stroke at each end."""
    POINT = "point"
    """A dot where it begins."""
    LIMIT = "limit"
    """The heavy line through all rows."""
    NOUGHT = "nought"
    """The thin line through all rows."""


@dataclass(frozen=True, slots=True)
class PlotBar:
    """A stretch of a row, in shares of its width from 0 to 1. A picture only: the exact figure is in words."""

    begin: float
    end: float
    mark: PlotMark


@dataclass(frozen=True, slots=True)
class PlotRow:
    """One thing of a plot: its name, what is drawn, its figure."""

    name: str
    bars: tuple[PlotBar, ...]
    figure: str


@dataclass(frozen=True, slots=True)
class Plot:
    """Rows on one scale, drawn as shapes on paper and on a web page, with characters in plain text."""

    rows: tuple[PlotRow, ...]
    meanings: tuple[tuple[PlotMark, str], ...] = ()
    """What its marks and the lines through all rows mean."""
    caption: str = ""
    """What else is to be said of it."""
    limit: float | None = None
    """Where a heavy line runs through all rows, as a share of the width."""
    nought: float | None = None
    """The same of a thin line, where the amounts are nothing."""


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins on a new page of paper; in a text it is an empty line."""


@dataclass(frozen=True, slots=True)
class Group:
    """Blocks that are kept together on a page when they fit on one."""

    blocks: tuple[Block, ...]


Block = Ends | PageRule | Gap | Head | Item | Table | Pictures | Drawing | Plot | NewPage | Group


def runs(words: Words, *, lines: bool = False) -> Runs:
    """Words as cleaned runs; with `lines` the line ends in them are kept."""
    parts = (words,) if isinstance(words, str) else words
    cleaned = (p if isinstance(p, Sign) else clean(p, limit=MOST, lines=lines) for p in parts)
    return tuple(p for p in cleaned if p != "")


def as_text(of: Runs) -> str:
    """Runs as plain text."""
    return "".join(r if isinstance(r, str) else r.value for r in of)


def flat(blocks: tuple[Block, ...]) -> Iterator[Block]:
    """The blocks without their groups."""
    for block in blocks:
        if isinstance(block, Group):
            yield from flat(block.blocks)
        else:
            yield block
