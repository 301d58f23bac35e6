"""Checks 3, 4 and 5: counts that do not add up, bags, and wires."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.members import members_apart, wires_of
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.step import Connection, Fastener, Step
from logbook.model.unit import Unit
from logbook.model.words import ConnectionKind, Then
from logbook.reassembly.counting import Sets
from logbook.reassembly.ledger import bag_called, bag_contents, wires_sentence


def fasteners_of(unit: Unit, step: Step, *, off: bool = False) -> Iterator[tuple[str, str, Fastener, int]]:
    """The fasteners of a step: (member or empty, bag, fastener, for how many members it stands).

    Members of a set that share the pattern and the bag of the step stand together, under an empty name.
    With `off` only those that have come off: nothing of a planned step, nothing of a member still to do.
    """
    if off and step.planned:
        return
    of = unit.set_of(step)
    differs = {d.member: d for d in step.differences}
    plain = 1 if of is None else sum(1 for m in of.members if m.code not in differs)
    if plain:
        yield from (("", f.bag or step.bag, f, plain) for f in step.fasteners)
    for member in of.members if of is not None else ():
        d = differs.get(member.code)
        if d is not None and (d.done or not off):
            for f in step.fasteners if d.fasteners is None else d.fasteners:
                yield member.code, f.bag or d.bag or step.bag, f, 1


def holes_and_found(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 3: no more was found than there are places, and the position map has as many places."""
    for step in unit.steps:
        for member, _, f, _ in fasteners_of(unit, step):
            place = f"{step.code}/{member}" if member else step.code
            if f.found > f.holes:
                sentence = f"{place}: {f.found} {f.kind} found, but only {f.holes} places. Count both again."
                yield CheckProblem(3, "found-over-holes", unit.code, place, sentence, Severity.WRONG)
        for f in step.fasteners:
            mapped = sum(1 for p in step.positions if p.kind == f.kind)
            if mapped and mapped != f.holes:
                sentence = f"{step.code}: the position map has {mapped} places for {f.kind}, the count says {f.holes}."
                yield CheckProblem(3, "map-against-count", unit.code, step.code, sentence, Severity.LOOK)


