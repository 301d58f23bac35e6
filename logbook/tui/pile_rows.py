"""The scrap pile in columns, for its screen."""

from __future__ import annotations

from logbook.layout.pile_view import Look, age_words
from logbook.layout.reservations import conflict_of
from logbook.model.shop import Offcut
from logbook.render.pile_document import for_words, thickness_words, usable_words
from logbook.render.plain import clean, fitted


def _columns(room: int) -> tuple[int, int, int]:
    """Width of material, of where it is kept (only on a wide screen: it stands in the drawing too), of what for."""
    place = 14 if room >= 96 else 0
    spare = max(0, room - 56 - place)
    material = 10 + min(14, spare // 3)
    return material, place, max(0, room - 46 - material - place)


def pile_head(room: int) -> str:
    """The names over the columns."""
    material, place, rest = _columns(room)
    names = f"{'':<6}{fitted('material', material)}{'measured':>10}{'usable':>15}{'value':>7} {'age':<7}"
    return names + (fitted("kept", place) if place else "") + fitted("for", rest)


def pile_row(piece: Offcut, look: Look, room: int) -> str:
    """A piece: number, material, measured, usable, value, age, where kept, for whom."""
    material, place, rest = _columns(room)
    value = "?" if piece.value is None else str(piece.value)
    measured, value = fitted(thickness_words(piece), 9).strip(), fitted(value, 6).strip()
    words = f"{fitted(piece.code, 6)}{fitted(clean(piece.material, limit=100), material - 1)} "
    words += f"{measured:>10}{usable_words(piece):>15}{value:>7} {fitted(age_words(piece, look), 7)}"
    if place:
        words += f"{fitted(clean(piece.place or '?', limit=100), place - 1)} "
    return words + fitted(clean(for_words(piece, look.claims.get(piece.code, ())), limit=200), rest)


def tone_of(piece: Offcut, look: Look) -> str:
    """`warning` for what needs a look; the words say it too."""
    twice = conflict_of(piece, look.claims.get(piece.code, ())) is not None
    return "warning" if twice or not piece.thickness or "OLD" in age_words(piece, look) else ""
