"""Openings: how much wood is left to edges, rabbets and neighbours, and what lies behind them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.casework.case_frame import Frame
from logbook.casework.case_room import SolidBody, opening_body, seen_gap
from logbook.casework.finding import NEAR, Consequence
from logbook.casework.lookup import mm, ticks
from logbook.casework.panels import WorkedPanel
from logbook.casework.sizes import Extents
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import Opening
from logbook.model.measures import Length
from logbook.model.words import PanelRole


def openings(
    panels: Sequence[WorkedPanel], bodies: Sequence[SolidBody], plan: CasePlan, frame: Frame
) -> Iterator[Consequence]:
    """Openings too near an edge, a rabbet, another opening, or what lies behind them."""
    least = ticks(plan.edge_least, "10 mm")
    for panel in panels:
        holes = [opening_body(o) for o in panel.record.openings]
        for i, hole in enumerate(holes):
            yield from _edges(panel, hole, least, frame)
            for other in holes[i + 1 :]:
                yield from _web(panel, hole, other, least)
            if panel.role is PanelRole.FRONT:
                yield from _behind(panel, hole, bodies)
        for o in panel.record.openings:
            yield from _let_in(panel, o)
            if o.pattern and o.check is None:
                sentence = f"{panel.code} “{o.what}” comes from the pattern “{o.pattern}” and has no check dimension"
                way_out = "Measure one dimension across the pattern and write it down; prove it after transferring."
                yield Consequence("pattern", panel.code, sentence, None, way_out)
            if o.diameter is None and o.size is None:
                sentence = f"{panel.code} “{o.what}” has no size, so its distance from the edges is not known"
                yield Consequence("edge-distance", panel.code, sentence, None, "Give its diameter or its size.")


LEFT_BEHIND = Length.of("3 mm").ticks
"""Least wood left behind a recess or under a head in a counterbore (common practice, no source)."""


def let_in_by(opening: Opening) -> int:
    """How deep an opening is let in without going through, in ticks: its recess or its counterbore."""
    deep = opening.counterbore.depth if opening.counterbore is not None else opening.recess
    return ticks(deep)


def _let_in(panel: WorkedPanel, opening: Opening) -> Iterator[Consequence]:
    """What a recess or a counterbore leaves of its panel."""
    if opening.counterbore is not None:
        yield from _depth_left(panel, opening, opening.counterbore.depth, "counterbore", "under the head")
        if opening.diameter is not None and opening.counterbore.diameter.ticks <= opening.diameter.ticks:
            sentence = (
                f"{panel.code} “{opening.what}”: a counterbore of {opening.counterbore.diameter.in_mm()} is no wider "
                f"than its hole of {opening.diameter.in_mm()}"
            )
            yield Consequence("recess", panel.code, sentence, False, "Make it as wide as the head or washer.")
    elif opening.recess is not None:
        yield from _depth_left(panel, opening, opening.recess, "recess", "behind it")


def _depth_left(panel: WorkedPanel, opening: Opening, deep: Length, name: str, where: str) -> Iterator[Consequence]:
    words = f"{panel.code} “{opening.what}”: a {name} {deep.in_mm()} deep from the {opening.face}"
    if panel.thickness is None:
        sentence = f"{words}; what it leaves is not known"
        yield Consequence("recess", panel.code, sentence, None, "Measure the thickness of the panel.")
        return
    left = panel.thickness - deep.ticks
    if left <= 0:
        sentence = f"{words} comes through: {panel.code} is {mm(panel.thickness)} thick"
        way_out = f"Let it in {mm(max(0, panel.thickness - LEFT_BEHIND))} at most, or take a thicker panel."
        yield Consequence("comes-through", panel.code, sentence, False, way_out)
        return
    sentence = f"{words} in {mm(panel.thickness)} leaves {mm(left)} {where}, at least {mm(LEFT_BEHIND)} wanted"
    most = max(0, panel.thickness - LEFT_BEHIND)
    holds = left >= LEFT_BEHIND
    way_out = "" if holds else f"Let it in {mm(most)} at most, or take a thicker panel."
    yield Consequence("recess", panel.code, sentence, holds, way_out, left == LEFT_BEHIND)


def seen_edges(role: PanelRole, box: Extents) -> tuple[int, int, int, int]:
    """The edges of a panel in the two coordinates of its openings: from and to of the first, then of the second."""
    if role in (PanelRole.TOP, PanelRole.BOTTOM, PanelRole.SHELF):
        return box.left, box.right, box.front, box.rear
    if role in (PanelRole.FRONT, PanelRole.BACK):
        return box.left, box.right, box.bottom, box.top
    return box.front, box.rear, box.bottom, box.top


def _edges(panel: WorkedPanel, hole: SolidBody, least: int, frame: Frame) -> Iterator[Consequence]:
    edges = seen_edges(panel.role, panel.box) if panel.box is not None else None
    low, high, under, over = hole.across.low, hole.across.high, hole.up.low, hole.up.high
    if edges is None or low is None or high is None or under is None or over is None or low == high:
        return
    below, above = _rabbets(panel, frame)
    nearest = min(low - edges[0], edges[1] - high, under - edges[2] - below, edges[3] - above - over)
    if nearest < least:
        sentence = (
            f"{panel.code} “{hole.what}”: {mm(nearest)} to the nearest edge or rabbet, at least {mm(least)} wanted"
        )
        way_out = f"Move it {mm(least - nearest)} inwards or make it smaller; the wood there breaks out."
        yield Consequence("edge-distance", panel.code, sentence, False, way_out)
    elif nearest <= NEAR:
        sentence = f"{panel.code} “{hole.what}”: {mm(nearest)} to the nearest edge, at least {mm(least)} wanted"
        yield Consequence("edge-distance", panel.code, sentence, True, borderline=nearest == least)


def _rabbets(panel: WorkedPanel, frame: Frame) -> tuple[int, int]:
    """What the joints at the bottom and top end of a side take of it."""
    if panel.role not in (PanelRole.LEFT, PanelRole.RIGHT, PanelRole.SIDES) or frame.ends is None:
        return 0, 0
    return frame.ends


def _web(panel: WorkedPanel, a: SolidBody, b: SolidBody, least: int) -> Iterator[Consequence]:
    gap = seen_gap(a, b)
    if gap is not None and gap < least:
        sentence = f"{panel.code} “{a.what}” and “{b.what}”: {mm(gap)} of wood between them, {mm(least)} wanted"
        yield Consequence("edge-distance", panel.code, sentence, False, f"Move them {mm(least - gap)} apart.")


def _behind(panel: WorkedPanel, hole: SolidBody, bodies: Sequence[SolidBody]) -> Iterator[Consequence]:
    """An opening that runs into something that lies close behind the front, and is not meant to."""
    for body in bodies:
        if hole.what in body.covers or body.back.low is None or body.back.high is None or body.back.high <= 0:
            continue
        gap = seen_gap(hole, body) if body.back.low < NEAR else None
        if gap is not None and gap < 0:
            sentence = f"{panel.code} “{hole.what}” opens {mm(-gap)} into {body.name}"
            way_out = f"Move the opening or {body.code} by {mm(-gap)}, or say that {body.code} covers it."
            yield Consequence("clash", f"{panel.code} {body.code}", sentence, False, way_out)
