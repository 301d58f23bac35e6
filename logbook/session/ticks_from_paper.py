"""Ticks made on paper, kept in the book; a list printed from an older version says what changed since."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook.costing import from_shop
from logbook.errors import InputError
from logbook.model.dates_in_words import day_year_time
from logbook.model.shop_clock import on_clock_of
from logbook.model.unit import Unit
from logbook.reassembly import Ticked, read_paper_ticks, tick_from_paper

if TYPE_CHECKING:
    from logbook.session.session import Session

MOST = 12
"""Changes that are told one by one; the rest is counted."""


@dataclass(frozen=True, slots=True)
class TicksTaken:
    """What was entered."""

    what: str
    """What was done, in a sentence."""
    since: tuple[str, ...] = ()
    """What changed since the paper was printed."""

    @property
    def sentences(self) -> tuple[str, ...]:
        """All of it."""
        return (self.what, *self.since)


def read_ticks(session: Session, code: str, text: str, *, version: int | None = None) -> tuple[str, Unit | None, int]:
    """What was typed, the record as the paper shows it (None: as it is now), and the version on the paper.

    Raises:
        InputError: no lines are named, or the record has no such version.
    """
    typed = read_paper_ticks(text)
    latest = session.kept(code).version
    on_paper = version if version is not None else typed.version if typed.version is not None else latest
    printed = None if on_paper == latest else session.unit_of_version(code, on_paper)
    return typed.lines, printed, on_paper


def take_ticks(
    session: Session, code: str, text: str, *, version: int | None = None, initials: str = "", override: str = ""
) -> TicksTaken:
    """Enter the ticks that were made on a printed list as one change, which undo takes back.

    Args:
        session: the open book.
        code: the unit.
        text: the lines: `A01-A07, A09`; the version on the paper may stand at the end: `v12`.
        version: the version on the paper, when it is not in the text; without both, the latest.
        initials: whose ticks they are.
        override: why lines are done that are not ready.

    Raises:
        InputError: nothing of it was entered, and why.
    """
    lines, printed, on_paper = read_ticks(session, code, text, version=version)
    before, entered = session.unit(code), list[Ticked]()

    def edit(unit: Unit) -> Unit:
        of_shop = from_shop(unit, session.shop, session.today)
        made = tick_from_paper(unit, lines, session.now, initials, override, printed=printed, of_shop=of_shop)
        entered.append(made)
        return made.unit

    since = changes_since(session, code, on_paper)
    after = session.apply(code, f"{lines} ticked from paper of version {on_paper}", edit)
    if not entered:
        raise InputError("Nothing was entered.")
    ticked = entered[-1]
    names = ", ".join(line.number for line in ticked.lines)
    done = f"Ticked: {names}." if after != before else f"Already ticked: {names}."
    return TicksTaken(done, (*ticked.moved, *ticked.changed, *since))


def changes_since(session: Session, code: str, version: int) -> tuple[str, ...]:
    """What changed in a record after a version, in sentences; none when the version is the latest one.

    Ticks and readings are not told: they are what comes back from paper.
    """
    entries = [e for e in session.entries(code) if e.n > version]
    told = [e for e in entries if any(not _is_tick(str(op.get("path", ""))) for op in e.do)]
    if not told:
        return ()
    said = [f"Since version {version}: {len(told)} change{'s' if len(told) > 1 else ''} besides ticks."]
    for entry in told[-MOST:]:
        said.append(f"{day_year_time(on_clock_of(entry.at, session.shop_now))} {entry.what}")
    if len(told) > MOST:
        said.append(f"and {len(told) - MOST} before these")
    return tuple(said)


def _is_tick(path: str) -> bool:
    return path.startswith("/refit") or path == "/touched"
