"""What a unit needs and costs: the bill of materials, consumables, cash, hours and the comparison.

Pure functions of a unit and the shop. Money is exact, in the one currency of the book; the rounding rule
stands in `amounts`. What is not known is None and is named, never zero.
"""

from __future__ import annotations

from logbook.costing.amounts import cents, expected_value, plain_number, quantity_in_words
from logbook.costing.bill import BillGroup, BillLine, BillOfMaterials, bill_of_materials
from logbook.costing.cash import CashKind, CashLine, CashTotals, cash_to_come, lines_behind
from logbook.costing.comparison import (
    BreakEven,
    Comparison,
    DecisionRow,
    Resale,
    comparison,
    net_price,
)
from logbook.costing.consumption import Need, consumption
from logbook.costing.fastener_need import FastenerUse, fastener_uses
from logbook.costing.hours import HoursLine, HoursTotals, hours
from logbook.costing.material_need import MaterialKind, MaterialNeed, material_needs
from logbook.costing.own_material import (
    CostViews,
    OwnMaterial,
    OwnMaterialLine,
    already_spent,
    cost_views,
    own_material,
)
from logbook.costing.price_age import price_age
from logbook.costing.stop_line import StopReading, StopState, stop_reading
from logbook.costing.to_buy import list_question, to_buy
from logbook.costing.to_buy_records import BuyKind, Clash, Freed, Offer, Parcel, Purchase, Share, ToBuy

__all__ = [
    "BillGroup",
    "BillLine",
    "BillOfMaterials",
    "BreakEven",
    "BuyKind",
    "CashKind",
    "CashLine",
    "CashTotals",
    "Clash",
    "Comparison",
    "CostViews",
    "DecisionRow",
    "FastenerUse",
    "Freed",
    "HoursLine",
    "HoursTotals",
    "MaterialKind",
    "MaterialNeed",
    "Need",
    "Offer",
    "OwnMaterial",
    "OwnMaterialLine",
    "Parcel",
    "Purchase",
    "Resale",
    "Share",
    "StopReading",
    "StopState",
    "ToBuy",
    "already_spent",
    "bill_of_materials",
    "cash_to_come",
    "cents",
    "comparison",
    "consumption",
    "cost_views",
    "expected_value",
    "fastener_uses",
    "hours",
    "lines_behind",
    "list_question",
    "material_needs",
    "net_price",
    "own_material",
    "plain_number",
    "price_age",
    "quantity_in_words",
    "stop_reading",
    "to_buy",
]
