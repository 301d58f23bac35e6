"""What usual work takes and what it is, read from data: the program's own list and the shop's."""

from __future__ import annotations

import re
from functools import cache

from pydantic import ValidationError

from logbook.errors import InputError
from logbook.model.document import sentences
from logbook.model.shop import Shop
from logbook.model.templates import template_bytes
from logbook.model.usual import OrderRule, RuleList, UsualList, UsualWork
from logbook.model.work import Operation


@cache
def trade_work() -> tuple[UsualWork, ...]:
    """The usual pieces of work that come with the program. Raises InputError when the file cannot be used."""
    return read_usual(template_bytes("operations.json")).work


@cache
def trade_rules() -> tuple[OrderRule, ...]:
    """The rules of order that come with the program. Raises InputError when the file cannot be used."""
    return read_rules(template_bytes("order_rules.json")).rules


def read_usual(raw: bytes, name: str = "operations.json") -> UsualList:
    """A list of usual work as edited by a person. Raises InputError with a sentence for each place that is wrong."""
    try:
        return UsualList.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error


def read_rules(raw: bytes, name: str = "order_rules.json") -> RuleList:
    """Rules of order as edited by a person. Raises InputError with a sentence for each place that is wrong."""
    try:
        return RuleList.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error


def usual_work(shop: Shop) -> tuple[UsualWork, ...]:
    """The shop's own usual work, then what it does not replace of the trade's."""
    own = {w.name.casefold() for w in shop.usual_work}
    return (*shop.usual_work, *(w for w in trade_work() if w.name.casefold() not in own))


def order_rules(shop: Shop) -> tuple[OrderRule, ...]:
    """The shop's own rules, then what they do not replace of the trade's."""
    own = {r.code for r in shop.order_rules}
    return (*shop.order_rules, *(r for r in trade_rules() if r.code not in own))


def named(usual: tuple[UsualWork, ...], name: str) -> UsualWork:
    """The usual work of that name. Raises InputError when the list no longer has it."""
    for work in usual:
        if work.name == name:
            return work
    raise InputError(f"The list of usual work has no “{name}” any more; put it back under that name.")


def kinds_of(usual: tuple[UsualWork, ...], name: str) -> tuple[UsualWork, ...]:
    """The usual work that a name speaks of, the one with the longest word first."""
    found = [(len(word), -i, work) for i, work in enumerate(usual) if (word := _word_in(work, name.casefold()))]
    return tuple(work for *_, work in sorted(found, key=lambda f: f[:2], reverse=True))


def _word_in(work: UsualWork, name: str) -> str:
    words = [w for w in work.words if _pattern(w.casefold()).search(name)]
    return max(words, key=len, default="")


@cache
def _pattern(word: str) -> re.Pattern[str]:
    return re.compile(rf"\b{re.escape(word.strip())}(?:s|es|ed|ing)?\b")


def traits_of(operation: Operation, usual: tuple[UsualWork, ...]) -> frozenset[str]:
    """What an operation is: the traits that were written down and those its name speaks of."""
    spoken = {t for work in kinds_of(usual, operation.name) for t in work.traits}
    return frozenset(operation.traits) | spoken
