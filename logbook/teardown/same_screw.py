"""Where screws of one thread belong in a unit or lie on the shelf, and which step a loose one may have come from.

A place that was found empty, or a bag that was counted short, comes before others: there a loose screw is missing.
Candidate steps are ranked by kind, size and count: that is how a screw that is left over finds its step again.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from logbook.model.shop import Shop
from logbook.model.step import Fastener, Step
from logbook.model.thread_tables import Series, Thread, length_of, size_of, thread_of
from logbook.model.unit import Unit
from logbook.teardown.kinds import singular
from logbook.teardown.threads import DIAMETER_TOLERANCE, Screw

LENGTH_TOLERANCE = Fraction(3, 2)
"""mm: screws are sold so long to within this, and a rule is read so. Common practice, no source."""
WITHOUT_THREAD = frozenset({"washer", "bush", "tube", "spacer", "shim", "shakeproof", "clip", "nail", "pin", "rivet"})
"""Pieces that carry the name of a thread because they go with it."""
WITH_HEAD = frozenset({"screw", "bolt", "stud", "setscrew", "grub"})


class ScrewPlace(NamedTuple):
    """Where a kind of fastener of that thread belongs, or lies."""

    step: str
    """Code of the step; empty on the shelf."""
    where: str
    """`T11 Four chassis bolts`, or `shelf`."""
    kind: str
    number: str
    """How many: of the step for each member, or the stock."""
    bag: str = ""
    missing: int = 0
    """How many of them are not where they should be: empty places, and a bag counted short."""
    length_fits: bool | None = None
    """Whether its length is that of the screw; None when either is not known."""
    nut: bool = False
    """It is no screw but has its thread: a nut, an insert."""
    count_fits: bool | None = None
    """Whether as many are missing there as lie loose, or else as many belong there; None when nobody said how many."""


def same_kind(screw: Screw, thread: Thread, unit: Unit, shop: Shop) -> tuple[ScrewPlace, ...]:
    """Everywhere in a unit and on the shelf where a kind of that thread stands, the likeliest home of `screw` first.

    Screws before nuts; first where the length agrees, then where one is missing, then where as many are missing or
    belong as lie loose, in the order of the record; the shelf comes last.
    """
    found = [p for step in unit.steps if not step.planned for p in _of_step(screw, thread, unit, step)]
    found += [
        ScrewPlace("", "shelf", item.name, f"{item.stock.normalize():f}", length_fits=_length_fits(screw, item.name))
        for item in shop.shelf
        if item.stock > 0 and _same(thread, item.name)
    ]
    return tuple(sorted(found, key=likeliest))


def likeliest(place: ScrewPlace) -> tuple[bool, bool, int, bool, bool]:
    """For sorting places, of several units as well: the likeliest home first."""
    fits = {True: 0, None: 1, False: 2}[place.length_fits]
    as_many = bool(place.count_fits)
    return not place.step, place.nut, fits, not place.missing, not as_many


def _of_step(screw: Screw, thread: Thread, unit: Unit, step: Step) -> Iterator[ScrewPlace]:
    entries = [("", f, f.bag or step.bag) for f in step.fasteners]
    for d in step.differences:
        if d.fasteners is None and d.bag:
            entries += [(d.member, f, f.bag or d.bag) for f in step.fasteners]
        entries += [(d.member, f, f.bag or d.bag or step.bag) for f in d.fasteners or ()]
    own = {member for member, _, _ in entries if member}
    of = unit.set_of(step)
    if of is not None and own == {m.code for m in of.members}:
        entries = [e for e in entries if e[0]]  # every member has its own bag, so the pattern stands nowhere
    for member, f, bag in entries:
        size = f.detail.diameter if f.detail is not None else None
        if _same(thread, f.kind, None if size is None else Fraction(size.mm)):
            name = f"{step.code}/{member}" if member else step.code
            missing = _missing(unit, f, bag)
            yield ScrewPlace(
                step=step.code,
                where=f"{name} {step.what}",
                kind=f.kind,
                number=str(f.found),
                bag=bag,
                missing=missing,
                length_fits=_length_fits(screw, f.kind, f),
                nut=not _words(f.kind) & WITH_HEAD,
                count_fits=None if screw.loose is None else screw.loose == (missing or f.found),
            )


def _missing(unit: Unit, fastener: Fastener, bag: str) -> int:
    """Empty places of it, and what a counted bag is short of it; one that was given up as lost may have turned up."""
    empty = 0 if fastener.stays_empty else max(0, fastener.holes - fastener.found)
    short = (c.recorded - c.counted for c in unit.refit.counts if (c.bag, c.kind) == (bag, fastener.kind))
    return empty + sum(n for n in short if n > 0) if bag else empty


def _same(thread: Thread, kind: str, diameter: Fraction | None = None) -> bool:
    """Whether the words for a kind, or else its diameter, say that it has the thread."""
    words = _words(kind)
    if words & WITHOUT_THREAD:
        return False
    named = thread_of(kind)
    if named is not None:
        return named == thread
    if not words & WITH_HEAD or ("wood" in words) != (thread.series is Series.WOOD):
        return False
    size = size_of(kind) or diameter
    if size is None:
        return False
    low, high = thread.smallest - DIAMETER_TOLERANCE, max(thread.largest, thread.diameter) + DIAMETER_TOLERANCE
    return low <= size <= high


def _length_fits(screw: Screw, kind: str, fastener: Fastener | None = None) -> bool | None:
    detail = fastener.detail if fastener is not None else None
    stated = Fraction(detail.length.mm) if detail is not None and detail.length is not None else length_of(kind)
    if screw.length is None or stated is None:
        return None
    return abs(stated - screw.length) <= LENGTH_TOLERANCE


def _words(kind: str) -> set[str]:
    return {singular(word) for word in kind.casefold().split()}
