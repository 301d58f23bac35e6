"""A rule is a small function that says in a sentence what two views have to agree on, and checks it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tests.agreement.met import counted
from tests.agreement.views import BookViews, UnitViews

Checked = Callable[[Any], Iterator[str]]
"""From views to what is wrong, a sentence each."""


@dataclass(frozen=True)
class Rule:
    """One rule."""

    sentence: str
    wrong: Checked
    of_unit: bool
    every: int = 1
    """Only each so-manieth variant is looked at, for what takes long and depends on little."""

    def broken(self, views: BookViews) -> Iterator[str]:
        """What contradicts the rule."""
        if views.number % self.every:
            return
        if self.of_unit:
            for unit in views.units:
                yield from (f"{unit.code}: {said}" for said in self.wrong(unit))
        else:
            yield from self.wrong(views)


RULES: list[Rule] = []


def of_unit(
    sentence: str, every: int = 1
) -> Callable[[Callable[[UnitViews], Iterator[str]]], Callable[[UnitViews], Iterator[str]]]:
    """A rule about each unit."""

    def keep(wrong: Callable[[UnitViews], Iterator[str]]) -> Callable[[UnitViews], Iterator[str]]:
        RULES.append(Rule(sentence, counted(wrong), of_unit=True, every=every))
        return wrong

    return keep


OfBook = Callable[[BookViews], Iterator[str]]


def of_book(sentence: str, every: int = 1) -> Callable[[OfBook], OfBook]:
    """A rule about the whole book."""

    def keep(wrong: OfBook) -> OfBook:
        RULES.append(Rule(sentence, counted(wrong), of_unit=False, every=every))
        return wrong

    return keep
