"""Lines of changes of one record that went their own ways: read from wherever they lie, and where they parted.

A point is a state that a history can tell: after one of its entries, at one of its bases, or, through an entry that
joined another line, the end of that line. Two lines parted at the last point that both have.
"""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from logbook.errors import InputError
from logbook.files import make_folder, read_file, refusal, replace_durably
from logbook.store.history_lines import Base, HistoryEntry, WrittenLine, line_of, time_text
from logbook.store.history_packing import packed
from logbook.store.history_reading import Story, is_connected
from logbook.store.place import RecordFiles
from logbook.store.recover import scan
from logbook.store.storage import Damaged, Json, read_sealed

if TYPE_CHECKING:
    from collections.abc import Iterator

FOLDER = "joined"
"""Folder in a record's own, for the lines of other copies that were joined."""
WAITING = "to-join"
"""Folder beside it, for lines that version control put into a history and that are not joined yet."""

Point = tuple[str, int, str]
"""What tells states apart: `mark`, number and mark of an entry; or `state`, 0 and the digest of what was joined."""


@dataclass(frozen=True, slots=True)
class Branch:
    """A line of changes, from where it is known up to its end."""

    name: str
    """Where it comes from, for a sentence."""
    place: RecordFiles
    story: Story = field(repr=False)
    raw: dict[str, bytes] = field(default_factory=dict, repr=False)
    """By the checksum of an entry, its line as it was written."""

    @property
    def end(self) -> tuple[int, str]:
        """Number and mark at its end."""
        if self.story.entries:
            last = self.story.entries[-1]
            return last.n, last.mark
        return self.story.bases[-1].n, self.story.bases[-1].mark

    @property
    def identity(self) -> str:
        """Of the record; empty when no line says it."""
        return next((base.identity for base in self.story.bases if base.identity), "")

    def own_points(self) -> dict[Point, int]:
        """The points at which this line itself stood, with the number of the entry there; 0 for the beginning."""
        found: dict[Point, int] = {("mark", base.n, base.mark): base.n for base in self.story.bases}
        found |= {("mark", entry.n, entry.mark): entry.n for entry in self.story.entries}
        return found | {("state", 0, entry.joined["state"]): entry.n for entry in self.story.standing_joins()}

    def points(self) -> dict[Point, int]:
        """Every point whose whole story is in this line: its own, and the ends of the lines that it joined."""
        ends = {("mark", e.joined["n"], e.joined["mark"]): e.n for e in self.story.standing_joins()}
        return self.own_points() | ends

    def unknown_to(self, other: Branch) -> list[HistoryEntry]:
        """The entries of this line that the other one does not have."""
        known = other.points()
        last = max((n for point, n in self.own_points().items() if point in known), default=-1)
        return [entry for entry in self.story.entries if entry.n > last]

    def state_at(self, point: Point) -> tuple[Json, int] | None:
        """What the record said at a point, and in which form; None when this line cannot tell it."""
        _, n, mark = point
        own = next((e for e in self.story.entries if ("mark", e.n, e.mark) == point), None)
        base = next((b for b in self.story.bases if ("mark", b.n, b.mark) == point), None)
        at = own.n if own else base.n if base else self.points()[point] if point[0] == "state" else None
        if at is None:
            path = kept_path(self.place, n, mark)
            if not os.path.exists(path):
                return None
            return branch_of_file(path, self.place).state_at(point)
        return self.story.state_of(at)


@dataclass(frozen=True, slots=True)
class Parted:
    """Where two lines of one record parted."""

    before: Json = field(repr=False)
    """What both said last in common."""
    schema: int
    """In which form that is."""
    ours: list[HistoryEntry]
    """What was done in the first line since."""
    theirs: list[HistoryEntry]
    """What was done in the second."""


def last_that_stands(entries: list[HistoryEntry]) -> HistoryEntry | None:
    """The last of these entries that changed something and was not taken back; None when all of them were.

    Taking a change back, as a joining is taken back to be made again, is nothing that anybody wrote.
    """
    taken_back: set[int] = set()
    for entry in entries:
        if entry.of is not None:
            (taken_back.add if entry.kind == "undo" else taken_back.discard)(entry.of)
    stand = [entry for entry in entries if entry.of is None and entry.n not in taken_back]
    return stand[-1] if stand else None


def parted(ours: Branch, theirs: Branch) -> Parted | None:
    """Where two lines parted; None when they have nothing in common."""
    here, there = ours.points(), theirs.points()
    common = sorted(here.keys() & there.keys(), key=lambda point: (there[point], here[point]), reverse=True)
    if ours.identity and theirs.identity and ours.identity != theirs.identity:
        return None
    for point in common:
        found = ours.state_at(point) or theirs.state_at(point)
        if found is not None:
            return Parted(*found, ours.unknown_to(theirs), theirs.unknown_to(ours))
    return None


def branch_of_folder(place: RecordFiles) -> Branch:
    """The line in a record's folder, which may be anybody's; nothing is written there.

    Raises:
        InputError: there is no history, or it is damaged.
        StoreError: it cannot be read now.
    """
    try:
        parts, _ = packed(place.packed)
        older = b"".join(parts)
    except OSError as error:
        raise refusal(f"The older history in {place.packed} could not be read", error) from error
    return branch_of_file(place.history, place, older)


