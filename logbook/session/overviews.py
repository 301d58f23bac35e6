"""What the views over all units need of each, remembered beside the records so that none is read for it.

A remembered overview holds while the record is the version that it was made from, the program and the shop are the
same, and the same opened stock still keeps. Else it is made anew from the record, which alone is believed.
"""

from __future__ import annotations

import os
import zlib
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime, timedelta
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple, Protocol, TypeVar

from pydantic import ValidationError

import logbook
from logbook.errors import LogbookError
from logbook.model.base import Frozen
from logbook.model.dates import is_past
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session.faults import written_down

if TYPE_CHECKING:
    from logbook.planning.standing import UnitStanding
    from logbook.render.overview import OverviewLine
    from logbook.store import BookFolder, Document


R = TypeVar("R", bound=Frozen)


@cache
def program() -> str:
    """Which program this is: its version, and size and time of the files that it is made of."""
    folder = os.path.dirname(logbook.__file__)
    found = [*_files(folder), *_files(os.path.join(os.path.dirname(folder), "templates"))]
    return f"{logbook.__version__} {zlib.crc32(repr(sorted(found)).encode()):08x}"


def _files(folder: str) -> Iterator[tuple[str, int, int]]:
    if not os.path.isdir(folder):
        return
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                yield from _files(entry.path)
            elif entry.name.endswith((".py", ".json")):
                status = entry.stat()
                yield entry.path, status.st_size, status.st_mtime_ns


def made_with(shop: Shop, today: date) -> str:
    """What an overview depends on besides its record: the program, the shop but for its plan, and which stock keeps."""
    past = [i for i, item in enumerate(shop.shelf) if is_past(item, today)]
    said = shop.model_copy(update={"plan": ()}).model_dump_json()
    return f"{program()} {zlib.crc32(said.encode()):08x} {past}"


class MadeOverview(NamedTuple):
    """The overview of one unit, with what it was made from."""

    source: object
    """The record, or what the book remembers of it."""
    made_with: str
    line: OverviewLine
    standing: UnitStanding | None
    """None while nobody asked for it."""


def written(made: MadeOverview, unit: Unit) -> dict[str, Any]:
    """The overview as plain values."""
    uses = sorted({use.consumable for use in unit.consumables}) if unit.stop_lines else []
    # As text, which takes a tenth of the memory: it is read for what now alone, and then whole.
    standing = made.standing.model_dump_json(exclude_defaults=True) if made.standing is not None else ""
    line = made.line.model_dump(mode="json", exclude_defaults=True)
    return {
        "program": program(), "made_with": made.made_with, "uses": uses, "line": line, "standing": standing,
        "laid_out": bool(unit.layouts),
    }  # fmt: skip


def is_laid_out(document: Document) -> bool:
    """Whether a layout is kept with a record that is not in memory: by its overview, else by the document itself."""
    known = None if document.is_loaded else document.summary
    if known is not None and "laid_out" in known:
        return bool(known["laid_out"])
    return bool(document.state.get("layouts"))


def is_sound(document: Document) -> bool:
    """Whether this program found a record good that was not read since; only of such ones there are overviews."""
    summary = None if document.is_loaded else document.summary
    return summary is not None and summary.get("program") == program()


def _read(kind: type[R], values: object) -> R | None:
    import orjson

    try:
        return kind.model_validate_json(values if isinstance(values, str) else orjson.dumps(values))
    except ValidationError:  # it was written by somebody else, and is made anew
        return None


class Records(Protocol):
    """The records of an open book, as an overview is made from them."""

    @property
    def shop(self) -> Shop:
        """What all units share."""

    @property
    def now(self) -> datetime:
        """The present moment."""

    @property
    def today(self) -> date:
        """The day it is in the shop."""

    @property
    def read_units(self) -> Mapping[str, Unit]:
        """The units that were read already."""

    def unit(self, code: str) -> Unit:
        """The record of a unit."""

    def shop_for(self, code: str) -> Shop:
        """The shop as that unit sees it."""

    def refuse_beyond(self, code: str) -> None:
        """Raise for a record that is beyond the limits."""

    def is_kept(self, code: str) -> bool:
        """Whether all of it is on disk."""

    def is_good(self, code: str) -> bool:
        """Whether nothing was found wrong with it."""

    def let_go(self, code: str) -> None:
        """Forget a record that was read, until it is asked for again."""


