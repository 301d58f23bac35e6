"""How bags are called: 1a and 1A are one bag, which is called as it was written first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from logbook.model.same_words import same_words
from logbook.model.step import Step


def bags_spelled_again(steps: Iterable[Step]) -> Mapping[str, str]:
    """Bags that are written in another way than at first, each with its first name; mostly there are none."""
    first: dict[str, str] = {}
    again: dict[str, str] = {}
    for bag in bags_written(steps):
        name = first.setdefault(same_words(bag), " ".join(bag.split()))
        if name != bag:
            again[bag] = name
    return again


def bags_written(steps: Iterable[Step]) -> Iterator[str]:
    """Every bag as somebody wrote it, in the order of the record."""
    for step in steps:
        yield from filter(None, (step.bag, *(f.bag for f in step.fasteners)))
        for difference in step.differences:
            yield from filter(None, (difference.bag, *(f.bag for f in difference.fasteners or ())))
