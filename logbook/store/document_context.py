"""What every document of a book shares: who writes, the clock, limits and migrations."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from logbook.store.storage import Json

Migration = Callable[[Json], Json]
"""Takes a record of one form and returns it in the next; it must not change what it was given."""

Migrations = Mapping[str, Mapping[int, Migration]]
"""For `unit` and `shop`: the number of a form and what leads from it to the next, numbered without a gap from 1."""


@dataclass(frozen=True, slots=True)
class KeepingLimits:
    """How often documents follow and how much is kept beside them."""

    save_every: int = 50
    """Changes after which the document is renewed; the history holds every one at once."""
    copies: int = 3
    """Good copies kept of each document."""
    copy_age: timedelta = timedelta(hours=1)
    """A new copy is kept when the newest is at least this old, so that copies reach back in time."""
    live_bytes: int = 2_000_000
    """Size from which the older part of a history is packed into its folder `history`."""


@dataclass(slots=True)
class Keeping:
    """Handed by the book to its documents."""

    by: str
    now: Callable[[], datetime]
    limits: KeepingLimits = field(default_factory=KeepingLimits)
    migrations: Migrations = field(default_factory=dict)
    new_identity: Callable[[], str] = lambda: secrets.token_hex(8)
    read_only: bool = False
    ready: Callable[[], None] = lambda: None
    """Called before every change; raises `StoreError` when the book must not be written now."""

    learn_turns: Callable[[], None] = lambda: None
    """Called before every change: records that were not read yet may hold later ones than are known."""

    turn: int = 0
    """The place of the latest change that is known among those of the whole book."""

    def next_turn(self) -> int:
        """The place of a new change: after all that there are, also when the clock was set back."""
        self.learn_turns()
        self.turn += 1
        return self.turn

    def newest(self, kind: str) -> int:
        """Number of the form that this program writes."""
        return max(self.migrations.get(kind, {}), default=0) + 1
