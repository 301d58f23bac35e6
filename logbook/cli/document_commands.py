"""Documents into the book and out of it. A document is taken whole or not at all."""

from __future__ import annotations

import json
import sys

from logbook.cli.books import CommandCall, code_in
from logbook.cli.output import write, write_bytes
from logbook.errors import InputError
from logbook.model.document import MOST_BYTES, ShopDocument
from logbook.session.document_transfer import CodeTakenError, bytes_of_file, document_of, read_in
from logbook.session.document_transfer import take_in as taken_in
from logbook.session.opened import SHOP
from logbook.session.unkept_file import is_unkept_text, read_unkept, take_unkept_in


def take_in(call: CommandCall) -> str:
    """Import the document that was named; what was done, in a sentence.

    Raises:
        InputError: the document cannot be used, or its unit is there already; nothing was changed.
        StoreError: the book cannot be written.
    """
    name = call.options.file
    named = "the standard input" if name == "-" else name
    raw = _bytes_of(name)
    if is_unkept_text(raw):
        return _take_unkept_in(call, raw, named)
    document = read_in(raw, named, as_code=call.options.as_code or "")
    with call.write() as session:
        try:
            said = taken_in(session, document, named)
        except CodeTakenError as error:
            raise InputError(f"{error} “--as CODE” takes it in under another code.") from error
        where = f"It is in {session.path}"
    if isinstance(document, ShopDocument):
        return f"{said} {where}; “undo” in the program brings the former one back."
    return f"{said} {where}."


def _take_unkept_in(call: CommandCall, raw: bytes, named: str) -> str:
    """Changes that the disk refused once, written down when the program was left."""
    if call.options.as_code:
        raise InputError("Another code is for a unit, and this file holds changes that could not be kept.")
    changes = read_unkept(raw, named)
    with call.write() as session:
        return f"{take_unkept_in(session, changes)} They are in {session.path}."


def _bytes_of(name: str) -> bytes:
    """The bytes of a file or of the standard input. Raises InputError when they cannot be read."""
    if name != "-":
        return bytes_of_file(name)
    if sys.stdin is None:
        raise InputError("There is no standard input to read.")
    return sys.stdin.buffer.read(MOST_BYTES + 1)


def give_out(call: CommandCall) -> None:
    """Print the document of a unit or of the shop.

    Raises:
        InputError: there is no such unit.
    """
    typed = call.options.unit
    with call.read() as session:
        is_shop = typed == "shop" or (typed.upper() == "SHOP" and "SHOP" not in session.codes())
        raw = document_of(session, SHOP if is_shop else code_in(session, typed))
    if sys.stdout is not None and sys.stdout.isatty():  # what a terminal could take for a command is written out
        write(json.dumps(json.loads(raw), indent=2, ensure_ascii=True) + "\n")
    else:
        write_bytes(raw)
