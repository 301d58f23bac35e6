"""The demo's units and pile, and layouts of them found in the usual way."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from logbook.layout.asked import PartKind, parts_together, pieces_of, rules_of
from logbook.layout.at_the_saw import with_layout
from logbook.layout.cut_records import Layout
from logbook.layout.kept import Asked, kept_of
from logbook.layout.layout_search import search
from logbook.model.document import ShopDocument
from logbook.model.shop import Shop
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit

TODAY = date(2026, 3, 20)
NOW = datetime(2026, 3, 20, 18, tzinfo=UTC)


@pytest.fixture(scope="session")
def demo_shop() -> Shop:
    """What the units of the example share."""
    return next(d.shop for d in demo_documents() if isinstance(d, ShopDocument))


@pytest.fixture(scope="session")
def demo_units() -> dict[str, Unit]:
    """The units of the example."""
    return {d.unit.code: d.unit for d in demo_documents() if not isinstance(d, ShopDocument)}


def found(
    shop: Shop, units: dict[str, Unit], kind: PartKind = PartKind.PANELS, code: str = "R1", *others: str
) -> tuple[Layout, Asked]:
    """A layout of those parts on the pile, and what it was asked with."""
    rules = replace(rules_of(shop, code), rounds=400)
    parts = parts_together([units[c] for c in (code, *others)], kind)
    asked = Asked(parts, pieces_of(shop, rules, units.values(), kind), rules)
    return search(*asked), asked


def laid(shop: Shop, units: dict[str, Unit], kind: PartKind = PartKind.PANELS, code: str = "R1") -> Unit:
    """The unit with such a layout kept."""
    layout, asked = found(shop, units, kind, code)
    return with_layout(units[code], kept_of(layout, asked, shop, kind, NOW))
