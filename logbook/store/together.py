"""One change over several documents: all of it or nothing, also after a crash.

What is to be appended is first written, whole and flushed, into one file. From then on the change can be completed at
the next opening; before, none of it has begun. An ordinary failure takes back what was appended and removes the file.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook import disk
from logbook.files import flush_folder, read_file, refusal, replace_durably, set_aside
from logbook.store.history_file import Tail
from logbook.store.history_lines import HistoryEntry, WrittenLine, leads_on, read_line
from logbook.store.patch import apply_patch
from logbook.store.storage import Damaged, Json, encode, seal, unseal

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from logbook.store.kept_document import Document


@dataclass(frozen=True, slots=True)
class DocumentShare:
    """What one document is to take in."""

    document: Document
    line: WrittenLine
    after: Json


class Together:
    """The file that holds a change over several documents while it is being made."""

    def __init__(self, folder: str) -> None:
        self.path = os.path.join(folder, ".together.json")
        self._to_take_back: list[tuple[Document, Tail]] | None = None

    @property
    def unsettled(self) -> bool:
        """A failed change could not be taken back yet."""
        return self._to_take_back is not None

    def carry_out(self, parts: Sequence[DocumentShare]) -> None:
        """Append every part; when this returns all are on the disk, when it raises none is.

        Raises:
            StoreError: nothing changed, and it can be tried again.
        """
        ends = [(part.document, part.document.end) for part in parts]
        try:
            self._write(parts)
            for part in parts:
                part.document.append(part.line)
        except BaseException:
            self._to_take_back = ends
            self.take_back()
            raise
        for part in parts:
            part.document.accept(part.line, part.after)
        self._remove_lazily()

    def _write(self, parts: Sequence[DocumentShare]) -> None:
        lines = [{"code": part.document.code, "line": part.line.raw.decode()} for part in parts]
        try:
            replace_durably(self.path, seal(encode({"kind": "together", "parts": lines}, indent=True)))
        except OSError as error:
            raise refusal("The change was not kept", error) from error

    def _remove_lazily(self) -> None:
        """Left behind, the file says what the histories say too; the next opening removes it."""
        try:
            disk.unlink(self.path)
        except OSError:
            return

    def take_back(self) -> None:
        """Take back a failed change; tried again before the next change if the disk refuses now.

        The file goes last: while a line may still be in a history, the next opening must be able to complete it.
        """
        for document, end in self._to_take_back or ():
            if document.end != end or document.torn:
                document.take_back(end)
        try:
            if os.path.exists(self.path):
                disk.unlink(self.path)
                flush_folder(os.path.dirname(self.path))
        except OSError as error:
            raise refusal("A half-kept change could not be taken back", error) from error
        self._to_take_back = None

    def settle(self, document_of: Callable[[str], Document | None]) -> str | None:
        """Complete a change that a crash cut short, when a book is opened; returns a sentence if that is not possible.

        Raises:
            StoreError: the disk refuses now; nothing is lost, the next opening tries again.
        """
        try:
            raw = read_file(self.path)
        except FileNotFoundError:
            return None
        except OSError as error:
            raise refusal("A change over several documents could not be completed", error) from error
        try:
            pending = _pending(unseal(raw), document_of)
        except (Damaged, KeyError, TypeError):
            pending = None
        for part in pending or ():
            part.document.commit(part.line, part.after)
        try:
            kept = set_aside(self.path, raw) if pending is None else ""
            disk.unlink(self.path)
            flush_folder(os.path.dirname(self.path))
        except OSError as error:
            raise refusal("A change over several documents could not be completed", error) from error
        if pending is None:
            return (
                "A change over several documents was cut short and could not be completed, because one of them was "
                f"changed or removed since. Compare them; what was to be written is kept as {kept}."
            )
        return None


def _pending(whole: Json, document_of: Callable[[str], Document | None]) -> list[DocumentShare] | None:
    """The parts that are still missing; empty when there is nothing to complete.

    None when some are missing and another document cannot say whether it has its part: nobody knows then whether the
    change is to be completed or undone.
    """
    pending: list[DocumentShare] = []
    unknown = False
    for part in whole["parts"]:
        line, document = read_line(part["line"].encode()), document_of(part["code"])
        if not isinstance(line, HistoryEntry) or document is None or document.broken:
            unknown = True
        elif any(entry.crc == line.crc for entry in document.entries()):
            continue
        elif leads_on(line, document.version, document.end.mark):
            pending.append(
                DocumentShare(document, WrittenLine(part["line"].encode(), line), apply_patch(document.state, line.do))
            )
        else:
            unknown = True
    return None if unknown and pending else pending
