"""The order between steps: topological, nearest to the record, lumps whole, and circles drawn as they are.

networkx (BSD) is the yardstick from outside: it decides whether there is a circle and whether an order
respects the edges.
"""

from __future__ import annotations

import random
import time
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import CircleError
from logbook.model.precedence import HARD, circle_closed_by, precedence, stated_edges
from logbook.model.step import Relation
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from tests.builders import chain, lump, relation, step, steps, unit


def free(*codes: str, **more: object) -> list[object]:
    """Steps that only stated relations order."""
    return [step(code, f"part {code}", stated=True, **more) for code in codes]


# --- order ------------------------------------------------------------------------------------------------


def test_without_relations_the_recorded_order_is_the_proven_one() -> None:
    found = precedence(unit(*steps(5)))
    assert found.order == ("T01", "T02", "T03", "T04", "T05")
    assert [(e.earlier, e.later) for e in found.proven] == [
        ("T01", "T02"),
        ("T02", "T03"),
        ("T03", "T04"),
        ("T04", "T05"),
    ]
    assert found.stated == ()
    assert found.lumps == ()


@pytest.mark.parametrize("kind", sorted(HARD))
def test_every_hard_kind_moves_a_step_before_the_one_it_holds_up(kind: RelationKind) -> None:
    found = precedence(unit(*free("T01", "T02", "T03"), relations=[relation("T03", "T01", kind)]))
    assert found.order == ("T02", "T03", "T01")
    assert [(e.earlier, e.later, e.why) for e in found.edges] == [("T03", "T01", kind.value)]


@pytest.mark.parametrize("kind", sorted(set(RelationKind) - HARD - {RelationKind.TOGETHER}))
def test_kinds_that_do_not_bind_leave_the_order_alone(kind: RelationKind) -> None:
    found = precedence(unit(*free("T01", "T02"), relations=[relation("T02", "T01", kind)]))
    assert found.order == ("T01", "T02")
    assert found.edges == ()


def test_better_before_is_told_apart_and_dropped_once_it_protects_nothing() -> None:
    keeps = relation("T01", "T02", "better")
    past = relation("T02", "T03", "better", still_protects=False)
    found = precedence(unit(*free("T01", "T02", "T03"), relations=[keeps, past]))
    assert [(e.earlier, e.later) for e in found.better] == [("T01", "T02")]


def test_a_step_with_nothing_stated_follows_all_that_came_off_before_it() -> None:
    """T03 is proven: it follows the free T01 and T02; T04 is stated after T01 only, so it is free of T03."""
    record = unit(*free("T01", "T02"), step("T03"), step("T04", stated=True), relations=[relation("T01", "T04")])
    edges = {(e.earlier, e.later) for e in precedence(record).edges}
    assert edges == {("T01", "T03"), ("T02", "T03"), ("T01", "T04")}


def test_relations_that_name_no_step_of_the_unit_are_passed_over() -> None:
    assert precedence(unit(*free("T01"), relations=[relation("T09", "T01")])).edges == ()


def test_no_steps_no_order() -> None:
    assert precedence(unit()).order == ()


# --- sub-assemblies ---------------------------------------------------------------------------------------


def test_steps_inside_a_sub_assembly_follow_the_step_at_which_it_came_out() -> None:
    record = unit(step("T01"), step("T02"), step("T03"), step("T04", inside="CH"), sub_assemblies=[lump("CH", "T02")])
    found = precedence(record)
    assert found.order == ("T01", "T02", "T04", "T03")
    assert ("T02", "T04", "came out with") in found.stated


def test_the_inside_of_a_sub_assembly_is_free_of_what_came_off_the_unit_meanwhile() -> None:
    """T03 goes on with the unit, T04 with the lump; two people could do both."""
    record = unit(step("T01"), step("T02"), step("T03"), step("T04", inside="CH"), sub_assemblies=[lump("CH", "T02")])
    g = nx.DiGraph([(e.earlier, e.later) for e in precedence(record).edges])
    assert not nx.has_path(g, "T03", "T04")
    assert not nx.has_path(g, "T04", "T03")


