"""The account of fasteners and connections: what came out must go back, be renewed, or be scrapped.

Counted by hole, found and refitted, for the unit, each step and each bag. A step that is only planned has
nothing in the account yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Then
from logbook.reassembly.counting import Sets, step_totals
from logbook.reassembly.records import BagContents, ConnectionEntry, Ledger, OpenDifference, Totals


def ledger(unit: Unit) -> Ledger:
    """The account of a unit's fasteners, bags and connections, with every difference that is not explained."""
    sets = Sets(unit)
    steps = {s.code: step_totals(sets, s) for s in unit.steps if sets.taken_apart(s)}
    bags = bag_contents(unit, sets)
    loose = bags.get("")
    return Ledger(
        total=Totals.of_all(steps.values()),
        steps=steps,
        bags={bag: contents for bag, contents in bags.items() if bag},
        without_bag=loose.total if loose else 0,
        open=tuple(open_differences(unit, sets, bags)),
        connections=tuple(_connections(unit.steps, sets)),
    )


def bag_contents(unit: Unit, sets: Sets) -> dict[str, BagContents]:
    """What must lie in each bag by the record; under the empty name what lies in none."""
    kinds: dict[str, dict[str, int]] = {}
    steps: dict[str, dict[str, None]] = {}
    for s in unit.steps:
        if not sets.taken_apart(s):
            continue
        for _, fasteners, bag in sets.each(s):
            for f in fasteners:
                if f.then is Then.REUSE and f.found:
                    place = f.bag or bag
                    of = kinds.setdefault(place, {})
                    of[f.kind] = of.get(f.kind, 0) + f.found
                    steps.setdefault(place, {})[s.code] = None
    return {bag: BagContents(bag, of, tuple(steps[bag])) for bag, of in kinds.items()}


def open_differences(unit: Unit, sets: Sets, bags: Mapping[str, BagContents] | None = None) -> Iterator[OpenDifference]:
    """Every count that does not agree and is not explained: in a counted bag, and inside the record."""
    if unit.refit.counts:
        yield from _bag_differences(unit, bag_contents(unit, sets) if bags is None else bags)
    yield from _record_differences(unit, sets)


def _bag_differences(unit: Unit, bags: Mapping[str, BagContents]) -> Iterator[OpenDifference]:
    """Counted bags that do not agree with the record as it reads now and are not explained."""
    for count in unit.refit.counts:
        if count.explained:
            continue
        contents = bags.get(count.bag)
        recorded = contents.kinds.get(count.kind, 0) if contents else 0
        if count.counted == recorded:
            continue
        by = abs(count.counted - recorded)
        word = "short" if count.counted < recorded else "too many"
        yield OpenDifference(
            steps=contents.steps if contents else (),
            bag=count.bag,
            kind=count.kind,
            recorded=recorded,
            counted=count.counted,
            sentence=(
                f"bag {count.bag}: {by} {count.kind} {word} ({recorded} recorded, {count.counted} counted); "
                "find it or write why."
            ),
        )


def _record_differences(unit: Unit, sets: Sets) -> Iterator[OpenDifference]:
    """Counts inside the record that contradict each other."""
    for s in unit.steps:
        if not sets.taken_apart(s):
            continue
        for member, fasteners, _ in sets.each(s):
            where = f"{s.code}/{member}" if member else s.code
            for f in fasteners:
                if f.found > f.holes:
                    sentence = f"{where}: {f.found} {f.kind} found for {f.holes} holes; correct one of the two."
                    yield OpenDifference((s.code,), "", f.kind, f.holes, f.found, sentence)
        if s.wires is not None and s.wires != len(s.connections):
            sentence = f"{s.code}: {s.wires} wires counted at the bench, {len(s.connections)} written down one by one."
            yield OpenDifference((s.code,), "", "wire", s.wires, len(s.connections), sentence)


def _connections(steps: Iterable[Step], sets: Sets) -> Iterator[ConnectionEntry]:
    for s in steps:
        apart = sets.taken_apart(s)
        for c in s.connections:
            if c.stays_on:
                yield ConnectionEntry(c.code, s.code, "", "it was not undone, only named")
            elif not apart:
                yield ConnectionEntry(c.code, s.code, "", "it is not taken off yet")
            else:
                yield ConnectionEntry(c.code, s.code, s.code)
