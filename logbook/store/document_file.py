"""The file of a document: renewed behind the history, with good copies kept and files of others put aside."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.files import read_file, set_aside, stamp_of
from logbook.store.history_lines import time_text
from logbook.store.history_packing import keep_copy
from logbook.store.history_reading import pack_older
from logbook.store.recover import scan
from logbook.store.storage import DocumentHead, Json, Sealed, SealedStorage

if TYPE_CHECKING:
    from logbook.store.document_context import Keeping
    from logbook.store.history_file import HistoryFile
    from logbook.store.loading import Loaded
    from logbook.store.place import RecordFiles


class DocumentFile:
    """Knows the file as this program read or wrote it last."""

    def __init__(self, place: RecordFiles, keeping: Keeping) -> None:
        self._place, self._keeping = place, keeping
        self._storage = SealedStorage(place.document, place.kind)
        self._stamp: tuple[int, int, int] | None = None

    def look(self) -> None:
        """Take the file as it is now for known; called before it is read."""
        self._stamp = stamp_of(self._place.document)

    @property
    def stamp(self) -> tuple[int, int, int] | None:
        """The stamp of the file as this program read or wrote it last; None when there was none."""
        return self._stamp

    def changed_outside(self) -> bool:
        """Whether somebody else wrote the file since."""
        return stamp_of(self._place.document) != self._stamp

    def renew(self, loaded: Loaded, state: Json, history: HistoryFile) -> tuple[Loaded, str]:
        """Write the record as it is now; returns what is loaded then, and a sentence if a foreign file was put aside.

        Older history is packed when it has grown. Raises `OSError`; then the old file is there, and the history
        holds everything.
        """
        limits, foreign = self._keeping.limits, ""
        if self.changed_outside():
            foreign = self._keep_foreign()
        elif loaded.saved is not None:
            now, copies = self._keeping.now(), self._place.copies
            keep_copy(self._place.document, copies, loaded.saved, now, copies=limits.copies, age=limits.copy_age)
        if history.tail.size > limits.live_bytes:
            pack_older(self._place, history, limits.live_bytes // 4)
        self._write(self._sealed(loaded, state, history))
        return replace(loaded, saved=loaded.n, known_as=self._place.code), foreign

    def _write(self, sealed: Sealed) -> None:
        """Replace the file; what is in its place although the disk then refused is no stranger's. Raises OSError."""
        try:
            self._storage.keep(sealed)
        except OSError:
            with suppress(OSError):
                if read_file(self._place.document) == sealed.raw:
                    self.look()
            raise
        self.look()

    def keep_what_only_memory_has(self, loaded: Loaded, state: Json, history: HistoryFile) -> None:
        """Put the record in memory aside if the history on the disk does not lead to it; raises `OSError`."""
        try:
            raw = read_file(self._place.history)
        except FileNotFoundError:
            raw = b""
        if (loaded.n, loaded.mark) not in {(line.entry.n, line.entry.mark) for line in scan(raw).lines}:
            set_aside(self._place.document, self._sealed(loaded, state, history).raw)

    def _sealed(self, loaded: Loaded, state: Json, history: HistoryFile) -> Sealed:
        position = (history.tail.start, history.tail.size)
        kept_at = time_text(loaded.at) if loaded.at else ""
        kind, code = self._place.kind, self._place.code
        head = DocumentHead(kind, code, loaded.identity, loaded.schema, loaded.n, kept_at, loaded.mark, position)
        return Sealed(head, state)

    def _keep_foreign(self) -> str:
        try:
            raw = read_file(self._place.document)
        except FileNotFoundError:
            return ""
        kept = set_aside(self._place.document, raw)
        return f"The document of {self._place.name} was changed outside this program; that file is kept as {kept}."
