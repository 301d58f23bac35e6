"""The address of the page for the phone: the same for a book until a person closes it, also after a restart.

What waits on a phone is stored by its browser under this machine's name and port, so the port stays too. The file lies
in the account's own folder and not in the book: a book that somebody hands over must not bring a token along.
"""

from __future__ import annotations

import json
import os
import secrets
import stat
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

APPLICATION = "restorers-logbook"
PRIVATE = 0o600


class Address(NamedTuple):
    """What stays the same from one run to the next."""

    token: str
    port: int = 0
    """0 until a port was once had."""


class KeptAddress:
    """The address of one book. When the disk refuses to keep it, it holds for this run alone."""

    def __init__(self, book: Path) -> None:
        self._file = _folder() / f"{sha256(os.fsencode(os.path.realpath(book))).hexdigest()[:32]}.json"
        self._known = _read(self._file) or Address(secrets.token_urlsafe(16))

    @property
    def token(self) -> str:
        """What the phone must name to come in."""
        return self._known.token

    @property
    def port(self) -> int:
        """The port it was opened on last; 0 when it never was."""
        return self._known.port

    def opened_on(self, port: int) -> None:
        """It is open on this port, and is to be so again."""
        self._known = Address(self._known.token, port)
        _write(self._file, self._known)

    def end(self) -> None:
        """A person closed the page: the token holds no more. The port stays, for what still waits on the phone."""
        self._known = Address(secrets.token_urlsafe(16), self._known.port)
        _write(self._file, self._known)


def _folder() -> Path:
    from platformdirs import user_state_path

    return user_state_path(APPLICATION) / "phone"


def _read(path: Path) -> Address | None:
    """What was kept; None when there is nothing, or when somebody else could have read or written it."""
    try:
        descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
        with os.fdopen(descriptor, "rb") as file:
            status = os.fstat(descriptor)
            is_private = stat.S_ISREG(status.st_mode) and stat.S_IMODE(status.st_mode) & 0o077 == 0
            if not is_private or status.st_uid != os.getuid():
                return None
            kept = json.loads(file.read(1000))
        token, port = kept["token"], kept["port"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    sound = isinstance(token, str) and len(token) >= 20 and token.isascii() and type(port) is int and 0 <= port < 65536
    return Address(token, port) if sound else None


def _write(path: Path, address: Address) -> None:
    with suppress(OSError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        beside = path.with_name(f".{secrets.token_hex(6)}")
        descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, PRIVATE)
        with os.fdopen(descriptor, "wb") as file:
            file.write(json.dumps(address._asdict()).encode())
        os.replace(beside, path)
