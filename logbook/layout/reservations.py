"""Who wants which piece of the scrap pile, over all units, and where two want the same.

A claim is a promise written on the piece, a piece named in a unit's case, or a layout that is about to cut it. Two
units may share a strip as long as it is long enough for both; any other piece has one owner.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import NamedTuple

from logbook.layout.offcut_rules import kind_of, usable
from logbook.model.layout_records import KeptLayout, LaidPiece
from logbook.model.measures import Length
from logbook.model.promises import Promise, promises_of
from logbook.model.remembered import remembered
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.usual_lengths import length_in_use
from logbook.model.words import AT_REST, PieceKind


class Claim(NamedTuple):
    """One unit wants a piece, or so much of its length."""

    unit: str
    """Code of the unit; empty when the piece is kept for something that is no unit."""
    what: str
    how: str
    """“reserved”, “named”, “laid out”."""
    length: int | None = None
    """How much of the length it takes, kerfs included; None: the whole piece."""

    def __str__(self) -> str:
        """For a sentence: `R1 strips (laid out)`."""
        return f"{' '.join(x for x in (self.unit, self.what) if x)} ({self.how})"


class Conflict(NamedTuple):
    """A piece that two want."""

    piece: str
    claims: tuple[Claim, ...]
    sentence: str


def claims_on(shop: Shop, units: Iterable[Unit]) -> dict[str, tuple[Claim, ...]]:
    """Every claim on the pile by code of the piece; pieces nobody wants are not in it.

    A unit that has laid a piece out, or to which it is promised, wants it for that, and what its case names
    for the same piece is not counted again. Units that are closed or stopped want nothing.
    """
    pile = {o.code: o for o in shop.offcuts}
    kerf = length_in_use(shop.settings, "kerf").ticks
    found: dict[str, list[Claim]] = {}
    for o in shop.offcuts:
        for promise in promises_of(o.reserved_for):
            found.setdefault(o.code, []).append(Claim(promise.unit, promise.what, "reserved"))
    for unit in units:
        if unit.stage in AT_REST:
            continue
        for code, claim in (*_laid_out(unit), *_named(unit, kerf)):
            claims = found.setdefault(code, [])
            own = next((i for i, c in enumerate(claims) if c.unit == claim.unit), None)
            if code not in pile:
                continue
            if own is None:
                claims.append(claim)
            elif claim.length is not None and claims[own].length is None:
                claims[own] = claims[own]._replace(length=claim.length)
            elif claim.how == "named" and claims[own].how == "named":
                claims[own] = _added(claims[own], claim)
    return {code: tuple(claims) for code, claims in found.items() if claims and code in pile}


def _added(a: Claim, b: Claim) -> Claim:
    length = None if a.length is None or b.length is None else a.length + b.length
    return a._replace(what=f"{a.what}, {b.what}", length=length)


def _laid_out(unit: Unit) -> Iterator[tuple[str, Claim]]:
    for kept in unit.layouts:
        for laid in kept.pieces:
            if not laid.finished:
                yield laid.piece.code, Claim(unit.code, str(kept.what), "laid out", _used_length(kept, laid))


def _used_length(kept: KeptLayout, laid: LaidPiece) -> int | None:
    """How much of a strip the layout takes; None for what is no strip."""
    if kind_of(laid.piece) is not PieceKind.STRIP:
        return None
    lengths = {p.code: p.length.ticks for p in kept.parts}
    return sum(lengths.get(d.part, 0) + laid.kerf.ticks for d in laid.divisions if d.part)


def _named(unit: Unit, kerf: int) -> Iterator[tuple[str, Claim]]:
    """The pieces that the case names, unless those parts were laid out already."""
    if unit.case is None:
        return
    laid = {str(k.what) for k in unit.layouts}
    for panel in unit.case.panels:
        for layer in panel.layers:
            if layer.piece and "panels" not in laid:
                yield layer.piece, Claim(unit.code, panel.code, "named")
        for leaf in panel.leaves:
            if leaf.piece and "veneer" not in laid:
                yield leaf.piece, Claim(unit.code, f"{panel.code} veneer", "named")
    for strip in unit.case.strips:
        if strip.piece and "strips" not in laid:
            length = None if strip.length is None else strip.quantity * (strip.length.ticks + kerf)
            yield strip.piece, Claim(unit.code, strip.code, "named", length)


def conflicts(shop: Shop, units: Iterable[Unit]) -> tuple[Conflict, ...]:
    """The pieces that two units want and cannot both have, in the order of the pile."""
    claims = claims_on(shop, units)
    found = [conflict_of(o, claims.get(o.code, ())) for o in shop.offcuts]
    return tuple(c for c in found if c is not None)


def conflict_of(piece: Offcut, claims: Sequence[Claim]) -> Conflict | None:
    """The conflict on a piece; None when one owner wants it, or all who want it fit."""
    if len({c.unit for c in claims}) < 2:
        return None
    names = " and ".join(str(c) for c in claims)
    if all(c.length is not None for c in claims):
        need, have = sum(c.length or 0 for c in claims), usable(piece).length
        if need <= have:
            return None
        short = Length.from_ticks(need - have).in_mm()
        return Conflict(piece.code, tuple(claims), f"{piece.code} is wanted by {names}; it is {short} mm too short.")
    sentence = f"{piece.code} is wanted twice: by {names}. One of them needs another piece."
    return Conflict(piece.code, tuple(claims), sentence)


def shared_words(piece: Offcut, claims: Sequence[Claim]) -> str:
    """How a strip is shared by units that all fit: “R1 takes 1619, C1 takes 603, leaves 178 of 2400”; else empty."""
    if len({c.unit for c in claims}) < 2 or not all(c.length is not None for c in claims):
        return ""
    have = usable(piece).length
    left = have - sum(c.length or 0 for c in claims)
    if left < 0:
        return ""
    each = [f"{c.unit} takes {Length.from_ticks(c.length or 0).in_mm()}" for c in claims]
    return f"{', '.join(each)}, leaves {Length.from_ticks(left).in_mm()} of {Length.from_ticks(have).in_mm()}"


def firm_claims(claims: Sequence[Claim]) -> list[Claim]:
    """What keeps a piece from others: a promise or a layout; a piece that is only named in a case may be cut."""
    return [c for c in claims if c.how != "named"]


def held_words(claims: Sequence[Claim]) -> str:
    """For whom a piece is kept, as it stands in its record: “R1 strips; C1 runners”; empty when for nobody."""
    return "; ".join(str(Promise(c.unit, c.what)) for c in firm_claims(claims))


def held_for(claims: Sequence[Claim], units: Collection[str]) -> tuple[str, int]:
    """Who alone may cut a piece, and how much of its length others are about to take, seen from some units.

    What is only named in another unit's case does not keep a piece from these; a promise or a layout does.

    Returns:
        The holder: empty when the piece is free for these units; and the ticks that are gone from its end.
    """
    firm = firm_claims(claims)
    others = [c for c in firm if not c.unit or c.unit not in units]
    whole = next((c for c in others if c.length is None), None)
    if whole is not None and len(others) == len(firm):
        return whole.unit or whole.what, 0
    return "", sum(c.length or 0 for c in others)


def seen_by(codes: Collection[str], shop: Shop, units: Iterable[Unit]) -> Shop:
    """The shop as some units together see it: what others hold of the pile is not there for them.

    A piece that others alone may cut is promised to them, and a strip is shorter by what they are about to take;
    so whoever asks a piece of this shop whether it is free, or how long it is, gets the answer of `held_for`.

    Args:
        codes: of the units for which it is looked at.
        shop: as it is.
        units: all of the book, or at least those with a layout and those that something is promised to.
    """
    holders = [u for u in units if u.code not in codes and (u.layouts or _has_promise(u.code, shop))]
    return _seen(tuple(codes), shop, *holders) if holders else shop


def _has_promise(code: str, shop: Shop) -> bool:
    return any(code == p.unit for o in shop.offcuts if o.reserved_for for p in promises_of(o.reserved_for))


@remembered
def _seen(codes: tuple[str, ...], shop: Shop, *holders: Unit) -> Shop:
    claims = claims_on(shop, [_apart_from(unit, codes) for unit in holders])
    pile = tuple(_piece_seen(o, claims.get(o.code, ()), codes) for o in shop.offcuts)
    is_same = all(new is old for new, old in zip(pile, shop.offcuts, strict=True))
    return shop if is_same else shop.model_copy(update={"offcuts": pile})


def _apart_from(unit: Unit, codes: Collection[str]) -> Unit:
    """The unit without the layouts in which parts of these units lie: those hold nothing from them."""
    layouts = tuple(kept for kept in unit.layouts if not set(codes) & set(kept.with_units))
    return unit if len(layouts) == len(unit.layouts) else unit.model_copy(update={"layouts": layouts})


def _piece_seen(piece: Offcut, claims: Sequence[Claim], codes: Collection[str]) -> Offcut:
    holder, gone = held_for(claims, codes)
    left = usable(piece).length - gone
    if not holder and not gone:
        return piece
    firm = firm_claims(claims)
    if holder or left <= 0:
        promised = held_words([c for c in firm if not c.unit or c.unit not in codes])
        return piece if promised == piece.reserved_for else piece.model_copy(update={"reserved_for": promised})
    own = held_words([c for c in firm if c.unit and c.unit in codes])
    return piece.model_copy(update={"reserved_for": own, "usable_length": Length.from_ticks(left)})
