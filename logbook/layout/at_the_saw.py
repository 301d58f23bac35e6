"""What happens at the saw to a kept layout and to the pile: cuts ticked, pieces finished, parts spoilt.

Each function gives the unit and the shop as they are after it; nothing is kept in between.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import NamedTuple

from logbook.errors import InputError
from logbook.layout.asked import PartKind, layout_for
from logbook.layout.cut_records import Cut
from logbook.layout.offcut_rules import SCRAP
from logbook.layout.saw import Saw, exchanged, is_kept, offcuts_of, standing_now
from logbook.model.layout_records import KeptLayout
from logbook.model.promises import Promise, with_promise
from logbook.model.shop import Shop
from logbook.model.unit import Unit


class AtTheSaw(NamedTuple):
    """How things are after something was done."""

    unit: Unit
    shop: Shop
    said: str
    """What was done, in a sentence."""


def with_layout(unit: Unit, kept: KeptLayout) -> Unit:
    """The unit with a layout in the place of the one for the same parts."""
    others = tuple(k for k in unit.layouts if k.what != kept.what)
    order = [str(k) for k in PartKind]
    layouts = sorted((*others, kept), key=lambda k: order.index(k.what) if k.what in order else len(order))
    return unit.model_copy(update={"layouts": tuple(layouts)})


def without_layout(unit: Unit, kind: PartKind) -> Unit:
    """The unit without its layout of those parts. Raises InputError when wood was cut by it."""
    kept = layout_for(unit, kind)
    if kept is not None and (kept.done or kept.cut):
        raise InputError("Wood was cut by this layout; it stays. L lays the rest out again.")
    return unit.model_copy(update={"layouts": tuple(k for k in unit.layouts if k.what != kind)})


def reserved_by(unit: Unit, shop: Shop, kind: PartKind) -> AtTheSaw:
    """The promise written on every piece of a layout that is not cut yet. Raises InputError when there is none."""
    saw = Saw.of(unit, shop, kind)
    codes = {p.piece.code for p in saw.kept.pieces if not p.finished}
    promise = Promise(unit.code, str(kind))
    pile = tuple(
        o.model_copy(update={"reserved_for": with_promise(o.reserved_for, promise)}) if o.code in codes else o
        for o in shop.offcuts
    )
    after = shop if pile == shop.offcuts else shop.model_copy(update={"offcuts": pile})
    return AtTheSaw(unit, after, f"{', '.join(sorted(codes))} reserved for {promise}")


def ticked(unit: Unit, shop: Shop, kind: PartKind, order: int, today: date) -> AtTheSaw:
    """A cut is made, or was ticked by mistake. With the last cut of a piece its leftovers go back to the pile.

    Raises:
        InputError: another cut comes first, or later cuts rest on this one, or the piece is finished.
    """
    saw = Saw.of(unit, shop, kind)
    cut = next((c for c in saw.layout.cuts if c.order == order), None)
    if cut is None:
        raise InputError(f"There is no cut {order} in this layout.")
    if order in saw.kept.done:
        return _not_made(unit, shop, saw, cut)
    first = saw.before(order)
    if first is not None and first.order not in saw.kept.done:
        raise InputError(f"Cut {first.order} comes first: it frees {cut.cut_from}.")
    done = tuple(sorted({*saw.kept.done, order}))
    kept = saw.kept.model_copy(update={"done": done})
    if all(c.order in done for c in saw.cuts_on(cut.piece)):
        return _finished(unit, shop, replace(saw, kept=kept), cut.piece, today)
    what = f"cut {order} on {cut.piece} made" + (f": {cut.keep}" if cut.keep else "")
    return AtTheSaw(with_layout(unit, kept), shop, what)


def _not_made(unit: Unit, shop: Shop, saw: Saw, cut: Cut) -> AtTheSaw:
    if saw.laid(cut.piece).finished:
        raise InputError(f"{cut.piece} is cut and its leftovers are on the pile; z takes the last thing back.")
    later = next((c for c in saw.layout.cuts if c.order in saw.kept.done and _rests_on(saw, c, cut)), None)
    if later is not None:
        raise InputError(f"Cut {later.order} was made after it. Take that back first.")
    done = tuple(n for n in saw.kept.done if n != cut.order)
    kept = saw.kept.model_copy(update={"done": done})
    return AtTheSaw(with_layout(unit, kept), shop, f"cut {cut.order} on {cut.piece} not made")


def _rests_on(saw: Saw, later: Cut, earlier: Cut) -> bool:
    first = saw.before(later.order)
    return first is not None and first.order == earlier.order


def finished(unit: Unit, shop: Shop, kind: PartKind, piece: str, today: date) -> AtTheSaw:
    """Every cut of a piece is made. Raises InputError when it is finished already, or not in the layout."""
    saw = Saw.of(unit, shop, kind)
    if saw.laid(piece).finished:
        raise InputError(f"{piece} is cut already.")
    done = tuple(sorted({*saw.kept.done, *(c.order for c in saw.cuts_on(piece))}))
    kept = saw.kept.model_copy(update={"done": done})
    return _finished(unit, shop, replace(saw, kept=kept), piece, today)


def _finished(unit: Unit, shop: Shop, saw: Saw, piece: str, today: date) -> AtTheSaw:
    """The piece leaves the pile; what is left of it and passes the keep rule comes back under new numbers."""
    if all(o.code != piece for o in shop.offcuts):
        raise InputError(f"{piece} is not on the pile any more. L lays the rest out again.")
    now = standing_now(saw)
    laid = tuple(p.model_copy(update={"finished": p.finished or p.piece.code == piece}) for p in saw.kept.pieces)
    rests = [r for r in now.pieces if r.parent == piece]
    left = offcuts_of(saw, rests, shop, today).values()
    came_back = [o for o in left if is_kept(o, saw.laid(piece).piece, shop)]
    too_small = [o for o in left if o not in came_back and min(o.length.ticks, o.width.ticks) >= SCRAP]
    said = f"{piece} is cut"
    if came_back:
        said += "; back on the pile: " + ", ".join(
            f"{o.code} {o.length.in_mm()} x {o.width.in_mm()}" for o in came_back
        )
    if too_small:
        sizes = ", ".join(f"{o.length.in_mm()} x {o.width.in_mm()}" for o in too_small)
        said += f"; too small for the pile: {sizes}"
    after = shop.model_copy(update={"offcuts": exchanged(shop.offcuts, {piece: tuple(came_back)})})
    return AtTheSaw(with_layout(unit, saw.kept.model_copy(update={"pieces": laid})), after, said)
