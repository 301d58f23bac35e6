"""Photos made small for paper and web pages, from the originals, which are never touched.

A small copy says nothing of where and when it was taken. Pillow is an extra; without it photos are left out, and
that is said.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from hashlib import sha256
from io import BytesIO
from pathlib import Path

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
        cache: where small copies are kept for the next time; None keeps none.
    """

    def __init__(self, folder: Path, cache: Path | None = None) -> None:
        self.folder = folder
        self.cache = cache
        self.refused: dict[str, str] = {}
        """Photos that cannot be shown, each with the reason."""
        self._small: dict[str, bytes] = {}

    def prepare(self, blocks: Sequence[Block]) -> None:
        """Make every photo of these blocks small, two at a time."""
        files = [p.file for b in flat(tuple(blocks)) if isinstance(b, Pictures) for p in b.pictures]
        wanted = [f for f in dict.fromkeys(files) if f not in self._small and f not in self.refused]
        if not wanted:
            return
        with ThreadPoolExecutor(2) as workers:  # decoding a picture lets other threads run
            for file, made in zip(wanted, workers.map(self._made, wanted), strict=True):
                if isinstance(made, bytes):
                    self._small[file] = made
                else:
                    self.refused[file] = made

    def address(self, file: str) -> str | None:
        """A photo as a `data:` address; None when it cannot be shown."""
        raw = self._small.get(file)
        return None if raw is None else f"data:image/jpeg;base64,{base64.b64encode(raw).decode('ascii')}"

    def put_in(self, folder: Path) -> Mapping[str, str]:
        """Write the small copies into a folder; their names there, by the names of the photos."""
        names = {file: f"{i:04d}.jpg" for i, file in enumerate(self._small)}
        for file, name in names.items():
            (folder / name).write_bytes(self._small[file])
        return names

    @property
    def notes(self) -> tuple[str, ...]:
        """What was left out and why, in sentences; photos with one reason are named together."""
        reasons: dict[str, list[str]] = {}
        for file, why in self.refused.items():
            reasons.setdefault(why, []).append(file)
        return tuple(f"Left out, {why}: {_some(files)}." for why, files in reasons.items())

    def _made(self, file: str) -> bytes | str:
        """The small copy, or why there is none."""
        path = self.folder / file
        if Path(file).name != file or path.is_symlink():
            return "not a file of the unit's photos"
        if not path.is_file():
            return "the file is not there"
        try:
            stat = path.stat()
            mark = sha256(f"{path.resolve()}\0{stat.st_mtime_ns}\0{stat.st_size}\0{LONGEST}".encode()).hexdigest()
            kept = self.cache / f"{mark}.jpg" if self.cache is not None else None
            if kept is not None and kept.is_file():
                return kept.read_bytes()
            small = small_jpeg(path)
        except ImportError:
            return 'photos need the extra “photos”: pip install "restorers-logbook[photos]"'
        except (OSError, ValueError, SyntaxError) as error:
            return f"the picture cannot be read ({str(error).split(chr(10))[0][:80]})"
        if kept is not None:
            _keep(kept, small)
        return small


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


def _keep(path: Path, raw: bytes) -> None:
    """Keep a small copy for the next time; when the disk refuses, it is made again then."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside = path.with_suffix(f".{sha256(raw).hexdigest()[:8]}.tmp")
        beside.write_bytes(raw)
        beside.replace(path)
    except OSError:
        return


def _some(files: Iterable[str]) -> str:
    names = list(files)
    return ", ".join(names[:5]) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
