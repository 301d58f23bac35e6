"""New fasteners out of a jar: they lie ready at every step that takes them, and the jar has as many fewer."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from logbook.costing import bill_of_materials
from logbook.costing.from_the_jar import with_taken_from_the_jar
from logbook.errors import InputError
from logbook.model.replacements import fastener_uses
from logbook.model.step import RefitNotes
from tests.builders import consumable, new_fasteners, renewed, screws, shop, step, unit

DAY = date(2026, 3, 2)
PINS = "escutcheon pin 15"
TRAY = unit(
    step("T01", "handles", fasteners=[screws(4, 2, PINS), renewed("bush", 1)]),
    step("T02", "rim", fasteners=[renewed(PINS, 3)], refit=RefitNotes(new_fasteners=(new_fasteners(PINS, 1),))),
)


def test_all_of_a_kind_lie_ready_and_the_jar_has_as_many_fewer() -> None:
    after, left = with_taken_from_the_jar(TRAY, shop(shelf=[consumable(PINS, 20)]), "Escutcheon  pin 15", DAY)
    assert left.shelf[0].stock == Decimal(20 - 2 - 3 - 1)
    assert all(use.here for use in fastener_uses(after) if use.kind == PINS)
    assert not all(use.here for use in fastener_uses(after)), "the bush is another kind"
    (line,) = (x for x in bill_of_materials(after, left, DAY).lines if x.name == PINS)
    assert (line.here, line.quantity) == (True, 6)


def test_what_lies_ready_is_not_taken_twice_and_an_empty_jar_gives_nothing() -> None:
    full = shop(shelf=[consumable(PINS, 20)])
    after, left = with_taken_from_the_jar(TRAY, full, PINS, DAY)
    with pytest.raises(InputError, match="lies ready already"):
        with_taken_from_the_jar(after, left, PINS, DAY)
    with pytest.raises(InputError, match="only 5"):
        with_taken_from_the_jar(TRAY, shop(shelf=[consumable(PINS, 5)]), PINS, DAY)
