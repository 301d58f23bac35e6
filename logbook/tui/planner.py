"""The plan beside the screens: made and improved in a worker, so that no key ever waits for it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from threading import Event

from logbook.errors import LogbookError
from logbook.model.unit import Book
from logbook.planning.making import MadePlan, better_plan, made_plan, with_fewest_moves
from logbook.planning.solver import solver_installed
from logbook.session import Session
from logbook.session.set_aside import faulty_units
from logbook.tui.screen_frame import BookScreen

ROUNDS = 12
"""Rounds of improving in the background: some ten seconds."""


def whole_book(session: Session) -> Book:
    """Every unit that can be worked out, as one value that a worker may use; the bench names the others."""
    return session.book()


class Planner:
    """Makes the plan of one screen, tells it, and goes on improving until something newer is asked for."""

    def __init__(self, screen: BookScreen, told: Callable[[MadePlan, str], None]) -> None:
        """Tell `told` each plan, always on the screen's own thread, with a word on how it goes on."""
        self._screen, self._told, self._stop = screen, told, Event()

    def stop(self) -> None:
        """End what is going on."""
        self._stop.set()

    def start(self, *, improve: bool, anew: bool = False) -> None:
        """Make the plan of the book as it is now; improve it, or only move as little as possible of the kept one."""
        self.stop()
        stop = self._stop = Event()
        session = self._screen.session
        book, now = whole_book(session), session.now

        def work() -> None:
            try:
                self._make(book, now, stop, improve=improve, anew=anew)
            except LogbookError as error:
                said = str(error)
                self._tell(stop, lambda: self._screen.say(said, "error"))
            except Exception:
                faulty = faulty_units(book, lambda some: made_plan(some, now, anew=anew))
                if not faulty:
                    raise
                self._tell(stop, lambda: self._without(faulty, improve=improve, anew=anew))

        self._screen.run_worker(work, thread=True, exclusive=True, group="plan")

    def _without(self, faulty: dict[str, Exception], *, improve: bool, anew: bool) -> None:
        """The plan of the other units; those that cannot be planned are named on the bench."""
        for code, fault in faulty.items():
            self._screen.session.set_aside(code, fault)
        self._screen.say(f"Left out, because the program fails with it: {', '.join(faulty)}. ! says more.", "error")
        self.start(improve=improve, anew=anew)

    def _make(self, book: Book, now: datetime, stop: Event, *, improve: bool, anew: bool) -> None:
        made = made_plan(book, now, anew=anew)
        solver = solver_installed()
        self._tell(stop, lambda: self._told(made, "improving" if improve else ""))
        if improve:
            better_plan(made, ROUNDS if solver else 4, lambda m: self._round(m, stop), stop.is_set)
        elif book.shop.plan and made.moved and solver:
            fewer = with_fewest_moves(made, book.shop)
            self._tell(stop, lambda: self._told(fewer, ""))

    def _round(self, made: MadePlan, stop: Event) -> bool:
        going = "improving" if made.best.rounds < ROUNDS and not made.best.proven else ""
        self._tell(stop, lambda: self._told(made, going))
        return not stop.is_set()

    def _tell(self, stop: Event, what: Callable[[], None]) -> None:
        if stop.is_set() or not self._screen.is_attached:
            return
        self._screen.app.call_from_thread(lambda: None if stop.is_set() else what())
