"""Why a part found no place: which piece comes nearest, what is in the way, and the smallest purchase that would do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from logbook.layout.preparing import Item, refusal, region_of, ways
from logbook.layout.records import Leftover, PartToCut, Piece, Purchase, Rules
from logbook.layout.smallest import smallest_sheet
from logbook.model.material_names import alike, bare_material
from logbook.model.measures import Length
from logbook.model.words import Grain

MOST_NAMED = 3
"""How many pieces are named as near misses."""


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why one part cannot come from one piece."""

    piece: str
    kind: str
    """“material”, “thickness”, “not measured”, “reserved”, “other piece”, “grain”, “size” or “room”."""
    sentence: str
    miss: int = 0
    """For size and room: how much is missing in all, in ticks; what is nearest comes first."""


def mm(ticks: int | Fraction) -> str:
    """A length in millimetres as it is said."""
    return f"{Length.from_ticks(round(ticks)).in_mm()} mm"


def refusal_of(part: PartToCut, piece: Piece, rules: Rules) -> Refusal | None:
    """Why a part cannot come from a piece, were the piece whole and unused; None when it can."""
    kind = refusal(part, piece, rules)
    if kind:
        return Refusal(piece.code, kind, _refused(kind, part, piece, rules))
    _x, _y, room_x, room_y = region_of(piece, rules)
    turned_too = ways(part.grain, piece.grain)
    misses = {t: _missing(part, t, room_x, room_y) for t in (False, True)}
    if any(misses[t] == (0, 0) for t in turned_too):
        return None
    if any(m == (0, 0) for m in misses.values()):
        sentence = f"{part.code} fits on {piece.code} only with its grain the wrong way"
        return Refusal(piece.code, "grain", sentence)
    least = min(turned_too, key=lambda t: sum(misses[t]))
    sentence = f"{_more(misses[least])} on {piece.code}"
    return Refusal(piece.code, "size", sentence, sum(misses[least]))


def why_unplaced(part: PartToCut, pieces: Sequence[Piece], rules: Rules, leftovers: Sequence[Leftover] = ()) -> str:
    """One sentence or two on why a part found no place: the nearest misses, then what is refused for other reasons.

    Args:
        part: the part.
        pieces: the pile.
        rules: kerf, truing, tolerance.
        leftovers: what the layout leaves of the pieces it uses.
    """
    refusals = {p.code: refusal_of(part, p, rules) for p in pieces}
    beside = [
        _beside(part, next(p for p in pieces if p.code == left.piece), left)
        for left in leftovers
        if refusals.get(left.piece, 0) is None
    ]
    near = sorted([r for r in refusals.values() if r and r.kind == "size"] + beside, key=lambda r: r.miss)
    nearest = list({r.piece: r for r in reversed(near)}.values())[::-1][:MOST_NAMED]
    order = ("grain", "thickness", "reserved", "not measured")
    other = [r for kind in order for r in refusals.values() if r and r.kind == kind][:MOST_NAMED]
    if not nearest and not other and any(r is None for r in refusals.values()):
        return f"There is no room left for {part.code} beside the other parts."
    said = [r.sentence for r in [*nearest, *other]] or [
        f"There is no {part.material} {mm(part.thickness)} thick in the pile"
    ]
    return "; ".join([*said, *_called_otherwise(part, pieces, rules)]) + "."


def _called_otherwise(part: PartToCut, pieces: Sequence[Piece], rules: Rules) -> Iterator[str]:
    """Pieces of a like name and of the right thickness that are not taken, because they are called otherwise."""
    like = [
        p
        for p in pieces
        if refusal(part, p, rules) == "material"
        and alike(part.material, p.material)
        and not refusal(replace(part, material=p.material), p, rules)
    ]
    for piece in like[:MOST_NAMED]:
        words = _refused("material", part, piece, rules)
        yield f"{words}: if that is the same, call both alike before you buy"


def _refused(kind: str, part: PartToCut, piece: Piece, rules: Rules) -> str:
    if kind == "material":
        return f"{piece.code} is {piece.material}, and {part.code} is drawn in {part.material}"
    if kind == "other piece":
        return f"{part.code} is to come from {part.only_from}"
    if kind == "reserved":
        return f"{piece.code} is promised to {piece.reserved_for}"
    if kind == "not measured":
        return f"{piece.code} was never measured for its thickness"
    worst = max(piece.thickness, key=lambda t: abs(t - part.thickness))
    return (
        f"{piece.code} is {mm(worst)} thick and {part.code} is drawn for {mm(part.thickness)}, out of tolerance "
        f"({mm(rules.thickness_tolerance)} is allowed)"
    )


def _missing(part: PartToCut, turned: bool, room_x: int, room_y: int) -> tuple[int, int]:
    """How much length and width of the part are missing."""
    along, across = (room_y, room_x) if turned else (room_x, room_y)
    return max(0, part.length - along), max(0, part.width - across)


def _more(missing: tuple[int, int]) -> str:
    words = [f"{mm(m)} {name}" for m, name in zip(missing, ("short", "too narrow"), strict=True) if m]
    return " and ".join(words)


def _beside(part: PartToCut, piece: Piece, left: Leftover) -> Refusal:
    """What is missing on a leftover of a piece that is used for other parts."""
    best = min((_missing(part, t, left.length, left.width) for t in ways(part.grain, piece.grain)), key=sum)
    if best == (0, 0):
        return Refusal(piece.code, "room", f"a defect is in the way of {part.code} on {piece.code}")
    sentence = f"{_more(best)} on {piece.code} beside the other parts"
    return Refusal(piece.code, "room", sentence, sum(best))


def purchases_for(parts: Sequence[PartToCut], left: Iterable[Item], rules: Rules) -> tuple[Purchase, ...]:
    """For each material and thickness the smallest sheet found that would hold what found no place."""
    groups: dict[tuple[str, int], list[Item]] = {}
    for item in left:
        first = parts[item.parts[0]]
        groups.setdefault((bare_material(first.material, (first.thickness,)), first.thickness), []).append(item)
    found = []
    for items in groups.values():
        first = parts[items[0].parts[0]]
        members = [parts[m] for item in items for m in item.parts]
        grain = Grain.FREE if all(m.grain is Grain.FREE for m in members) else Grain.LENGTH
        length, width = smallest_sheet(items, parts, grain, rules)
        codes = tuple(dict.fromkeys(m.code for m in members))
        found.append(Purchase(first.material, first.thickness, length, width, grain, codes))
    return tuple(found)
