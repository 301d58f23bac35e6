"""Sheet, veneer and strip of several units against one pile: what is missing, and pieces claimed twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from logbook.costing.amounts import plain_number, rounded
from logbook.costing.joint import clash
from logbook.costing.material_need import MaterialKind, MaterialNeed, is_free_for, is_of, material_needs, size_of
from logbook.costing.to_buy_records import NOTHING, BuyKind, Clash, Purchase, Share
from logbook.layout.reservations import seen_by
from logbook.model.material_names import bare_material
from logbook.model.promises import promises_of
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit


@dataclass(frozen=True, slots=True)
class JointMaterial:
    """One material in one thickness that units want of the pile."""

    wants: tuple[tuple[Unit, MaterialNeed], ...]
    there: Fraction
    """What the pile has of it that is not promised to somebody else."""


def joint_material(units: Sequence[Unit], shop: Shop, everything: Sequence[Unit] | None = None) -> list[JointMaterial]:
    """The same material of all units together, in the order of first need.

    Args:
        units: that want it.
        shop: the pile that they share.
        everything: all units of the book, for what others hold of the pile; the same as `units` when left out.
    """
    everything = units if everything is None else everything
    groups: dict[tuple[str, str, int], list[tuple[Unit, MaterialNeed]]] = {}
    for unit in units:
        for need in material_needs(unit, seen_by((unit.code,), shop, everything)):
            thickness = need.thickness.ticks if need.thickness else 0
            name = bare_material(need.material, (thickness,) if thickness else ())
            groups.setdefault((str(need.kind), name, thickness), []).append((unit, need))
    found = []
    for wants in groups.values():
        codes, (_, first) = tuple(dict.fromkeys(u.code for u, _ in wants)), wants[0]
        seen = seen_by(codes, shop, everything)
        pieces = [o for o in seen.offcuts if is_of(o, first.material, first.thickness, seen)]
        there = sum((size_of(o, first.kind) for o in pieces if is_free_for(o, codes)), Fraction(0))
        found.append(JointMaterial(tuple(wants), there))
    return found


def purchases_of_material(materials: Sequence[JointMaterial]) -> Iterator[Purchase]:
    """Material of which the pile has too little; what a sheet of it costs is for the person to ask."""
    for joint in materials:
        wants, there = joint.wants, joint.there
        _, first = wants[0]
        missing = _missing(joint)
        unknown = [code for _, n in wants for code in n.without_size]
        if missing <= 0 and all(n.enough for _, n in wants):
            continue
        words = " + ".join(f"{u.code} {n.quantity if n.quantity is not None else '?'} {n.unit}" for u, n in wants)
        how = f"{words}; {plain_number(there)} {first.unit} on the pile"
        if unknown:
            how += (
                f"; {', '.join(unknown)} has no size yet" if len(unknown) == 1 else f"; {len(unknown)} without a size"
            )
        how += "".join(f"; {u.code}: {n.no_place}" for u, n in wants if n.no_place)
        bought_as = [f"{u.code} {n.bought_as}" for u, n in wants if n.bought_as]
        how += f"; bought as {', '.join(bought_as)}" if bought_as else ""
        price = NOTHING if len(bought_as) == len(wants) else None
        yield Purchase(
            kind=BuyKind.MATERIAL,
            name=first.name,
            quantity=rounded(missing, 4) if missing > 0 else None,
            unit=first.unit,
            price=price,
            shares=tuple(Share(u.code, "", n.quantity, price, n.used_in) for u, n in wants),
            how=how + ".",
        )


def _missing(joint: JointMaterial) -> Fraction:
    """How much more is needed than is cut and lies on the pile: of all together, or of those that find too little."""
    need, short = Fraction(0), Fraction(0)
    for _, wanted in joint.wants:
        open_need = max(Fraction(0), Fraction(wanted.quantity or 0) - Fraction(wanted.cut))
        need += open_need
        short += max(Fraction(0), open_need - Fraction(wanted.on_pile))
    return max(need - joint.there, short)


def clashes_of_pieces(materials: Sequence[JointMaterial], shop: Shop) -> Iterator[Clash]:
    """Material that each unit alone finds on the pile and all together do not; pieces that two are to be cut from."""
    claimed: dict[str, dict[str, list[MaterialNeed]]] = {}
    for joint in materials:
        _, first = joint.wants[0]
        wanted = {u.code: Fraction(n.quantity or 0) for u, n in joint.wants}
        yield from clash(first.name, first.unit, wanted, joint.there)
        for unit, need in joint.wants:
            for piece in need.pieces:
                claimed.setdefault(piece, {}).setdefault(unit.code, []).append(need)
    for piece, needs in claimed.items():
        yield from _claims(piece, needs, next((o for o in shop.offcuts if o.code == piece), None))


def _claims(piece: str, needs: Mapping[str, Sequence[MaterialNeed]], offcut: Offcut | None) -> Iterator[Clash]:
    codes = tuple(needs)
    free = offcut is None or is_free_for(offcut, codes)
    if len(codes) > 1:
        sum_ = _of_its_length(needs, offcut) if offcut is not None else ""
        sentence = f"{' and '.join(codes)} are both to be cut from {piece}: {sum_ or 'see that both fit on it.'}"
        yield Clash(piece, codes, sentence)
    elif not free:
        sentence = (
            f"{codes[0]} is to be cut from {piece}, which is reserved for {offcut.reserved_for if offcut else ''}."
        )
        holders = [p.unit for p in promises_of(offcut.reserved_for) if p.unit] if offcut is not None else []
        yield Clash(piece, (codes[0], *holders), sentence)


def _of_its_length(needs: Mapping[str, Sequence[MaterialNeed]], strip: Offcut) -> str:
    """What units take of a strip together, in words; empty where the length alone does not say it."""
    taken: dict[str, Fraction] = {}
    for code, wants in needs.items():
        for need in wants:
            alone = need.kind is MaterialKind.STRIP and need.pieces == (strip.code,)
            if need.quantity is None or need.without_size or not alone:
                return ""
            taken[code] = taken.get(code, Fraction(0)) + Fraction(need.quantity) - Fraction(need.cut)
    whole = size_of(strip, MaterialKind.STRIP)
    words = " and ".join(f"{code} {plain_number(rounded(q, 3))} m" for code, q in taken.items())
    left = rounded(whole - sum(taken.values()), 3)
    rest = f"{plain_number(-left)} m too short" if left < 0 else f"{plain_number(left)} m left before saw cuts"
    return f"{words} of {plain_number(whole)} m, {rest}."
