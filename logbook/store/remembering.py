"""What the index of the book remembers of a record: a small derived summary, and its version at the last closing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.store.files import stamp_of

if TYPE_CHECKING:
    from logbook.store.loading import Loaded, Place
    from logbook.store.storage import Json


class Remembered:
    """The part of the index that is about one record. All of it can be made anew."""

    def __init__(self, place: Place) -> None:
        self._place = place
        self.known: Json = {}

    def summary(self, loaded: Loaded | None) -> Json | None:
        """The summary if it still fits: by version if the record was read, else by size and time of its files."""
        if loaded is not None:
            fits = (self.known.get("version"), self.known.get("mark")) == (loaded.n, loaded.mark)
        else:
            fits = self.known.get("sizes") == self._sizes()
        summary = self.known.get("summary") if fits else None
        return summary if isinstance(summary, dict) else None

    def keep(self, loaded: Loaded, summary: Json | None) -> None:
        """Remember the record as it is now."""
        self.known = {"version": loaded.n, "mark": loaded.mark, "identity": loaded.identity, "sizes": self._sizes()}
        if summary is not None:
            self.known["summary"] = summary

    def shortened(self, loaded: Loaded) -> str | None:
        """A sentence if the record has fewer changes than at the last closing: its files lost something since."""
        version = self.known.get("version")
        same = loaded.identity and self.known.get("identity") == loaded.identity
        if not same or not isinstance(version, int) or version <= loaded.n:
            return None
        return (
            f"{self._place.name} had {version} changes when the book was last closed and has {loaded.n} now: its files "
            f"were replaced by older ones or cut short. Look whether the last changes are there."
        )

    def _sizes(self) -> list[list[int]]:
        stamps = (stamp_of(self._place.document), stamp_of(self._place.history))
        return [list(stamp[1:]) if stamp else [] for stamp in stamps]
