"""A record read from its folder: quickly when all is well, and from whatever is left when it is not."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from logbook.files import read_file, set_aside, stamp_of
from logbook.model.moments import by_this_computer
from logbook.store.history_file import HistoryFile, Tail
from logbook.store.history_lines import NO_MARK, Base, HistoryEntry, WrittenLine, moment_of
from logbook.store.history_packing import copies_in, has_older, packed
from logbook.store.patch import DoesNotFit, applied
from logbook.store.place import RecordFiles
from logbook.store.recover import Anchor, Recovered, Scanned, fits, put_together, scan
from logbook.store.storage import Damaged, DocumentHead, Json, Sealed, read_sealed, read_unsealed
from logbook.store.union import keep_apart, split

if TYPE_CHECKING:
    from logbook.store.document_context import Keeping

RETRIES = 3
"""How often a reading program looks again before it takes what a writing program does at that moment for damage."""

AS_FOUND = "f" * 8
"""Mark of a record that was taken in from a document without seal and without history."""


@dataclass(slots=True)
class Loaded:
    """A record as it was read. Without `state` nothing of it can be read."""

    state: Json | None = field(default=None, repr=False)
    n: int = 0
    mark: str = NO_MARK
    at: datetime | None = None
    schema: int = 1
    identity: str = ""
    known_as: str = ""
    """The folder's name when the document was written."""
    saved: int | None = None
    """Version of the document's file, None when it must be written again."""
    problems: list[str] = field(default_factory=list)
    repaired: tuple[Base, list[HistoryEntry]] | None = field(default=None, repr=False)
    """The history as it was put together, when its file is not that good."""
    in_memory: bool = False
    """The state is in a newer form than the files, which this program may not write."""
    retry: bool = False
    """What hindered may pass, so it is worth reading again before the next change."""


def load(place: RecordFiles, history: HistoryFile, keeping: Keeping, *, thorough: bool = False) -> Loaded:
    """Read the record and set `history` to its end. A writing program also repairs the files.

    Args:
        place: where the files are.
        history: is set to the end of the history.
        keeping: what the documents of the book share.
        thorough: read and check the whole history also when its end would do.

    Raises:
        OSError: a file cannot be read now; nothing is known about damage then, and nothing was changed.
    """
    raw = _read(place.document)
    found = _unsealed(raw, place.kind)
    if isinstance(found, Sealed) and not thorough:
        quick = _quickly(history, found)
        if quick is not None:
            return quick
    for _ in range(RETRIES):
        stamps = stamp_of(place.document), stamp_of(place.history)
        loaded = _Slow(place, history, keeping, raw, found).load()
        still = stamps == (stamp_of(place.document), stamp_of(place.history))
        if not keeping.read_only or not loaded.problems or still:
            break
        raw = _read(place.document)
        found = _unsealed(raw, place.kind)
    return loaded


def _read(path: str) -> bytes | None:
    try:
        return read_file(path)
    except (FileNotFoundError, NotADirectoryError):
        return None


def _unsealed(raw: bytes | None, kind: str) -> Sealed | str | None:
    """The document, or in what way it is damaged, or None when there is none."""
    if raw is None:
        return None
    try:
        return read_sealed(raw, kind)
    except Damaged as reason:
        return str(reason) if raw else "it is empty"


def _quickly(history: HistoryFile, document: Sealed) -> Loaded | None:
    """The document and only those lines of the history that come after it."""
    head = document.head
    try:
        entries = history.read_after(head.position, head.version, head.mark)
    except (FileNotFoundError, NotADirectoryError):
        return None
    if entries is None:
        return None
    state, schema, at = document.state, head.schema, moment_of(head.kept_at)
    try:
        for entry in entries:
            state, schema, at = applied(state, entry.do), entry.schema or schema, entry.at
    except DoesNotFit:  # the slow way finds out what is still good
        history.tail = Tail()
        return None
    tail = history.tail
    return Loaded(state, tail.n, tail.mark, at, schema, head.identity, head.code, head.version)


