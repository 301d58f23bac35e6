"""What lies beside the records and may be lost without harm: drafts, and overviews that can be made anew."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import orjson
from tinydb import TinyDB, where

from logbook.files import read_file, refusal, replace_loosely
from logbook.store.remembering import row_moment
from logbook.store.storage import Damaged, Json, SealedStorage, Tables, encode, seal

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from logbook.store.folders import Removed
    from logbook.store.kept_document import Document


def read_object(path: str) -> tuple[Json, bool]:
    """A JSON object from a file, and whether the file is sound; empty when it is not there or not readable."""
    try:
        raw = read_file(path)
    except FileNotFoundError:
        return {}, True
    except OSError:
        return {}, False
    try:
        value = orjson.loads(raw)
    except ValueError:
        return {}, False
    return (value, True) if isinstance(value, dict) else ({}, False)


class Drafts:
    """Half-typed lines by key. Written whole each time, so that a draft is there or it is not."""

    def __init__(self, folder: str) -> None:
        self._path = os.path.join(folder, "drafts.json")
        self._texts: dict[str, str] | None = None

    def _all(self) -> dict[str, str]:
        if self._texts is None:
            found, _ = read_object(self._path)
            self._texts = {key: text for key, text in found.items() if isinstance(text, str)}
        return self._texts

    def get(self, key: str) -> str:
        """The draft of a key, empty if there is none."""
        return self._all().get(key, "")

    def put(self, key: str, text: str) -> None:
        """Keep a draft; an empty text removes it.

        Raises:
            StoreError: the disk refused; the draft before is still there.
        """
        texts = {**self._all(), key: text}
        if not text:
            del texts[key]
        if texts == self._all():
            return
        try:
            replace_loosely(self._path, encode(texts, indent=True))
        except OSError as error:
            raise refusal("The draft was not kept", error) from error
        self._texts = texts


class TablesBeside(SealedStorage):
    """A storage of TinyDB for tables that may be lost without harm: damaged, they are none. In memory until `flush`.

    The seal tells what a power cut left half written, so that it is made anew and never believed.
    """

    _tables: Tables | None = None
    _is_read = False
    _is_changed = False

    def read(self) -> Tables | None:
        """The tables as they are in memory, at first those of the file; None when there is none or it is not whole."""
        if not self._is_read:
            self._is_read = True
            try:
                tables = super().read()
            except (Damaged, OSError):
                tables = None
            self._tables = tables if _is_tables(tables) else None
        return self._tables

    def write(self, data: Tables) -> None:
        """Take the tables for what is to be written."""
        self._tables, self._is_read, self._is_changed = data, True, True

    def flush(self) -> None:
        """Replace the file if the tables changed; raises `OSError`, and then the old one is still there."""
        if self._is_changed:
            body = encode(self.head.as_json() | {"data": self._tables}, known_exact=True)
            replace_loosely(self.path, seal(b"{\n" + body[1:]))
            self._is_changed = False


def _is_tables(tables: object) -> bool:
    if not isinstance(tables, dict) or not all(isinstance(table, dict) for table in tables.values()):
        return False
    return all(n.isdecimal() and isinstance(row, dict) for table in tables.values() for n, row in table.items())


class BookIndex:
    """The book's own tables: an overview of every record, so that opening need not read them.

    It is also a witness of the records' last versions. In memory until `write`.
    """

    def __init__(self, folder: str) -> None:
        self._tables = TinyDB(os.path.join(folder, ".index.json"), kind="index", storage=TablesBeside)
        self._records = self._tables.table("records")
        rows = (dict(row) for row in self._records)  # without the numbers that they have in the table
        self._known: dict[str, Json] = {row["code"]: row for row in rows if isinstance(row.get("code"), str)}

    def codes_before(self, taken_out: Iterable[Removed]) -> set[str]:
        """Records that were there when the index was written, but for those that a person took out since."""
        since = {
            removed.code
            for removed in taken_out
            if removed.when >= (row_moment(self._known.get(removed.code, {})) or removed.when)
        }
        return set(self._known) - since

    def hand_over(self, document: Document) -> None:
        """Give a record that is not read yet what the index knows of it."""
        if row := self._known.get(document.code):
            document.remember(row)

    def take_in(self, documents: Iterable[Document]) -> None:
        """Let the tables say what the records know now; nothing is written yet."""
        known = {document.code: row for document in documents if (row := document.remembered())}
        if known != self._known:
            self._records.truncate()
            self._records.insert_multiple(known.values())
            self._known = known

    def where(self, field: str, fits: Callable[[Any], bool]) -> set[str]:
        """Codes of the records whose overview has a field with a value that fits."""
        found = self._records.search(where("summary")[field].test(fits))
        return {row["code"] for row in found}

    def write(self) -> None:
        """Write the tables if they say something new; raises `OSError`."""
        storage = self._tables.storage
        if isinstance(storage, TablesBeside):
            storage.flush()
