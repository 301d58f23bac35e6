"""Computed lists as rows of a table, the first row naming the columns: for CSV."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from fractions import Fraction

from logbook.costing import BillOfMaterials, Decision, cents, plain_number
from logbook.model.measures import Estimate
from logbook.model.unit import Unit
from logbook.reassembly import Progress, Readiness, RefitList, lines_to_look_at_again
from logbook.reassembly.closing import ANY_TIME

Rows = list[tuple[str, ...]]


def reassembly_rows(unit: Unit, listed: RefitList, ready: Mapping[str, Readiness]) -> Rows:
    """The reassembly list: a row for each line."""
    states = {s.line: s for s in unit.refit.lines}
    rows: Rows = [
        ("line", "key", "kind", "title", "steps", "first", "bags", "old pieces", "new pieces", "box", "hold point",
         "done", "ready", "not ready because", "done at", "initials", "reading", "differs", "look again")
    ]  # fmt: skip
    again = lines_to_look_at_again(Progress(unit, listed, ANY_TIME))
    for line in listed.lines:
        state, now = states.get(line.key), ready[line.key]
        rows.append(
            (
                line.number, line.key, str(line.kind), line.title, " ".join(line.steps), "; ".join(line.first),
                " ".join(line.bags),
                f"{sum(f.count for f in line.fasteners if not f.new)}",
                f"{sum(f.count for f in line.fasteners if f.new)}",
                line.box, line.hold.code if line.hold else "", _yes(now.done), _yes(now.ready), " ".join(now.missing),
                _moment(state.at if state else None), state.initials if state else "",
                state.reading if state else "", state.differs if state else "", _yes(line.key in again),
            )
        )  # fmt: skip
    return rows


def bom_rows(bill: BillOfMaterials) -> Rows:
    """The bill of materials: a row for each line."""
    rows: Rows = [
        ("group", "code", "name", "quantity", "unit", "source", "here", "low", "likely", "high", "price of", "seller",
         "pack", "for", "condition", "member", "how")
    ]  # fmt: skip
    for x in bill.lines:
        quantity = "" if x.quantity is None else plain_number(x.quantity)
        rows.append(
            (
                str(x.group), x.code, x.name, quantity, x.unit, str(x.source or ""), _yes(x.here), *_points(x.price),
                x.price_on.isoformat() if x.price_on else "", x.seller, x.pack, " ".join(x.used_in), x.conditional,
                x.member, x.how,
            )
        )  # fmt: skip
    return rows


def decision_rows(decided: Decision) -> Rows:
    """The decision table, with what each comparator pays for an hour of the rebuild."""
    compared = decided.compared
    even = {e.code: e for e in compared.break_evens}
    sold = {sale.code: sale for sale in compared.resales}
    rates = [f"at {plain_number(r)} an hour" for r in compared.rates]
    rows: Rows = [
        ("option", "what", "cash", "low", "high", "hours", *rates, "ready", "risk", "saves", "pays for an hour")
    ]
    for row in decided.rows:
        beside, sale = (even.get(row.code), sold.get(row.code)) if row.code else (None, None)
        saves = beside.gap if beside is not None else sale.left if sale is not None else None
        pays = beside.rate if beside is not None else sale.per_hour if sale is not None else None
        rows.append(
            (
                row.option, row.what, _amount(row.cash), _amount(row.low), _amount(row.high),
                "" if row.hours is None else plain_number(row.hours, 2), *(_amount(x) for x in row.at_rates),
                row.ready, row.risk, _amount(saves), _amount(pays),
            )
        )  # fmt: skip
    return rows


def step_rows(unit: Unit) -> Rows:
    """The teardown: a row for each kind of fastener of a step, or one for a step without any."""
    rows: Rows = [
        ("step", "what", "how", "at", "by", "bag", "box", "one-way", "certainty", "fastener", "holes", "found", "then",
         "wires", "note")
    ]  # fmt: skip
    for s in unit.steps:
        wires = "; ".join(f"{c.code}: {c.start or '?'} to {c.end or '?'}" for c in s.connections)
        for f in s.fasteners or (None,):
            counted = ("", "", "", "") if f is None else (f.kind, f"{f.holes}", f"{f.found}", str(f.then))
            bag = s.bag if f is None else f.bag or s.bag
            rows.append(
                (s.code, s.what, str(s.action), _moment(s.at), s.by, bag, s.box, _yes(s.one_way is not None),
                 str(s.certainty), *counted, wires, s.note)
            )  # fmt: skip
    return rows


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def _moment(moment: datetime | None) -> str:
    return moment.isoformat(timespec="minutes") if moment else ""


def _points(price: Estimate | None) -> tuple[str, str, str]:
    return ("", "", "") if price is None else (f"{price.low:.2f}", f"{price.likely:.2f}", f"{price.high:.2f}")


def _amount(value: Fraction | object | None) -> str:
    return "" if value is None else str(cents(value))  # type: ignore[arg-type]
