"""200,000 mutated files through every reader of a file: no crash, no hang, nothing taken in by half.

    python -m tests.benchmarks.store_fuzz [HOW_MANY]

Readers: a unit's document with its history (opening a book), and a document for import. Each mutated file either
reads, or is refused with a sentence. Prints how many of each, and the slowest.
"""

from __future__ import annotations

import contextlib
import os
import random
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from logbook.errors import LogbookError
from logbook.model.document import read_document
from logbook.model.templates import template_bytes
from tests.store.building import SMALL, Clock, count_up, opened, with_radio

SLOWEST_ALLOWED = 5.0
"""Seconds for one file; a hang would show as more."""


def mutated(raw: bytes, chance: random.Random) -> bytes:
    """The bytes with one to three pieces flipped, cut, doubled, moved, or replaced by a piece of JSON."""
    for _ in range(chance.randint(1, 3)):
        a, b = sorted(chance.randrange(len(raw) + 1) for _ in range(2))
        how = chance.randrange(7)
        if how == 0 and raw:
            at = min(a, len(raw) - 1)
            raw = raw[:at] + bytes([raw[at] ^ (1 << chance.randrange(8))]) + raw[at + 1 :]
        elif how == 1:
            raw = raw[:a]
        elif how == 2:
            raw = raw[:a] + raw[min(b, a + 40) :]
        elif how == 3:
            raw = raw[:a] + raw[a : min(b, a + 400)] * 2 + raw[min(b, a + 400) :]
        elif how == 4:
            raw = raw[:a] + bytes(min(b - a, 64)) + raw[min(b, a + 64) :]
        elif how == 5:
            raw = raw[:a] + chance.choice(PIECES) + raw[a:]
        else:
            raw = raw.replace(*chance.choice(SWAPS), chance.randint(1, 3))
    return raw


PIECES = (
    b"{",
    b"}",
    b"[",
    b"null",
    b"1e999",
    b"-1",
    b'"',
    b"\\u0000",
    b"\xff\xfe",
    b"true,",
    b'{"a":' * 40,
    b"9" * 400,
)
SWAPS = ((b'"', b"'"), (b":", b","), (b"1", b"-1"), (b"true", b"2"), (b"[", b"{"), (b"T0", b"T1"), (b"found", b"fuond"))


def open_book(path: Path) -> str:
    """Open the book and look at everything in it; how it went, in a word."""
    with contextlib.closing(opened(path, limits=SMALL, clock=Clock())) as book:
        unit = book.units["R1"]
        if unit.broken:
            assert unit.problem
            return "unit named as unreadable"
        assert isinstance(unit.state, dict)
        unit.entries()
        return "unit recovered" if unit.problem else "unit whole"


def import_document(raw: bytes) -> str:
    """Read a document for import; how it went, in a word."""
    try:
        read_document(raw)
    except LogbookError as error:
        return "import refused" if str(error).strip() else "import refused without a word"
    return "import read"


def main() -> None:
    """Mutate and read, half the files each way."""
    how_many = int(sys.argv[1]) if len(sys.argv) > 1 else 200_000
    chance, went, slowest = random.Random(20261125), Counter[str](), 0.0
    documents = [template_bytes(f"demo/{code}.json") for code in ("L1", "G1", "C1", "shop")]
    folder = Path(tempfile.mkdtemp(dir="/dev/shm" if os.access("/dev/shm", os.W_OK) else None))
    sound, path = folder / "sound", folder / "mixed"
    book = with_radio(sound, limits=SMALL, clock=Clock())
    count_up(book.units["R1"], 12)
    book.close()
    begun = time.monotonic()
    for number in range(how_many):
        start = time.monotonic()
        if number % 2:
            went[import_document(mutated(chance.choice(documents), chance))] += 1
        else:
            shutil.rmtree(path, ignore_errors=True)
            shutil.copytree(sound, path)
            for file in sorted((path / "units" / "R1").glob("unit*")):
                if chance.random() < 0.7:
                    file.write_bytes(mutated(file.read_bytes(), chance))
            went[open_book(path)] += 1
        slowest = max(slowest, time.monotonic() - start)
        assert slowest < SLOWEST_ALLOWED, f"file {number} took {slowest:.1f} s"
    shutil.rmtree(folder)
    assert not went["import refused without a word"]
    for words, count in went.most_common():
        print(f"{count:>8} {words}")
    print(f"{how_many} files in {time.monotonic() - begun:.0f} s, slowest {slowest * 1000:.0f} ms, none crashed")


if __name__ == "__main__":
    main()
