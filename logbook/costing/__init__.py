"""What a unit needs and costs: the bill of materials, consumables, cash, hours and the comparison.

Pure functions of a unit and the shop. Money is exact, in the one currency of the book; the rounding rule
stands in `amounts`. What is not known is None and is named, never zero.
"""

from __future__ import annotations

from logbook.costing.actuals import (
    Actuals,
    Correction,
    Suggestion,
    actuals,
    corrections,
    paid_in_all,
    suggestions,
)
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
from logbook.costing.consumption import ConsumableNeed, consumption
from logbook.costing.decision import Chance, Decision, HalfOfNew, OwnerValue, decision
from logbook.costing.drivers import Driver, Outlook, cash_outlook, hours_outlook
from logbook.costing.frees import freed_by_parcel
from logbook.costing.from_shop import from_shop
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
from logbook.costing.simulation import Distribution, simulate
from logbook.costing.spread import Spread, ThreePoint, spread_of
from logbook.costing.stop_line import StopCrossing, StopReading, StopState, stop_crossing, stop_reading
from logbook.costing.timeline import CashEvent, Timeline, When, timeline
from logbook.costing.to_buy import list_question, to_buy
from logbook.costing.to_buy_records import BuyKind, Clash, FreedByPurchase, Offer, Parcel, Purchase, Share, ToBuy
from logbook.costing.what_if import HOW, NOT_TRIED, Trial, TrialKind, TrialLine, trial_lines, tried, with_typed
from logbook.model.replacements import FastenerUse, fastener_uses

__all__ = [
    "HOW",
    "NOT_TRIED",
    "Actuals",
    "BillGroup",
    "BillLine",
    "BillOfMaterials",
    "BreakEven",
    "BuyKind",
    "CashEvent",
    "CashKind",
    "CashLine",
    "CashTotals",
    "Chance",
    "Clash",
    "Comparison",
    "ConsumableNeed",
    "Correction",
    "CostViews",
    "Decision",
    "DecisionRow",
    "Distribution",
    "Driver",
    "FastenerUse",
    "FreedByPurchase",
    "HalfOfNew",
    "HoursLine",
    "HoursTotals",
    "MaterialKind",
    "MaterialNeed",
    "Offer",
    "Outlook",
    "OwnMaterial",
    "OwnMaterialLine",
    "OwnerValue",
    "Parcel",
    "Purchase",
    "Resale",
    "Share",
    "Spread",
    "StopCrossing",
    "StopReading",
    "StopState",
    "Suggestion",
    "ThreePoint",
    "Timeline",
    "ToBuy",
    "Trial",
    "TrialKind",
    "TrialLine",
    "When",
    "actuals",
    "already_spent",
    "bill_of_materials",
    "cash_outlook",
    "cash_to_come",
    "cents",
    "comparison",
    "consumption",
    "corrections",
    "cost_views",
    "decision",
    "expected_value",
    "fastener_uses",
    "freed_by_parcel",
    "from_shop",
    "hours",
    "hours_outlook",
    "lines_behind",
    "list_question",
    "material_needs",
    "net_price",
    "own_material",
    "paid_in_all",
    "plain_number",
    "price_age",
    "quantity_in_words",
    "simulate",
    "spread_of",
    "stop_crossing",
    "stop_reading",
    "suggestions",
    "timeline",
    "to_buy",
    "trial_lines",
    "tried",
    "with_typed",
]
