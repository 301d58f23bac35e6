"""One record on disk as it is changed: flushed to the history first, then in memory, later in the document's file."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC
from typing import TYPE_CHECKING

from logbook.errors import InputError, ReadOnlyError, StoreError
from logbook.files import make_folder, refusal, remove_quietly
from logbook.store.history_file import HistoryFile, Tail
from logbook.store.history_lines import Base, HistoryEntry, WrittenLine, time_text
from logbook.store.history_reading import Story
from logbook.store.loading import Loaded
from logbook.store.patch import Op, apply_patch
from logbook.store.record import Record
from logbook.store.remembering import stamps_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from logbook.store.storage import Json


class Document(Record):
    """A unit's folder, or the shop's.

    Every method may raise `StoreError` when the disk refuses; nothing has changed then, and it can be tried again.
    """

    with_partners: Callable[[HistoryEntry, str], HistoryEntry] | None = None
    """Set by the book: undoes or redoes a change over several documents as one."""

    # Changes

    def begin(self, state: Json, what: str) -> HistoryEntry:
        """Keep the first state of a record that has none; durable when it returns."""
        if self._load().n:
            raise InputError(f"{self.place.name} has begun already. Change it instead.")
        self._keeping.ready()
        moment = self._keeping.now().astimezone(UTC)
        schema, identity = self._keeping.newest(self.place.kind), self._keeping.new_identity()
        base = Base({}, at=time_text(moment), schema=schema, identity=identity, code=self.code)
        do, undo = ([{"op": "add", "path": "", "value": value}] for value in (state, {}))
        turn = self._keeping.next_turn()
        line = self._history.formed(HistoryEntry(1, moment, self._keeping.by, what, "begun", do, undo, turn=turn))
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

    def change(self, what: str, do: list[Op], undo: list[Op], *, sent_as: str = "") -> HistoryEntry:
        """Keep one change; it is durable when this returns.

        Args:
            what: the change in words, for the story and for undo.
            do: RFC 6902 operations that lead to the new state.
            undo: the operations that lead back.
            sent_as: under which name a phone sent it.

        Raises:
            StoreError: it is not kept, nothing changed, and it can be tried again.
            InputError: the patch does not fit, or holds something that cannot be written.
        """
        line, after = self.prepare(what, do, undo, sent_as=sent_as)
        self.commit(line, after)
        return line.entry

    def undo(self) -> HistoryEntry | None:
        """Take back the latest change that still stands, as a new entry; None if there is none."""
        return self._step_back(self.next_undo, "undo")

    def redo(self) -> HistoryEntry | None:
        """Make the change again that was undone last; None if there is none or something was changed since."""
        return self._step_back(self.next_redo, "redo")

    def _step_back(self, entry: HistoryEntry | None, kind: str) -> HistoryEntry | None:
        if entry is None:
            return None
        if entry.together and self.with_partners:
            return self.with_partners(entry, kind)
        line, after = self.prepare_step(entry, kind)
        self.commit(line, after)
        return line.entry

    def prepare_step(self, entry: HistoryEntry, kind: str, together: str = "") -> tuple[WrittenLine, Json]:
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
        joined: Json | None = None,
        sent_as: str = "",
    ) -> tuple[WrittenLine, Json]:
        """The line of a change and the state after it, with nothing kept yet; raises as `change` does."""
        loaded = self._writable()
        moment = self._keeping.now().astimezone(UTC)
        by, turn = self._keeping.by, self._keeping.next_turn()
        entry = HistoryEntry(loaded.n + 1, moment, by, what, kind, do, undo, of, None, together, partners, turn=turn)
        entry = replace(entry, joined=joined or {}, sent_as=sent_as)
        line = self._history.formed(entry)
        before = loaded.state
        after = apply_patch(before, line.entry.do)
        if not isinstance(after, dict) or apply_patch(after, line.entry.undo) != before:
            raise InputError(f"The change “{what}” of {self.place.name} does not lead back. Nothing was changed.")
        return line, after

    def commit(self, line: WrittenLine, after: Json) -> None:
        """Keep a prepared change."""
        self._history.append(line)
        self.accept(line, after)

    def accept(self, line: WrittenLine, after: Json) -> None:
        """Let memory follow a line that is on the disk."""
        self._accept(line.entry, after)
        loaded = self._load()
        self._save_lazily(due=loaded.n - (loaded.saved or 0) >= self._keeping.limits.save_every)

    def _writable(self) -> Loaded:
        self._keeping.ready()
        loaded = self._load()
        if loaded.retry or loaded.in_memory:
            self._loaded = self._story = None
            loaded = self._load()
        if self.gone:
            raise StoreError(f"The change was not kept. {self.problem}")
        if self.newer or loaded.state is None:
            raise ReadOnlyError(f"The change was not kept. {self.problem}")
        if loaded.n == 0:
            raise InputError(f"{self.place.name} has not begun. Begin it first.")
        return loaded

    # The document's file

    def save(self) -> None:
        """Renew the document's file if it is behind; the history has every change already."""
        loaded = self._load()
        if loaded.state is None or loaded.n in {loaded.saved, 0} or self.newer or self.gone:
            return
        self._keeping.ready()
        try:
            self._loaded, foreign = self._file.renew(loaded, loaded.state, self._history)
        except OSError as error:
            raise refusal(f"The document of {self.place.name} was not renewed; its history holds all", error) from error
        self._save_problem = ""
        if foreign:
            self.note(foreign)

    def renew(self) -> None:
        """Renew the document's file if the one on the disk is none that this program wrote; else it follows later."""
        self._save_lazily(due=self._load().saved is None)

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

    def append(self, line: WrittenLine) -> None:
        """Write a prepared line, of which memory takes no notice yet."""
        self._history.append(line)

    def take_back(self, end: Tail) -> None:
        """Cut off what `append` wrote after this end."""
        self._history.take_back(end)

    def reopen(self) -> None:
        """Read the files again after somebody else changed them; what only this program had is kept aside first."""
        loaded = self._loaded
        if loaded is not None and loaded.state is not None and loaded.n and not self._keeping.read_only:
            self._keeping.ready()
            try:
                self._file.keep_what_only_memory_has(loaded, loaded.state, self._history)
            except OSError as error:
                raise refusal(f"{self.place.name} could not be read again", error) from error
        self._notes.clear()
        self._save_problem = ""
        self._history = HistoryFile(self.place.history, self.place.name)
        self.forget()

    def let_go(self) -> bool:
        """Forget the record but for its overview, when its files say the same as memory; True if it is forgotten."""
        if self._loaded is None or self.problem or self._loaded.n != self._loaded.saved or self.gone:
            return False
        if self.summary is None or "files" not in self.remembered():
            return False
        self.forget()
        return True

    def close(self) -> str | None:
        """Renew the document's file; returns a sentence if that failed. Nothing is lost then."""
        if self._loaded is not None and not self._keeping.read_only:
            try:
                self.save()
            except StoreError as error:
                return str(error)
        return None

    def changed_outside(self) -> bool:
        """Whether somebody else changed the history of this open record, so that it must be read again to go on."""
        if self._loaded is None or self.gone:
            return False
        if self._loaded.state is None and self._unreadable is not None:
            return stamps_of(self.place) != self._unreadable
        return self._history.changed_outside()

    def notice(self) -> bool:
        """Look for what somebody else did to the files; True if there is something new to say."""
        before = len(self._notes)
        if self.changed_outside():
            self.note(
                f"The history of {self.place.name} was changed outside this program while the book was open. Nothing "
                f"is overwritten; it must be read again to go on."
            )
        elif self._loaded is not None and self._file.changed_outside():
            self.note(
                f"The document of {self.place.name} was changed outside this program while the book was open. Its "
                f"history goes on; the changed file will be kept in the folder aside."
            )
        return len(self._notes) > before
