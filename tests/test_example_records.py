"""The demo book's raw figures, from the records alone: counted by hand once and here counted from the documents.

Nothing of the program's computations is used, so that a mistake in a record and one in a computation cannot
hide each other.
"""

from __future__ import annotations

import networkx as nx
import pytest

from logbook.model.document import UnitDocument
from logbook.model.templates import DEMO, hazard_classes
from logbook.model.unit import Unit
from logbook.model.words import (
    Stage,
)
from tests.builders import at, codes
from tests.example_records import READ, SHOP, UNITS, built_up


def test_the_book() -> None:
    assert DEMO == ("shop", "R1", "G1", "C1", "L1")
    assert [d.unit.code for d in READ if isinstance(d, UnitDocument)] == ["R1", "G1", "C1", "L1"]
    assert [u.stage for u in UNITS.values()] == [Stage.REBUILD, Stage.TEARDOWN, Stage.REBUILD, Stage.STOPPED]
    assert {d.currency for d in READ if isinstance(d, UnitDocument)} == {SHOP.settings.currency} == {"$"}


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_every_unit_is_of_a_known_class_and_carries_its_hazards(unit: Unit) -> None:
    usual = next(c for c in hazard_classes() if c.name == unit.arrival.object_class)
    assert set(usual.hazards) <= set(unit.hazards)


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_every_step_with_a_hazard_says_what_to_do_first(unit: Unit) -> None:
    for s in unit.steps:
        assert all(h.what and h.do for h in s.hazards), s.code
        electric = [h for h in s.hazards if "mains" in h.what or "charge" in h.what]
        assert all(h.prove and "Local codes and licensed practice come first" in h.do for h in electric), s.code


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_steps_stand_in_the_order_of_their_times(unit: Unit) -> None:
    times = [s.at for s in unit.steps if s.at is not None]
    assert times == sorted(times)
    assert all((s.at is None) == s.planned for s in unit.steps)
    assert sum(s.minutes or 0 for s in unit.steps) == unit.minutes_worked
    assert all(at("2025-01-01 00:00") < t < at("2026-11-01 00:00") for t in times)


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_names_of_things_exist(unit: Unit) -> None:
    steps, components, parts = set(codes(unit.steps)), set(codes(unit.components)), set(codes(unit.parts))
    operations, pieces = set(codes(unit.operations)), set(codes(SHOP.offcuts))
    shelf = {c.name for c in SHOP.shelf}
    assert {c for s in unit.steps for c in s.components} <= components
    assert {c.from_step for c in unit.components} - {""} <= steps
    assert {s for p in unit.parts for s in p.for_steps} <= steps
    assert {c for p in unit.parts for c in p.for_components} <= components
    assert {o for x in unit.operations for o in x.after} <= operations
    assert {s for x in unit.operations for s in x.for_steps} <= steps
    assert {p for x in unit.operations if x.needs for p in x.needs.parts} <= parts
    assert {o for s in unit.steps if s.one_way for o in s.one_way.rebuilt_by} <= operations
    assert {u.consumable for u in unit.consumables} <= shelf
    if unit.case:
        assert {s.piece for s in unit.case.strips} <= pieces
        priced = {m.name for m in unit.case.materials}
        assert {material for p in unit.case.panels for material, _ in built_up(p)} <= priced
        assert priced <= {o.material for o in SHOP.offcuts}


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_operations_have_no_circle(unit: Unit) -> None:
    graph: nx.DiGraph[str] = nx.DiGraph([(a, x.code) for x in unit.operations for a in x.after])
    assert nx.is_directed_acyclic_graph(graph)


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_every_wire_has_two_ends_and_as_many_lines_as_were_counted(unit: Unit) -> None:
    for s in unit.steps:
        assert len(s.connections) == (s.wires or 0), s.code
        assert all(c.start and c.end and c.labels == 2 for c in s.connections), s.code
    undone = [c.code for s in unit.steps for c in s.connections if not c.stays_on]
    assert len(undone) == len(set(undone)), "undone once"
