"""Some of a kind: what is said later of a kind is about some of those already said, and replaces none of them.

Of three screws `1 missing` and `1 screw renew as screw 3.5x20` leave one good one. Where there are not so many,
nothing is changed, and whoever asked says so.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import NamedTuple

from logbook.model.step import Fastener
from logbook.model.words import Then
from logbook.teardown.fastener_phrase import whole_kind

MISSING = "missing"
"""What is said of some that were not there; every other word is a `Then`."""

_IN_WORDS = {MISSING: "missing", "renew": "renewed", "scrap": "scrapped", "lost": "lost", "reuse": "reused"}


class Some(NamedTuple):
    """So many of a kind, and what is true of them."""

    number: int
    fate: str
    """“missing”, or a `Then`."""
    kind: str = ""
    """Empty: the kind that was said last."""
    renew_as: str = ""
    """The other kind that takes their place; empty: the same kind."""

    @property
    def fate_in_words(self) -> str:
        """`lost, renew as screw M4x16`."""
        if not self.renew_as:
            return self.fate
        return f"{self.fate}{'' if self.fate == Then.RENEW else ', renew'} as {self.renew_as}"


class NotSoManyError(ValueError):
    """More of a kind are spoken of than there are; its text says so."""


def with_some(own: Sequence[Fastener], some: Some) -> tuple[Fastener, ...]:
    """The fasteners, so many of a kind missing, lost, renewed or scrapped.

    Raises:
        NotSoManyError: there are fewer of them that are still good, or none of that kind.
    """
    kind = some.kind or (own[-1].kind if own else "")
    place = _good_ones(own, kind)
    if place is None:
        raise NotSoManyError(
            f"No {kind or 'fastener'} was said of which {some.number} could be {_IN_WORDS[some.fate]}."
        )
    of = own[place]
    if some.number > of.found:
        raise NotSoManyError(_too_many(own, kind, of.found, some.number, some.fate))
    if some.fate == MISSING and not some.renew_as:
        changed = of.model_copy(update={"found": of.found - some.number})
        return (*own[:place], changed, *own[place + 1 :])
    is_missing = some.fate == MISSING
    taken = {
        "holes": some.number,
        "found": 0 if is_missing else some.number,
        "then": Then.RENEW if is_missing else Then(some.fate),
        "renew_as": whole_kind(some.renew_as, of.kind),
    }
    return _parted(own, place, of.model_copy(update=taken))


def with_kind_of_member(own: Sequence[Fastener], said: Fastener, counted: Collection[str] = ()) -> tuple[Fastener, ...]:
    """One member's fasteners after a phrase about a kind: how many it has, or what becomes of some of them.

    Args:
        own: what it has so far, which is at first what the step says for each.
        said: the phrase.
        counted: kinds of which was said already how many this member has.

    Raises:
        NotSoManyError: there are fewer of them that are still good, or how many it has was said before.
    """
    same = [i for i, f in enumerate(own) if f.kind == said.kind]
    if not same:
        return (*own, said)
    good = next((i for i in same if own[i].then is Then.REUSE), None)
    if said.then is not Then.REUSE and good is not None and said.holes == said.found:
        if said.found > own[good].found:
            raise NotSoManyError(_too_many(own, said.kind, own[good].found, said.found, str(said.then)))
        return _parted(own, good, said if said.bag else said.model_copy(update={"bag": own[good].bag}))
    if said.kind in counted:
        bags = {own[i].bag for i in same}
        if said.bag and said.bag not in bags:
            return (*own, said)
        raise NotSoManyError(f"How many {said.kind} there are was said already.")
    place = next((i for i in same if own[i].then is said.then), same[0])
    return (*own[:place], said, *own[place + 1 :])


def in_all(own: Sequence[Fastener], kind: str) -> str:
    """A kind in words: `3 screw 3.5x16: 1 good, 1 missing, 1 renew as screw 3.5x20`."""
    of = [f for f in own if f.kind == kind]
    good = sum(f.found for f in of if f.then is Then.REUSE)
    missing = sum(max(0, f.holes - f.found) for f in of if f.found or not f.renew_as)
    said = [f"{good} good"] if good else []
    said += [f"{missing} missing"] if missing else []
    for f in of:
        if f.then is not Then.REUSE and (f.found or f.renew_as):
            renewed = f"{', renew' if f.then is Then.LOST else ''} as {f.renew_as}" if f.renew_as else ""
            said.append(f"{f.found or f.holes} {f.then}{renewed}")
    return f"{sum(f.holes for f in of)} {kind}: {', '.join(said) or 'none'}"


def _good_ones(own: Sequence[Fastener], kind: str) -> int | None:
    """The place of those of a kind that are still good, of several the last; else the last of that kind."""
    same = [i for i, f in enumerate(own) if f.kind == kind]
    good = [i for i in same if own[i].then is Then.REUSE]
    return next(reversed(good or same), None)


def _parted(own: Sequence[Fastener], place: int, taken: Fastener) -> tuple[Fastener, ...]:
    """The fasteners at a place without those taken, which stand behind them; all of them taken leave none."""
    of = own[place]
    left = of.model_copy(update={"holes": of.holes - taken.holes, "found": of.found - taken.holes})
    if not left.holes:
        return (*own[:place], taken, *own[place + 1 :])
    return (*own[:place], left, taken, *own[place + 1 :])


def _too_many(own: Sequence[Fastener], kind: str, left: int, count: int, fate: str) -> str:
    good = "1 is" if left == 1 else f"{left or 'none'} are"
    asked = "If there are more, say first how many."
    return f"{count} {kind} cannot be {_IN_WORDS[fate]}, {good} left of {in_all(own, kind)}. {asked}"
