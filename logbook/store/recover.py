"""What a record says, put together from whatever can still be read of it.

A history is cut into stretches: entries that follow each other without a gap. A state is known where a base line, a
sealed document, a good copy or an entry that sets the whole record says so (an anchor); from there the entries of its
stretch lead forwards and backwards. Known stretches are joined over what is damaged by an entry that carries the
difference. Only a stretch without any anchor is lost, and it is named.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from logbook.store.changes import patches
from logbook.store.history import Base, Entry, line_of, leads_on, read_line
from logbook.store.patch import DoesNotFit, apply_patch

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from datetime import datetime

    from logbook.store.storage import Json


@dataclass(frozen=True, slots=True)
class Line:
    """A good line as it was written and what it says."""

    raw: bytes
    entry: Entry


@dataclass(frozen=True, slots=True)
class Scanned:
    """What the bytes of a history say."""

    bases: list[Base]
    lines: list[Line]
    damaged: int
    """How many lines that were written whole cannot be read."""
    torn: bool
    """The file ends in the middle of a line, which therefore was never acknowledged."""


def scan(raw: bytes) -> Scanned:
    """Read every line that vouches for itself."""
    bases: list[Base] = []
    lines: list[Line] = []
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
                lines.append(Line(part + b"\n", line))
            good = line is not None and len(part) == len(piece)
        damaged += not good
    return Scanned(bases, lines, damaged, bool(rest))


def _parts(piece: bytes) -> Iterator[bytes]:
    """The piece itself, or, when its checksum is wrong, what starts like a line inside it: a line end may be damaged."""
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
class Stretch:
    """Entries that follow each other without a gap, and the states at both ends if they are known."""

    n: int
    mark: str
    lines: list[Line] = field(default_factory=list)
    start: Anchor | None = None
    end: Json | None = None

    @property
    def last(self) -> tuple[int, str]:
        """Number and mark at the end."""
        return (self.lines[-1].entry.n, self.lines[-1].entry.mark) if self.lines else (self.n, self.mark)


@dataclass(frozen=True, slots=True)
class Recovered:
    """A record put together."""

    base: Base
    lines: list[Line]
    state: Json = field(repr=False)
    schema: int
    lost: list[Entry]
    """Changes that are readable but cannot be applied, because what came before them is not known."""
    bridged: int
    """How many damaged stretches were bridged without losing what the record says now."""


def put_together(
    scanned: Scanned, anchors: list[Anchor], *, base: Base, by: str, moment: datetime, bridge_text: str
) -> Recovered | None:
    """Join what is known; None when no state at all is known.

    Args:
        scanned: the lines of the history, with those of older, packed history before them if they are needed.
        anchors: states known from documents and copies; those of another line of changes must not be among them.
        base: names identity and code of the base line to begin with; its state counts only if there is nothing else.
        by: who is named on an entry that bridges a damaged stretch.
        moment: when the bridging is done.
        bridge_text: what such an entry says.
    """
    known = [*(Anchor(b.n, b.mark, b.state, b.schema) for b in scanned.bases), *anchors]
    stretches = _stretches(scanned.lines)
    for anchor in known:
        if not any(_holds(stretch, anchor) for stretch in stretches):
            stretches.append(Stretch(anchor.n, anchor.mark))
    for stretch in stretches:
        _fix(stretch, [anchor for anchor in known if _holds(stretch, anchor)])
    stretches.sort(key=lambda stretch: (stretch.n, stretch.last[0]))
    return _join(stretches, base, lambda n: Entry(n, moment, by, bridge_text, "recovered", [], []))


def _stretches(lines: list[Line]) -> list[Stretch]:
    found: list[Stretch] = []
    seen: set[tuple[int, str]] = set()
    for line in lines:
        entry = line.entry
        if (entry.n, entry.crc) in seen:
            continue
        seen.add((entry.n, entry.crc))
        if not found or not leads_on(entry, *found[-1].last):
            found.append(Stretch(entry.n - 1, entry.after))
        found[-1].lines.append(line)
    return found


def _place(stretch: Stretch, anchor: Anchor) -> int | None:
    """How many entries of the stretch come before the anchor, None if it is not in it."""
    if (stretch.n, stretch.mark) == (anchor.n, anchor.mark):
        return 0
    first = stretch.lines[0].entry if stretch.lines else None
    if first and first.kind == "recovered" and leads_on(first, anchor.n, anchor.mark):
        return 0
    for number, line in enumerate(stretch.lines, 1):
        if (line.entry.n, line.entry.mark) == (anchor.n, anchor.mark):
            return number
    return None


def _holds(stretch: Stretch, anchor: Anchor) -> bool:
    return _place(stretch, anchor) is not None


def _fix(stretch: Stretch, anchors: list[Anchor]) -> None:
    """Work out the states at both ends of a stretch from the latest anchor that leads to them."""
    for anchor in sorted(anchors, key=lambda anchor: -anchor.n):
        place = _place(stretch, anchor) or 0
        try:
            state = anchor.state
            schema = anchor.schema
            for line in reversed(stretch.lines[:place]):
                state = apply_patch(state, line.entry.undo)
            end = anchor.state
            for line in stretch.lines[place:]:
                end = apply_patch(end, line.entry.do)
                schema = line.entry.schema or schema
        except DoesNotFit:
            continue
        n, mark = (anchor.n, anchor.mark) if place == 0 else (stretch.n, stretch.mark)
        stretch.start, stretch.end = Anchor(n, mark, state, schema, anchor.at), end
        return
    first = stretch.lines[0].entry if stretch.lines else None
    if first and len(first.do) == 1 and first.do[0].get("path") == "" and "value" in first.do[0]:
        undone = first.undo[0].get("value") if first.undo else None
        if isinstance(undone, dict):
            _fix(stretch, [Anchor(stretch.n, stretch.mark, undone, first.schema or 1)])


def _join(stretches: list[Stretch], base: Base, bridge: Callable[[int], Entry]) -> Recovered | None:
    first: Base | None = None
    lines: list[Line] = []
    lost: list[Entry] = []
    state: Json = {}
    schema, bridged, last = 1, 0, (0, "")
    for stretch in stretches:
        if stretch.start is None or stretch.end is None or (first and (stretch.n, stretch.mark) != last >= (stretch.n,)):
            lost += [line.entry for line in stretch.lines]
            continue
        start = stretch.start
        if first is None:
            first = Base(start.state, start.n, start.mark, base.at, start.schema, base.identity, base.code)
        elif (start.n, start.mark) != last:
            entry = _bridging(bridge(start.n), state, start, last[1])
            raw = line_of(entry.encoded())
            lines.append(Line(raw, entry))
            bridged += 1
        lines += stretch.lines
        state, schema, last = stretch.end, start.schema, stretch.last
    return Recovered(first, lines, state, schema, lost, bridged) if first else None


def _bridging(entry: Entry, before: Json, start: Anchor, after: str) -> Entry:
    do, undo = patches(before, start.state)
    from dataclasses import replace

    return replace(entry, do=do, undo=undo, after=after, stands_for=start.mark, schema=start.schema)
