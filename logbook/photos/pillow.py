"""The one door to the picture library: which errors it raises for a damaged file, and how large a picture may be."""

from __future__ import annotations

import importlib
import struct
from functools import cache
from typing import Any

from logbook.errors import InputError

MOST_BYTES = 60 * 2**20
"""A larger file is no photo from a phone."""

MOST_PIXELS = 250_000_000
"""More than any phone's camera; a file that claims more is refused before it is decoded."""

MOST_PIXELS_WHOLE = 50_000_000
"""More than this of a format that can only be decoded whole, and that no phone's camera writes, is refused."""

MOST_PIXELS_PACKED = 40_000_000
"""A picture above this that holds next to nothing is a bomb: a small file that would fill the memory."""

LEAST_BYTES_PER_PIXEL = 0.01

DAMAGED: tuple[type[Exception], ...] = (
    OSError, ValueError, SyntaxError, EOFError, ArithmeticError, LookupError, TypeError, AttributeError,
    RuntimeError, MemoryError, struct.error,
)  # fmt: skip
"""What decoders raise for damaged files; the twenty thousand mutated files of the benchmarks found no other."""


@cache
def library() -> Any:
    """Pillow with HEIF reading, loaded when a picture is first opened.

    Raises:
        InputError: it is not installed; everything else works without it.
    """
    try:
        image: Any = importlib.import_module("PIL.Image")
        importlib.import_module("PIL.ImageOps")
        heif: Any = importlib.import_module("pillow_heif")
    except ImportError as error:
        raise InputError(
            "Pictures need two libraries that are not installed: pip install 'restorers-logbook[photos]'. "
            "Everything else works without them."
        ) from error
    image.MAX_IMAGE_PIXELS = MOST_PIXELS
    heif.register_heif_opener(thumbnails=False)
    return image
