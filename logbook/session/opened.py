"""A book as it is opened: records in memory, how they stand on disk, what lies beside them, and the news."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from itertools import repeat
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from logbook.errors import InputError, LogbookError, StoreError
from logbook.model.apart import ToLookAt
from logbook.model.document import beyond_limits
from logbook.model.left_by_joining import left_open
from logbook.model.promises import promises_of
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Book, Unit
from logbook.session.faults import written_down
from logbook.session.health import Stranger, differences, other_code, strangers_of, wrong_folder
from logbook.session.overviews import Overviews, is_laid_out, is_sound
from logbook.session.record_states import from_state
from logbook.session.set_aside import faulty_units
from logbook.store import BookFolder, Document, HistoryEntry, Removed
from logbook.store.branch import Branch, Parted, branch_of_file, has_joined, kept_path
from logbook.store.history_reading import BARRIERS
from logbook.store.patch import apply_patch
from logbook.store.place import RecordFiles

if TYPE_CHECKING:
    from logbook.planning.standing import Whole
    from logbook.render.overview import Overview

T = TypeVar("T")

SHOP = ""
"""The name under which the shop's document stands where a unit's code would."""


class KeptState(NamedTuple):
    """How a record stands on disk."""

    version: int
    """Number of the last change: the version of the record that paper names."""
    at: datetime | None
    """When that change was kept; None before the first."""


@dataclass(frozen=True, slots=True)
class RecordNews:
    """News for listeners: which record is new, and what was done in words."""

    code: str
    """Code of the unit, or empty for the shop."""
    what: str
    from_outside: bool = False
    """Another program or hand made it."""


class _SetAside(NamedTuple):
    """A unit with which the program failed, as it was then: another record, or another shop, is tried again."""

    unit: Unit
    shop: Shop
    said: str


class OpenBook:
    """The reading half of a session: every record as one immutable value, and who is told of changes."""

    def __init__(self, folder: BookFolder, now: Callable[[], datetime]) -> None:
        self._folder = folder
        self._now = now
        self._units: dict[str, Unit] = {}
        self._looked_at: dict[str, tuple[Unit, str]] = {}
        self._set_aside: dict[str, _SetAside] = {}
        self._only: Book | None = None
        self._holding: tuple[Unit, ...] | None = None
        """Units that can hold something of the pile; None when it is to be found out."""
        self._shop: Shop | None = None
        self.overviews = Overviews(self, folder)
        """What the views over all units need of each, without reading it."""
        self._listeners: list[Callable[[RecordNews], None]] = []

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
        documents = [d.problem for d in self._folder.units.values() if not is_sound(d) and d.problem]
        said = [*self._folder.problems, *documents, *self.broken().values(), *self.left_out().values()]
        return tuple(p for p in dict.fromkeys(said) if p != self.why_read_only)

    @property
    def away(self) -> str:
        """Why the folder of the book cannot be looked at now, in a sentence; empty while it can."""
        return self._folder.away

    @property
    def lost(self) -> tuple[str, ...]:
        """Units whose folder went away while the book was open; what was read of them can still be shown."""
        return tuple(self._folder.lost)

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
        """The time by this session's clock, in UTC: what an edit writes down."""
        return self._now().astimezone(UTC)

    @property
    def shop_now(self) -> datetime:
        """The same moment by the shop's clock: what a person reads."""
        return shop_time(self.now, self.shop)

    @property
    def zone(self) -> tzinfo:
        """The time zone of the shop's clock, for what says none itself, such as a camera."""
        zone = self.shop_now.tzinfo
        return zone if zone is not None else UTC

    def on_shop_clock(self, moment: datetime) -> datetime:
        """A moment of the record as the shop's clock shows it."""
        return shop_time(moment, self.shop)

    @property
    def today(self) -> date:
        """The day by the shop's clock."""
        return self.shop_now.date()

    def codes(self) -> tuple[str, ...]:
        """Codes of the units that can be read, in alphabetical order, with those whose folder is gone meanwhile."""
        documents = self._folder.units.items()
        readable = {c for c, d in documents if is_sound(d) or (not d.broken and not other_code(d))}
        return tuple(sorted(readable | {code for code in self._folder.lost if code in self._units}))

    def broken(self) -> Mapping[str, str]:
        """Units of which nothing can be read, each with the sentence what to do."""
        documents = [(c, d) for c, d in self._folder.units.items() if not is_sound(d)]
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
        return differences(self._document(stranger.code), stranger, self.record(stranger.code), self.shop_now)[2]

    def record(self, code: str) -> Unit | Shop:
        """The record of a unit, or with `SHOP` of what all units share. Raises as `unit`."""
        return self.unit(code) if code != SHOP else self.shop

    def removed(self) -> tuple[Removed, ...]:
        """Units that were taken out of the book and can be put back, the latest first."""
        return tuple(self._folder.removed())

    # Lines of changes

    def has(self, code: str) -> bool:
        """Whether there is such a unit, or with `SHOP` a shop that has begun."""
        return code in self._folder.units if code != SHOP else bool(self._folder.shop.version)

    def place_of(self, code: str) -> RecordFiles:
        """Where the files of a record are."""
        return self._document(code).place

    def branch_of(self, code: str) -> Branch:
        """The line of changes of a record."""
        return self._document(code).branch()

    def parted(self, code: str, branch: Branch) -> Parted | None:
        """Where a record and another line of its changes parted; None when they have nothing in common."""
        return self._document(code).parted_from(branch)

    def newest_state(self, branch: Branch) -> dict[str, Any]:
        """What another line says at its end, in the present form. Raises StoreError when it cannot be brought there."""
        return self._folder.newest_state(branch)

    def merged_outside(self) -> Mapping[str, Sequence[str]]:
        """By record, the lines of other copies that version control put into its history, or that still wait."""
        found = self._folder.merged_outside()
        return {SHOP if d is self._folder.shop else d.code: d.to_join() for d in found}

    def to_look_at(self) -> Iterator[tuple[str, ToLookAt]]:
        """What joining left to a person, over the shop and all units, each with its record."""
        for code in (SHOP, *self.codes()):
            for look in self._left_by_joining(code):
                yield code, look

    def _left_by_joining(self, code: str) -> tuple[ToLookAt, ...]:
        """Of one record, which is read for it only when it was ever joined."""
        if code not in self._units and code != SHOP and not has_joined(self.place_of(code)):
            return ()
        try:
            return left_open(self.record(code))
        except StoreError:
            return ()

    def joined_lines(self, code: str, entry: HistoryEntry) -> Sequence[HistoryEntry]:
        """What the other side wrote that an entry joined; none when it joined nothing.

        Raises:
            LogbookError: it does not lie beside the record any more, or cannot be read.
        """
        if not entry.joined:
            return ()
        place = self.place_of(code)
        path = kept_path(place, entry.joined["n"], entry.joined["mark"])
        return branch_of_file(path, place).story.entries

    # Records

    def unit(self, code: str) -> Unit:
        """The record of a unit.

        Raises:
            InputError: there is no unit of that code; near ones are named.
            StoreError: its folder is there but nothing in it can be read.
        """
        if code not in self._units:
            document = self._document(code)
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

    def shop_for(self, code: str) -> Shop:
        """The shop as a unit sees it: what other units hold of the pile is not there for it."""
        from logbook.layout.reservations import seen_by

        return seen_by((code,), self.shop, self.holders())

    def holders(self) -> tuple[Unit, ...]:
        """The units that can hold something of the pile: with a layout, or named in a promise; only they are read."""
        if self._only is not None:
            return tuple(self._only.units.values())
        if self._holding is None:
            promised = {p.unit for o in self.shop.offcuts if o.reserved_for for p in promises_of(o.reserved_for)}
            self._holding = tuple(filter(None, map(self._holder, self.codes(), repeat(promised))))
        return self._holding

    def _holder(self, code: str, promised: Collection[str]) -> Unit | None:
        """The unit, when it can hold something of the pile and something can be worked out from it."""
        document = self._folder.units.get(code)
        try:
            if code in self._units:
                laid_out = bool(self._units[code].layouts)
            else:
                laid_out = document is None or is_laid_out(document)
            if not laid_out and code not in promised:
                return None
            unit = self.unit(code)
        except LogbookError:  # what cannot be read is told by `broken`
            return None
        return None if self._beyond(code, unit) or self._aside(code, unit) else unit

    def book(self) -> Book:
        """Every unit that can be worked out, as one value; `left_out` names the others."""
        if self._only is not None:
            return self._only
        left_out = self.left_out()
        units = {code: self.unit(code) for code in self.codes() if code not in left_out}
        return Book.model_construct(shop=self.shop, units=units)

    def whole(self) -> Whole:
        """Where every unit stands that can be worked out; `left_out` names the others. No record is read for it."""
        from logbook.planning.standing import Whole

        return Whole(self.shop, tuple(self.overviews.standing(code) for code in self._worked_out()))

    def lines(self) -> tuple[Overview, ...]:
        """What the bench shows of every such unit."""
        from logbook.render.overview import shown

        now = self.shop_now
        return tuple(shown(self.overviews.line(code), now) for code in self._worked_out())

    def _worked_out(self) -> tuple[str, ...]:
        if self._only is not None:
            return tuple(self._only.units)
        left_out = self.left_out()
        return tuple(code for code in self.codes() if code not in left_out)

    @property
    def read_units(self) -> Mapping[str, Unit]:
        """The records that are in memory."""
        return self._units

    def let_go(self, code: str) -> None:
        """Keep a record no longer in memory, because only its overview is shown."""
        self._units.pop(code, None)
        self._looked_at.pop(code, None)

    def is_kept(self, code: str) -> bool:  # noqa: ARG002 - a book that is only read has nothing else
        """Whether the record in memory is the one on the disk."""
        return True

    def refuse_beyond(self, code: str) -> None:
        """Raise InputError when a record is beyond the limits, so that nothing can be computed from it."""
        if problem := self._beyond(code, self.unit(code)):
            raise InputError(problem)

    def is_good(self, code: str) -> bool:
        """Whether nothing is wrong with a record that was read, so that its overview can be remembered."""
        document, unit = self._folder.units[code], self.unit(code)
        is_whole = not document.problem and not other_code(document)
        return is_whole and not self._beyond(code, unit) and not self._aside(code, unit)

    def left_out(self, *, of_read: bool = False) -> Mapping[str, str]:
        """Units that are in no view over all units, each with a sentence: what is wrong, and what can be done.

        Args:
            of_read: only of those that were read already; none is read for it.
        """
        said = {}
        for code in self.codes():
            document = self._folder.units.get(code)
            if document is not None and code not in self._set_aside and is_sound(document):
                continue
            if of_read and code not in self._units:
                continue
            try:
                unit = self.unit(code)
            except StoreError as error:
                said[code] = str(error)
                continue
            if problem := self._beyond(code, unit):
                said[code] = f"{problem} Correct it in its form, or take back its last change in !."
            elif aside := self._aside(code, unit):
                said[code] = f"{code} cannot be worked out. {aside} Take back its last change in !."
        return said

    def over_all(self, work: Callable[[], T]) -> T:
        """Do some work over all units of `book`; a unit with which the program fails is left out from then on.

        Args:
            work: what to do; it is done again, with one unit alone in `book`, when it failed.

        Raises:
            Exception: the fault, when no single unit is to blame; whatever LogbookError the work itself raises.
        """
        try:
            return work()
        except LogbookError:
            raise
        except Exception:
            faults = {} if self._only is not None else faulty_units(self.book(), lambda only: self._with(only, work))
            if not faults:
                raise
            for code, fault in faults.items():
                self.set_aside(code, fault)
        return work()

    def _with(self, only: Book, work: Callable[[], object]) -> None:
        self._only = only
        try:
            work()
        finally:
            self._only = None

    def set_aside(self, code: str, fault: Exception) -> None:
        """Leave a unit out of every view over all units, because the program failed with it; said in `left_out`."""
        self._holding = None
        self._set_aside[code] = _SetAside(self.unit(code), self.shop, written_down(fault, self.now))

    def _aside(self, code: str, unit: Unit) -> str:
        known = self._set_aside.get(code)
        is_same = known is not None and known.unit is unit and known.shop is self.shop
        return known.said if known is not None and is_same else ""

    def _beyond(self, code: str, unit: Unit) -> str:
        """What in a record is beyond the limits, so that nothing can be computed from it; looked for once."""
        known = self._looked_at.get(code)
        if known is None or known[0] is not unit:
            known = (unit, next(beyond_limits(unit, code), ""))
            self._looked_at[code] = known
        return known[1]

    def last_kept(self) -> datetime | None:
        """When anything of the book was kept last, as far as that is known without reading a record."""
        moments = [self._document(code).kept_as_known() for code in (SHOP, *self.codes())]
        return max((moment for moment in moments if moment is not None), default=None)

    def kept(self, code: str) -> KeptState:
        """Version and time of a record as it stands on disk."""
        now = self._document(code).glance()
        return KeptState(now.version, now.kept_at)

    def entries(self, code: str) -> Sequence[HistoryEntry]:
        """The story of a record: every change, oldest first."""
        return self._document(code).entries()

    def standing_last(self, code: str) -> HistoryEntry | None:
        """The change of a record that would be taken back first; None when there is none."""
        return self._document(code).next_undo

    def unit_at(self, code: str, when: datetime) -> Unit:
        """The unit's record as it read at `when`."""
        return from_state(Unit, self._document(code).state_at(when), code)

    def unit_of_version(self, code: str, version: int) -> Unit:
        """The unit's record as it read at a version, which is the number of a change that paper names.

        Raises:
            InputError: there is no such version, or nothing leads back to it.
        """
        document = self._document(code)
        if not 1 <= version <= document.version:
            raise InputError(f"{code} has the versions 1 to {document.version}; {version} is none of them.")
        state = document.state
        for entry in reversed(document.entries()):
            if entry.n <= version:
                break
            if entry.kind in BARRIERS:
                raise InputError(f"Version {version} of {code} cannot be read back any more.")
            state = apply_patch(state, entry.undo)
        return from_state(Unit, state, code)

    # Drafts and news

    def draft(self, key: str) -> str:
        """A half-typed line left behind under `key`; empty when there is none."""
        return self._folder.get_draft(key)

    def keep_draft(self, key: str, text: str) -> None:
        """Keep a half-typed line, so that leaving loses nothing; nothing is kept in a book open for reading."""
        if not self.read_only and self._folder.get_draft(key) != text:
            self._folder.set_draft(key, text)

    def subscribe(self, listener: Callable[[RecordNews], None]) -> Callable[[], None]:
        """Call `listener` after every change; the function returned ends that."""
        self._listeners.append(listener)
        return lambda: self._listeners.remove(listener)

    # Inside

    def _document(self, code: str) -> Document:
        if code == SHOP:
            return self._folder.shop
        document = self._folder.units.get(code) or self._folder.lost.get(code)
        if document is None:
            raise InputError(self._no_unit(code))
        return document

    def _no_unit(self, code: str) -> str:
        known = ", ".join(self.codes()[:12])
        return f"There is no unit {code} in this book. " + (f"It has {known}." if known else "It has none yet.")

    def _forget(self, code: str) -> None:
        self._holding = None
        if code == SHOP:
            self._shop = None
        else:
            self._units.pop(code, None)

    def _tell(self, change: RecordNews) -> None:
        self._holding = None
        for listener in tuple(self._listeners):
            listener(change)
