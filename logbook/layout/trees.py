"""How each piece is cut down to its parts: the search's rectangles as a tree of cuts, with truing and leftovers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from logbook.layout.cut_records import Box, Leftover, Node, Piece, Placement, Rules
from logbook.layout.packing import RIP_FIRST, Entry, Filling, Log, Rect
from logbook.layout.preparing import Prepared, divided, item_size, sound_parts
from logbook.model.words import Grain


@dataclass(frozen=True, slots=True)
class _Maker:
    """Makes the tree of one piece."""

    prepared: Prepared
    piece: int
    log: Log

    @property
    def kerf(self) -> int:
        return self.prepared.kerfs[self.piece]

    def node(self, rect: Rect) -> Node:
        """The tree under a rectangle."""
        entry = self.log.get(rect)
        if entry is None or not self._holds(rect):
            return Node(_box(rect))
        item, a, b, _turned, way = entry
        if item < 0:
            return self._cut(rect, way, a if way == 0 else b)
        return self._corner(rect, entry)

    def _holds(self, rect: Rect) -> bool:
        """Whether a part lies anywhere in a rectangle."""
        waiting = [rect]
        while waiting:
            one = waiting.pop()
            if (entry := self.log.get(one)) is None:
                continue
            item, a, b, _turned, way = entry
            if item >= 0:
                return True
            waiting += divided(one, way, a if way == 0 else b, self.kerf)
        return False

    def _cut(self, rect: Rect, axis: int, at: int) -> Node:
        first, rest = divided(rect, axis, at, self.kerf)
        if not self._holds(rest) and (whole := self._extended(self.node(first), axis, rect)) is not None:
            return whole
        return _divided(rect, axis, at, self.node(first), self.node(rest) if _is_there(rest) else None)

    def _extended(self, node: Node, axis: int, into: Rect) -> Node | None:
        """The tree reaching to the far side of a rectangle, so that no cut is needed there; None when one is.

        A leftover stays in one big piece, with the defect in it; a part that reaches so far needs the cut.
        """
        far = into[axis] + into[axis + 2]
        box = node.box
        grown = replace(box, length=far - box.x) if axis == 0 else replace(box, width=far - box.y)
        if not node.axis:
            return None if node.part else replace(node, box=grown)
        if (node.axis == "x") != (axis == 0):
            first = self._extended(node.first, axis, into) if node.first is not None else None
            rest = self._extended(node.rest, axis, into) if node.rest is not None else None
            if first is None or (rest is None and node.rest is not None):
                return None
            return replace(node, box=grown, first=first, rest=rest)
        if node.rest is not None:
            rest = self._extended(node.rest, axis, into)
            return None if rest is None else replace(node, box=grown, rest=rest)
        beyond = divided((grown.x, grown.y, grown.length, grown.width), axis, node.at, self.kerf)[1]
        return replace(node, box=grown, rest=Node(_box(beyond)) if _is_there(beyond) else None)

    def _corner(self, rect: Rect, entry: Entry) -> Node:
        """A part in the corner, freed by up to two cuts."""
        x, y, w, h = rect
        item, a, b, turned, way = entry
        cuts = [(1, b, h), (0, a, w)] if way == RIP_FIRST else [(0, a, w), (1, b, h)]
        inner = rect
        sides: list[tuple[Rect, int, int, Rect]] = []
        for axis, at, room in cuts:
            if at < room:
                first, rest = divided(inner, axis, at, self.kerf)
                sides.append((inner, axis, at, rest))
                inner = first
        node = self._parts((x, y, a, b), item, turned)
        for outer, axis, at, rest in reversed(sides):
            node = _divided(outer, axis, at, node, self.node(rest) if _is_there(rest) else None)
        return node

    def _parts(self, rect: Rect, item: int, turned: bool) -> Node:
        """The part itself, or the parts of a sequence, one after the other along their grain."""
        p = self.prepared
        members = [p.parts[m] for m in p.items[item].parts]
        if len(members) == 1:
            return Node(_box(rect), part=members[0].code, turned=turned)
        grain = item_size(p.items[item], p.parts, self.kerf)[2]
        axis = 0 if (grain is Grain.WIDTH) == turned else 1
        node: Node | None = None
        for member in reversed(members):
            a, b = (member.width, member.length) if turned else (member.length, member.width)
            leaf = Node(Box(0, 0, a, b), part=member.code, turned=turned)
            node = self._before(self._trimmed(leaf, axis, rect[3] if axis == 0 else rect[2]), axis, node)
        return _placed(node, rect[0], rect[1]) if node is not None else Node(_box(rect))

    def _trimmed(self, leaf: Node, axis: int, deep: int) -> Node:
        """A part of a sequence, at the origin, with what is cut off when the strip is wider than the part."""
        a, b = leaf.box.length, leaf.box.width
        across = b if axis == 0 else a
        if across == deep:
            return leaf
        strip = (0, 0, a, deep) if axis == 0 else (0, 0, deep, b)
        rest = divided(strip, 1 - axis, across, self.kerf)[1]
        return _divided(strip, 1 - axis, across, leaf, Node(_box(rest)) if _is_there(rest) else None)

    def _before(self, own: Node, axis: int, after: Node | None) -> Node:
        """A part of a sequence and what comes after it beyond the kerf."""
        if after is None:
            return own
        along = own.box.length if axis == 0 else own.box.width
        shift = along + self.kerf
        moved = _placed(after, shift if axis == 0 else 0, 0 if axis == 0 else shift)
        box = own.box
        whole = (
            (0, 0, shift + after.box.length, box.width) if axis == 0 else (0, 0, box.length, shift + after.box.width)
        )
        return _divided(whole, axis, along, own, moved)


def tree_of(prepared: Prepared, filling: Filling, piece: int) -> Node:
    """How a piece is cut: first its edge is trued, then its end or the end of each strip squared."""
    record, region = prepared.pieces[piece], prepared.regions[piece]
    trim_x, trim_y = prepared.rules.trims_of(record)
    node = _squared(_Maker(prepared, piece, filling.logs[piece]).node(region), trim_x, record, prepared.rules)
    if trim_y:
        return Node(Box(0, 0, record.length, record.width), "y", trim_y, rest=node, trim=True)
    return node


def _squared(node: Node, trim: int, piece: Piece, rules: Rules) -> Node:
    """The tree with its end squared: once rips have divided the piece, strip by strip, as far as it matters."""
    box = node.box
    whole = Box(0, box.y, box.length + trim, box.width)
    if not trim:
        return node
    if node.axis == "y" and node.first is not None:
        rest = None if node.rest is None else _squared(node.rest, trim, piece, rules)
        return replace(node, box=whole, first=_squared(node.first, trim, piece, rules), rest=rest)
    if not node.axis and not node.part and not keeps_any(node.box, piece, rules):
        return replace(node, box=whole)
    return Node(whole, "x", trim, rest=node, trim=True)


def leaves(node: Node) -> Iterator[Node]:
    """The parts and leftovers of a tree."""
    waiting: list[Node | None] = [node]
    while waiting:
        one = waiting.pop()
        if one is not None and one.axis:
            waiting += [one.rest, one.first]
        elif one is not None:
            yield one


def placements_of(code: str, node: Node) -> list[Placement]:
    """Where the parts of a tree lie."""
    return [
        Placement(n.part, code, n.box.x, n.box.y, n.box.length, n.box.width, n.turned) for n in leaves(node) if n.part
    ]


def leftovers_of(piece: Piece, node: Node, rules: Rules) -> list[Leftover]:
    """What is left of a piece, each rectangle with its defects and whether it is worth keeping."""
    found = []
    for leaf in leaves(node):
        box = leaf.box
        if leaf.part or not box.area:
            continue
        inside = tuple(Box(d.x - box.x, d.y - box.y, d.length, d.width) for d in _within(piece, box))
        found.append(Leftover(piece.code, box.x, box.y, box.length, box.width, keeps_any(box, piece, rules), inside))
    return found


def keeps_any(box: Box, piece: Piece, rules: Rules) -> bool:
    """Whether what is sound of a leftover passes the rule."""
    defects = tuple((d.x, d.y, d.length, d.width) for d in _within(piece, box))
    sound = sound_parts((box.x, box.y, box.length, box.width), defects, rules.kerf_of(piece))
    return any(rules.keeps(piece, w, h) for _x, _y, w, h in sound)


def _within(piece: Piece, box: Box) -> Iterator[Box]:
    """The defects of a piece inside a box, clipped to it."""
    for d in piece.defects:
        x0, y0 = max(d.x, box.x), max(d.y, box.y)
        x1, y1 = min(d.x + d.length, box.x + box.length), min(d.y + d.width, box.y + box.width)
        if x1 > x0 and y1 > y0:
            yield Box(x0, y0, x1 - x0, y1 - y0)


def _box(rect: Rect) -> Box:
    return Box(*rect)


def _is_there(rect: Rect) -> bool:
    return rect[2] > 0 and rect[3] > 0


def _divided(rect: Rect, axis: int, at: int, first: Node, rest: Node | None) -> Node:
    return Node(_box(rect), "x" if axis == 0 else "y", at, first, rest)


def _placed(node: Node, dx: int, dy: int) -> Node:
    """A tree moved to another place."""
    return replace(
        node,
        box=Box(node.box.x + dx, node.box.y + dy, node.box.length, node.box.width),
        first=None if node.first is None else _placed(node.first, dx, dy),
        rest=None if node.rest is None else _placed(node.rest, dx, dy),
    )
