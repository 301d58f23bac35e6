"""A unit's record looked up from the side of its steps: what belongs to each, in one pass."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TypeVar

from logbook.model.replacements import part_for_fastener, parts_by_fastener, unlisted_renewals
from logbook.model.same_words import same_words
from logbook.model.step import Relation, Step
from logbook.model.unit import Component, SubAssembly, Unit
from logbook.model.words import RelationKind, Supply, WorkState
from logbook.model.work import Operation, Part
from logbook.reassembly.counting import Sets
from logbook.reassembly.ledger import bag_contents, record_differences
from logbook.reassembly.refit_records import BagContents, FromShop, OpenDifference

K = TypeVar("K")
T = TypeVar("T")


NOTHING_OF_SHOP = FromShop()
"""When the record is seen by itself."""


class RefitIndex:
    """Everything that the words and the readiness of a line are drawn from."""

    def __init__(self, unit: Unit, sets: Sets, of_shop: FromShop = NOTHING_OF_SHOP) -> None:
        """Look a unit up, with what the shop adds to its record."""
        self.unit = unit
        self.sets = sets
        self.of_shop = of_shop
        self._of_fasteners = parts_by_fastener(unit)
        self.steps: Mapping[str, Step] = {s.code: s for s in unit.steps}
        self.operations: Mapping[str, Operation] = {o.code: o for o in unit.operations}
        self.sub_assemblies: Mapping[str, SubAssembly] = {s.code: s for s in unit.sub_assemblies}
        self.came_out_at: Mapping[str, list[SubAssembly]] = _grouped((s.came_out_at, s) for s in unit.sub_assemblies)
        self.parts: Mapping[str, list[Part]] = _grouped((code, p) for p in unit.parts for code in p.for_steps)
        self.work_for: Mapping[str, list[str]] = _grouped(
            (code, o.code) for o in unit.operations for code in o.for_steps
        )
        """For a step, the codes of the operations its refit waits for."""
        self.components: Mapping[str, list[Component]] = _components(unit)

    def part_for_fastener(self, kind: str, step: str) -> Part | None:
        """The part that stands for new fasteners of a kind at a step; None without one."""
        return part_for_fastener(self._of_fasteners, kind, step)

    def fastener_here(self, kind: str, step: str) -> bool:
        """Whether new fasteners of a kind are here for a step: their part is, or, without one, enough on the shelf."""
        part = self.part_for_fastener(kind, step)
        if part is not None:
            return part.supply is Supply.HERE
        return same_words(kind) in self.of_shop.kinds

    def joint_done(self, step: str) -> bool:
        """Whether the work that makes the joint of a step anew is done: its wait runs from then, and only once."""
        standing = [o for o in self.operations.values() if f"J-{step}" in (o.code, *o.stands_for)]
        return bool(standing) and all(o.state is WorkState.DONE and o.done_at is not None for o in standing)

    @cached_property
    def unlisted(self) -> Mapping[str, list[str]]:
        """For a step, what it renews while nothing on the list of parts stands for it."""
        return _grouped((new.step.code, new.what) for new in unlisted_renewals(self.unit))

    @cached_property
    def goes_on_first(self) -> Mapping[str, list[Relation]]:
        """For a step, what of other steps is threaded on before its joint."""
        return self._by_later(RelationKind.THREADED)

    @cached_property
    def went_on_at(self) -> Mapping[str, list[Relation]]:
        """For a step, where its own things were threaded on."""
        return self._by_earlier(RelationKind.THREADED)

    @cached_property
    def nipped_for(self) -> Mapping[str, list[Relation]]:
        """For a step, the loosened steps whose final tightening also tightens it."""
        return self._by_later(RelationKind.LOOSEN)

    @cached_property
    def loosened_for(self) -> Mapping[str, list[Relation]]:
        """For a loosened step, the steps that are tightened with it."""
        return self._by_earlier(RelationKind.LOOSEN)

    @cached_property
    def tested_before(self) -> Mapping[str, list[Relation]]:
        """For a step that is tested, what covers it."""
        return self._by_later(RelationKind.TEST)

    @cached_property
    def ends(self) -> Mapping[str, set[str]]:
        """The ends that are written down of each connection, over all steps that it was undone in."""
        found: dict[str, set[str]] = {}
        for step in self.unit.steps:
            for made in step.connections:
                written = {end.strip() for end in (made.start, made.end) if end.strip()}
                found.setdefault(made.code, set()).update(written)
        return found

    @cached_property
    def reasons(self) -> Mapping[tuple[str, str], str]:
        """For (earlier, later) why the one comes before the other, where somebody said so."""
        return {(r.earlier, r.later): r.why for r in self.unit.relations if r.why}

    @cached_property
    def bags(self) -> Mapping[str, BagContents]:
        """What must lie in each bag by the record; under the empty name what lies in none."""
        return bag_contents(self.sets)

    @cached_property
    def contradictions(self) -> tuple[OpenDifference, ...]:
        """Counts inside the record that contradict each other, whatever was counted since."""
        return tuple(record_differences(self.sets))

    @cached_property
    def _related(self) -> Mapping[RelationKind, list[Relation]]:
        return _grouped((r.kind, r) for r in self.unit.relations if r.kind in _LOOKED_UP)

    def _by_later(self, kind: RelationKind) -> Mapping[str, list[Relation]]:
        return _grouped((r.later, r) for r in self._related.get(kind, ()))

    def _by_earlier(self, kind: RelationKind) -> Mapping[str, list[Relation]]:
        return _grouped((r.earlier, r) for r in self._related.get(kind, ()))


_RECORD = tuple(name for name in Unit.model_fields if name not in ("refit", "touched"))


def only_refit_differs(a: Unit, b: Unit) -> bool:
    """Whether two units are one record apart from ticks, readings and counts; cheap, and in doubt False."""
    return all(getattr(a, name) is getattr(b, name) for name in _RECORD)


_LOOKED_UP = frozenset({RelationKind.THREADED, RelationKind.LOOSEN, RelationKind.TEST})


def _grouped(pairs: Iterable[tuple[K, T]]) -> dict[K, list[T]]:
    groups: dict[K, list[T]] = {}
    for key, thing in pairs:
        groups.setdefault(key, []).append(thing)
    return groups


def _components(unit: Unit) -> dict[str, list[Component]]:
    """Components by the step at which they came out, as the component or the step says."""
    by_code = {c.code: c for c in unit.components}
    pairs = {(c.from_step, c.code): None for c in unit.components if c.from_step}
    pairs |= {(s.code, code): None for s in unit.steps for code in s.components if code in by_code}
    return _grouped((step, by_code[code]) for step, code in pairs)
