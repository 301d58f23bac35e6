"""Results of pure functions of records, kept as long as the same records are asked about again."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import ParamSpec, TypeVar

from pydantic import BaseModel

from logbook.model.amount_words import money_custom

P = ParamSpec("P")
R = TypeVar("R")

MOST = 24
"""So many results of a function are kept, the last ones asked for: those of a bench full of units."""


def remembered(function: Callable[P, R]) -> Callable[P, R]:
    """Keep the last results of a function whose arguments never change and whose result nobody changes.

    Records are told apart by being the same object, because a change always makes a new one and comparing them all
    the way down would take as long as the work; everything else is told apart by its value. What is kept holds its
    arguments, so that no other record can come to lie in their place. Sentences in a result hold amounts, which are
    written by the person's custom: another custom is another result.
    """
    kept: OrderedDict[tuple[object, ...], tuple[object, R]] = OrderedDict()
    lock = Lock()

    @wraps(function)
    def asked(*args: P.args, **named: P.kwargs) -> R:
        key = (money_custom(), *map(_key, args), *((name, _key(value)) for name, value in named.items()))
        with lock:
            found = kept.get(key)
            if found is not None:
                kept.move_to_end(key)
                return found[1]
        result = function(*args, **named)
        with lock:
            kept[key] = ((args, named), result)
            while len(kept) > MOST:
                kept.popitem(last=False)
        return result

    return asked


def _key(value: object) -> object:
    return (type(value), id(value)) if isinstance(value, BaseModel) else value