def bags_counted(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 3 and 4: what was counted in a bag at the refit is what the record as it reads now puts into it."""
    if not unit.refit.counts:
        return
    contents = bag_contents(Sets(unit))
    for c in unit.refit.counts:
        bag = bag_called(contents, c.bag)
        held = bag.kinds.get(c.kind, 0) if bag is not None else 0
        if c.counted == held or c.explained.strip():
            continue
        place = f"bag {c.bag}"
        if c.recorded != held:
            sentence = (
                f"Bag {c.bag} was counted against {c.recorded} {c.kind}, but by the steps it holds {held}. "
                "The record changed since; count it again."
            )
            yield CheckProblem(4, "bag-record-changed", unit.code, place, sentence, Severity.LOOK)
        else:
            sentence = (
                f"Bag {c.bag} holds {c.counted} {c.kind}, the record says {held}. "
                "Look for it, then write down why it differs."
            )
            yield CheckProblem(3, "count-differs", unit.code, place, sentence, Severity.LOOK)


def reused_without_bag(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 4: what is to be reused lies in a bag or a box with a number."""
    for step in unit.steps:
        out = fasteners_of(unit, step, off=True)
        loose = sum(f.found * members for _, bag, f, members in out if f.then is Then.REUSE and not bag.strip())
        if loose and not step.box.strip():
            pieces = "1 piece is to be reused but has" if loose == 1 else f"{loose} pieces are to be reused but have"
            sentence = f"{step.code}: {pieces} no bag number."
            yield CheckProblem(4, "no-bag", unit.code, step.code, sentence, Severity.LOOK)


def bags_of_members(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 4: members of a set that are not interchangeable have a bag each."""
    for step in unit.steps:
        of = unit.set_of(step)
        if of is None or of.interchangeable:
            continue
        owners: dict[str, set[str]] = {}
        differs = {d.member for d in step.differences}
        plain = [m.code for m in of.members if m.code not in differs]
        for member, bag, f, _ in fasteners_of(unit, step, off=True):
            if f.then is Then.REUSE and f.found and bag:
                owners.setdefault(same_words(bag), set()).update([member] if member else plain)
        for bag, members in owners.items():
            if len(members) > 1:
                names = ", ".join(m.code for m in of.members if m.code in members)
                sentence = (
                    f"{step.code}: bag {bag} holds pieces of {names} together. Give each member its own bag, "
                    f"or say that the members of {of.code} are interchangeable."
                )
                yield CheckProblem(
                    4, "members-in-one-bag", unit.code, f"{step.code} bag {bag}", sentence, Severity.LOOK
                )


def wires(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 5: a wire has two ends and two labels, is undone once, and the count at the bench is met."""
    undone: dict[str, str] = {}
    for step in unit.steps:
        for c in step.connections:
            place = f"{step.code} {c.code}"
            if not (c.start.strip() and c.end.strip()):
                sentence = f"{place}: a {c.kind} has two ends; write down the one that is missing."
                yield CheckProblem(5, "wire-end-missing", unit.code, place, sentence, Severity.LOOK)
            yield from _labels(unit, place, c, step.planned)
            if c.stays_on:
                continue
            if c.code in undone:
                sentence = f"{c.code} is undone in {undone[c.code]} and again in {step.code}. A number names one wire."
                yield CheckProblem(5, "wire-undone-twice", unit.code, place, sentence, Severity.WRONG)
            undone.setdefault(c.code, step.code)
        wires_here = wires_of(step, members_apart(step, unit.set_of(step)))
        if wires_here is not None and wires_here.counted != wires_here.written:
            sentence = wires_sentence(step, wires_here)
            yield CheckProblem(5, "wires-not-as-counted", unit.code, step.code, sentence, Severity.LOOK)


def _labels(unit: Unit, place: str, connection: Connection, planned: bool) -> Iterator[CheckProblem]:
    if connection.labels > 2:
        sentence = f"{place}: {connection.labels} ends are labelled, but it has two."
        yield CheckProblem(5, "too-many-labels", unit.code, place, sentence, Severity.WRONG)
    elif connection.kind is ConnectionKind.WIRE and connection.labels < 2 and not connection.stays_on and not planned:
        sentence = f"{place}: only {connection.labels} of its two ends carries a label. Put {connection.code} on both."
        yield CheckProblem(5, "label-missing", unit.code, place, sentence, Severity.LOOK)


def bags_of_book(units: dict[str, Unit]) -> Iterator[CheckProblem]:
    """Check 4 over the book: a bag belongs to one unit.

    A plain number counts within its unit, because the unit's code stands on the bag with it. A bag with a
    name of its own, or with the code of another unit before its number, must not turn up in two.
    """
    owner: dict[str, str] = {}
    for unit in units.values():
        for bag in dict.fromkeys(same_words(b) for b in _bags(unit)):
            place = f"bag {bag}"
            other = next(
                (c for c in units if c != unit.code and bag.startswith((f"{c}-".casefold(), f"{c} ".casefold()))), ""
            )
            if other:
                sentence = (
                    f"{unit.code} uses bag {bag}, which carries the code of {other}. Move the pieces or the number."
                )
                yield CheckProblem(4, "bag-of-another-unit", unit.code, place, sentence, Severity.WRONG)
            elif not bag.isdecimal() and owner.setdefault(bag, unit.code) != unit.code:
                sentence = f"Bag {bag} is used by {owner[bag]} and by {unit.code}. A bag belongs to one unit."
                yield CheckProblem(4, "bag-in-two-units", unit.code, place, sentence, Severity.WRONG)


def _bags(unit: Unit) -> Iterator[str]:
    for step in unit.steps:
        yield from (bag for _, bag, _, _ in fasteners_of(unit, step) if bag.strip())
        yield from (b for b in (step.bag, *(d.bag for d in step.differences)) if b.strip())
