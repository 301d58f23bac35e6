"""A history in which version control put the lines of two copies together: one goes on, the other waits beside it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.store.branch import WAITING, keep_raw, kept_path, lines_apart
from logbook.store.history_lines import Base, WrittenLine
from logbook.store.storage import Sealed

if TYPE_CHECKING:
    from logbook.store.place import RecordFiles
    from logbook.store.recover import Scanned

_MARKS = re.compile(rb'^\{"crc":"([0-9a-f]{8})",(?:"after":"([0-9a-f]{8})")?', re.MULTILINE)


def may_be_union(raw: bytes) -> bool:
    """Whether the lines of a history do not follow each other, told without reading what they say."""
    before = b""
    for number, found in enumerate(_MARKS.finditer(raw)):
        crc, after = found[1], found[2]
        if after is None and number:
            return True
        if number > 1 and after != before:
            return True
        before = crc
    return False


def split(scanned: Scanned, document: Sealed | None) -> tuple[Scanned, list[list[WrittenLine]]]:
    """The lines that the record goes on with, and those of other copies; none when the history is a single one.

    The record goes on with the longest line, so that it never seems to have lost changes; of two that are equally long
    with the one in which its document stands, else with the first in the file.
    """
    if scanned.damaged:
        return scanned, []
    apart = lines_apart(scanned.bases, scanned.lines)
    if len(apart) < 2:
        return scanned, []
    stands = (document.head.version, document.head.mark) if document is not None else None
    own = max(apart, key=lambda path: (path[-1].entry.n, stands in {(x.entry.n, x.entry.mark) for x in path}))
    others = [path for path in apart if path is not own]
    begin = min(scanned.bases, key=lambda base: base.n)
    return replace(scanned, bases=[begin], lines=own), others


def keep_apart(place: RecordFiles, begin: Base, others: list[list[WrittenLine]]) -> None:
    """Keep the lines of other copies beside the record, whole, until they are joined; raises `OSError`."""
    for path in others:
        last = path[-1].entry
        keep_raw(kept_path(place, last.n, last.mark, WAITING), begin, [line.raw for line in path])
