"""How much a number may be: one rule for what is typed into a form and for what comes in a document.

A book that was written before a limit was drawn still opens: the rule stands at the doors, not in the records.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from logbook.model.measures import Estimate

MOST = 1_000_000
"""Beyond it a pack, a rate or a price is a slip of the unit or of a key."""


def beyond(value: Any, least: str) -> str:
    """What is wrong with a value, in words that stand after it; empty when it may be.

    Args:
        value: of any field.
        least: “above zero” or “from zero” for a number that is limited, else empty.
    """
    if isinstance(value, Estimate) and value.low < 0:
        return "is below zero. Type what is to be paid, or 0."
    if not least or not isinstance(value, Decimal):
        return ""
    if value < 0 or (value == 0 and least == "above zero"):
        return f"is not {least}."
    return "is more than a million. Check the unit and the number." if value > MOST else ""
