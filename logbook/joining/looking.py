"""What is joined and must be looked at all the same: labels, ticks, checks, bags, orders that exclude each other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from logbook.errors import CircleError
from logbook.joining.in_words import Says, Three, as_json, called, place_words
from logbook.joining.naming import step_of_line, within
from logbook.joining.numbers import NewNumber, Renumbered, speaking_of
from logbook.model.apart import ToLookAt
from logbook.model.bags import bags_written
from logbook.model.base import Frozen
from logbook.model.precedence import circle_closed_by, precedence
from logbook.model.same_words import same_words
from logbook.model.step import HoldPoint, Relation, Step
from logbook.model.unit import Unit

_SAYS_NOTHING_OF_THE_WAY_BACK = frozenset({"photos", "photo_taken", "proofs", "at", "by", "minutes"})
LONGEST = 80
Way = tuple[str, ...]


def left_to_a_person(
    record: Any, three: Three, says: Says, numbered: Renumbered[Any]
) -> tuple[Any, tuple[ToLookAt, ...]]:
    """The joined record, without the orders that no record can hold together, and what is to be looked at.

    Args:
        record: as it was joined.
        three: what both said in common, and what each says, with the new numbers.
        says: how the sides are called.
        numbered: what got a new number.
    """
    before, first, second = three
    looks: list[ToLookAt] = []
    for side, numbers in ((first, numbered.of_first), (second, numbered.of_second)):
        looks += [*_labels(numbers), *_spoken_of(before, side, numbers)]
    if isinstance(record, Unit):
        record, left_out = _without_circles(record, before, says)
        looks += left_out
        for one, other, by, by_other in ((first, second, *says), (second, first, *reversed(says))):
            looks += _ticked_and_changed(before, one, other, by, by_other)
            looks += _read_and_changed(before, one, other, by, by_other)
        looks += _bags_begun_twice(before, (first, second), says)
    return record, tuple(looks)


def _labels(numbers: Sequence[NewNumber]) -> Iterator[ToLookAt]:
    for number in numbers:
        yield ToLookAt(what=f"The number {number.old} was given twice. {number.sentence}")


def _spoken_of(before: Frozen, side: Frozen, numbers: Sequence[NewNumber]) -> Iterator[ToLookAt]:
    codes = {number.old: number.new for number in numbers}
    for text in speaking_of(side, before, codes):
        said = text if len(text) <= LONGEST else f"{text[:LONGEST]} …"
        are = ", ".join(f"{old} is {new} now" for old, new in codes.items() if old in text)
        yield ToLookAt(what=f"“{said}” speaks of an old number ({are}). Correct it if it means the new one.")


def _without_circles(record: Unit, before: Unit, says: Says) -> tuple[Unit, list[ToLookAt]]:
    """The record without those new relations that close a circle with what the other side stated."""
    if not _is_circle(record):
        return record, []
    new = [relation for relation in record.relations if relation not in before.relations]
    kept = record.model_copy(update={"relations": tuple(r for r in record.relations if r not in new)})
    looks = []
    for relation in new:
        if circle_closed_by(kept, relation) is None:
            kept = kept.model_copy(update={"relations": (*kept.relations, relation)})
        else:
            looks.append(_left_out(relation, says))
    return kept, looks


def _is_circle(unit: Unit) -> bool:
    try:
        precedence(unit)
    except CircleError:
        return True
    return False


def _left_out(relation: Relation, says: Says) -> ToLookAt:
    order = f"{relation.earlier} {relation.kind} {relation.later}"
    return ToLookAt(
        what=f"The two sides exclude each other: “{order}” would close a circle and is left out. Settle the order.",
        at=("relations", called(relation)),
        first=as_json(relation),
        first_by=says.first,
        second="null",
        second_by=says.second,
    )


def _ticked_and_changed(before: Unit, one: Unit, other: Unit, by: str, by_other: str) -> Iterator[ToLookAt]:
    """Lines that one side ticked while the other changed what stands in them."""
    known = {state.line for side in (before, other) for state in side.refit.lines if state.done}
    for state in one.refit.lines:
        code = step_of_line(state.line)
        was, now = before.step(code), other.step(code)
        if state.done and state.line not in known and was is not None and now is not None and _differ(was, now):
            yield ToLookAt(what=f"{state.line} was ticked ({by}) while its step was changed ({by_other}). Look again.")


def _differ(was: Step, now: Step) -> bool:
    if was is now:
        return False
    fields = set(Step.model_fields) - _SAYS_NOTHING_OF_THE_WAY_BACK
    return any(getattr(was, name) != getattr(now, name) for name in fields)


def _read_and_changed(before: Unit, one: Unit, other: Unit, by: str, by_other: str) -> Iterator[ToLookAt]:
    """Hold points that one side read while the other changed what is to be checked."""
    for name in ("steps", "operations"):
        old, there = ({thing.code: thing for thing in getattr(unit, name)} for unit in (before, other))
        for here in getattr(one, name):
            was, changed = old.get(here.code), there.get(here.code)
            if was is None or changed is None or was in (here, changed):
                continue
            for way in _checks_to_repeat(*(dict(_holds(thing, (name, here.code))) for thing in (was, here, changed))):
                place = place_words(Unit, way)
                said = f"{place}: the check was done ({by}) while it was changed ({by_other}). Do it again."
                yield ToLookAt(what=said)


def _checks_to_repeat(
    old: Mapping[Way, HoldPoint], read: Mapping[Way, HoldPoint], changed: Mapping[Way, HoldPoint]
) -> Iterator[Way]:
    """The ways to the hold points that were read as they were before they were changed."""
    for way, was in old.items():
        here, there = read.get(way), changed.get(way)
        if here is None or there is None:
            continue
        is_read = (here.reading, here.initials) not in {(x.reading, x.initials) for x in (was, there)}
        if is_read and (was.what, was.reading_of, was.limit) != (there.what, there.reading_of, there.limit):
            yield way


def _holds(record: Frozen, way: Way) -> Iterator[tuple[Way, HoldPoint]]:
    """Every hold point of a record with the way to it."""
    for name, one in within(record):
        if isinstance(one, HoldPoint):
            yield (*way, name), one
        else:
            is_listed = isinstance(getattr(record, name), tuple)
            yield from _holds(one, (*way, name, *((called(one),) if is_listed else ())))


def _bags_begun_twice(before: Unit, sides: tuple[Unit, Unit], says: Says) -> Iterator[ToLookAt]:
    """Bags of one number that both sides began: one bag, or two."""
    known = {same_words(bag) for bag in bags_written(before.steps)}
    first, second = (_filled_since(before, side) for side in sides)
    for bag, begun in first.items():
        others = [step for step in second.get(bag, ()) if step not in begun]
        ones = [step for step in begun if step.code not in {other.code for other in others}]
        if not others or not ones or bag in known:
            continue
        written = next(name for name in bags_written(ones) if same_words(name) == bag)
        here, there = f"{_named(ones)} ({says.first})", f"{_named(others)} ({says.second})"
        yield ToLookAt(
            what=f"Bag {written} was begun on both sides: for {here} and for {there}. One bag, or two?",
            bag=written,
            first_by=says.first,
            first_steps=tuple(step.code for step in ones),
            second_by=says.second,
            second_steps=tuple(step.code for step in others),
        )


def _filled_since(before: Unit, side: Unit) -> dict[str, list[Step]]:
    """Each bag with the new steps of a side whose pieces lie in it."""
    old = {step.code for step in before.steps}
    filled: dict[str, list[Step]] = {}
    for step in side.steps:
        for bag in dict.fromkeys(map(same_words, bags_written([step]))):
            if step.code not in old:
                filled.setdefault(bag, []).append(step)
    return filled


def _named(steps: Sequence[Step]) -> str:
    """`T05 knob`, `T05 knob and 2 more`."""
    more = f" and {len(steps) - 1} more" if len(steps) > 1 else ""
    return f"{steps[0].code} {steps[0].what}{more}"
