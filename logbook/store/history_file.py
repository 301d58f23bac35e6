"""The file of a history: a line is flushed before its change counts, or it is taken back."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace

from logbook import disk
from logbook.errors import StoreError
from logbook.files import (
    flush_data,
    flush_folder,
    opened,
    read_all,
    read_file,
    refusal,
    replace_durably,
    stamp_of,
    write_all,
)
from logbook.store.history_lines import (
    NO_MARK,
    Base,
    HistoryEntry,
    WrittenLine,
    is_marked,
    leads_on,
    line_of,
    read_line,
    turn_of,
)

END = 65_536
"""Bytes at the end of a history in which its last line is looked for first."""


@dataclass(frozen=True, slots=True)
class Tail:
    """Where a history ends, as far as this program knows."""

    start: int = 0
    """First byte of the last line."""
    size: int = 0
    """Byte after the last line that counts."""
    n: int = 0
    mark: str = NO_MARK
    inode: int | None = None
    """Number of the file; another one means that the file was replaced."""
    turn: int = 0
    """The place of the last change among those of the whole book."""

    def moved(self, line: Base | HistoryEntry, length: int) -> Tail:
        """The end after one more line of `length` bytes."""
        return Tail(self.size, self.size + length, line.n, line.mark, self.inode, _turn(line))


def _turn(line: Base | HistoryEntry) -> int:
    return line.turn if isinstance(line, HistoryEntry) else 0


def take_lines(raw: bytes, tail: Tail) -> tuple[list[HistoryEntry], Tail, bytes]:
    """Read good lines that lead on from `tail` at the start of `raw`.

    Returns the entries, where they end, and the rest, which starts at the first line that is torn or wrong.
    """
    entries: list[HistoryEntry] = []
    at = 0
    while (end := raw.find(b"\n", at)) >= 0:
        line = read_line(raw[at:end])
        if not isinstance(line, HistoryEntry) or not leads_on(line, tail.n, tail.mark):
            break
        entries.append(line)
        tail = tail.moved(line, end + 1 - at)
        at = end + 1
    return entries, tail, raw[at:]


class HistoryFile:
    """The file of one history: append durably, take back, read on."""

    def __init__(self, path: str, name: str) -> None:
        self.path = path
        self.name = name
        """How sentences call the record, e.g. "R1"."""
        self.tail = Tail()
        self.torn = False
        """Bytes after the last line that counts may be in the file and must be cut off before the next line."""
        self.name_unsure = False
        """The name of a new file may not be on the disk yet; it must be before the next line counts."""

    def formed(self, entry: HistoryEntry) -> WrittenLine:
        """The line that an entry would be now, read back so that it shares nothing with the caller's values.

        Raises:
            InputError: it holds something that cannot be written.
        """
        raw = line_of(entry.encoded(self.tail.mark))
        written = read_line(raw)
        if not isinstance(written, HistoryEntry):
            raise StoreError(f"The change of {self.name} was not kept: it could not be read back as it was written.")
        return WrittenLine(raw, written)

    def append(self, line: WrittenLine) -> None:
        """Write one line and wait until it is on the disk.

        Raises:
            StoreError: it is not kept; nothing changed, and it can be tried again.
        """
        flushed = False
        try:
            with opened(self.path, os.O_RDWR | os.O_APPEND) as descriptor:
                self._make_ready(descriptor)
                try:
                    write_all(descriptor, line.raw)
                    flush_data(descriptor)
                except BaseException:
                    self.torn = True
                    self._cut(descriptor)
                    raise
                flushed = True
        except OSError as error:
            if not flushed:  # when only closing failed, the line is on the disk
                raise refusal(f"The change of {self.name} was not kept", error) from error
        self.tail = self.tail.moved(line.entry, len(line.raw))

    def take_back(self, tail: Tail) -> None:
        """Cut off what was appended after `tail`; raises `StoreError`, and then the next append tries again."""
        self.tail, self.torn = replace(tail, inode=self.tail.inode), True
        try:
            with opened(self.path, os.O_RDWR | os.O_APPEND) as descriptor:
                self._make_ready(descriptor)
        except OSError as error:
            if self.torn:
                raise refusal(f"A half-kept change of {self.name} could not be taken back", error) from error

    def _make_ready(self, descriptor: int) -> None:
        """Cut off a torn end; a file that was replaced or written by somebody else must not be appended to."""
        status = os.fstat(descriptor)
        size = self.tail.size
        fits = status.st_size >= size if self.torn else status.st_size == size
        if not fits or self.tail.inode not in {None, status.st_ino}:
            raise StoreError(
                f"The change of {self.name} was not kept: its history was changed outside this program while the "
                f"book was open. It must be read again first; what is on the disk stays as it is."
            )
        if self.tail.inode is None:
            self.tail = replace(self.tail, inode=status.st_ino)
        if self.name_unsure:
            flush_folder(os.path.dirname(self.path))
            self.name_unsure = False
        if self.torn:
            self._cut(descriptor)

    def _cut(self, descriptor: int) -> None:
        disk.truncate(descriptor, self.tail.size)
        flush_data(descriptor)
        self.torn = False

    def changed_outside(self) -> bool:
        """Whether the file is not as this program knows it."""
        try:
            status = os.stat(self.path)
        except OSError:
            return self.tail.size > 0
        fits = status.st_size >= self.tail.size if self.torn else status.st_size == self.tail.size
        return not fits or self.tail.inode not in {None, status.st_ino}

    def ends_as_known(self) -> bool:
        """Whether the file ends with the last line that this program knows; read from the disk."""
        if self.torn or self.changed_outside() or not self.tail.n:
            return False
        try:
            return is_marked(read_file(self.path, self.tail.start), self.tail.n, self.tail.mark)
        except OSError:
            return False

    def last_turn(self) -> int:
        """The turn of the last whole line of a history that was not read; 0 when it says none. Raises `OSError`."""
        try:
            with opened(self.path, os.O_RDONLY) as descriptor:
                os.lseek(descriptor, max(0, os.fstat(descriptor).st_size - END), os.SEEK_SET)
                last = max(map(turn_of, read_all(descriptor).splitlines()[1:]), default=0)
        except FileNotFoundError:
            return 0
        return last or max(map(turn_of, read_file(self.path).splitlines()), default=0)

    def read_after(self, position: tuple[int, int], n: int, mark: str) -> list[HistoryEntry] | None:
        """The entries after a position that a document names, None if the file does not have that position.

        Only these lines are read, so that opening does not grow with the history.
        """
        start, size = position
        with opened(self.path, os.O_RDONLY) as descriptor:
            status = os.fstat(descriptor)
            if not 0 <= start < size <= status.st_size:
                return None
            os.lseek(descriptor, start, os.SEEK_SET)
            raw = read_all(descriptor)
        if not is_marked(raw[: size - start], n, mark):
            return None
        known = Tail(start, size, n, mark, status.st_ino, turn_of(raw[: size - start]))
        entries, tail, rest = take_lines(raw[size - start :], known)
        if b"\n" in rest:
            return None
        self.tail, self.torn = tail, bool(rest)
        return entries

    def follow(self) -> list[HistoryEntry] | None:
        """The entries that another program appended since, None when the file is not the one that was read before."""
        try:
            with opened(self.path, os.O_RDONLY) as descriptor:
                status = os.fstat(descriptor)
                if status.st_ino != self.tail.inode or status.st_size < self.tail.size:
                    return None
                os.lseek(descriptor, self.tail.size, os.SEEK_SET)
                raw = read_all(descriptor)
        except FileNotFoundError:
            return None
        entries, tail, rest = take_lines(raw, self.tail)
        if b"\n" in rest:
            return None
        self.tail = tail
        return entries

    def knows(self, raw: bytes, scanned_size: int, last: Base | HistoryEntry) -> None:
        """Take the file for known after all of it was read: `last` is its last line, `scanned_size` where that ends."""
        start = raw.rfind(b"\n", 0, scanned_size - 1) + 1
        self.tail = Tail(start, scanned_size, last.n, last.mark, os.stat(self.path).st_ino, _turn(last))
        self.torn = len(raw) > scanned_size

    def replace(self, base: Base, lines: list[WrittenLine]) -> None:
        """Replace the whole file durably by a base and these lines as they were written.

        Raises `OSError`; then the old or the new file is there, and this object goes on with that one.
        """
        first = line_of(base.encoded())
        raw = b"".join([first, *(line.raw for line in lines)])
        self.name_unsure = True
        before = stamp_of(self.path)
        try:
            replace_durably(self.path, raw)
            self.name_unsure = False
        finally:
            if stamp_of(self.path) != before:
                self.knows(raw, len(raw), lines[-1].entry if lines else base)
