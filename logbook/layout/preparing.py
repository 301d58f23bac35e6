"""From parts and pieces to the plain numbers that the search works on: items, ways of lying, capacities, worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from random import Random

from logbook.layout.cut_records import PartToCut, Piece, Rules
from logbook.layout.packing import Option, Options, Rect, Start
from logbook.model.material_names import bare_material, same_material
from logbook.model.words import Grain


@dataclass(frozen=True, slots=True)
class CutItem:
    """What is placed as one: a single part, or parts that must come from one board in sequence."""

    parts: tuple[int, ...]
    """Indices of the parts in order; one that is wanted twice stands there twice."""
    group: str = ""


@dataclass(frozen=True, slots=True)
class Prepared:
    """Items and pieces that depend on each other, by index.

    `options[piece][item]` are the ways in which an item may lie; `capacity` and `need` are areas widened by the kerf,
    so that the needs on one piece never exceed its capacity.
    """

    parts: tuple[PartToCut, ...]
    pieces: tuple[Piece, ...]
    items: tuple[CutItem, ...]
    options: tuple[tuple[tuple[Option, ...], ...], ...]
    kerfs: tuple[int, ...]
    regions: tuple[Rect, ...]
    """What is left of each piece after truing."""
    defects: tuple[tuple[Rect, ...], ...]
    worth: tuple[int, ...]
    capacity: tuple[int, ...]
    need: tuple[int, ...]
    rules: Rules

    def start(self, piece: int, random: Random | None = None) -> Start:
        """A piece before anything is placed on it, its defects cut out; with chance, in one way of several."""
        start: Start = (piece, [], {})
        _cut_around(start, self.regions[piece], self.defects[piece], self.kerfs[piece], random)
        return start

    @property
    def ground(self) -> tuple[Options, Sequence[int]]:
        """What placing needs to know of the pieces."""
        return self.options, self.kerfs


def refusal(part: PartToCut, piece: Piece, rules: Rules) -> str:
    """Why a part may not be cut from a piece whatever their sizes: “thickness” and so on; empty when it may."""
    if not same_material(part.material, (part.thickness,), piece.material, piece.thickness):
        return "material"
    if part.only_from and part.only_from != piece.code:
        return "other piece"
    if piece.reserved_for and piece.reserved_for != (part.unit or rules.for_unit):
        return "reserved"
    if not piece.thickness:
        return "not measured"
    if any(abs(t - part.thickness) > rules.thickness_tolerance for t in piece.thickness):
        return "thickness"
    return ""


def ways(part: Grain, piece: Grain) -> tuple[bool, ...]:
    """Turned or not: how a part may lie so that its grain runs as it should."""
    if Grain.FREE in (part, piece):
        return (False, True)
    return (False,) if part is piece else (True,)


def region_of(piece: Piece, rules: Rules) -> Rect:
    """What is left of a piece once its reference edge is true and its end square; empty extents are 0."""
    trim_x, trim_y = rules.trims_of(piece)
    return trim_x, trim_y, max(0, piece.length - trim_x), max(0, piece.width - trim_y)


def items_of(parts: Sequence[PartToCut]) -> tuple[CutItem, ...]:
    """The parts one by one; those that belong together as one item, in the order given."""
    items: list[CutItem] = []
    groups: dict[str, list[int]] = {}
    for index, part in enumerate(parts):
        if part.together:
            groups.setdefault(part.together, []).extend([index] * part.quantity)
        else:
            items += [CutItem((index,))] * part.quantity
    return tuple(items) + tuple(CutItem(tuple(members), name) for name, members in groups.items() if members)


def item_size(item: CutItem, parts: Sequence[PartToCut], kerf: int) -> tuple[int, int, Grain]:
    """Length, width and grain of an item on a piece with that kerf; a sequence is lined up along its grain."""
    members = [parts[i] for i in item.parts]
    if len(members) == 1:
        return members[0].length, members[0].width, members[0].grain
    grain = next((m.grain for m in members if m.grain is not Grain.FREE), Grain.FREE)
    saw = kerf * (len(members) - 1)
    if grain is Grain.WIDTH:
        return max(m.length for m in members), sum(m.width for m in members) + saw, grain
    return sum(m.length for m in members) + saw, max(m.width for m in members), grain


def _lying(size: tuple[int, int, Grain], turns: tuple[bool, ...], room: Sequence[int]) -> tuple[Option, ...]:
    """The ways in which an item may lie in the room of a piece, by size and grain alone."""
    length, width, _grain = size
    room_x, room_y = room
    is_straight = length <= room_x and width <= room_y and False in turns
    is_turned = width <= room_x and length <= room_y and True in turns and not (is_straight and length == width)
    return _laid(length, width, is_straight, is_turned) if is_straight or is_turned else ()


@lru_cache(maxsize=8192)
def _laid(length: int, width: int, is_straight: bool, is_turned: bool) -> tuple[Option, ...]:
    """The same ways are one value, however many pieces there are: a million of them would have to be looked after."""
    straight: tuple[Option, ...] = ((length, width, False),) if is_straight else ()
    return (*straight, (width, length, True)) if is_turned else straight


def prepare(parts: Sequence[PartToCut], pieces: Sequence[Piece], rules: Rules) -> tuple[list[Prepared], list[CutItem]]:
    """What can be searched apart from each other, and the items that fit on no piece at all."""
    items = items_of(parts)
    table = _options(items, parts, pieces, rules)
    fits = [[p for p in range(len(pieces)) if table[p][i]] for i in range(len(items))]
    groups: list[tuple[set[int], list[int]]] = []
    for i, on in enumerate(fits):
        if not on:
            continue
        touched = [g for g in groups if g[0].intersection(on)]
        joined = (set(on).union(*(g[0] for g in touched)), [i for g in touched for i in g[1]] + [i])
        groups = [g for g in groups if g not in touched] + [joined]
    made = [_prepared((sorted(ps), sorted(ns)), items, table, (parts, pieces, rules)) for ps, ns in groups]
    return made, [item for item, on in zip(items, fits, strict=True) if not on]


def _options(
    items: Sequence[CutItem], parts: Sequence[PartToCut], pieces: Sequence[Piece], rules: Rules
) -> list[list[tuple[Option, ...]]]:
    """The ways of lying for every piece and item; what is equal is looked at once."""
    table: list[list[tuple[Option, ...]]] = []
    kinds = list(dict.fromkeys(items))
    number_of = {kind: number for number, kind in enumerate(kinds)}
    numbers = [number_of[item] for item in items]
    stuffs = [_stuff(kind, parts) for kind in kinds]
    one_of = dict(zip(stuffs, kinds, strict=True))
    sizes: dict[int, list[tuple[int, int, Grain] | None]] = {}
    for piece in pieces:
        refused = {stuff: any(refusal(parts[i], piece, rules) for i in kind.parts) for stuff, kind in one_of.items()}
        kerf = rules.kerf_of(piece)
        if kerf not in sizes:
            sizes[kerf] = [_size_of(kind, parts, kerf) for kind in kinds]
        _x, _y, *room = region_of(piece, rules)
        turns = {grain: ways(grain, piece.grain) for grain in Grain}
        known = [
            () if size is None or refused[stuff] else _lying(size, turns[size[2]], room)
            for stuff, size in zip(stuffs, sizes[kerf], strict=True)
        ]
        table.append([known[number] for number in numbers])
    return table


def _size_of(item: CutItem, parts: Sequence[PartToCut], kerf: int) -> tuple[int, int, Grain] | None:
    """As `item_size`; None when the grains of its parts do not agree."""
    grains = {parts[i].grain for i in item.parts} - {Grain.FREE}
    return item_size(item, parts, kerf) if len(grains) <= 1 else None


_Stuff = frozenset[tuple[str, int, str, str]]


def _stuff(item: CutItem, parts: Sequence[PartToCut]) -> _Stuff:
    """Everything by which `refusal` judges an item: of many parts only a few kinds."""
    members = (parts[i] for i in item.parts)
    return frozenset((m.material, m.thickness, m.only_from, m.unit) for m in members)


def _prepared(
    chosen: tuple[list[int], list[int]],
    items: Sequence[CutItem],
    table: list[list[tuple[Option, ...]]],
    asked: tuple[Sequence[PartToCut], Sequence[Piece], Rules],
) -> Prepared:
    ps, ns = chosen
    parts, pieces, rules = asked
    worth = worth_of(pieces)
    kerfs = [rules.kerf_of(pieces[p]) for p in ps]
    regions = [region_of(pieces[p], rules) for p in ps]
    least = min(kerfs)
    defects = [_clipped(pieces[p], r) for p, r in zip(ps, regions, strict=True)]
    # Widened by one kerf, parts never overlap each other nor leave the piece, and reach into a defect by at most that
    # kerf; so areas may be compared. Where kerfs differ, the smallest is counted for the parts, which is safe.
    capacity = [
        (w + k) * (h + k) - sum(max(0, dw - k) * max(0, dh - k) for _x, _y, dw, dh in _apart(d))
        for (_, _, w, h), k, d in zip(regions, kerfs, defects, strict=True)
    ]
    return Prepared(
        parts=tuple(parts),
        pieces=tuple(pieces[p] for p in ps),
        items=tuple(items[n] for n in ns),
        options=tuple(tuple(table[p][n] for n in ns) for p in ps),
        kerfs=tuple(kerfs),
        regions=tuple(regions),
        defects=tuple(defects),
        worth=tuple(worth[p] for p in ps),
        capacity=tuple(capacity),
        need=tuple(sum((parts[m].length + least) * (parts[m].width + least) for m in items[n].parts) for n in ns),
        rules=rules,
    )


def worth_of(pieces: Sequence[Piece]) -> list[int]:
    """What each piece counts: its value, and of equal values the smaller area.

    A piece without a value counts by its area, at the price of the priced pieces of its material, else of all.
    """
    areas = [p.length * p.width for p in pieces]
    scale = sum(areas) + 1
    rates: dict[str, Fraction] = {}
    materials = [bare_material(p.material, p.thickness) for p in pieces]
    for material in dict.fromkeys(materials):
        rates[material] = _rate([p for p, of in zip(pieces, materials, strict=True) if of == material])
    overall = _rate(pieces)
    found = []
    for piece, area, material in zip(pieces, areas, materials, strict=True):
        value = Fraction(piece.value) if piece.value is not None else (rates[material] or overall) * area
        found.append(int(value * 10_000) * scale + area)
    return found


def _rate(pieces: Sequence[Piece]) -> Fraction:
    priced = [(Fraction(p.value), p.length * p.width) for p in pieces if p.value is not None]
    area = sum(a for _, a in priced)
    return sum((v for v, _ in priced), Fraction(0)) / area if area else Fraction(0)


def _clipped(piece: Piece, region: Rect) -> tuple[Rect, ...]:
    x, y, w, h = region
    found = []
    for d in piece.defects:
        x0, y0 = max(x, d.x), max(y, d.y)
        x1, y1 = min(x + w, d.x + d.length), min(y + h, d.y + d.width)
        if x1 > x0 and y1 > y0:
            found.append((x0, y0, x1 - x0, y1 - y0))
    return tuple(found)


def _apart(rects: tuple[Rect, ...]) -> list[Rect]:
    """Those of the rectangles that do not overlap one taken before."""
    taken: list[Rect] = []
    for x, y, w, h in rects:
        if all(x >= tx + tw or tx >= x + w or y >= ty + th or ty >= y + h for tx, ty, tw, th in taken):
            taken.append((x, y, w, h))
    return taken


def _cut_around(start: Start, rect: Rect, defects: Sequence[Rect], kerf: int, random: Random | None) -> None:
    """Divide a rectangle beside its defects until what is left is sound; a bare cut is an entry for item -1."""
    x, y, w, h = rect
    if w <= 0 or h <= 0:
        return
    inside = [d for d in defects if d[0] < x + w and d[0] + d[2] > x and d[1] < y + h and d[1] + d[3] > y]
    if not inside:
        start[1].append(rect)
        return
    cuts: list[tuple[int, int]] = []
    for dx, dy, dw, dh in inside:
        # The saw takes wood of the defect, never of the sound side; `at` is what stays on the reference side.
        cuts += [(0, at) for at in (dx - x, dx + dw - x - kerf) if 0 < at < w]
        cuts += [(1, at) for at in (dy - y, dy + dh - y - kerf) if 0 < at < h]
    if not cuts:
        return  # nothing but defect
    if random is None:
        axis, at = max(cuts, key=lambda c: _sound_area(divided(rect, c[0], c[1], kerf), inside))
    else:
        axis, at = random.choice(cuts)
    start[2][rect] = (-1, at if axis == 0 else w, h if axis == 0 else at, False, axis)
    for side in divided(rect, axis, at, kerf):
        _cut_around(start, side, inside, kerf, random)


def sound_parts(rect: Rect, defects: Sequence[Rect], kerf: int) -> list[Rect]:
    """What is left of a rectangle once its defects are cut out."""
    start: Start = (0, [], {})
    _cut_around(start, rect, defects, kerf, None)
    return start[1]


def divided(rect: Rect, axis: int, at: int, kerf: int) -> tuple[Rect, Rect]:
    """The two sides of a cut at a distance along x (axis 0) or y (axis 1); the far one may be empty."""
    x, y, w, h = rect
    if axis == 0:
        return (x, y, at, h), (x + at + kerf, y, w - at - kerf, h)
    return (x, y, w, at), (x, y + at + kerf, w, h - at - kerf)


def _sound_area(sides: tuple[Rect, Rect], defects: Sequence[Rect]) -> int:
    """The larger of the sides that have no defect; 0 when both have."""
    return max(
        (
            w * h
            for x, y, w, h in sides
            if w > 0
            and h > 0
            and not any(d[0] < x + w and d[0] + d[2] > x and d[1] < y + h and d[1] + d[3] > y for d in defects)
        ),
        default=0,
    )
