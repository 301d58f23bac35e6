"""The session: an open book that can be changed, each change kept before it is told."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from logbook.errors import InputError, LogbookError, ReadOnlyError, StoreError
from logbook.model.base import Frozen
from logbook.model.currency import refuse_other_currency, usual_currency
from logbook.model.document import beyond_limits, structure_problems
from logbook.model.plural import counted
from logbook.model.shop import Shop, ShopSettings
from logbook.model.unit import Unit
from logbook.model.unit_edits import kept_stop_lines
from logbook.session.faults import written_down
from logbook.session.fitting import after_change, things, touched_anew
from logbook.session.health import Stranger, differences
from logbook.session.joined_record import JoinedRecord
from logbook.session.learnt import fitted
from logbook.session.migrations import MIGRATIONS
from logbook.session.moves import Aside, Move, Moves
from logbook.session.opened import SHOP, OpenBook, RecordNews
from logbook.session.record_states import to_state
from logbook.session.unkept import Unkept, UnkeptChanges
from logbook.session.watch import changed_on_shelf, shelf_news, stop_line_news, together_news, uses_any
from logbook.store import BookFolder, Document, HistoryEntry, Op, Removed
from logbook.store.book import Join
from logbook.store.patches import patches

R = TypeVar("R", Unit, Shop)


AT_CLOSING = 20
"""Of so many changed units overviews are made at closing at most; the next start makes the others."""

INITIALS = "initials"
"""Where the initials of who writes are kept between two starts of the program."""


def _now() -> datetime:
    return datetime.now(UTC)


def _new_shop() -> Shop:
    """A shop that counts in the currency of the person's country, as the environment names it."""
    said = next((v for name in ("LC_ALL", "LC_MONETARY", "LANG") if (v := os.environ.get(name))), "")
    if "_" not in said:
        return Shop()
    return Shop(settings=ShopSettings(currency=usual_currency(said)))


def _refuse_beyond(record: Frozen, name: str, before: Frozen) -> None:
    """The door that every edit goes through, typed, computed or entered in a line: nothing beyond a limit gets in."""
    if problem := next(beyond_limits(record, name, before), None):
        raise InputError(problem)


def _count(changes: int) -> str:
    return "1 change does not fit" if changes == 1 else f"{changes} changes do not fit"


def _order(entry: HistoryEntry) -> tuple[int, datetime]:
    """What tells which of two changes came later: their turns; of those of older programs, their times."""
    return entry.turn, entry.at


def _undone_at(document: Document, entry: HistoryEntry) -> tuple[int, datetime]:
    """When a change was last taken back."""
    times = [_order(e) for e in document.entries() if e.kind == "undo" and e.of == entry.n]
    return max(times, default=_order(entry))


