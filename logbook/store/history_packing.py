"""Older history packed away, and good copies of documents.

Packed history is the written lines, compressed: nothing of the story is dropped, and it reads with any gzip.
"""

from __future__ import annotations

import gzip
import os
import re
import zlib
from datetime import UTC, datetime, timedelta

from logbook import disk
from logbook.files import copy_by_link, make_folder, read_file, remove_quietly, replace_durably

PACKED = re.compile(r"(\d{8})-(\d{8})\.jsonl\.gz\Z")
COPY = re.compile(r"(?:unit|shop)-(\d{8})-(\d{8}T\d{6}Z)\.json\Z")


def names_in(folder: str, pattern: re.Pattern[str]) -> list[str]:
    """Names in a folder that fit, in order; none when there is no such folder."""
    try:
        return sorted(name for name in os.listdir(folder) if pattern.match(name))
    except (FileNotFoundError, NotADirectoryError):
        return []


def pack(folder: str, first: int, last: int, raw: bytes) -> None:
    """Keep the lines of the entries `first` to `last`, with their base line, durably in `folder`."""
    make_folder(folder)
    name = f"{first:08d}-{last:08d}.jsonl.gz"
    replace_durably(os.path.join(folder, name), gzip.compress(raw, 6, mtime=0))
    for other in names_in(folder, PACKED):
        if other != name and other.startswith(f"{first:08d}-"):
            remove_quietly(os.path.join(folder, other))  # of a packing that was cut short; all of it is in the new one


def packed(folder: str) -> tuple[list[bytes], list[str]]:
    """The lines of every packed part in order, and the names of parts that cannot be read."""
    parts, damaged = [], []
    for name in names_in(folder, PACKED):
        try:
            parts.append(gzip.decompress(read_file(os.path.join(folder, name))))
        except (EOFError, zlib.error, gzip.BadGzipFile):
            damaged.append(name)
    return parts, damaged


def keep_copy(document: str, folder: str, version: int, now: datetime, *, copies: int, age: timedelta) -> None:
    """Give the present document a second name among the good copies if the newest copy is old enough.

    Called before the document is replaced: the file behind the second name then never changes again.
    """
    if copies < 1 or not os.path.exists(document):
        return
    kept = names_in(folder, COPY)
    if kept and timedelta(0) <= now - _moment(kept[-1]) < age:
        return
    stem = os.path.basename(document).partition(".")[0]
    target = os.path.join(folder, f"{stem}-{version:08d}-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.json")
    make_folder(folder)
    if not os.path.exists(target):
        copy_by_link(document, target)
        kept.append(os.path.basename(target))
    for name in kept[:-copies]:
        disk.unlink(os.path.join(folder, name))


def copies_in(folder: str) -> list[str]:
    """Paths of the good copies, the newest first."""
    return [os.path.join(folder, name) for name in reversed(names_in(folder, COPY))]


def has_older(copies: str, packed_history: str) -> bool:
    """Whether there are good copies or packed history at all."""
    return bool(names_in(copies, COPY) or names_in(packed_history, PACKED))


def _moment(name: str) -> datetime:
    found = COPY.match(name)
    text = found[2] if found else "19700101T000000Z"
    return datetime.strptime(text, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