def branch_of_file(path: str, place: RecordFiles, older: bytes = b"") -> Branch:
    """The line in a file: a history, or a document, of which only the end is known. Raises as `branch_of_folder`."""
    try:
        raw = read_file(path)
    except FileNotFoundError as error:
        raise InputError(f"There is no history {path}.") from error
    except OSError as error:
        raise refusal(f"{path} could not be read", error) from error
    live = scan(raw)
    if not live.bases:
        return _of_document(path, place, raw)
    bases, lines = live.bases, live.lines
    before = scan(older)
    whole = [line for line in before.lines if line.entry.n <= bases[0].n] + lines
    if before.bases and is_connected(before.bases, [line.entry for line in whole]):
        bases, lines = [*before.bases, *bases], whole
    if live.damaged or not is_connected(bases, [line.entry for line in lines]):
        raise InputError(f"The history {path} is damaged, or holds several lines of changes. Open its book first.")
    entries = [line.entry for line in lines]
    return Branch(os.path.basename(path), place, Story(bases, entries), {line.entry.crc: line.raw for line in lines})


def _of_document(path: str, place: RecordFiles, raw: bytes) -> Branch:
    try:
        found = read_sealed(raw, place.kind)
    except Damaged as reason:
        raise InputError(f"{path} holds no history and no record that could be joined: {reason}.") from reason
    head = found.head
    base = Base(found.state, head.version, head.mark, head.kept_at, head.schema, head.identity, head.code)
    return Branch(os.path.basename(path), place, Story([base], []))


# The lines of other copies, kept beside the record


def kept_path(place: RecordFiles, n: int, mark: str, folder: str = FOLDER) -> str:
    """Where the line of another copy is kept that ends with this number and mark."""
    return os.path.join(place.folder, folder, f"{place.kind}-{n:08d}-{mark}.jsonl")


def keep_line(place: RecordFiles, branch: Branch, since: list[HistoryEntry]) -> str:
    """Keep what was done in another line beside the record, durably, as a history that can be read by itself.

    Raises `OSError`. The same line is not written twice.
    """
    target = kept_path(place, *branch.end)
    if os.path.exists(target):
        return target
    first = since[0].n if since else branch.end[0] + 1
    state, schema = branch.story.state_of(first - 1)
    at = time_text(since[0].at) if since else ""
    mark = since[0].after if since else branch.end[1]
    base = Base(state, first - 1, mark, at, schema or 1, branch.identity, place.code)
    keep_raw(target, base, [branch.raw[entry.crc] for entry in since])
    return target


def keep_raw(target: str, base: Base, lines: list[bytes]) -> None:
    """Write such a file; raises `OSError`."""
    make_folder(os.path.dirname(target))
    replace_durably(target, line_of(base.encoded()) + b"".join(lines))


def has_joined(place: RecordFiles) -> bool:
    """Whether another line was ever joined with this record."""
    return os.path.isdir(os.path.join(place.folder, FOLDER))


def waiting_lines(place: RecordFiles) -> Iterator[tuple[str, int, str]]:
    """The files of lines that wait to be joined: path, and number and mark of their ends."""
    folder = os.path.join(place.folder, WAITING)
    try:
        names = sorted(os.listdir(folder))
    except OSError:
        return
    for name in names:
        kind, _, rest = name.removesuffix(".jsonl").partition("-")
        number, _, mark = rest.partition("-")
        if kind == place.kind and number.isdecimal() and mark:
            yield os.path.join(folder, name), int(number), mark


def waits(place: RecordFiles) -> bool:
    """Whether any lines wait."""
    return next(waiting_lines(place), None) is not None


# A history that version control merged as a union of lines


def lines_apart(bases: list[Base], lines: list[WrittenLine]) -> list[list[WrittenLine]]:
    """The lines of changes in one file, each from its beginning to its end; a single one when nothing parted.

    None of them when the file is anything else than such a union: something is missing, or damaged.
    """
    if not bases:
        return []
    known = {line.entry.crc: line for line in lines}
    following: dict[str, list[WrittenLine]] = {}
    for line in known.values():
        following.setdefault(line.entry.after, []).append(line)
    begin = min(bases, key=lambda base: base.n)
    ends = [[line, *rest] for line in following.get(begin.mark, []) for rest in _onward(line, following)]
    passed = {begin.mark, *(line.entry.mark for path in ends for line in path)}
    reached = {line.entry.crc for path in ends for line in path}
    in_order = all(is_connected([begin], [line.entry for line in path]) for path in ends)
    return ends if in_order and reached == set(known) and {base.mark for base in bases} <= passed else []


def _onward(line: WrittenLine, following: dict[str, list[WrittenLine]]) -> list[list[WrittenLine]]:
    """Every way on from a line, up to its end."""
    path: list[WrittenLine] = []
    while len(further := following.get(line.entry.mark, [])) == 1:
        line = further[0]
        path.append(line)
    if not further:
        return [path]
    return [[*path, fork, *rest] for fork in further for rest in _onward(fork, following)]
