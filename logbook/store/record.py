"""One record on disk as it is read: what it says, its story, what others did to it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from logbook.errors import LogbookError, StoreError
from logbook.files import refusal
from logbook.store.branch import Branch, Parted, branch_of_file, parted, waiting_lines
from logbook.store.document_file import DocumentFile
from logbook.store.foreign_files import compare, strangers
from logbook.store.history_file import HistoryFile
from logbook.store.history_lines import HistoryEntry
from logbook.store.history_reading import Story, read_story
from logbook.store.loading import Loaded, load
from logbook.store.migrating import bring_up, to_newest
from logbook.store.patch import DoesNotFit, Op, apply_patch
from logbook.store.place import RecordFiles
from logbook.store.remembering import Remembered, Stamps, row_moment, row_turn, row_version, stamps_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from logbook.store.document_context import Keeping
    from logbook.store.storage import Json


class Glance(NamedTuple):
    """How a record stands."""

    version: int
    """Number of the last history entry, 0 while nothing has been kept."""
    kept_at: datetime | None
    turn: int
    """The place of that entry among the changes of the whole book."""


class Record:
    """A unit's folder, or the shop's, for reading. It is read when something of it is first asked for.

    Every method may raise `StoreError` when the disk refuses; it can be tried again.
    """

    def __init__(self, folder: str, kind: str, code: str, keeping: Keeping) -> None:
        self.place = RecordFiles(folder, kind, code)
        self.code = code
        """Name of the unit's folder; `shop` for what units share."""
        self.gone = False
        """The folder was moved or removed by somebody else while the book was open."""
        self._keeping = keeping
        self._history = HistoryFile(self.place.history, self.place.name)
        self._file = DocumentFile(self.place, keeping)
        self._loaded: Loaded | None = None
        self._story: Story | None = None
        self._notes: list[str] = []
        self._save_problem = ""
        self._index = Remembered(self.place)
        self._stamps: Stamps | None = None
        self._unreadable: Stamps | None = None
        """The files as they lay there when nothing could be read of them."""

    # What it says

    @property
    def state(self) -> Json:
        """The record now; to be read, never changed in place.

        Raises:
            StoreError: nothing of the record can be read; the sentence says what to do.
        """
        loaded = self._load()
        if loaded.state is None:
            raise StoreError(" ".join(loaded.problems))
        return loaded.state

    @property
    def version(self) -> int:
        """Number of the last history entry, 0 while nothing has been kept."""
        return self._load().n

    @property
    def kept_at(self) -> datetime | None:
        """When the last entry was made, None while nothing has been kept."""
        return self._load().at

    @property
    def broken(self) -> bool:
        """Whether nothing of the record can be read, or not now; `problem` says why."""
        try:
            return self._load().state is None
        except StoreError:
            return True

    @property
    def newer(self) -> bool:
        """Whether a newer program wrote it; it can then be read but not changed."""
        return self._load().schema > self._keeping.newest(self.place.kind)

    @property
    def is_loaded(self) -> bool:
        """Whether the record has been read already."""
        return self._loaded is not None

    @property
    def is_remembered(self) -> bool:
        """Whether it was read, or the book remembers how it stands."""
        return self._loaded is not None or bool(self._row)

    @property
    def problem(self) -> str | None:
        """What a person should know: recovered, damaged, newer, changed outside; None if all is well."""
        try:
            loaded = self._load()
        except StoreError as error:
            return str(error)
        said = [*loaded.problems, *self._notes, self._save_problem]
        name = self.place.name
        if self.newer:
            said.append(
                f"{name} was written by a newer version of this program (form {loaded.schema}). It is open for reading "
                f"only; update the program to change it."
            )
        if loaded.known_as not in {"", self.code}:
            said.append(
                f"The folder {self.code} holds a record that was kept as {loaded.known_as}: it was renamed or copied. "
                f"Rename the folder back, or correct the code of the unit."
            )
        if self.gone:
            said.append(f"The folder of {name} was moved or removed while the book was open. Put it back to go on.")
        return " ".join(filter(None, said)) or None

    def note(self, sentence: str) -> None:
        """Add a sentence to what a person should know about this record; the same one is said once."""
        if sentence not in self._notes:
            self._notes.append(sentence)

    def _load(self) -> Loaded:
        if self._loaded is None:
            self._loaded = self._read(thorough=False)
        return self._loaded

    def _read(self, *, thorough: bool) -> Loaded:
        try:
            self._file.look()
            stamps = stamps_of(self.place)
            loaded = load(self.place, self._history, self._keeping, thorough=thorough)
            self._keeping.turn = max(self._keeping.turn, self._history.tail.turn)
            if said := self._index.shortened(loaded):
                loaded.problems.append(said)
            self._unreadable = stamps if loaded.state is None else None
            return bring_up(loaded, self.place, self._history, self._keeping)
        except OSError as error:
            raise refusal(f"{self.place.name} could not be read", error) from error

    def _accept(self, entry: HistoryEntry, after: Json) -> None:
        loaded = self._load()
        loaded.state, loaded.n, loaded.mark, loaded.at = after, entry.n, entry.mark, entry.at
        loaded.schema = entry.schema or loaded.schema
        if self._story is not None:
            self._story.add(entry)

    # The story

    @property
    def next_undo(self) -> HistoryEntry | None:
        """The change that `undo` would take back."""
        return self._whole_story().next_undo

    @property
    def next_redo(self) -> HistoryEntry | None:
        """The change that `redo` would make again."""
        return self._whole_story().next_redo

    def entries(self) -> Sequence[HistoryEntry]:
        """Every entry from the beginning, in order."""
        return tuple(self._whole_story().entries)

    def state_at(self, when: datetime) -> Json:
        """What the record said at a moment, in the present form; empty before it began."""
        state, schema = self._whole_story().at(when)
        return to_newest(state, schema, self.place.kind, self._keeping) if schema else state

    def branch(self) -> Branch:
        """The line of changes of this record, as far as its history reaches back."""
        return Branch(self.place.name, self.place, self._whole_story())

    def parted_from(self, branch: Branch) -> Parted | None:
        """Where this record and another line of its changes parted; None when they have nothing in common."""
        found = parted(self.branch(), branch)
        if found is None:
            return None
        newest = to_newest(found.before, found.schema or 1, self.place.kind, self._keeping)
        return replace(found, before=newest, schema=self._keeping.newest(self.place.kind))

    def to_join(self) -> list[str]:
        """Paths of lines that version control put into the history and that no entry ever joined."""
        lines = list(waiting_lines(self.place))
        if not lines:
            return []
        known = {entry.joined["mark"] for entry in self.entries() if entry.joined}
        return [path for path, _, mark in lines if mark not in known]

    def look_through(self) -> tuple[str, ...]:
        """Read everything that is kept of the record, its whole story too; what is damaged, in sentences.

        Opening a book reads no more than it must, so damage to older history shows only here.
        """
        self._loaded, self._story = self._read(thorough=True), None
        loaded = self._loaded
        said = []
        if loaded.state is not None and loaded.n and self._whole_story().replayed() != loaded.state:
            said.append(f"The history of {self.place.name} does not lead to what its document says. Compare a backup.")
        return tuple(filter(None, [self.problem, *said]))

    def _whole_story(self) -> Story:
        if self._story is None:
            loaded = self._load()
            try:
                story = self._read_story(loaded)
                if story is None and loaded.state is not None and loaded.n:
                    self._loaded = self._read(thorough=True)
                    story = self._read_story(self._loaded)
            except OSError as error:
                raise refusal(f"The history of {self.place.name} could not be read", error) from error
            self._story = story or Story([], [])
        return self._story

    def _read_story(self, loaded: Loaded) -> Story | None:
        if loaded.state is None or loaded.n == 0:
            return None
        story = read_story(self.place, loaded.n, loaded.repaired if self._keeping.read_only else None)
        if story and story.damaged:
            said = ", ".join(story.damaged)
            self.note(f"Older history of {self.place.name} cannot be read ({said}); what is later is not concerned.")
        return story

    # What others did

    def stamps(self) -> Stamps:
        """What tells one state of the files from another without reading them."""
        return stamps_of(self.place)

    def seen(self, stamps: Stamps) -> None:
        """The files look like this now; what is remembered of the record is believed only while it is of such files."""
        self._stamps = stamps

    def forget(self) -> None:
        """Read again when next asked."""
        self._loaded = self._story = None

    def follow(self) -> bool:
        """Take in what a writing program appended since; True if the record changed."""
        if self._loaded is None:
            return False
        before = self._loaded.n, self._loaded.mark
        if not self._taken_in(self._loaded):
            self.forget()
        now = self._load()
        return (now.n, now.mark) != before

    def _taken_in(self, loaded: Loaded) -> bool:
        """Whether the record could be brought up to date from the end of its history alone."""
        if loaded.in_memory or loaded.state is None or not self._history.tail.inode:
            return False
        try:
            entries = self._history.follow()
            for entry in entries or ():
                self._accept(entry, apply_patch(self.state, entry.do))
        except OSError as error:
            raise refusal(f"{self.place.name} could not be read", error) from error
        except DoesNotFit:
            return False
        return entries is not None

    def strangers(self) -> list[str]:
        """Paths of files beside the record that somebody else wrote: conflict copies, edits by hand, damaged files."""
        return [*strangers(self.place), *(self.to_join() if not self.broken else ())]

    def knows(self, path: str) -> bool:
        """Whether such a file has nothing that this record does not have, or did not join once."""
        try:
            end = branch_of_file(path, self.place).end
            return ("mark", *end) in self.branch().points()
        except LogbookError:
            return False

    def compare(self, path: str) -> tuple[list[Op], list[Op]]:
        """The patch that would bring the record to what such a file says, and the one back.

        Hand both to `change` to take it in.

        Raises:
            InputError: the file holds no record of this kind.
        """
        return compare(self.state, path, self.place, self._keeping)

    # A small derived value, so that an overview need not read every record

    @property
    def _row(self) -> Json:
        """What the book remembers of the record as it is now; empty when that is nothing or older."""
        if self._loaded is not None:
            return self._index.of_loaded(self._loaded)
        return self._index.of_files(self._stamps) if self._stamps is not None else {}

    @property
    def summary(self) -> Json | None:
        """What was kept with `keep_summary` if it still fits the record, else None. The record is not read for it."""
        summary = self._row.get("summary")
        return summary if isinstance(summary, dict) else None

    def keep_summary(self, summary: Json) -> None:
        """Keep a small derived dict for the present version, for the next time the book is opened."""
        self._index.keep(self._load(), summary)

    def glance(self) -> Glance:
        """How the record stands, without reading it when the book remembers that."""
        row = self._row if self._loaded is None else {}
        if row_version(row):
            return Glance(row_version(row), row_moment(row), row_turn(row))
        loaded = self._load()
        return Glance(loaded.n, loaded.at, self._history.tail.turn)

    def kept_as_known(self) -> datetime | None:
        """When its last change was kept, as far as that is known without reading it."""
        if self._loaded is not None:
            return self._loaded.at
        return row_moment(self._row) if row_version(self._row) else None

    def last_turn(self) -> int:
        """The turn of its last change, as far as that can be told without reading it; raises `OSError`."""
        if self._loaded is not None:
            return self._history.tail.turn
        return row_turn(self._row) if self._row else self._history.last_turn()

    def remember(self, row: Json) -> None:
        """What the index of the book knows about the record."""
        self._index.row = row

    def remembered(self) -> Json:
        """What the index of the book is to know about the record."""
        loaded = self._loaded
        if loaded is not None and loaded.state is not None:
            self._index.keep(loaded, self.summary)
            self._index.seal(loaded, self._history, self._file.stamp)
        return self._index.row
