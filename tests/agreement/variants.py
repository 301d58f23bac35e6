"""The demo book, and books that differ from it in one to three places, always the same ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cache
from random import Random
from typing import Any

from logbook.errors import InputError, LogbookError
from logbook.layout.asked import PartKind, parts_of, pieces_of, rules_of
from logbook.layout.kept import Asked, kept_of, wanted_of
from logbook.layout.layout_search import search
from logbook.model.layout_records import KeptLayout, LeftOut
from logbook.model.measures import Effort, Estimate, Length
from logbook.model.shop import Consumable, Defect, FreeTime, Seller
from logbook.model.step import NewFastener, Relation, Step
from logbook.model.unit import BagCount, Book, Unit
from logbook.model.words import Disposition, RelationKind, Source, Stage, Supply, WorkState
from logbook.model.work import CostLine, Operation, Part, Spent, StopLine, Wait, Waiting
from logbook.planning.operations import as_another, as_this_one, proposed, taken_in
from logbook.planning.usual_work_lists import usual_work
from logbook.reassembly import readiness, refit_list, tick
from tests.agreement.views import BookViews
from tests.builders import at
from tests.example_records import SHOP, UNITS

NOW = at("2026-03-17 18:00")
SEED = 15
COUNT = 200

Change = Callable[[Book, Random], Book]
"""A book with one place changed; the same book when the place is not there."""


def demo() -> Book:
    """The demo book as it comes."""
    return Book(shop=SHOP, units=dict(UNITS))


def cases() -> list[BookViews]:
    """The demo and its variants, each with the names of what was changed; their views are not worked out yet."""
    return [BookViews(name, book, NOW, number) for name, book, number in _books()]


@cache
def _books() -> list[tuple[str, Book, int]]:
    found = [("demo", demo(), 0)]
    for number in range(COUNT):
        rng = Random(SEED * 1_000 + number)
        book, names = demo(), []
        for change in rng.sample(CHANGES, rng.choice((1, 1, 2, 3))):
            book = change(book, rng)
            names.append(change.__name__)
        found.append((f"{number}: {', '.join(names)}", book, number + 1))
    return [*found, *_books_of_one()]


def _books_of_one() -> list[tuple[str, Book, int]]:
    """The demo with one of the further changes each, in several ways."""
    found = []
    for place, further in enumerate(FURTHER):
        for way in range(WAYS):
            book = further(demo(), Random(SEED * 100_000 + place * 100 + way))
            found.append((f"{further.__name__} {way}", book, way))
    return found


CHANGES: list[Change] = []
FURTHER: list[Change] = []
"""Changes that are made alone, so that the variants above stay the same."""
WAYS = 4


def change(function: Change) -> Change:
    """A change that variants are made of."""
    CHANGES.append(function)
    return function


def further(function: Change) -> Change:
    """A change that is made alone."""
    FURTHER.append(function)
    return function


# How a record is changed


def put(book: Book, unit: Unit) -> Book:
    """The book with a unit as it is now."""
    return book.model_copy(update={"units": {**book.units, unit.code: unit}})


def with_shop(book: Book, **changes: Any) -> Book:
    """The book with the shop changed."""
    return book.model_copy(update={"shop": book.shop.model_copy(update=changes)})


def with_settings(book: Book, **changes: Any) -> Book:
    """The book with the settings changed."""
    return with_shop(book, settings=book.shop.settings.model_copy(update=changes))


def one_of(book: Book, rng: Random, lists: str, **changes: Any) -> Book:
    """One record of a list of some unit, with fields changed; a value that can be called makes the new value."""
    units = [u for u in book.units.values() if getattr(u, lists)]
    if not units:
        return book
    unit = rng.choice(units)
    return changed_in(book, unit, lists, rng.randrange(len(getattr(unit, lists))), **changes)


def changed_in(book: Book, unit: Unit, lists: str, place: int, **changes: Any) -> Book:
    """The book with one record of a list of a unit changed."""
    records = list(getattr(unit, lists))
    record = records[place]
    values = {name: value(record) if callable(value) else value for name, value in changes.items()}
    records[place] = record.model_copy(update=values)
    return put(book, unit.model_copy(update={lists: tuple(records)}))


def more(book: Book, code: str, lists: str, record: Any) -> Book:
    """The book with one record more in a list of a unit."""
    unit = book.units[code]
    return put(book, unit.model_copy(update={lists: (*getattr(unit, lists), record)}))


def any_unit(book: Book, rng: Random) -> Unit:
    """One of the units."""
    return rng.choice(list(book.units.values()))


def open_operation(book: Book, rng: Random) -> tuple[Unit, int] | None:
    """An operation that is not done: its unit and place."""
    places = [(u, i) for u in book.units.values() for i, o in enumerate(u.operations) if o.state is not WorkState.DONE]
    return rng.choice(places) if places else None


def on_operation(book: Book, rng: Random, **changes: Any) -> Book:
    """An open operation changed."""
    place = open_operation(book, rng)
    return book if place is None else changed_in(book, place[0], "operations", place[1], **changes)


# The changes


@change
def a_part_is_here(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "parts", supply=Supply.HERE)


@change
def a_part_is_ordered(book: Book, rng: Random) -> Book:
    ordered = NOW.date() - timedelta(days=rng.choice((3, 40)))
    return one_of(book, rng, "parts", supply=Supply.ORDERED, ordered_on=ordered)


@change
def a_part_is_paid_and_not_here(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "parts", paid=Decimal("10.00"), paid_on=NOW.date() - timedelta(days=1))


@change
def a_part_has_no_price(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "parts", price=None)


@change
def a_part_has_a_wide_price(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "parts", price=Estimate.of("0", "20", "20"))


@change
def a_part_is_needed_by_chance(book: Book, rng: Random) -> Book:
    chance = Decimal(rng.choice((0, 30, 60, 100)))
    price = Estimate.of("11", "14", "20")
    return one_of(book, rng, "parts", only_if="only if it is bad", chance_percent=chance, price=price)


@change
def a_part_comes_from_elsewhere(book: Book, rng: Random) -> Book:
    source = rng.choice((Source.PILE, Source.SHELF, Source.SPARE, Source.SALVAGED))
    return one_of(book, rng, "parts", source=source, supply=Supply.NEEDED, price=None)


@change
def a_part_is_made_of_sheet(book: Book, rng: Random) -> Book:
    part = Part(
        code="M1", name="stand-off plate", quantity=Decimal("0.04"), unit="m2", source=Source.MAKE,
        made_from="12 ply", machine=30, for_steps=("T11",),
    )  # fmt: skip
    return more(book, "R1", "parts", part)


@change
def a_part_names_no_step(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "parts", for_steps=())


@change
def a_part_is_taken_out(book: Book, rng: Random) -> Book:
    unit = rng.choice([u for u in book.units.values() if u.parts])
    place = rng.randrange(len(unit.parts))
    return put(book, unit.model_copy(update={"parts": unit.parts[:place] + unit.parts[place + 1 :]}))


@change
def a_kind_is_written_with_a_capital(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "parts", fastener=lambda p: p.fastener.capitalize())


@change
def a_step_wants_new_fasteners(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    place = rng.randrange(len(unit.steps))
    more_fasteners = (NewFastener(kind=rng.choice(("brass pin 3x20", "nail 25")), count=rng.choice((1, 6))),)
    refit = unit.steps[place].refit.model_copy(update={"new_fasteners": more_fasteners})
    return changed_in(book, unit, "steps", place, refit=refit)


@change
def a_component_becomes(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "components", disposition=rng.choice(list(Disposition)))


@change
def a_component_is_to_renew_at_a_price(book: Book, rng: Random) -> Book:
    price = Estimate.of("15", "20", "30")
    return one_of(book, rng, "components", disposition=Disposition.RENEW, price_to_replace=price)


@change
def a_component_is_done(book: Book, rng: Random) -> Book:
    wanted = (Disposition.REPAIR, Disposition.CLEAN, Disposition.TEST)
    places = [(u, i) for u in book.units.values() for i, c in enumerate(u.components) if c.disposition in wanted]
    unit, place = rng.choice(places)
    return changed_in(book, unit, "components", place, repaired=True)


@change
def a_consumable_is_paid(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "consumables", paid=Decimal("11.00"), paid_on=NOW.date())


@change
def a_consumable_is_used_up(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "consumables", used_on=NOW.date())


@change
def a_consumable_has_no_price(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "consumables", price=None)


@change
def the_shelf_is_empty(book: Book, rng: Random) -> Book:
    return with_shop(book, shelf=tuple(c.model_copy(update={"stock": Decimal(0)}) for c in book.shop.shelf))


@change
def a_jar_is_past_its_life(book: Book, rng: Random) -> Book:
    shelf = list(book.shop.shelf)
    place = rng.randrange(len(shelf))
    shelf[place] = shelf[place].model_copy(update={"opened_on": NOW.date() - timedelta(days=900), "keeps_months": 12})
    return with_shop(book, shelf=tuple(shelf))


@change
def jars_of_nails(book: Book, rng: Random) -> Book:
    jars = tuple(Consumable(name="nail 25", stock=Decimal(rng.choice((5, 15)))) for _ in range(rng.choice((1, 2))))
    book = with_shop(book, shelf=(*book.shop.shelf, *jars))
    chest = book.units["C1"]
    return put(book, chest.model_copy(update={"parts": tuple(p for p in chest.parts if p.code != "N1")}))


@change
def the_pile_is_empty(book: Book, rng: Random) -> Book:
    return with_shop(book, offcuts=())


@change
def a_piece_is_promised(book: Book, rng: Random) -> Book:
    offcuts = list(book.shop.offcuts)
    if not offcuts:
        return book
    place = rng.randrange(len(offcuts))
    promise = rng.choice(("X9 lid; R1 top", "C1", "R1 top", "the neighbour"))
    offcuts[place] = offcuts[place].model_copy(update={"reserved_for": promise})
    return with_shop(book, offcuts=tuple(offcuts))


@change
def a_seller_ships(book: Book, rng: Random) -> Book:
    seller = Seller(name="hardware counter", shipping=Estimate.of("4", "6", "9"), days=2)
    others = tuple(s for s in book.shop.sellers if s.name != seller.name)
    return with_shop(book, sellers=(*others, seller))


@change
def a_parcel_from_a_counter(book: Book, rng: Random) -> Book:
    line = CostLine(code="PC", name="parcel", price=Estimate.of("4", "5", "6"), seller="hardware counter", parcel=True)
    return more(book, "C1", "cost_lines", line)


@change
def a_cost_is_paid(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "cost_lines", paid=Decimal("7.00"), paid_on=NOW.date())


@change
def the_stop_line_is(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    line = StopLine(amount=Decimal(rng.choice((18, 40, 85, 100, 500))), set_at=NOW - timedelta(days=5))
    return put(book, unit.model_copy(update={"stop_lines": (line,)}))


@change
def money_was_spent(book: Book, rng: Random) -> Book:
    spent = Spent(what="a day out", amount=Decimal("30.00"), on=NOW.date() - timedelta(days=rng.choice((1, 400))))
    return more(book, any_unit(book, rng).code, "spent", spent)


@change
def another_time_zone(book: Book, rng: Random) -> Book:
    return with_settings(book, time_zone=rng.choice(("Pacific/Auckland", "America/Los_Angeles", "Europe/Paris")))


@change
def an_operation_is_done(book: Book, rng: Random) -> Book:
    ended = NOW - timedelta(hours=rng.choice((1, 30, 400)))
    return on_operation(book, rng, state=WorkState.DONE, done_at=ended, spent=35)


@change
def an_operation_is_done_with_a_window(book: Book, rng: Random) -> Book:
    wait = Wait(what="recoat", earliest=60, latest=600)
    return on_operation(book, rng, state=WorkState.DONE, done_at=NOW - timedelta(hours=2), wait=wait)


@change
def an_operation_is_begun(book: Book, rng: Random) -> Book:
    return on_operation(book, rng, state=WorkState.DOING, spent=rng.choice((10, 60, 900)))


@change
def some_coats_are_done(book: Book, rng: Random) -> Book:
    last = NOW - timedelta(hours=26)
    return on_operation(book, rng, times=4, times_done=2, last_at=last, state=WorkState.DOING)


@change
def every_operation_is_done(book: Book, rng: Random) -> Book:
    unit = rng.choice([u for u in book.units.values() if u.operations])
    done = {"state": WorkState.DONE, "done_at": NOW - timedelta(days=60)}
    return put(book, unit.model_copy(update={"operations": tuple(o.model_copy(update=done) for o in unit.operations)}))


@change
def nothing_is_estimated(book: Book, rng: Random) -> Book:
    unit = rng.choice([u for u in book.units.values() if u.operations])
    bare = tuple(o.model_copy(update={"effort": None}) for o in unit.operations)
    return put(book, unit.model_copy(update={"operations": bare}))


@change
def an_operation_waits_for_nobody_knows_what(book: Book, rng: Random) -> Book:
    return on_operation(book, rng, after=("NOPE",))


@change
def an_operation_has_a_telling_name(book: Book, rng: Random) -> Book:
    names = ("refit the knobs", "cut the panels of something", "clean top and bottom", "lay out the papers")
    extra = Operation(code="X1", name=rng.choice(names), effort=Effort(low=5, likely=10, high=20))
    return more(book, any_unit(book, rng).code, "operations", extra)


@change
def the_test_failed(book: Book, rng: Random) -> Book:
    return _tested(book, passed=False)


@change
def the_test_passed(book: Book, rng: Random) -> Book:
    return _tested(book, passed=True)


def _tested(book: Book, *, passed: bool) -> Book:
    radio = book.units["R1"]
    tests = tuple(t.model_copy(update={"passed": passed}) for t in radio.arrival.make_or_break)
    return put(book, radio.model_copy(update={"arrival": radio.arrival.model_copy(update={"make_or_break": tests})}))


@change
def a_proposal_is_taken_in(book: Book, rng: Random) -> Book:
    return _taken_in(book, rng, state=None)


@change
def a_proposal_is_taken_in_and_done(book: Book, rng: Random) -> Book:
    return _taken_in(book, rng, state=WorkState.DONE)


def _taken_in(book: Book, rng: Random, state: WorkState | None) -> Book:
    usual = usual_work(book.shop)
    offered = [(u, p) for u in book.units.values() for p in proposed(u, usual)]
    if not offered:
        return book
    unit, proposal = rng.choice(offered)
    unit = taken_in(unit, proposal)
    book = put(book, unit)
    if state is None:
        return book
    return changed_in(book, unit, "operations", -1, state=state, done_at=NOW - timedelta(days=60), spent=20)


@change
def ready_lines_are_ticked(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    for _ in range(rng.choice((1, 3))):
        try:
            listed = refit_list(unit)
            ready = readiness(unit, listed, NOW)
            line = next((x for x in listed.lines if ready[x.key].ready and x.hold is None), None)
            if line is None:
                break
            unit = tick(unit, line.key, at=NOW - timedelta(days=3), initials="AB", override="proved with the meter")
        except InputError:
            break
    return put(book, unit)


@change
def every_line_is_ticked(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    try:
        listed = refit_list(unit)
        for line in listed.lines:
            more_said = {"reading": "good"} if line.hold is not None else {}
            unit = tick(
                unit, line.key, at=NOW - timedelta(days=30), initials="AB", override="as told", lst=listed, **more_said
            )
    except LogbookError:
        return book
    return put(book, unit)


@change
def a_unit_is_at(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    stage = rng.choice((Stage.TEARDOWN, Stage.REBUILD, Stage.REASSEMBLY, Stage.CLOSED, Stage.STOPPED))
    return put(book, unit.model_copy(update={"stage": stage}))


@change
def no_free_time(book: Book, rng: Random) -> Book:
    return with_shop(book, free_time=())


@change
def little_free_time(book: Book, rng: Random) -> Book:
    return with_shop(book, free_time=(FreeTime(weekday=6, start="10:00", minutes=40),))


@change
def touched_long_ago(book: Book, rng: Random) -> Book:
    moment: datetime = NOW - timedelta(days=rng.choice((1, 60, 422)), hours=rng.choice((1, 20)))
    unit = any_unit(book, rng)
    return put(book, unit.model_copy(update={"touched": moment}))


@change
def it_waits(book: Book, rng: Random) -> Book:
    reason = Waiting(what="the cloth", since=NOW.date(), chase=NOW.date() + timedelta(days=rng.choice((0, 1, 9))))
    return more(book, any_unit(book, rng).code, "waiting", reason)


@change
def steps_are_planned(book: Book, rng: Random) -> Book:
    return one_of(book, rng, "steps", planned=True)


@change
def no_prices_at_all(book: Book, rng: Random) -> Book:
    unit = rng.choice([u for u in book.units.values() if u.parts])
    bare = {
        "parts": tuple(p.model_copy(update={"price": None}) for p in unit.parts),
        "consumables": (),
        "cost_lines": (),
    }
    return put(book, unit.model_copy(update=bare))


# Changes of what the record holds, made alone


def some_step(book: Book, rng: Random, wanted: Callable[[Step], object]) -> tuple[Unit, int]:
    """A step that has something: its unit and place."""
    return rng.choice([(u, i) for u in book.units.values() for i, s in enumerate(u.steps) if wanted(s)])


@further
def a_bag_is_counted(book: Book, rng: Random) -> Book:
    unit, place = some_step(book, rng, lambda s: s.bag and any(f.found for f in s.fasteners))
    step = unit.steps[place]
    fastener = rng.choice([f for f in step.fasteners if f.found])
    recorded, counted = rng.choice(((fastener.found, 1), (3, fastener.found), (fastener.found, fastener.found)))
    count = BagCount(bag=step.bag.lower(), kind=fastener.kind, recorded=recorded, counted=counted)
    return put(book, unit.model_copy(update={"refit": unit.refit.model_copy(update={"counts": (count,)})}))


@further
def a_bag_is_spelled_in_two_ways(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    places = [i for i, s in enumerate(unit.steps) if s.bag][:2]
    for place, bag in zip(places, ("1a", "1A "), strict=False):
        book = changed_in(book, book.units[unit.code], "steps", place, bag=bag)
    return book


@further
def a_cover_came_off_later(book: Book, rng: Random) -> Book:
    unit = any_unit(book, rng)
    under, cover = sorted(rng.sample(range(len(unit.steps)), 2))
    relation = Relation(kind=RelationKind.TEST, earlier=unit.steps[cover].code, later=unit.steps[under].code)
    covered = more(book, unit.code, "relations", relation)
    try:
        refit_list(covered.units[unit.code])
    except LogbookError:  # other relations say that it cannot have covered it
        return book
    return covered


@further
def wires_were_counted(book: Book, rng: Random) -> Book:
    unit, place = some_step(book, rng, lambda s: s.connections)
    return changed_in(book, unit, "steps", place, wires=rng.choice((1, 2, 5)))


@further
def a_board_is_split_across(book: Book, rng: Random) -> Book:
    offcuts = list(book.shop.offcuts)
    place = rng.randrange(len(offcuts))
    piece = offcuts[place]
    middle = Length.from_ticks(piece.length.ticks // 2)
    split = Defect(x=middle, y=Length.of("0"), length=Length.of("5"), width=piece.width, what="split across")
    offcuts[place] = piece.model_copy(update={"defects": (split,)})
    return with_shop(book, offcuts=tuple(offcuts))


@further
def a_panel_has_no_leaves(book: Book, rng: Random) -> Book:
    radio = book.units["R1"]
    panels = list(radio.case.panels)
    place = rng.randrange(len(panels))
    panels[place] = panels[place].model_copy(update={"leaves": ()})
    return put(book, radio.model_copy(update={"case": radio.case.model_copy(update={"panels": tuple(panels)})}))


@further
def all_edges_are_banded(book: Book, rng: Random) -> Book:
    radio = book.units["R1"]
    panels = list(radio.case.panels)
    place = rng.randrange(len(panels))
    panels[place] = panels[place].model_copy(update={"banded": ("all",)})
    return put(book, radio.model_copy(update={"case": radio.case.model_copy(update={"panels": tuple(panels)})}))


@further
def a_closed_unit_has_open_lines(book: Book, rng: Random) -> Book:
    book = ready_lines_are_ticked(book, rng)
    unit = max(book.units.values(), key=lambda u: len(u.refit.lines))
    return put(book, unit.model_copy(update={"stage": rng.choice((Stage.CLOSED, Stage.STOPPED))}))


# Changes that are made alone


def with_operations(book: Book, code: str, *operations: Operation) -> Book:
    """The book with operations more in a unit."""
    unit = book.units[code]
    return put(book, unit.model_copy(update={"operations": (*unit.operations, *operations)}))


SHORT = Effort(low=10, likely=15, high=20)


@further
def a_finish_has_no_typed_wait(book: Book, rng: Random) -> Book:
    """A finish, done or still to do, something dusty beside it, and something that follows."""
    code = rng.choice(("R1", "C1", "G1"))
    step = book.units[code].steps[-1].code
    name = rng.choice(("varnish the top", "stain the sides", "paint the foot", "oil the case"))
    done = {"state": WorkState.DONE, "done_at": NOW - timedelta(hours=2), "spent": 15} if rng.random() < 0.5 else {}
    finish = Operation(code="X1", name=name, effort=SHORT, for_steps=(step,)).model_copy(update=done)
    dusty = Operation(code="X2", name="sand the foot", effort=SHORT)
    later = Operation(code="X3", name="fit the plate", effort=SHORT, after=("X1",))
    return with_operations(book, code, finish, dusty, later)


@further
def something_oily_stands_beside_glue(book: Book, rng: Random) -> Book:
    code = rng.choice(("R1", "C1", "L1"))
    faces = rng.choice((((), ()), (("inside",), ("inside",)), (("inside",), ("outside",)), ((), ("outside",))))
    oily = Operation(code="X1", name=rng.choice(("oil the case", "wax the front")), effort=SHORT, faces=faces[0])
    glue = Operation(code="X2", name="glue-up of the frame", effort=SHORT, faces=faces[1])
    return with_operations(book, code, oily, glue)


@further
def a_kept_layout_has_no_room(book: Book, rng: Random) -> Book:
    """A layout was kept that found no place for a panel."""
    unit = book.units["R1"]
    parts = parts_of(unit, PartKind.PANELS)
    without = rng.choice(parts)
    kept = KeptLayout(
        what=str(PartKind.PANELS),
        chosen_at=NOW,
        kerf=Length.of("3"),
        trim=Length.of("5"),
        thickness_tolerance=Length.of("0.2"),
        parts=tuple(wanted_of(part) for part in parts),
        left_out=(LeftOut(part=without.code, quantity=1, why=f"{without.code} needs 104 mm more in length"),),
        to_buy=(f"To buy for {without.code}: {without.material}, at least 958 x 241.",),
    )
    return put(book, unit.model_copy(update={"layouts": (kept,)}))


def laid_out(book: Book, code: str, kind: PartKind) -> Book:
    """The book with a layout kept for some parts of a unit."""
    unit = book.units[code]
    rules = replace(rules_of(book.shop, code), seconds=0.5)
    asked = Asked(parts_of(unit, kind), pieces_of(book.shop, rules, book.units.values(), kind), rules)
    kept = kept_of(search(*asked), asked, book.shop, kind, NOW)
    return put(book, unit.model_copy(update={"layouts": (*unit.layouts, kept)}))


@further
def another_unit_has_laid_out(book: Book, rng: Random) -> Book:
    """Two units want the same boards and the same strip, and one of them has kept its layout."""
    twin = book.units["R1"].model_copy(update={"code": "X9", "name": "second radio"})
    for kind in rng.choice((tuple(PartKind), (PartKind.PANELS,), (PartKind.STRIPS, PartKind.VENEER))):
        book = laid_out(book, "R1", kind)
    return put(book, twin)


@further
def it_goes_back_together(book: Book, rng: Random) -> Book:
    """At the reassembly, with nothing typed as next: nothing ticked, some lines, or all."""
    code = rng.choice(("R1", "C1", "G1"))
    unit = book.units[code].model_copy(update={"stage": Stage.REASSEMBLY, "next_action": "", "waiting": ()})
    book = put(book, unit)
    ticked = rng.choice((None, ready_lines_are_ticked, every_line_is_ticked))
    return book if ticked is None else ticked(book.model_copy(update={"units": {code: unit}}), rng)


@further
def the_typed_next_is_past(book: Book, rng: Random) -> Book:
    """What was typed as next is done, or what comes before it is not."""
    unit = book.units["C1"]
    place = rng.choice((0, 4, rng.randrange(len(unit.operations))))
    named = unit.operations[place]
    book = put(book, unit.model_copy(update={"next_action": rng.choice((named.name, f"{named.code} soon"))}))
    done = {"state": WorkState.DONE, "done_at": NOW - timedelta(days=3)}
    return changed_in(book, book.units["C1"], "operations", place, **(done if rng.random() < 0.5 else {}))


@further
def a_joint_is_made_anew(book: Book, rng: Random) -> Book:
    """The joint of the drawer stops is taken in, done long ago or yesterday, and lines are ticked."""
    unit, usual = book.units["C1"], usual_work(book.shop)
    joint = next(p for p in proposed(unit, usual) if p.operation.code == "J-C05")
    unit = taken_in(unit, joint)
    ended = {"state": WorkState.DONE, "done_at": NOW - timedelta(days=rng.choice((1, 60))), "spent": 15}
    book = changed_in(put(book, unit), unit, "operations", -1, **(ended if rng.random() < 0.75 else {}))
    try:
        unit = tick(book.units["C1"], "C05", at=NOW - timedelta(hours=1), initials="AB", override="as told")
    except LogbookError:
        return book
    return put(book, unit) if rng.random() < 0.75 else book


@further
def some_members_of_a_joint_are_made(book: Book, rng: Random) -> Book:
    """The stops of some drawers are glued in, each at its own time, or of all four; the work before is done."""
    unit = book.units["C1"]
    done = {"state": WorkState.DONE, "done_at": NOW - timedelta(days=60)}
    unit = unit.model_copy(update={
        "operations": tuple(o.model_copy(update=done) for o in unit.operations),
        "parts": tuple(p.model_copy(update={"supply": Supply.HERE}) for p in unit.parts),
        "components": tuple(c.model_copy(update={"repaired": True}) for c in unit.components),
    })  # fmt: skip
    for key in ("check", "C08", "C07", "C06"):
        unit = tick(unit, key, at=NOW - timedelta(days=3), initials="AB", override="as told")
    for number in range(1, rng.choice((1, 3, 4, 4)) + 1):
        at = NOW - timedelta(hours=rng.choice((1, 5, 30)))
        unit = tick(unit, f"C05/D{number}", at=at, initials="AB", override="as told")
    return put(book, unit)


@further
def some_work_is_not_estimated(book: Book, rng: Random) -> Book:
    """Half of the work has a time, or none of it has one, the reassembly written down as well."""
    if rng.random() < 0.5:
        unit = book.units[rng.choice(("R1", "C1"))]
        operations = tuple(
            o.model_copy(update={"effort": None} if i % 2 else {}) for i, o in enumerate(unit.operations)
        )
    else:
        unit = book.units["G1"]
        whole = Operation(code="X1", name="put it together", stands_for=("A-all",))
        operations = (*(o.model_copy(update={"effort": None}) for o in unit.operations), whole)
    return put(book, unit.model_copy(update={"operations": operations}))


@further
def the_stop_line_is_below_everything(book: Book, rng: Random) -> Book:
    line = StopLine(amount=Decimal(rng.choice((1, 18, 57))), set_at=NOW - timedelta(days=1))
    return put(book, book.units["R1"].model_copy(update={"stop_lines": (line,)}))


@further
def the_next_is_behind_a_failed_test(book: Book, rng: Random) -> Book:
    book = _tested(book, passed=rng.choice((True, False)))
    return put(book, book.units["R1"].model_copy(update={"next_action": rng.choice(("B01", "B01 lay out"))}))


@further
def nothing_goes_back_yet(book: Book, rng: Random) -> Book:
    """At the reassembly every line that can be ticked is ticked, and what comes next is not here."""
    unit = book.units[rng.choice(("R1", "C1", "G1"))]
    unit = unit.model_copy(update={"stage": Stage.REASSEMBLY, "next_action": "", "waiting": ()})
    for _ in unit.steps:
        listed = refit_list(unit)
        ready = readiness(unit, listed, NOW)
        line = next((x for x in listed.lines if ready[x.key].ready and x.hold is None), None)
        if line is None:
            break
        unit = tick(unit, line.key, at=NOW - timedelta(days=3), initials="AB", override="proved with the meter")
    return put(book, unit)


@further
def everything_is_done(book: Book, rng: Random) -> Book:
    """No work is left and every line is ticked, or all but a few."""
    unit = book.units[rng.choice(("G1", "C1", "R1"))]
    done = {"state": WorkState.DONE, "done_at": NOW - timedelta(days=60)}
    unit = unit.model_copy(update={
        "operations": tuple(o.model_copy(update=done) for o in unit.operations),
        "components": tuple(c.model_copy(update={"repaired": True}) for c in unit.components),
        "steps": tuple(s.model_copy(update={"planned": False}) for s in unit.steps),
    })  # fmt: skip
    case = unit.case
    unit = unit.model_copy(update={"case": None if case is None else case.model_copy(update={"panels": ()})})
    return every_line_is_ticked(put(book.model_copy(update={"units": {unit.code: unit}}), unit), rng)


@further
def the_old_case_is_scrap(book: Book, rng: Random) -> Book:
    """The old case does not go back, a new one is built, and nobody said at its steps by which work."""
    radio = book.units["R1"]
    steps = tuple(
        s if s.one_way is None else s.model_copy(update={"one_way": s.one_way.model_copy(update={"rebuilt_by": ()})})
        for s in radio.steps
    )
    gone = {
        "disposition": rng.choice((Disposition.SCRAP, Disposition.PATTERN)),
        "from_step": rng.choice(("T20", "T21")),
    }
    components = tuple(c.model_copy(update=gone) if c.code == "OC" else c for c in radio.components)
    return put(book, radio.model_copy(update={"steps": steps, "components": components}))


@further
def somebody_writes_down_what_follows(book: Book, rng: Random) -> Book:
    """An operation under the words of one that follows from the record: not asked yet, said to be it, or another."""
    usual = usual_work(book.shop)
    offered = [(u, p) for u in book.units.values() for p in proposed(u, usual)]
    unit, proposal = rng.choice(offered)
    name, code = f"the {proposal.operation.name}", proposal.operation.code
    book = with_operations(book, unit.code, Operation(code="X1", name=name, effort=SHORT))
    said = rng.choice((None, as_this_one, as_another))
    return book if said is None else put(book, said(book.units[unit.code], "X1", code))
