"""What a history tells: what can be undone and redone, and what the record said at a moment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.files import read_file
from logbook.store.history_file import HistoryFile
from logbook.store.history_lines import Base, HistoryEntry, leads_on, line_of, moment_of, time_text
from logbook.store.history_packing import pack, packed
from logbook.store.patch import apply_patch
from logbook.store.recover import scan

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from logbook.store.place import RecordFiles
    from logbook.store.storage import Json

BARRIERS = frozenset({"begun", "migrated", "recovered"})
"""Kinds of entries that cannot be undone, nor anything before them."""


class Story:
    """The entries of one record, in order, and the bases from which they lead on."""

    def __init__(self, bases: list[Base], entries: Iterable[HistoryEntry], damaged: list[str] | None = None) -> None:
        self.bases = bases
        self.damaged = damaged or []
        """Packed history that cannot be read."""
        self.entries: list[HistoryEntry] = []
        self._by_number: dict[int, HistoryEntry] = {}
        self._to_undo: list[int] = []
        self._to_redo: list[int] = []
        for entry in entries:
            self.add(entry)

    def add(self, entry: HistoryEntry) -> None:
        """Take in the next entry."""
        self.entries.append(entry)
        self._by_number[entry.n] = entry
        if entry.kind == "undo" and entry.of is not None:
            self._drop(self._to_undo, entry.of)
            self._to_redo.append(entry.of)
        elif entry.kind == "redo" and entry.of is not None:
            self._drop(self._to_redo, entry.of)
            self._to_undo.append(entry.of)
        else:
            self._to_redo.clear()
            if entry.kind in BARRIERS:
                self._to_undo.clear()
            else:
                self._to_undo.append(entry.n)

    @staticmethod
    def _drop(numbers: list[int], number: int) -> None:
        if number in numbers:
            numbers.remove(number)

    def standing_joins(self) -> list[HistoryEntry]:
        """The entries that joined another line of changes and were not taken back since."""
        standing: dict[int, HistoryEntry] = {}
        for entry in self.entries:
            if entry.kind == "undo" and entry.of is not None:
                standing.pop(entry.of, None)
            elif entry.kind == "redo" and entry.of is not None and self._by_number[entry.of].joined:
                standing[entry.of] = self._by_number[entry.of]
            elif entry.joined:
                standing[entry.n] = entry
        return list(standing.values())

    @property
    def next_undo(self) -> HistoryEntry | None:
        """The change that undoing would take back."""
        return self._by_number.get(self._to_undo[-1]) if self._to_undo else None

    @property
    def next_redo(self) -> HistoryEntry | None:
        """The change that redoing would make again."""
        return self._by_number.get(self._to_redo[-1]) if self._to_redo else None

    def at(self, when: datetime) -> tuple[Json, int]:
        """What the record said at a moment, and in which form; the empty record before it began.

        An entry dated before the record began was written by a clock that had lost the time, and decides nothing.
        """
        start = moment_of(self.bases[0].at) if self.bases else None
        start = start or (self.entries[0].at if self.entries else when)
        last = max((entry.n for entry in self.entries if start <= entry.at <= when), default=-1)
        return self.state_of(last)

    def replayed(self) -> Json:
        """What the entries lead to; the record must say the same, but for a migration that only memory has."""
        return self.state_of(self.entries[-1].n if self.entries else self.bases[-1].n)[0] if self.bases else {}

    def state_of(self, last: int) -> tuple[Json, int]:
        """What the record said after the entry with this number, and in which form; empty before it began."""
        usable = [base for base in self.bases if base.n <= last]
        if not usable:
            return {}, 0
        base = max(usable, key=lambda base: base.n)
        state, schema = base.state, base.schema
        for entry in self.entries:
            if base.n < entry.n <= last:
                state, schema = apply_patch(state, entry.do), entry.schema or schema
        return state, schema


def read_story(place: RecordFiles, last: int, repaired: tuple[Base, list[HistoryEntry]] | None = None) -> Story | None:
    """The whole story up to entry `last`, packed history included; None if the live part is missing or damaged.

    Damaged packed history is told in `Story.damaged`, and the story then begins after it.

    Args:
        place: where the files are.
        last: number of the last entry that counts.
        repaired: the live part, when its file is damaged and may not be repaired.
    """
    if repaired is None:
        live = scan(read_file(place.history))
        if not live.bases or live.damaged:
            return None
        repaired = live.bases[0], [line.entry for line in live.lines]
    base, entries = repaired[0], [entry for entry in repaired[1] if entry.n <= last]
    if not is_connected([base], entries) or (entries[-1].n if entries else base.n) < last:
        return None
    parts, damaged = packed(place.packed)
    older = scan(b"".join(parts))
    before = [line.entry for line in older.lines if line.entry.n <= base.n]
    if damaged or older.damaged or not is_connected(older.bases, before + entries):
        return Story([base], entries, damaged if damaged or not parts else ["a part is missing"])
    return Story([*older.bases, base], before + entries)


def is_connected(bases: list[Base], entries: list[HistoryEntry]) -> bool:
    """Whether the entries lead on from the first base without a gap."""
    if not bases:
        return not entries
    n, mark = bases[0].n, bases[0].mark
    for entry in entries:
        if not leads_on(entry, n, mark):
            return False
        n, mark = entry.n, entry.mark
    return True


def pack_older(place: RecordFiles, history: HistoryFile, keep: int) -> None:
    """Pack all but the last `keep` bytes of a history away. The story stays whole at every moment, also of a cut.

    Raises `OSError`; then the packed part may be there twice, which does no harm.
    """
    raw = read_file(place.history)
    live = scan(raw)
    if live.damaged or len(live.bases) != 1 or not live.lines:
        return  # reading the story finds and repairs this
    size, split = 0, len(live.lines)
    while split > 1 and size + len(live.lines[split - 1].raw) <= keep:
        split -= 1
        size += len(live.lines[split].raw)
    base, old = live.bases[0], live.lines[:split]
    state, schema = base.state, base.schema
    for line in old:
        state, schema = apply_patch(state, line.entry.do), line.entry.schema or schema
    last = old[-1].entry
    pack(place.packed, base.n + 1, last.n, line_of(base.encoded()) + b"".join(line.raw for line in old))
    begin = Base(state, last.n, last.mark, time_text(last.at), schema, base.identity, place.code)
    history.replace(begin, live.lines[split:])
