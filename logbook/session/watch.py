"""What an edit did to the stop line of a unit, said the moment it is made."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date

from logbook.model.shop import Shop
from logbook.model.unit import Unit

_PRICED = ("parts", "consumables", "cost_lines", "stop_lines", "case")
"""Fields of a unit that its cash to come is made of. What an edit left alone is shared, so that looking is cheap."""


def stop_line_news(before: Unit, after: Unit, shop: Shop, today: date) -> str:
    """A sentence when an edit of the unit made its cash pass the stop line; else empty."""
    if not after.stop_lines or all(_left_alone(getattr(before, name), getattr(after, name)) for name in _PRICED):
        return ""
    return _crossed(before, after, shop, shop, today)


def _left_alone(one: object, other: object) -> bool:
    """Whether two values are the same one, or lists of the same records; nothing is compared field by field."""
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(a is b for a, b in zip(one, other, strict=True))
    return one is other


def changed_on_shelf(before: Shop, after: Shop) -> frozenset[str]:
    """Names, as compared, of what an edit changed on the shelf."""
    if _left_alone(before.shelf, after.shelf):
        return frozenset()
    old, new = {item.name: item for item in before.shelf}, {item.name: item for item in after.shelf}
    return frozenset(_same(name) for name in old.keys() | new.keys() if old.get(name) != new.get(name))


def uses_any(changed: Collection[str], consumables: Iterable[str]) -> bool:
    """Whether one of these consumables is among what was changed."""
    return any(_same(name) in changed for name in consumables)


def shelf_news(units: Iterable[Unit], before: Shop, after: Shop, today: date) -> str:
    """A sentence when an edit of the shelf made the cash of a unit pass its stop line; else empty.

    Only units that use what was changed are looked at.
    """
    changed = changed_on_shelf(before, after)
    for unit in units:
        if unit.stop_lines and uses_any(changed, (use.consumable for use in unit.consumables)):
            words = _crossed(unit, unit, before, after, today)
            if words:
                return f"{unit.code}: {words}"
    return ""


def together_news(
    units: Mapping[str, Unit], changed: Mapping[str, Unit], before: Shop, after: Shop, today: date
) -> str:
    """The same for an edit over several units and the shelf at once: the first unit that passed its line."""
    for code, new in changed.items():
        if new.stop_lines and (words := _crossed(units[code], new, before, after, today)):
            return f"{code}: {words}"
    return shelf_news((u for code, u in units.items() if code not in changed), before, after, today)


def _crossed(before: Unit, after: Unit, shop_before: Shop, shop_after: Shop, today: date) -> str:
    from logbook.costing import stop_crossing

    crossing = stop_crossing(before, after, shop_before, shop_after, today)
    return crossing.sentence if crossing is not None else ""


def _same(words: str) -> str:
    return " ".join(words.split()).casefold()
