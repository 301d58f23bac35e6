"""What is here already and may do instead of buying: a spare of another unit, a jar on the shelf."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from logbook.costing.amounts import quantity_in_words
from logbook.costing.consumption import usable_stock
from logbook.costing.joint import clash
from logbook.costing.to_buy_records import Clash, Offer
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Source, Stage, Supply
from logbook.model.work import Part

_EMPTY_WORDS = frozenset({"a", "an", "and", "for", "in", "new", "of", "old", "pair", "set", "the", "with"})


def name_words(name: str) -> frozenset[str]:
    """The words of a name that say what the thing is: without empty words, numbers of one's own, and plurals."""
    words = (w.strip(".,;:()") for w in same_words(name).split())
    kept = (w[:-1] if len(w) > 3 and w.endswith("s") and not w.endswith("ss") else w for w in words)
    return frozenset(w for w in kept if w and w not in _EMPTY_WORDS)


def same_kind(one: str, other: str) -> bool:
    """Whether two names may mean the same kind of thing: all words of one stand in the other.

    It only offers: whether the spare fits is for the person to see.
    """
    a, b = name_words(one), name_words(other)
    return bool(a and b) and (a <= b or b <= a)


class Spares:
    """The spares of a book, each with what is left of it after the parts that are taken from it."""

    def __init__(self, units: Sequence[Unit]) -> None:
        self._taken: dict[str, list[tuple[str, Part]]] = {}
        for unit in units:
            for p in unit.parts:
                if p.source is Source.SPARE and p.spare_of.strip():
                    self._taken.setdefault(" ".join(p.spare_of.split()), []).append((unit.code, p))
        self._kept = [(u, c) for u in units for c in u.components if is_spare(u, c)]
        self._words = [name_words(c.name) for _, c in self._kept]

    def offers(self, unit: str, names: Sequence[str]) -> Iterator[Offer]:
        """Spares of other units whose name may mean one of these."""
        wanted = [w for name in names if (w := name_words(name))]
        for (owner, c), words in zip(self._kept, self._words, strict=True):
            if owner.code == unit or not words or not any(w <= words or words <= w for w in wanted):
                continue
            left = c.quantity - self._claimed(f"{owner.code} {c.code}")
            if left > 0:
                where = f", {c.where_kept}" if c.where_kept else ""
                state = f", {c.condition}" if c.condition else ""
                number = f"{left} " if c.quantity > 1 else ""
                yield Offer(owner.code, c.code, f"{number}{c.name}, spare of {owner.code} {owner.name}{state}{where}")

    def _claimed(self, spare: str) -> Fraction:
        return sum((Fraction(p.quantity) for _, p in self._taken.get(spare, ())), Fraction(0))

    def clashes(self) -> Iterator[Clash]:
        """Spares that more than one unit counts on."""
        number = {f"{u.code} {c.code}": (u, c) for u, c in self._kept}
        for spare, parts in self._taken.items():
            by_unit: dict[str, Fraction] = {}
            for code, p in parts:
                if p.supply is not Supply.HERE:
                    by_unit[code] = by_unit.get(code, Fraction(0)) + Fraction(p.quantity)
            here = sum((Fraction(p.quantity) for _, p in parts if p.supply is Supply.HERE), Fraction(0))
            owner = number.get(spare)
            there = Fraction(owner[1].quantity if owner else 1) - here
            name = f"{owner[1].name} of {owner[0].code}" if owner else f"spare {spare}"
            yield from clash(name, "", by_unit, max(there, Fraction(0)))


def is_spare(unit: Unit, component: Component) -> bool:
    """Whether a component may be given away: a spare, or what was kept of a unit that was stopped."""
    kept = unit.stage is Stage.STOPPED and component.disposition is Disposition.KEEP
    return component.disposition is Disposition.SPARE or kept


def offers_of_shelf(names: Sequence[str], shop: Shop, today: date | None) -> Iterator[Offer]:
    """Jars and packs on the shelf of exactly that name, with stock that still keeps."""
    for name in dict.fromkeys(same_words(n) for n in names if n.strip()):
        stock, _ = usable_stock(name, shop, today)
        item = next((c for c in shop.shelf if same_words(c.name) == name), None)
        if item is not None and stock > 0:
            where = f", {item.place}" if item.place else ""
            yield Offer("", item.name, f"{quantity_in_words(stock, item.unit)} {item.name} on the shelf{where}")


def like_names_of_shelf(name: str, shop: Shop, today: date | None) -> Iterator[Offer]:
    """What stands on the shelf under another name that may mean the same: “jar of wood screws 4x30” for the screw."""
    others = (c.name for c in shop.shelf if same_words(c.name) != same_words(name) and same_kind(c.name, name))
    yield from offers_of_shelf(tuple(others), shop, today)


def names_of_part(unit: Unit, part: Part) -> tuple[str, ...]:
    """What a part may be called on a spare: its own name, and those of the components that it stands for."""
    stands_for = (c.name for c in unit.components if c.code in part.for_components)
    return (part.name, *stands_for)
