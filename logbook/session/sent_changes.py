"""Changes that a phone sent, each under a name of its own: what is sent again is found, and can be taken back by it.

The name stands in the line of the history that keeps the change, so it is there exactly when the change is: after a
lost answer, a killed program or a power cut the same name says truly whether it was done.
"""

from __future__ import annotations

from typing import NamedTuple

from logbook.errors import InputError, StoreError
from logbook.session.opened import SHOP, OpenBook
from logbook.session.session import Session

LONGEST_NAME = 64
SHORTEST_NAME = 8


class SentChange(NamedTuple):
    """A change that was sent and kept."""

    code: str
    """Code of its unit; empty for the shop."""
    number: int
    """Its number in the history of that record."""
    what: str
    """In words, as in the history."""
    is_taken_back: bool
    """Whether it was ever taken back, here or at the bench."""
    name: str
    """Under which it was sent."""


def is_name(name: str) -> bool:
    """Whether a change can be sent under this name: letters and digits of ASCII, neither short nor long."""
    return name.isascii() and name.isalnum() and SHORTEST_NAME <= len(name) <= LONGEST_NAME


def sent_change(book: OpenBook, code: str, name: str) -> SentChange | None:
    """The change of a record that was sent under a name; None when there is none.

    Args:
        book: the open book.
        code: of the unit, or `SHOP`.
        name: as it was sent.
    """
    entries = book.entries(code) if book.has(code) else ()
    found = next((entry for entry in reversed(entries) if entry.sent_as == name), None)
    if found is None:
        return None
    undone = any(entry.kind == "undo" and entry.of == found.n for entry in entries)
    return SentChange(code, found.n, found.what, undone, name)


def last_sent(book: OpenBook, code: str) -> str:
    """The name of what was sent, when it would be taken back first; empty when the bench changed something since."""
    latest = book.standing_last(code)
    return "" if latest is None else latest.sent_as


def take_back(session: Session, code: str, name: str) -> SentChange:
    """Take back a change that was sent; one that was taken back already stays so, whoever did it.

    Raises:
        InputError: nothing was sent under that name, or something was changed since.
        StoreError: the disk refuses; it stands.
    """
    sent = sent_change(session, code, name)
    if sent is None:
        raise InputError("There is nothing of that to take back.")
    if sent.is_taken_back:
        return sent
    if not session.is_kept(code):
        raise StoreError("Not taken back: the disk refuses what came before it.")
    if last_sent(session, code) != name:
        where = code or "the shop"
        raise InputError(f"“{sent.what}” stays: {where} was changed since. Take that back first, at the bench with z.")
    session.undo(code)
    return sent._replace(is_taken_back=True)


__all__ = ["SHOP", "SentChange", "is_name", "last_sent", "sent_change", "take_back"]
