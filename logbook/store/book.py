"""A book: a folder of records with one writer."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from typing import Any, NamedTuple

from logbook.errors import InputError, ReadOnlyError, StoreError
from logbook.files import make_folder, read_file, refusal, remove_quietly, replace_durably, replace_loosely
from logbook.store.adopting import adopt
from logbook.store.beside import BookIndex, Drafts, read_object
from logbook.store.branch import WAITING, Branch, keep_line, kept_path, waits
from logbook.store.document_context import Keeping, KeepingLimits, Migrations
from logbook.store.folders import (
    FolderMove,
    Removed,
    checked_code,
    is_blank,
    make_book_folder,
    removed_name,
    removed_units,
    unit_folders,
)
from logbook.store.history_lines import HistoryEntry
from logbook.store.kept_document import Document
from logbook.store.lock import BookLock, Holder
from logbook.store.migrating import to_newest
from logbook.store.patch import Op
from logbook.store.remembering import Stamps
from logbook.store.storage import FORM, Json, encode
from logbook.store.together import DocumentShare, Together
from logbook.store.union import may_be_union

PASSING = (
    b"# Of the running program, not of the records.\n"
    b".lock\n.holder.json\n.index.json\n.incoming/\n.*.new\ndrafts.json\n"
)
"""What a version control that reads `.gitignore` is to leave alone."""

MERGED = (
    b"# Histories are put together line by line; the program joins them when the book is opened.\n"
    b"*.jsonl -text merge=union\n*.json -text merge=union\n"
)
"""How a version control that reads `.gitattributes` is to put two copies together: no end of a line may be changed."""

Change = tuple[Document, list[Op], list[Op]]
"""A document, what leads to its new state, and what leads back."""


class Join(NamedTuple):
    """One record that is joined with another line of its changes."""

    document: Document
    do: list[Op]
    undo: list[Op]
    branch: Branch
    """The other line."""
    since: list[HistoryEntry]
    """What was done in it that this record does not have."""
    said: Json
    """What the entry says of it: `joined` of `HistoryEntry`; empty for a record that only follows another one."""


def _bytes_of(path: str) -> bytes:
    """The bytes of a file; none when there is none, or when they cannot be read now."""
    try:
        return read_file(path)
    except OSError:
        return b""


class BookFolder:
    """An open book. Use `open`; call `close` at the end."""

    def __init__(self, path: str, keeping: Keeping) -> None:
        self.path = path
        self.units: dict[str, Document] = {}
        self.lost: dict[str, Document] = {}
        """Units whose folder went away while the book was open; what is in memory of them can still be read."""
        self.away = ""
        """Why the folder of the book cannot be looked at now, in a sentence; empty while it can."""
        self.holder: Holder | None = None
        """The program that writes in the book while this one only reads."""
        self._keeping = keeping
        self._lock = BookLock(path)
        self._together = Together(path)
        self._drafts = Drafts(path)
        self._index = BookIndex(path)
        self._notes: list[str] = []
        self._why_read_only = ""
        self._stamps: dict[str, Stamps] = {}
        self._moves = FolderMove(path)
        self._unfinished: dict[str, Document] = {}
        """Units whose beginning was refused; what may be left of it on the disk does not count."""
        self._closed = False
        self._settled = True
        keeping.ready = self._ready
        keeping.learn_turns = self._learn_turns
        self._turns_unknown: set[str] = set()
        """Records that were neither read nor are remembered: their last change may be the latest of all."""
        self.shop = self._document("shop")

    @classmethod
    def open(
        cls,
        path: str | os.PathLike[str],
        *,
        by: str,
        now: Callable[[], datetime],
        create: bool = True,
        read_only: bool = False,
        migrations: Migrations | None = None,
        limits: KeepingLimits | None = None,
        new_identity: Callable[[], str] | None = None,
    ) -> BookFolder:
        """Open a book, and make it first if it is not there.

        Args:
            path: the folder.
            by: who is named on every change.
            now: the clock; its moments must carry a time zone.
            create: make the book if there is none.
            read_only: do not write even if nobody else does.
            migrations: what leads from older forms of the records to the present one.
            limits: how often documents follow and how much is kept.
            new_identity: makes the identities of new records; a test can give its own.

        Raises:
            StoreError: there is no book and none may be made, or the folder is something else.
        """
        folder = os.path.abspath(path)
        keeping = Keeping(by, now, limits or KeepingLimits(), migrations or {}, read_only=read_only)
        if new_identity:
            keeping.new_identity = new_identity
        try:
            make_book_folder(folder, create=create and not read_only)
            book = cls(folder, keeping)
            if read_only:
                book._only_read("The book was opened for reading only.")
            else:
                book._take_lock()
            try:
                book._prepare()
            except BaseException:
                book._lock.release()
                raise
        except OSError as error:
            raise refusal(f"The book {folder} could not be opened", error) from error
        return book

    @property
    def read_only(self) -> bool:
        """Whether this program only reads: another one writes, the disk cannot be written, or it was asked to."""
        return self._keeping.read_only

    @property
    def why_read_only(self) -> str:
        """Why this program only reads, in a sentence; empty when it writes."""
        return self._why_read_only

    @property
    def problems(self) -> list[str]:
        """Sentences for a person about the book and about those records that have been read."""
        said = list(self._notes)
        if self._why_read_only:
            said.insert(0, self._why_read_only)
        if self.away:
            said.insert(0, self.away)
        said += [found for d in self._documents() if d.is_loaded and (found := d.problem)]
        return said

    # Opening

    def _documents(self) -> list[Document]:
        return [self.shop, *self.units.values()]

    def _document(self, code: str) -> Document:
        shop = code == "shop"
        folder = os.path.join(self.path, "shop") if shop else os.path.join(self.path, "units", code)
        document = Document(folder, "shop" if shop else "unit", code, self._keeping)
        document.with_partners = lambda entry, kind: self._step_together(document, entry, kind)
        self._index.hand_over(document)
        return document

    def _take_lock(self) -> bool:
        try:
            taken = self._lock.take(self._keeping.by, self._keeping.now)
        except OSError as error:
            self._only_read(str(refusal("The book is open for reading only", error)))
            return False
        if not taken:
            self.holder = self._lock.holder()
            who = f" ({self.holder})" if self.holder else ""
            self._only_read(f"The book is open for reading only here: another program{who} writes in it.")
        return taken

    def _only_read(self, why: str) -> None:
        self._keeping.read_only, self._why_read_only = True, why

    def _prepare(self) -> None:
        """What is done once the lock is decided: folders, the head of the book, units, a change cut short."""
        self._read_head()
        if not self.read_only:
            for name in ("units", "shop"):
                make_folder(os.path.join(self.path, name))
            self._say_what_is_passing()
        found = self._codes_at_opening()
        self.units = {code: self.units.get(code) or self._document(code) for code in found}
        for code in sorted(self._index.codes_before(removed_units(self.path)) - set(found) - {"shop"}):
            self._note(f"{code} was there when the book was last closed and is gone; its folder was moved or removed.")
        if not self.read_only:
            try:
                self._settle()
            except StoreError as error:
                self._note(str(error))  # tried again before the first change
        for document in self._documents():
            self._look_at(document, document.stamps())

    def _look_at(self, document: Document, stamps: Stamps) -> None:
        """Take notice of how the files of a record look now, and of how late its last change is."""
        self._stamps[document.code] = stamps
        document.seen(stamps)
        if document.is_remembered:
            self._keeping.turn = max(self._keeping.turn, document.last_turn())
        else:
            self._turns_unknown.add(document.code)

    def _learn_turns(self) -> None:
        """Look at the ends of histories that nobody knows; one that cannot be read now is looked at again."""
        for code in tuple(self._turns_unknown):
            document = self._by_code(code)
            with suppress(OSError):
                if document is not None:
                    self._keeping.turn = max(self._keeping.turn, document.last_turn())
                self._turns_unknown.discard(code)

    def _read_head(self) -> None:
        path = os.path.join(self.path, "book.json")
        head, sound = read_object(path)
        if not sound:
            self._note("book.json was damaged; it was written anew, and the records are not concerned.")
        form = head.get("form")
        if isinstance(form, int) and form > FORM:
            self._only_read(
                f"The book was written by a newer version of this program (form {form}). Update it to write."
            )
            self._lock.release()
        elif not self.read_only and (not sound or not isinstance(form, int)):
            begun = self._keeping.now().astimezone(UTC).isoformat(timespec="seconds")
            replace_durably(path, encode({"form": FORM, "begun": begun}, indent=True) + b"\n")

    def _say_what_is_passing(self) -> None:
        """Name the files of the running program for version control, so that they never stand in a checkout's way."""
        for name, said in ((".gitignore", PASSING), (".gitattributes", MERGED)):
            path = os.path.join(self.path, name)
            if not os.path.lexists(path):
                with suppress(OSError):  # the book is whole without it
                    replace_loosely(path, said)

    def _codes_at_opening(self) -> list[str]:
        """Raises `OSError`; a book that was only just begun has no units yet."""
        try:
            return self._unit_codes()
        except FileNotFoundError:
            return []

    def _unit_codes(self) -> list[str]:
        """Folders of units, in order; anything else among them is named. Raises `OSError`."""
        codes, strange = unit_folders(self.path)
        for name in strange:
            self._note(f"units/{name} is not the folder of a unit and is left alone.")
        return [code for code in codes if code not in self._unfinished]

    def _note(self, sentence: str) -> None:
        if sentence not in self._notes:
            self._notes.append(sentence)

    def _settle(self) -> None:
        """Complete a change over several documents that a crash cut short; raises `StoreError`."""
        self._settled = True  # documents ask `_ready` before they take in their part
        try:
            said = self._together.settle(self._by_code)
        except StoreError:
            self._settled = False
            raise
        if said:
            self._note(said)

    def _by_code(self, code: str) -> Document | None:
        return self.shop if code == "shop" else self.units.get(code)

    def _ready(self) -> None:
        """Called before every change: may this program write now?"""
        if self._closed:
            raise StoreError("The book is closed. Open it again.")
        if self.read_only:
            raise ReadOnlyError(f"The change was not kept. {self._why_read_only}")
        if not os.path.isdir(self.path):
            raise StoreError(
                f"The change was not kept: the folder {self.path} is not there. Put it back, and it is tried again."
            )
        if not self._lock.still_mine():
            self._lock.release()
            if not self._take_lock():
                raise ReadOnlyError(f"The change was not kept: the lock of the book was removed. {self._why_read_only}")
        if not self._settled:
            self._settle()
        if self._together.unsettled:
            self._together.take_back()
        try:
            self._moves.take_back()
        except OSError as error:
            raise refusal("The change was not kept, because an earlier one could not be taken back", error) from error

    # Units

    def add_unit(self, code: str, state: Json, what: str) -> Document:
        """Begin a unit; its folder, history and document are on the disk when this returns.

        Raises:
            InputError: the code cannot be used, or there is such a unit.
            StoreError: nothing was kept.
        """
        self._ready()
        document = self._unfinished.get(checked_code(code))
        if code in self.units or (document is None and not is_blank(os.path.join(self.path, "units", code))):
            raise InputError(f"There is a unit {code} already. Choose another code.")
        document = self._unfinished[code] = document or self._document(code)
        document.begin(state, what)
        self.units[code] = self._unfinished.pop(code)
        self.units = dict(sorted(self.units.items()))
        self._look_at(document, document.stamps())
        return document

    def adopt(self, code: str, folder: str) -> Document:
        """Take a unit in from a folder elsewhere, with its story and its pictures; raises as `add_unit`."""
        self._ready()
        target = os.path.join(self.path, "units", checked_code(code))
        if code in self.units or not is_blank(target):
            raise InputError(f"There is a unit {code} already.")
        try:
            adopt(folder, target)
        except OSError as error:
            raise refusal(f"{code} was not taken in", error) from error
        return self._entered(code)

    def _entered(self, code: str) -> Document:
        """A unit whose folder came into its place."""
        document = self.units[code] = self._document(code)
        self.units = dict(sorted(self.units.items()))
        self._look_at(document, document.stamps())
        return document

    def remove_unit(self, code: str) -> Removed:
        """Move the folder of a unit to `removed`; nothing is deleted, and it can be put back."""
        self._ready()
        if code not in self.units:
            raise InputError(f"There is no unit {code}.")
        document, now = self.units[code], self._keeping.now().astimezone(UTC)
        document.close()
        name = removed_name(code, now)
        try:
            make_folder(os.path.join(self.path, "removed"))
            self._moves.move(os.path.join("units", code), os.path.join("removed", name))
        except OSError as error:
            raise refusal(f"{code} was not removed", error) from error
        document.gone = True
        del self.units[code]
        return Removed(code, now, name)

    def removed(self) -> list[Removed]:
        """Units that can be put back, the latest first."""
        with suppress(OSError):  # else before the next change
            self._moves.take_back()
        return removed_units(self.path)

    def put_back(self, removed: Removed) -> Document:
        """Move the folder of a removed unit back."""
        self._ready()
        if removed.code in self.units or os.path.lexists(os.path.join(self.path, "units", removed.code)):
            raise InputError(f"There is another unit {removed.code} now. Remove that one first.")
        try:
            self._moves.move(os.path.join("removed", removed.folder), os.path.join("units", removed.code))
        except OSError as error:
            raise refusal(f"{removed.code} was not put back", error) from error
        return self._entered(removed.code)

    # Changes over several documents

    def change_together(self, what: str, changes: Sequence[Change], *, sent_as: str = "") -> None:
        """Keep one change over several documents: all of it is durable when this returns, nothing if it raises.

        Args:
            what: the change in words.
            changes: each document with what leads to its new state and back.
            sent_as: under which name a phone sent it.
        """
        self._ready()
        name = self._keeping.new_identity()
        partners = tuple(document.code for document, _, _ in changes)
        if len(set(partners)) != len(partners):
            raise InputError("A change over several documents names one of them twice. Put its operations together.")
        parts = [
            DocumentShare(
                document, *document.prepare(what, do, undo, together=name, partners=partners, sent_as=sent_as)
            )
            for document, do, undo in changes
        ]
        self._together.carry_out(parts)

    def join_together(self, what: str, joins: Sequence[Join]) -> None:
        """Keep a joining of one or several records: first the lines of the others beside each, then all as one change.

        Raises as `change_together`; then nothing was changed, but lines may lie beside records, to be joined.
        """
        self._ready()
        name = self._keeping.new_identity() if len(joins) > 1 else ""
        partners = tuple(join.document.code for join in joins) if len(joins) > 1 else ()
        try:
            for join in joins:
                if join.said:
                    keep_line(join.document.place, join.branch, join.since)
        except OSError as error:
            raise refusal("Nothing was joined", error) from error
        parts = [
            DocumentShare(document, *document.prepare(what, do, undo, together=name, partners=partners, joined=said))
            for document, do, undo, _, _, said in joins
        ]
        if len(parts) == 1:
            parts[0].document.commit(parts[0].line, parts[0].after)
        else:
            self._together.carry_out(parts)
        for join in joins:
            remove_quietly(kept_path(join.document.place, *join.branch.end, WAITING))
            join.document.renew()

    def newest_state(self, branch: Branch) -> Json:
        """What a line says at its end, in the present form; raises `StoreError`."""
        state, schema = branch.story.state_of(branch.end[0])
        return to_newest(state, schema or 1, branch.place.kind, self._keeping)

    def merged_outside(self) -> list[Document]:
        """Records in which version control put two lines of changes together, or beside which one waits to be joined.

        Only records that changed since the book was last closed are looked at. Raises `StoreError`.
        """
        found = []
        for document in self._documents():
            if document.is_remembered and not document.is_loaded:
                continue
            place = document.place
            is_asked = document.is_loaded or waits(place) or may_be_union(_bytes_of(place.history))
            if is_asked and not document.broken and document.to_join():
                found.append(document)
        return found

    def _step_together(self, asked: Document, entry: HistoryEntry, kind: str) -> HistoryEntry:
        """Undo or redo a change over several documents in all of them."""
        self._ready()
        name, parts = self._keeping.new_identity(), []
        for code in entry.partners:
            document = self._by_code(code)
            if document is None:
                raise InputError(f"“{entry.what}” also changed {code}, which is not there. Nothing was changed.")
            latest = document.next_undo if kind == "undo" else document.next_redo
            if latest is None or latest.together != entry.together:
                raise InputError(
                    f"“{entry.what}” also changed {document.place.name}, which was changed since. Undo that first."
                )
            parts.append(DocumentShare(document, *document.prepare_step(latest, kind, name)))
        self._together.carry_out(parts)
        return next(part.line.entry for part in parts if part.document is asked)

    # Others

    def take_over(self) -> bool:
        """Become the writer if the other program is gone; True if this program writes now."""
        if not self.read_only or self._closed:
            return not self._closed
        if not self._take_lock():
            return False
        self._keeping.read_only, self._why_read_only, self.holder = False, "", None
        try:
            for document in self._documents():
                document.forget()
            self._prepare()
        except OSError as error:
            raise refusal("The book could not be taken over", error) from error
        return not self.read_only

    def poll(self) -> set[str]:
        """Look at what others did to the folder; returns the codes of changed, new and gone records (and `shop`).

        A reading program takes in the writer's changes. A writing one says in `problem` what was changed outside.
        While the folder itself cannot be looked at, `away` says so, and nothing counts as gone.
        """
        try:
            changed = self._come_and_gone()
        except OSError as error:
            self.away = str(refusal(f"The book {self.path} cannot be looked at", error))
            return set()
        self.away = ""
        for document in self._documents():
            stamps = document.stamps()
            if self._stamps.get(document.code) == stamps:
                continue
            self._look_at(document, stamps)
            noticed = document.follow() if self.read_only else document.notice()
            if noticed or not document.is_loaded:
                changed.add(document.code)
        return changed

    def _come_and_gone(self) -> set[str]:
        there = self._unit_codes()
        gone, come = set(self.units) - set(there), set(there) - set(self.units)
        for code in gone:
            self.lost[code] = self.units.pop(code)
            self.lost[code].gone = True
            self._stamps.pop(code, None)
            self._note(f"The folder of {code} was moved or removed while the book was open. Put it back to go on.")
        if come:
            self.units = {code: self.units.get(code) or self._document(code) for code in there}
            for code in come:
                self.lost.pop(code, None)
        return gone | come

    # Beside the records

    def let_go(self, code: str) -> bool:
        """Keep nothing of a unit in memory but its overview, which is all that is wanted; True when that is so."""
        document = self.units.get(code)
        if document is None or not document.let_go():
            return False
        self._look_at(document, document.stamps())
        return True

    def overviews_where(self, field: str, fits: Callable[[Any], bool]) -> set[str]:
        """Codes of the records whose overview has a field with a value that fits."""
        self._index.take_in(self._documents())
        return self._index.where(field, fits)

    def write_overviews(self) -> None:
        """Write the overviews that are new; what the disk refuses is made anew the next time."""
        if not self.read_only and not self._closed:
            self._index.take_in(self._documents())
            with suppress(OSError):
                self._index.write()

    def next_turn(self) -> int:
        """The place of something that is done now among all changes of the book."""
        return self._keeping.next_turn()

    def written_by(self, initials: str) -> None:
        """Who is named on every change from now on."""
        self._keeping.by = initials

    def get_draft(self, key: str) -> str:
        """A half-typed text, empty if there is none."""
        return self._drafts.get(key)

    def set_draft(self, key: str, text: str) -> None:
        """Keep a half-typed text; an empty one removes it. Raises `StoreError`."""
        self._ready()
        self._drafts.put(key, text)

    def close(self) -> None:
        """Renew the documents that are behind and give the lock back. A failure is in `problems`; nothing is lost."""
        if self._closed:
            return
        if not self.read_only:
            for document in self._documents():
                if said := document.close():
                    self._note(said)
            self.write_overviews()
        self._closed = True
        self._lock.release()
