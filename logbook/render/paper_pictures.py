"""Photos made small for paper and web pages, from the originals, which are never touched.

A small copy says nothing of where and when it was taken. Pillow is an extra; without it photos are left out, and
that is said.
"""

from __future__ import annotations

import base64
import os
import tempfile
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from hashlib import sha256
from io import BytesIO
from pathlib import Path

from logbook.errors import InputError
from logbook.render.blocks import Block, Pictures, flat

LONGEST = 640
"""Pixels of the longer side of a small copy: 58 mm wide on paper at 280 dots per inch."""
_QUALITY = 80
_MOST_PIXELS = 120_000_000
"""Larger pictures are refused: they could fill the memory."""


class SmallPhotos:
    """The photos of a unit, made small when they are asked for.

    Args:
        folder: the folder that holds them.
        keep: where small copies are kept, for this document and for the next one.
        draw: makes the small copy of a file, with what was drawn over it.
        drawn: what was drawn over a photo, in words that change when it does.
    """

    def __init__(
        self,
        folder: Path,
        keep: Path,
        draw: Callable[[Path], bytes] | None = None,
        drawn: Callable[[str], str] | None = None,
    ) -> None:
        self.folder = folder
        self.keep = keep
        self._draw = draw or small_jpeg
        self._drawn = drawn or (lambda _: "")
        self.refused: dict[str, str] = {}
        """Photos that cannot be shown, each with the reason."""
        self.names: dict[str, str] = {}
        """Name of the small copy in `keep`, by the name of the photo."""

    def prepare(self, blocks: Sequence[Block]) -> None:
        """Make every photo of these blocks small, two at a time."""
        files = [p.file for b in flat(tuple(blocks)) if isinstance(b, Pictures) for p in b.pictures]
        wanted = [f for f in dict.fromkeys(files) if f not in self.names and f not in self.refused]
        todo = [f for f in wanted if not self._is_kept(f)]
        if todo:
            with ThreadPoolExecutor(2) as workers:  # decoding a picture lets other threads run
                for file, why in zip(todo, workers.map(self._make, todo), strict=True):
                    if why:
                        self.refused[file] = why

    def address(self, file: str) -> str | None:
        """A photo as a `data:` address; None when it cannot be shown."""
        if file not in self.names:
            return None
        raw = (self.keep / self.names[file]).read_bytes()
        return f"data:image/jpeg;base64,{base64.b64encode(raw).decode('ascii')}"

    @property
    def notes(self) -> tuple[str, ...]:
        """What was left out and why, in sentences; photos with one reason are named together."""
        reasons: dict[str, list[str]] = {}
        for file, why in self.refused.items():
            reasons.setdefault(why, []).append(file)
        return tuple(f"Left out, {why}: {_some(files)}." for why, files in reasons.items())

    def _is_kept(self, file: str) -> bool:
        """Whether its small copy is there already, from this very file; whether it may be read is told too."""
        path = self.folder / file
        if Path(file).name != file or path.is_symlink():
            self.refused[file] = "not a file of the unit's photos"
            return True
        try:
            stat = path.stat()
        except (OSError, ValueError):
            self.refused[file] = "the file is not there"
            return True
        of = f"{path.absolute()}\0{stat.st_mtime_ns}\0{stat.st_size}\0{LONGEST}\0{self._drawn(file)}"
        mark = sha256(of.encode("utf-8", "surrogatepass")).hexdigest()
        self.names[file] = f"{mark[:32]}.jpg"
        return (self.keep / self.names[file]).is_file()

    def _make(self, file: str) -> str:
        """Make the small copy; why that cannot be, or nothing."""
        name = self.names.pop(file)
        try:
            small = self._draw(self.folder / file)
        except ImportError:
            return 'photos need the extra “photos”: pip install "restorers-logbook[photos]"'
        except (OSError, ValueError, SyntaxError, InputError):
            return "no picture that can be read"
        try:
            beside = self.keep / f".{name}.{threading.get_ident()}"
            beside.write_bytes(small)
            beside.replace(self.keep / name)
        except OSError as error:
            return f"its small copy cannot be written ({error.strerror})"
        self.names[file] = name
        return ""


def small_jpeg(path: Path) -> bytes:
    """A picture as a small upright JPEG without anything but the picture.

    Raises:
        ImportError: Pillow is not installed.
        OSError, ValueError, SyntaxError: it is no picture that can be read.
    """
    from PIL import Image, ImageOps

    _know_heif()
    with Image.open(path) as image:
        if image.width * image.height > _MOST_PIXELS:
            raise ValueError("it has too many pixels")
        image.draft("RGB", (LONGEST, LONGEST))
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((LONGEST, LONGEST))
        out = BytesIO()
        upright.convert("RGB").save(out, "JPEG", quality=_QUALITY)
    return out.getvalue()


def _know_heif() -> None:
    """Let Pillow read the pictures of phones, where that is installed."""
    try:
        from pillow_heif import register_heif_opener
    except ImportError:
        return
    register_heif_opener()


@contextmanager
def place_for_small_photos(cache: Path) -> Iterator[Path]:
    """A folder for small copies: the cache, or one for this time only where that cannot be written."""
    try:
        cache.mkdir(parents=True, exist_ok=True)
        usable = os.access(cache, os.W_OK)
    except OSError:
        usable = False
    if usable:
        yield cache
        return
    with tempfile.TemporaryDirectory() as folder:
        yield Path(folder)


def _some(files: Iterable[str]) -> str:
    names = list(files)
    return ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
