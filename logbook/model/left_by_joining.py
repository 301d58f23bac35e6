"""What joining left to a person and is still open, and the one bag that may be two told apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from logbook.errors import InputError
from logbook.model.apart import ToLookAt
from logbook.model.bags import bags_written
from logbook.model.same_words import same_words
from logbook.model.shop import Shop
from logbook.model.step import Fastener, MemberDifference, Step
from logbook.model.unit import Unit

H = TypeVar("H", Step, MemberDifference, Fastener)


def left_open(record: Unit | Shop) -> tuple[ToLookAt, ...]:
    """What joining left to a person, without the bags that were told apart since by hand."""
    return tuple(look for look in record.to_look_at if not look.bag or _is_in_doubt(record, look))


def _is_in_doubt(record: Unit | Shop, look: ToLookAt) -> bool:
    """Whether steps of both sides still lie in the bag that both began."""
    return isinstance(record, Unit) and all(
        any(_lies_in(step, look.bag) for step in _called(record, codes))
        for codes in (look.first_steps, look.second_steps)
    )


def _called(unit: Unit, codes: Sequence[str]) -> list[Step]:
    return [step for step in unit.steps if step.code in codes]


def _lies_in(step: Step, bag: str) -> bool:
    return any(same_words(written) == same_words(bag) for written in bags_written([step]))


def free_bag(unit: Unit) -> str:
    """The next number that stands on no bag of the unit."""
    numbers = [int(bag) for bag in bags_written(unit.steps) if bag.isascii() and bag.isdecimal() and len(bag) < 6]
    return str(max(numbers, default=0) + 1)


def in_another_bag(unit: Unit, look: ToLookAt, *, first: bool, bag: str) -> Unit:
    """The unit in which the pieces of one side lie in a bag of their own, and the doubt about it is settled.

    Args:
        unit: the unit.
        look: what is in doubt.
        first: whether the pieces of the first side are meant; else those of the second.
        bag: what their bag is called from now on.

    Raises:
        InputError: no name for the bag, or one that another bag has already.
    """
    bag = " ".join(bag.split())
    if not bag:
        raise InputError("Type the number that goes on the other bag, or press Esc.")
    if same_words(bag) in {same_words(written) for written in bags_written(unit.steps)}:
        raise InputError(f"Bag {bag} is there already. {free_bag(unit)} is free.")
    codes = look.first_steps if first else look.second_steps
    steps = tuple(_moved(step, look.bag, bag) if step.code in codes else step for step in unit.steps)
    left = tuple(_speaks_of(one, codes, look.bag, bag) for one in unit.to_look_at if one != look)
    return unit.model_copy(update={"steps": steps, "to_look_at": left})


def _speaks_of(look: ToLookAt, codes: Sequence[str], old: str, new: str) -> ToLookAt:
    """What says to write a new number on the bag says so of the bag in which the pieces lie now."""
    if not any(f" is {code} now: write it on " in look.what for code in codes):
        return look
    words, write, where = look.what.rpartition(": write it on ")
    bags = [f"bag {new}" if place == f"bag {old}" else place for place in where.rstrip(".").split(", ")]
    return look.model_copy(update={"what": f"{words}{write}{', '.join(bags)}."})


def _moved(step: Step, old: str, new: str) -> Step:
    """A step whose pieces lie in another bag."""
    differences = tuple(_with_bag(difference, old, new) for difference in step.differences)
    return _with_bag(step, old, new).model_copy(update={"differences": differences})


def _with_bag(holder: H, old: str, new: str) -> H:
    """A step, a member or a fastener, with its own bag and those of its fasteners."""
    changes: dict[str, object] = {}
    if same_words(holder.bag) == same_words(old):
        changes["bag"] = new
    if not isinstance(holder, Fastener) and holder.fasteners is not None:
        changes["fasteners"] = tuple(_with_bag(one, old, new) for one in holder.fasteners)
    return holder.model_copy(update=changes)
