"""Checks 1 and 2: what is named exists, no order goes round in a circle, and the record keeps to its relations."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from logbook.checks.check_problem import CheckProblem, Severity
from logbook.errors import CircleError
from logbook.model.precedence import precedence, stated_edges
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.model.words import RelationKind


def order_of_steps(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 1: the relations between steps form no circle."""
    try:
        precedence(unit)
    except CircleError as error:
        yield CheckProblem(1, "circle", unit.code, " ".join(error.steps), str(error), Severity.WRONG)


def order_of_operations(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 1, for the build work: no operation waits for itself."""
    circle = _circle({o.code: tuple(o.after) for o in unit.operations})
    if circle:
        way = " after ".join((*circle, circle[0]))
        sentence = f"These operations wait for each other in a circle: {way}. Take one of them out of “after”."
        yield CheckProblem(1, "operations-circle", unit.code, " ".join(circle), sentence, Severity.WRONG)


def names_exist(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 1: every step, component, part, operation, set and sub-assembly that is named exists."""
    known = {
        "step": {s.code for s in unit.steps},
        "component": {c.code for c in unit.components},
        "part": {p.code for p in unit.parts},
        "operation": {o.code for o in unit.operations},
        "set": {s.code for s in unit.sets},
        "sub-assembly": {s.code for s in unit.sub_assemblies},
    }
    for place, kind, code in _named(unit):
        if code not in known[kind]:
            said = f"{place[0].upper()}{place[1:]} names the {kind} {code}"
            sentence = f"{said}, which does not exist. Write it down, or take the name out."
            yield CheckProblem(1, f"no-such-{kind}", unit.code, place, sentence, Severity.WRONG)


def record_keeps_order(unit: Unit, _shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 2: the order in which steps were recorded satisfies every hard relation."""
    place = {s.code: i for i, s in enumerate(unit.steps)}
    steps = {s.code: s for s in unit.steps}
    for edge in stated_edges(unit):
        earlier, later = steps.get(edge.earlier), steps.get(edge.later)
        if earlier is None or later is None:
            continue
        if edge.why in _OF_THE_WAY_BACK:
            continue
        where = f"{edge.earlier} {edge.later}"
        if place[edge.earlier] > place[edge.later]:
            sentence = (
                f"{edge.later} is recorded before {edge.earlier}, but it is stated that {edge.earlier} "
                f"{edge.why} {edge.later}. One of the two is wrong: what really happened is the proven order."
            )
            yield CheckProblem(2, "recorded-against-relation", unit.code, where, sentence, Severity.WRONG)
        elif earlier.planned and not later.planned:
            sentence = (
                f"{edge.later} is recorded as done, but {edge.earlier}, which {edge.why} {edge.later}, is still to do. "
                "Keep the step that was done, or take the relation back."
            )
            yield CheckProblem(2, "done-before-planned", unit.code, where, sentence, Severity.WRONG)
        elif earlier.at is not None and later.at is not None and earlier.at > later.at:
            sentence = f"By their times {edge.later} was done before {edge.earlier}, which {edge.why} it."
            yield CheckProblem(2, "times-against-relation", unit.code, where, sentence, Severity.LOOK)


_OF_THE_WAY_BACK = (str(RelationKind.TEST), str(RelationKind.REFIT))
"""Orders that bind the way back: a cover that came off after its test contradicts nothing."""


def _named(unit: Unit) -> Iterator[tuple[str, str, str]]:
    """Every name of another thing in the record: (where, what kind of thing, its code)."""
    for r in unit.relations:
        yield from ((f"relation {r.earlier} {r.later}", "step", code) for code in (r.earlier, r.later))
    for s in unit.steps:
        yield from ((s.code, "component", code) for code in s.components)
        yield from ((s.code, "operation", code) for code in (s.one_way.rebuilt_by if s.one_way else ()))
        if s.each_of:
            yield s.code, "set", s.each_of
        if s.inside:
            yield s.code, "sub-assembly", s.inside
    for lump in unit.sub_assemblies:
        yield lump.code, "step", lump.came_out_at
    for c in unit.components:
        if c.from_step:
            yield c.code, "step", c.from_step
    for p in unit.parts:
        yield from ((p.code, "step", code) for code in p.for_steps)
        yield from ((p.code, "component", code) for code in p.for_components)
    for o in unit.operations:
        yield from ((o.code, "operation", code) for code in o.after)
        yield from ((o.code, "step", code) for code in o.for_steps)
        yield from ((o.code, "part", code) for code in (o.needs.parts if o.needs else ()))


def _circle(after: Mapping[str, tuple[str, ...]]) -> tuple[str, ...]:
    """One circle among things that wait for others, each after the next; empty when there is none."""
    settled: set[str] = set()
    for start in after:
        path: list[str] = []
        place: dict[str, int] = {}
        stack = [(start, iter(after[start]))] if start not in settled else []
        if stack:
            place[start] = 0
            path.append(start)
        while stack:
            node, waits_for = stack[-1]
            following = next((n for n in waits_for if n in after and n not in settled), None)
            if following is None:
                settled.add(node)
                stack.pop()
                path.pop()
                del place[node]
            elif following in place:
                return tuple(path[place[following] :])
            else:
                place[following] = len(path)
                path.append(following)
                stack.append((following, iter(after[following])))
    return ()
