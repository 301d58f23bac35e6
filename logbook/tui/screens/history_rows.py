"""The story of a record as a list with a head for each day, and what one change did, before and after."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from itertools import groupby

from logbook.model.dates_in_words import whole_day
from logbook.model.plural import counted
from logbook.model.shop_clock import on_clock_of
from logbook.render.change_words import MOST, Changed
from logbook.render.page import moment_words
from logbook.render.plain import clean
from logbook.session import HistoryEntry
from logbook.tui.look.inks import BLANK, Line, flow, group, hanging, line, signal, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading

COLUMNS = (Column(), Column(), Column(least=20))
KINDS = {"undo": "taken back: ", "redo": "done again: ", "recovered": "RECOVERED: ", "migrated": "brought up to date: "}
"""What stands before a change that is no plain one."""
INKS = {"undo": "muted", "recovered": "bad", "migrated": "muted"}
"""Of changes that are no plain ones."""


def entry_what(change: HistoryEntry) -> str:
    """What a change was, with what kind of change it is."""
    return KINDS.get(change.kind, "") + change.what


def entry_words(change: HistoryEntry, now: datetime) -> str:
    """A change in a line: when, who, what."""
    who = clean(change.by or "?", limit=20)
    return f"{moment_words(change.at, now)}  {who}  {clean(entry_what(change), limit=300)}"


def story_question(entries: Sequence[HistoryEntry], now: datetime) -> str:
    """How long the story is, in a sentence; the newest entry comes first."""
    if not entries:
        return "Nothing was changed yet: the story begins with the first change."
    first, last = moment_words(entries[-1].at, now), moment_words(entries[0].at, now)
    who = ", ".join(dict.fromkeys(e.by for e in entries if e.by)) or "nobody named"
    when = f"on {last}" if first == last else f"from {first} to {last}"
    return f"{counted(len(entries), 'change')} {when}, by {who}."


def change_entries(entries: Iterable[HistoryEntry], now: datetime, columns: int) -> list[ListEntry]:
    """The changes in the order given, with a head for each day.

    Args:
        entries: the newest first.
        now: the clock by which times are read.
        columns: of the list.
    """
    changes = list(entries)
    cells = [_cells(change, now) for change in changes]
    table = WrappingTable(COLUMNS, cells, columns)
    rows: list[ListEntry] = []
    together = groupby(zip(changes, cells, strict=True), key=lambda pair: on_clock_of(pair[0].at, now).date())
    for number, (day, of_day) in enumerate(together):
        shown = [entry(str(change.n), table.lines(of)) for change, of in of_day]
        head = group(day_head(day, now.date()), counted(len(shown), "change"))
        rows += [heading(f"head {number}", *([BLANK, head] if number else [head])), *shown]
    return rows


def day_head(day: date, today: date) -> str:
    """A day with its date: `Today, Fri 20 Mar 2026`."""
    return f"Today, {whole_day(day)}" if day == today else whole_day(day)


def _cells(change: HistoryEntry, now: datetime) -> list[Line]:
    ink = INKS.get(change.kind, "")
    return [
        typed(f"{on_clock_of(change.at, now):%H:%M}", "muted"),
        typed(change.by or "?", "accent", limit=20),
        typed(entry_what(change), ink, limit=300),
    ]


def change_in_full(
    change: HistoryEntry, did: Sequence[Changed], sentences: Sequence[str], now: datetime, columns: int
) -> list[Line]:
    """What a change did: each thing with what stood there before and what stands there after it.

    Args:
        change: under the cursor.
        did: what it changed.
        sentences: what else is to be said of it; `# ` begins a head.
        now: the clock by which times are read.
        columns: of the pane.
    """
    by = f" by {change.by}" if change.by else ""
    rows = flow(typed(entry_what(change), "bold"), columns)
    rows += flow(typed(f"{moment_words(change.at, now)}{by}, version {change.n}", "muted"), columns)
    for one in did[:MOST]:
        rows += [BLANK, *_before_and_after(one, columns)]
    if len(did) > MOST:
        rows += [BLANK, *flow(typed(f"and {len(did) - MOST} more", "muted"), columns)]
    for words in sentences:
        is_head = words.startswith("# ")
        rows += [BLANK, group(words.removeprefix("# "))] if is_head else [BLANK, *flow(typed(words), columns)]
    if not did and not sentences:
        rows += [BLANK, *flow(typed("Nothing that is shown was changed."), columns)]
    return rows


def _before_and_after(one: Changed, columns: int) -> Iterator[Line]:
    if not one.name:
        yield from flow(typed(one.words), columns)
        return
    yield from flow(typed(one.name, "head"), columns)
    known_before = one.before is not None
    if known_before:
        yield from hanging(line("  before  "), clean(one.before or "", limit=1000), columns, "muted")
    if one.after is None:
        yield line("  ", signal("TAKEN OUT", "wait"))
    else:
        lead = line("  after   ") if known_before else line("  ")
        yield from hanging(lead, clean(one.after, limit=1000), columns)
