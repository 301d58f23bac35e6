"""The commands `plan` and `now`."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.cli.books import CommandCall
from logbook.cli.output import write
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.planning.at_rest import AtRest
    from logbook.planning.countdown import Countdown
    from logbook.planning.making import MadePlan
    from logbook.planning.plan import Plan
    from logbook.session import Session
    from logbook.teardown.stage import NowItem, Reminder


def plan(call: CommandCall) -> int:
    """Print the plan over all units, or write it as a calendar file."""
    with call.write() if call.options.keep else call.read() as session:
        return _plan(call, session)


def _plan(call: CommandCall, session: Session) -> int:
    from logbook.cli.shared import say_problems, whole_book, width, write_json
    from logbook.planning.from_book import Basis
    from logbook.planning.making import keep_plan, made_plan
    from logbook.render.plan_document import plan_data, plan_text

    start = time.monotonic()
    options, how = call.options, Basis(call.options.basis)

    def first() -> MadePlan:
        book, proposals = whole_book(session), not options.recorded
        return made_plan(book, session.now, basis=how, proposals=proposals, anew=options.anew)

    made = session.over_all(first)
    book = whole_book(session)
    made = _better(made, options.improve, options.seconds, start)
    shown = made.plan(book)
    if options.keep:
        session.apply_shop("plan kept", lambda shop: keep_plan(shop, made))
    if options.ics:
        _write_calendar(options.ics, shown, replace=options.replace)
    elif options.as_json:
        write_json(plan_data(shown, made))
    else:
        write(plan_text(shown, made, width=width(call), weeks=options.weeks))
    say_problems(session)
    return 1 if shown.unplanned else 0


def _better(made: MadePlan, rounds: int, seconds: int, start: float) -> MadePlan:
    """The plan improved for so many rounds, or until so many seconds after `start` are over."""
    from logbook.planning.making import better_plan

    if not rounds and not seconds:
        return made
    end = start + (seconds or 10**9)

    def is_over() -> bool:
        return time.monotonic() >= end

    return better_plan(made, rounds or 10**6, lambda _: not is_over(), is_over)


def _write_calendar(where: str, shown: Plan, *, replace: bool) -> None:
    from logbook.render.calendar_file import calendar_file
    from logbook.session.file_out import put_file

    raw = calendar_file(shown)
    if where == "-":
        write(raw.decode("utf-8"))
        return
    put = put_file(Path(os.path.expanduser(where)), raw, replace=replace)
    write(f"Written: {clean(str(put), limit=500)}\n")


def now(call: CommandCall) -> int:
    """Print what can be done in the next minutes."""
    from logbook.cli.shared import say_problems, width, write_json
    from logbook.model.measures import parse_minutes
    from logbook.planning.at_rest import at_rest
    from logbook.planning.countdown import countdowns
    from logbook.planning.reminders import reminders
    from logbook.planning.what_now import what_now
    from logbook.render.plan_document import now_data, now_text

    minutes = parse_minutes(call.options.minutes)
    with call.read() as session:
        moment = session.shop_now

        def work() -> tuple[tuple[NowItem, ...], tuple[Countdown, ...], tuple[Reminder, ...], tuple[AtRest, ...]]:
            whole = session.whole()
            return (
                what_now(whole, minutes, moment),
                countdowns(whole, moment),
                reminders(whole, moment, waits=False),
                at_rest(whole, moment),
            )

        found = session.over_all(work)
        if call.options.as_json:
            write_json(now_data(*found, minutes=minutes, now=moment))
        else:
            write(now_text(*found, minutes=minutes, now=moment, width=width(call)))
        say_problems(session)
    return 0
