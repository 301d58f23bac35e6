"""Entries that are words alone: sentences that wrap below their own beginning, heads, and a tone for what is wrong."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.render.plain import clean, under
from logbook.tui.look.inks import BLANK, Line, Span, group
from logbook.tui.look.marked_words import marked
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.rows import Row

INK_OF_TONE = {"warning": "wait", "error": "bold bad", "done": "muted", "new": "good"}
LONGEST = 4000


def worded_entries(rows: Iterable[Row], columns: int, looked_for: Sequence[str] = ()) -> list[ListEntry]:
    """Rows of words as entries: a head has a blank row above it, a longer line goes on below, as far in as it begins.

    Args:
        rows: what is said; nothing of it is cut.
        columns: of the list.
        looked_for: typed words, which are marked where they stand.
    """
    entries: list[ListEntry] = []
    for row in rows:
        if row.tone == "head" and not row.selectable:
            air = [BLANK] if entries else []
            title = (group(clean(words, limit=LONGEST)) for words in row.lines)
            entries.append(heading(row.key, *air, *title))
            continue
        lines = [
            said for number, words in enumerate(row.lines) for said in _said(row, number, words, columns, looked_for)
        ]
        entries.append(entry(row.key, lines or [BLANK], selectable=row.selectable))
    return entries


def _said(row: Row, number: int, words: str, columns: int, looked_for: Sequence[str]) -> list[Line]:
    """One of its lines: the one that counts in the ink of its tone, the others said beside it."""
    beside = "" if row.tone == "text" else "muted"
    ink = INK_OF_TONE.get(row.tone, "" if number == row.main else beside)
    safe = clean(words, limit=LONGEST)
    said = safe.lstrip()
    start = " " * (len(safe) - len(said))
    wrapped = under(start, said, max(len(start) + 8, columns))
    return [marked(part, looked_for) if looked_for else (Span(part, ink),) for part in wrapped]
