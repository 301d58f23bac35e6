"""When two materials are the same: thickness in a material's name is thickness, and no part of what it is.

“0.6 oak veneer” and “oak veneer” 0.6 thick are one material; so are “9 birch ply”, “birch ply 9” and “birch ply” that
measures 8.8. “5 ply” 12 thick has five plies: its number is no thickness, and stays in the name.

How far a nominal thickness may be from the measured one is common practice, no source: sheet called 3/4 in measures
down to 17.5, one called 1/4 in down to 5.2, a leaf of 0.6 down to 0.5.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from logbook.errors import InputError
from logbook.model.measures import TICKS_PER_MM, Length

_MOST_OFF = TICKS_PER_MM * 8 // 5
_SHARE_OFF = 5
"""A nominal thickness is off by 1.6 mm at most, and by a fifth of itself."""
_APART = re.compile(r"(\d)\s+(mm|in|\")(?=\s|$)")
"""A number and its unit, written apart."""
_LIKE = 3
"""Words of so many letters say what a material is; shorter ones, such as “of”, do not."""


def same_material(a: str, thick_a: Iterable[int], b: str, thick_b: Iterable[int]) -> bool:
    """Whether two materials are the same but for how thick they are.

    Args:
        a: one as it was named.
        thick_a: its thickness as measured, in ticks, at each place; empty when it was not.
        b: the other.
        thick_b: its thickness.
    """
    measured = (*thick_a, *thick_b)
    return bare_material(a, measured) == bare_material(b, measured)


def bare_material(name: str, thickness: Iterable[int]) -> str:
    """The words of a material without a number that is near all its measured thicknesses; to be compared.

    What was never measured keeps all its words, and so does a name that is nothing but a number.
    """
    return _bare(name, tuple(sorted(set(thickness))))


def alike(a: str, b: str) -> bool:
    """Whether two materials share a word that says what they are, or its beginning: “plywood board” and “12 ply”."""
    return any(one.startswith(other) or other.startswith(one) for one in _telling(a) for other in _telling(b))


@lru_cache(maxsize=4096)
def _bare(name: str, thickness: tuple[int, ...]) -> str:
    words = _APART.sub(r"\1\2", name.casefold()).split()
    kept = [word for word in words if not _is_thickness(word, thickness)]
    return " ".join(kept or words)


def _is_thickness(word: str, thickness: tuple[int, ...]) -> bool:
    if not thickness or not re.match(r"[\d¼½¾⅛⅜⅝⅞.]", word):
        return False
    try:
        nominal = Length.of(word).ticks
    except InputError:
        return False
    most = min(_MOST_OFF, nominal // _SHARE_OFF)
    return all(abs(nominal - measured) <= most for measured in thickness)


@lru_cache(maxsize=4096)
def _telling(name: str) -> frozenset[str]:
    return frozenset(w for w in re.findall(r"[^\W\d_]+", name.casefold()) if len(w) >= _LIKE)