def test_a_sub_assembly_inside_another_stands_inside_it() -> None:
    record = unit(
        step("T01"),
        step("T02", inside="A"),
        step("T03"),
        step("T04", inside="B"),
        sub_assemblies=[lump("A", "T01"), lump("B", "T02")],
    )
    assert precedence(record).order == ("T01", "T02", "T04", "T03")


def test_a_sub_assembly_named_as_its_own_inside_is_no_circle() -> None:
    record = unit(step("T01", inside="A"), step("T02", inside="A"), sub_assemblies=[lump("A", "T01")])
    found = precedence(record)
    assert found.order == ("T01", "T02")
    assert {(e.earlier, e.later) for e in found.edges} == {("T01", "T02")}


def test_a_sub_assembly_that_came_out_at_no_step_of_the_unit_binds_nothing() -> None:
    record = unit(step("T01", inside="A"), step("T02"), sub_assemblies=[lump("A", "T09")])
    assert {(e.earlier, e.later) for e in precedence(record).edges} == {("T01", "T02")}


# --- together ---------------------------------------------------------------------------------------------


def test_nothing_comes_between_steps_that_came_out_together() -> None:
    record = unit(*free("T01", "T02", "T03", "T04"), relations=[relation("T01", "T04", "together")])
    found = precedence(record)
    assert found.order == ("T01", "T04", "T02", "T03")
    assert found.lumps == (("T01", "T04"),)


def test_a_lump_waits_for_what_any_of_it_waits_for() -> None:
    record = unit(*free("T01", "T02", "T03"), relations=[relation("T01", "T03", "together"), relation("T02", "T03")])
    assert precedence(record).order == ("T02", "T01", "T03")


def test_together_is_passed_on() -> None:
    record = unit(
        *free("T01", "T02", "T03", "T04"),
        relations=[relation("T01", "T03", "together"), relation("T04", "T03", "together")],
    )
    assert precedence(record).lumps == (("T01", "T03", "T04"),)


# --- circles ----------------------------------------------------------------------------------------------


def test_a_circle_is_drawn_in_words_and_named() -> None:
    record = unit(*free("T01", "T02", "T03"), relations=chain("T01", "T02", "T03", "T01"))
    with pytest.raises(CircleError) as caught:
        precedence(record)
    assert set(caught.value.steps) == {"T01", "T02", "T03"}
    assert str(caught.value).count("must come off before") == 3


def test_the_circle_said_is_the_shortest() -> None:
    record = unit(
        *free(*[f"T{i:02d}" for i in range(1, 9)]),
        relations=[*chain(*[f"T{i:02d}" for i in range(1, 8)], "T01"), relation("T08", "T03"), relation("T03", "T08")],
    )
    with pytest.raises(CircleError) as caught:
        precedence(record)
    assert set(caught.value.steps) == {"T03", "T08"}


def test_a_circle_through_a_lump_says_what_came_out_together() -> None:
    record = unit(
        *free("T01", "T02", "T03"),
        relations=[relation("T01", "T02"), relation("T02", "T03"), relation("T01", "T03", "together")],
    )
    with pytest.raises(CircleError, match="T03 came out together with T01"):
        precedence(record)


def test_an_order_inside_a_lump_is_not_taken_for_the_circle() -> None:
    """T01 and T02 came out together, T01 before T02: that is sound. The circle is T03 and T04."""
    record = unit(
        *free("T01", "T02", "T03", "T04"),
        relations=[
            relation("T01", "T02", "together"),
            relation("T01", "T02"),
            relation("T03", "T04"),
            relation("T04", "T03"),
        ],
    )
    with pytest.raises(CircleError) as caught:
        precedence(record)
    assert set(caught.value.steps) == {"T03", "T04"}


def test_a_circle_inside_a_lump_is_found() -> None:
    record = unit(
        *free("T01", "T02"),
        relations=[relation("T01", "T02", "together"), relation("T01", "T02"), relation("T02", "T01")],
    )
    with pytest.raises(CircleError) as caught:
        precedence(record)
    assert set(caught.value.steps) == {"T01", "T02"}


