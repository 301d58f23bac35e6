"""What is said about a thing in full, in groups: a head, and words behind labels."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from logbook.render.plain import clean, width
from logbook.tui.look.inks import BLANK, Line, Span, fit, group, hanging, line


class Told(NamedTuple):
    """A group of what is said about a thing: its head, and words, each behind a label or none."""

    title: str
    said: tuple[tuple[str, str], ...]


def told_lines(groups: Iterable[Told], columns: int) -> list[Line]:
    """Each group that says something, below a blank row and its head; nothing of it is cut."""
    rows: list[Line] = []
    for told in groups:
        if not told.said:
            continue
        rows += [BLANK, group(told.title)]
        labels = max((width(label) for label, _ in told.said if label), default=0)
        for label, words in told.said:
            name = fit(line(Span(label, "muted")), labels)
            lead = line("  ", name, "  ") if labels else line("  ")
            rows += hanging(lead, clean(words, limit=2000), columns)
    return rows
