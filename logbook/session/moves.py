"""Units that came into the book or were taken out of it while it was open, so that undo and redo cover them too."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from logbook.store import BookFolder, Removed


@dataclass(slots=True)
class Aside:
    """Where the folder of a unit lies while it is out of the book; a unit taken out and put back has one of both."""

    at: Removed | None = None


@dataclass(slots=True)
class Move:
    """A unit that came in, or was taken out."""

    code: str
    what: str
    """What was done, in words."""
    at: datetime
    came_in: bool
    turn: int
    """Its place among the changes of the book."""
    aside: Aside = field(default_factory=Aside)


class Moves:
    """What was moved, in order, and what of it was taken back."""

    def __init__(self, folder: BookFolder) -> None:
        self._folder = folder
        self._done: list[Move] = []
        self._undone: list[Move] = []

    def note(self, move: Move) -> None:
        """A move was made; nothing that was taken back can be done again."""
        self._done.append(move)
        self.changed()

    def note_put_back(self, removed: Removed, what: str, at: datetime) -> None:
        """A unit that lay aside was put back, whether it was taken out in this run or in one before."""
        aside = next((m.aside for m in self._done if m.aside.at == removed), Aside())
        aside.at = None
        self.note(Move(removed.code, what, at, came_in=True, turn=self._folder.next_turn(), aside=aside))

    def changed(self) -> None:
        """A record was changed: what was taken back before cannot be done again."""
        self._undone.clear()

    @property
    def last(self) -> Move | None:
        """The move that is taken back next among the moves; None when there is none."""
        return self._done[-1] if self._done else None

    def is_next(self, turn: int | None, *, back: bool) -> bool:
        """Whether a move comes before the change of a record with this turn; None when there is none."""
        moves = self._done if back else self._undone
        if not moves:
            return False
        return turn is None or moves[-1].turn > turn

    def step(self, now: datetime, *, back: bool) -> Move:
        """Take the last move back, or do it again; the unit is then out of the book, or in it.

        Raises:
            StoreError: the disk refused; nothing was moved.
        """
        start, end = (self._done, self._undone) if back else (self._undone, self._done)
        move = start[-1]
        if move.came_in == back:
            move.aside.at = self._folder.remove_unit(move.code)
        elif move.aside.at is not None:
            self._folder.put_back(move.aside.at)
            move.aside.at = None
        end.append(start.pop())
        move.at, move.turn = now, self._folder.next_turn()
        return move
