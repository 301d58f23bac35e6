"""The history of one record: a line per change, flushed before the change counts.

    {"crc":"9a3f02c1","after":"77b0c1d2","n":12,"at":"2025-05-02T19:04:11.250000Z","by":"Ana",
     "what":"back panel off","kind":"change","do":[...],"undo":[...]}

(in one line). `crc` is the CRC-32 of all bytes of the line after that field, `after` that of the line before: each line
vouches for itself, and loss, order and strange lines show up. The first line is the base: the number and state from
which the others lead on. A new record starts from the empty one, so that everything can be rebuilt.
"""

from __future__ import annotations

import os
import re
import zlib
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import orjson

from logbook.errors import StoreError
from logbook.store import disk
from logbook.store.files import (
    flush_file,
    flush_folder,
    opened,
    read_all,
    refusal,
    replace_durably,
    stamp_of,
    write_all,
)
from logbook.store.storage import Json, encode

if TYPE_CHECKING:
    from logbook.store.patch import Op

CRC = re.compile(rb'\A\{"crc":"([0-9a-f]{8})",')
CRC_LENGTH = len(b'{"crc":"00000000",')
NO_MARK = "00000000"
"""What the first change comes after."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One kept change."""

    n: int
    """Number; the record's version after it."""
    at: datetime
    by: str
    what: str
    kind: str
    """`begun`, `change`, `undo`, `redo`; `migrated` to a newer form; `recovered` over a damaged stretch."""
    do: list[Op]
    undo: list[Op]
    of: int | None = None
    """Number of the change that was undone or redone."""
    schema: int | None = None
    """Form of the data from here on, when it changes here."""
    together: str = ""
    """Shared by the entries of one change over several documents."""
    partners: tuple[str, ...] = ()
    """The documents of that change."""
    stands_for: str = ""
    """Of a recovered entry: the mark of the last entry in whose place it stands."""
    after: str = NO_MARK
    """Mark of the entry before."""
    crc: str = ""
    """Checksum of its line, empty until it is written."""

    @property
    def mark(self) -> str:
        """What the next entry names as the one before it."""
        return self.stands_for or self.crc

    def encoded(self) -> bytes:
        """The JSON object of its line without the checksum; fields that say nothing are left out."""
        line: Json = {"after": self.after, "n": self.n, "at": time_text(self.at), "by": self.by, "what": self.what}
        line["kind"] = self.kind
        if self.of is not None:
            line["of"] = self.of
        if self.schema is not None:
            line["schema"] = self.schema
        if self.together:
            line["together"] = self.together
            line["partners"] = list(self.partners)
        if self.stands_for:
            line["stands_for"] = self.stands_for
        return encode(line | {"do": self.do, "undo": self.undo})


@dataclass(frozen=True, slots=True)
class Base:
    """The first line of a history: where it starts."""

    state: Json
    n: int = 0
    mark: str = NO_MARK
    """Mark of the entry with that number."""
    at: str = ""
    schema: int = 1
    identity: str = ""
    code: str = ""

    def encoded(self) -> bytes:
        """The JSON object of its line without the checksum."""
        line = {"kind": "base", "n": self.n, "mark": self.mark, "at": self.at, "schema": self.schema}
        return encode(line | {"identity": self.identity, "code": self.code, "state": self.state})


@dataclass(frozen=True, slots=True)
class Line:
    """A good line as it was written, with its end, and what it says."""

    raw: bytes
    entry: Entry


def time_text(moment: datetime) -> str:
    """A moment as written: ISO 8601 in UTC, always with microseconds so that all are equally long."""
    return moment.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def moment_of(text: str) -> datetime | None:
    """The moment that `time_text` wrote, None if the text is none."""
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def line_of(body: bytes) -> bytes:
    """The line to write for a JSON object."""
    rest = body[1:]
    return b'{"crc":"%08x",%s\n' % (zlib.crc32(rest), rest)


def crc_of(line: bytes) -> str | None:
    """The checksum of a line (with or without its end) if it is right, else None."""
    found = CRC.match(line)
    if not found or zlib.crc32(line[CRC_LENGTH:].rstrip(b"\n")) != int(found[1], 16):
        return None
    return found[1].decode()


