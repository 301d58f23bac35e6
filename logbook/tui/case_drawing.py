"""A case drawn to scale from three sides: its panels, what is inside, its openings, and held sizes as dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from logbook.casework import HeldResult, WorkedCase, WorkedPanel, mm
from logbook.casework.case_room import Extent, SolidBody, bodies_in, opening_body
from logbook.casework.compartments import clear_between, lies_between
from logbook.casework.lookup import axis_of
from logbook.casework.sizes import Extents
from logbook.casework.worked import MemberCase
from logbook.model.casework_records import HeldDimension, Opening
from logbook.model.measures import TICKS_PER_MM
from logbook.model.unit import Unit
from logbook.model.words import Axis, HeldKind, PanelRole
from logbook.render.glyphs import Glyphs
from logbook.render.plain import clean
from logbook.tui.look.inks import BLANK, Line, fit, line, width_of
from logbook.tui.look.palette import hue
from logbook.tui.look.to_scale import CaseView, Dimension, Disc, DrawnFace, RectangleKind, view_lines, view_size

GAP = 3
"""Columns between views side by side."""
LEAST = 20
"""Columns below which a view says nothing more."""


class DrawnSide(NamedTuple):
    """From where a case is looked at: which extent runs to the right, which upwards."""

    title: str
    across: Axis
    up: Axis
    seen: PanelRole
    """The panel whose face is seen; the others are seen on their edges."""
    open: tuple[PanelRole, ...]
    """Panels that would hide everything and are taken as open."""


FRONT = DrawnSide("front", Axis.WIDTH, Axis.HEIGHT, PanelRole.FRONT, (PanelRole.BACK,))
SIDE = DrawnSide(
    "side, the front at the left",
    Axis.DEPTH,
    Axis.HEIGHT,
    PanelRole.UNSAID,
    (PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES),
)
TOP = DrawnSide("top, the back above", Axis.WIDTH, Axis.DEPTH, PanelRole.UNSAID, (PanelRole.TOP, PanelRole.BOTTOM))
THIN = 5 * TICKS_PER_MM
"""What is thinner, such as a flange or a glass, is not drawn from its edge."""


def panel_hues(worked: WorkedCase | None) -> dict[str, str]:
    """The hue of each panel, in their order."""
    panels = worked.panels if worked is not None else ()
    return {code: hue(number) for number, code in enumerate(dict.fromkeys(p.record.code for p in panels))}


def case_views(unit: Unit, worked: WorkedCase | None) -> tuple[CaseView, ...]:
    """Front, side and top of the case, of the first member of a set; none while its outside is not known."""
    if worked is None or not worked.members or worked.members[0].frame.outside is None:
        return ()
    drawn = _Drawn(unit, worked, worked.members[0])
    return tuple(drawn.view(side) for side in (FRONT, SIDE, TOP))


class _Drawn:
    """One member's case being drawn."""

    def __init__(self, unit: Unit, worked: WorkedCase, member: MemberCase) -> None:
        self.member = member
        self.hues = panel_hues(worked)
        self.held = unit.held_dimensions
        self.results = {result.code: result for result in worked.held}
        boxes = [box for panel in member.panels for box in _boxes(panel, member)]
        self.least = {
            Axis.WIDTH: min([0, *(box.left for box in boxes)]),
            Axis.HEIGHT: min([0, *(box.bottom for box in boxes)]),
            Axis.DEPTH: min([0, *(box.front for box in boxes)]),
        }
        self.most = dict(zip((Axis.WIDTH, Axis.HEIGHT, Axis.DEPTH), member.frame.outside or (0, 0, 0), strict=True))

    def view(self, side: DrawnSide) -> CaseView:
        title = side.title
        if self.member.member:
            title += f", {clean(self.member.member, limit=20)}"
        faces, discs = list(self.bodies(side)), []
        for panel in self.member.panels:
            if panel.role not in side.open:
                faces += [self.panel(panel, box, side) for box in _boxes(panel, self.member)]
            if panel.role is side.seen:
                holes, round_ones = self.openings(panel)
                faces += holes
                discs += round_ones
        seen = [face for face in faces if face.kind is RectangleKind.PART and min(face.length, face.width) > 0]
        large = [face for face in seen if self._is_seen(face, side)]
        rest = [face for face in faces if face not in large]
        return CaseView(
            title,
            self.most[side.across] / TICKS_PER_MM,
            self.most[side.up] / TICKS_PER_MM,
            (*large, *rest),
            tuple(discs),
            tuple(self.dimensions(side, side.across)),
            tuple(self.dimensions(side, side.up))[:1],
        )

    def _is_seen(self, face: DrawnFace, side: DrawnSide) -> bool:
        codes = {panel.record.code for panel in self.member.panels if panel.role is side.seen}
        return face.name in codes

    def place(self, axis: Axis, ticks: int) -> float:
        """A place along an axis in mm from the outside."""
        return (ticks - self.least[axis]) / TICKS_PER_MM

    def panel(self, panel: WorkedPanel, box: Extents, side: DrawnSide) -> DrawnFace:
        extents = {
            Axis.WIDTH: (box.left, box.right),
            Axis.HEIGHT: (box.bottom, box.top),
            Axis.DEPTH: (box.front, box.rear),
        }
        (x0, x1), (y0, y1) = extents[side.across], extents[side.up]
        x, y = self.place(side.across, x0), self.place(side.up, y0)
        ink = self.hues.get(panel.record.code, hue(0))
        length, high = (x1 - x0) / TICKS_PER_MM, (y1 - y0) / TICKS_PER_MM
        return DrawnFace(x, y, length, high, (), ink, RectangleKind.PART, clean(panel.record.code, limit=16))

    def bodies(self, side: DrawnSide) -> Iterator[DrawnFace]:
        """What is inside, where its extents are known; behind a front it is not seen."""
        closed = any(panel.role is side.seen for panel in self.member.panels)
        if closed:
            return
        for body in bodies_in(self.member.case, self.member.frame, ()):
            extents = self._extents(body)
            across, up = extents[side.across], extents[side.up]
            if body.fixed or None in (*across, *up):
                continue
            x0, x1, y0, y1 = across.low or 0, across.high or 0, up.low or 0, up.high or 0
            if min(x1 - x0, y1 - y0) < THIN:
                continue
            x, y = self.place(side.across, x0), self.place(side.up, y0)
            words = (clean(body.what, limit=30), f"{mm(x1 - x0)} x {mm(y1 - y0)}")
            size = ((x1 - x0) / TICKS_PER_MM, (y1 - y0) / TICKS_PER_MM)
            yield DrawnFace(x, y, *size, words, "rule", RectangleKind.OUTLINE, clean(body.code, limit=16))

    def _extents(self, body: SolidBody) -> dict[Axis, Extent]:
        ahead = self.member.frame.front_taken or 0
        back = Extent(*(None if place is None else place + ahead for place in body.back))
        return {Axis.WIDTH: body.across, Axis.HEIGHT: body.up, Axis.DEPTH: back}

    def openings(self, panel: WorkedPanel) -> tuple[list[DrawnFace], list[Disc]]:
        faces, discs = [], []
        for opening in panel.record.openings:
            hole = opening_body(opening)
            low, high, under, over = hole.across.low, hole.across.high, hole.up.low, hole.up.high
            if low is None or high is None or under is None or over is None or low == high:
                continue
            x, y = self.place(Axis.WIDTH, low), self.place(Axis.HEIGHT, under)
            wide, tall = (high - low) / TICKS_PER_MM, (over - under) / TICKS_PER_MM
            words = _opening_words(opening)
            if hole.round is not None:
                discs.append(Disc(x + wide / 2, y + tall / 2, wide, words[0]))
                if opening.counterbore is not None and opening.diameter is not None:
                    through = opening.diameter.ticks / TICKS_PER_MM
                    discs.append(Disc(x + wide / 2, y + tall / 2, through))
            else:
                faces.append(DrawnFace(x, y, wide, tall, words, "rule", RectangleKind.OPENING))
        return faces, discs

    def dimensions(self, side: DrawnSide, axis: Axis) -> Iterator[Dimension]:
        """Held sizes along an axis, then the outside."""
        inside = {
            Axis.WIDTH: (0, self.member.frame.width),
            Axis.HEIGHT: (0, self.member.frame.height),
            Axis.DEPTH: self._depth(),
        }[axis]
        for held in self.held:
            along = axis_of(held) is axis and held.member in ("", self.member.member)
            if not along or inside[1] is None:
                continue
            if lies_between(held):
                found = self._clear(held, axis, inside[1])
                if found is not None:
                    yield self._dimension(held, axis, *found)
            elif held.kind is HeldKind.INSIDE and not (side is SIDE and axis is Axis.HEIGHT):
                yield self._dimension(held, axis, inside[0], inside[1])
            elif held.kind is HeldKind.CLEARANCE and side is SIDE and axis is Axis.HEIGHT:
                top = self._top_of(held.at)
                if top is not None:
                    yield self._dimension(held, axis, top, inside[1])
        words = mm(self.most[axis])
        yield Dimension(0, self.most[axis] / TICKS_PER_MM, words, "text", words)

    def _clear(self, held: HeldDimension, axis: Axis, whole: int) -> tuple[int, int] | None:
        """From where to where a held size between two panels reaches."""
        low, high = ("bottom", "top") if axis is Axis.HEIGHT else ("left", "right")
        stands = {
            p.record.code: (getattr(p.box, low), getattr(p.box, high))
            for p in self.member.panels
            if p.box is not None and p.role in (PanelRole.SHELF, PanelRole.DIVIDER)
        }
        return clear_between(held, self.member.case, stands, whole)

    def _depth(self) -> tuple[int, int | None]:
        frame = self.member.frame
        ahead = frame.front_taken or 0
        return ahead, None if frame.depth is None else ahead + frame.depth

    def _top_of(self, code: str) -> int | None:
        bodies = bodies_in(self.member.case, self.member.frame, ())
        return next((body.up.high for body in bodies if body.code == code), None)

    def _dimension(self, held: HeldDimension, axis: Axis, start: int, end: int) -> Dimension:
        code = clean(held.code, limit=16)
        result = self.results.get(held.code)
        words = f"{code}  {clean(result.wanted, limit=40)}" if result is not None else code
        return Dimension(self.place(axis, start), self.place(axis, end), words, _holds_ink(result), code)


