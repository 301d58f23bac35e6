"""The independent checker: whether a layout can be cut as it stands. It knows the records and nothing of the search.

Every layout that a person is shown has passed it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from logbook.layout.cut_records import Box, Layout, Leftover, Node, PartToCut, Piece, Placement, Rules
from logbook.model.material_names import same_material
from logbook.model.measures import Length
from logbook.model.words import Grain


def problems_of(layout: Layout, parts: Sequence[PartToCut], pieces: Sequence[Piece], rules: Rules) -> tuple[str, ...]:
    """What is wrong with a layout, in sentences; empty when nothing is.

    Looked at: every part once, on one piece, whole and inside what is left after truing; apart by the kerf; cut
    through straight; grain, material, thickness, defects, reservations, sequences; leftovers; the cuts and the sums.
    """
    return tuple(_problems(layout, list(parts), {p.code: p for p in pieces}, rules))


def _problems(layout: Layout, parts: list[PartToCut], pieces: dict[str, Piece], rules: Rules) -> Iterator[str]:
    wanted = {p.code: p for p in parts}
    known: dict[str, list[Placement]] = {}
    for placed in layout.placements:
        if placed.piece not in pieces:
            yield f"{placed.part} lies on {placed.piece}, which is not in the pile."
        elif placed.part not in wanted:
            yield f"{placed.part} is placed and was not asked for."
        else:
            known.setdefault(placed.piece, []).append(placed)
            yield from _one(placed, wanted[placed.part], pieces[placed.piece], rules)
    yield from _counted(layout, wanted)
    for code, on in known.items():
        yield from _together_on(on, layout, pieces[code], rules)
    yield from _sequences(layout, parts, pieces, rules)
    yield from _sums(layout, pieces)
    yield from _cuts(layout, pieces, rules)


def _one(placed: Placement, part: PartToCut, piece: Piece, rules: Rules) -> Iterator[str]:
    """Size, grain, material, thickness, promise, truing and defects of one part on its piece."""
    where = f"{part.code} on {piece.code}"
    size = (part.width, part.length) if placed.turned else (part.length, part.width)
    if (placed.length, placed.width) != size:
        yield f"{where} is drawn {_mm(placed.length)} x {_mm(placed.width)}, not its own size."
    if Grain.FREE not in (part.grain, piece.grain) and (part.grain is piece.grain) == placed.turned:
        yield f"{where} has its grain the wrong way."
    if not same_material(part.material, (part.thickness,), piece.material, piece.thickness):
        yield f"{where} is {piece.material} and was drawn in {part.material}."
    if not piece.thickness:
        yield f"{where}: the piece was never measured."
    off = [t for t in piece.thickness if abs(t - part.thickness) > rules.thickness_tolerance]
    if off:
        yield f"{where} is {_mm(off[0])} thick and was drawn for {_mm(part.thickness)}."
    if piece.reserved_for not in ("", part.unit or rules.for_unit):
        yield f"{where}: the piece is reserved for {piece.reserved_for}."
    if part.only_from not in ("", piece.code):
        yield f"{where} was to come from {part.only_from}."
    yield from _lies_on(placed, piece, rules, where)


def _lies_on(placed: Placement, piece: Piece, rules: Rules, where: str) -> Iterator[str]:
    """Inside the piece, clear of what is cut off to true it and of its defects."""
    trim_x = rules.trim if piece.trim_x is None else piece.trim_x
    trim_y = rules.trim if piece.trim_y is None else piece.trim_y
    if placed.x < trim_x or placed.y < trim_y:
        yield f"{where} reaches into what is cut off to true the piece."
    if placed.x + placed.length > piece.length or placed.y + placed.width > piece.width:
        yield f"{where} reaches beyond the piece."
    for defect in piece.defects:
        if _gap(placed.box, defect) < 0:
            yield f"{where} lies on a defect at {_mm(defect.x)}, {_mm(defect.y)}."


def _counted(layout: Layout, wanted: dict[str, PartToCut]) -> Iterator[str]:
    """Nothing lost and nothing twice."""
    placed = Counter(p.part for p in layout.placements)
    missing = Counter({u.part: u.quantity for u in layout.unplaced})
    for code, part in wanted.items():
        if placed[code] + missing[code] != part.quantity:
            yield f"{code} is wanted {part.quantity} times, placed {placed[code]} times and missing {missing[code]}."
    if set(layout.used) != {p.piece for p in layout.placements}:
        yield "The pieces said to be used are not those on which parts lie."


def _together_on(on: list[Placement], layout: Layout, piece: Piece, rules: Rules) -> Iterator[str]:
    """Parts and leftovers of one piece: apart by the kerf, and cut through straight."""
    kerf = rules.kerf if piece.kerf is None else piece.kerf
    boxes = [p.box for p in on]
    for number, other in _neighbours(boxes, kerf):
        one, two = on[number], on[other]
        gap = _gap(one.box, two.box)
        if gap < 0:
            yield f"{one.part} and {two.part} overlap on {piece.code}."
        elif gap < kerf:
            yield f"{one.part} and {two.part} on {piece.code} are {_mm(gap)} apart, less than the kerf."
    rests = [x for x in layout.leftovers if x.piece == piece.code]
    yield from _leftovers(rests, on, piece, kerf)
    if not cut_through(boxes, kerf):
        yield f"The parts on {piece.code} cannot be freed by cuts from edge to edge."


def _neighbours(boxes: Sequence[Box], kerf: int) -> Iterator[tuple[int, int]]:
    """Every two rectangles, by number, but for those that are apart by the kerf in the direction in which most are."""
    start, extent = max(WAYS, key=lambda way: len({way[0](box) for box in boxes}))
    row = sorted(range(len(boxes)), key=lambda number: start(boxes[number]))
    for at, one in enumerate(row):
        end = start(boxes[one]) + extent(boxes[one]) + kerf
        for other in row[at + 1 :]:
            if start(boxes[other]) >= end:
                break
            yield min(one, other), max(one, other)


def _leftovers(rests: list[Leftover], on: list[Placement], piece: Piece, kerf: int) -> Iterator[str]:
    boxes = [Box(x.x, x.y, x.length, x.width) for x in rests]
    for box in boxes:
        if box.x < 0 or box.y < 0 or box.x + box.length > piece.length or box.y + box.width > piece.width:
            yield f"A leftover reaches beyond {piece.code}."
    every = boxes + [p.box for p in on]
    for number, other in _neighbours(every, kerf):
        if number < len(boxes) and _gap(every[number], every[other]) < kerf:
            yield f"A leftover of {piece.code} overlaps something, or the kerf beside it."


WAYS: tuple[tuple[Callable[[Box], int], Callable[[Box], int]], ...] = (
    (lambda b: b.x, lambda b: b.length),
    (lambda b: b.y, lambda b: b.width),
)
"""Where a rectangle begins and how far it goes, along the piece and across it."""


def cut_through(boxes: Sequence[Box], kerf: int) -> bool:
    """Whether rectangles can be parted from each other by straight cuts, each through all that is still together."""
    if len(boxes) < 2:
        return True
    for start, extent in WAYS:
        runs: list[list[Box]] = []
        end: int | None = None
        for box in sorted(boxes, key=start):
            if end is None or start(box) - end >= kerf:
                runs.append([])
                end = start(box) + extent(box)
            runs[-1].append(box)
            end = max(end, start(box) + extent(box))
        if len(runs) > 1:  # one straight cut never spoils another, so all that are found may be made
            return all(cut_through(run, kerf) for run in runs)
    return False


def _sequences(layout: Layout, parts: list[PartToCut], pieces: dict[str, Piece], rules: Rules) -> Iterator[str]:
    """Parts that belong together: all on one board or none, in a row, in the order given."""
    for name in dict.fromkeys(p.together for p in parts if p.together):
        order = [p.code for p in parts if p.together == name for _ in range(p.quantity)]
        placed = [p for p in layout.placements if p.part in order]
        if not placed:
            continue
        if len(placed) != len(order) or len({p.piece for p in placed}) != 1:
            yield f"The parts of {name} do not come from one board."
            continue
        piece = pieces.get(placed[0].piece)
        kerf = rules.kerf if piece is None or piece.kerf is None else piece.kerf
        along_x = len({p.x for p in placed}) > 1
        row = sorted(placed, key=lambda p: p.x if along_x else p.y)
        gaps = [(b.x - a.x - a.length) if along_x else (b.y - a.y - a.width) for a, b in pairwise(row)]
        level = {p.y if along_x else p.x for p in row}
        if [p.part for p in row] != order or any(g != kerf for g in gaps) or len(level) != 1:
            yield f"The parts of {name} do not lie one after the other in the order given."


def _sums(layout: Layout, pieces: dict[str, Piece]) -> Iterator[str]:
    used = sum(pieces[c].length * pieces[c].width for c in set(layout.used) if c in pieces)
    if layout.used_area != used:
        yield "The area used is not that of the pieces used."
    if layout.part_area != sum(p.length * p.width for p in layout.placements):
        yield "The area of the parts is not that of what is placed."
    if layout.complete and layout.bound_area > used:
        yield "The bound on the area is above what is used."


def _cuts(layout: Layout, pieces: dict[str, Piece], rules: Rules) -> Iterator[str]:
    """The tree of each piece cuts what it has, frees every part, and the list names each cut once."""
    count = 0
    for code, node in layout.trees:
        piece = pieces.get(code)
        if piece is None:
            yield f"There are cuts for {code}, which is not in the pile."
            continue
        kerf = rules.kerf if piece.kerf is None else piece.kerf
        if node.box != Box(0, 0, piece.length, piece.width):
            yield f"The cuts of {code} do not begin with the whole piece."
        freed: list[tuple[str, Box]] = []
        for each in _nodes(node):
            count += bool(each.axis)
            if each.part:
                freed.append((each.part, each.box))
            yield from _divides(each, code, kerf)
        on = [(p.part, p.box) for p in layout.placements if p.piece == code]
        if sorted(freed, key=str) != sorted(on, key=str):
            yield f"The cuts of {code} do not free the parts that lie on it."
    if layout.trees and len(layout.cuts) != count:
        yield "The list of cuts does not have every cut once."
    if [c.order for c in layout.cuts] != list(range(1, len(layout.cuts) + 1)):
        yield "The cuts are not numbered in order."


def _divides(node: Node, code: str, kerf: int) -> Iterator[str]:
    """Whether the two sides of a cut are what the saw leaves of its box."""
    box, at = node.box, node.at
    if not node.axis:
        return
    near = 0 if node.trim else at
    far = at if node.trim else at + kerf
    if node.axis == "x":
        first = Box(box.x, box.y, near, box.width)
        rest = Box(box.x + far, box.y, box.length - far, box.width)
    else:
        first = Box(box.x, box.y, box.length, near)
        rest = Box(box.x, box.y + far, box.length, box.width - far)
    if node.first is not None and node.first.box != first:
        yield f"A cut of {code} does not leave what it should at the fence."
    if node.rest is not None and node.rest.box != rest:
        yield f"A cut of {code} does not leave what it should beyond the saw."
    if not node.trim and node.first is None:
        yield f"A cut of {code} loses what is at the fence."
    if node.rest is None and rest.length > 0 and rest.width > 0:
        yield f"A cut of {code} loses what is beyond the saw."


def _nodes(node: Node) -> Iterator[Node]:
    waiting: list[Node | None] = [node]
    while waiting:
        if (one := waiting.pop()) is not None:
            yield one
            waiting += [one.rest, one.first]


def _gap(a: Box, b: Box) -> int:
    """How far two rectangles are apart in the direction in which they are furthest; negative when they overlap."""
    along = max(a.x, b.x) - min(a.x + a.length, b.x + b.length)
    across = max(a.y, b.y) - min(a.y + a.width, b.y + b.width)
    return max(along, across)


def _mm(ticks: int) -> str:
    return f"{Length.from_ticks(ticks).in_mm()} mm"
