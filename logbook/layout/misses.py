"""Why a part found no place: which piece comes nearest, what is in the way, and the smallest purchase that would do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from logbook.layout.cut_records import Leftover, PartToCut, Piece, PieceToBuy, Rules
from logbook.layout.preparing import CutItem, refusal, region_of, ways
from logbook.layout.smallest import smallest_sheet
from logbook.model.material_names import alike, bare_material
from logbook.model.measures import Length
from logbook.model.words import Grain

MOST_NAMED = 3
"""How many pieces are named as near misses."""

CALL_ALIKE = "if that is the same, call both alike before you buy"


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
    kind, missing = _by_size(part, ways(part.grain, piece.grain), room_x, room_y)
    if not kind:
        return None
    return Refusal(piece.code, kind, _too_small(kind, missing, part, piece), sum(missing))


class Misses:
    """Why parts found no place on a pile. What is the same for many parts is worked out once."""

    def __init__(self, pieces: Sequence[Piece], rules: Rules, leftovers: Sequence[Leftover] = ()) -> None:
        """The pile, kerf, truing and tolerance, and what the layout leaves of the pieces it uses."""
        self._pieces, self._rules = pieces, rules
        self._rooms = [region_of(piece, rules)[2:] for piece in pieces]
        numbers = {piece.code: number for number, piece in enumerate(pieces)}
        self._leftovers = [(numbers[left.piece], left.length, left.width) for left in leftovers]
        self._refused: dict[tuple[str, int, str, str], tuple[list[str], list[int]]] = {}

    def why(self, part: PartToCut) -> str:
        """One sentence or two: the nearest misses, then what is refused for other reasons."""
        kinds, called_otherwise = self._by_stuff(part)
        kinds = list(kinds)
        near: list[tuple[int, bool, int, tuple[int, int]]] = []
        turns = {grain: ways(part.grain, grain) for grain in Grain}
        for number, (piece, room) in enumerate(zip(self._pieces, self._rooms, strict=True)):
            if not kinds[number]:
                kinds[number], missing = _by_size(part, turns[piece.grain], *room)
                if kinds[number] == "size":
                    near.append((sum(missing), False, number, missing))
        for number, length, width in self._leftovers:
            if not kinds[number]:
                missing = _least(part, turns[self._pieces[number].grain], length, width)
                near.append((sum(missing), True, number, missing))
        near.sort(key=lambda one: one[0])
        nearest = {number: (is_left, missing) for _, is_left, number, missing in reversed(near)}
        said = [self._near(part, number, *how) for number, how in [*nearest.items()][::-1][:MOST_NAMED]]
        other = [n for kind in ("grain", "thickness", "reserved", "not measured") for n in _with(kinds, kind)]
        if not said and not other and "" in kinds:
            return f"There is no room left for {part.code} beside the other parts."
        said += [self._sentence(part, number, kinds[number]) for number in other[:MOST_NAMED]]
        said = said or [f"There is no {part.material} {mm(part.thickness)} thick in the pile"]
        more = [f"{_refused('material', part, self._pieces[n], self._rules)}: {CALL_ALIKE}" for n in called_otherwise]
        return "; ".join([*said, *more]) + "."

    def _by_stuff(self, part: PartToCut) -> tuple[list[str], list[int]]:
        """For each piece why it is refused whatever the sizes; and those refused only by what they are called."""
        stuff = part.material, part.thickness, part.only_from, part.unit
        if stuff not in self._refused:
            kinds = [refusal(part, piece, self._rules) for piece in self._pieces]
            otherwise = [
                number
                for number in _with(kinds, "material")
                if alike(part.material, self._pieces[number].material)
                and not refusal(
                    replace(part, material=self._pieces[number].material), self._pieces[number], self._rules
                )
            ]
            self._refused[stuff] = kinds, otherwise[:MOST_NAMED]
        return self._refused[stuff]

    def _near(self, part: PartToCut, number: int, is_left: bool, missing: tuple[int, int]) -> str:
        code = self._pieces[number].code
        if not is_left:
            return _too_small("size", missing, part, self._pieces[number])
        if missing == (0, 0):
            return f"a defect is in the way of {part.code} on {code}"
        return f"{_more(missing)} on {code} beside the other parts"

    def _sentence(self, part: PartToCut, number: int, kind: str) -> str:
        piece = self._pieces[number]
        return _too_small(kind, (0, 0), part, piece) if kind == "grain" else _refused(kind, part, piece, self._rules)


def _with(kinds: Sequence[str], kind: str) -> list[int]:
    return [number for number, one in enumerate(kinds) if one == kind]


def _by_size(part: PartToCut, turns: tuple[bool, ...], room_x: int, room_y: int) -> tuple[str, tuple[int, int]]:
    """“size” or “grain” and what is missing, when a part does not fit into a room; empty when it does."""
    missing = _least(part, turns, room_x, room_y)
    if missing == (0, 0):
        return "", missing
    if len(turns) == 1 and _missing(part, not turns[0], room_x, room_y) == (0, 0):
        return "grain", missing
    return "size", missing


def _least(part: PartToCut, turns: tuple[bool, ...], room_x: int, room_y: int) -> tuple[int, int]:
    """How much length and width are missing, in the way of lying that misses least."""
    best = _missing(part, turns[0], room_x, room_y)
    if len(turns) > 1:
        other = _missing(part, turns[1], room_x, room_y)
        if other[0] + other[1] < best[0] + best[1]:
            return other
    return best


def _too_small(kind: str, missing: tuple[int, int], part: PartToCut, piece: Piece) -> str:
    if kind == "grain":
        return f"{part.code} fits on {piece.code} only with its grain the wrong way"
    return f"{_more(missing)} on {piece.code}"


def _refused(kind: str, part: PartToCut, piece: Piece, rules: Rules) -> str:
    if kind == "material":
        return f"{piece.code} is {piece.material}, and {part.code} is drawn in {part.material}"
    if kind == "other piece":
        return f"{part.code} is to come from {part.only_from}"
    if kind == "reserved":
        return f"{piece.code} is reserved for {piece.reserved_for}"
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
    short, narrow = part.length - along, part.width - across
    return short if short > 0 else 0, narrow if narrow > 0 else 0


def _more(missing: tuple[int, int]) -> str:
    words = [f"{mm(m)} {name}" for m, name in zip(missing, ("short", "too narrow"), strict=True) if m]
    return " and ".join(words)


def purchases_for(
    parts: Sequence[PartToCut], left: Iterable[CutItem], rules: Rules, stop: Callable[[], bool] = lambda: False
) -> tuple[PieceToBuy, ...]:
    """For each material and thickness the smallest sheet found that would hold what found no place."""
    groups: dict[tuple[str, int], list[CutItem]] = {}
    for item in left:
        first = parts[item.parts[0]]
        groups.setdefault((bare_material(first.material, (first.thickness,)), first.thickness), []).append(item)
    found = []
    for items in groups.values():
        first = parts[items[0].parts[0]]
        members = [parts[m] for item in items for m in item.parts]
        grain = Grain.FREE if all(m.grain is Grain.FREE for m in members) else Grain.LENGTH
        length, width = smallest_sheet(items, parts, grain, rules, stop)
        codes = tuple(dict.fromkeys(m.code for m in members))
        found.append(PieceToBuy(first.material, first.thickness, length, width, grain, codes))
    return tuple(found)
