"""What the book's own tables remember of a record: its overview, and how it stood when that was written.

An overview is believed only while the record is the one that it was made from. Whether that is so is told without
reading the record: by size and time of its files, or, once it is read, by number and mark of its last change.
"""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from logbook.files import stamp_of
from logbook.store.history_lines import moment_of

if TYPE_CHECKING:
    from logbook.store.history_file import HistoryFile
    from logbook.store.loading import Loaded
    from logbook.store.place import RecordFiles
    from logbook.store.storage import Json

Stamps = tuple[tuple[int, int, int] | None, tuple[int, int, int] | None]
"""What tells one state of a record's two files from another without reading them."""


def stamps_of(place: RecordFiles) -> Stamps:
    """The stamps of a record's document and history as they are now."""
    return stamp_of(place.document), stamp_of(place.history)


class Remembered:
    """The row of one record. All of it can be made anew."""

    def __init__(self, place: RecordFiles) -> None:
        self._place = place
        self.row: Json = {}
        self._compared: tuple[Stamps, bool] | None = None
        """The stamps that were looked at last, and whether the row is of a record with them."""

    def of_files(self, stamps: Stamps) -> Json:
        """The row when it is of the record that lies in files with these stamps; else empty."""
        if self._compared is None or self._compared[0] != stamps:
            self._compared = stamps, self.row.get("files") == _sizes(stamps)
        return self.row if self._compared[1] else {}

    def of_loaded(self, loaded: Loaded) -> Json:
        """The row when it is of the record as it was read; else empty."""
        fits = (self.row.get("version"), self.row.get("mark")) == (loaded.n, loaded.mark)
        return self.row if fits and not loaded.in_memory else {}

    def keep(self, loaded: Loaded, summary: Json | None) -> None:
        """Remember the record as it is now, not yet how its files look: they may be behind."""
        self._compared = None
        self.row = {
            "code": self._place.code,
            "version": loaded.n,
            "mark": loaded.mark,
            "identity": loaded.identity,
            "kept_at": loaded.at.isoformat() if loaded.at else "",
        }
        if summary is not None:
            self.row["summary"] = summary

    def seal(self, loaded: Loaded, history: HistoryFile, document: object) -> None:
        """Remember how the files look, when they are what this program knows; else the row is of no files.

        Args:
            loaded: the record as it is in memory.
            history: its history, which must end with the last change in memory.
            document: the stamp of the document's file as this program read or wrote it last.
        """
        stamps = stamps_of(self._place)
        known = stamps[0] == document and history.ends_as_known() and not loaded.problems and not loaded.in_memory
        self._compared = None
        self.row["turn"] = history.tail.turn
        if known and stamps == stamps_of(self._place):
            self.row["files"] = _sizes(stamps)
        else:
            self.row.pop("files", None)

    def shortened(self, loaded: Loaded) -> str | None:
        """A sentence if the record has fewer changes than at the last closing: its files lost something since."""
        version = self.row.get("version")
        same = loaded.identity and self.row.get("identity") == loaded.identity
        if not same or not isinstance(version, int) or version <= loaded.n:
            return None
        return (
            f"{self._place.name} had {version} changes when the book was last closed and has {loaded.n} now: its files "
            f"were replaced by older ones or cut short. Look whether the last changes are there."
        )


def row_version(row: Json) -> int:
    """The version of the record that a row is of; 0 when it does not say."""
    version = row.get("version")
    return version if isinstance(version, int) else 0


def row_moment(row: Json) -> datetime | None:
    """When the last change of that record was kept."""
    kept_at = row.get("kept_at")
    return moment_of(kept_at) if isinstance(kept_at, str) and kept_at else None


def row_turn(row: Json) -> int:
    """The turn of that change."""
    turn = row.get("turn")
    return turn if isinstance(turn, int) else 0


def _sizes(stamps: Stamps) -> list[list[int]]:
    """Sizes and times; the numbers of the files would be others in a copy of the book."""
    return [list(stamp[1:]) if stamp else [] for stamp in stamps]
