"""What a page of the phone is answered with, and what each kind of page can do."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from logbook.errors import InputError
from logbook.serve.phone_form import OLD_PAGE, PhoneForm
from logbook.session import Session
from logbook.session.sent_changes import is_name, last_sent, sent_change, take_back

ASKS = 409
"""Not kept: something is asked first, or does not fit any more. The page says what."""


@dataclass(frozen=True)
class PhoneAnswer:
    """What the phone is answered with."""

    page: str
    """Name of the template."""
    values: Mapping[str, Any]
    said: str = ""
    """In a sentence, to be read aloud as well."""
    bad: bool = False
    kept: str = ""
    """The name of what is on the disk now; empty when nothing was kept."""
    status: int = 200
    then: str = ""
    """The address that a browser without a script is led to, below the token; empty is where the form came from."""


class PhonePages(Protocol):
    """Pages of one kind: how they are shown, and what a form of theirs does."""

    def show(self, code: str, query: Mapping[str, str]) -> PhoneAnswer:
        """The page of a unit; an empty code is the shop. Raises LogbookError when it cannot be worked out."""

    def keep(self, code: str, form: PhoneForm) -> PhoneAnswer | Awaitable[PhoneAnswer]:
        """Do what a form says, once; what takes long is waited for beside the program.

        Raises:
            InputError: it cannot be done, in a sentence; nothing was changed.
            StoreError: the disk refuses; nothing was changed, and it may be sent again.
        """


def last_of_phone(session: Session, code: str) -> tuple[str, str] | None:
    """Name and words of what was sent last and may be taken back; None when something was changed since."""
    name = last_sent(session, code)
    sent = sent_change(session, code, name) if name else None
    return (name, sent.what) if sent is not None else None


def taken_back(session: Session, code: str, form: PhoneForm, told: Callable[[str], None]) -> str:
    """Take back what was sent last; the sentence about it. Sent again, it stays so.

    Raises:
        InputError: it cannot be taken back, because something was changed since.
        StoreError: the disk refuses.
    """
    name = form.text("of")
    if not is_name(name):
        raise InputError(OLD_PAGE)
    before = sent_change(session, code, name)
    back = take_back(session, code, name)
    if before is not None and not before.is_taken_back:
        told(f"From the phone: taken back: {back.what}.")
    return f"Taken back: {back.what}."
