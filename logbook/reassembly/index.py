"""A unit's record looked up from the side of its steps: what belongs to each, in one pass."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import TypeVar

from logbook.model.step import Relation, Step
from logbook.model.unit import Component, SubAssembly, Unit
from logbook.model.words import RelationKind
from logbook.model.work import Operation, Part
from logbook.reassembly.counting import Sets
from logbook.reassembly.ledger import bag_contents
from logbook.reassembly.records import BagContents

T = TypeVar("T")


class Index:
    """Everything that the words and the readiness of a line are drawn from."""

    def __init__(self, unit: Unit, sets: Sets) -> None:
        self.unit = unit
        self.sets = sets
        self.steps: Mapping[str, Step] = {s.code: s for s in unit.steps}
        self.operations: Mapping[str, Operation] = {o.code: o for o in unit.operations}
        self.sub_assemblies: Mapping[str, SubAssembly] = {s.code: s for s in unit.sub_assemblies}
        self.came_out_at: Mapping[str, list[SubAssembly]] = _grouped((s.came_out_at, s) for s in unit.sub_assemblies)
        self.parts: Mapping[str, list[Part]] = _grouped((code, p) for p in unit.parts for code in p.for_steps)
        self.parts_of_component: Mapping[str, list[Part]] = _grouped(
            (code, p) for p in unit.parts for code in p.for_components
        )
        self.work_for: Mapping[str, list[str]] = _grouped(
            (code, o.code) for o in unit.operations for code in o.for_steps
        )
        """For a step, the codes of the operations its refit waits for."""
        self.components: Mapping[str, list[Component]] = _components(unit)
        related = _grouped((r.kind, r) for r in unit.relations if r.kind in _LOOKED_UP)
        threaded, loosened, tested = (related.get(kind, []) for kind in _LOOKED_UP)
        self.goes_on_first: Mapping[str, list[Relation]] = _grouped((r.later, r) for r in threaded)
        """For a step, what of other steps is threaded on before its joint."""
        self.went_on_at: Mapping[str, list[Relation]] = _grouped((r.earlier, r) for r in threaded)
        """For a step, where its own things were threaded on."""
        self.nipped_for: Mapping[str, list[Relation]] = _grouped((r.later, r) for r in loosened)
        """For a step, the loosened steps whose final tightening also tightens it."""
        self.loosened_for: Mapping[str, list[Relation]] = _grouped((r.earlier, r) for r in loosened)
        """For a loosened step, the steps that are tightened with it."""
        self.tested_before: Mapping[str, list[Relation]] = _grouped((r.later, r) for r in tested)
        """For a step that is tested, what covers it."""
        self.reasons: Mapping[tuple[str, str], str] = {(r.earlier, r.later): r.why for r in unit.relations if r.why}

    @cached_property
    def bags(self) -> Mapping[str, BagContents]:
        """What must lie in each bag by the record; under the empty name what lies in none."""
        return bag_contents(self.unit, self.sets)


_RECORD = tuple(name for name in Unit.model_fields if name not in ("refit", "touched"))


def only_refit_differs(a: Unit, b: Unit) -> bool:
    """Whether two units are one record apart from ticks, readings and counts; cheap, and in doubt False."""
    return all(getattr(a, name) is getattr(b, name) for name in _RECORD)


_LOOKED_UP = (RelationKind.THREADED, RelationKind.LOOSEN, RelationKind.TEST)


def _grouped(pairs: Iterable[tuple[str, T]]) -> dict[str, list[T]]:
    groups: dict[str, list[T]] = {}
    for key, thing in pairs:
        groups.setdefault(key, []).append(thing)
    return groups


def _components(unit: Unit) -> dict[str, list[Component]]:
    """Components by the step at which they came out, as the component or the step says."""
    by_code = {c.code: c for c in unit.components}
    pairs = {(c.from_step, c.code): None for c in unit.components if c.from_step}
    pairs |= {(s.code, code): None for s in unit.steps for code in s.components if code in by_code}
    return _grouped((step, by_code[code]) for step, code in pairs)
