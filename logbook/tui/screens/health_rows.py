"""What is not as it should be with the book, every record with its version, and what can be done about each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from logbook.render.page import moment_words
from logbook.tui.look.inks import BLANK, Line, flow, group, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.widgets.entries import ListEntry, entry, heading

RECORD = "record "
"""Before the code of a record, the key of its entry."""
COLUMNS = (Column("record"), Column("what", least=12), Column("version", right=True), Column("kept", below=True))
WHAT_CAN_BE_DONE = {
    "unkept": "It is in memory only. K tries again to keep it; y copies all of this; q offers to write it to a file.",
    "found": "It was found when the book was opened, and nothing of it was changed.",
    "left-out": "This unit stands in no view over all units. x takes back its last change.",
    "again": "Another program changed it while it was open here. R reads it again; what you wrote goes on top.",
    "look": "Joining left it to you. Enter shows both sides; your answer settles it, and z takes the answer back.",
    "holder": "Another program writes this book. T takes over when that one is gone.",
    "stranger": (
        "It stands beside the record and was not touched. Enter shows what it says otherwise, t takes it in, "
        "J joins the two."
    ),
    "removed": "It was taken out of the book and lies in its folder. Enter puts it back.",
    "record": "Enter tells its story: every change, and the record as it stood on any day.",
}
"""By the first word of an entry's key."""


class KeptRecord(NamedTuple):
    """How a record stands on the disk."""

    code: str
    """Of the unit; empty for what all units share."""
    name: str
    version: int
    at: datetime | None
    """When it was kept last."""


def part_entries(title: str, things: Mapping[str, str], ink: str, columns: int) -> list[ListEntry]:
    """A group of things, each in a sentence by its key; none where there is nothing to say.

    Args:
        title: of the group.
        things: sentences by their keys.
        ink: of the sentences.
        columns: of the list.
    """
    if not things:
        return []
    rows = [entry(key, flow(typed(words, ink, limit=2000), columns)) for key, words in things.items()]
    return [heading(f"head {title}", group(title)), *rows, heading(f"air {title}", BLANK)]


def record_entries(records: Sequence[KeptRecord], now: datetime, columns: int) -> list[ListEntry]:
    """Every record with its version and when it was kept."""
    cells = [_record_cells(record, now) for record in records]
    table = WrappingTable(COLUMNS, cells, columns)
    rows = [entry(f"{RECORD}{record.code}", table.lines(of)) for record, of in zip(records, cells, strict=True)]
    return [heading("head records", group("On the disk"), table.head), *rows] if rows else []


def _record_cells(record: KeptRecord, now: datetime) -> list[Line]:
    return [
        typed(record.code or "store", "bold accent"),
        typed(record.name),
        typed(str(record.version), "muted"),
        typed(moment_words(record.at, now), "good" if record.at is not None else "wait"),
    ]


def thing_and_way_out(key: str, words: str, columns: int) -> list[Line]:
    """What is under the cursor in full, and what can be done about it."""
    done = WHAT_CAN_BE_DONE.get(key.split(" ", maxsplit=1)[0], "")
    rows = flow(typed(words, "bold", limit=2000), columns)
    return [*rows, BLANK, *flow(typed(done), columns)] if done else rows
