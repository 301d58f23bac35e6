"""What holds for every record, whatever is in it.

networkx (BSD) is the yardstick from outside for orders: the reassembly is the reversed graph of the teardown
(assembly as reverse disassembly: Lambert 2003; Mascle and Balasoiu 2003), and every topological order of it
is the reverse of one of the teardown.
"""

from __future__ import annotations

import gc
import time
from collections import Counter
from functools import partial
from itertools import pairwise, permutations

import networkx as nx
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from logbook.errors import CircleError
from logbook.model.precedence import HARD, precedence
from logbook.model.unit import Unit
from logbook.model.words import Action, RelationKind, Supply, Then
from logbook.reassembly import (
    LineKind,
    Readiness,
    RefitLine,
    RefitList,
    free_of_each_other,
    ledger,
    left_over,
    readiness,
    ready_order,
    refit_list,
    standing,
    tick,
    untick,
)
from logbook.reassembly.before_tick import refused
from logbook.reassembly.preference import preferred_order
from logbook.reassembly.readiness import goes_by_members
from logbook.render.reassembly_line_document import ticked
from tests.builders import at, tick_line
from tests.reassembly.random_records import record

NOW = at("2026-03-12 20:00")
SEEDS = st.integers(0, 2**32)
SIZES = st.integers(1, 24)


def listed(seed: int, n: int) -> tuple[Unit, RefitList]:
    """A random record with its list; records in a circle have none and are passed over."""
    made = record(seed, n)
    try:
        return made, refit_list(made)
    except CircleError:
        assume(False)
        raise


def own_line(line: RefitLine) -> bool:
    return line.key in line.steps


def own_keys(lst: RefitList) -> set[str]:
    return {x.key for x in lst.lines if own_line(x)}


