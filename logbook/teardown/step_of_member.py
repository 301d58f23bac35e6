"""One key at a time for one member of a set: what a key does to a step, done to what is true of that member alone."""

from __future__ import annotations

from collections.abc import Callable, Collection

from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.members import difference_of, fasteners_of_member
from logbook.model.step import MemberDifference, Step
from logbook.model.unit import PartSet, Unit
from logbook.model.words import Certainty
from logbook.teardown.kinds import next_bag

_OF_ONE = ("bag", "fasteners", "left_hand", "certainty", "as_found_wrong", "planned", "no_fasteners", "hold")
"""What a key can say of one member."""


def changed_for_member(step: Step, of: PartSet, member: str, change: Callable[[Step], Step]) -> Step:
    """The step with `change` made to one member of its set, as if that were the step.

    A step that was recorded for one thing is recorded for each of the set from then on.

    Raises:
        InputError: the change is of something that cannot be otherwise at one member, such as how it came off.
    """
    own = difference_of(step, member) or MemberDifference(member=member)
    alone = as_a_step(step, member)
    after = change(alone)
    rest = {name: getattr(alone, name) for name in _OF_ONE}
    if with_changes(after, **rest) != alone:
        raise InputError(f"That is the same for all of {of.name}: s and 0 goes back to all of them.")
    made = with_changes(own, **_said(alone, after))
    others = tuple(d for d in step.differences if d.member != member)
    places = {m.code: i for i, m in enumerate(of.members)}
    differences = tuple(sorted((*others, made), key=lambda d: places.get(d.member, len(places))))
    return with_changes(step, each_of=of.code, differences=differences)


def with_own_bag(step: Step, unit: Unit, taken: Collection[str]) -> Step:
    """The member's own bag: the next one that is free and that no other member has, or none when it has one."""
    if step.bag:
        return with_changes(step, bag="")
    bag = next_bag(unit)
    while bag in taken:
        bag = str(int(bag) + 1)
    return with_changes(step, bag=bag)


def as_a_step(step: Step, member: str) -> Step:
    """What is true of one member, as a step of its own."""
    own = difference_of(step, member) or MemberDifference(member=member)
    left_hand = step.left_hand if own.left_hand is None else own.left_hand
    return with_changes(
        step,
        bag=own.bag,
        fasteners=fasteners_of_member(step, own.member),
        left_hand=left_hand,
        certainty=own.certainty,
        as_found_wrong=own.as_found_wrong,
        planned=not own.done,
        no_fasteners=own.fasteners == (),
        hold=own.hold,
    )


def _said(before: Step, after: Step) -> dict[str, object]:
    """The fields of a difference that the change has touched."""
    said: dict[str, object] = {}
    if after.bag != before.bag:
        said["bag"] = after.bag
    if after.fasteners != before.fasteners:
        said["fasteners"] = after.fasteners
    if after.no_fasteners != before.no_fasteners:
        said["fasteners"] = () if after.no_fasteners else None
    if after.left_hand != before.left_hand:
        said["left_hand"] = after.left_hand
    if after.certainty is not before.certainty:
        said["certainty"] = Certainty(after.certainty)
    if after.as_found_wrong != before.as_found_wrong:
        said["as_found_wrong"] = after.as_found_wrong
    if after.hold != before.hold:
        said["hold"] = after.hold
    if after.planned != before.planned:
        said["done"] = not after.planned
    return said
