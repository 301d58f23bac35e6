"""Checks of the record: small functions that each look for one kind of problem and return what they found.

They look at the record alone and change nothing. Each problem carries the
number of its check, so that the same thing is always called by the same number:

1 order and names, 2 recorded order against relations, 3 counts, 4 bags, 5 wires, 6 one-way steps,
7 guesses and what was found wrong, 8 parts not here, 9 hold points, 10 held dimensions,
11 thickness of pieces, 12 grip, projection, breakthrough and clashes, 13 veneer, chamfer and sanding, 14 layouts,
15 pieces wanted twice, 16 the pile, 17 shelf life, 18 prices, 19 stop line and make-or-break,
20 waits and windows, 21 clamps, press and places, 22 order that materials bear, 23 waiting and untouched, 24 photos,
25 closing, 26 what joining two copies left to a person.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.checks import (
    case_checks,
    closing_checks,
    count_checks,
    evidence_checks,
    join_checks,
    material_checks,
    order_checks,
    photo_checks,
    piece_checks,
    pile_checks,
    stop_line_checks,
    supply_checks,
    waiting_checks,
    window_checks,
)
from logbook.checks.check_problem import CheckProblem, Severity, UnitCheck
from logbook.layout.reservations import seen_by
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST

__all__ = ["CheckProblem", "Severity", "UnitCheck", "check_book", "check_unit"]

RECORD_CHECKS: tuple[UnitCheck, ...] = (
    order_checks.order_of_steps,
    order_checks.order_of_operations,
    order_checks.names_exist,
    order_checks.record_keeps_order,
    count_checks.holes_and_found,
    count_checks.bags_counted,
    count_checks.reused_without_bag,
    count_checks.bags_of_members,
    count_checks.wires,
    evidence_checks.one_way_steps,
    evidence_checks.guesses_and_wrong,
    evidence_checks.hold_points,
    evidence_checks.held_dimensions,
    case_checks.joints_agree,
    case_checks.held_sizes,
    case_checks.sizes_missing,
    case_checks.sizes_differ,
    case_checks.consequences_told,
    piece_checks.joints_fit,
    photo_checks.photos_and_steps,
    window_checks.windows_kept,
    closing_checks.closed_with_open_ends,
    closing_checks.hazardous_parts,
    join_checks.left_by_joining,
)
"""Checks of what was written down; they hold for every unit."""

GOING_ON_CHECKS: tuple[UnitCheck, ...] = (
    case_checks.outside_change,
    piece_checks.pieces_fit,
    piece_checks.pieces_to_leave,
    supply_checks.renewed_parts,
    supply_checks.stock_shelf_life,
    supply_checks.prices,
    stop_line_checks.stop_line_set,
    stop_line_checks.stop_line_kept,
    stop_line_checks.stop_rules,
    stop_line_checks.make_or_break,
    waiting_checks.waiting_list,
    waiting_checks.untouched,
    material_checks.order_of_materials,
    window_checks.windows_running,
)
"""Checks of what is still to come; a unit that is closed or stopped has nothing to come."""


def check_unit(unit: Unit, shop: Shop, now: datetime) -> tuple[CheckProblem, ...]:
    """Every problem of one unit, in the order of the checks.

    Args:
        unit: the record to look at.
        shop: the shelf and the settings (age of prices, weeks untouched).
        now: the present moment; dates are compared with its day by the shop's clock.
    """
    now = shop_time(now, shop)
    ended = unit.stage in AT_REST
    checks = RECORD_CHECKS if ended else RECORD_CHECKS + GOING_ON_CHECKS
    return _sorted(p for check in checks for p in check(unit, shop, now))


def check_book(book: Book, now: datetime) -> tuple[CheckProblem, ...]:
    """Every problem of all units, then those that only show over the whole book."""
    now = shop_time(now, book.shop)
    of_units = [
        p
        for unit in book.units.values()
        for p in check_unit(unit, seen_by((unit.code,), book.shop, book.units.values()), now)
    ]
    of_pile = _sorted(
        p
        for check in (pile_checks.layouts_hold, pile_checks.wanted_twice, pile_checks.pile_looked_through)
        for p in check(book, now)
    )
    of_shelf = _sorted(supply_checks.shelf(book.shop, now))
    of_time = _sorted(p for check in (window_checks.limits_now, window_checks.limits_in_plan) for p in check(book, now))
    of_joining = join_checks.left_in_shop(book.shop)
    return (*of_units, *count_checks.bags_of_book(dict(book.units)), *of_pile, *of_shelf, *of_time, *of_joining)


def _sorted(problems: Iterator[CheckProblem]) -> tuple[CheckProblem, ...]:
    """By number of the check; otherwise as they were found."""
    return tuple(sorted(problems, key=lambda p: p.check))
