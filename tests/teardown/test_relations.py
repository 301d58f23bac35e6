"""The order of one step and of the whole, against networkx and the example worked by hand."""

from __future__ import annotations

import json
from itertools import combinations
from pathlib import Path

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import CircleError, InputError
from logbook.model.precedence import HARD, precedence
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.teardown.relations import (
    around,
    freed_together,
    implied_relations,
    order_words,
    relations_typed,
    said_order,
    with_order_from_line,
)
from tests.builders import chain, relation, step, steps, unit


def radio() -> Unit:
    """The order of a table radio: 22 steps, worked by hand."""
    after = {
        2: [1], 3: [2], 4: [3], 5: [1], 6: [3], 7: [3], 8: [3], 9: [8], 10: [3], 11: [5, 6, 7, 9, 10], 12: [11],
        13: [12], 14: [5], 15: [12, 14], 16: [13, 15], 17: [16], 18: [12], 19: [16, 18], 20: [19], 21: [20],
        22: [4, 17, 21],
    }  # fmt: skip
    relations = [relation(f"T{a:02d}", f"T{b:02d}") for b, befores in after.items() for a in befores]
    return unit(*steps(22, stated=True), relations=[*relations, relation("T04", "T11", "better")])


def test_the_groups_of_the_radio_are_those_found_by_hand() -> None:
    groups = {g.after: [c for lump in g.lumps for c in lump] for g in freed_together(radio())}
    assert groups[("T01",)] == ["T02", "T05"]
    assert groups[("T03",)] == ["T04", "T06", "T07", "T08", "T10"]
    assert groups[("T12",)] == ["T13", "T18"]
    assert groups[("T05",)] == ["T14"]
    assert groups[()] == ["T01"]


def test_what_is_around_the_chassis_bolts() -> None:
    seen = around(radio(), "T11")
    assert [(n.code, n.why) for n in seen.before] == [
        ("T04", "better before"),
        *((c, "must come off before") for c in ("T05", "T06", "T07", "T09", "T10")),
    ]
    assert seen.further_before == ("T01", "T02", "T03", "T08")
    assert [n.code for n in seen.waiting] == ["T12"]
    assert seen.further_waiting == tuple(f"T{i}" for i in (13, 15, 16, 17, 18, 19, 20, 21, 22))
    assert seen.free == ("T04", "T14")


@st.composite
def relation_graphs(draw: st.DrawFn) -> Unit:
    """A record of up to nine steps with relations that run forwards, and some lumps of neighbours."""
    count = draw(st.integers(1, 9))
    every = steps(count)
    pairs = list(combinations([s.code for s in every], 2))
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True, max_size=14)) if pairs else []
    kinds = st.sampled_from(["must", "loosen", "test", "better", "threaded"])
    relations = [relation(a, b, draw(kinds)) for a, b in chosen]
    free = draw(st.sets(st.sampled_from([s.code for s in every])))
    basis = {True: OrderBasis.STATED, False: OrderBasis.PROVEN}
    every = tuple(s.model_copy(update={"order": basis[s.code in free]}) for s in every)
    return unit(*every, relations=relations)


@given(relation_graphs())
@settings(max_examples=150, deadline=None)
def test_around_is_what_networkx_finds(of: Unit) -> None:
    graph = nx.DiGraph((e.earlier, e.later) for e in precedence(of).edges)
    graph.add_nodes_from(s.code for s in of.steps)
    for s in of.steps:
        seen = around(of, s.code)
        assert seen.all_before == nx.ancestors(graph, s.code)
        assert seen.all_waiting == nx.descendants(graph, s.code)
        direct = {n.code for n in seen.before if n.relation is None or n.relation.kind in HARD}
        assert set(graph.predecessors(s.code)) <= direct | set(seen.further_before)
        assert not direct & set(seen.further_before)
        assert set(seen.free) == set(graph) - nx.ancestors(graph, s.code) - nx.descendants(graph, s.code) - {s.code}


@given(relation_graphs())
@settings(max_examples=150, deadline=None)
def test_implied_relations_are_what_a_transitive_reduction_leaves_out(of: Unit) -> None:
    graph = nx.DiGraph((r.earlier, r.later) for r in of.relations if r.kind in HARD)
    kept = set(nx.transitive_reduction(graph).edges) if graph else set()
    hard = {r for r in of.relations if r.kind in HARD}
    assert implied_relations(of) == {r for r in hard if (r.earlier, r.later) not in kept}


