"""One opened book: records in memory, changes on disk, and the news for those who listen."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, NamedTuple, TypeVar

from logbook.errors import InputError, ReadOnlyError, StoreError
from logbook.model.base import Frozen
from logbook.model.document import structure_problems
from logbook.model.shop import Shop
from logbook.model.unit import Book, Unit
from logbook.session.health import Stranger, differences, other_code, strangers_of, wrong_folder
from logbook.session.migrations import MIGRATIONS
from logbook.session.moves import Move, Moves
from logbook.session.records import from_state, to_state
from logbook.store import BookFolder, Document, Entry, Op, Removed
from logbook.store.changes import patches

SHOP = ""
"""The name under which the shop's document stands where a unit's code would."""

R = TypeVar("R", Unit, Shop)


class Kept(NamedTuple):
    """How a record stands on disk."""

    version: int
    """Number of the last change: the version of the record that paper names."""
    at: datetime | None
    """When that change was kept; None before the first."""


@dataclass(frozen=True, slots=True)
class Change:
    """News for listeners: which record is new, and what was done in words."""

    code: str
    """Code of the unit, or empty for the shop."""
    what: str
    from_outside: bool = False
    """Another program or hand made it."""


@dataclass(frozen=True, slots=True)
class Unkept:
    """A change that is in memory only, because the disk refused it."""

    code: str
    what: str
    why: str
    before: Unit | Shop
    """The record as it was before, for taking the change back."""
    do: list[Op]
    undo: list[Op]


def _now() -> datetime:
    return datetime.now(UTC)


_EARLIEST = datetime.min.replace(tzinfo=UTC)


def _undone_at(document: Document, entry: Entry) -> datetime:
    """When a change was last taken back."""
    return max((e.at for e in document.entries() if e.kind == "undo" and e.of == entry.n), default=entry.at)


class Session:
    """An open book.

    Use `Session.open`; then `unit`, `shop` and `book` read, `apply` and `apply_shop` change, `undo` and
    `redo` go back and forth, and `close` ends it. Not for use from several threads.
    """

    def __init__(self, folder: BookFolder, *, now: Callable[[], datetime] = _now, by: str = "") -> None:
        self._folder = folder
        self._now = now
        self.by = by
        self._units: dict[str, Unit] = {}
        self._shop: Shop | None = None
        self._listeners: list[Callable[[Change], None]] = []
        self._unkept: list[Unkept] = []
        self._moves = Moves(folder)

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        by: str = "",
        now: Callable[[], datetime] = _now,
        create: bool = True,
        read_only: bool = False,
    ) -> Session:
        """Open the book in the folder `path`, making it when it is not there and `create` says so.

        Raises:
            StoreError: the folder cannot be used as a book at all; single damaged units do not raise.
        """
        folder = BookFolder.open(path, by=by, now=now, create=create, read_only=read_only, migrations=MIGRATIONS)
        session = cls(folder, now=now, by=by)
        if folder.shop.version == 0 and not folder.read_only:
            folder.shop.begin(to_state(Shop()), "the shop was begun")
        return session

    # What there is

    @property
    def path(self) -> Path:
        """The folder of the book."""
        return Path(self._folder.path)

    @property
    def read_only(self) -> bool:
        """Whether nothing can be kept, because another program writes or the disk refuses."""
        return self._folder.read_only

    @property
    def why_read_only(self) -> str:
        """A sentence that says who holds the book, or why it cannot be written; empty when it can."""
        return self._folder.why_read_only

    @property
    def problems(self) -> tuple[str, ...]:
        """What was found damaged or strange, in sentences; that the book is only read is no damage."""
        documents = [d.problem for d in self._folder.units.values() if d.problem]
        said = [*self._folder.problems, *documents, *self.broken().values()]
        return tuple(p for p in dict.fromkeys(said) if p != self.why_read_only)

    def look_through(self, code: str | None = None) -> tuple[str, ...]:
        """Read everything that is kept, of one record or of the book, and say in sentences what is damaged.

        Args:
            code: a unit, or `SHOP`; None for the whole book.
        """
        codes = [SHOP, *self._folder.units] if code is None else [code]
        said = list(self.problems) if code is None else []
        for each in codes:
            try:
                said += self._document(each).look_through()
                if each != SHOP:
                    self.unit(each)
            except StoreError as error:
                said.append(str(error))
        said += [s.sentence for s in self.strangers(code)]
        return tuple(dict.fromkeys(said))

    @property
    def now(self) -> datetime:
        """The time by this session's clock, in UTC."""
        return self._now().astimezone(UTC)

    def codes(self) -> tuple[str, ...]:
        """Codes of the units that can be read, in alphabetical order."""
        return tuple(sorted(c for c, d in self._folder.units.items() if not d.broken and not other_code(d)))

    def broken(self) -> Mapping[str, str]:
        """Units of which nothing can be read, each with the sentence what to do."""
        documents = self._folder.units.items()
        unread = {c: d.problem or f"{c} cannot be read." for c, d in documents if d.broken}
        return unread | {c: said for c, d in documents if c not in unread and (said := wrong_folder(d))}

    # What lies beside the records

    def strangers(self, code: str | None = None) -> tuple[Stranger, ...]:
        """Files in the folder of a record, or of all, that are not its own: conflict copies, edits by hand."""
        codes = [SHOP, *self._folder.units] if code is None else [code]
        return tuple(s for each in codes for s in strangers_of(self._document(each), each))

    def compared(self, stranger: Stranger) -> tuple[str, ...]:
        """What such a file says otherwise than the record, in sentences; none when it says the same.

        Raises:
            InputError: the file holds no record of this kind.
        """
        return differences(self._document(stranger.code), stranger, self._record(stranger.code))[2]

    def take_in(self, stranger: Stranger) -> None:
        """Bring the record to what such a file says, as a change that can be undone. Raises as `compared`."""
        document = self._document(stranger.code)
        do, undo, _ = differences(document, stranger, self._record(stranger.code))
        if self.read_only:
            raise ReadOnlyError(f"Not taken in: {self.why_read_only}")
        what = f"taken in from {stranger.path.name}"
        document.change(what, do, undo)
        self._forget(stranger.code)
        self._tell(Change(stranger.code, what))

    def _record(self, code: str) -> Unit | Shop:
        return self.unit(code) if code != SHOP else self.shop

    def removed(self) -> tuple[Removed, ...]:
        """Units that were taken out of the book and can be put back, the latest first."""
        return tuple(self._folder.removed())

    def put_back(self, removed: Removed) -> None:
        """Put a unit back that was taken out. Raises InputError when another one has its code now."""
        if self.read_only:
            raise ReadOnlyError(f"Not put back: {self.why_read_only}")
        self._folder.put_back(removed)
        self._forget(removed.code)
        self._tell(Change(removed.code, f"{removed.code} put back into the book"))

    def unit(self, code: str) -> Unit:
        """The record of a unit.

        Raises:
            InputError: there is no unit of that code; near ones are named.
            StoreError: its folder is there but nothing in it can be read.
        """
        if code not in self._units:
            document = self._folder.units.get(code)
            if document is None:
                raise InputError(self._no_unit(code))
            if said := wrong_folder(document):
                raise StoreError(said)
            self._units[code] = from_state(Unit, document.state, code)
        return self._units[code]

    @property
    def shop(self) -> Shop:
        """What all units share."""
        if self._shop is None:
            document = self._folder.shop
            self._shop = from_state(Shop, document.state, "the shop") if document.version else Shop()
        return self._shop

    def book(self) -> Book:
        """Everything as one value."""
        return Book(shop=self.shop, units={code: self.unit(code) for code in self.codes()})

    def kept(self, code: str) -> Kept:
        """Version and time of a record as it stands on disk."""
        document = self._document(code)
        return Kept(document.version, document.kept_at)

    def entries(self, code: str) -> Sequence[Entry]:
        """The story of a record: every change, oldest first."""
        return self._document(code).entries()

    def unit_at(self, code: str, when: datetime) -> Unit:
        """The unit's record as it read at `when`."""
        return from_state(Unit, self._document(code).state_at(when), code)

    # Changing

    def apply(self, code: str, what: str, edit: Callable[[Unit], Unit]) -> Unit:
        """Change a unit and keep the change before returning.

        When the disk refuses, the change stays in memory and in `unkept`, and is tried again by `retry`.

        Raises:
            ReadOnlyError: the book is open for reading only; nothing was changed.
            InputError: whatever the edit itself refuses; nothing was changed.
        """
        before = self.unit(code)
        after = edit(before)
        if after is before:
            return before
        if after.code != code:
            raise InputError(f"A unit's code cannot change: {code} stands on its bags.")
        after = after.model_copy(update={"touched": self.now})
        self._write(code, what, before, after)
        self._units[code] = after
        self._tell(Change(code, what))
        return after

    def apply_shop(self, what: str, edit: Callable[[Shop], Shop]) -> Shop:
        """Change what the units share. As `apply`."""
        before = self.shop
        after = edit(before)
        if after is not before:
            self._write(SHOP, what, before, after)
            self._shop = after
            self._tell(Change(SHOP, what))
        return after

    def apply_together(
        self, code: str, what: str, edit: Callable[[Unit, Shop], tuple[Unit, Shop]]
    ) -> tuple[Unit, Shop]:
        """Change a unit and the shop as one: after a crash both are there or neither.

        Raises:
            StoreError: it could not be kept; nothing was changed.
        """
        unit, shop = self.unit(code), self.shop
        new_unit, new_shop = edit(unit, shop)
        if new_unit is unit and new_shop is shop:
            return unit, shop
        if self._unkept:
            self._try_all()
        new_unit = new_unit.model_copy(update={"touched": self.now})
        changes = [(self._document(code), *patches(unit, new_unit)), (self._folder.shop, *patches(shop, new_shop))]
        self._folder.change_together(what, changes)
        self._moves.changed()
        self._units[code], self._shop = new_unit, new_shop
        self._tell(Change(code, what))
        self._tell(Change(SHOP, what))
        return new_unit, new_shop

    def add_unit(self, unit: Unit, what: str = "") -> Unit:
        """Take a new unit into the book.

        Raises:
            InputError: the code is taken, or the record contradicts itself.
            StoreError: it could not be kept; nothing was changed.
        """
        if unit.code in self._folder.units:
            raise InputError(f"There is already a unit {unit.code} in this book; give the new one another code.")
        problems = list(structure_problems(unit))
        if problems:
            raise InputError(f"{unit.code} cannot be taken in: {problems[0]}")
        if unit.touched is None:
            unit = unit.model_copy(update={"touched": self.now})
        what = what or f"{unit.code} {unit.name} arrived"
        self._folder.add_unit(unit.code, to_state(unit), what)
        self._units[unit.code] = unit
        self._moves.note(Move(unit.code, what, self.now, came_in=True))
        self._tell(Change(unit.code, what))
        return unit

    def remove_unit(self, code: str) -> None:
        """Take a unit out of the book; its folder is moved aside, and undoing on the whole book puts it back."""
        what = f"{code} {self.unit(code).name} taken out of the book"
        aside = self._folder.remove_unit(code)
        self._units.pop(code, None)
        self._moves.note(Move(code, what, self.now, came_in=False, aside=aside))
        self._tell(Change(code, what))

    # Back and forth

    def undo(self, code: str | None = None) -> str | None:
        """Take back the last change, of `code` or of the whole book; says what was, None when nothing is left."""
        return self._back_or_forth(code, back=True)

    def redo(self, code: str | None = None) -> str | None:
        """Do again what was last taken back; says what, None when nothing is left."""
        return self._back_or_forth(code, back=False)

    def _back_or_forth(self, code: str | None, *, back: bool) -> str | None:
        if self.read_only:
            raise ReadOnlyError(self.why_read_only)
        if self._unkept and not self.retry():
            return self._drop_unkept(code) if back else None
        latest, at = (code, None) if code is not None else self._latest(back=back)
        if code is None and self._moves.is_next(at, back=back):
            return self._move(back=back)
        if latest is None:
            return None
        document = self._document(latest)
        entry = document.undo() if back else document.redo()
        if entry is None:
            return None
        touched = [SHOP if partner == "shop" else partner for partner in entry.partners] or [latest]
        for each in touched:
            self._forget(each)
        for each in touched:
            self._tell(Change(each, entry.what))
        return entry.what

    def _drop_unkept(self, code: str | None) -> str | None:
        """Take back the last change that the disk refused: it is in memory only."""
        last = self._unkept[-1]
        if code not in (None, last.code):
            return None
        self._unkept.pop()
        if isinstance(last.before, Unit):
            self._units[last.code] = last.before
        else:
            self._shop = last.before
        self._tell(Change(last.code, last.what))
        return last.what

    def _latest(self, *, back: bool) -> tuple[str | None, datetime | None]:
        """The record whose change was made last (or taken back last), and when; only likely ones are read."""
        found: tuple[str | None, datetime | None] = (None, None)
        for code in self._newest_first():
            kept = self.kept(code).at or _EARLIEST
            if found[1] is not None and kept <= found[1]:
                break
            document = self._document(code)
            entry = document.next_undo if back else document.next_redo
            if entry is not None:
                at = entry.at if back else _undone_at(document, entry)
                found = (code, at) if found[1] is None or at > found[1] else found
        return found

    def _newest_first(self) -> list[str]:
        everything = [SHOP, *self.codes()]
        return sorted(everything, key=lambda c: self.kept(c).at or _EARLIEST, reverse=True)

    def _move(self, *, back: bool) -> str:
        move = self._moves.step(self.now, back=back)
        self._forget(move.code)
        self._tell(Change(move.code, move.what))
        return move.what

    # What the disk refused

    @property
    def unkept(self) -> tuple[Unkept, ...]:
        """Changes that are in memory only, oldest first."""
        return tuple(self._unkept)

    def retry(self) -> bool:
        """Try again to keep what was refused; True when nothing is left unkept."""
        try:
            self._try_all()
        except StoreError:
            return False
        return True

    def _try_all(self) -> None:
        while self._unkept:
            first = self._unkept[0]
            self._document(first.code).change(first.what, first.do, first.undo)
            self._unkept.pop(0)
            self._tell(Change(first.code, first.what))

    def _write(self, code: str, what: str, before: R, after: R) -> None:
        if self.read_only:
            raise ReadOnlyError(f"Not kept: {self.why_read_only}")
        do, undo = patches(before, after)
        self._moves.changed()
        try:
            self._try_all()
            self._document(code).change(what, do, undo)
        except ReadOnlyError:
            raise
        except StoreError as error:
            self._unkept.append(Unkept(code, what, str(error), before, do, undo))

    # Drafts, news, other programs

    def draft(self, key: str) -> str:
        """A half-typed line left behind under `key`; empty when there is none."""
        return self._folder.get_draft(key)

    def keep_draft(self, key: str, text: str) -> None:
        """Keep a half-typed line, so that leaving loses nothing; nothing is kept in a book open for reading."""
        if not self.read_only and self._folder.get_draft(key) != text:
            self._folder.set_draft(key, text)

    def subscribe(self, listener: Callable[[Change], None]) -> Callable[[], None]:
        """Call `listener` after every change; the function returned ends that."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    def poll(self) -> tuple[str, ...]:
        """Take in what others did to the book since the last call; the codes of records that are new."""
        changed = tuple(sorted(SHOP if code == "shop" else code for code in self._folder.poll()))
        waiting = {u.code for u in self._unkept}
        for code in changed:
            if code not in waiting:  # what the disk refused is in memory only, and must not be forgotten
                self._forget(code)
            self._tell(Change(code, "changed outside this program", from_outside=True))
        return changed

    def take_over(self) -> bool:
        """Become the writer, when the other program is gone."""
        done = self._folder.take_over()
        if done:
            self._units.clear()
            self._shop = None
        return done

    def close(self) -> None:
        """Bring the documents up to date and let the book go."""
        self.retry()
        self._folder.close()

    def __enter__(self) -> Session:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Inside

    def _document(self, code: str) -> Document:
        if code == SHOP:
            return self._folder.shop
        if code not in self._folder.units:
            raise InputError(self._no_unit(code))
        return self._folder.units[code]

    def _no_unit(self, code: str) -> str:
        known = ", ".join(self.codes()[:12])
        return f"There is no unit {code} in this book. " + (f"It has {known}." if known else "It has none yet.")

    def _forget(self, code: str) -> None:
        if code == SHOP:
            self._shop = None
        else:
            self._units.pop(code, None)

    def _tell(self, change: Change) -> None:
        for listener in tuple(self._listeners):
            listener(change)


def as_json(record: Frozen) -> dict[str, Any]:
    """A record as plain values, as it stands in JSON."""
    return to_state(record)
