"""The search for a layout beside the screen: it runs in a thread, tells how far it is, and can be stopped."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from logbook.errors import LogbookError
from logbook.layout.checker import problems_of
from logbook.layout.cut_records import Layout
from logbook.layout.kept import Asked
from logbook.layout.layout_search import search
from logbook.model.plural import counted
from logbook.tui.screen_frame import BookScreen

Then = Callable[[Layout], None]


class SearchingPlace(BookScreen):
    """A place that searches for layouts. Only what has passed the checker reaches `then`."""

    searching = False
    _stopping = False
    _gone = False

    def search_for(self, asked: Asked, then: Then) -> None:
        """Search in a thread; `then` is called here with the layout. One that is running is stopped first."""
        self._stopping, self.searching = False, True
        self.say("Laying out. Esc stops with the best so far.")
        self.run_worker(partial(self._work, asked, then), thread=True, exclusive=True, group="layout")

    def stop_search(self) -> None:
        """End the search with the best so far."""
        self._stopping = True

    def on_unmount(self) -> None:
        """Nobody waits for it any more."""
        self._stopping = self._gone = True

    def _work(self, asked: Asked, then: Then) -> None:
        found: Layout | str
        try:
            found = search(*asked, progress=self._tell, stop=lambda: self._stopping)
            wrong = problems_of(found, *asked)
            if wrong:
                found = f"The layout did not pass its check and is not shown: {wrong[0]}"
        except LogbookError as error:
            found = str(error)
        self._from_thread(partial(self._ended, found, then))

    def _tell(self, layout: Layout) -> None:
        placed, missing = len(layout.placements), sum(u.quantity for u in layout.unplaced)
        left = f", no room for {missing}" if missing else ""
        words = f"So far {placed} on {counted(len(layout.used), 'piece')}{left}. Esc stops with the best so far."
        self._from_thread(partial(self.say, words))

    def _from_thread(self, call: Callable[[], None]) -> None:
        if not self._gone and self.app.is_running:
            self.app.call_from_thread(self._if_here, call)

    def _if_here(self, call: Callable[[], None]) -> None:
        if not self._gone and self.is_mounted:
            call()

    def _ended(self, found: Layout | str, then: Then) -> None:
        self.searching = False
        if isinstance(found, str):
            self.say(found, "error")
            return
        stopped = "Stopped; this is the best so far." if self._stopping else ""
        self.say(stopped)
        then(found)
