"""The rest of a layout laid out again: after a part was spoilt, or when parts or pieces have changed meanwhile."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from logbook.errors import InputError
from logbook.layout.again import SawStanding
from logbook.layout.asked import PartKind, pieces_of
from logbook.layout.at_the_saw import AtTheSaw, with_layout
from logbook.layout.cut_records import Layout, PartToCut
from logbook.layout.kept import Asked, kept_of, wanted_now
from logbook.layout.saw import Saw, exchanged, is_kept, offcuts_of, standing_now
from logbook.model.layout_records import KeptLayout, WantedPart
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit


@dataclass(frozen=True, slots=True)
class Again:
    """What is to be laid out again, on the pile as it lies there now."""

    unit: Unit
    """Without the layout that ends here."""
    shop: Shop
    """With every rest of the begun pieces on the pile."""
    asked: Asked
    cut: tuple[WantedPart, ...]
    """Parts that are cut and good."""
    spoilt: tuple[str, ...]
    rests: Mapping[str, str]
    """Codes of the rests that lie there, each with the code of the piece it is from."""
    old: KeptLayout
    on_the_way: tuple[str, ...] = ()
    """Parts not ticked as cut that count as cut, because a spoilt one can only have come out after them."""


def to_lay_again(
    unit: Unit, shop: Shop, units: Mapping[str, Unit], kind: PartKind, today: date, *, spoilt: Sequence[str] = ()
) -> Again:
    """What remains when some cuts are made and some parts came to nothing.

    Raises:
        InputError: there is no such layout, or a part that is said to be spoilt is not in it.
    """
    saw = Saw.of(unit, shop, kind)
    placed = Counter(p.part for p in saw.layout.placements)
    unknown = next((code for code in spoilt if not placed[code]), None)
    if unknown is not None:
        raise InputError(f"{unknown} is not cut in this layout.")
    now = standing_now(saw, spoilt)
    done = {p.piece.code for p in saw.kept.pieces if p.finished}
    rests = [r for r in now.pieces if r.parent and r.parent not in done]
    begun = {r.parent for r in rests} | _used_up(saw, now, done)
    offcuts = offcuts_of(saw, rests, shop, today)
    by: dict[str, list[Offcut]] = {code: [] for code in begun}
    for rest in rests:
        by[rest.parent].append(offcuts[rest.code])
    after = shop.model_copy(update={"offcuts": exchanged(shop.offcuts, by)})
    bare = unit.model_copy(update={"layouts": tuple(k for k in unit.layouts if k.what != kind)})
    parts, cut = _remaining(saw, now, {**units, unit.code: bare}, {k: o.code for k, o in offcuts.items()})
    others = {**units, unit.code: bare}
    asked = Asked(parts, pieces_of(after, saw.rules, others.values(), kind), saw.rules)
    froms = {offcuts[r.code].code: r.parent for r in rests}
    on_the_way = tuple(sorted(Counter(now.done) - Counter(standing_now(saw).done)))
    return Again(bare, after, asked, cut, (*saw.kept.spoilt, *spoilt), froms, saw.kept, on_the_way)


def _used_up(saw: Saw, now: SawStanding, done: set[str]) -> set[str]:
    """Begun pieces of which nothing is left."""
    whole = {p.code for p in now.pieces if not p.parent}
    return {p.code for p in saw.pieces if p.code not in done and p.code not in whole}


def _remaining(
    saw: Saw, now: SawStanding, units: Mapping[str, Unit], codes: Mapping[str, str]
) -> tuple[tuple[PartToCut, ...], tuple[WantedPart, ...]]:
    """What is still wanted, by the record as it is now; and what is cut and good, earlier layouts included."""
    left = Counter({p.code: p.quantity for p in now.parts})
    cut = [
        p.model_copy(update={"quantity": p.quantity - left[p.code]})
        for p in saw.kept.parts
        if p.quantity > left[p.code]
    ]
    good = _summed([*saw.kept.cut, *cut])
    only = {p.code: codes.get(p.only_from, "") for p in now.parts}
    have = Counter({p.code: p.quantity for p in good})
    parts = tuple(
        replace(p, quantity=quantity, only_from=only.get(p.code, ""))
        for p in wanted_now(saw.kept, units, saw.unit)
        if (quantity := p.quantity - have[p.code]) > 0
    )
    return parts, good


def _summed(parts: Iterable[WantedPart]) -> tuple[WantedPart, ...]:
    found: dict[str, WantedPart] = {}
    for part in parts:
        known = found.get(part.code)
        found[part.code] = (
            part if known is None else known.model_copy(update={"quantity": known.quantity + part.quantity})
        )
    return tuple(found.values())


def laid_again(again: Again, layout: Layout, at: datetime) -> AtTheSaw:
    """The new layout in the place of the old one; rests that it does not use stay on the pile if they are kept."""
    kind = PartKind(again.old.what)
    pile = {o.code: o for o in again.shop.offcuts}
    parents = {p.piece.code: p.piece for p in again.old.pieces}
    waste = {
        code
        for code, parent in again.rests.items()
        if code not in layout.used and not is_kept(pile[code], parents[parent], again.shop)
    }
    kept = kept_of(layout, again.asked, again.shop, kind, at, with_units=again.old.with_units)
    kept = kept.model_copy(update={"cut": again.cut, "spoilt": again.spoilt})
    shop = again.shop.model_copy(update={"offcuts": tuple(o for o in again.shop.offcuts if o.code not in waste)})
    newly = again.spoilt[len(again.old.spoilt) :]
    said = f"{kind} laid out again"
    if newly:
        way = f" {', '.join(again.on_the_way)} counts as cut before it;" if again.on_the_way else ""
        said = f"{', '.join(newly)} spoilt;{way} the rest laid out again"
    return AtTheSaw(with_layout(again.unit, kept), shop, said)
