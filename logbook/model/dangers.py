"""When two warnings are of the same danger: one rule, by their words and not by their letters.

Where it is in doubt two dangers stay two, because a warning that stands twice only takes room, and one that
hides another can hurt. So a place that is named (“in the run capacitor”) makes it another danger.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from logbook.model.step import Hazard
from logbook.model.words import SignalWord

_WORD = re.compile(r"[^\W_]+")


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_FILLING = _words("a an and at by danger from hazard in is of on possible risk the")

_MAINS = _words("v 230 230v 240 240v 110 110v 120 120v ac current electric live main power supply voltage")
"""What may stand beside “mains” without its being another danger."""
_CHARGE = _words("capacitor charge charged electric left remaining residual stored voltage")
"""Of which words alone a charge that is stored somewhere, nobody says where, is made."""
_SPRING = _words("force load loaded tension tensioned under wound")
"""What may stand beside “spring”."""
_WHEEL = _words("burst bursting gap grinding guard wheel")
"""Of which words a wheel that can burst is made; guards and gaps are looked at with it."""

MAINS = "mains"
CHARGE = "stored charge"
SPRING = "spring"
WHEEL = "wheel burst"


@lru_cache(maxsize=4096)
def danger_key(what: str) -> str:
    """What two ways of writing one danger share: no capitals, no plurals, no filling words, any order of words."""
    found = {_singular(word) for word in _WORD.findall(what.casefold())} - _FILLING
    if "main" in found and found <= _MAINS:
        return MAINS
    if found == {"line", "voltage"}:
        return MAINS
    if not found.isdisjoint(("charge", "charged")) and found <= _CHARGE:
        return CHARGE
    if "spring" in found and found <= _SPRING | {"spring"}:
        return SPRING
    if "wheel" in found and not found.isdisjoint(("burst", "bursting")) and found <= _WHEEL:
        return WHEEL
    return " ".join(sorted(found)) or " ".join(what.casefold().split())


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def same_danger(one: str, other: str) -> bool:
    """Whether two warnings are of the same danger."""
    return danger_key(one) == danger_key(other)


def is_electrical(what: str) -> bool:
    """Whether it is proved gone by a voltage: mains, or a charge that is stored somewhere."""
    key = danger_key(what)
    return key in (MAINS, CHARGE) or {"stored", "charge"} <= set(key.split())


def is_provable(hazard: Hazard) -> bool:
    """Whether it is a danger that can be proved safe.

    A CAUTION or NOTICE of which nobody says how, such as dust, is only to be minded.
    """
    return bool(hazard.prove) or hazard.signal in (SignalWord.DANGER, SignalWord.WARNING)


def each_danger(hazards: Iterable[Hazard]) -> tuple[Hazard, ...]:
    """The dangers, each once and in their order: with its worst signal word and all advice that is given."""
    found: dict[str, Hazard] = {}
    for hazard in hazards:
        key = danger_key(hazard.what)
        found[key] = merged(found[key], hazard) if key in found else hazard
    return tuple(found.values())


def merged(first: Hazard, second: Hazard) -> Hazard:
    """Two warnings of one danger as one: nothing that either says is left out, and nothing is said twice."""
    both = {
        "signal": min(first.signal, second.signal, key=tuple(SignalWord).index),
        "do": _both(first.do, second.do),
        "prove": _both(first.prove, second.prove),
    }
    return first.model_copy(update=both)


def _both(first: str, second: str) -> str:
    new = [sentence for sentence in sentences(second) if sentence.rstrip(".!?") not in first]
    return " ".join(filter(None, (first, *new)))


def advice(hazard: Hazard) -> list[str]:
    """What to do before, and how to prove it safe, sentence by sentence."""
    prove = f"Prove it safe: {hazard.prove}" if hazard.prove.strip() else ""
    return [*sentences(hazard.do), *sentences(prove)]


def sentences(text: str) -> list[str]:
    """The sentences of an advice, each with its end; half of one can say the opposite of it."""
    found = [sentence for sentence in _SENTENCE_END.split(text.strip()) if sentence]
    if found and found[-1][-1] not in ".!?":
        found[-1] += "."
    return found


def clauses(text: str, said: Iterable[str] = ()) -> list[str]:
    """What an advice says, up to each full stop or semicolon, each thing once.

    Never cut at a comma: “stop if open, and no donor” would become its opposite.

    Args:
        text: the advice.
        said: what stands beside it already and is left out.
    """
    known = {_as_said(clause) for clause in said}
    found = []
    for sentence in sentences(text):
        for clause in _CLAUSE_END.split(sentence):
            words = clause.strip()
            if words and _as_said(words) not in known:
                known.add(_as_said(words))
                found.append(f"{words[0].upper()}{words[1:]}".rstrip(".;") + (words[-1] if words[-1] in "!?" else "."))
    return found


def _as_said(clause: str) -> str:
    return " ".join(clause.casefold().split()).rstrip(" .;!?")


_CLAUSE_END = re.compile(r"; +")
_SENTENCE_END = re.compile(r"(?<=[.!?]) +")
