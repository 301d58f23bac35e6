"""Lengths that are used where the shop says nothing, each in one place: for the saw, the layout, and the settings.

Common practice, no source; practitioners differ.
"""

from __future__ import annotations

from logbook.model.base import Frozen
from logbook.model.measures import Length
from logbook.model.shop import ShopSettings

USUAL = {
    "kerf": Length.of("3 mm"),
    "trim": Length.of("5 mm"),
    "thickness_tolerance": Length.of("0.2 mm"),
    "keep_length": Length.of("300 mm"),
    "keep_width": Length.of("50 mm"),
    "keep_solid_width": Length.of("40 mm"),
    "keep_strip_length": Length.of("300 mm"),
    "keep_veneer_length": Length.of("200 mm"),
    "keep_veneer_width": Length.of("50 mm"),
}
"""By the field of the settings that says otherwise."""
_WORD = "usual"


def length_in_use(settings: ShopSettings, name: str) -> Length:
    """The length of that setting, or the usual one where none was said."""
    said: Length | None = getattr(settings, name)
    return USUAL[name] if said is None else said


def with_usual(length: Length, settings: ShopSettings, name: str) -> str:
    """A length in mm as a sentence says it: `3`, or `3 (usual)` where it is the usual one because none was said."""
    is_usual = getattr(settings, name) is None and length.ticks == USUAL[name].ticks
    return length.in_mm() + (f" ({_WORD})" if is_usual else "")


def usual_value(record: Frozen, name: str) -> str:
    """What is used while a setting is empty, for its form: `3 mm  usual`; empty where there is none."""
    if not isinstance(record, ShopSettings) or name not in USUAL or getattr(record, name) is not None:
        return ""
    return f"{USUAL[name].in_mm()} mm  {_WORD}"
