"""The account of fasteners, loose pieces and connections: what came out must go back, be renewed, or be scrapped.

Counted by hole, found and refitted, for the unit, each step and each bag. A step that is only planned has
nothing in the account yet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Then
from logbook.reassembly.counting import Sets, totals_apart, totals_of
from logbook.reassembly.records import BagContents, ConnectionEntry, Ledger, OpenDifference, Totals


def ledger(unit: Unit) -> Ledger:
    """The account of a unit's fasteners, bags and connections, with every difference that is not explained."""
    sets = Sets(unit)
    steps = {s.code: totals_apart(s, apart) for s, apart in sets.came_apart}
    bags = bag_contents(sets)
    loose = bags.get("")
    return Ledger(
        total=Totals.of_all(steps.values()),
        steps=steps,
        bags={bag: contents for bag, contents in bags.items() if bag},
        without_bag=loose.total if loose else 0,
        pieces=loose_pieces(sets),
        open=tuple(open_differences(unit, sets, bags)),
        connections=tuple(_connections(unit.steps, sets)),
    )


def loose_pieces(sets: Sets) -> Totals:
    """The counts of all loose pieces: shims, blocks and the like."""
    apart = (fasteners for _, each in sets.came_apart for _, fasteners, _ in each)
    return Totals.of_all(totals_of(fs, pieces=True) for fs in apart if any(f.piece for f in fs))


def bag_contents(sets: Sets) -> dict[str, BagContents]:
    """What must lie in each bag by the record; under the empty name what lies in none."""
    kinds: dict[str, dict[str, int]] = {}
    steps: dict[str, list[str]] = {}
    for s, apart in sets.came_apart:
        for _, fasteners, bag in apart:
            for f in fasteners:
                found = f.found if f.then is Then.REUSE else 0
                if found:
                    place, kind = f.bag or bag, f.kind
                    of = kinds.get(place)
                    if of is None:
                        kinds[place], steps[place] = {kind: found}, [s.code]
                        continue
                    of[kind] = of.get(kind, 0) + found
                    if steps[place][-1] != s.code:
                        steps[place].append(s.code)
    return {bag: BagContents(bag, of, tuple(steps[bag])) for bag, of in kinds.items()}


def open_differences(unit: Unit, sets: Sets, bags: Mapping[str, BagContents] | None = None) -> Iterator[OpenDifference]:
    """Every count that does not agree and is not explained: in a counted bag, and inside the record."""
    if unit.refit.counts:
        yield from bag_differences(unit, bag_contents(sets) if bags is None else bags)
    yield from record_differences(sets)


def bag_differences(unit: Unit, bags: Mapping[str, BagContents]) -> Iterator[OpenDifference]:
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


def record_differences(sets: Sets) -> Iterator[OpenDifference]:
    """Counts inside the record that contradict each other."""
    for s, apart in sets.came_apart:
        for member, fasteners, _ in apart:
            for f in fasteners:
                if f.found > f.holes:
                    where = f"{s.code}/{member}" if member else s.code
                    sentence = f"{where}: {f.found} {f.kind} found for {f.holes} holes; correct one of the two."
                    yield OpenDifference((s.code,), "", f.kind, f.holes, f.found, sentence)
        wires = s.wires
        if wires is not None and wires != len(s.connections):
            sentence = f"{s.code}: {wires} wires counted at the bench, {len(s.connections)} written down one by one."
            yield OpenDifference((s.code,), "", "wire", wires, len(s.connections), sentence)


def _connections(steps: Iterable[Step], sets: Sets) -> Iterator[ConnectionEntry]:
    for s in steps:
        connections = s.connections
        apart = bool(connections) and sets.taken_apart(s)
        for c in connections:
            if c.stays_on:
                yield ConnectionEntry(c.code, s.code, "", "it was not undone, only named")
            elif not apart:
                yield ConnectionEntry(c.code, s.code, "", "it is not taken off yet")
            else:
                yield ConnectionEntry(c.code, s.code, s.code)
