"""Parts and fasteners of several units as purchases: those that are sold in packs are bought together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from logbook.costing.amounts import plain_number, quantity_in_words
from logbook.costing.bill_fasteners import for_members, members_in_words
from logbook.costing.bill_records import BillLine
from logbook.costing.consumption import usable_stock
from logbook.costing.joint import times_packs
from logbook.costing.to_buy_records import BuyKind, Purchase, Share, shared_estimate
from logbook.costing.wanted import shelf_by_name
from logbook.costing.wants import Wants
from logbook.model.replacements import FastenerUse, uses_without_part
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import Source
from logbook.model.work import Part

_Group = list[tuple[Unit, Part, BillLine]]


def purchases_of_parts(wants: Sequence[Wants]) -> Iterator[Purchase]:
    """Parts that are not here, whether they are bought, made or fetched.

    Parts of the same name, seller and unit of measure that are sold in packs of the same size are one
    purchase; the packs are shared in proportion to the quantities.
    """
    groups: dict[tuple[object, ...], _Group] = {}
    for wanted in wants:
        parts = {p.code: p for p in wanted.unit.parts}
        for line in wanted.of_code(parts):
            p = parts[line.code]
            key: tuple[object, ...] = (wanted.unit.code, p.code)
            if p.pack_size is not None and p.pack_size > 0 and p.paid is None and p.chance_percent is None:
                key = (same_words(p.name), same_words(p.seller), p.unit, p.pack_size, p.only_if, p.supply)
            groups.setdefault(key, []).append((wanted.unit, p, line))
    for group in groups.values():
        yield _alone(*group[0]) if len(group) == 1 else _together(group)


def _alone(unit: Unit, p: Part, line: BillLine) -> Purchase:
    packs = None if not p.pack_size else -int(-Fraction(p.quantity) // Fraction(p.pack_size))
    return Purchase(
        kind=BuyKind.PART,
        name=p.name,
        quantity=p.quantity,
        unit=p.unit,
        price=line.price,
        shares=(Share(unit.code, p.code, p.quantity, line.price, (*p.for_steps, *p.for_components)),),
        seller=p.seller,
        price_on=p.price_on,
        packs=packs,
        pack=p.pack or (quantity_in_words(p.pack_size, p.unit) if p.pack_size else ""),
        supply=p.supply,
        ordered_on=p.ordered_on,
        expected_on=p.expected_on,
        only_if=p.only_if,
        how="; ".join(filter(None, (_from_elsewhere(p), line.how))),
        member=line.member,
    )


def _from_elsewhere(part: Part) -> str:
    """Where a part comes from that is not bought; empty for one that is."""
    if part.source is Source.MAKE:
        return "to be made"
    return "" if part.source is Source.BUY else f"not bought, {part.source}: fetch it"


def _together(group: _Group) -> Purchase:
    _, first, _ = group[0]
    size = Fraction(first.pack_size or 1)
    quantity = sum((Fraction(p.quantity) for _, p, _ in group), Fraction(0))
    packs = -int(-quantity // size)
    priced = [p for _, p, _ in group if p.price is not None]
    price, price_on = None, None
    if priced:
        newest = max(priced, key=lambda p: p.price_on or date.min)
        alone = -int(-Fraction(newest.quantity) // size)
        assert newest.price is not None  # noqa: S101 - chosen so
        price, price_on = times_packs(newest.price, packs, alone), newest.price_on
    shares = (
        [None] * len(group) if price is None else shared_estimate(price, [Fraction(p.quantity) for _, p, _ in group])
    )
    words = " + ".join(f"{u.code} {plain_number(p.quantity)}" for u, p, _ in group)
    left = packs * size - quantity
    how = f"{words}; {packs} pack{'s' if packs > 1 else ''} of {plain_number(size)}"
    return Purchase(
        kind=BuyKind.PART,
        name=first.name,
        quantity=sum((p.quantity for _, p, _ in group), Decimal(0)),
        unit=first.unit,
        price=price,
        shares=tuple(
            Share(u.code, p.code, p.quantity, s, (*p.for_steps, *p.for_components))
            for (u, p, _), s in zip(group, shares, strict=True)
        ),
        seller=first.seller,
        price_on=price_on,
        packs=packs,
        pack=first.pack or quantity_in_words(size, first.unit),
        supply=first.supply,
        ordered_on=min((p.ordered_on for _, p, _ in group if p.ordered_on), default=None),
        expected_on=max((p.expected_on for _, p, _ in group if p.expected_on), default=None),
        only_if=first.only_if,
        how=how + (f", {quantity_in_words(left, first.unit)} left" if left else ""),
        member=_for_members([line.member for _, _, line in group]),
    )


def _for_members(members: Sequence[str]) -> str:
    """`left and right`; nothing when one of them is for all of a set."""
    return " and ".join(dict.fromkeys(members)) if all(members) else ""


@dataclass(slots=True)
class JarNeed:
    """Fasteners of one kind that no part stands for and that are not sold in packs, over all units."""

    name: str
    stock: Fraction
    notes: tuple[str, ...]
    uses: list[tuple[str, FastenerUse]] = field(default_factory=list)
    members: list[str] = field(default_factory=list)
    """For each unit the members that take them, in words; empty where all of a set do, and without a set."""

    def by_unit(self) -> dict[str, int]:
        """How many each unit wants."""
        counts: dict[str, int] = {}
        for unit, use in self.uses:
            counts[unit] = counts.get(unit, 0) + use.count
        return counts


def jar_needs(units: Sequence[Unit], shop: Shop, today: date | None) -> list[JarNeed]:
    """Every kind of new fastener that is to come from a jar, or has neither jar nor part."""
    shelf = shelf_by_name(shop)
    found: dict[str, JarNeed] = {}
    for unit in units:
        stated = {same_words(u.consumable) for u in unit.consumables}
        for kind, uses in uses_without_part(unit).items():
            item = shelf.get(kind)
            if kind in stated or (item is not None and item.pack is not None):
                continue
            wanted = [(unit.code, u) for u in uses if not u.here]
            if wanted and kind not in found:
                stock, notes = usable_stock(kind, shop, today)
                found[kind] = JarNeed(uses[0].kind, stock, notes)
            if wanted:
                found[kind].uses += wanted
                found[kind].members.append(members_in_words(unit, [use for _, use in wanted]))
    return list(found.values())


def purchases_of_fasteners(units: Sequence[Unit], shop: Shop, today: date | None) -> Iterator[Purchase]:
    """Fasteners of which the jar has too few for all units; without a pack they have no price."""
    for kind in jar_needs(units, shop, today):
        count = sum(u.count for _, u in kind.uses)
        missing = count - kind.stock
        if missing <= 0:
            continue
        words = " + ".join(f"{unit} {u.count} {u.why} at {u.step}{for_members(u)}" for unit, u in kind.uses)
        jar = f"; {plain_number(kind.stock)} in the jar" if kind.stock else ""
        yield Purchase(
            kind=BuyKind.FASTENER,
            name=kind.name,
            quantity=Decimal(-int(-missing // 1)),
            unit="",
            price=None,
            shares=tuple(
                Share(unit, "", Decimal(n), None, tuple(u.step for c, u in kind.uses if c == unit))
                for unit, n in kind.by_unit().items()
            ),
            how=" ".join((words + jar + ".", *kind.notes)),
            member=_for_members(kind.members),
        )
