"""A layout as it is kept with a unit, and back: every figure of it follows from how the pieces are divided."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import NamedTuple

from logbook.layout.asked import PartKind, parts_together, piece_of, pieces_of, rules_of
from logbook.layout.checker import problems_of
from logbook.layout.cut_records import Box, Layout, Node, PartToCut, Piece, PieceToBuy, Rules, Unplaced
from logbook.layout.cutting import cuts_of
from logbook.layout.nesting import deep_trees
from logbook.layout.trees import leftovers_of, placements_of
from logbook.model.layout_records import Division, KeptLayout, LaidPiece, LeftOut, WantedPart
from logbook.model.measures import Length
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit


class Asked(NamedTuple):
    """What a layout is asked with, and answers to."""

    parts: tuple[PartToCut, ...]
    pieces: tuple[Piece, ...]
    rules: Rules


def kept_of(
    layout: Layout, asked: Asked, shop: Shop, kind: PartKind, at: datetime, *, with_units: Sequence[str] = ()
) -> KeptLayout:
    """The record of a layout that was just found, nothing of it cut yet."""
    pile = {o.code: o for o in shop.offcuts}
    pieces = {p.code: p for p in asked.pieces}
    return KeptLayout(
        what=str(kind),
        with_units=tuple(with_units),
        chosen_at=at,
        kerf=Length.from_ticks(asked.rules.kerf),
        trim=Length.from_ticks(asked.rules.trim),
        thickness_tolerance=Length.from_ticks(asked.rules.thickness_tolerance),
        parts=tuple(wanted_of(p) for p in asked.parts),
        pieces=tuple(_laid(pile[code], pieces[code], node, asked.rules) for code, node in layout.trees),
        left_out=tuple(LeftOut(part=u.part, quantity=u.quantity, why=u.why) for u in layout.unplaced),
        to_buy=tuple(purchase_words(p) for p in layout.purchases),
        proven=layout.proven,
        fewest_pieces=layout.fewest_pieces,
    )


def purchase_words(bought: PieceToBuy) -> str:
    """The smallest purchase that would do, in a sentence."""
    size = f"{_mm(bought.length)} x {_mm(bought.width)}"
    grain = "" if bought.grain == "free" else ", grain along the length"
    parts = ", ".join(bought.parts)
    return f"To buy for {parts}: {bought.material} {_mm(bought.thickness)}, at least {size}{grain}."


def wanted_of(part: PartToCut) -> WantedPart:
    """A part as it stands in the record."""
    return WantedPart(
        code=part.code,
        quantity=part.quantity,
        length=Length.from_ticks(part.length),
        width=Length.from_ticks(part.width),
        material=part.material,
        thickness=Length.from_ticks(part.thickness),
        grain=part.grain,
        together=part.together,
        unit=part.unit,
    )


def part_of(wanted: WantedPart) -> PartToCut:
    """The same as the search takes it."""
    return PartToCut(
        wanted.code, wanted.quantity, wanted.length.ticks, wanted.width.ticks, wanted.material, wanted.thickness.ticks,
        wanted.grain, wanted.together, wanted.unit,
    )  # fmt: skip


def _laid(offcut: Offcut, piece: Piece, node: Node, rules: Rules) -> LaidPiece:
    trim_x, trim_y = rules.trims_of(piece)
    return LaidPiece(
        piece=offcut,
        length=Length.from_ticks(piece.length),
        width=Length.from_ticks(piece.width),
        kerf=Length.from_ticks(rules.kerf_of(piece)),
        trim_x=Length.from_ticks(trim_x),
        trim_y=Length.from_ticks(trim_y),
        divisions=tuple(_divisions(node)),
    )


def _divisions(node: Node) -> Iterator[Division]:
    waiting: list[Node | None] = [node]
    while waiting:
        if (one := waiting.pop()) is None:
            continue
        at = Length.from_ticks(one.at) if one.axis else None
        yield Division(axis=one.axis, at=at, part=one.part, turned=one.turned, trim=one.trim)
        waiting += [one.rest, one.first]


def node_of(laid: LaidPiece) -> Node:
    """How a piece is cut down to its parts, from its divisions."""
    waiting = iter(laid.divisions)
    with deep_trees():
        return _node(waiting, Box(0, 0, laid.length.ticks, laid.width.ticks), laid.kerf.ticks)


def _node(waiting: Iterator[Division], box: Box, kerf: int) -> Node:
    division = next(waiting, None)
    if division is None or not division.axis or division.at is None:
        part, turned = (division.part, division.turned) if division is not None else ("", False)
        return Node(box, part=part, turned=turned)
    at = division.at.ticks
    far = at if division.trim else at + kerf
    first = None if division.trim else _node(waiting, _side(box, division.axis, 0, at), kerf)
    size = box.length if division.axis == "x" else box.width
    across = box.width if division.axis == "x" else box.length
    rest = None
    if size - far > 0 and across > 0:
        rest = _node(waiting, _side(box, division.axis, far, size - far), kerf)
    return Node(box, division.axis, at, first, rest, trim=division.trim)


def _side(box: Box, axis: str, start: int, size: int) -> Box:
    if axis == "x":
        return Box(box.x + start, box.y, size, box.width)
    return Box(box.x, box.y + start, box.length, size)


def asked_of(kept: KeptLayout, shop: Shop, units: Mapping[str, Unit], unit: str) -> Asked:
    """What a kept layout answers to now: its parts; pieces that are cut as they were, all others as they lie there."""
    rules = kept_rules(kept, shop, unit)
    pieces = {p.code: p for p in pieces_of(shop, rules, units.values())}
    for laid in kept.pieces:
        if laid.finished:
            pieces[laid.piece.code] = laid_piece(laid, shop)
    return Asked(tuple(part_of(p) for p in kept.parts), tuple(pieces.values()), rules)


def kept_rules(kept: KeptLayout, shop: Shop, unit: str) -> Rules:
    """The rules it was made with."""
    return replace(
        rules_of(shop, unit),
        kerf=kept.kerf.ticks,
        trim=kept.trim.ticks,
        thickness_tolerance=kept.thickness_tolerance.ticks,
    )


def laid_piece(laid: LaidPiece, shop: Shop) -> Piece:
    """A piece as it was when it was laid out."""
    return replace(
        piece_of(laid.piece, shop),
        length=laid.length.ticks,
        width=laid.width.ticks,
        kerf=laid.kerf.ticks,
        trim_x=laid.trim_x.ticks,
        trim_y=laid.trim_y.ticks,
    )


def layout_of(kept: KeptLayout, shop: Shop, unit: str) -> Layout:
    """The layout of a record: where everything lies, the cuts in order, what is left over."""
    rules = kept_rules(kept, shop, unit)
    pieces = tuple(laid_piece(laid, shop) for laid in kept.pieces)
    trees = tuple((laid.piece.code, node_of(laid)) for laid in kept.pieces)
    placements = tuple(p for code, node in trees for p in placements_of(code, node))
    pairs = zip(pieces, trees, strict=True)
    layout = Layout(
        placements=placements,
        unplaced=tuple(Unplaced(x.part, x.quantity, x.why) for x in kept.left_out),
        used=tuple(p.code for p in pieces),
        leftovers=tuple(x for piece, (_, node) in pairs for x in leftovers_of(piece, node, rules)),
        trees=trees,
        used_area=sum(p.length * p.width for p in pieces),
        part_area=sum(p.length * p.width for p in placements),
        proven=kept.proven,
        fewest_pieces=kept.fewest_pieces,
    )
    return layout.with_cuts(cuts_of(trees, pieces, rules))


def problems_now(kept: KeptLayout, shop: Shop, units: Mapping[str, Unit], unit: str) -> tuple[str, ...]:
    """What is wrong with a kept layout by the checker, as the pile and the parts are now; empty when nothing is."""
    asked = asked_of(kept, shop, units, unit)
    layout = layout_of(kept, shop, unit)
    lying = {p.code for p in asked.pieces}
    gone = [f"{code} is not on the pile any more." for code in layout.used if code not in lying]
    changed = [f"{code} was changed since it was laid out." for code in _changed(kept, shop)]
    if gone or changed:
        return (*gone, *changed)
    return (*problems_of(layout, asked.parts, asked.pieces, asked.rules), *_other_parts(kept, units, unit))


def _changed(kept: KeptLayout, shop: Shop) -> Iterator[str]:
    """Unfinished pieces that are not as they were in what a layout rests on."""
    pile = {o.code: o for o in shop.offcuts}
    for laid in kept.pieces:
        now = pile.get(laid.piece.code)
        if now is not None and not laid.finished and _shape(now, shop) != _shape(laid.piece, shop):
            yield laid.piece.code


def _shape(offcut: Offcut, shop: Shop) -> Piece:
    return replace(piece_of(offcut, shop), value=None)


def _other_parts(kept: KeptLayout, units: Mapping[str, Unit], unit: str) -> Iterator[str]:
    """Parts that are wanted otherwise now than when they were laid out."""
    now = Counter({_key(p): p.quantity for p in wanted_now(kept, units, unit)})
    then: Counter[tuple[object, ...]] = Counter()
    for part in (*kept.parts, *kept.cut):
        then[_key(part_of(part))] += part.quantity
    codes = sorted({str(key[0]) for key in (now - then) + (then - now)})
    if codes:
        yield f"{', '.join(codes)} changed in the record since it was laid out."


def wanted_now(kept: KeptLayout, units: Mapping[str, Unit], unit: str) -> tuple[PartToCut, ...]:
    """Every part that the units of a layout want now, cut or not."""
    return parts_together([units[c] for c in (unit, *kept.with_units) if c in units], PartKind(kept.what))


def _key(part: PartToCut) -> tuple[object, ...]:
    return part.code, part.length, part.width, part.material.casefold(), part.thickness, part.grain


def _mm(ticks: int) -> str:
    return Length.from_ticks(ticks).in_mm()
