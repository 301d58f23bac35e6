"""Freedom."""
from __future__ import annotations
from logbook.model.unit import Unit


def free_of_each_other(unit: Unit) -> tuple[tuple[str, ...], ...]:
    """Groups of lines (keys) of which none has to wait for another."""
    raise NotImplementedError


def number_of_orders(unit: Unit, limit: int = 1_000_000) -> int:
    """How many teardown orders respect the relations; `limit` when there are at least so many."""
    raise NotImplementedError