def test_a_step_before_itself_is_a_circle_of_one() -> None:
    broken = unit(*free("T01", "T02")).model_copy(update={"relations": (relation("T01", "T01"),)})
    with pytest.raises(CircleError) as caught:
        precedence(broken)
    assert caught.value.steps == ("T01",)


def test_a_circle_through_a_sub_assembly_is_found() -> None:
    """What is inside the chassis cannot come off before the chassis came out."""
    record = unit(
        *free("T01"), step("T02", inside="CH", stated=True), sub_assemblies=[lump("CH", "T01")],
        relations=[relation("T02", "T01")],
    )  # fmt: skip
    with pytest.raises(CircleError, match="brought out"):
        precedence(record)


def test_a_relation_is_tried_before_it_is_kept() -> None:
    record = unit(*free("T01", "T02", "T03"), relations=chain("T01", "T02", "T03"))
    assert circle_closed_by(record, relation("T01", "T03")) is None
    assert circle_closed_by(record, relation("T03", "T01", "better")) is None
    closed = circle_closed_by(record, relation("T03", "T01"))
    assert closed is not None
    assert set(closed.steps) == {"T01", "T02", "T03"}
    own = circle_closed_by(record, relation("T01", "T01"))
    assert own is not None
    assert own.steps == ("T01",)


def test_a_mistake_in_a_huge_record_is_said_without_trying_everything() -> None:
    """Twice the steps may take somewhat more than twice as long, not the square: a ratio of processor times."""

    def seconds(n: int) -> float:
        codes = [f"T{i:04d}" for i in range(1, n + 1)]
        record = unit(*free(*codes), relations=chain(*codes, codes[0]))
        start = time.process_time()
        with pytest.raises(CircleError) as caught:
            precedence(record)
        assert len(caught.value.steps) == n
        return time.process_time() - start

    seconds(500)
    assert seconds(4000) < 40 * seconds(1000) + 0.2


# --- against networkx -------------------------------------------------------------------------------------


@st.composite
def records(draw: st.DrawFn, most: int = 14) -> Unit:
    """Steps with relations of every kind in any direction, sub-assemblies, proven and stated places."""
    n = draw(st.integers(1, most))
    codes = [f"T{i:02d}" for i in range(1, n + 1)]
    code = st.sampled_from(codes)
    lumps = draw(st.lists(code, max_size=2, unique=True))
    subs = [lump(f"S{i}", c) for i, c in enumerate(lumps)]
    names = st.sampled_from(["", *(s.code for s in subs)])
    basis = st.sampled_from(OrderBasis)
    made = [step(c, order=draw(basis), inside=draw(names)) for c in codes]
    pairs = draw(st.lists(st.tuples(code, code, st.sampled_from(RelationKind)), max_size=2 * n))
    relations = [Relation(kind=k, earlier=a, later=b) for a, b, k in pairs if a != b]
    return unit(*made, relations=relations, sub_assemblies=subs)


def condensed(record: Unit) -> tuple[nx.DiGraph, dict[str, int]]:
    """The stated edges between lumps, built by networkx alone."""
    together = nx.Graph()
    together.add_nodes_from(s.code for s in record.steps)
    together.add_edges_from((r.earlier, r.later) for r in record.relations if r.kind is RelationKind.TOGETHER)
    name = {code: i for i, part in enumerate(nx.connected_components(together)) for code in part}
    g = nx.DiGraph()
    g.add_nodes_from(name.values())
    g.add_edges_from((name[e.earlier], name[e.later]) for e in stated_edges(record) if name[e.earlier] != name[e.later])
    return g, name