def read_line(line: bytes) -> Base | Entry | None:
    """What a line says, None when it is damaged or no line of a history."""
    crc = crc_of(line)
    if crc is None:
        return None
    try:
        raw = orjson.loads(line)
        if raw["kind"] == "base":
            return Base(raw["state"], raw["n"], raw["mark"], raw["at"], raw["schema"], raw["identity"], raw["code"])
        return Entry(
            n=raw["n"],
            at=datetime.fromisoformat(raw["at"]),
            by=raw["by"],
            what=raw["what"],
            kind=raw["kind"],
            do=raw["do"],
            undo=raw["undo"],
            of=raw.get("of"),
            schema=raw.get("schema"),
            together=raw.get("together", ""),
            partners=tuple(raw.get("partners", ())),
            stands_for=raw.get("stands_for", ""),
            after=raw["after"],
            crc=crc,
        )
    except (ValueError, KeyError, TypeError):
        return None


def leads_on(entry: Entry, n: int, mark: str) -> bool:
    """Whether an entry comes right after the one with this number and mark."""
    return entry.after == mark and (entry.n == n + 1 or (entry.kind == "recovered" and entry.n > n))


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

    def moved(self, line: Base | Entry, length: int) -> Tail:
        """The end after one more line of `length` bytes."""
        return Tail(self.size, self.size + length, line.n, line.mark, self.inode)


def take_lines(raw: bytes, tail: Tail) -> tuple[list[Entry], Tail, bytes]:
    """Read good lines that lead on from `tail` at the start of `raw`.

    Returns the entries, where they end, and the rest, which starts at the first line that is torn or wrong.
    """
    entries: list[Entry] = []
    at = 0
    while (end := raw.find(b"\n", at)) >= 0:
        line = read_line(raw[at:end])
        if not isinstance(line, Entry) or not leads_on(line, tail.n, tail.mark):
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

    def formed(self, entry: Entry) -> Line:
        """The line that an entry would be now, read back so that it shares nothing with the caller's values.

        Raises:
            InputError: it holds something that cannot be written.
        """
        raw = line_of(replace(entry, after=self.tail.mark).encoded())
        written = read_line(raw)
        if not isinstance(written, Entry):
            raise StoreError(f"The change of {self.name} was not kept: it could not be read back as it was written.")
        return Line(raw, written)

    def append(self, line: Line) -> None:
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
                    flush_file(descriptor)
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
                f"book was open. Open the book again; what is on the disk stays as it is."
            )
        self.tail = replace(self.tail, inode=status.st_ino)
        if self.name_unsure:
            flush_folder(os.path.dirname(self.path))
            self.name_unsure = False
        if self.torn:
            self._cut(descriptor)

    def _cut(self, descriptor: int) -> None:
        disk.truncate(descriptor, self.tail.size)
        flush_file(descriptor)
        self.torn = False

    def changed_outside(self) -> bool:
        """Whether the file is not as this program knows it."""
        try:
            status = os.stat(self.path)
        except OSError:
            return self.tail.size > 0
        fits = status.st_size >= self.tail.size if self.torn else status.st_size == self.tail.size
        return not fits or self.tail.inode not in {None, status.st_ino}

    def read_after(self, position: tuple[int, int], n: int, mark: str) -> list[Entry] | None:
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
        last = read_line(raw[: size - start])
        if last is None or last.mark != mark or last.n != n:
            return None
        entries, tail, rest = take_lines(raw[size - start :], Tail(start, size, n, mark, status.st_ino))
        if b"\n" in rest:
            return None
        self.tail, self.torn = tail, bool(rest)
        return entries

    def follow(self) -> list[Entry] | None:
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

    def knows(self, raw: bytes, scanned_size: int, last: Base | Entry) -> None:
        """Take the file for known after all of it was read: `last` is its last line, `scanned_size` where that ends."""
        start = raw.rfind(b"\n", 0, scanned_size - 1) + 1
        self.tail = Tail(start, scanned_size, last.n, last.mark, os.stat(self.path).st_ino)
        self.torn = len(raw) > scanned_size

    def replace(self, base: Base, lines: list[Line]) -> None:
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
