"""The wait after a finish for which nobody wrote one: that of the usual work, marked with a `~`.

Whoever asks whether something may follow asks with the record that is given here: plan, what now, reassembly list,
costs and reminders.
"""

from __future__ import annotations

import weakref

from logbook.model.shop import Shop
from logbook.model.unit import Book, Unit
from logbook.model.usual_work import UsualWork
from logbook.model.work import Operation, Wait
from logbook.planning.usual_work_lists import KnownUsualWork, usual_work

FINISHES = frozenset({"wet finish", "stain"})
"""Traits of work after which a face is wet, so that it is never dry at once."""
GUESSED = "~ "
"""Stands before what is waited for when the wait is the usual one."""

_known: dict[int, tuple[weakref.ref[Unit], tuple[UsualWork, ...], Unit]] = {}
_REMEMBERED = 500


def with_usual_waits(unit: Unit, shop: Shop) -> Unit:
    """The record in which each finish without a typed wait has that of its usual work; the same one when all have.

    Only how long it takes is lent. A window that closes is not: nobody is warned by a guess.

    Raises:
        InputError: the list of usual work was edited into something that cannot be used.
    """
    known = _known.get(id(unit))
    if known is not None and known[0]() is unit and known[1] is shop.usual_work:
        return known[2]
    usual = usual_work(shop)
    operations = tuple(_with_waits(o, usual) for o in unit.operations)
    changed = any(new is not old for new, old in zip(operations, unit.operations, strict=True))
    filled = unit.model_copy(update={"operations": operations}) if changed else unit
    if len(_known) > _REMEMBERED:
        _known.clear()
    _known[id(unit)] = weakref.ref(unit), shop.usual_work, filled
    return filled


def lent_waits(unit: Unit, shop: Shop) -> dict[str, Wait]:
    """The usual waits that are lent to operations of a unit, by their code. Raises as `with_usual_waits`."""
    filled = with_usual_waits(unit, shop)
    pairs = zip(filled.operations, unit.operations, strict=True)
    return {new.code: new.wait for new, old in pairs if new.wait is not None and old.wait is None}


def book_with_usual_waits(book: Book) -> Book:
    """The book with every unit as `with_usual_waits` gives it."""
    units = {code: with_usual_waits(unit, book.shop) for code, unit in book.units.items()}
    return book.model_copy(update={"units": units})


def _with_waits(operation: Operation, usual: KnownUsualWork) -> Operation:
    lacks_between = operation.times > 1 and operation.between is None
    if operation.wait is not None and not lacks_between:
        return operation
    kind = next((k for k in usual.kinds(operation.name) if FINISHES.intersection(k.traits)), None)
    if kind is None:
        return operation
    changes = {}
    if operation.wait is None and kind.wait is not None:
        changes["wait"] = _lent(kind.wait)
    if lacks_between and kind.between is not None:
        changes["between"] = _lent(kind.between)
    return operation.model_copy(update=changes) if changes else operation


def _lent(wait: Wait) -> Wait:
    return Wait(what=f"{GUESSED}{wait.what}", earliest=wait.earliest, wet=wait.wet)
