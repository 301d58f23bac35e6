"""Another copy of the book, or of a part of it, joined with this one: looked at first, then kept as one change.

Where the other copy lies makes no difference: a second book, a unit's folder that was handed back, a conflict copy
beside a record, or the lines that version control put into a history.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import orjson

from logbook.errors import InputError, LogbookError, ReadOnlyError, StoreError
from logbook.joining import Codes, Joined, Side, codes_of, joined, with_codes
from logbook.joining.differences import Clock, differences
from logbook.joining.report import RecordReport, Report
from logbook.model.apart import ToLookAt
from logbook.model.currency import same_currency
from logbook.model.dates_in_words import day_year_time
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session.joined_pictures import MissingOriginals, copied, pictures_wanted
from logbook.session.joined_record import JoinedRecord, KeepsJoined
from logbook.session.opened import SHOP, OpenBook
from logbook.session.record_states import from_state, to_state
from logbook.store import HistoryEntry
from logbook.store.branch import Branch, Parted, last_that_stands
from logbook.store.elsewhere import Elsewhere, look_elsewhere
from logbook.store.foreign_files import history_beside
from logbook.store.place import RecordFiles

Record = Unit | Shop


@dataclass(frozen=True)
class Planned:
    """One record as it would be joined."""

    code: str
    """The unit, or empty for the shop."""
    before: Record
    """As it is here now."""
    branch: Branch
    """The other side's line of changes."""
    parted: Parted
    by_here: str
    """Who wrote last here, and when."""
    by: str
    """Who wrote last in the other copy, and when."""
    joined: Joined[Any]
    pictures: MissingOriginals

    def sides(self, look: ToLookAt) -> tuple[str, str]:
        """Which side of a question is here and which the other copy; empty when that cannot be told."""
        if look.first_by == look.second_by:
            return ("", "")
        return ("here", "the other copy") if look.first_by == self.by_here else ("the other copy", "here")

    @property
    def name(self) -> str:
        """What the record is called."""
        return self.before.name if isinstance(self.before, Unit) else "the shop"


@dataclass(frozen=True)
class NewUnit:
    """A unit that is only in the other copy."""

    code: str
    name: str
    folder: str


@dataclass(frozen=True)
class JoiningProposal:
    """What joining would do."""

    of: str
    planned: tuple[Planned, ...]
    new: tuple[NewUnit, ...]
    not_joined: tuple[str, ...]

    def report(self, clock: Clock) -> Report:
        """It in values that can be put into words, with the moments by a clock."""
        new = tuple(f"{unit.code} {unit.name}" for unit in self.new)
        return Report(self.of, tuple(_reported(planned, clock) for planned in self.planned), new, self.not_joined)


def propose(session: OpenBook, path: Path) -> JoiningProposal:
    """What joining the book with what lies at `path` would do. Nothing is changed.

    Raises:
        InputError: nothing that could be joined lies there, or it counts in another currency.
        StoreError: the disk refuses to read it now.
    """
    elsewhere = look_elsewhere(str(path))
    if Path(elsewhere.path).resolve() == session.path.resolve():
        raise InputError(f"{path} is this book itself. Name another copy of it.")
    return _Proposing(session, elsewhere).proposal()


def keep(session: KeepsJoined, proposal: JoiningProposal) -> Report:
    """Join as it was proposed: pictures and the other side's lines first, then the records, all as one change.

    Raises:
        InputError: a record was changed since it was looked at; nothing was changed.
        StoreError: the disk refused; nothing was changed, but for units that were taken in already.
    """
    if session.read_only:
        raise ReadOnlyError(f"Nothing was joined. {session.why_read_only}")
    for planned in proposal.planned:
        if session.record(planned.code) is not planned.before:
            raise InputError(f"{planned.code or 'The shop'} was changed since it was looked at. Look at it again.")
    for planned in proposal.planned:
        copied(session, planned.code, planned.pictures)
    for unit in proposal.new:
        session.adopt(unit.code, Path(unit.folder), f"{unit.code} {unit.name} taken in from {proposal.of}")
    if proposal.planned:
        session.keep_joined(f"joined with {proposal.of}", [_record_of(planned) for planned in proposal.planned])
    return proposal.report(session.on_shop_clock)