class Overviews:
    """The overviews of an open book."""

    def __init__(self, book: Records, folder: BookFolder) -> None:
        self._book, self._folder = book, folder
        self._made: dict[str, MadeOverview] = {}
        self._key: tuple[Shop, date, str] | None = None
        self._keys: dict[str, tuple[Shop, date, str]] = {}
        """Of units for which the shop is another one, because others hold something of the pile."""

    def line(self, code: str) -> OverviewLine:
        """What the bench shows of a unit; raises as `OpenBook.unit`, and as the computations do."""
        return (self._at_hand(code) or self._make(code)).line

    def standing(self, code: str) -> UnitStanding:
        """Where a unit stands; raises as `line` does."""
        made = self._at_hand(code) or self._make(code)
        if made.standing is None:
            read = self._standing_in(made)
            if read is None:
                from logbook.planning.standing_made import standing

                return self._make(code).standing or standing(self._book.unit(code), self._book.shop_for(code))
            made = self._made[code] = made._replace(standing=read)
        assert made.standing is not None  # noqa: S101 - it has just been put there
        return made.standing

    def is_at_hand(self, code: str, *, standing: bool = False) -> bool:
        """Whether the line of a unit is there without any work; with `standing`, whether where it stands is."""
        made = self._at_hand(code)
        return made is not None and (made.standing is not None or not standing)

    def forget(self, codes: Iterable[str]) -> None:
        """Units that are not in the book any more."""
        for code in codes:
            self._made.pop(code, None)

    def keep(self, most: int) -> None:
        """Let the book remember the overviews of what was changed last, of so many units at most.

        One that cannot be made is missing, which harms nothing: who wants to see it is told why.
        """
        documents = {code: self._folder.units.get(code) for code in self._book.read_units}
        missing = [code for code, document in documents.items() if document is not None and document.summary is None]
        for code in missing[-most:]:
            try:
                self._make(code)
            except LogbookError:
                continue
            except Exception as fault:  # noqa: BLE001 - closing goes on
                written_down(fault, self._book.now)

    def _at_hand(self, code: str) -> MadeOverview | None:
        source, key = self._source(code), self._made_with(code)
        made = self._made.get(code)
        if made is not None and made.source is source and made.made_with == key and self._holds(made.line):
            return made
        line = _line_in(source) if isinstance(source, dict) else None
        if line is None or not self._holds(line):
            return None
        made = self._made[code] = MadeOverview(source, key, line, None)
        return made

    def _holds(self, line: OverviewLine) -> bool:
        """Whether a line that is of a moment is of this one."""
        return line.of_moment is None or abs(self._book.now - line.of_moment) < timedelta(minutes=1)

    def _source(self, code: str) -> object:
        """What an overview is made from: what the book remembers where that holds, else the record in memory."""
        document = self._folder.units.get(code)
        summary = document.summary if document is not None and self._book.is_kept(code) else None
        holds = summary is not None and summary.get("made_with") == self._made_with(code)
        return summary if holds else self._book.read_units.get(code)

    def _standing_in(self, made: MadeOverview) -> UnitStanding | None:
        from logbook.planning.standing import UnitStanding

        return _read(UnitStanding, made.source.get("standing")) if isinstance(made.source, dict) else None

    def _make(self, code: str) -> MadeOverview:
        """Make the overview from the record, which is read for it and then let go."""
        from logbook.planning.standing_made import standing
        from logbook.render.overview_made import line_of

        book, key = self._book, self._made_with(code)
        was_read = code in book.read_units
        unit = book.unit(code)
        book.refuse_beyond(code)
        shop = book.shop_for(code)
        made = MadeOverview(unit, key, line_of(unit, shop, book.now), None)
        try:
            made = made._replace(standing=standing(unit, shop))
        except LogbookError:  # the line can be shown all the same
            self._made[code] = made
            return made
        document = self._folder.units.get(code)
        if document is not None and book.is_kept(code) and book.is_good(code):
            document.keep_summary(written(made, unit))
            if not was_read and self._folder.let_go(code):
                book.let_go(code)
            made = made._replace(source=document.summary)
        self._made[code] = made
        return made

    def _made_with(self, code: str) -> str:
        shop, today = self._book.shop_for(code), self._book.today
        known = self._key if shop is self._book.shop else self._keys.get(code)
        if known is None or known[0] is not shop or known[1] != today:
            known = shop, today, made_with(shop, today)
            if shop is self._book.shop:
                self._key = known
            else:
                self._keys[code] = known
        return known[2]


def _line_in(summary: Mapping[str, Any]) -> OverviewLine | None:
    from logbook.render.overview import OverviewLine

    return _read(OverviewLine, summary.get("line"))
