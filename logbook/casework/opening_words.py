"""Openings in words and figures: shape, place from the datum and on the panel, and the area they take."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from logbook.casework.lookup import mm
from logbook.casework.openings import let_in_by, seen_edges
from logbook.casework.panels import WorkedPanel
from logbook.casework.worked import WorkedCase
from logbook.model.casework_records import Opening
from logbook.model.measures import TICKS_PER_MM
from logbook.model.words import PanelRole

SMALL_OPENING = 1000
"""Square millimetres below which an opening is not taken off an area to be finished (common practice)."""
QUARTER_PI = Fraction(355, 452)


def opening_words(opening: Opening, panel: WorkedPanel) -> str:
    """An opening in words: shape, place from the datum, place on the panel, pattern with its check dimension."""
    place = f"at x {opening.centre.x.in_mm()}, y {opening.centre.y.in_mm()}"
    on = on_panel(opening, panel)
    if on is not None:
        first, second = _edge_names(panel.role)
        place += f"; on the panel {mm(on[0])} from the {first}, {mm(on[1])} from the {second}"
    words = [f"{opening.what} {shape_words(opening)} {place}"]
    if opening.radius is not None:
        words.append(f"corner radius {opening.radius.in_mm()}")
    if opening.pattern:
        check = f"{opening.check_what or 'check'} {opening.check.in_mm()}" if opening.check is not None else "check ?"
        words.append(f"from the pattern “{opening.pattern}”, {check}")
    words += _let_in_words(opening, panel)
    return ", ".join(words)


def _let_in_words(opening: Opening, panel: WorkedPanel) -> Iterator[str]:
    """How deep it is let in, from which face, and what that leaves."""
    deep = let_in_by(opening)
    left = f" leaves {mm(panel.thickness - deep)}" if panel.thickness is not None else ""
    if opening.counterbore is not None:
        mouth = opening.counterbore.diameter.in_mm()
        yield f"counterbore Ø{mouth} {mm(deep)} deep from the {opening.face}{left}"
    elif opening.recess is not None:
        yield f"recess {mm(deep)} deep from the {opening.face}{left}"
    elif not opening.through:
        yield "not through"


def shape_words(opening: Opening) -> str:
    """`Ø165`, `180 x 70`, `slot 60 x 8`; `?` while it has no size."""
    if opening.size is not None:
        return f"{'slot ' if opening.slotted else ''}{opening.size.length.in_mm()} x {opening.size.width.in_mm()}"
    return f"Ø{opening.diameter.in_mm()}" if opening.diameter is not None else "?"


def on_panel(opening: Opening, panel: WorkedPanel) -> tuple[int, int] | None:
    """The centre of an opening from the two edges of its panel that lie towards the datum; None when not known."""
    if panel.box is None:
        return None
    edges = seen_edges(panel.role, panel.box)
    return opening.centre.x.ticks - edges[0], opening.centre.y.ticks - edges[2]


def _edge_names(role: PanelRole) -> tuple[str, str]:
    if role in (PanelRole.TOP, PanelRole.BOTTOM, PanelRole.SHELF):
        return "left end", "front edge"
    return ("left", "bottom") if role in (PanelRole.FRONT, PanelRole.BACK) else ("front edge", "bottom end")


def opening_area(opening: Opening) -> Fraction:
    """Square millimetres that an opening takes; a pattern counts by its size, the ends of a slot are half round."""
    if opening.size is not None:
        long, wide = (Fraction(x.mm) for x in (opening.size.length, opening.size.width))
        if not opening.slotted:
            return long * wide
        short = min(long, wide)
        return long * wide - short * short * (1 - QUARTER_PI)
    return Fraction(opening.diameter.mm) ** 2 * QUARTER_PI if opening.diameter is not None else Fraction(0)


def show_area(worked: WorkedCase) -> tuple[Fraction, Fraction]:
    """Square metres of the faces that are veneered to be seen, whole and less their openings."""
    whole = out = Fraction(0)
    for panel in worked.panels:
        if panel.finish is not None and any(x.show for x in panel.leaves):
            whole += Fraction(panel.finish.length * panel.finish.width * panel.quantity, TICKS_PER_MM**2)
            open_ = (o for o in panel.record.openings if o.recess is None or o.counterbore is not None)
            large = (a for o in open_ if (a := opening_area(o)) >= SMALL_OPENING)
            out += sum(large, Fraction(0)) * panel.quantity
    return whole / 10**6, (whole - out) / 10**6
