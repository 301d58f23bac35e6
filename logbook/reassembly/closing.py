"""Before closing."""
from __future__ import annotations
from logbook.model.unit import Unit
from logbook.reassembly.records import LeftOver


def left_over(unit: Unit) -> tuple[LeftOver, ...]:
    """What must still be done or explained before the unit can be closed."""
    raise NotImplementedError
