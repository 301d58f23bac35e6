"""The signs that bars, rules and drawings are made of: fine ones, and ASCII of the same widths."""

from __future__ import annotations

from typing import NamedTuple


class Glyphs(NamedTuple):
    """One set of signs; each takes one column."""

    fine: bool
    track: str
    """Of a bar that is not filled."""
    full: str
    """Of a bar that is."""
    ready: str
    """Between the two: could be done now."""
    half: str
    """Half a cell of a bar."""
    steps: str
    """A column from nothing to a whole row, in equal steps."""
    limit: str
    left: str
    """End of a dimension line, and so the next."""
    right: str
    upper: str
    lower: str
    across: str
    """Between the ends of a dimension line."""
    upright: str
    point: str
    grid: str
    edge: str
    """At the left edge of a block."""
    hatch: str
    """On what is kept."""
    waste: str
    defect: str
    """On what is wrong in a piece, such as a split end."""
    window: str
    """An open window of time."""
    closes: str
    """Where it ends."""
    onward: str
    """Goes on after the edge."""
    since: str
    """Began before it."""
    to: str
    """Becomes."""
    grain_along: str
    grain_up: str
    cursor: str
    patterns: str
    """For the hues in their order, where there is no colour."""
    range_low: str
    """Low end of a range of amounts, and so the next."""
    range_high: str
    expected: str
    """What is expected within a range."""
    parts: str
    """Of a block that grows from the left: from the smallest part of a cell to the whole."""
    gone: str
    """A block of what is spent already."""
    perhaps: str
    """A block of what may come."""


FINE = Glyphs(
    fine=True,
    track="─",
    full="━",
    ready="╍",
    half="╸",
    steps=" ▁▂▃▄▅▆▇█",
    limit="┃",
    left="├",
    right="┤",
    upper="┬",
    lower="┴",
    across="─",
    upright="│",
    point="●",
    grid="┊",
    edge="▏",
    hatch="\u2571",
    waste="·",
    defect="▓",
    window="═",
    closes="┫",
    onward="►",
    since="◄",
    to="→",
    grain_along="──►",
    grain_up="▲",
    cursor="▌",
    patterns=" \u2571·─╲┄",
    range_low="┣",
    range_high="┫",
    expected="◆",
    parts="▏▎▍▌▋▊▉█",
    gone="▒",
    perhaps="░",
)
ASCII = Glyphs(
    fine=False,
    track="-",
    full="#",
    ready="=",
    half="#",
    steps=" 123456789",
    limit="!",
    left="|",
    right="|",
    upper="+",
    lower="+",
    across="-",
    upright="|",
    point="*",
    grid=":",
    edge="|",
    hatch="/",
    waste=".",
    defect="#",
    window="=",
    closes="]",
    onward=">",
    since="<",
    to=">",
    grain_along="-->",
    grain_up="^",
    cursor=">",
    patterns=" /.-\\=",
    range_low="[",
    range_high="]",
    expected="O",
    parts="########",
    gone="=",
    perhaps=".",
)


def block(share: float, columns: int, g: Glyphs = FINE) -> str:
    """A block from the left, not filled up, in parts of a cell: some for more than 0, not all for less than 1."""
    whole_cell = parts_of_a_cell(g)
    whole = columns * whole_cell
    parts = round(max(0.0, min(1.0, share)) * whole)
    if share > 0:
        parts = max(1, parts)
    if share < 1:
        parts = min(parts, whole - 1)
    cells, rest = divmod(max(0, parts), whole_cell)
    return g.parts[-1] * cells + (g.parts[rest - 1] if rest else "")


def parts_of_a_cell(g: Glyphs) -> int:
    """Into how many parts a cell can be cut: ASCII has no parts."""
    return len(g.parts) if g.fine else 1


_BARE = str.maketrans(
    "\u00a0▁▂▃▄▅▆▇█▏▎▍▌▋▊▉…·×–—−“”’≥≤±Øø→►◄▲▼●◆✓─━═╍┄│┃┊├┤┬┴┣┫╸\u2571╲◆▒░▓┌┐└┘┼",
    ' _______#|||||##~.x---""\'><~Oo>><^v*O+----=|||||++[]-/\\O=.#+++++',
)


def near(sign: str) -> str:
    """One sign of ours in ASCII, of the same width; `?` for any other."""
    found = sign.translate(_BARE)
    return found if found.isascii() else "?"


def bare(words: str) -> str:
    """For a terminal without UTF-8: signs of ours as ASCII of the same width, everything else as `?`."""
    if words.isascii():
        return words
    return words.translate(_BARE).encode("ascii", "replace").decode()


def glyphs_for(encoding: str, terminal: str) -> Glyphs:
    """Fine ones where the output is UTF-8 and the terminal is no bare console.

    Args:
        encoding: of the output, such as `utf-8`.
        terminal: name of its kind, as in `TERM`.
    """
    utf8 = encoding.casefold().replace("-", "").replace("_", "") in ("utf8", "utf8sig")
    return FINE if utf8 and terminal not in ("linux", "dumb") else ASCII
