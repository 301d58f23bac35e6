"""What the phone sends: fields of a form, looked at before anything is done with them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple
from urllib.parse import parse_qsl

from logbook.errors import InputError
from logbook.session.sent_changes import is_name

MOST_FORM_BYTES = 64_000
"""A line has at most ten thousand characters; each may take a few bytes."""
MOST_FIELDS = 100
OLD_PAGE = "The page is an old one. Load it again."


class PhoneForm(NamedTuple):
    """The fields of one form."""

    name: str
    """Under which it was sent: what is done under it is done once."""
    fields: Mapping[str, Sequence[str]]

    def text(self, field: str) -> str:
        """What was typed into a field, its last value; empty when it was not sent."""
        return (self.fields.get(field) or [""])[-1]

    @property
    def only_reads(self) -> bool:
        """Whether it only asks how a line reads."""
        return self.text("do") == "read"

    def chosen(self, field: str) -> tuple[str, ...]:
        """Every value of a field that can be ticked more than once."""
        return tuple(self.fields.get(field, ()))


def read_form(raw: bytes) -> PhoneForm:
    """The fields that a phone sent.

    Raises:
        InputError: it is no form of this page, or was not sent under a name.
    """
    try:
        pairs = parse_qsl(raw.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except (UnicodeDecodeError, ValueError) as error:
        raise InputError("That is not what the page sends. Load it again.") from error
    fields: dict[str, list[str]] = {}
    for field, value in pairs:
        fields.setdefault(field, []).append(value.replace("\r\n", "\n"))
    name = (fields.get("id") or [""])[-1]
    if not is_name(name):
        raise InputError(OLD_PAGE)
    return PhoneForm(name, fields)
