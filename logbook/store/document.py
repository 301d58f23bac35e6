"""One record on disk: a unit or what units share."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC
from typing import TYPE_CHECKING

from logbook.errors import InputError, ReadOnlyError, StoreError
from logbook.store.files import make_folder, read_file, refusal, remove_quietly, set_aside, stamp_of
from logbook.store.history import Base, Entry, HistoryFile, Line, Tail, time_text
from logbook.store.loading import Loaded, Place, load
from logbook.store.migrating import bring_up, to_newest
from logbook.store.outside import compare, strangers
from logbook.store.packing import keep_copy
from logbook.store.patch import DoesNotFit, Op, apply_patch
from logbook.store.recover import scan
from logbook.store.storage import Head, Json, Sealed, SealedStorage
from logbook.store.story import Story, pack_older, read_story

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import datetime

    from logbook.store.keeping import Keeping


class Document:
    """A unit's folder, or the shop's. It is read when something of it is first asked for.

    Every method may raise `StoreError` when the disk refuses; nothing has changed then, and it can be tried again.
    """

    def __init__(self, folder: str, kind: str, code: str, keeping: Keeping) -> None:
        self.place = Place(folder, kind, code)
        self.code = code
        """Name of the unit's folder; `shop` for what units share."""
        self.gone = False
        """The folder was moved or removed by somebody else while the book was open."""
        self.with_partners: Callable[[Entry, str], Entry] | None = None
        """Set by the book: undoes or redoes a change over several documents as one."""
        self._keeping = keeping
        self._history = HistoryFile(self.place.history, self.place.name)
        self._storage = SealedStorage(self.place.document, kind)
        self._loaded: Loaded | None = None
        self._story: Story | None = None
        self._stamp: tuple[int, int, int] | None = None
        self._notes: list[str] = []
        self._save_problem = ""
        self._remembered: Json = {}

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
        """Whether nothing of the record can be read."""
        return self._load().state is None

    @property
    def newer(self) -> bool:
        """Whether a newer program wrote it; it can then be read but not changed."""
        return self._load().schema > self._keeping.newest(self.place.kind)

    @property
    def is_loaded(self) -> bool:
        """Whether the record has been read already."""
        return self._loaded is not None

    @property
    def problem(self) -> str | None:
        """What a person should know: recovered, damaged, newer, changed outside; None if all is well."""
        loaded = self._load()
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
            self._stamp = stamp_of(self.place.document)
            loaded = load(self.place, self._history, self._keeping, thorough=thorough)
            self._compare_with_index(loaded)
            return bring_up(loaded, self.place, self._history, self._keeping)
        except OSError as error:
            raise refusal(f"{self.place.name} could not be read", error) from error

    # Changes

    def begin(self, state: Json, what: str) -> Entry:
        """Keep the first state of a record that has none; durable when it returns."""
        if self._load().n:
            raise InputError(f"{self.place.name} has begun already. Change it instead.")
        self._keeping.ready()
        moment = self._keeping.now().astimezone(UTC)
        schema, identity = self._keeping.newest(self.place.kind), self._keeping.new_identity()
        base = Base({}, at=time_text(moment), schema=schema, identity=identity, code=self.code)
        do, undo = ([{"op": "add", "path": "", "value": value}] for value in (state, {}))
        line = self._history.formed(Entry(1, moment, self._keeping.by, what, "begun", do, undo))
        try:
            make_folder(self.place.folder)
            self._history.replace(base, [line])
        except OSError as error:
            remove_quietly(self.place.history)  # nothing was acknowledged, and it must be possible to begin again
            self._history = HistoryFile(self.place.history, self.place.name)
            raise refusal(f"{self.place.name} was not begun", error) from error
        self._loaded = Loaded({}, schema=schema, identity=identity, known_as=self.code)
        self._story = Story([base], [])
        self._accept(line.entry, line.entry.do[0]["value"])
        self._save_lazily(due=True)
        return line.entry

    def change(self, what: str, do: list[Op], undo: list[Op]) -> Entry:
        """Keep one change; it is durable when this returns.

        Args:
            what: the change in words, for the story and for undo.
            do: RFC 6902 operations that lead to the new state.
            undo: the operations that lead back.

        Raises:
            StoreError: it is not kept, nothing changed, and it can be tried again.
            InputError: the patch does not fit, or holds something that cannot be written.
        """
        line, after = self.prepare(what, do, undo)
        self.commit(line, after)
        return line.entry

    def undo(self) -> Entry | None:
        """Take back the latest change that still stands, as a new entry; None if there is none."""
        return self._step_back(self.next_undo, "undo")

    def redo(self) -> Entry | None:
        """Make the change again that was undone last; None if there is none or something was changed since."""
        return self._step_back(self.next_redo, "redo")

    def _step_back(self, entry: Entry | None, kind: str) -> Entry | None:
        if entry is None:
            return None
        if entry.together and self.with_partners:
            return self.with_partners(entry, kind)
        line, after = self.prepare_step(entry, kind)
        self.commit(line, after)
        return line.entry

    def prepare_step(self, entry: Entry, kind: str, together: str = "") -> tuple[Line, Json]:
        """The line that undoes or redoes an entry, and the state after it."""
        do, undo = (entry.undo, entry.do) if kind == "undo" else (entry.do, entry.undo)
        partners = entry.partners if together else ()
        return self.prepare(entry.what, do, undo, kind=kind, of=entry.n, together=together, partners=partners)

    def prepare(
        self,
        what: str,
        do: list[Op],
        undo: list[Op],
        *,
        kind: str = "change",
        of: int | None = None,
        together: str = "",
        partners: tuple[str, ...] = (),
    ) -> tuple[Line, Json]:
        """The line of a change and the state after it, with nothing kept yet; raises as `change` does."""
        loaded = self._writable()
        moment = self._keeping.now().astimezone(UTC)
        entry = Entry(loaded.n + 1, moment, self._keeping.by, what, kind, do, undo, of, None, together, partners)
        line = self._history.formed(entry)
        before = loaded.state
        after = apply_patch(before, line.entry.do)
        if not isinstance(after, dict) or apply_patch(after, line.entry.undo) != before:
            raise InputError(f"The change “{what}” of {self.place.name} does not lead back. Nothing was changed.")
        return line, after

    def commit(self, line: Line, after: Json) -> None:
        """Keep a prepared change."""
        self._history.append(line)
        self.accept(line, after)

    def accept(self, line: Line, after: Json) -> None:
        """Let memory follow a line that is on the disk."""
        self._accept(line.entry, after)
        loaded = self._load()
        self._save_lazily(due=loaded.n - (loaded.saved or 0) >= self._keeping.limits.save_every)

    def _accept(self, entry: Entry, after: Json) -> None:
        self._loaded = replace(
            self._load(),
            state=after,
            n=entry.n,
            mark=entry.mark,
            at=entry.at,
            schema=entry.schema or self._load().schema,
        )
        if self._story is not None:
            self._story.add(entry)

    def _writable(self) -> Loaded:
        self._keeping.ready()
        loaded = self._load()
        if loaded.retry or loaded.in_memory:
            self._loaded = self._story = None
            loaded = self._load()
        if self.newer or self.gone or loaded.state is None:
            raise ReadOnlyError(f"The change was not kept. {self.problem}")
        if loaded.n == 0:
            raise InputError(f"{self.place.name} has not begun. Begin it first.")
        return loaded

    # The story

    @property
    def next_undo(self) -> Entry | None:
        """The change that `undo` would take back."""
        return self._whole_story().next_undo

    @property
    def next_redo(self) -> Entry | None:
        """The change that `redo` would make again."""
        return self._whole_story().next_redo

    def entries(self) -> Sequence[Entry]:
        """Every entry from the beginning, in order."""
        return tuple(self._whole_story().entries)

    def state_at(self, when: datetime) -> Json:
        """What the record said at a moment, in the present form; empty before it began."""
        state, schema = self._whole_story().at(when)
        return to_newest(state, schema, self.place.kind, self._keeping) if schema else state

    def look_through(self) -> tuple[str, ...]:
        """Read everything that is kept of the record, its whole story too; what is damaged, in sentences.

        Opening a book reads no more than it must, so damage to older history shows only here.
        """
        self._loaded, self._story = self._read(thorough=True), None
        story = self._whole_story()
        parts = ", ".join(story.damaged)
        older = f"Older history of {self.place.name} is damaged ({parts}); the record itself is whole." if parts else ""
        return tuple(said for said in (self.problem, older) if said)

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

    # The document's file

    def save(self) -> None:
        """Renew the document's file if it is behind; the history has every change already."""
        loaded = self._load()
        if loaded.state is None or loaded.n in {loaded.saved, 0} or self.newer or self.gone:
            return
        self._keeping.ready()
        try:
            self._write(loaded, loaded.state)
        except OSError as error:
            raise refusal(f"The document of {self.place.name} was not renewed; its history holds all", error) from error
        self._save_problem = ""

    def _write(self, loaded: Loaded, state: Json) -> None:
        limits, now = self._keeping.limits, self._keeping.now()
        if stamp_of(self.place.document) != self._stamp:
            self._keep_foreign()
        elif loaded.saved is not None:
            good, age = self.place.copies, limits.copy_age
            keep_copy(self.place.document, good, loaded.saved, now, copies=limits.copies, age=age)
        if self._history.tail.size > limits.live_bytes:
            pack_older(self.place, self._history, limits.live_bytes // 4, self.code)
        self._storage.keep(Sealed(self._head(loaded), state))
        self._stamp = stamp_of(self.place.document)
        self._loaded = replace(loaded, saved=loaded.n, known_as=self.code)

    def _head(self, loaded: Loaded) -> Head:
        tail = self._history.tail
        kept_at = time_text(loaded.at) if loaded.at else ""
        position = (tail.start, tail.size)
        kind, identity = self.place.kind, loaded.identity
        return Head(kind, self.code, identity, loaded.schema, loaded.n, kept_at, loaded.mark, position)

    def _keep_foreign(self) -> None:
        """Somebody else wrote the document while the book was open: their file is kept before it is replaced."""
        try:
            raw = read_file(self.place.document)
        except FileNotFoundError:
            return
        kept = set_aside(self.place.document, raw)
        self.note(f"The document of {self.place.name} was changed outside this program; that file is kept as {kept}.")

    def _save_lazily(self, *, due: bool) -> None:
        if not due:
            return
        try:
            self.save()
        except StoreError as error:
            self._save_problem = str(error)

    # Seen from the book

    @property
    def end(self) -> Tail:
        """Where the history ends."""
        return self._history.tail

    @property
    def torn(self) -> bool:
        """Whether bytes after the end may have to be cut off."""
        return self._history.torn

    def append(self, line: Line) -> None:
        """Write a prepared line, of which memory takes no notice yet."""
        self._history.append(line)

    def take_back(self, end: Tail) -> None:
        """Cut off what `append` wrote after this end."""
        self._history.take_back(end)

    def stamps(self) -> tuple[object, ...]:
        """What tells one state of the files from another without reading them."""
        return stamp_of(self.place.document), stamp_of(self.place.history)

    def forget(self) -> None:
        """Read again when next asked."""
        self._loaded = self._story = None

    def reopen(self) -> None:
        """Read the files again after somebody else changed them; what only this program had is kept aside first."""
        loaded = self._loaded
        if loaded is not None and loaded.state is not None and loaded.n and not self._keeping.read_only:
            self._keeping.ready()
            sealed = Sealed(self._head(loaded), loaded.state)
            try:
                raw = read_file(self.place.history)
                known = {(line.entry.n, line.entry.mark) for line in scan(raw).lines}
                if (loaded.n, loaded.mark) not in known:
                    set_aside(self.place.document, sealed.raw)
            except OSError as error:
                raise refusal(f"{self.place.name} could not be read again", error) from error
        self._notes.clear()
        self._save_problem = ""
        self._history = HistoryFile(self.place.history, self.place.name)
        self.forget()

    def follow(self) -> bool:
        """Take in what a writing program appended since; True if the record changed."""
        if self._loaded is None:
            return False
        before = self._loaded
        if not self._taken_in(before):
            self.forget()
        now = self._load()
        return (now.n, now.mark) != (before.n, before.mark)

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

    def close(self) -> str | None:
        """Renew the document's file; returns a sentence if that failed. Nothing is lost then."""
        if self._loaded is not None and not self._keeping.read_only:
            try:
                self.save()
            except StoreError as error:
                return str(error)
        return None

    def notice(self) -> bool:
        """Look for what somebody else did to the files; True if there is something new to say."""
        before = len(self._notes)
        if self._loaded is not None and self._history.changed_outside():
            self.note(
                f"The history of {self.place.name} was changed outside this program while the book was open. Nothing "
                f"is overwritten; open the book again to go on."
            )
        elif self._loaded is not None and stamp_of(self.place.document) != self._stamp:
            self.note(
                f"The document of {self.place.name} was changed outside this program while the book was open. Its "
                f"history goes on; the changed file will be kept in the folder aside."
            )
        return len(self._notes) > before

    def strangers(self) -> list[str]:
        """Paths of files beside the record that somebody else wrote: conflict copies, edits by hand, damaged files."""
        return strangers(self.place)

    def compare(self, path: str) -> tuple[list[Op], list[Op]]:
        """The patch that would bring the record to what such a file says, and the one back.

        Hand both to `change` to take it in.

        Raises:
            InputError: the file holds no record of this kind.
        """
        return compare(self.state, path, self.place, self._keeping)

    # A small derived value, so that an overview need not read every record

    @property
    def summary(self) -> Json | None:
        """What was kept with `keep_summary` if it still fits the record, else None."""
        known = self._remembered
        if self._loaded is not None:
            fits = (known.get("version"), known.get("mark")) == (self._loaded.n, self._loaded.mark)
        else:
            fits = known.get("sizes") == self._sizes()
        summary = known.get("summary") if fits else None
        return summary if isinstance(summary, dict) else None

    def keep_summary(self, summary: Json) -> None:
        """Keep a small derived dict for the present version. It is written when the book is closed."""
        loaded = self._load()
        self._remembered = {"version": loaded.n, "mark": loaded.mark, "identity": loaded.identity, "summary": summary}

    def remember(self, known: Json) -> None:
        """What the index of the book knows about the record."""
        self._remembered = known

    def remembered(self) -> Json:
        """What the index of the book is to know about the record."""
        if self._loaded is None or self._loaded.state is None:
            return self._remembered
        loaded = self._loaded
        known = {"version": loaded.n, "mark": loaded.mark, "identity": loaded.identity, "sizes": self._sizes()}
        return known | ({"summary": self.summary} if self.summary is not None else {})

    def _sizes(self) -> list[list[int]]:
        stamps = (stamp_of(self.place.document), stamp_of(self.place.history))
        return [list(stamp[1:]) if stamp else [] for stamp in stamps]

    def _compare_with_index(self, loaded: Loaded) -> None:
        """The index remembers the version at the last closing: a history that became shorter since lost something."""
        version = self._remembered.get("version")
        same = loaded.identity and self._remembered.get("identity") == loaded.identity
        if same and isinstance(version, int) and version > loaded.n and not loaded.in_memory:
            loaded.problems.append(
                f"{self.place.name} had {version} changes when the book was last closed and has {loaded.n} now: its "
                f"files were replaced by older ones or cut short. Look whether the last changes are there."
            )
