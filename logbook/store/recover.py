"""What a record says, put together from whatever can still be read of it.

A history is cut into stretches: entries that follow each other without a gap. A state is known where a base line, a
sealed document, a good copy or an entry that sets the whole record says so (an anchor); from there the entries of its
stretch lead forwards and backwards. Known stretches are joined over what is damaged by an entry that carries the
difference. Only a stretch without any anchor is lost, and it is named.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from logbook.store.history_lines import (
    Base,
    HistoryEntry,
    WrittenLine,
    leads_on,
    line_of,
    moment_of,
    read_line,
    time_text,
)
from logbook.store.patch import DoesNotFit, applied
from logbook.store.patches import patches

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from logbook.store.storage import Json


@dataclass(frozen=True, slots=True)
class Scanned:
    """What the bytes of a history say."""

    bases: list[Base]
    lines: list[WrittenLine]
    damaged: int
    """How many lines that were written whole cannot be read."""
    size: int
    """Byte after the last line end; what follows was never acknowledged."""


def scan(raw: bytes) -> Scanned:
    """Read every line that vouches for itself."""
    bases: list[Base] = []
    lines: list[WrittenLine] = []
    damaged = 0
    pieces = raw.split(b"\n")
    rest = pieces.pop()
    for piece in pieces:
        good = False
        for part in _parts(piece):
            line = read_line(part)
            if isinstance(line, Base):
                bases.append(line)
            elif line is not None:
                lines.append(WrittenLine(part + b"\n", line))
            good = line is not None and len(part) == len(piece)
        damaged += not good
    return Scanned(bases, lines, damaged, len(raw) - len(rest))


def _parts(piece: bytes) -> Iterator[bytes]:
    """The piece itself, or, if its checksum is wrong, what starts like a line in it: a line end may be damaged."""
    if read_line(piece) is not None:
        yield piece
        return
    start = piece.find(b'{"crc":"', 1)
    while start >= 0:
        yield piece[start:]
        start = piece.find(b'{"crc":"', start + 1)


@dataclass(frozen=True, slots=True)
class Anchor:
    """A state that is known: what the record said after entry `n` with this mark."""

    n: int
    mark: str
    state: Json = field(repr=False)
    schema: int = 1
    at: datetime | None = None


@dataclass(slots=True)
class HistoryStretch:
    """Entries that follow each other without a gap, and the states at both ends once they are known."""

    n: int
    mark: str
    lines: list[WrittenLine] = field(default_factory=list)
    start: Anchor | None = None
    end: Anchor | None = None

    @property
    def last(self) -> tuple[int, str]:
        """Number and mark at the end."""
        return (self.lines[-1].entry.n, self.lines[-1].entry.mark) if self.lines else (self.n, self.mark)

    def place(self, anchor: Anchor) -> int | None:
        """How many entries of the stretch come before the anchor, None if it does not belong here."""
        if (self.n, self.mark) == (anchor.n, anchor.mark):
            return 0
        if self.lines and leads_on(self.lines[0].entry, anchor.n, anchor.mark):
            return 0
        for number, line in enumerate(self.lines, 1):
            if (line.entry.n, line.entry.mark) == (anchor.n, anchor.mark):
                return number
        return None


@dataclass(frozen=True, slots=True)
class Recovered:
    """A record put together."""

    base: Base
    lines: list[WrittenLine]
    end: Anchor
    """The state now."""
    lost: list[HistoryEntry]
    """Later changes that are readable but cannot be applied, because what came before them is not known."""
    bridged: int
    """How many damaged stretches were bridged without losing what the record says now."""


def fits(scanned: Scanned, n: int, mark: str) -> bool:
    """Whether a document of this version can belong to this history: no line of it says otherwise."""
    marks = {line.entry.mark for line in scanned.lines if line.entry.n == n}
    marks |= {base.mark for base in scanned.bases if base.n == n}
    return not marks or mark in marks


def put_together(
    scanned: Scanned, documents: list[Anchor], names: Base, bridge: Callable[[], HistoryEntry]
) -> Recovered | None:
    """Join what is known; None when no state at all is known.

    Args:
        scanned: the lines of the history, after those of packed history if they are needed.
        documents: states known from documents and copies that fit the history.
        names: a base line with the identity and code of the record.
        bridge: makes the entry that stands for a damaged stretch; number and patches are filled in here.
    """
    anchors = [
        *(Anchor(base.n, base.mark, base.state, base.schema, moment_of(base.at)) for base in scanned.bases),
        *documents,
    ]
    stretches = _stretches(scanned.lines)
    for anchor in anchors:
        if all(stretch.place(anchor) is None for stretch in stretches):
            stretches.append(HistoryStretch(anchor.n, anchor.mark, [], anchor, anchor))
    for stretch in list(stretches):
        if stretch.lines:
            own = [anchor for anchor in anchors if stretch.place(anchor) is not None]
            own += _from_whole_record(stretch)
            stretches += _cut_off(stretch, own)
            if not _fix(stretch, own) and own:
                latest = max(own, key=lambda anchor: anchor.n)
                stretches.append(HistoryStretch(latest.n, latest.mark, [], latest, latest))
    stretches.sort(key=lambda stretch: (stretch.n, *stretch.last))
    last_start = max((stretch.n for stretch in stretches if stretch.start), default=0)
    return _join([s for s in stretches if s.lines or s.n == last_start], names, bridge)


def _stretches(lines: list[WrittenLine]) -> list[HistoryStretch]:
    found: list[HistoryStretch] = []
    seen: set[tuple[int, str]] = set()
    for line in lines:
        entry = line.entry
        if (entry.n, entry.crc) in seen:
            continue
        seen.add((entry.n, entry.crc))
        before = next((stretch for stretch in reversed(found) if leads_on(entry, *stretch.last)), None)
        if before is None:
            before = HistoryStretch(entry.n - 1, entry.after)
            found.append(before)
        before.lines.append(line)
    return found


def _from_whole_record(stretch: HistoryStretch) -> list[Anchor]:
    """A first entry that sets the whole record says what stood before and after it."""
    first = stretch.lines[0].entry
    if len(first.do) == 1 and first.do[0].get("path") == "" and isinstance(first.do[0].get("value"), dict):
        return [Anchor(first.n, first.mark, first.do[0]["value"], first.schema or 1, first.at)]
    return []


def _fix(stretch: HistoryStretch, anchors: list[Anchor]) -> bool:
    """Work out the states at both ends; the start from an anchor there if possible, the end from the latest anchor."""
    placed = sorted(((stretch.place(anchor) or 0, anchor) for anchor in anchors), key=lambda pair: pair[0])
    for place, anchor in reversed(placed):
        try:
            first_place, first = placed[0]
            start = _backward(first, stretch.lines[:first_place], stretch)
            end = _forward(anchor, stretch.lines[place:])
        except DoesNotFit:
            continue
        stretch.start, stretch.end = start, end
        return True
    return False


def _cut_off(stretch: HistoryStretch, anchors: list[Anchor]) -> list[HistoryStretch]:
    """Take the lines off a stretch that lead nowhere from what is known before them; they become one of their own."""
    placed = [(place, anchor) for anchor in anchors if (place := stretch.place(anchor)) is not None]
    if not placed:
        return []
    start, anchor = min(placed, key=lambda pair: pair[0])
    state = anchor.state
    for number, line in enumerate(stretch.lines[start:], start):
        try:
            state = applied(state, line.entry.do)
        except DoesNotFit:
            if number == 0:
                return []
            off = HistoryStretch(line.entry.n - 1, line.entry.after, stretch.lines[number:])
            del stretch.lines[number:]
            return [off]
    return []


def _forward(anchor: Anchor, lines: list[WrittenLine]) -> Anchor:
    for line in lines:
        entry = line.entry
        state = applied(anchor.state, entry.do)
        anchor = Anchor(entry.n, entry.mark, state, entry.schema or anchor.schema, entry.at)
    return anchor


def _backward(anchor: Anchor, lines: list[WrittenLine], stretch: HistoryStretch) -> Anchor:
    if not lines:
        return anchor
    state, schema = anchor.state, anchor.schema
    for line in reversed(lines):
        state = applied(state, line.entry.undo)
        if line.entry.kind == "migrated" and line.entry.schema:
            schema = line.entry.schema - 1
    return Anchor(stretch.n, stretch.mark, state, schema)


def _join(stretches: list[HistoryStretch], names: Base, bridge: Callable[[], HistoryEntry]) -> Recovered | None:
    base: Base | None = None
    end: Anchor | None = None
    lines: list[WrittenLine] = []
    lost: list[HistoryEntry] = []
    bridged = 0
    for stretch in stretches:
        start = stretch.start
        if start is None or stretch.end is None or (end is not None and start.n <= end.n):
            lost += [line.entry for line in stretch.lines]
            continue
        if end is None:
            at = time_text(start.at) if start.at else names.at
            base = replace(names, state=start.state, n=start.n, mark=start.mark, schema=start.schema, at=at)
        else:
            lines.append(_bridging(bridge(), end, start))
            bridged += 1
        lines += stretch.lines
        end = stretch.end
    if base is None or end is None:
        return None
    return Recovered(base, lines, end, [entry for entry in lost if entry.n > end.n], bridged)


def _bridging(entry: HistoryEntry, before: Anchor, after: Anchor) -> WrittenLine:
    do, undo = patches(before.state, after.state)
    at = after.at or entry.at
    entry = replace(entry, n=after.n, at=at, do=do, undo=undo, after=before.mark, stands_for=after.mark)
    raw = line_of(replace(entry, schema=after.schema).encoded())
    written = read_line(raw)
    if not isinstance(written, HistoryEntry):
        raise TypeError("a line that was just made must be readable")
    return WrittenLine(raw, written)
