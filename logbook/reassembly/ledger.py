"""Counts."""
from __future__ import annotations
from logbook.model.unit import Unit
from logbook.reassembly.records import Ledger


def ledger(unit: Unit) -> Ledger:
    """The account of fasteners and connections."""
    raise NotImplementedError
