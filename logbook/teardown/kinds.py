"""The words a unit already has: kinds of fastener, bags, boxes, codes. What is typed is compared with them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import cached_property

from logbook.model.edits import next_step_code
from logbook.model.step import Fastener, Step
from logbook.model.unit import Unit
from logbook.teardown.vocabulary import PIECES, THREADED

_SIZE_GAP = re.compile(r"(?<=[0-9]) ?x ?(?=[0-9])")
_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9])")
_NUMBER = re.compile(r"[0-9]{1,9}", re.ASCII)
_KEPT_IN = re.compile(r"\b(bag|box) ([0-9]{1,9})\b", re.ASCII | re.IGNORECASE)
_STEP = re.compile(r"([A-Za-z]{1,3})?0*([0-9]{1,4})([a-z]?)", re.ASCII)
_IRREGULAR = {"feet": "foot"}
_LONG_PLURALS = ("shes", "ches", "xes", "sses", "zes")


def singular(word: str) -> str:
    """The singular of a folded trade word, good enough to compare with: `bushes` is `bush`, `M4` stays `m4`."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or not word[-2].isalpha() or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(_LONG_PLURALS):
        return word[:-2]
    return word[:-1] if word.endswith("s") else word


def kind_key(kind: str) -> str:
    """What two ways of writing one kind of fastener share: no capitals, no plurals, sizes as `3.5x16`."""
    plain = _DECIMAL_COMMA.sub(".", " ".join(kind.casefold().replace("×", "x").split()))
    return " ".join(singular(w) for w in _SIZE_GAP.sub("x", plain).split(" "))


def is_piece(kind: str) -> bool:
    """Whether a kind reads like a loose piece, such as `stop block`, rather than a fastener, such as `block screw`."""
    words = [singular(w) for w in kind.casefold().split()]
    return not PIECES.isdisjoint(words) and THREADED.isdisjoint(words)


def fasteners_of(step: Step) -> Iterator[Fastener]:
    """Every fastener entry of a step, those of members that differ included."""
    yield from step.fasteners
    for difference in step.differences:
        yield from difference.fasteners or ()


def bags_inside(step: Step) -> tuple[str, ...]:
    """The bags that single kinds or members of a step have for themselves, each once."""
    bags = (*(f.bag for f in fasteners_of(step)), *(d.bag for d in step.differences))
    return tuple(dict.fromkeys(bag for bag in bags if bag))


def next_bag(unit: Unit, writing: Step | None = None, named: Iterable[str] = ()) -> str:
    """The number offered for the next bag: one more than the highest used. Bags without a number do not count.

    Args:
        unit: the record.
        writing: a step that is being written; what it puts into bags for single kinds or members is used too.
        named: bags that a line names before.
    """
    used = [b for s in unit.steps for b in (s.bag, *bags_inside(s))]
    used += bags_inside(writing) if writing is not None else ()
    return _after_highest([*used, *named, *(c.bag for c in unit.refit.counts), *_kept_in(unit, "bag")])


def next_box(unit: Unit) -> str:
    """The number offered for the next box: one more than the highest used, components' boxes included."""
    return _after_highest([*(s.box for s in unit.steps), *_kept_in(unit, "box")])


def _kept_in(unit: Unit, container: str) -> list[str]:
    found = (m for c in unit.components for m in _KEPT_IN.finditer(c.where_kept))
    return [m[2] for m in found if m[1].casefold() == container]


def _after_highest(used: list[str]) -> str:
    return str(max((int(u) for u in used if _NUMBER.fullmatch(u)), default=0) + 1)


class UnitWords:
    """What a line can name in a unit. Each list is made when it is first asked for."""

    def __init__(self, unit: Unit, code: str | None = None) -> None:
        self.unit = unit
        self._code = code

    @cached_property
    def code(self) -> str:
        """Code of the step that the line is about."""
        return self._code or next_step_code(self.unit)

    @cached_property
    def _kinds(self) -> tuple[frozenset[str], dict[str, str]]:
        kinds = [f.kind for s in self.unit.steps for f in fasteners_of(s)]
        by_key: dict[str, str] = {}
        for kind in kinds:
            by_key.setdefault(kind_key(kind), kind)
        return frozenset(kinds), by_key

    def known_kind(self, typed: str) -> str | None:
        """The unit's own words for a kind typed in another way, or None when the unit has no such kind."""
        exact, by_key = self._kinds
        return typed if typed in exact else by_key.get(kind_key(typed))

    @cached_property
    def _codes(self) -> frozenset[str]:
        return frozenset(s.code for s in self.unit.steps)

    @cached_property
    def _steps(self) -> dict[tuple[str, str, str], str]:
        parts = ((m, s.code) for s in self.unit.steps if (m := _STEP.fullmatch(s.code)))
        return {(m[1].upper(), m[2], m[3]): code for m, code in parts}

    def step_code(self, typed: str) -> str | None:
        """The code of an existing step, typed as `T05`, `t5` or `5`; None when there is no such step."""
        if typed in self._codes:
            return typed
        match = _STEP.fullmatch(typed)
        if match is None:
            return None
        letter = (match[1] or self.unit.step_letter or "T").upper()
        return self._steps.get((letter, match[2], match[3]))

    @staticmethod
    def looks_like_step(typed: str) -> bool:
        """Whether a word has the shape of a step code, existing or not."""
        return _STEP.fullmatch(typed) is not None

    @cached_property
    def last_step(self) -> Step | None:
        """The last step that was kept, planned ones aside."""
        return next((s for s in reversed(self.unit.steps) if not s.planned and s.code != self.code), None)

    def set_code(self, typed: str) -> str | None:
        """Code of the set called so, by code or name."""
        return _called([(s.code, s.name) for s in self.unit.sets], typed)

    def lump_code(self, typed: str) -> str | None:
        """Code of the sub-assembly called so, by code or name."""
        return _called([(s.code, s.name) for s in self.unit.sub_assemblies], typed)


def _called(things: list[tuple[str, str]], typed: str) -> str | None:
    """The code of the thing typed: the exact code first, then the code in any capitals, then the name."""
    plain = " ".join(typed.casefold().split())
    bare = plain.removeprefix("the ")
    for fits in (
        [c for c, _ in things if c == typed],
        [c for c, _ in things if c.casefold() == plain],
        [c for c, name in things if kind_key(name) in (kind_key(plain), kind_key(bare))],
    ):
        if fits:
            return fits[0]
    return None
