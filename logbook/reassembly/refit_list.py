"""The reassembly list."""
from __future__ import annotations
from logbook.model.unit import Unit
from logbook.reassembly.records import RefitList


def refit_list(unit: Unit) -> RefitList:
    """The reassembly list of a unit. Raises CircleError when the relations go round in a circle."""
    raise NotImplementedError
