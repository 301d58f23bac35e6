"""What usual work takes and what it is, read from data: the program's own list and the shop's."""

from __future__ import annotations

import re
from functools import cache

from pydantic import ValidationError

from logbook.errors import InputError
from logbook.model.document import sentences
from logbook.model.shop import Shop
from logbook.model.templates import template_bytes
from logbook.model.usual_work import OrderRule, RuleList, UsualWork, UsualWorkFile
from logbook.model.work import Operation

REMEMBERED = 5_000
"""Names remembered at most."""


@cache
def trade_work() -> tuple[UsualWork, ...]:
    """The usual pieces of work that come with the program. Raises InputError when the file cannot be used."""
    return read_usual(template_bytes("operations.json")).work


@cache
def trade_rules() -> tuple[OrderRule, ...]:
    """The rules of order that come with the program. Raises InputError when the file cannot be used."""
    return read_rules(template_bytes("order_rules.json")).rules


def read_usual(raw: bytes, name: str = "operations.json") -> UsualWorkFile:
    """A list of usual work as edited by a person. Raises InputError with a sentence for each place that is wrong."""
    try:
        return UsualWorkFile.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error


def read_rules(raw: bytes, name: str = "order_rules.json") -> RuleList:
    """Rules of order as edited by a person. Raises InputError with a sentence for each place that is wrong."""
    try:
        return RuleList.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error


class KnownUsualWork:
    """A list of usual work that remembers what each name spoke of, because the same names are asked for often."""

    def __init__(self, work: tuple[UsualWork, ...]) -> None:
        self.work = work
        self._kinds: dict[str, tuple[UsualWork, ...]] = {}
        self._patterns = [[(len(w), _pattern(w.casefold())) for w in kind.words if w.strip()] for kind in work]

    def named(self, name: str) -> UsualWork:
        """The usual work of that name. Raises InputError when the list no longer has it."""
        for work in self.work:
            if work.name == name:
                return work
        raise InputError(f"The list of usual work has no “{name}” any more; put it back under that name.")

    def kinds(self, name: str) -> tuple[UsualWork, ...]:
        """The usual work that a name speaks of, the one with the longest word first."""
        if name not in self._kinds:
            if len(self._kinds) > REMEMBERED:
                self._kinds.clear()
            self._kinds[name] = self._look(name.casefold())
        return self._kinds[name]

    def _look(self, name: str) -> tuple[UsualWork, ...]:
        found = []
        for i, patterns in enumerate(self._patterns):
            longest = max((length for length, pattern in patterns if pattern.search(name)), default=0)
            if longest:
                found.append((-longest, i))
        return tuple(self.work[i] for _, i in sorted(found))

    def traits(self, operation: Operation) -> frozenset[str]:
        """What an operation is: the traits that were written down and those its name speaks of."""
        spoken = {t for work in self.kinds(operation.name) for t in work.traits}
        return frozenset(operation.traits) | spoken


def usual_work(shop: Shop) -> KnownUsualWork:
    """The shop's own usual work, then what it does not replace of the trade's. Raises InputError as `trade_work`."""
    if not shop.usual_work:
        return _trade()
    own = {w.name.casefold() for w in shop.usual_work}
    return KnownUsualWork((*shop.usual_work, *(w for w in trade_work() if w.name.casefold() not in own)))


@cache
def _trade() -> KnownUsualWork:
    return KnownUsualWork(trade_work())


def order_rules(shop: Shop) -> tuple[OrderRule, ...]:
    """The shop's own rules, then what they do not replace of the trade's. Raises InputError as `trade_rules`."""
    own = {r.code for r in shop.order_rules}
    return (*shop.order_rules, *(r for r in trade_rules() if r.code not in own))


def _pattern(word: str) -> re.Pattern[str]:
    return re.compile(rf"\b{re.escape(word.strip())}(?:s|es|ed|ing)?\b")
