"""What takes up room in a case, and how far apart two such things are: components, flanges, strips, dividers.

Every extent is in ticks from the datum; back counts from the inner face of the front, so that what lies on the outer
face has negative figures and never meets what lies inside. An extent that was not said is unknown, never nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt
from typing import NamedTuple

from logbook.casework.case_frame import CUBIC_MM_PER_LITRE, Frame
from logbook.casework.lookup import role_of, ticks
from logbook.casework.panels import WorkedPanel
from logbook.model.case_plan import Fitting
from logbook.model.casework_records import Case, Opening, Panel, Strip
from logbook.model.measures import TICKS_PER_MM
from logbook.model.words import Face, PanelRole

CUBIC_TICKS_PER_LITRE = CUBIC_MM_PER_LITRE * TICKS_PER_MM**3


class Extent(NamedTuple):
    """From and to along one axis; None where it was not said."""

    low: int | None
    high: int | None

    def gap(self, other: Extent) -> int | None:
        """How far apart; negative when they overlap, None when that cannot be known."""
        ahead = None if other.low is None or self.high is None else other.low - self.high
        behind = None if self.low is None or other.high is None else self.low - other.high
        known = [g for g in (ahead, behind) if g is not None]
        if len(known) == 2 or any(g >= 0 for g in known):
            return max(known)
        return None


@dataclass(frozen=True, slots=True)
class SolidBody:
    """One thing with its extents across, up and back."""

    code: str
    what: str
    across: Extent
    up: Extent
    back: Extent
    round: tuple[int, int, int] | None = None
    """Centre and radius seen from the front, when it is round."""
    wanted: int = 0
    """Least gap wanted to anything else."""
    covers: tuple[str, ...] = ()
    fixed: bool = False
    """A part of the case: two such never meet by mistake."""

    @property
    def name(self) -> str:
        """Code and name."""
        return f"{self.code} {self.what}"


def bodies_in(case: Case, frame: Frame, panels: Sequence[WorkedPanel]) -> tuple[SolidBody, ...]:
    """Everything that takes up room: fittings, strips behind the front and before the back, dividers, shelves."""
    fittings = (_of_fitting(f, frame) for f in case.fittings)
    strips = (b for s in case.strips for b in _of_strip(s, case, frame))
    return (*fittings, *strips, *_of_panels(panels, frame))


def _of_fitting(fitting: Fitting, frame: Frame) -> SolidBody:
    across = Extent(_or_none(fitting.left), _or_none(fitting.right))
    up = Extent(_or_none(fitting.bottom), _or_none(fitting.top))
    ring = None
    if fitting.centre is not None:
        x, y = fitting.centre.x.ticks, fitting.centre.y.ticks
        if fitting.diameter is not None:
            ring = (x, y, fitting.diameter.ticks // 2)
            across, up = Extent(x - ring[2], x + ring[2]), Extent(y - ring[2], y + ring[2])
        elif fitting.size is not None:
            half, tall = fitting.size.length.ticks // 2, fitting.size.width.ticks // 2
            across, up = Extent(x - half, x + half), Extent(y - tall, y + tall)
    near, far = _or_none(fitting.near), _or_none(fitting.far)
    back = Extent(near, far)
    if fitting.face is Face.OUTSIDE:
        thick = frame.front or 0
        back = Extent(*(None if d is None else -thick - d for d in (far, near)))
    return SolidBody(fitting.code, fitting.what, across, up, back, ring, ticks(fitting.gap), fitting.covers)


def _or_none(length: object) -> int | None:
    found = getattr(length, "ticks", None)
    return found if isinstance(found, int) else None


def strip_thick(case: Case, strip: Strip, edges: Sequence[str]) -> int:
    """How much of the width or height the strips along these edges of the same panel take."""
    return sum(
        ticks(s.wide) for s in case.strips for e in s.edges if s.on == strip.on and e in edges and s.wide is not None
    )


def strip_length(case: Case, frame: Frame, strip: Strip) -> int | None:
    """Length of a strip that lies along edges of a board: those at the ends run through, the others lie between them.

    Behind a front, back, top or bottom it lies within the inside of the case; behind any other board within the board.
    """
    board = next((p for p in case.panels if p.code == strip.on), None)
    if board is None or not strip.edges:
        return None
    long, across = _behind(board, frame)
    inset = 2 * ticks(strip.inset)
    if strip.edges[0] in ("left", "right"):
        return None if across is None else across - inset
    return None if long is None else long - inset - strip_thick(case, strip, ("left", "right"))


def _behind(board: Panel, frame: Frame) -> tuple[int | None, int | None]:
    """How long and how wide the place behind a board is."""
    role = role_of(board)
    if role in (PanelRole.FRONT, PanelRole.BACK):
        return frame.width, frame.height
    if role in (PanelRole.TOP, PanelRole.BOTTOM):
        return frame.width, frame.depth
    return (None, None) if board.finish is None else (board.finish.length.ticks, board.finish.width.ticks)


def _of_strip(strip: Strip, case: Case, frame: Frame) -> Iterator[SolidBody]:
    role = next((role_of(p) for p in case.panels if p.code == strip.on), None)
    if strip.wide is None or strip.thick is None or frame.width is None or frame.height is None:
        return
    if role is PanelRole.FRONT:
        back = Extent(0, strip.thick.ticks)
    elif role is PanelRole.BACK and frame.depth is not None:
        back = Extent(frame.depth - strip.thick.ticks, frame.depth)
    else:
        return
    wide, width, height, inset = strip.wide.ticks, frame.width, frame.height, ticks(strip.inset)
    first = inset + strip_thick(case, strip, ("left",))
    last = width - inset - strip_thick(case, strip, ("right",))
    upright = Extent(inset, height - inset)
    places = {
        "left": (Extent(inset, inset + wide), upright),
        "right": (Extent(width - inset - wide, width - inset), upright),
        "top": (Extent(first, last), Extent(height - inset - wide, height - inset)),
        "bottom": (Extent(first, last), Extent(inset, inset + wide)),
    }
    for edge in strip.edges:
        if edge in places:
            across, up = places[edge]
            yield SolidBody(strip.code, f"{edge} strip", across, up, back, fixed=True)


def _of_panels(panels: Sequence[WorkedPanel], frame: Frame) -> Iterator[SolidBody]:
    ahead = frame.front_taken or 0
    for p in panels:
        if p.role in (PanelRole.DIVIDER, PanelRole.SHELF) and p.box is not None:
            b = p.box
            across, up, back = Extent(b.left, b.right), Extent(b.bottom, b.top), Extent(b.front, b.rear)
            back = Extent(b.front - ahead, b.rear - ahead)
            yield SolidBody(p.code, p.name, across, up, back, fixed=True)


def seen_gap(a: SolidBody, b: SolidBody) -> int | None:
    """How far apart two things are as seen from the front; None when that cannot be known."""
    if a.round is not None and b.round is not None:
        (ax, ay, ar), (bx, by, br) = a.round, b.round
        return isqrt((ax - bx) ** 2 + (ay - by) ** 2) - ar - br
    for ring, other in ((a.round, b), (b.round, a)):
        if ring is not None and None not in (*other.across, *other.up):
            x, y, radius = ring
            dx = max((other.across.low or 0) - x, 0, x - (other.across.high or 0))
            dy = max((other.up.low or 0) - y, 0, y - (other.up.high or 0))
            return isqrt(dx * dx + dy * dy) - radius
    gaps = [a.across.gap(b.across), a.up.gap(b.up)]
    known = [g for g in gaps if g is not None]
    return max(known) if len(known) == 2 or any(g >= 0 for g in known) else None


def apart(a: SolidBody, b: SolidBody) -> int | None:
    """The gap between two things; negative for a clash, None when it cannot be known."""
    gaps = [seen_gap(a, b), a.back.gap(b.back)]
    known = [g for g in gaps if g is not None]
    return max(known) if len(known) == 2 or any(g >= 0 for g in known) else None


def opening_body(opening: Opening) -> SolidBody:
    """An opening at its widest, as what it takes from its panel, seen from the front."""
    x, y = opening.centre.x.ticks, opening.centre.y.ticks
    ring, half, tall = None, 0, 0
    if opening.size is not None:
        half, tall = opening.size.length.ticks // 2, opening.size.width.ticks // 2
    elif opening.diameter is not None:
        mouth = opening.counterbore.diameter.ticks if opening.counterbore is not None else 0
        half = tall = max(opening.diameter.ticks, mouth) // 2
        ring = (x, y, half)
    return SolidBody("", opening.what, Extent(x - half, x + half), Extent(y - tall, y + tall), Extent(None, None), ring)


def room_above(body: SolidBody, frame: Frame) -> int | None:
    """From the top of a thing to the inside of the case above it."""
    return None if body.up.high is None or frame.height is None else frame.height - body.up.high


def room_beside(body: SolidBody, frame: Frame) -> int | None:
    """From a thing to the nearer side."""
    if body.across.low is None or body.across.high is None or frame.width is None:
        return None
    return min(body.across.low, frame.width - body.across.high)


def room_behind(body: SolidBody, frame: Frame) -> int | None:
    """From the rear of a thing to the plane of the back."""
    return None if body.back.high is None or frame.depth is None else frame.depth - body.back.high


def taken_volume(case: Case, frame: Frame, panels: Sequence[WorkedPanel]) -> tuple[Fraction, tuple[str, ...]]:
    """Room that braces and parts take, in litres, and what could not be counted."""
    taken, unknown = Fraction(0), []
    for f in case.fittings:
        if f.face is Face.OUTSIDE:
            continue
        volume = Fraction(f.litres) if f.litres is not None else _box_litres(_of_fitting(f, frame))
        taken += volume or 0
        if volume is None:
            unknown.append(f"{f.code} {f.what}")
    for strip in case.strips:
        if strip.wide is not None and strip.thick is not None:
            section = strip.wide.ticks * strip.thick.ticks
            taken += Fraction(section * strip.length.ticks * strip.quantity, CUBIC_TICKS_PER_LITRE)
        else:
            unknown.append(f"{strip.code} {strip.name}")
    for b in _of_panels(panels, frame):
        volume = _box_litres(_inside_only(b, frame))
        taken += volume or 0
    return taken, tuple(unknown)


def _inside_only(body: SolidBody, frame: Frame) -> SolidBody:
    """A divider without what sits in its joints."""
    across = Extent(max(body.across.low or 0, 0), min(body.across.high or 0, frame.width or 0))
    up = Extent(max(body.up.low or 0, 0), min(body.up.high or 0, frame.height or 0))
    return SolidBody(body.code, body.what, across, up, body.back)


def _box_litres(body: SolidBody) -> Fraction | None:
    if None in (*body.across, *body.up, *body.back):
        return None
    sizes = [(e.high or 0) - (e.low or 0) for e in (body.across, body.up, body.back)]
    cubic = Fraction(sizes[0] * sizes[1] * sizes[2], CUBIC_TICKS_PER_LITRE)
    return cubic * Fraction(355, 452) if body.round is not None else cubic
