"""Every view of a book as a person gets it: text, values for JSON, tables."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal
from functools import cached_property
from typing import Any, ClassVar, Generic, TypeVar

from logbook.casework import worked_case
from logbook.casework.panels import WorkedPanel
from logbook.casework.worked import WorkedCase
from logbook.checks import CheckProblem, check_book
from logbook.costing import bill_of_materials, cost_views, decision, from_shop, own_material, to_buy
from logbook.layout.asked import PartKind, layout_for, parts_of, pieces_of, rules_of
from logbook.layout.cut_records import Layout
from logbook.layout.layout_search import search
from logbook.layout.pile_view import Look
from logbook.layout.reservations import claims_on, seen_by
from logbook.model.amount_words import money_custom
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.planning.at_rest import at_rest
from logbook.planning.countdown import countdowns
from logbook.planning.making import MadePlan, made_plan
from logbook.planning.operations import proposed, to_be_asked
from logbook.planning.reminders import reminders
from logbook.planning.usual_work_lists import usual_work
from logbook.planning.what_now import what_now
from logbook.reassembly import RefitList, ledger, readiness, refit_list
from logbook.render.bench_document import bench_data, bench_text
from logbook.render.bill_document import bom_csv, bom_data, bom_text
from logbook.render.build_record import build_record_page
from logbook.render.case_document import panels_data, panels_text
from logbook.render.costs_document import cost_data, cost_text
from logbook.render.decision_data import decision_csv
from logbook.render.labels import label_rows, labels_of, shop_labels
from logbook.render.overview_made import lines_of
from logbook.render.paper_tables import decision_rows as paper_decision_rows
from logbook.render.pile_document import pile_data
from logbook.render.plan_document import now_data, now_text, plan_data, plan_text
from logbook.render.reassembly_list import reassembly_data, reassembly_text
from logbook.render.table_file import csv_text as table_text
from logbook.render.to_buy_document import to_buy_csv, to_buy_data, to_buy_text
from logbook.tui.screens.work_rows import work_entries, work_question
from tests.example_records import SHOP, UNITS

Values = dict[str, Any]
V = TypeVar("V")


def amount(value: object) -> Decimal | None:
    """A value of a JSON view as an amount; None stays None."""
    return None if value is None else Decimal(str(value))


def rows_of(text: str) -> list[dict[str, str]]:
    """A table as a spreadsheet reads it."""
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))


class alone(Generic[V]):  # noqa: N801 - it stands where `cached_property` would
    """A view that depends on nothing but the record of its unit, the shop and the moment.

    In most variants most units are those of the demo; what was worked out for one of them holds in every variant.
    """

    _of_the_demo: ClassVar[dict[tuple[str, str, datetime, str], Any]] = {}

    def __init__(self, made: Callable[[UnitViews], V]) -> None:
        self._made, self._name = made, made.__name__

    def __get__(self, views: UnitViews, _: object = None) -> V:
        """The view, worked out when it is asked for first."""
        code, now = views.code, views.book.now
        is_of_demo = views.unit is UNITS.get(code) and views.shop is SHOP
        known = self._of_the_demo if is_of_demo else views.known
        key = code, self._name, now, money_custom()
        if key not in known:
            known[key] = self._made(views)
        found: V = known[key]
        return found


class UnitViews:
    """The views of one unit."""

    def __init__(self, book: BookViews, code: str) -> None:
        self.book, self.code = book, code
        self.known: dict[tuple[str, str, datetime, str], Any] = {}
        self.unit: Unit = book.book.units[code]
        self.shop: Shop = seen_by((code,), book.book.shop, book.book.units.values())
        """As `session.shop_for` gives it to the views of a unit."""

    @alone
    def decided(self) -> Any:
        return decision(self.unit, self.shop, self.book.now.date())

    @alone
    def views(self) -> Any:
        return cost_views(self.unit, self.shop, self.book.now.date())

    @alone
    def cost(self) -> Values:
        """`logbook cost UNIT --json`."""
        return cost_data(self.unit, self.shop, self.decided.compared, self.views, decided=self.decided)

    @alone
    def cost_text(self) -> str:
        """`logbook cost UNIT`."""
        compared = self.decided.compared
        return cost_text(self.unit, self.shop, compared, self.views, self.book.now, decided=self.decided)

    @alone
    def cost_rows(self) -> list[dict[str, str]]:
        """`logbook cost UNIT --csv`."""
        return rows_of(decision_csv(self.decided))

    @alone
    def decision_rows(self) -> list[dict[str, str]]:
        """`logbook print UNIT decision --as csv`."""
        head, *rows = paper_decision_rows(self.decided)
        return [dict(zip(head, map(str, row), strict=True)) for row in rows]

    @alone
    def record_text(self) -> str:
        """`logbook print UNIT record --as txt`."""
        now = self.book.now
        more = {"bill": self._bill, "views": self.views, "version": 1, "kept_at": None, "now": now, "width": 100}
        return build_record_page(self.unit, self.shop, self.listed, ledger(self.unit), **more).text()

    @cached_property
    def work_head(self) -> str:
        """The sentence above the work of the unit."""
        return work_question(self.unit, proposed(self.unit, usual_work(self.shop)), self.book.made)

    @alone
    def work_text(self) -> str:
        """The section of the work, without the plan."""
        rows = work_entries(self.unit, proposed(self.unit, usual_work(self.shop)), None, self.book.now, 120)
        return "\n".join(line for row in rows for line in row.lines)

    @alone
    def asked(self) -> set[str]:
        """Codes of work that the section of the work asks about: whether it is written down already."""
        found, usual = proposed(self.unit, usual_work(self.shop)), usual_work(self.shop)
        rows = work_entries(self.unit, found, None, self.book.now, 120, asked=to_be_asked(self.unit, usual))
        return {row.key for row in rows if row.lines[0].startswith(" ? ")}

    @alone
    def _bill(self) -> Any:
        return bill_of_materials(self.unit, self.shop, self.book.now.date())

    @alone
    def bill(self) -> Values:
        """`logbook bom UNIT --json`."""
        return bom_data(self.unit, self.shop, self._bill, own_material(self.unit, self.shop))

    @alone
    def bill_text(self) -> str:
        """`logbook bom UNIT`."""
        return bom_text(self.unit, self.shop, self._bill, self.book.now, own=own_material(self.unit, self.shop))

    @alone
    def bill_rows(self) -> list[dict[str, str]]:
        """`logbook bom UNIT --csv`."""
        return rows_of(bom_csv(self._bill))

    @cached_property
    def _to_buy(self) -> Any:
        return to_buy([self.unit], self.book.book.shop, self.book.now, list(self.book.book.units.values()))

    @cached_property
    def to_buy(self) -> Values:
        """`logbook to-buy UNIT --json`."""
        return to_buy_data(self._to_buy, self.shop)

    @cached_property
    def to_buy_text(self) -> str:
        """`logbook to-buy UNIT`."""
        return to_buy_text(self._to_buy, self.shop, self.book.now, title=self.code)

    @cached_property
    def to_buy_rows(self) -> list[dict[str, str]]:
        """`logbook to-buy UNIT --csv`."""
        return rows_of(to_buy_csv(self._to_buy))

    @alone
    def listed(self) -> RefitList:
        """The reassembly list, for edits of it."""
        return refit_list(self.unit, from_shop(self.unit, self.shop, self.book.now.date()))

    @alone
    def list(self) -> Values:
        """`logbook reassembly UNIT --json`."""
        now = self.book.now
        ready = readiness(self.unit, self.listed, now)
        return reassembly_data(self.unit, self.listed, ready, version=1, kept_at=None, now=now)

    @alone
    def list_text(self) -> str:
        """`logbook reassembly UNIT`."""
        now = self.book.now
        ready = readiness(self.unit, self.listed, now)
        return reassembly_text(self.unit, self.listed, ready, version=1, kept_at=None, now=now)

    @alone
    def label_rows(self) -> list[dict[str, str]]:
        """`logbook print UNIT labels --as csv`: bags and boxes."""
        return rows_of(table_text(label_rows(labels_of(self.unit, self.shop))))

    @alone
    def _worked(self) -> WorkedCase | None:
        return worked_case(self.unit, self.shop.settings)

    @property
    def worked_panels(self) -> tuple[WorkedPanel, ...]:
        """The panels with their sizes."""
        return self._worked.panels if self._worked is not None else ()

    @alone
    def panels(self) -> Values:
        """`logbook panels UNIT --json`."""
        return panels_data(self.unit, self.shop, self._worked)

    @alone
    def panels_text(self) -> str:
        """`logbook panels UNIT`."""
        return panels_text(self.unit, self.shop, self._worked, self.book.moment)

    @cached_property
    def searched(self) -> dict[str, Layout]:
        """`logbook layout UNIT --json`, of the parts for which no layout was kept."""
        found = {}
        for kind in PartKind:
            parts = parts_of(self.unit, kind)
            if parts and layout_for(self.unit, kind) is None:
                rules = rules_of(self.book.book.shop, self.code)
                pieces = pieces_of(self.book.book.shop, rules, self.book.book.units.values(), kind)
                found[str(kind)] = search(parts, pieces, replace(rules, seconds=0.2))
        return found

    @property
    def bench(self) -> Values:
        """The line of the unit on the bench."""
        return next(line for line in self.book.bench["units"] if line["code"] == self.code)

    @property
    def problems(self) -> list[CheckProblem]:
        """What `logbook check` says of the unit."""
        return [p for p in self.book.problems if p.unit == self.code]


@dataclass
class BookViews:
    """The views of a book at a moment, which is read by the shop's clock."""

    name: str
    book: Book
    moment: datetime
    number: int = 0
    """Which of the variants it is; 0 for the demo itself."""

    @cached_property
    def now(self) -> datetime:
        return shop_time(self.moment, self.book.shop)

    @cached_property
    def units(self) -> list[UnitViews]:
        return [UnitViews(self, code) for code in self.book.units]

    def unit(self, code: str) -> UnitViews:
        return next(u for u in self.units if u.code == code)

    @cached_property
    def bench(self) -> Values:
        """`logbook bench --json`."""
        return bench_data(lines_of(self.book, self.moment), self.book, self.moment, minutes=10_000)

    @cached_property
    def bench_text(self) -> str:
        """`logbook bench`."""
        return bench_text(lines_of(self.book, self.moment), self.book, self.moment, width=200)

    @cached_property
    def problems(self) -> tuple[CheckProblem, ...]:
        """`logbook check`."""
        return check_book(self.book, self.moment)

    @cached_property
    def shop_label_rows(self) -> list[dict[str, str]]:
        """`logbook print shop labels --as csv`: offcuts and jars."""
        return rows_of(table_text(label_rows(shop_labels(self.book.shop, units=self.book.units.values()))))

    @cached_property
    def pile(self) -> dict[str, Values]:
        """`logbook pile --json`, by code."""
        claims = claims_on(self.book.shop, self.book.units.values())
        return {p["code"]: p for p in pile_data(Look(self.book.shop, claims, self.now.date()))["pieces"]}

    @cached_property
    def to_buy(self) -> Values:
        """`logbook to-buy --json`."""
        units = list(self.book.units.values())
        return to_buy_data(to_buy(units, self.book.shop, self.now, units), self.book.shop)

    def _now_parts(self) -> tuple[Any, ...]:
        book, now = self.book, self.now
        found = what_now(book, 10_000, now), countdowns(book, now), reminders(book, now, waits=False)
        return (*found, at_rest(book, now))

    @cached_property
    def now_view(self) -> Values:
        """`logbook now --json`, with all the time there is."""
        return now_data(*self._now_parts(), minutes=10_000, now=self.now)

    @cached_property
    def now_text(self) -> str:
        """`logbook now`."""
        return now_text(*self._now_parts(), minutes=10_000, now=self.now, most=100)

    @cached_property
    def made(self) -> MadePlan:
        return made_plan(self.book, self.moment, anew=True)

    @cached_property
    def plan(self) -> Values:
        """`logbook plan --json`."""
        return plan_data(self.made.plan(self.book), self.made)

    @cached_property
    def plan_text(self) -> str:
        """`logbook plan`."""
        return plan_text(self.made.plan(self.book), self.made)
