"""The scrap pile as it is looked through: in an order, narrowed to what is looked for, with what needs a look."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from logbook.errors import InputError
from logbook.layout.offcut_rules import is_too_old, kind_of, months_old, usable
from logbook.layout.reservations import Claim, conflict_of
from logbook.model.measures import Length
from logbook.model.shop import Offcut, Shop
from logbook.model.words import PieceKind

ORDERS = ("number", "material", "size", "oldest", "value", "place")
"""What the pile can be put in order by; the first is how it stands in the record."""
_NUMBER = re.compile(r"\d+|\D+")
_SIZE = re.compile(r"(?P<a>[^x×]+)[x×](?P<b>[^x×]+)", re.IGNORECASE)

Claims = Mapping[str, Sequence[Claim]]


def natural(code: str) -> tuple[tuple[int, int, str], ...]:
    """A code in parts that sort as people count: O2 before O10."""
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p.casefold()) for p in _NUMBER.findall(code))


def in_order(pile: Sequence[Offcut], by: str) -> tuple[Offcut, ...]:
    """The pieces in one of the `ORDERS`; equal ones by number. What is not known comes last."""
    keys: dict[str, Callable[[Offcut], Any]] = {
        "material": lambda o: (o.material.casefold(), min((t.ticks for t in o.thickness), default=0)),
        "size": lambda o: -usable(o).length * usable(o).width,
        "oldest": lambda o: (o.since is None, o.since or date.min),
        "value": lambda o: (o.value is None, -(o.value or 0)),
        "place": lambda o: (not o.place, o.place.casefold()),
    }
    key = keys.get(by)
    return tuple(sorted(pile, key=lambda o: (key(o) if key is not None else (), natural(o.code))))


class Look(NamedTuple):
    """What a piece is looked at with."""

    shop: Shop
    claims: Claims
    today: date


def passes(piece: Offcut, words: str, look: Look) -> bool:
    """Whether a piece has all the words: text of its record, or `free`, `reserved`, `twice`, `old`, `unmeasured`,
    `damp`, a kind, or a size such as `484x235` that its usable rectangle must hold, whichever way round.
    """  # noqa: D205 - one sentence over two lines
    text = (
        f"{piece.code} {piece.material} {' '.join(t.in_mm() for t in piece.thickness)} {piece.place} {piece.origin} "
        f"{piece.note} {piece.reserved_for} {' '.join(d.what for d in piece.defects)}"
    ).casefold()
    joined = re.sub(r"\s*[x×]\s*(?=\d)", "x", words.casefold())
    return all(_has(piece, word, text, look) for word in joined.split())


def _has(piece: Offcut, word: str, text: str, look: Look) -> bool:
    claims = look.claims.get(piece.code, ())
    named = {
        "free": not claims,
        "reserved": bool(claims),
        "twice": conflict_of(piece, claims) is not None,
        "old": is_too_old(piece, look.shop, look.today),
        "unmeasured": not piece.thickness,
        "damp": piece.damp,
        **{str(k): kind_of(piece) is k for k in PieceKind},
    }
    if named.get(word):
        return True
    size = _SIZE.fullmatch(word)
    if size is not None:
        try:
            a, b = Length.of(size["a"]).ticks, Length.of(size["b"]).ticks
        except InputError:
            return word in text
        have = usable(piece)
        return (a <= have.length and b <= have.width) or (b <= have.length and a <= have.width) or word in text
    return any(c.unit.casefold() == word for c in claims) or word in text


def pile_sentence(look: Look) -> str:
    """What is on the pile and what needs a look, in a sentence."""
    pile = look.shop.offcuts
    if not pile:
        return (
            "The scrap pile is empty. Every leftover that is worth keeping stands here with its number, its thickness "
            "by calliper and what of it is usable. Press a to write the first one down in a line."
        )
    area = sum(usable(o).length * usable(o).width for o in pile) / (Length.of("1 m").ticks ** 2)
    claimed = sum(bool(look.claims.get(o.code)) for o in pile)
    words = [f"{len(pile)} piece{'s' if len(pile) != 1 else ''}, {area:.2f} m², {claimed} wanted"]
    twice = [o.code for o in pile if conflict_of(o, look.claims.get(o.code, ())) is not None]
    old = sum(is_too_old(o, look.shop, look.today) for o in pile)
    unmeasured = sum(not o.thickness for o in pile)
    if twice:
        words.append(f"WANTED TWICE: {', '.join(twice)}")
    if unmeasured:
        words.append(f"{unmeasured} not measured")
    if old:
        words.append(f"{old} unused for over {look.shop.settings.pile_months} months, to look at again")
    most = look.shop.settings.pile_most
    if most is not None and len(pile) > most:
        words.append(f"{len(pile) - most} more than the pile holds")
    return "; ".join(words) + "."


def age_words(piece: Offcut, look: Look) -> str:
    """How long a piece has lain there: `5 mo`, `26 OLD`; `?` when nobody wrote since when."""
    months = months_old(piece, look.today)
    if months is None:
        return "?"
    return f"{months} {'OLD' if is_too_old(piece, look.shop, look.today) else 'mo'}"
