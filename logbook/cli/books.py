"""Which book a command means, who writes in it, and what it has under a typed code."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.cli.arguments import near
from logbook.errors import InputError, ReadOnlyError
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.session import Session

APPLICATION = "restorers-logbook"


@dataclass(frozen=True, slots=True)
class CommandCall:
    """One command as it was called."""

    options: argparse.Namespace
    now: Callable[[], datetime]

    @property
    def by(self) -> str:
        """Initials of who writes: `--by`, else `LOGBOOK_INITIALS`; empty when nobody says, for the book may know."""
        given = self.options.by if self.options.by is not None else os.environ.get("LOGBOOK_INITIALS", "")
        return str(given).strip()

    @property
    def book(self) -> Path:
        """Folder of the book: `--book`, else `LOGBOOK_BOOK`, else the one in the data folder."""
        if self.options.book is not None:
            return folder_of(self.options.book)
        named = os.environ.get("LOGBOOK_BOOK")
        return folder_of(named) if named else data_folder() / "book"

    @property
    def demo_book(self) -> Path:
        """Folder of the demo book: `--book`, else one beside the default book; never the person's own by accident."""
        return folder_of(self.options.book) if self.options.book is not None else data_folder() / "demo"

    @property
    def lesson_book(self) -> Path:
        """Folder of the lesson's book: `--book`, else one beside the default book; never the person's own."""
        return folder_of(self.options.book) if self.options.book is not None else data_folder() / "lesson"

    def read(self) -> Session:
        """The book, open for reading only, so that it works while the interface is open.

        Raises:
            InputError: there is no book.
            StoreError: it cannot be read.
        """
        from logbook.session import Session

        path = self.book
        if not path.is_dir():
            raise InputError(
                f"There is no book at {path} yet. “logbook” begins one there, and “logbook demo” shows an example."
            )
        return Session.open(path, now=self.now, create=False, read_only=True)

    def session_for_screens(self, path: Path) -> Session:
        """A book to show, begun when it is not there; for reading only while another program writes in it."""
        from logbook.session import Session

        return Session.open(path, by=self.by, now=self.now)

    def write(self) -> Session:
        """The book, open for writing; begun when it is not there. What the disk refuses is an error at once.

        Raises:
            ReadOnlyError: another program has it open.
            StoreError: it cannot be opened.
        """
        from logbook.session import Session

        session = Session.open(self.book, by=self.by, now=self.now, at_once=True)
        if session.read_only:
            why = session.why_read_only
            session.close()
            raise ReadOnlyError(f"Nothing was changed. {why}")
        return session


def folder_of(text: str) -> Path:
    """The folder that was named. Raises InputError when no folder can have that name."""
    if not text.strip() or "\0" in text:
        raise InputError("The name of the book's folder is empty. Give one after --book.")
    path = Path(os.path.abspath(os.path.expanduser(text)))
    try:
        os.lstat(path)
    except (FileNotFoundError, NotADirectoryError):
        pass  # it can still be made, or the store says why not
    except OSError as error:
        shown = clean(str(path), limit=80)
        raise InputError(f"{shown} cannot be the folder of a book: {error.strerror}. Name another.") from error
    return path


def data_folder() -> Path:
    """Where books are kept by default."""
    from platformdirs import user_data_path

    return user_data_path(APPLICATION)


def code_in(session: Session, typed: str) -> str:
    """The code of the unit that was meant; upper and lower case are the same.

    Raises:
        InputError: there is none; near ones are named.
    """
    known = (*session.codes(), *session.broken())
    wanted = typed.strip().upper()
    if wanted in known:
        return wanted
    if not known:
        raise InputError(f"There is no unit “{typed}”: this book holds no unit yet.")
    hint = near(typed, known)
    listed = ", ".join(known[:12]) + (" and more" if len(known) > 12 else "")
    raise InputError(f"There is no unit “{typed}” in this book.{hint or f' It holds {listed}.'}")
