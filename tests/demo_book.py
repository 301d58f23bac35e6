"""The demo book as a folder that was filled once, so that every test opens a copy of its own."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from datetime import date, datetime
from functools import cache
from pathlib import Path

from logbook.model.document import ShopDocument
from logbook.model.templates import demo_documents
from logbook.session import Session


@cache
def _filled_folders() -> tempfile.TemporaryDirectory[str]:
    """Goes with the process."""
    return tempfile.TemporaryDirectory(prefix="demo-books-")


@cache
def _filled(by: str, at: datetime, today: date | None) -> Path:
    """The folder of a demo book, with the overviews that its bench wants."""
    folder = Path(_filled_folders().name) / f"book {date.toordinal(today) if today else ''} {by} {at:%Y%m%d%H%M%S%f}"
    with Session.open(folder, by=by, now=lambda: at) as session:
        for document in demo_documents(today):
            if isinstance(document, ShopDocument):
                session.apply_shop("the shop", lambda _, new=document.shop: new)
            else:
                session.add_unit(document.unit)
    return folder


def demo_copy(folder: Path, by: str, now: Callable[[], datetime], *, today: date | None = None) -> Session:
    """The demo book in a folder that does not exist yet, open for writing.

    Args:
        folder: where it is to stand.
        by: initials.
        now: the clock; what it says at first is when the book was filled.
        today: the day on which it reads as the demo does; None: the demo's own.
    """
    shutil.copytree(_filled(by, now(), today), folder)
    return Session.open(folder, by=by, now=now)