def propose_waiting(session: OpenBook, code: str, path: str) -> JoiningProposal:
    """What joining a record with a line would do that waits beside it. Raises as `propose`."""
    return _Proposing(session, Elsewhere(path, [session.place_of(code)], frozenset())).proposal()


def with_answer(proposal: JoiningProposal, code: str, record: Record) -> JoiningProposal:
    """The proposal with a question of a record settled: `record` is that of the plan with one to look at less."""

    def answered(planned: Planned) -> Planned:
        return replace(planned, joined=planned.joined._replace(record=record)) if planned.code == code else planned

    return replace(proposal, planned=tuple(map(answered, proposal.planned)))


class _Proposing:
    """Looks at one record of the other copy after the other, the shop first: units name its pieces."""

    def __init__(self, session: OpenBook, elsewhere: Elsewhere) -> None:
        self._session = session
        self._elsewhere = elsewhere
        self._name = elsewhere.name_beside(str(session.path))
        self._not_joined: list[str] = []
        self._new: list[NewUnit] = []
        self._pieces: dict[bool, Codes] = {True: {}, False: {}}
        """New numbers of pieces of the pile, given by this book (True) and by the other."""

    def proposal(self) -> JoiningProposal:
        planned = [plan for place in self._elsewhere.places if (plan := self._looked_at(place)) is not None]
        planned += self._follow_in_other_units({plan.code for plan in planned})
        self._say_what_was_taken_out_there()
        return JoiningProposal(self._name, tuple(planned), tuple(self._new), tuple(self._not_joined))

    def _looked_at(self, place: RecordFiles) -> Planned | None:
        try:
            return self._planned(place)
        except LogbookError as error:
            if isinstance(error.__cause__, OSError):  # the disk refuses now: nothing is known of the record
                raise
            self._not_joined.append(f"{place.name}: {error}")
            return None

    def _planned(self, place: RecordFiles) -> Planned | None:
        session = self._session
        code = SHOP if place.kind == "shop" else place.code
        if session.has(code) and _same_bytes(self._elsewhere.file_of(place), session.place_of(code).history):
            return None
        branch = self._elsewhere.branch(place)
        code = code if code == SHOP else _code_of(branch, place)
        if not session.has(code):
            self._not_here(code, branch, place)
            return None
        ours = session.branch_of(code)
        if ("mark", *branch.end) in ours.points():
            return None
        parted = session.parted(code, branch)
        if parted is None:
            raise InputError(_nothing_in_common(code, branch, self._elsewhere.path))
        return self._plan(code, ours, branch, parted) if parted.theirs else None

    def _plan(self, code: str, ours: Branch, branch: Branch, parted: Parted) -> Planned | None:
        session, kind = self._session, Shop if code == SHOP else Unit
        here: Any = session.record(code)
        there: Any = from_state(kind, session.newest_state(branch), code or "the shop")
        before: Any = from_state(kind, parted.before, code or "the shop")
        if isinstance(here, Shop) and not same_currency(here.settings.currency, there.settings.currency):
            raise InputError("The two count in different currencies; amounts cannot be mixed.")
        by_here, by = self._written_by(parted.ours), self._written_by(parted.theirs)
        sides = (
            Side(with_codes(here, self._pieces[True]), by_here, _since(parted.ours, ours), ours.end[1]),
            Side(with_codes(there, self._pieces[False]), by, _since(parted.theirs, branch), branch.end[1]),
        )
        result: Joined[Any] = joined(before, *sides)
        if code == SHOP:
            for is_ours, side in zip((True, False), sides, strict=True):
                self._pieces[is_ours] = codes_of([n for n in result.renumbered if n.mark == side.mark])
        pictures = pictures_wanted(session, code, result.record, Path(branch.place.folder))
        result = result._replace(record=pictures.named(result.record))
        if result.record == here:
            return None
        return Planned(code, here, branch, parted, by_here, by, result, pictures)

    def _written_by(self, entries: list[HistoryEntry]) -> str:
        """Who wrote last on a side and when: “AB, 2026-03-12 20:41”."""
        last = last_that_stands(entries) or next(iter(entries), None)
        if last is None:
            return "nobody"
        return f"{last.by or 'somebody'}, {day_year_time(self._session.on_shop_clock(last.at))}"

    def _not_here(self, code: str, branch: Branch, place: RecordFiles) -> None:
        """A unit that this book does not have: it is new, or it was taken out here."""
        session = self._session
        name = str(branch.story.state_of(branch.end[0])[0].get("name", ""))
        if code in {removed.code for removed in session.removed()}:
            said = "was taken out of this book. Put it back first (! on the bench), then join again, or leave it."
            self._not_joined.append(f"{code} {name} {said}")
        else:
            self._new.append(NewUnit(code, name, place.folder))

    def _say_what_was_taken_out_there(self) -> None:
        there = {place.code for place in self._elsewhere.places}
        for code in sorted(self._elsewhere.removed & set(self._session.codes()) - there):
            self._not_joined.append(f"{code} was taken out of {self._name}; here it stays.")

    def _follow_in_other_units(self, planned: set[str]) -> Iterator[Planned]:
        """Units of this book that name a piece of the pile which got a new number here."""
        if not self._pieces[True]:
            return
        session = self._session
        for code in session.codes():
            here = session.unit(code)
            after = with_codes(here, self._pieces[True])
            if code not in planned and after is not here:
                ours = session.branch_of(code)
                parted = Parted(to_state(here), 1, [], [])
                yield Planned(code, here, ours, parted, "", "", Joined(after, (), ()), MissingOriginals((), ()))


