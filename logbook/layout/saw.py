"""A kept layout on the bench: its figures, which cut frees which, and what lies there of the pieces."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from logbook.errors import InputError
from logbook.layout.again import SawStanding, standing
from logbook.layout.asked import PartKind, layout_for
from logbook.layout.cut_records import Box, Cut, Layout, Node, Piece, Rules
from logbook.layout.cutting import ordered
from logbook.layout.kept import kept_rules, laid_piece, layout_of, part_of
from logbook.layout.offcut_rules import keep_rule, kind_of, leftover_codes, sound_rectangle
from logbook.layout.trees import leaves
from logbook.model.layout_records import KeptLayout, LaidPiece
from logbook.model.measures import Length
from logbook.model.shop import Defect, Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import PieceKind


@dataclass(frozen=True, slots=True)
class Saw:
    """A kept layout on the bench: its figures, and which cut frees what."""

    unit: str
    kept: KeptLayout
    layout: Layout
    pieces: tuple[Piece, ...]
    rules: Rules
    pairs: tuple[tuple[Cut, Node], ...]

    @classmethod
    def of(cls, unit: Unit, shop: Shop, kind: PartKind) -> Saw:
        """The layout of those parts of a unit. Raises InputError when it has none."""
        kept = layout_for(unit, kind)
        if kept is None:
            raise InputError(f"{unit.code} has no layout of its {kind} yet.")
        layout, rules = layout_of(kept, shop, unit.code), kept_rules(kept, shop, unit.code)
        pieces = tuple(laid_piece(laid, shop) for laid in kept.pieces)
        return cls(unit.code, kept, layout, pieces, rules, tuple(ordered(layout.trees, pieces, rules)))

    @property
    def next(self) -> Cut | None:
        """The first cut that is not made; None when all are."""
        return next((c for c in self.layout.cuts if c.order not in self.kept.done), None)

    def before(self, order: int) -> Cut | None:
        """The cut that must be made before another one, because it frees what that one divides."""
        node = next((n for c, n in self.pairs if c.order == order), None)
        outer = [(c, n) for c, n in self.pairs if node is not None and n is not node and _holds(n, node)]
        return min(outer, key=lambda pair: (pair[1].box.area, -pair[0].order))[0] if outer else None

    def cuts_on(self, piece: str) -> tuple[Cut, ...]:
        """The cuts of one piece, in order."""
        return tuple(c for c in self.layout.cuts if c.piece == piece)

    def laid(self, piece: str) -> LaidPiece:
        """A piece of the layout. Raises InputError when it is not in it."""
        for laid in self.kept.pieces:
            if laid.piece.code == piece:
                return laid
        raise InputError(f"{piece} is not in this layout.")

    def freed(self) -> frozenset[tuple[str, Box]]:
        """The parts that are cut, by piece and place."""
        found = set()
        for code, root in self.layout.trees:
            open_cuts = [n for c, n in self.pairs if c.piece == code and c.order not in self.kept.done]
            for leaf in leaves(root):
                if leaf.part and not any(_holds(n, leaf) for n in open_cuts):
                    found.add((code, leaf.box))
        return frozenset(found)

    def names(self) -> dict[tuple[str, Box], str]:
        """What the cut sheet calls each leftover, by its piece and place."""
        found: dict[tuple[str, Box], str] = {}
        for cut, node in self.pairs:
            for child, name in ((node.first, cut.keep), (node.rest, cut.keep if node.trim else cut.rest)):
                inner = child
                while inner is not None and inner.trim:
                    inner = inner.rest
                if inner is not None and not inner.axis and not inner.part and name:
                    found[cut.piece, inner.box] = name
        return found


def _holds(outer: Node, inner: Node) -> bool:
    return any(child is not None and (child is inner or _holds(child, inner)) for child in (outer.first, outer.rest))


def standing_now(saw: Saw, spoilt: Sequence[str] = ()) -> SawStanding:
    """What is cut and what lies there, with these parts spoilt."""
    parts = [part_of(p) for p in saw.kept.parts]
    return standing(saw.layout, parts, saw.pieces, saw.rules, done=saw.kept.done, spoilt=spoilt)


def exchanged(pile: Sequence[Offcut], by: Mapping[str, Sequence[Offcut]]) -> tuple[Offcut, ...]:
    """The pile with pieces replaced by what is left of them, at their places."""
    return tuple(new for old in pile for new in by.get(old.code, (old,)))


def is_kept(rest: Offcut, parent: Offcut, shop: Shop) -> bool:
    """Whether what is sound of a leftover passes the keep rule of the piece it is from."""
    defects = [(d.x.ticks, d.y.ticks, d.length.ticks, d.width.ticks) for d in rest.defects]
    length, width = sound_rectangle(rest.length.ticks, rest.width.ticks, defects)
    return keep_rule(parent, shop.settings).keeps(length, width)


def offcuts_of(saw: Saw, rests: Sequence[Piece], shop: Shop, today: date) -> dict[str, Offcut]:
    """What lies there of begun pieces as pieces of the pile, by the name the search has for each rest.

    A leftover keeps the number that the cut sheet gave it, when that is free.
    """
    names = saw.names()
    taken = {o.code for o in shop.offcuts} | {p.piece.code for p in saw.kept.pieces}
    codes: dict[str, str] = {}
    for rest in rests:
        named = names.get((rest.parent, Box(*rest.at, rest.length, rest.width)), "")
        if named and len(named) <= 16 and named not in taken:
            codes[rest.code] = named
            taken.add(named)
    for rest in rests:
        if rest.code not in codes:
            codes[rest.code] = leftover_codes(rest.parent, 1, taken)[0]
            taken.add(codes[rest.code])
    return {r.code: _offcut(codes[r.code], r, saw.laid(r.parent).piece, today) for r in rests}


def _offcut(code: str, rest: Piece, parent: Offcut, today: date) -> Offcut:
    """A rest as a piece of its own: what it is made of and where it lies from its parent, sawn edges true."""
    x, y = rest.at
    edges = 0 if rest.trim_y != 0 else 1 if rest.trim_x != 0 else 2
    return Offcut(
        code=code,
        material=parent.material,
        thickness=parent.thickness,
        length=Length.from_ticks(rest.length),
        width=Length.from_ticks(rest.width),
        defects=tuple(_moved(parent.defects, x, y, rest.length, rest.width)),
        grain=parent.grain,
        true_edges=edges if kind_of(parent) in (PieceKind.SHEET, PieceKind.SOLID) else 0,
        kind=kind_of(parent),
        damp=parent.damp,
        place=parent.place,
        origin=parent.code,
        value=None if rest.value is None else rest.value.quantize(Decimal("0.01")),
        since=today,
    )


def _moved(defects: Sequence[Defect], x: int, y: int, length: int, width: int) -> Iterator[Defect]:
    """The defects of a piece as far as they lie in a rest of it, from the corner of the rest."""
    for d in defects:
        x0, y0 = max(d.x.ticks, x), max(d.y.ticks, y)
        x1, y1 = min(d.x.ticks + d.length.ticks, x + length), min(d.y.ticks + d.width.ticks, y + width)
        if x1 > x0 and y1 > y0:
            here = (Length.from_ticks(v) for v in (x0 - x, y0 - y, x1 - x0, y1 - y0))
            left, low, long, wide = here
            yield Defect(x=left, y=low, length=long, width=wide, what=d.what)
