"""The account of fasteners, loose pieces and connections: what came out must go back, be renewed, or be scrapped.

Counted by hole, found and refitted, for the unit, each step and each bag. A step that is only planned has
nothing in the account yet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from logbook.model.members import Wires, wires_of
from logbook.model.same_words import same_words
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Then
from logbook.reassembly.counting import Apart, Sets, totals_apart, totals_of
from logbook.reassembly.refit_records import BagContents, ConnectionEntry, Ledger, OpenDifference, Totals


def ledger(unit: Unit) -> Ledger:
    """The account of a unit's fasteners, bags and connections, with every difference that is not explained."""
    sets = Sets(unit)
    steps: dict[str, Totals] = {}
    pieces: list[Totals] = []
    connections: list[ConnectionEntry] = []
    contradictions: list[OpenDifference] = []
    gathered = _Bags()
    # One pass, everything of a step at once: going through a huge record several times costs more than counting.
    for s in unit.steps:
        apart = sets.each(s) if sets.taken_apart(s) else None
        connections += _connections(s, apart=apart is not None)
        if apart is None:
            continue
        steps[s.code] = totals_apart(s, apart)
        gathered.add(s, apart)
        contradictions += _contradictions(s, apart)
        pieces += _pieces(apart)
    bags = gathered.contents()
    loose = bags.pop("", None)
    return Ledger(
        total=Totals.of_all(steps.values()),
        steps=steps,
        bags=bags,
        without_bag=loose.total if loose else 0,
        pieces=Totals.of_all(pieces),
        open=(*bag_differences(unit, bags), *contradictions),
        connections=tuple(connections),
    )


def bag_contents(sets: Sets) -> dict[str, BagContents]:
    """What must lie in each bag by the record; under the empty name what lies in none."""
    gathered = _Bags()
    for step, apart in sets.came_apart:
        gathered.add(step, apart)
    return gathered.contents()


class _Bags:
    """What lies in which bag, gathered step by step."""

    def __init__(self) -> None:
        self._kinds: dict[str, dict[str, int]] = {}
        self._steps: dict[str, list[str]] = {}

    def add(self, step: Step, apart: Sequence[Apart]) -> None:
        """What came off at a step and is to be used again."""
        for _, fasteners, bag in apart:
            for f in fasteners:
                found = f.found if f.then is Then.REUSE else 0
                if not found:
                    continue
                place, kind = f.bag or bag, f.kind
                of = self._kinds.get(place)
                if of is None:
                    self._kinds[place], self._steps[place] = {kind: found}, [step.code]
                    continue
                of[kind] = of.get(kind, 0) + found
                if self._steps[place][-1] != step.code:
                    self._steps[place].append(step.code)

    def contents(self) -> dict[str, BagContents]:
        """Each bag, in the order in which they were filled first."""
        return {bag: BagContents(bag, of, tuple(self._steps[bag])) for bag, of in self._kinds.items()}


def _pieces(apart: Sequence[Apart]) -> Iterator[Totals]:
    """The counts of the loose pieces among what came apart: shims, blocks and the like."""
    for _, fasteners, _ in apart:
        for f in fasteners:
            if f.piece:
                yield totals_of((f,), pieces=True)


def open_differences(unit: Unit, sets: Sets) -> Iterator[OpenDifference]:
    """Every count that does not agree and is not explained: in a counted bag, and inside the record."""
    if unit.refit.counts:
        yield from bag_differences(unit, bag_contents(sets))
    yield from record_differences(sets)


def bag_called(bags: Mapping[str, BagContents], name: str) -> BagContents | None:
    """The bag of that name, however it is written; None when there is none."""
    found = bags.get(name)
    if found is None and name.strip():
        return next((bags[bag] for bag in bags if same_words(bag) == same_words(name)), None)
    return found


def bag_differences(unit: Unit, bags: Mapping[str, BagContents]) -> Iterator[OpenDifference]:
    """Counted bags that do not agree with the record as it reads now and are not explained."""
    for count in unit.refit.counts:
        if count.explained.strip():
            continue
        contents = bag_called(bags, count.bag)
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
    for step, apart in sets.came_apart:
        yield from _contradictions(step, apart)


def _contradictions(step: Step, apart: Sequence[Apart]) -> Sequence[OpenDifference]:
    found: list[OpenDifference] = []
    for member, fasteners, _ in apart:
        for f in fasteners:
            if f.found > f.holes:
                where = f"{step.code}/{member}" if member else step.code
                sentence = f"{where}: {f.found} {f.kind} found for {f.holes} holes; correct one of the two."
                found.append(OpenDifference((step.code,), "", f.kind, f.holes, f.found, sentence))
    wires = wires_of(step, [member for member, _, _ in apart if member])
    if wires is not None and wires.counted != wires.written:
        said = wires_sentence(step, wires)
        found.append(OpenDifference((step.code,), "", "wire", wires.counted, wires.written, said))
    return found


def wires_sentence(step: Step, wires: Wires) -> str:
    """How many wires were counted at the bench, how many of them were written down, and where the others are."""
    return f"{step.code}: {wires.words} counted at the bench, {wires.written} written down. {wires.how_to_settle}"


def _connections(step: Step, *, apart: bool) -> Sequence[ConnectionEntry]:
    """The line of each connection of a step, or why it has none."""
    found: list[ConnectionEntry] = []
    for c in step.connections:
        if c.stays_on:
            found.append(ConnectionEntry(c.code, step.code, "", "it was not undone, only named"))
        elif not apart:
            found.append(ConnectionEntry(c.code, step.code, "", "it is not taken off yet"))
        else:
            found.append(ConnectionEntry(c.code, step.code, step.code))
    return found