class Session(OpenBook):
    """An open book.

    Use `Session.open`; then `unit`, `shop` and `book` read, `apply` and `apply_shop` change, `undo` and
    `redo` go back and forth, and `close` ends it. Not for use from several threads.
    """

    def __init__(
        self, folder: BookFolder, *, now: Callable[[], datetime] = _now, by: str = "", at_once: bool = False
    ) -> None:
        super().__init__(folder, now)
        self.by = by
        self.warning = ""
        """What the last edit did to a stop line, in a sentence; empty when it passed none."""
        self.joined_by_itself: list[str] = []
        """What version control put together and was joined since the book was opened, in sentences."""
        self._at_once = at_once
        self._unkept = UnkeptChanges()
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
        at_once: bool = False,
    ) -> Session:
        """Open the book in the folder `path`, making it when it is not there and `create` says so.

        Args:
            path: the folder.
            by: initials of who writes.
            now: the clock.
            create: make the book when there is none.
            read_only: do not write, even if nobody else does.
            at_once: a change that the disk refuses is an error, as a command needs it that ends; else it stays in
                memory and in `unkept`, and is tried again.

        Raises:
            StoreError: the folder cannot be used as a book at all; single damaged units do not raise.
        """
        folder = BookFolder.open(path, by=by, now=now, create=create, read_only=read_only, migrations=MIGRATIONS)
        session = cls(folder, now=now, by=by, at_once=at_once)
        try:
            if not by:
                session._named(folder.get_draft(INITIALS))
            if folder.shop.version == 0 and not folder.read_only:
                folder.shop.begin(to_state(_new_shop()), "the shop was begun")
            session.join_what_was_merged()
        except BaseException:
            folder.close()
            raise
        return session

    def join_what_was_merged(self) -> None:
        """Join what version control put together; what cannot be joined waits, and is told among the problems."""
        if self.read_only:
            return
        for code, paths in self.merged_outside().items():
            for path in paths:
                try:
                    self._join_waiting(code, path)
                except LogbookError as error:
                    self._say_not_joined(code, str(error))
                except Exception as fault:  # noqa: BLE001 - whatever it is, the book opens with the line it has
                    self._say_not_joined(code, written_down(fault, self.now))

    def _join_waiting(self, code: str, path: str) -> None:
        from logbook.session.joining import keep, propose_waiting

        proposal = propose_waiting(self, code, path)
        if proposal.not_joined:
            raise InputError(" ".join(proposal.not_joined))
        looks = keep(self, proposal).to_look_at
        left = f", {counted(looks, 'thing')} to look at" if looks else ""
        self.joined_by_itself.append(f"{code or 'The shop'} is joined with its other copy{left}.")

    def _say_not_joined(self, code: str, why: str) -> None:
        what = code or "the shop"
        self._document(code).note(f"{what} was written on two computers, and one of the two is not joined yet. {why}")

    def write_as(self, initials: str) -> None:
        """Who writes from now on, also when the book is opened again and nobody is named then."""
        self._named(initials.strip())
        self.keep_draft(INITIALS, self.by)  # last, because a full disk refuses

    def _named(self, initials: str) -> None:
        self.by = initials
        self._folder.written_by(initials)

    # Changing

    def apply(self, code: str, what: str, edit: Callable[[Unit], Unit], *, sent_as: str = "") -> Unit:
        """Change a unit and keep the change before returning.

        When the disk refuses, the change stays in memory and in `unkept`, and is tried again by `retry`;
        in a session that keeps at once it is not made, nor is one that a phone sent, which sends it again.

        Args:
            code: of the unit.
            what: in words, for the history.
            edit: from the unit to the new one.
            sent_as: the name under which a phone sent it; whoever gives one asks `sent_changes` first.

        Raises:
            StoreError: the disk refused what is kept at once or not at all; nothing was changed.
            ReadOnlyError: the book is open for reading only; nothing was changed.
            InputError: whatever the edit itself refuses; nothing was changed.
        """
        before = self.unit(code)
        after = edit(before)
        if after is before:
            return before
        if after.code != code:
            raise InputError(f"A unit's code cannot change: {code} stands on its bags.")
        kept_stop_lines(before, after)
        _refuse_beyond(after, code, before)
        after = after.model_copy(update={"touched": self.now})
        self._write(code, what, before, after, sent_as)
        self._units[code] = after
        self.warning = stop_line_news(before, after, self.shop, self.today)
        self._tell(RecordNews(code, what))
        return after

    def apply_shop(self, what: str, edit: Callable[[Shop], Shop]) -> Shop:
        """Change what the units share. As `apply`."""
        before = self.shop
        after = edit(before)
        if after is not before:
            if self.codes() or self.broken():
                refuse_other_currency(before.settings.currency, after.settings.currency)
            _refuse_beyond(after, "shop", before)
            self._write(SHOP, what, before, after)
            self._shop = after
            self._read_users_of(before, after)
            self.warning = shelf_news(tuple(self._units.values()), before, after, self.today)
            self._tell(RecordNews(SHOP, what))
        return after

    def apply_together(
        self, code: str, what: str, edit: Callable[[Unit, Shop], tuple[Unit, Shop]], *, sent_as: str = ""
    ) -> tuple[Unit, Shop]:
        """Change a unit and the shop as one: after a crash both are there or neither. `sent_as` as in `apply`.

        Raises:
            StoreError: it could not be kept; nothing was changed.
        """
        unit, shop = self.unit(code), self.shop
        new_unit, new_shop = edit(unit, shop)
        if new_unit is unit and new_shop is shop:
            return unit, shop
        self._keep_together(what, {code: new_unit}, new_shop, sent_as)
        return self.unit(code), new_shop

    def apply_over(
        self,
        codes: Iterable[str],
        what: str,
        edit: Callable[[Mapping[str, Unit], Shop], tuple[Mapping[str, Unit], Shop]],
        *,
        sent_as: str = "",
    ) -> None:
        """Change several units and the shop as one: after a crash all of it is there or none, and undo takes it all.

        Args:
            codes: the units that the edit is given.
            what: in words, for the history of each.
            edit: from the units by code and the shop to the new ones; what stays the same object is not written.
            sent_as: as in `apply`.

        Raises:
            StoreError: it could not be kept; nothing was changed.
        """
        units, shop = {code: self.unit(code) for code in codes}, self.shop
        new_units, new_shop = edit(units, shop)
        changed = {code: new for code, new in new_units.items() if new is not units[code]}
        if changed or new_shop is not shop:
            self._keep_together(what, changed, new_shop, sent_as)

    def _keep_together(self, what: str, units: Mapping[str, Unit], shop: Shop, sent_as: str = "") -> None:
        """Keep one change over these units, which are new, and over the shop when it is."""
        if self.read_only:
            raise ReadOnlyError(f"Not kept: {self.why_read_only}")
        for code, new in units.items():
            _refuse_beyond(new, code, self.unit(code))
        _refuse_beyond(shop, "shop", self.shop)
        self._try_again(*units, *([SHOP] if shop is not self.shop else []))
        touched = {code: unit.model_copy(update={"touched": self.now}) for code, unit in units.items()}
        changes = [self._change_of(self._document(code), self.unit(code), new) for code, new in touched.items()]
        if shop is not self.shop:
            changes.append(self._change_of(self._folder.shop, self.shop, shop))
        self._folder.change_together(what, changes, sent_as=sent_as)
        self._moves.changed()
        self._read_users_of(self.shop, shop)
        self.warning = together_news(self._units, touched, self.shop, shop, self.today)
        news = [*touched, *([SHOP] if shop is not self.shop else [])]
        self._units.update(touched)
        self._shop = shop
        for code in news:
            self._tell(RecordNews(code, what))

    def _read_users_of(self, before: Shop, after: Shop) -> None:
        """Read the units that use what was changed on the shelf and have a stop line, which it may pass."""
        changed = changed_on_shelf(before, after)
        if not changed:
            return
        users = self._folder.overviews_where("uses", lambda uses: uses_any(changed, uses))
        for code in users.intersection(self.codes()):
            self.unit(code)

    @staticmethod
    def _change_of(document: Document, before: R, after: R) -> tuple[Document, list[Op], list[Op]]:
        """A document with the patches of its change."""
        return document, *fitted(document.state, before, *patches(before, after))

    def add_unit(self, unit: Unit, what: str = "") -> Unit:
        """Take a new unit into the book.

        Raises:
            InputError: the code is taken, or the record contradicts itself.
            StoreError: it could not be kept; nothing was changed.
        """
        if unit.code in self._folder.units:
            raise InputError(f"There is already a unit {unit.code} in this book; give the new one another code.")
        problems = [*structure_problems(unit), *beyond_limits(unit, "unit")]
        if problems:
            raise InputError(f"{unit.code} cannot be taken in: {problems[0]}")
        if unit.touched is None:
            unit = unit.model_copy(update={"touched": self.now})
        what = what or f"{unit.code} {unit.name} arrived"
        self._folder.add_unit(unit.code, to_state(unit), what)
        self._units[unit.code] = unit
        self._moves.note(Move(unit.code, what, self.now, came_in=True, turn=self._folder.next_turn()))
        self._tell(RecordNews(unit.code, what))
        return unit

    def remove_unit(self, code: str) -> None:
        """Take a unit out of the book; its folder is moved aside, and undoing on the whole book puts it back."""
        what = f"{code} {self.unit(code).name} taken out of the book"
        aside = self._folder.remove_unit(code)
        self._units.pop(code, None)
        self._moves.note(Move(code, what, self.now, came_in=False, turn=self._folder.next_turn(), aside=Aside(aside)))
        self._tell(RecordNews(code, what))

    def out_of_the_book(self) -> str:
        """The unit that undoing on the whole book puts back, in words; empty when that takes something else back."""
        move = self._moves.last
        if move is None or move.came_in or not self._moves.is_next(self._latest(back=True)[1], back=True):
            return ""
        return move.what

    def take_in(self, stranger: Stranger) -> None:
        """Bring the record to what such a file says, as a change that can be undone. Raises as `compared`."""
        document = self._document(stranger.code)
        do, undo, _ = differences(document, stranger, self.record(stranger.code), self.shop_now)
        if self.read_only:
            raise ReadOnlyError(f"Not taken in: {self.why_read_only}")
        what = f"taken in from {stranger.path.name}"
        document.change(what, do, undo)
        self._forget(stranger.code)
        self._tell(RecordNews(stranger.code, what))

    def keep_joined(self, what: str, joins: Sequence[JoinedRecord]) -> None:
        """Keep records that were joined as one change; the other side's lines stay beside each.

        Raises:
            StoreError: it could not be kept; nothing was changed.
            InputError: a joined record is beyond the limits; nothing was changed.
        """
        if self.read_only:
            raise ReadOnlyError(f"Not joined: {self.why_read_only}")
        self._try_again(*(join.code for join in joins))
        changes = []
        for join in joins:
            before: Any = self.record(join.code)
            _refuse_beyond(join.record, join.code or "shop", before)
            document, do, undo = self._change_of(self._document(join.code), before, join.record)
            changes.append(Join(document, do, undo, join.branch, join.since, join.said))
        self._folder.join_together(what, changes)
        self._moves.changed()
        for join in joins:
            self._forget(join.code)
        for join in joins:
            self._tell(RecordNews(join.code, what))

    def adopt(self, code: str, folder: Path, what: str) -> None:
        """Take a unit in from a folder elsewhere, with its story and its pictures. Raises as `add_unit`."""
        self._folder.adopt(code, str(folder))
        self._moves.note(Move(code, what, self.now, came_in=True, turn=self._folder.next_turn()))
        self._tell(RecordNews(code, what))

    def put_back(self, removed: Removed) -> None:
        """Put a unit back that was taken out. Raises InputError when another one has its code now."""
        if self.read_only:
            raise ReadOnlyError(f"Not put back: {self.why_read_only}")
        self._folder.put_back(removed)
        what = f"{removed.code} put back into the book"
        self._moves.note_put_back(removed, what, self.now)
        self._forget(removed.code)
        self._tell(RecordNews(removed.code, what))

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
        if self._unkept.waiting and not self.retry():
            return self._drop_unkept(code) if back else None
        latest, turn = (code, None) if code is not None else self._latest(back=back)
        if code is None and self._moves.is_next(turn, back=back):
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
            self._tell(RecordNews(each, entry.what))
        return entry.what

    def _drop_unkept(self, code: str | None) -> str | None:
        """Take back the last change that the disk refused: it is in memory only."""
        last = self._unkept.waiting[-1]
        if code not in (None, last.code):
            return None
        self._unkept.drop(last)
        if isinstance(last.before, Unit):
            self._units[last.code] = last.before
        else:
            self._shop = last.before
        self._tell(RecordNews(last.code, last.what))
        return last.what

    def _latest(self, *, back: bool) -> tuple[str | None, int | None]:
        """The record whose change was made last (or taken back last), and its turn; only likely ones are read."""
        latest: str | None = None
        latest_order: tuple[int, datetime] | None = None
        for code, kept in self._newest_first():
            if latest_order is not None and kept <= latest_order:
                break
            document = self._document(code)
            entry = document.next_undo if back else document.next_redo
            if entry is None:
                continue
            order = _order(entry) if back else _undone_at(document, entry)
            if latest_order is None or order > latest_order:
                latest, latest_order = code, order
        return latest, None if latest_order is None else latest_order[0]

    def _newest_first(self) -> list[tuple[str, tuple[int, datetime]]]:
        """Every record with the order of its last change, the latest first."""
        kept = [(code, self._document(code).glance()) for code in (SHOP, *self.codes())]
        orders = [(code, (now.turn, now.kept_at or datetime.min.replace(tzinfo=UTC))) for code, now in kept]
        return sorted(orders, key=lambda pair: pair[1], reverse=True)

    def _move(self, *, back: bool) -> str:
        move = self._moves.step(self.now, back=back)
        self._forget(move.code)
        self._tell(RecordNews(move.code, move.what))
        return move.what

    # What the disk refused

    @property
    def unkept(self) -> tuple[Unkept, ...]:
        """Changes that are in memory only, oldest first."""
        return tuple(self._unkept)

    def retry(self) -> bool:
        """Try again to keep what was refused; True when nothing is left unkept."""
        if self._unkept:
            self._unkept.try_all(self._keep_late, lambda change: self._tell(RecordNews(change.code, change.what)))
            for change in self._unkept:
                if not change.fits and change.code not in self._unkept.codes:
                    self._forget(change.code)  # in memory it still stood on a record that is not there any more
        return not self._unkept

    def _keep_late(self, change: Unkept) -> None:
        document = self._document(change.code)
        do, undo = fitted(document.state, change.before, change.do, change.undo)
        made_in = things(to_state(change.before), do)
        do, undo = touched_anew(document.state, do, undo)
        after_change(document.state, do, undo, made_in, f"“{change.what}” of {change.code or 'the shop'}")
        document.change(change.what, do, undo)

    def _try_again(self, *codes: str) -> None:
        """Before a new change: what was refused of these records comes first. Raises StoreError when it cannot be."""
        self.retry()
        for code in codes:
            if why := self._unkept.refused(code):
                raise StoreError(why)

    def _write(self, code: str, what: str, before: R, after: R, sent_as: str = "") -> None:
        if self.read_only:
            raise ReadOnlyError(f"Not kept: {self.why_read_only}")
        do, undo = patches(before, after)
        self._moves.changed()
        try:
            self._try_again(code)
            document = self._document(code)
            do, undo = fitted(document.state, before, do, undo)
            document.change(what, do, undo, sent_as=sent_as)
        except ReadOnlyError:
            raise
        except StoreError as error:
            if self._at_once or sent_as:
                raise
            self._unkept.add(Unkept(code, what, str(error), before, do, undo))

    def is_kept(self, code: str) -> bool:
        """Whether the record in memory is the one on the disk."""
        return code not in self._unkept.codes

    # Other programs

    def poll(self) -> tuple[str, ...]:
        """Take in what others did to the book since the last call; the codes of records that are new."""
        changed = tuple(sorted(SHOP if code == "shop" else code for code in self._folder.poll()))
        waiting = self._unkept.codes
        for code in changed:
            is_lost = code in self._folder.lost
            if code not in waiting and not is_lost:  # what is in memory only must not be forgotten
                self._forget(code)
            self._tell(RecordNews(code, "changed outside this program", from_outside=True))
        return changed

    def take_over(self) -> bool:
        """Become the writer, when the other program is gone. What the disk refused before is still in memory then."""
        done = self._folder.take_over()
        if done:
            for code in {*self._units, SHOP} - self._unkept.codes:
                self._forget(code)
            self.join_what_was_merged()
        return done

    def to_read_again(self) -> tuple[str, ...]:
        """Records whose history others changed while the book was open: nothing can be kept of them before."""
        return tuple(code for code in (SHOP, *self._folder.units) if self._document(code).changed_outside())

    def read_again(self) -> str:
        """Read those records again, and put what was not kept on top; what came of it, in a sentence.

        Raises:
            StoreError: the disk refuses; what is in memory is as it was.
        """
        codes = self.to_read_again()
        for code in codes:
            self._document(code).reopen()
            self._forget(code)
        self.retry()
        self.join_what_was_merged()
        for code in codes:
            self._tell(RecordNews(code, "read again", from_outside=True))
        names = ", ".join(code or "the shop" for code in codes)
        if not codes:
            return "Nothing was changed outside this program."
        if not self._unkept:
            return f"Read again: {names}. Everything is kept."
        return f"Read again: {names}. {_count(len(self.unkept))} on top of it, and not kept."

    def close(self) -> None:
        """Bring the documents and overviews up to date and let the book go."""
        self.retry()
        if not self.read_only:
            self.overviews.keep(AT_CLOSING)
        self._folder.close()

    def __enter__(self) -> Session:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def as_json(record: Frozen) -> dict[str, Any]:
    """A record as plain values, as it stands in JSON."""
    return to_state(record)
