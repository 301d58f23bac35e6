"""A search on the command line: what it has so far is told on a terminal, and Ctrl-C ends it with that."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from logbook.cli.output import write
from logbook.model.plural import counted

if TYPE_CHECKING:
    from logbook.layout.cut_records import Layout, PartToCut, Piece, Rules


def searched(parts: tuple[PartToCut, ...], pieces: tuple[Piece, ...], rules: Rules) -> Layout:
    """The layout that the search finds in its time, or has found when Ctrl-C is pressed."""
    from logbook.layout.layout_search import search

    with stoppable() as stopped, _told() as tell:
        return search(parts, pieces, rules, progress=tell, stop=stopped)


@contextmanager
def stoppable() -> Iterator[Callable[[], bool]]:
    """Within it the first Ctrl-C only makes the function given answer true; a second one interrupts as ever."""
    pressed = threading.Event()
    if threading.current_thread() is not threading.main_thread():  # only there can a signal be caught
        yield pressed.is_set
        return
    before = signal.getsignal(signal.SIGINT)

    def first(_signal: int, _frame: Any) -> None:
        pressed.set()
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, first)
    try:
        yield pressed.is_set
    finally:
        signal.signal(signal.SIGINT, before)


@contextmanager
def _told() -> Iterator[Callable[[Layout], None] | None]:
    """One line on the error output that says what is found so far, when a person sits there."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield None
        return

    def tell(layout: Layout) -> None:
        missing = sum(u.quantity for u in layout.unplaced)
        lack = f", no room for {missing}" if missing else ""
        words = f"so far {counted(len(layout.used), 'piece')}{lack}; Ctrl-C ends the search with this"
        write(f"\r{words:<76}", sys.stderr)

    try:
        yield tell
    finally:
        write(f"\r{'':<76}\r", sys.stderr)
