"""A layout under way: what is cut already, what lies there in rests, and the remaining parts laid out on it again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from logbook.layout.cut_records import Box, Layout, Node, PartToCut, Piece, Rules
from logbook.layout.cutting import ordered


@dataclass(frozen=True, slots=True)
class SawStanding:
    """How things stand at the saw."""

    parts: tuple[PartToCut, ...]
    """What is still to be cut, spoilt parts among it."""
    pieces: tuple[Piece, ...]
    """The pile as it is now: untouched pieces, and the rests of those begun under names of their own."""
    done: tuple[str, ...]
    """Codes of the parts that are cut and good, one for each."""
    spoilt: tuple[str, ...]
    """Codes of the parts that are cut and spoilt, one for each; their wood is counted as gone."""


def standing(
    layout: Layout,
    parts: Sequence[PartToCut],
    pieces: Sequence[Piece],
    rules: Rules,
    *,
    done: Iterable[int],
    spoilt: Iterable[str] = (),
) -> SawStanding:
    """How things stand when some cuts are made and some parts are spoilt.

    Args:
        layout: the layout that was being cut.
        parts: the parts it was made for.
        pieces: the pile it was made on.
        rules: as for `search`.
        done: numbers of the cuts that are made.
        spoilt: codes of parts that came out wrong, one for each; a part spoilt on the way counts as cut.
    """
    numbers = set(done)
    made = {id(node) for cut, node in ordered(layout.trees, pieces, rules) if cut.order in numbers}
    trees = dict(layout.trees)
    state = _State(made, Counter(spoilt))
    lying: list[Piece] = []
    for piece in pieces:
        if piece.code in trees:
            lying += state.rests(piece, trees[piece.code])
        else:
            lying.append(piece)
    return SawStanding(tuple(state.still_wanted(parts)), tuple(lying), tuple(state.good), tuple(state.bad))


@dataclass(slots=True)
class _State:
    """Goes through the trees and notes what has come out of them."""

    made: set[int]
    spoilt: Counter[str]
    good: list[str] = field(default_factory=list)
    bad: list[str] = field(default_factory=list)
    sequels: dict[str, str] = field(default_factory=dict)
    """For parts that still lie in a begun piece: the code of the rest they lie in."""

    def rests(self, piece: Piece, root: Node) -> Iterator[Piece]:
        """What is left of a piece, the whole piece when nothing was cut."""
        number = 0
        for node in self._frontier(root):
            if node.part:
                bad = self.spoilt[node.part] > 0
                self.spoilt[node.part] -= bad
                (self.bad if bad else self.good).append(node.part)
                continue
            if node is root:
                yield piece
                continue
            if node.box.length <= 0 or node.box.width <= 0:
                continue
            number += 1
            rest = _rest(piece, node.box, number)
            self.sequels.update({leaf.part: rest.code for leaf in _parts_in(node)})
            yield rest

    def _frontier(self, node: Node) -> Iterator[Node]:
        """The rectangles that lie there now."""
        spoilt_inside = any(self.spoilt[leaf.part] > 0 for leaf in _parts_in(node))
        if node.axis and (id(node) in self.made or spoilt_inside):
            for child in (node.first, node.rest):
                if child is not None:
                    yield from self._frontier(child)
        else:
            yield node

    def still_wanted(self, parts: Sequence[PartToCut]) -> Iterator[PartToCut]:
        """The parts without those that are cut and good.

        A sequence of which one part is spoilt is wanted anew as a whole, since the figure must run on; one that is
        half cut and good goes on in the rest in which it lies.
        """
        good = Counter(self.good)
        broken = {p.together for p in parts if p.together and p.code in self.bad}
        begun = {p.together for p in parts if p.together and good[p.code]}
        for part in parts:
            if part.together in broken and part.together:
                yield part
            elif (quantity := part.quantity - good[part.code]) > 0:
                only = self.sequels.get(part.code, "") if part.together in begun and part.together else part.only_from
                yield replace(part, quantity=quantity, only_from=only)


def _parts_in(node: Node) -> Iterator[Node]:
    if node.part:
        yield node
    for child in (node.first, node.rest):
        if child is not None:
            yield from _parts_in(child)


def _rest(piece: Piece, box: Box, number: int) -> Piece:
    """A rectangle of a begun piece as a piece of its own; sides that were cut need no truing."""
    defects = []
    for d in piece.defects:
        x0, y0 = max(d.x, box.x), max(d.y, box.y)
        x1, y1 = min(d.x + d.length, box.x + box.length), min(d.y + d.width, box.y + box.width)
        if x1 > x0 and y1 > y0:
            defects.append(Box(x0 - box.x, y0 - box.y, x1 - x0, y1 - y0))
    value = None
    if piece.value is not None:
        value = (piece.value * box.area / (piece.length * piece.width)).quantize(Decimal("0.0001"))
    return replace(
        piece,
        code=f"{piece.code}.{number}",
        length=box.length,
        width=box.width,
        defects=tuple(defects),
        value=value,
        trim_x=piece.trim_x if box.x == 0 else 0,
        trim_y=piece.trim_y if box.y == 0 else 0,
        parent=piece.parent or piece.code,
        at=(piece.at[0] + box.x, piece.at[1] + box.y),
    )
