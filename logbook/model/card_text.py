"""What the square code on a label or a card says, so that a photo of it finds its step."""

from __future__ import annotations


def step_card(unit: str, step: str = "") -> str:
    """The text for a step, or for a unit as a whole: `LOGBOOK:R1/T11`."""
    return f"LOGBOOK:{unit}/{step}" if step else f"LOGBOOK:{unit}"


def reusable_card(number: int) -> str:
    """The text for one of a set of cards that is used again and again: `LOGBOOK:card/7`."""
    return f"LOGBOOK:card/{number}"