class _Slow:
    """Reading everything there is: the whole history, the end of packed history, good copies."""

    def __init__(
        self, place: RecordFiles, history: HistoryFile, keeping: Keeping, raw: bytes | None, found: Sealed | str | None
    ) -> None:
        self.place, self.history, self.keeping, self.raw, self.found = place, history, keeping, raw, found
        self.problems: list[str] = []
        self._told = False
        """The document's damage was told, and its bytes are kept."""
        self._others: list[list[WrittenLine]] = []
        """Lines of changes of other copies, which version control put into this history."""

    def load(self) -> Loaded:
        lines = _read(self.place.history)
        if lines is None and self.raw is None and not has_older(self.place.copies, self.place.packed):
            return self._nothing()
        scanned, self._others = split(scan(lines or b""), self.found if isinstance(self.found, Sealed) else None)
        known = self._document(scanned)
        names = self._names(scanned)
        result = put_together(scanned, known, names, self._bridge)
        if not known or result is None or not _whole(scanned, result):
            known += self._copies(scanned) + self._packed_end()
            result = put_together(scanned, known, names, self._bridge)
        if result is None and (found := self._as_found()):
            result = put_together(scanned, [found], names, self._bridge)
        if result is None or result.end.n == 0:  # the empty record at the start of a history was never acknowledged
            return self._unreadable(lines)
        if isinstance(self.found, str) and not self._told:  # a history that only begins is enough to go by
            self._aside(f"was damaged or changed outside this program ({self.found})")
        return self._settle(lines, scanned, result)

    def _nothing(self) -> Loaded:
        if self.place.kind == "unit":
            return Loaded(
                problems=[f"The folder {self.place.folder} holds no record. Remove it, or put its files back."]
            )
        return Loaded(state={}, saved=0)

    def _document(self, scanned: Scanned) -> list[Anchor]:
        """The document as a known state if it belongs to this history; else it is put aside."""
        if isinstance(self.found, Sealed):
            if _belongs(scanned, self.found.head):
                return [_anchor(self.found)]
            self._aside("belongs to another line of changes than its history")
        elif self.found is not None and scanned.lines:
            self._aside(f"was damaged or changed outside this program ({self.found})")
        return []

    def _copies(self, scanned: Scanned) -> list[Anchor]:
        found = (_unsealed(_read(path), self.place.kind) for path in copies_in(self.place.copies))
        return [_anchor(copy) for copy in found if isinstance(copy, Sealed) and _belongs(scanned, copy.head)]

    def _packed_end(self) -> list[Anchor]:
        parts, damaged = packed(self.place.packed)
        self.problems += [f"The older history {name} of {self.place.name} cannot be read." for name in damaged]
        older = put_together(scan(b"".join(parts)), [], Base({}), self._bridge) if parts else None
        return [older.end] if older else []

    def _as_found(self) -> Anchor | None:
        """A document without seal and without history: nobody vouches for it, but it can be read."""
        try:
            state = read_unsealed(self.raw or b"", self.place.kind)
        except Damaged:
            return None
        self._aside("carries no seal of this program; it was taken in as it stood")
        return Anchor(1, AS_FOUND, state, self.keeping.newest(self.place.kind))

    def _names(self, scanned: Scanned) -> Base:
        head = self.found.head if isinstance(self.found, Sealed) else None
        known = [base.identity for base in scanned.bases if base.identity]
        identity = known[-1] if known else head.identity if head else ""
        moment = self.keeping.now().astimezone(UTC).isoformat()
        return Base({}, at=moment, identity=identity or self.keeping.new_identity(), code=self.place.code)

    def _bridge(self) -> HistoryEntry:
        what = "put together over a damaged stretch of the history"
        return HistoryEntry(0, self.keeping.now().astimezone(UTC), self.keeping.by, what, "recovered", [], [])

    def _aside(self, why: str) -> None:
        """Say what is wrong with the document; a writing program keeps its bytes.

        One whose lines were put together with another's says nothing that the history does not say.
        """
        if self._others:
            self._told = True
            return
        kept, self._told = "", True
        if self.raw and not self.keeping.read_only:
            kept = f" It is kept as {set_aside(self.place.document, self.raw)}; compare it if something is missing."
        self.problems.append(f"{os.path.basename(self.place.document)} of {self.place.name} {why}.{kept}")

    def _unreadable(self, lines: bytes | None) -> Loaded:
        where = self.place.folder
        kept = [("document", self.raw), ("history", lines)]
        what = " and ".join(name for name, raw in kept if raw is not None) or "files"
        return Loaded(
            problems=[
                *self.problems,
                f"Nothing of {self.place.name} can be read: its {what} in {where} are damaged. They are left as they "
                f"are. Put a copy of the folder from a backup in its place, or remove the folder.",
            ]
        )

    def _settle(self, lines: bytes | None, live: Scanned, result: Recovered) -> Loaded:
        """Say what was found, and let a writing program set the files right."""
        whole = lines is not None and not self._others and _whole(live, result)
        end = result.end
        if not whole:
            self._say(live, result)
            if not self.keeping.read_only:
                if self._others:
                    keep_apart(self.place, result.base, self._others)
                elif lines:
                    set_aside(self.place.history, lines)
                self.history.replace(result.base, result.lines)
        elif lines is not None:
            self.history.knows(lines, live.size, result.lines[-1].entry if result.lines else result.base)
        sealed = self.found if isinstance(self.found, Sealed) else None
        begun_only = whole and result.base.n == 0 and len(result.lines) == 1
        if sealed is None and self.raw is None and not begun_only:
            self.problems.append(
                f"The document of {self.place.name} was missing and was rebuilt from its history: "
                f"{_reach(result)}. Look whether that is the last one you made."
            )
        at = result.lines[-1].entry.at if result.lines else end.at
        known_as = sealed.head.code if sealed else result.base.code
        identity = result.base.identity
        repaired = None if whole else (result.base, [line.entry for line in result.lines])
        return Loaded(end.state, end.n, end.mark, at, end.schema, identity, known_as, None, self.problems, repaired)

    def _say_merged(self) -> None:
        """A writing program joins what it put aside; one that reads only says what it does not show."""
        if self.keeping.read_only:
            self.problems.append(
                f"Version control put two lines of changes of {self.place.name} together; only one of them is shown. "
                f"They are joined when the book is next opened to write in."
            )

    def _from_document(self, result: Recovered) -> bool:
        """Whether what is open now is what the document's file says."""
        end = result.end
        if isinstance(self.found, Sealed):
            return (end.n, end.mark) == (self.found.head.version, self.found.head.mark)
        return end.mark == AS_FOUND

    def _say(self, live: Scanned, result: Recovered) -> None:
        name = self.place.name
        if self._others:
            self._say_merged()
        elif not live.lines and not live.bases and self._from_document(result):
            self.problems.append(
                f"The history of {name} was missing or empty; it starts anew. Earlier changes cannot be undone."
            )
        elif not live.lines and not live.bases:
            when = f" of {by_this_computer(result.end.at)}" if result.end.at else ""
            self.problems.append(
                f"The history of {name} was missing or damaged, and so was its document. What is open is the last good "
                f"copy{when}; later changes are lost, unless a backup has them."
            )
        elif result.lost:
            said = ", ".join(f"“{entry.what}” ({by_this_computer(entry.at)})" for entry in result.lost[-5:])
            self.problems.append(
                f"The history of {name} was damaged and {len(result.lost)} later changes could not be put back: "
                f"{said}. Enter them again; the damaged file is kept in the folder aside."
            )
        elif live.damaged or result.bridged:
            self.problems.append(
                f"The history of {name} was damaged and was put together again. Look whether the last changes are "
                f"there; the damaged file is kept in the folder aside."
            )
        else:
            self.problems.append(
                f"The history of {name} was damaged and was put together again: {_reach(result)}. Look whether that "
                f"is all; the damaged file is kept in the folder aside."
            )


def _reach(result: Recovered) -> str:
    """Which changes there are, as far as anybody can know: what is gone without a trace is in no file."""
    count = len(result.lines)
    if not count:
        return "no change of it can be undone"
    first, last = result.lines[0].entry, result.lines[-1].entry
    changes = "1 change" if count == 1 else f"{count} changes"
    before = f", those before number {first.n} are not in it," if first.n > 1 else ""
    return f"{changes}{before} up to number {last.n}, “{last.what}” ({by_this_computer(last.at)})"


def _whole(scanned: Scanned, result: Recovered) -> bool:
    """Whether the file of the history is good as it is."""
    first = scanned.bases[0] if len(scanned.bases) == 1 else None
    clean = not scanned.damaged and len(scanned.lines) == len(result.lines) and not result.bridged
    return clean and first is not None and (first.n, first.mark) == (result.base.n, result.base.mark)


def _belongs(scanned: Scanned, head: DocumentHead) -> bool:
    identities = {base.identity for base in scanned.bases if base.identity}
    return (not identities or head.identity in identities) and fits(scanned, head.version, head.mark)


def _anchor(document: Sealed) -> Anchor:
    head = document.head
    return Anchor(head.version, head.mark, document.state, head.schema, moment_of(head.kept_at))