def _since(entries: list[Any], branch: Branch) -> Any:
    """When a line went its own way."""
    known = entries[:1] or branch.story.entries[-1:]
    if not known:
        raise StoreError(f"{branch.name} says nothing of when it was changed.")
    return known[0].at


def _nothing_in_common(code: str, branch: Branch, path: str) -> str:
    what = code or "the shop"
    if not branch.story.entries:
        return _only_a_document(branch, path)
    return (
        f"This {what} and the other one never were one record. Take it in under another code: "
        f"“logbook export {what}” there, “logbook import FILE --as CODE” here."
    )


def _only_a_document(branch: Branch, path: str) -> str:
    """That a copy of the document alone cannot be joined, and what can be done with it."""
    said = f"{branch.name} is a document without its history, so nobody knows what is new in it."
    history = history_beside(path)
    if history:
        return f"{said} Its history lies beside it and can be joined: {history}"
    return f"{said} In !, Enter compares it and t takes it in whole."


def _code_of(branch: Branch, place: RecordFiles) -> str:
    """The code of the unit as its record says it: a folder that was handed back may be called anything."""
    state = branch.story.state_of(branch.end[0])[0]
    return str(state.get("code") or place.code)


def _same_bytes(one: str, other: str) -> bool:
    import filecmp

    try:
        return filecmp.cmp(one, other, shallow=False)
    except OSError:
        return False


def digest(record: Record) -> str:
    """What tells one joined record from another, on whichever computer it was joined."""
    return hashlib.sha256(orjson.dumps(to_state(record), option=orjson.OPT_SORT_KEYS)).hexdigest()[:16]


def _record_of(planned: Planned) -> JoinedRecord:
    n, mark = planned.branch.end
    said = {"n": n, "mark": mark, "state": digest(planned.joined.record)} if planned.parted.theirs else {}
    return JoinedRecord(planned.code, planned.joined.record, planned.branch, planned.parted.theirs, said)


def _reported(planned: Planned, clock: Clock) -> RecordReport:
    record, here = planned.joined.record, planned.before
    numbers = planned.joined.renumbered
    of_here = codes_of([number for number in numbers if number.mark != planned.branch.end[1]])
    return RecordReport(
        code=planned.code,
        name=planned.name,
        by_here=planned.by_here,
        by=planned.by,
        theirs=len(planned.parted.theirs),
        ours=len(planned.parted.ours),
        comes_in=differences(with_codes(here, of_here), record, clock),
        numbers=tuple(number.sentence for number in numbers),
        to_look_at=tuple(look for look in record.to_look_at if look not in here.to_look_at),
        pictures=len(planned.pictures.found),
    )
