"""A photo of the record as the phone shows it: small, upright, with its marks, and without what a camera adds."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

QUALITY = 80


def small_bytes(make: Callable[[], Any]) -> bytes:
    """The bytes of a small picture.

    Args:
        make: what reads it; may run beside the program's own loop.

    Raises:
        InputError: it cannot be read any more.
    """
    image = make()
    made = io.BytesIO()
    image.convert("RGB").save(made, "JPEG", quality=QUALITY)
    return made.getvalue()