@given(relation_graphs())
@settings(max_examples=100, deadline=None)
def test_groups_hold_every_step_once_and_nothing_in_one_waits_for_another(of: Unit) -> None:
    graph = nx.DiGraph((e.earlier, e.later) for e in precedence(of).edges)
    graph.add_nodes_from(s.code for s in of.steps)
    groups = [[c for lump in g.lumps for c in lump] for g in freed_together(of)]
    assert sorted(c for g in groups for c in g) == sorted(s.code for s in of.steps)
    reduced = nx.transitive_reduction(graph)
    for group, freed in zip(groups, freed_together(of), strict=True):
        for code in group:
            assert set(freed.after) == set(reduced.predecessors(code))
        assert not any(nx.has_path(graph, a, b) for a in group for b in group if a != b)


def test_a_lump_stands_together_and_is_not_free_of_itself() -> None:
    of = unit(
        *steps(4, stated=True),
        relations=[relation("T01", "T02"), relation("T02", "T03", "together"), relation("T03", "T04")],
    )
    assert [(g.after, g.lumps) for g in freed_together(of)] == [
        ((), (("T01",),)),
        (("T01",), (("T02", "T03"),)),
        (("T02",), (("T04",),)),
    ]
    seen = around(of, "T03")
    assert seen.free == ()
    assert [n.code for n in seen.together] == ["T02"]
    assert seen.further_before == ("T01",)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("must", "after T01"), ("better", "better T01"), ("together", "with T01"), ("loosen", "loosened T01"),
        ("threaded", "threaded T01"), ("test", "under T01"),
    ],
)  # fmt: skip
def test_order_in_a_few_words(kind: str, words: str) -> None:
    assert order_words(unit(*steps(2), relations=[relation("T01", "T02", kind)]), "T02") == words


def test_a_step_with_nothing_stated_is_free_or_says_nothing() -> None:
    of = unit(step("T01"), step("T02", stated=True))
    assert (order_words(of, "T01"), order_words(of, "T02")) == ("", "free")


@pytest.mark.parametrize(
    ("text", "pairs"),
    [
        ("T01", [("T01", "T03")]),
        ("t1, 2", [("T01", "T03"), ("T02", "T03")]),
        ("after T01 ; T02", [("T01", "T03"), ("T02", "T03")]),
        ("before T04", [("T03", "T04")]),
        ("BEFORE 4 T05", [("T03", "T04"), ("T03", "T05")]),
    ],
)
def test_relations_as_typed(text: str, pairs: list[tuple[str, str]]) -> None:
    typed = relations_typed(unit(*steps(5)), "T03", RelationKind.MUST, text)
    assert [(r.earlier, r.later) for r in typed] == pairs


@pytest.mark.parametrize("text", ["", "  ", "before", "after ,", "T09", "screw", "T01 and T02"])
def test_what_is_no_step_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(InputError, match=r"Type the code|no step"):
        relations_typed(unit(*steps(5)), "T03", RelationKind.MUST, text)


def test_the_order_of_a_line_replaces_what_a_line_can_say_and_nothing_else() -> None:
    of = unit(
        *steps(5), relations=[*chain("T01", "T05"), relation("T02", "T05", "better"), relation("T03", "T05", "test")]
    )
    changed = with_order_from_line(of, "T05", ["T04"], ["T02"])
    assert said_order(changed, "T05") == (("T04",), ("T02",))
    assert {(r.earlier, str(r.kind)) for r in changed.relations} == {
        ("T02", "better before"),
        ("T03", "test before covering"),
        ("T04", "must come off before"),
    }
    assert with_order_from_line(changed, "T05", ["T04"], ["T02"]) is changed


def test_a_circle_from_a_line_is_refused() -> None:
    of = unit(*steps(3), relations=chain("T01", "T02", "T03"))
    with pytest.raises(CircleError, match="T03 must come off before T01"):
        with_order_from_line(of, "T01", ["T03"], [])


def test_the_demo_units_have_groups() -> None:
    folder = Path(__file__).parents[2] / "templates" / "demo"
    grinder = Unit.model_validate_json(json.dumps(json.loads((folder / "G1.json").read_text())["unit"]))
    groups = {g.after: g.lumps for g in freed_together(grinder)}
    assert groups[("G12",)] == (("G13",),)
    assert sum(len(lump) for lumps in groups.values() for lump in lumps) == 13
