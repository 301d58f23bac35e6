"""A layout as it is kept with a unit: what was wanted, how each piece is divided, and which cuts are made.

A piece is kept as it was when it was laid out, because it leaves the scrap pile once it is cut.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from logbook.model.base import Count, Frozen, Moment, Name, Text, UnitCode
from logbook.model.measures import Length
from logbook.model.shop import Offcut
from logbook.model.words import Grain


class WantedPart(Frozen):
    """A part as it was asked for, with the size at which it leaves the saw."""

    code: Name
    quantity: Count = 1
    length: Length
    width: Length
    material: Name
    thickness: Length
    grain: Grain = Grain.LENGTH
    together: Text = ""
    """Parts with the same word come from one board, in their order."""
    unit: Text = ""


class Division(Frozen):
    """One rectangle on the way from a piece to its parts: cut in two, a part, or a leftover.

    The divisions of a piece stand in the order: a rectangle, then what is on the reference side of its cut, then
    what is beyond.
    """

    axis: Text = ""
    """“x”: crosscut at a distance along the length; “y”: rip at a distance across it; empty: not cut any more."""
    at: Length | None = None
    """Distance of the cut from the reference side, up to the saw."""
    part: Text = ""
    turned: bool = False
    trim: bool = False
    """The cut only trues an edge: what is on the reference side is waste."""


class LaidPiece(Frozen):
    """A piece and how it is divided."""

    piece: Offcut
    """As it was when it was laid out."""
    length: Length
    """What of its length is laid out, from the corner."""
    width: Length
    kerf: Length
    trim_x: Length
    trim_y: Length
    divisions: tuple[Division, ...] = ()
    finished: bool = False
    """Every cut is made, and what was left over is back on the pile or in the bin."""


class LeftOut(Frozen):
    """A part without a place, and why."""

    part: Name
    quantity: Count
    why: Text = ""


class KeptLayout(Frozen):
    """A layout that was chosen for a unit, alone or with others."""

    what: Name
    """Which parts it is for: “panels”, “veneer”, “strips”."""
    with_units: tuple[UnitCode, ...] = ()
    """Other units whose parts are in it."""
    chosen_at: Moment | None = None
    kerf: Length
    trim: Length
    thickness_tolerance: Length
    parts: tuple[WantedPart, ...] = ()
    pieces: tuple[LaidPiece, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    to_buy: tuple[Text, ...] = ()
    """The smallest purchases that would give them a place, in sentences."""
    done: tuple[Count, ...] = ()
    """Numbers of the cuts that are made, in the order of `logbook.layout.cuts_of`."""
    proven: bool = False
    """No layout of the same parts uses pieces of less value."""
    fewest_pieces: bool = False
    """It cannot be done with fewer pieces."""
    cut: tuple[WantedPart, ...] = ()
    """Parts that were cut and good before the rest was laid out again."""
    spoilt: tuple[Text, ...] = ()
    """Codes of parts that were cut and came to nothing, in the order in which it happened."""


def parts_cut(layouts: Sequence[KeptLayout], unit: str) -> tuple[tuple[WantedPart, int], ...]:
    """The parts of a unit that are cut and good, with how many: those of finished pieces, and of earlier layouts."""
    found = []
    for kept in layouts:
        counts = Counter(d.part for p in kept.pieces if p.finished for d in p.divisions if d.part)
        for part in (*kept.cut, *kept.parts):
            count = part.quantity if part in kept.cut else counts[part.code]
            if count and part.unit in ("", unit):
                found.append((part, count))
    return tuple(found)
