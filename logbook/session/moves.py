"""Units that came into the book or were taken out of it while it was open, so that undo and redo cover them too."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from logbook.store import BookFolder, Removed


@dataclass(slots=True)
class Move:
    """A unit that came in, or was taken out."""

    code: str
    what: str
    """What was done, in words."""
    at: datetime
    came_in: bool
    aside: Removed | None = None
    """Where its folder lies while it is out of the book."""


class Moves:
    """What was moved, in order, and what of it was taken back."""

    def __init__(self, folder: BookFolder) -> None:
        self._folder = folder
        self._done: list[Move] = []
        self._undone: list[Move] = []
        self._last = False

    def note(self, move: Move) -> None:
        """A move was made; nothing that was taken back can be done again."""
        self._done.append(move)
        self.changed()
        self._last = True

    def changed(self) -> None:
        """A record was changed: what was taken back before cannot be done again."""
        self._undone.clear()
        self._last = False

    def is_next(self, at: datetime | None, *, back: bool) -> bool:
        """Whether a move comes before the change of a record made (or taken back) at `at`; None when there is none."""
        moves = self._done if back else self._undone
        if not moves:
            return False
        return at is None or moves[-1].at > at or (moves[-1].at == at and self._last)

    def step(self, now: datetime, *, back: bool) -> Move:
        """Take the last move back, or do it again; the unit is then out of the book, or in it.

        Raises:
            StoreError: the disk refused; nothing was moved.
        """
        start, end = (self._done, self._undone) if back else (self._undone, self._done)
        move = start[-1]
        if move.came_in == back:
            move.aside = self._folder.remove_unit(move.code)
        elif move.aside is not None:
            self._folder.put_back(move.aside)
            move.aside = None
        end.append(start.pop())
        move.at = now
        return move
