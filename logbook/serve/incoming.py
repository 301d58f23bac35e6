"""Pictures from the phone between the page that took them and the record: on disk before the phone is told.

Each lies in the book's folder as `.incoming/<sha-256>.<ending>` with a `.json` beside it that says where the
bench was when it came. Whoever writes the book takes them in; after a crash they are still there.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from logbook.errors import StoreError
from logbook.files import make_folder
from logbook.model.photo_edits import At, Spot
from logbook.photos.originals import write_durably

FOLDER = ".incoming"
PICTURE = re.compile(r"[0-9a-f]{64}\.(?:jpg|png|webp|heic)")
"""How a picture that waits is called."""
SERVED = "LOGBOOK_SERVED"
"""Set for the interface that runs in the browser, so that it takes in what the page for the phone keeps."""
MOST_WAITING = 500
"""More than this are not taken before the ones that wait were taken in."""


class Bench(NamedTuple):
    """Where the bench is: the unit and the thing of it that is open."""

    unit: str = ""
    spot: Spot = Spot()
    words: str = "no unit is open at the bench"
    for_next: bool = False
    """A step is just being written there, and will take what comes."""


NOWHERE = Bench()


class PictureWaiting(NamedTuple):
    """A picture that waits to be taken in."""

    path: Path
    bench: Bench


class Incoming:
    """The folder of one book."""

    def __init__(self, book: Path) -> None:
        self.folder = book / FOLDER
        self._said = b""

    def begin(self) -> None:
        """Make the folder, and take away what a copy that was cut short left.

        Raises:
            StoreError: the disk refuses.
        """
        try:
            make_folder(str(self.folder), 0o700)
            if self.folder.is_symlink():
                raise StoreError(f"{self.folder} leads elsewhere, so no picture is kept there. Take it away first.")
            left = [p for p in self.folder.iterdir() if p.name.startswith(".in-")]
        except OSError as error:
            why = error.strerror or error
            raise StoreError(f"The folder {self.folder} for pictures from the phone cannot be used: {why}.") from error
        for path in left:
            with suppress(OSError):
                path.unlink()

    def put(self, raw: bytes, ending: str, bench: Bench) -> bool:
        """Keep a picture until it is taken in; False when the same one waits already. On disk when it returns.

        Raises:
            StoreError: the disk refuses, or too many wait.
        """
        name = sha256(raw).hexdigest()
        path = self.folder / f"{name}{ending}"
        if path.exists():
            return False
        if len(list(self.folder.glob("*.json"))) >= MOST_WAITING:
            raise StoreError(f"{MOST_WAITING} pictures wait already. Open the logbook, so that it takes them in.")
        try:
            write_durably(self.folder / f"{name}.json", _note_of(bench))
            write_durably(path, raw)
        except OSError as error:
            raise StoreError(f"The picture could not be kept: {error.strerror or error}.") from error
        return True

    def waiting(self) -> Iterator[PictureWaiting]:
        """What waits, oldest first; a picture without its note came while nothing was open.

        In a folder that cannot be read, nothing waits.
        """
        files: list[Path] = []
        with suppress(OSError):
            if not self.folder.is_symlink():
                files = [p for p in self.folder.iterdir() if PICTURE.fullmatch(p.name) and p.is_file()]
        for path in sorted(files, key=_came_at):
            yield PictureWaiting(path, _bench_in(path.with_suffix(".json")))

    def done(self, one: PictureWaiting) -> None:
        """Forget a picture that was taken in."""
        for path in (one.path, one.path.with_suffix(".json")):
            with suppress(OSError):  # left behind, it is told to be there already
                path.unlink(missing_ok=True)

    # Where the bench is, for a page that another process serves

    def say_bench(self, bench: Bench) -> None:
        """Write down where the bench is, when it is somewhere else than it was last said to be."""
        note = _note_of(bench)
        if note == self._said:
            return
        with suppress(OSError):  # the page then goes on with the place before
            beside = self.folder / ".bench-new"
            beside.write_bytes(note)
            os.replace(beside, self.folder / ".bench")
            self._said = note

    def bench(self) -> Bench:
        """Where the bench was last said to be."""
        return _bench_in(self.folder / ".bench")


def _came_at(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def _note_of(bench: Bench) -> bytes:
    note = {"unit": bench.unit, "at": bench.spot.at.value, "code": bench.spot.code, "words": bench.words,
            "for_next": bench.for_next}  # fmt: skip
    return json.dumps(note).encode()


def _bench_in(path: Path) -> Bench:
    """The bench that a note names; nowhere when there is no note, or none that makes sense."""
    try:
        note = json.loads(path.read_bytes())
        return Bench(note["unit"], Spot(At(note["at"]), note["code"]), note["words"], bool(note["for_next"]))
    except (OSError, ValueError, KeyError, TypeError):
        return NOWHERE