def graph_of(lst: RefitList) -> nx.DiGraph:
    """What must be done before what, as the list says it."""
    g = nx.DiGraph()
    g.add_nodes_from(x.key for x in lst.lines)
    g.add_edges_from((before, x.key) for x in lst.lines for before in x.must_follow)
    return g


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_no_step_is_dropped_or_listed_twice(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    on_lines = [code for x in lst.lines if own_line(x) or x.key == "check" for code in x.steps]
    out = [x.step for x in lst.left_out]
    assert sorted(on_lines + out) == [s.code for s in made.steps]
    assert all(x.why for x in lst.left_out)


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_numbers_run_without_a_gap_from_the_check_to_the_audit(seed: int, n: int) -> None:
    _, lst = listed(seed, n)
    whole = [x for x in lst.lines if x.kind is not LineKind.FIRST]
    assert [x.number for x in whole] == [f"A{i:02d}" for i in range(1, len(whole) + 1)]
    for x, following in pairwise(lst.lines):
        if x.kind is LineKind.FIRST:
            assert x.key == f"{following.key}:first"
            assert int(following.number[1:]) == int(x.number[1:-1]) + 1
    assert len({x.key for x in lst.lines}) == len(lst.lines)
    if lst.lines:
        assert (lst.lines[0].key, lst.lines[-1].key) == ("check", "audit")


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_the_list_is_a_topological_order_of_the_reversed_teardown(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    teardown = nx.DiGraph()
    teardown.add_nodes_from(s.code for s in made.steps)
    teardown.add_edges_from((e.earlier, e.later) for e in precedence(made).edges)
    refit = nx.transitive_closure_dag(teardown.reverse())
    place = {x.key: i for i, x in enumerate(lst.lines)}
    follows = nx.transitive_closure_dag(graph_of(lst))
    own, checked = own_keys(lst), set(lst.by_key["check"].steps) if lst.lines else set()
    for first, then in refit.edges:
        # Through steps that are left out as well, because the closure was taken with them.
        if first in own and then in own:
            assert place[first] < place[then]
            assert follows.has_edge(first, then)
        elif first in checked:
            assert then not in own or follows.has_edge("check", then)
        assert not (then in checked and first in own)
    for r in made.relations:
        if r.kind in HARD and {r.earlier, r.later} <= own:
            assert place[r.later] < place[r.earlier]


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_each_line_names_only_lines_before_it_and_hangs_on_the_check_and_the_audit(seed: int, n: int) -> None:
    _, lst = listed(seed, n)
    place = {x.key: i for i, x in enumerate(lst.lines)}
    assert all(place[before] < place[x.key] for x in lst.lines for before in x.must_follow)
    if lst.lines:
        g = graph_of(lst)
        assert nx.descendants(g, "check") == set(g) - {"check"}
        assert nx.ancestors(g, "audit") == set(g) - {"audit"}
    assert all(x.why_here for x in lst.lines)
    assert all(x.title.strip() for x in lst.lines)


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_what_is_loosened_or_tested_is_finished_before_it_is_covered(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    place, own = {x.key: i for i, x in enumerate(lst.lines)}, own_keys(lst)
    g = nx.DiGraph([(e.later, e.earlier) for e in precedence(made).edges])
    g.add_nodes_from(s.code for s in made.steps)
    loosened = {s.code for s in made.steps if s.action is Action.LOOSENED}
    loosened |= {r.earlier for r in made.relations if r.kind is RelationKind.LOOSEN}
    for code in loosened & own:
        key = f"{code}:tighten"
        after = [e for e in nx.descendants(g, code) if e in own]
        assert place[code] < place[key]
        assert all(place[key] < place[e] for e in after)
        _is_as_late_as_can_be(lst, key, code, after)
    tests = {(r.later, r.earlier) for r in made.relations if r.kind is RelationKind.TEST}
    for tested, cover in tests:
        if {tested, cover} <= own:
            assert place[tested] < place[f"{tested}:test"] < place[cover]
            assert nx.has_path(graph_of(lst), f"{tested}:test", cover)


def _is_as_late_as_can_be(lst: RefitList, key: str, code: str, after: list[str]) -> None:
    """The next line of a step is one that covers it, or goes back together with one, or there is none."""
    rest = lst.lines[[x.key for x in lst.lines].index(key) + 1 :]
    following = next((x for x in rest if own_line(x) or x.key == f"{code}:test"), None)
    if following is not None and following.key != f"{code}:test":
        assert following.key in after or set(following.together) & set(after)


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_what_came_out_together_stays_together(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    together = nx.Graph([(r.earlier, r.later) for r in made.relations if r.kind is RelationKind.TOGETHER])
    place, own = {x.key: i for i, x in enumerate(lst.lines)}, own_keys(lst)
    for lump in nx.connected_components(together):
        keys = sorted(lump & own, key=place.__getitem__)
        if len(keys) > 1:
            between = lst.lines[place[keys[0]] : place[keys[-1]] + 1]
            assert {x.steps[0] for x in between} <= lump
            first = lst.lines[place[keys[0]] - 1]
            between = (first, *between) if first.kind is LineKind.FIRST else between
            assert all(x.together == tuple(y.key for y in between) for x in between)


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_the_inside_list_of_a_sub_assembly_stands_before_it_goes_back(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    place, own = {x.key: i for i, x in enumerate(lst.lines)}, own_keys(lst)
    for inside in lst.inside:
        assert all(lst.by_key[k].inside == inside.code for k in inside.keys)
        if inside.came_out_at in own:
            others = [k for k in inside.keys if k.partition(":")[0] != inside.came_out_at]
            assert all(place[k] < place[inside.came_out_at] for k in others)
        inner = {s.code for s in made.steps if s.inside == inside.code}
        assert {k for k in inside.keys if k in own} == inner & own
    assert sum(len(i.keys) for i in lst.inside) == sum(bool(x.inside) for x in lst.lines)


def expected_counts(made: Unit) -> tuple[Counter[str], Counter[str], Counter[str]]:
    """What goes back, what of it is new and what is loose pieces, by the words of the rule and by no code of ours."""
    back: Counter[str] = Counter()
    pieces: Counter[str] = Counter()
    new: Counter[str] = Counter()
    sets = {s.code: s for s in made.sets}
    for s in made.steps:
        if s.planned:
            continue
        own = {d.member: d for d in s.differences}
        members = [m.code for m in sets[s.each_of].members] if s.each_of in sets else [None]
        for member in members:
            d = own.get(member) if member else None
            if d is not None and not d.done:
                continue
            fasteners = s.fasteners if d is None or d.fasteners is None else d.fasteners
            for f in fasteners:
                absent = 0 if f.stays_empty else f.holes - f.found
                every = f.found + absent
                fresh = {Then.REUSE: absent, Then.RENEW: every, Then.LOST: every, Then.SCRAP: 0}[f.then]
                back[s.code] += fresh + (f.found if f.then is Then.REUSE else 0)
                pieces[s.code] += fresh + (f.found if f.then is Then.REUSE else 0) if f.piece else 0
                new[s.code] += fresh
            for extra in s.refit.new_fasteners:
                back[s.code] += extra.count
                new[s.code] += extra.count
    return +back, +new, +pieces


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_every_fastener_goes_back_at_exactly_one_line(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    back, new, pieces = expected_counts(made)
    account = ledger(made)
    on_lines: Counter[str] = Counter()
    new_on_lines: Counter[str] = Counter()
    for x in lst.lines:
        for f in x.fasteners:
            assert f.count > 0
            on_lines[x.steps[0]] += f.count
            new_on_lines[x.steps[0]] += f.count if f.new else 0
            assert not f.each or f.each * len(x.members) == f.count
    assert on_lines == back
    assert +new_on_lines == new
    t, p = account.total, account.pieces
    assert (t.refit + p.refit, t.new + p.new) == (back.total(), new.total())
    assert p.refit == pieces.total()
    assert {c: t.refit for c, t in account.steps.items() if t.refit} == dict(back - pieces)
    assert all(x.reuse + x.renew + x.scrap + x.lost == x.found for x in (t, p))
    assert sum(b.total for b in account.bags.values()) + account.without_bag == t.reuse + p.reuse


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_every_connection_is_made_at_one_line_or_has_a_reason(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    entries = ledger(made).connections
    assert [(c.step, c.code) for c in entries] == [(s.code, c.code) for s in made.steps for c in s.connections]
    assert all(bool(c.key) != bool(c.why) for c in entries)
    made_at = Counter((x.key, c.code) for x in lst.lines for c in x.connections)
    assert made_at == Counter((c.key, c.code) for c in entries if c.key)


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_nothing_that_goes_on_first_is_lost(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    steps = {s.code: s for s in made.steps}
    out = {x.step for x in lst.left_out}
    for s in made.steps:
        if s.code not in out and s.refit.first:
            assert "upper bushes." in lst.by_key[f"{s.code}:first"].first
    for r in made.relations:
        if r.kind is RelationKind.THREADED and r.later not in out:
            word = f"{r.items or steps[r.earlier].what} (of {r.earlier})"
            assert any(text.startswith(word) for text in lst.by_key[f"{r.later}:first"].first)


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_no_tick_ever_vanishes(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    shown = {k for x in lst.lines for k in (x.key, *x.tick_keys)} | {g.step for g in lst.gone}
    assert {x.line for x in made.refit.lines if x.done} <= shown


@settings(max_examples=80, deadline=None)
@given(SEEDS, SIZES, st.randoms(use_true_random=False))
def test_a_tick_changes_its_own_line_and_nothing_else(seed: int, n: int, chance: object) -> None:
    made, lst = listed(seed, n)
    made = made.model_copy(update={"refit": type(made.refit)()})
    lst = refit_list(made)
    assume(lst.lines)
    line = chance.choice(lst.lines)  # type: ignore[attr-defined]
    before = tick(made, lst.lines[0].key, at=NOW, initials="AB", reading="1", override="test")
    after = tick_line(before, line, NOW, initials="AB", reading="1", override="test")
    assert after.model_copy(update={"refit": made.refit}) == made
    assert [x.key for x in refit_list(after).lines] == [x.key for x in lst.lines]
    kept = {x.line: x for x in after.refit.lines}
    assert set(kept) == {"check", *line.tick_keys}
    assert all(kept[x.line] == x for x in before.refit.lines if line.key != "check")
    back = untick(after, line.key)
    assert {x.line for x in back.refit.lines if x.done} == ({"check"} - set(line.tick_keys))


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_readiness_agrees_with_the_lines_before(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    found = readiness(made, lst, NOW)
    assert list(found) == [x.key for x in lst.lines]
    for line in lst.lines:
        r = found[line.key]
        if r.ready:
            assert not r.done
            assert r.in_reach
            assert all(found[k].done or goes_by_members(lst.by_key[k], line) for k in line.must_follow)
        elif not r.done:
            assert r.reasons
        if r.in_reach and not r.done:
            assert all(found[k].in_reach or goes_by_members(lst.by_key[k], line) for k in line.must_follow)
            assert not [m for m in r.missing if "bag" not in m]


def waits_of(stands: Readiness, member: str) -> list[str]:
    """What is said of one member of a line; what is said of none of them is said of all that are open."""
    return [said for said in stands.waits if said.startswith(f"{member}: ")]


@settings(max_examples=300, deadline=None)
@given(SEEDS, SIZES)
def test_a_line_is_ready_exactly_when_it_can_be_ticked_at_one_of_its_members(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    found = readiness(made, lst, NOW)
    for line in lst.lines:
        stands = found[line.key]
        waiting = {member for member, key in line.ticks if waits_of(stands, member)}
        for member, key in line.ticks:
            if ticked(line, key, {state.line: state for state in made.refit.lines}):
                continue
            why = refused(made, partial(tick, key=key, at=NOW, initials="AB", reading="1"))
            can_be = stands.ready and member not in waiting
            assert ("is not ready" not in why) is can_be, why


@settings(max_examples=120, deadline=None)
@given(SEEDS, SIZES)
def test_the_ready_order_takes_every_line_in_reach_once_and_in_turn(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    found = readiness(made, lst, NOW)
    order = [x.key for x in ready_order(made, lst, NOW)]
    reach = {k for k, r in found.items() if r.in_reach and not r.done}
    assert sorted(order) == sorted(reach)
    place = {k: i for i, k in enumerate(order)}
    for key in order:
        line = lst.by_key[key]
        before = [k for k in line.must_follow if k in place or not goes_by_members(lst.by_key[k], line)]
        assert all(found[k].done or place[k] < place[key] for k in before)
        lump = [k for k in order if k in line.together]
        assert not lump or max(place[k] for k in lump) - min(place[k] for k in lump) == len(lump) - 1
    now = standing(made, lst, NOW)
    assert (now.in_reach, now.total) == (len(reach), len(lst.lines))
    assert now.done == sum(r.done for r in found.values())


@settings(max_examples=60, deadline=None)
@given(SEEDS, SIZES)
def test_what_would_be_freed_is_freed(seed: int, n: int) -> None:
    """Everything that may be missing is brought, thing by thing, in a record where only parts are missing."""
    made = record(seed, n)
    bare = made.model_copy(
        update={
            "refit": type(made.refit)(),
            "steps": tuple(
                s.model_copy(update={"fasteners": (), "differences": (), "refit": type(s.refit)(), "one_way": None,
                                     "certainty": type(s.certainty)("sure")})
                for s in made.steps
            ),
            "parts": tuple(p.model_copy(update={"name": p.code}) for p in made.parts),
        }
    )  # fmt: skip
    try:
        lst = refit_list(bare)
    except CircleError:
        assume(False)
    now = standing(bare, lst, NOW)
    gains = {}
    for p in bare.parts:
        here = tuple(q.model_copy(update={"supply": Supply.HERE}) if q is p else q for q in bare.parts)
        with_it = bare.model_copy(update={"parts": here})
        gains[p.code] = standing(with_it, refit_list(with_it), NOW).in_reach - now.in_reach
    best = max(gains.values(), default=0)
    assert (now.frees[1] if now.frees else 0) == best
    if now.frees is not None:
        assert gains[now.frees[0].removeprefix("the new ")] == best


@settings(max_examples=100, deadline=None)
@given(SEEDS, SIZES)
def test_lines_said_to_be_free_of_each_other_are(seed: int, n: int) -> None:
    made, lst = listed(seed, n)
    g = graph_of(lst)
    groups = free_of_each_other(made)
    ranks = [sorted(rank) for rank in nx.topological_generations(g) if len(rank) > 1]
    assert sorted(sorted(group) for group in groups) == sorted(ranks)
    for group in groups:
        assert not any(set(group) & nx.ancestors(g, key) for key in group)


@settings(max_examples=100, deadline=None)
@given(SEEDS, st.integers(1, 10))
def test_a_list_exists_exactly_when_there_is_no_circle(seed: int, n: int) -> None:
    made = record(seed, n, circles=True)
    try:
        precedence(made)
    except CircleError:
        with pytest.raises(CircleError, match="circle"):
            refit_list(made)
        return
    assert refit_list(made).lines or all(s.planned or s.each_of for s in made.steps)


@settings(max_examples=100, deadline=None)
@given(st.integers(2, 6), st.data())
def test_one_preference_is_kept_exactly_when_nothing_binding_forbids_it(n: int, data: st.DataObject) -> None:
    nodes = [f"N{i}" for i in range(n)]
    pairs = st.sampled_from([(a, b) for i, a in enumerate(nodes) for b in nodes[i + 1 :]])
    hard = data.draw(st.sets(pairs, max_size=2 * n))
    a, b = data.draw(st.sampled_from([(x, y) for x in nodes for y in nodes if x != y]))
    order = preferred_order(nodes, hard, [(a, b)])
    place = {node: i for i, node in enumerate(order)}
    assert sorted(order) == nodes
    assert all(place[x] < place[y] for x, y in hard)
    possible = any(
        all(p.index(x) < p.index(y) for x, y in hard) and p.index(a) < p.index(b) for p in permutations(nodes)
    )
    assert (place[a] < place[b]) is possible


@settings(max_examples=6, deadline=None)
@given(SEEDS)
def test_three_hundred_steps_keep_every_law(seed: int) -> None:
    for law in (
        test_no_step_is_dropped_or_listed_twice,
        test_the_list_is_a_topological_order_of_the_reversed_teardown,
        test_what_is_loosened_or_tested_is_finished_before_it_is_covered,
        test_what_came_out_together_stays_together,
        test_every_fastener_goes_back_at_exactly_one_line,
        test_every_connection_is_made_at_one_line_or_has_a_reason,
        test_readiness_agrees_with_the_lines_before,
        test_the_ready_order_takes_every_line_in_reach_once_and_in_turn,
    ):
        law.hypothesis.inner_test(seed, 300)  # type: ignore[attr-defined]


def test_the_list_grows_with_the_record_and_not_with_its_square() -> None:
    """Eight times the steps may take 32 times the processor's time, not 64: a ratio, no wall clock."""

    def seconds(n: int) -> float:
        made = next(m for s in range(1000) if _sound(m := record(s, n)))
        return min(_processor_time(made) for _ in range(3))

    def _processor_time(made: Unit) -> float:
        gc.collect()
        start = time.process_time()
        lst = refit_list(made)
        readiness(made, lst, NOW)
        standing(made, lst, NOW)
        ready_order(made, lst, NOW)
        ledger(made)
        left_over(made, lst)
        return time.process_time() - start

    def _sound(made: Unit) -> bool:
        try:
            precedence(made)
        except CircleError:
            return False
        return True

    assert seconds(2000) < 32 * seconds(250) + 0.2


def test_kinds_of_lines_are_told_by_their_key() -> None:
    for x in refit_list(record(7, 40)).lines:
        if x.key.endswith(":tighten"):
            assert x.kind is LineKind.TIGHTEN
        elif x.key.endswith(":test"):
            assert x.kind is LineKind.TEST
