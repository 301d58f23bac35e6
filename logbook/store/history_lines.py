"""The history of one record: a line per change, flushed before the change counts.

    {"crc":"9a3f02c1","after":"77b0c1d2","n":12,"at":"2025-05-02T19:04:11.250000Z","by":"Ana",
     "what":"back panel off","kind":"change","do":[...],"undo":[...]}

(in one line). `crc` is the CRC-32 of all bytes of the line after that field, `after` that of the line before: each line
vouches for itself, and loss, order and strange lines show up. The first line is the base: the number and state from
which the others lead on. A new record starts from the empty one, so that everything can be rebuilt.
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass, field
from datetime import MAXYEAR, MINYEAR, UTC, datetime
from typing import TYPE_CHECKING

import orjson

from logbook.store.storage import Json, encode

if TYPE_CHECKING:
    from logbook.store.patch import Op

CRC = re.compile(rb'\A\{"crc":"([0-9a-f]{8})",')
TURN = re.compile(rb'\A\{"crc":"[0-9a-f]{8}","after":"[0-9a-f]{8}","n":[0-9]{1,18},"turn":([0-9]{1,18}),')
CRC_LENGTH = len(b'{"crc":"00000000",')
NO_MARK = "00000000"
"""What the first change comes after."""


@dataclass(frozen=True, slots=True)
class HistoryEntry:
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
    turn: int = 0
    """Its place among the changes of the whole book, whatever the clock says; 0 in books of older programs."""
    joined: Json = field(default_factory=dict)
    """Of an entry that joined another line of changes: number `n` and `mark` of that line's end, and the digest
    `state` of the record that came of it. Empty for every other."""
    sent_as: str = ""
    """Under which name a phone sent it: what is sent again under that name is here already. Empty for every other."""

    @property
    def mark(self) -> str:
        """What the next entry names as the one before it."""
        return self.stands_for or self.crc

    def encoded(self, after: str | None = None) -> bytes:
        """The JSON object of its line without the checksum; fields that say nothing are left out.

        Args:
            after: mark of the entry before, if it is another one than this entry says.
        """
        line: Json = {
            "after": self.after if after is None else after,
            "n": self.n,
        }
        if self.turn:
            line["turn"] = self.turn
        line |= {"at": time_text(self.at), "by": self.by, "what": self.what, "kind": self.kind}
        if self.of is not None:
            line["of"] = self.of
        if self.schema is not None:
            line["schema"] = self.schema
        if self.together:
            line["together"] = self.together
            line["partners"] = list(self.partners)
        if self.stands_for:
            line["stands_for"] = self.stands_for
        if self.joined:
            line["joined"] = self.joined
        if self.sent_as:
            line["sent_as"] = self.sent_as
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
class WrittenLine:
    """A good line as it was written, with its end, and what it says."""

    raw: bytes
    entry: HistoryEntry


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


def read_line(line: bytes) -> Base | HistoryEntry | None:
    """What a line says, None when it is damaged or no line of a history."""
    crc = crc_of(line)
    if crc is None:
        return None
    try:
        raw = orjson.loads(line)
        read = _base(raw) if raw["kind"] == "base" else _entry(raw, crc)
    except (ValueError, LookupError, TypeError, RecursionError):
        return None
    return read if _well_formed(read) else None


def _base(raw: Json) -> Base:
    return Base(raw["state"], raw["n"], raw["mark"], raw["at"], raw["schema"], raw["identity"], raw["code"])


def _entry(raw: Json, crc: str) -> HistoryEntry:
    return HistoryEntry(
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
        turn=raw.get("turn", 0),
        joined=raw.get("joined", {}),
        sent_as=raw.get("sent_as", ""),
    )


def _well_formed(line: Base | HistoryEntry) -> bool:
    """Whether the fields that are computed with have the right kind of value."""
    if isinstance(line, Base):
        numbers: list[object] = [line.n, line.schema]
        texts: list[object] = [line.mark, line.at, line.identity, line.code]
        parts = isinstance(line.state, dict)
    else:
        numbers = [line.n, line.schema or 1, line.of or 0, line.turn]
        texts = [line.after, line.by, line.what, line.kind, line.together, line.stands_for, line.sent_as]
        texts += line.partners
        parts = (
            _in_calendar(line.at)
            and _is_joined(line.joined)
            and all(_is_patch(patch) for patch in (line.do, line.undo))
        )
    return parts and all(type(n) is int for n in numbers) and all(isinstance(text, str) for text in texts)


def _in_calendar(moment: datetime) -> bool:
    """Whether a moment has a zone and can be told in any other."""
    return moment.tzinfo is not None and MINYEAR < moment.year < MAXYEAR


def _is_joined(joined: object) -> bool:
    """Whether an entry joined nothing, or says whole what it joined."""
    if not isinstance(joined, dict):
        return False
    return not joined or (
        type(joined.get("n")) is int and all(isinstance(joined.get(k), str) for k in ("mark", "state"))
    )


def _is_patch(patch: object) -> bool:
    return isinstance(patch, list) and all(isinstance(operation, dict) for operation in patch)


def turn_of(line: bytes) -> int:
    """The turn of a good line, without reading the rest of it: the first line of a record holds the whole record."""
    found = TURN.match(line)
    return int(found[1]) if found else 0


def is_marked(line: bytes, n: int, mark: str) -> bool:
    """Whether a line is the one that a sealed document names as its last.

    Its checksum settles that without reading it: the first line of a record holds the whole record.
    """
    if not line.endswith(b"\n"):
        return False
    if crc_of(line) == mark:
        return True
    last = read_line(line)  # a base, or an entry that stands for others, has a mark of its own
    return last is not None and (last.n, last.mark) == (n, mark)


def leads_on(entry: HistoryEntry, n: int, mark: str) -> bool:
    """Whether an entry comes right after the one with this number and mark."""
    return entry.after == mark and (entry.n == n + 1 or (entry.kind == "recovered" and entry.n > n))