@settings(max_examples=200, deadline=None)
@given(records())
def test_an_order_exists_exactly_when_networkx_finds_no_circle(record: Unit) -> None:
    between, name = condensed(record)
    single = nx.DiGraph([(e.earlier, e.later) for e in stated_edges(record)])
    inside = any(
        not nx.is_directed_acyclic_graph(single.subgraph([c for c in single if name[c] == part]))
        for part in set(name.values())
    )
    sound = nx.is_directed_acyclic_graph(between) and not inside
    try:
        found = precedence(record)
    except CircleError as error:
        assert not sound
        _is_a_circle(error, record, name)
        return
    assert sound
    whole = nx.DiGraph([(e.earlier, e.later) for e in found.edges])
    assert nx.is_directed_acyclic_graph(whole)
    place = {code: i for i, code in enumerate(found.order)}
    assert sorted(found.order) == sorted(s.code for s in record.steps)
    assert all(place[e.earlier] < place[e.later] for e in found.edges)
    for part in found.lumps:
        places = sorted(place[c] for c in part)
        assert places == list(range(places[0], places[0] + len(part)))
    _proven_steps_follow_all_before_them(record, found.order, whole)


def _is_a_circle(error: CircleError, record: Unit, name: dict[str, int]) -> None:
    """The steps named lie, lump by lump, on one strongly connected part."""
    g = nx.DiGraph([(e.earlier, e.later) for e in stated_edges(record)])
    for r in record.relations:
        if r.kind is RelationKind.TOGETHER:
            g.add_edge(r.earlier, r.later)
            g.add_edge(r.later, r.earlier)
    part = next(p for p in nx.strongly_connected_components(g) if error.steps[0] in p)
    assert set(error.steps) <= part
    assert str(error).endswith(".")


def _proven_steps_follow_all_before_them(record: Unit, order: tuple[str, ...], g: nx.DiGraph) -> None:
    g.add_nodes_from(order)
    at = {s.code: s for s in record.steps}
    for i, code in enumerate(order):
        if at[code].order is OrderBasis.PROVEN:
            scope = [c for c in order[:i] if at[c].inside == at[code].inside]
            assert set(scope) <= nx.ancestors(g, code)


@settings(max_examples=60, deadline=None)
@given(records())
def test_the_order_does_not_depend_on_the_order_in_which_relations_were_stated(record: Unit) -> None:
    turned = record.model_copy(update={"relations": record.relations[::-1]})
    try:
        assert precedence(record).order == precedence(turned).order
    except CircleError:
        with pytest.raises(CircleError):
            precedence(turned)


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 12), st.data())
def test_the_order_stays_as_near_to_the_record_as_the_relations_allow(n: int, data: st.DataObject) -> None:
    """Against networkx: of all topological orders the one that is smallest by recorded place, read from the front."""
    codes = [f"T{i:02d}" for i in range(1, n + 1)]
    pairs = data.draw(st.lists(st.tuples(st.sampled_from(codes), st.sampled_from(codes)), max_size=n))
    shuffled = data.draw(st.permutations(codes))
    place = {code: i for i, code in enumerate(shuffled)}
    relations = [relation(a, b) for a, b in pairs if place[a] < place[b]]
    g = nx.DiGraph()
    g.add_nodes_from(codes)
    g.add_edges_from((r.earlier, r.later) for r in relations)
    assert precedence(unit(*free(*codes), relations=relations)).order == tuple(nx.lexicographical_topological_sort(g))


def test_the_time_grows_with_the_record_and_not_with_its_square() -> None:
    def seconds(n: int) -> float:
        chance = random.Random(n)
        codes = [f"T{i:04d}" for i in range(n)]
        pairs = {(a, min(n - 1, a + 1 + chance.randrange(50))) for a in range(n - 1) for _ in range(3)}
        record = unit(*free(*codes), relations=[relation(codes[a], codes[b]) for a, b in pairs if a != b])
        return min(_timed(record) for _ in range(3))

    def _timed(record: Unit) -> float:
        start = time.process_time()
        precedence(record)
        return time.process_time() - start

    seconds(500)
    assert seconds(8000) < 32 * seconds(1000) + 0.2


def test_neighbours_in_a_long_proven_record_need_one_edge_each() -> None:
    """The proven edges stay as few as the steps, however long the record is."""
    record = unit(*(step(f"T{i:04d}") for i in range(2000)))
    found = precedence(record)
    assert [(e.earlier, e.later) for e in found.proven] == list(pairwise(found.order))