def _holds_ink(result: HeldResult | None) -> str:
    if result is None or result.holds is None:
        return "wait"
    return "good" if result.holds else "bad"


def _opening_words(opening: Opening) -> tuple[str, ...]:
    what = clean(opening.what, limit=30)
    let_in = _let_in_words(opening)
    if let_in:
        shape = (f"{opening.size.length.in_mm()} x {opening.size.width.in_mm()}",) if opening.size is not None else ()
        hole = f" Ø{opening.diameter.in_mm()}" if opening.diameter is not None else ""
        return f"{what}{hole}, {let_in}", *shape
    if opening.size is not None:
        return what, f"{opening.size.length.in_mm()} x {opening.size.width.in_mm()}"
    return (f"{what} Ø{opening.diameter.in_mm()}" if opening.diameter is not None else what,)


def _let_in_words(opening: Opening) -> str:
    if opening.counterbore is not None:
        return f"Ø{opening.counterbore.diameter.in_mm()} {opening.counterbore.depth.in_mm()} deep"
    return f"{opening.recess.in_mm()} deep" if opening.recess is not None else ""


def _boxes(panel: WorkedPanel, member: MemberCase) -> Iterator[Extents]:
    """Where a panel stands; a pair of sides stands at both ends."""
    if panel.box is None:
        return
    yield panel.box
    width = member.frame.width
    if panel.role is PanelRole.SIDES and width is not None:
        yield panel.box._replace(left=width - panel.box.right, right=width - panel.box.left)


