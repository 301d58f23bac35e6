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
    casework,
    closing,
    counts,
    evidence,
    joined,
    materials,
    order,
    photos,
    pieces,
    pile,
    stop_line,
    supplies,
    waiting,
    windows,
)
from logbook.checks.problem import Problem, Severity, UnitCheck
from logbook.layout.reservations import seen_by
from logbook.model.clock import shop_time
from logbook.model.shop import Shop
from logbook.model.unit import Book, Unit
from logbook.model.words import AT_REST

__all__ = ["Problem", "Severity", "UnitCheck", "check_book", "check_unit"]

RECORD_CHECKS: tuple[UnitCheck, ...] = (
    order.order_of_steps,
    order.order_of_operations,
    order.names_exist,
    order.record_keeps_order,
    counts.holes_and_found,
    counts.bags_counted,
    counts.reused_without_bag,
    counts.bags_of_members,
    counts.wires,
    evidence.one_way_steps,
    evidence.guesses_and_wrong,
    evidence.hold_points,
    evidence.held_dimensions,
    casework.joints_agree,
    casework.held_sizes,
    casework.sizes_differ,
    casework.consequences_told,
    pieces.joints_fit,
    photos.photos_and_steps,
    windows.windows_kept,
    closing.closed_with_open_ends,
    closing.hazardous_parts,
    joined.left_by_joining,
)
"""Checks of what was written down; they hold for every unit."""

GOING_ON_CHECKS: tuple[UnitCheck, ...] = (
    casework.outside_change,
    pieces.pieces_fit,
    pieces.pieces_to_leave,
    supplies.renewed_parts,
    supplies.stock_shelf_life,
    supplies.prices,
    stop_line.stop_line_set,
    stop_line.stop_line_kept,
    stop_line.stop_rules,
    stop_line.make_or_break,
    waiting.waiting_list,
    waiting.untouched,
    materials.order_of_materials,
    windows.windows_running,
)
"""Checks of what is still to come; a unit that is closed or stopped has nothing to come."""


def check_unit(unit: Unit, shop: Shop, now: datetime) -> tuple[Problem, ...]:
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


def check_book(book: Book, now: datetime) -> tuple[Problem, ...]:
    """Every problem of all units, then those that only show over the whole book."""
    now = shop_time(now, book.shop)
    of_units = [
        p
        for unit in book.units.values()
        for p in check_unit(unit, seen_by((unit.code,), book.shop, book.units.values()), now)
    ]
    of_pile = _sorted(
        p for check in (pile.layouts_hold, pile.wanted_twice, pile.pile_looked_through) for p in check(book, now)
    )
    of_shelf = _sorted(supplies.shelf(book.shop, now))
    of_time = _sorted(p for check in (windows.limits_now, windows.limits_in_plan) for p in check(book, now))
    of_joining = joined.left_in_shop(book.shop)
    return (*of_units, *counts.bags_of_book(dict(book.units)), *of_pile, *of_shelf, *of_time, *of_joining)


def _sorted(problems: Iterator[Problem]) -> tuple[Problem, ...]:
    """By number of the check; otherwise as they were found."""
    return tuple(sorted(problems, key=lambda p: p.check))
