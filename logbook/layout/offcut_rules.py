"""What a piece of the scrap pile is, what of it is sound, what is left of it worth keeping, and when it is too old."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from logbook.model.dates import months_after
from logbook.model.measures import TICKS_PER_MM
from logbook.model.shop import Offcut, Shop, ShopSettings
from logbook.model.usual_lengths import length_in_use
from logbook.model.words import PieceKind

MM = TICKS_PER_MM
_VENEER = ("veneer", "leaf", "backer")
_STRIP = ("strip", "bar", "batten", "lath", "moulding", "lipping", "dowel", "rail")
_SHEET = (
    "ply", "plywood", "mdf", "hdf", "chipboard", "hardboard", "fibreboard", "particleboard", "blockboard", "osb",
    "laminate", "acrylic", "sheet", "aluminium", "steel",
)  # fmt: skip
_SOLID = ("pine", "oak", "beech", "ash", "spruce", "fir", "larch", "walnut", "maple", "birch", "softwood", "hardwood")


def kind_of(piece: Offcut) -> PieceKind:
    """Sheet, solid, strip or veneer: as recorded, else as the words of its material and its thickness say."""
    if piece.kind is not None:
        return piece.kind
    words = re.findall(r"[^\W\d_]+", piece.material.casefold())
    for kind, names in (
        (PieceKind.VENEER, _VENEER),
        (PieceKind.STRIP, _STRIP),
        (PieceKind.SHEET, _SHEET),
        (PieceKind.SOLID, _SOLID),
    ):
        if any(w in names for w in words):
            return kind
    return PieceKind.SHEET


class Usable(NamedTuple):
    """The usable rectangle of a piece, from its corner, in ticks."""

    length: int
    width: int


def usable(piece: Offcut) -> Usable:
    """The usable rectangle as recorded; the full size where nothing less is said."""
    length, width = piece.length.ticks, piece.width.ticks
    return Usable(
        min(length, piece.usable_length.ticks) if piece.usable_length is not None else length,
        min(width, piece.usable_width.ticks) if piece.usable_width is not None else width,
    )


SCRAP = 30 * MM
"""Of a leftover narrower than this nothing is said: nobody would keep it. Common practice, no source."""


class KeepRule(NamedTuple):
    """The smallest leftover worth keeping, in ticks."""

    long: int
    short: int

    def keeps(self, length: int, width: int) -> bool:
        """Whether a leftover of this size is kept; which side is called length does not matter."""
        return max(length, width) >= self.long and min(length, width) >= self.short


def keep_rule(piece: Offcut, settings: ShopSettings) -> KeepRule:
    """The keep rule for leftovers of a piece.

    What is used where the shop says nothing stands in `usual_lengths`.
    """
    kind = kind_of(piece)

    def of(name: str) -> int:
        return length_in_use(settings, name).ticks

    if kind is PieceKind.STRIP:
        return KeepRule(of("keep_strip_length"), 0)
    if kind is PieceKind.VENEER:
        return KeepRule(of("keep_veneer_length"), of("keep_veneer_width"))
    if kind is PieceKind.SOLID:
        return KeepRule(of("keep_length"), of("keep_solid_width"))
    return KeepRule(of("keep_length"), of("keep_width"))


def sound_rectangle(length: int, width: int, defects: Sequence[tuple[int, int, int, int]]) -> tuple[int, int]:
    """Size of the largest rectangle of a piece that holds no part of a defect.

    Args:
        length: extent along x.
        width: extent along y.
        defects: x, y, extent along x and along y of each.
    """
    xs = sorted({0, length, *(v for d in defects for v in (d[0], d[0] + d[2]) if 0 < v < length)})
    ys = sorted({0, width, *(v for d in defects for v in (d[1], d[1] + d[3]) if 0 < v < width)})
    best = (0, 0)
    for i, x0 in enumerate(xs):
        for x1 in xs[i + 1 :]:
            blocked = [d for d in defects if d[0] < x1 and d[0] + d[2] > x0]
            for j, y0 in enumerate(ys):
                for y1 in ys[j + 1 :]:
                    if any(d[1] < y1 and d[1] + d[3] > y0 for d in blocked):
                        break
                    if (x1 - x0) * (y1 - y0) > best[0] * best[1]:
                        best = (x1 - x0, y1 - y0)
    return best


def months_old(piece: Offcut, today: date) -> int | None:
    """Whole months that a piece has lain on the pile; None when nobody wrote since when."""
    if piece.since is None:
        return None
    months = (today.year - piece.since.year) * 12 + today.month - piece.since.month
    return max(0, months - (1 if today.day < piece.since.day else 0))


def is_too_old(piece: Offcut, shop: Shop, today: date) -> bool:
    """Whether it has lain unused for longer than the shop's limit, and is to be looked at again."""
    return piece.since is not None and months_after(piece.since, shop.settings.pile_months) < today


_NUMBERED = re.compile(r"([A-Za-z]+)(\d+)([a-z]*)")


def next_piece_code(shop: Shop, taken: Iterable[str] = ()) -> str:
    """The number for the next piece: `O` and one more than the highest that stands on the pile or is named as origin.

    Args:
        shop: the pile.
        taken: codes of pieces that left it, which are not given again.
    """
    names = [*(o.code for o in shop.offcuts), *(w for o in shop.offcuts for w in o.origin.split()), *taken]
    numbers = [int(m[2]) for n in names if (m := _NUMBERED.fullmatch(n)) and m[1].upper() == "O" and len(m[2]) < 9]
    return f"O{max(numbers, default=0) + 1:02d}"


def leftover_codes(parent: str, count: int, taken: Iterable[str]) -> tuple[str, ...]:
    """Codes for what is left of a piece: `O02b`, `O02c` after `O02`; none that is taken.

    Args:
        parent: code of the piece that was cut.
        count: how many are wanted.
        taken: codes on the pile and of pieces that left it.
    """
    match = re.fullmatch(r"(.*?\d)[a-z]{1,2}", parent)
    stem = match[1] if match else parent
    used = {*taken, parent}
    letters = "abcdefghijklmnopqrstuvwxyz"
    names = [*letters[1:], *(a + b for a in letters for b in letters)]
    free = (f"{stem[:14]}{name}" for name in names)
    return tuple(code for code, _ in zip((c for c in free if c not in used), range(count), strict=False))