# On a pane


Shelves = tuple[tuple[CaseView, ...], ...]


class Arranged(NamedTuple):
    """Views on one scale, shelf by shelf."""

    shelves: Shelves
    mm: float
    """To a column."""


def arranged_views(views: Sequence[CaseView], columns: int, rows: int) -> Arranged | None:
    """The views in the arrangement in which they are largest; those that find no room are left out.

    Args:
        views: front, side and top.
        columns: room.
        rows: room.
    """
    for choices in _arrangements(views):
        scales = [(_scale(shelves, columns, rows), shelves) for shelves in choices]
        fitting = [found for found in scales if found[0]]
        if fitting:
            scale, shelves = min(fitting, key=lambda found: found[0])
            return Arranged(shelves, scale)
    return None


def _arrangements(views: Sequence[CaseView]) -> Iterator[tuple[Shelves, ...]]:
    """All three where they can be read, in whatever way they are largest; else fewer."""
    if len(views) == 3:
        front, side, top = views
        yield ((front, side), (top,)), ((front, side, top),)
        yield (((front, side),),)
        yield (((front,),),)


def _scale(shelves: Shelves, columns: int, rows: int) -> float:
    """Millimetres to a column, as few as fit; 0 when a view would be too small to be read."""
    widest = max(view.width for shelf in shelves for view in shelf)
    scale = widest / max(1, columns)
    while scale <= widest / LEAST:
        if _fits(shelves, scale, columns, rows):
            return scale
        scale *= 1.02
    return 0


def _fits(shelves: Shelves, scale: float, columns: int, rows: int) -> bool:
    high = len(shelves) - 1
    for shelf in shelves:
        sizes = [view_size(view, scale) for view in shelf]
        if sum(wide for wide, _ in sizes) + GAP * (len(shelf) - 1) > columns:
            return False
        high += max(tall for _, tall in sizes)
    return high <= rows


def drawn_views(arranged: Arranged | None, columns: int, chosen: str, g: Glyphs) -> list[Line]:
    """The views as lines.

    Args:
        arranged: as `arranged_views` found; None draws nothing.
        columns: width of each line.
        chosen: name of the panel or held size under the cursor.
        g: signs.
    """
    rows: list[Line] = []
    if arranged is None:
        return rows
    for shelf in arranged.shelves:
        blocks = [view_lines(view, arranged.mm, chosen, g) for view in shelf]
        for number in range(max(len(block) for block in blocks)):
            row: Line = BLANK
            for block in blocks:
                wide = width_of(block[0])
                row = line(row, " " * GAP if row else "", block[number] if number < len(block) else " " * wide)
            rows.append(fit(row, columns))
        rows.append(BLANK)
    return rows[:-1]
