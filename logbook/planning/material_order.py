"""The order that materials force: what is proposed, why, and where the record shows the other one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import NamedTuple

from logbook.model.measures import hours_and_minutes
from logbook.model.unit import Unit
from logbook.model.usual_work import OrderRule, RuleKind, RuleReach
from logbook.model.words import WorkState
from logbook.model.work import Operation
from logbook.planning.usual_work_lists import KnownUsualWork


class Forced(NamedTuple):
    """One operation that has to go before another."""

    earlier: str
    later: str
    minutes: int
    """Least wait between them."""
    rule: OrderRule


class Contrary(NamedTuple):
    """Where the record shows the other order."""

    unit: str
    earlier: str
    """What should have gone first."""
    later: str
    rule: OrderRule
    certain: bool
    """False when it matters only if both are on the same face, and nobody wrote which."""

    @property
    def sentence(self) -> str:
        """What is wrong, why it matters, and what it costs to put right."""
        if_face = "" if self.certain else "if on the same face, "
        right = f" To put it right: {self.rule.put_right}" if self.rule.put_right else ""
        minutes = self.rule.put_right_minutes
        cost = f", about {hours_and_minutes(minutes)}" if right and minutes is not None else ""
        return f"{if_face}{self.earlier} belongs before {self.later}: {self.rule.why}.{right}{cost}"


class Order(NamedTuple):
    """What the rules say of one unit."""

    forced: tuple[Forced, ...]
    contrary: tuple[Contrary, ...]


def forced_order(
    unit: Unit, operations: Sequence[Operation], rules: Sequence[OrderRule], usual: KnownUsualWork
) -> Order:
    """The order that the rules force on the operations of a unit, besides the recorded one.

    The recorded order wins: where it says the opposite, that is reported and nothing is forced. Rules that
    together would make a circle are taken in their order, the later ones reported.

    Args:
        unit: whose operations they are.
        operations: recorded and proposed ones.
        rules: rules of order.
        usual: usual work, to tell what an operation is by its name.
    """
    traits = {o.code: usual.traits(o) for o in operations}
    after = {o.code: set(o.after) for o in operations}
    forced: list[Forced] = []
    contrary: list[Contrary] = []
    for rule in rules:
        if rule.kind is RuleKind.APART or rule.reach is RuleReach.SHOP:
            continue
        for first, second in _pairs(operations, traits, rule):
            face = _share_a_face(first, second) if rule.reach in _OF_FACES else True
            if face is False:
                continue
            holds = face or (rule.reach is RuleReach.FACE_OR_NOT_SAID and not _at_refit(first, second))
            if first.code in _behind(second.code, after):
                forced += [Forced(first.code, second.code, _wait(rule), rule)] if holds and _wait(rule) else []
            elif second.code in _behind(first.code, after) or _done_already(first, second):
                contrary.append(Contrary(unit.code, first.code, second.code, rule, face is True))
            elif holds:
                forced.append(Forced(first.code, second.code, _wait(rule), rule))
                after[second.code].add(first.code)
    return Order(tuple(forced), tuple(contrary))


_OF_FACES = (RuleReach.FACE, RuleReach.FACE_OR_NOT_SAID)


def _at_refit(*operations: Operation) -> bool:
    """Whether one of them is done while the unit goes back together, at a joint inside that no finish reaches."""
    codes = [code for o in operations for code in (o.code, *o.stands_for)]
    return any(code.startswith("J-") for code in codes)


def too_early(unit: Unit, order: Order) -> tuple[str, ...]:
    """What was done before the wait that a rule asks for was over, in sentences."""
    by_code = {o.code: o for o in unit.operations}
    said = []
    for f in order.forced:
        first, second = by_code.get(f.earlier), by_code.get(f.later)
        if first is None or second is None or first.done_at is None or second.done_at is None or not f.minutes:
            continue
        waited = second.done_at - timedelta(minutes=second.spent or 0) - first.done_at
        if waited < timedelta(minutes=f.minutes):
            said.append(f"{f.later} came too soon after {f.earlier}: {f.rule.why}. {f.rule.put_right}".rstrip())
    return tuple(said)


def _pairs(
    operations: Sequence[Operation], traits: Mapping[str, frozenset[str]], rule: OrderRule
) -> list[tuple[Operation, Operation]]:
    firsts = [o for o in operations if traits[o.code] & set(rule.first)]
    seconds = [o for o in operations if traits[o.code] & set(rule.second)]
    return [(a, b) for a in firsts for b in seconds if a.code != b.code and not _both(traits, a, b, rule)]


def _both(traits: Mapping[str, frozenset[str]], a: Operation, b: Operation, rule: OrderRule) -> bool:
    """Whether both operations are on both sides of a rule, so that it says nothing about the two."""
    first, second = set(rule.first), set(rule.second)
    return all(traits[o.code] & first and traits[o.code] & second for o in (a, b))


def _share_a_face(a: Operation, b: Operation) -> bool | None:
    """None while one of the two does not say which faces it touches."""
    if not a.faces or not b.faces:
        return None
    return bool({f.casefold() for f in a.faces} & {f.casefold() for f in b.faces})


def _wait(rule: OrderRule) -> int:
    return rule.minutes if rule.kind is RuleKind.CURE else 0


def _behind(code: str, after: Mapping[str, set[str]]) -> set[str]:
    """Everything that comes before an operation."""
    found: set[str] = set()
    ring = set(after.get(code, ()))
    while ring:
        found |= ring
        ring = {b for c in ring for b in after.get(c, ())} - found
    return found


def _done_already(first: Operation, second: Operation) -> bool:
    return second.state is WorkState.DONE and first.state is WorkState.TO_DO
