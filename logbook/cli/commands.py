"""What each command does. Every one opens the book, asks a pure function, and prints its text."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from logbook.cli.books import CommandCall, code_in
from logbook.cli.output import is_terminal, write
from logbook.cli.shared import print_made, say_problems, suggested, today, whole_book, width, write_json, write_now
from logbook.errors import InputError
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.costing import ToBuy
    from logbook.costing.to_buy_records import FreedByPurchase
    from logbook.session import Session


def interface(call: CommandCall) -> int:
    """Open the interface on the book."""
    if not is_terminal() and "LOGBOOK_SERVED" not in os.environ:  # a browser is the terminal then
        raise InputError(
            "There is no terminal here for the interface. For text use a command, such as "
            "“logbook bench” or “logbook reassembly UNIT”; “logbook --help” lists them all."
        )
    return show(call, call.session_for_screens(call.book))


def show(call: CommandCall, session: Session) -> int:  # noqa: ARG001 - what a command is given
    """Show a session on the screen until the person leaves."""
    from logbook.tui.app import run

    return run(session)


def bench(call: CommandCall) -> int:
    """Print the overview over all units."""
    from logbook.render.bench_document import bench_data, bench_text

    with call.read() as session:
        if call.options.as_json:
            write_json(session.over_all(lambda: bench_data(session.lines(), session.whole(), session.now)))
        else:
            wide = width(call)
            write(session.over_all(lambda: bench_text(session.lines(), session.whole(), session.now, width=wide)))
        say_problems(session)
    return 0


def reassembly(call: CommandCall) -> int:
    """Print the reassembly list of a unit."""
    from logbook.costing import from_shop
    from logbook.reassembly import readiness, refit_list
    from logbook.render.reassembly_list import reassembly_data, reassembly_text

    with call.read() as session:
        code = code_in(session, call.options.unit)
        unit, kept, now = session.unit(code), session.kept(code), session.shop_now
        listed = refit_list(unit, from_shop(unit, session.shop, session.today))
        ready = readiness(unit, listed, now)
        make: Callable[..., Any] = reassembly_data if call.options.as_json else reassembly_text
        more = {} if call.options.as_json else {"width": width(call)}
        print_made(
            make(
                unit,
                listed,
                ready,
                version=kept.version,
                kept_at=kept.at,
                now=now,
                ready_only=call.options.ready,
                **more,
            )
        )
        say_problems(session, code)
    return 0


def bom(call: CommandCall) -> int:
    """Print the bill of materials of a unit."""
    from logbook.costing import bill_of_materials, own_material
    from logbook.render.bill_document import bom_csv, bom_data, bom_text

    with call.read() as session:
        code = code_in(session, call.options.unit)
        unit, shop = session.unit(code), session.shop_for(code)
        bill, own = bill_of_materials(unit, shop, today(session)), own_material(unit, shop)
        if call.options.as_csv:
            write(bom_csv(bill))
        elif call.options.as_json:
            write_json(bom_data(unit, shop, bill, own))
        else:
            write(bom_text(unit, shop, bill, session.now, width=width(call), own=own))
        say_problems(session, unit.code)
    return 0


def to_buy(call: CommandCall) -> int:
    """Print what is to buy, over all units or for one; or write down what has come."""
    if call.options.here:
        from logbook.cli.to_buy_command import arrival

        return arrival(call)
    from logbook.costing import freed_by_parcel
    from logbook.costing import to_buy as listed
    from logbook.render.to_buy_document import to_buy_csv, to_buy_data, to_buy_text

    with call.read() as session:
        shop = session.shop
        code = code_in(session, call.options.unit) if call.options.unit else ""

        def work() -> tuple[ToBuy, dict[str, tuple[FreedByPurchase, ...]]]:
            units = whole_book(session).units
            every = list(units.values())
            found = listed([session.unit(code)] if code else every, shop, session.now, every)
            return found, {p.seller: freed_by_parcel(p, units, shop, session.now) for p in found.parcels}

        found, together = session.over_all(work)
        if call.options.as_csv:
            write(to_buy_csv(found))
        elif call.options.as_json:
            write_json(to_buy_data(found, shop, together))
        else:
            title = f"{code} {session.unit(code).name}" if code else "ALL UNITS"
            write(to_buy_text(found, shop, session.now, width=width(call), title=title, together=together))
        say_problems(session, code)
    return 0


def cost(call: CommandCall) -> int:
    """Print what a unit still costs, and what could be done instead."""
    from logbook.costing import cost_views, decision
    from logbook.render.costs_document import cost_data, cost_text
    from logbook.render.decision_data import decision_csv
    from logbook.render.weighing import taken_text

    with call.read() as session:
        code = code_in(session, call.options.unit)
        unit, shop = session.unit(code), session.shop_for(code)
        decided, views = decision(unit, shop, today(session)), cost_views(unit, shop, today(session))
        if call.options.as_csv:
            write(decision_csv(decided))
        elif call.options.as_json:
            write_json(
                cost_data(unit, shop, decided.compared, views, decided=decided, offered=suggested(session, unit))
            )
        elif call.options.taken:
            write(taken_text(unit, suggested(session, unit), width=width(call)))
        else:
            write(cost_text(unit, shop, decided.compared, views, session.now, width=width(call), decided=decided))
        say_problems(session, unit.code)
    return 0


def screw(call: CommandCall) -> int:
    """Print which thread a loose screw can have, and where such a one belongs."""
    from logbook.cli.loose_screw_command import identified
    from logbook.render.screw import screw_data, screw_text

    with call.read() as session:
        loose, answer, found = identified(call.options, session)
        if call.options.as_json:
            write_json(screw_data(loose, answer, found))
        else:
            write(screw_text(answer, found, columns=width(call)))
        say_problems(session, call.options.unit.upper())
    return 0


def panels(call: CommandCall) -> int:
    """Print the case of a unit; 1 when something held is lost or does not go together."""
    from logbook.casework import worked_case
    from logbook.render.case_document import panels_csv, panels_data, panels_text

    with call.read() as session:
        code = code_in(session, call.options.unit)
        unit, shop = session.unit(code), session.shop_for(code)
        worked = worked_case(unit, shop.settings)
        if call.options.as_csv:
            write(panels_csv(unit, shop, worked))
        elif call.options.as_json:
            write_json(panels_data(unit, shop, worked))
        else:
            write(panels_text(unit, shop, worked, session.now, width=width(call)))
        say_problems(session, unit.code)
    return 1 if worked is not None and (worked.not_held or worked.wrong) else 0


def check(call: CommandCall) -> int:
    """Check the records and the book; 1 when something is wrong."""
    from logbook.checks import Severity, check_book, check_unit
    from logbook.render.findings import check_data, check_text

    with call.read() as session:
        code = code_in(session, call.options.unit) if call.options.unit else ""
        if code:
            found = check_unit(session.unit(code), session.shop_for(code), session.now)
        else:
            found = session.over_all(lambda: check_book(whole_book(session), session.now))
        damage = session.look_through(code or None)
        where = code or "the whole book"
        if call.options.as_json:
            write_json(check_data(where, found, damage))
        else:
            write(check_text(where, found, damage, width=width(call)))
    return 1 if damage or any(p.severity is not Severity.NOTE for p in found) else 0


def photos(call: CommandCall) -> int:
    """Link, list, check or copy out photos."""
    from logbook.cli.photo_commands import DOES

    return DOES[call.options.what](call)


def serve(call: CommandCall) -> int:
    """Open the interface with the page for the phone, or serve the interface to a browser."""
    options = call.options
    if options.browser:
        from logbook.serve.browser import Served
        from logbook.serve.door import local_address

        call.session_for_screens(call.book).close()  # the book is begun, and damage is said here and not in a tab
        host = local_address() if options.network else "127.0.0.1"
        Served(call.book, host, options.port).run(write_now)
        return 0
    if not is_terminal():
        raise InputError("There is no terminal here for the interface. “logbook serve --browser” needs none.")
    from logbook.tui.app import run

    return run(call.session_for_screens(call.book), phone="network" if options.network else "own")


def layout(call: CommandCall) -> int:
    """Lay parts out on offcuts; 1 when a part found no place."""
    if call.options.unit:
        if call.options.parts or call.options.offcuts:
            raise InputError("Say a unit, or the two tables --parts and --offcuts, not both.")
        from logbook.cli.pile_commands import layout_of_unit

        return layout_of_unit(call)
    from logbook.cli.table_commands import layout_of_tables

    return layout_of_tables(call)


def pile(call: CommandCall) -> int:
    """Print the scrap pile, or take pieces in from a table."""
    from logbook.cli.pile_commands import show_pile

    return show_pile(call)


def print_(call: CommandCall) -> int:
    """Print a document of a unit, to a file or to the output."""
    from logbook.cli.print_command import print_ as printed

    return printed(call)


def ticks(call: CommandCall) -> int:
    """Enter the ticks made on a printed list."""
    from logbook.cli.print_command import ticks as entered

    return entered(call)


def starters(call: CommandCall) -> int:
    """List the kinds of object to start from, or show one."""
    from logbook.cli.print_command import starters as listed

    return listed(call)


def guide(call: CommandCall) -> int:
    """Print a page of the guide, or the list of its pages."""
    from logbook.cli.guide_command import print_guide

    return print_guide(call)


def import_(call: CommandCall) -> int:
    """Take a document into the book."""
    from logbook.cli.document_commands import take_in

    write(clean(take_in(call), limit=300) + "\n")
    return 0


def export(call: CommandCall) -> int:
    """Print a document."""
    from logbook.cli.document_commands import give_out

    give_out(call)
    return 0


def join(call: CommandCall) -> int:
    """Join with another copy; 1 when something is left to look at."""
    from logbook.cli.join_command import join as joined

    return joined(call)


def schema(call: CommandCall) -> int:  # noqa: ARG001 - what every command is given
    """Print the JSON Schema of the documents."""
    from logbook.model.document import schema as made

    write_json(made())
    return 0


def plan(call: CommandCall) -> int:
    """Print the plan over all units."""
    from logbook.cli.plan_commands import plan as planned

    return planned(call)


def now(call: CommandCall) -> int:
    """Print what can be done now."""
    from logbook.cli.plan_commands import now as listed

    return listed(call)


def demo(call: CommandCall) -> int:
    """Make the demo book if it is not there; open it, or print it where there is no terminal."""
    from logbook.cli.example import demo_session, print_demo

    if is_terminal():
        return show(call, demo_session(call))
    print_demo(call)
    return 0


def lesson(call: CommandCall) -> int:
    """Go on with the lesson; print how far it is where there is no terminal."""
    from logbook.cli.lesson_command import lesson_session, print_lesson

    if is_terminal():
        return show(call, lesson_session(call))
    print_lesson(call)
    return 0


COMMANDS: dict[str | None, Callable[[CommandCall], int]] = {
    None: interface,
    "demo": demo,
    "lesson": lesson,
    "bench": bench,
    "reassembly": reassembly,
    "bom": bom,
    "to-buy": to_buy,
    "cost": cost,
    "plan": plan,
    "now": now,
    "screw": screw,
    "print": print_,
    "ticks": ticks,
    "starters": starters,
    "guide": guide,
    "check": check,
    "photos": photos,
    "serve": serve,
    "panels": panels,
    "layout": layout,
    "pile": pile,
    "import": import_,
    "export": export,
    "join": join,
    "schema": schema,
}
"""Every command by its name; without a name the interface."""
