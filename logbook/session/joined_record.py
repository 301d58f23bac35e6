"""A record as it is after another line of its changes was joined with it, and who keeps such records."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple, Protocol

from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.store import HistoryEntry
from logbook.store.branch import Branch


class JoinedRecord(NamedTuple):
    """One record of a joining."""

    code: str
    """The unit, or empty for the shop."""
    record: Unit | Shop
    branch: Branch
    """The other line."""
    since: list[HistoryEntry]
    """What was done in it that this record did not have."""
    said: dict[str, Any]
    """What the entry says of it; empty for a record that only follows another one."""


class KeepsJoined(Protocol):
    """An open book that can be written in."""

    @property
    def path(self) -> Path:
        """The folder of the book."""

    @property
    def read_only(self) -> bool:
        """Whether nothing can be kept."""

    @property
    def why_read_only(self) -> str:
        """Why, in a sentence."""

    def on_shop_clock(self, moment: datetime) -> datetime:
        """A moment of the record as the shop's clock shows it."""

    def record(self, code: str) -> Unit | Shop:
        """The record of a unit, or of the shop."""

    def keep_joined(self, what: str, joins: Sequence[JoinedRecord]) -> None:
        """Keep records that were joined as one change."""

    def adopt(self, code: str, folder: Path, what: str) -> None:
        """Take a unit in from a folder elsewhere."""
