"""Files beside the records that may be lost without harm: drafts, and summaries that can be made anew."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import orjson

from logbook.store.files import read_file, refusal, replace_loosely
from logbook.store.storage import Json, encode

if TYPE_CHECKING:
    from collections.abc import Iterable

    from logbook.store.document import Document


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


class Index:
    """Summaries of all records, so that the overview need not read them; and a witness of their last versions."""

    def __init__(self, folder: str) -> None:
        self._path = os.path.join(folder, ".index.json")
        found, _ = read_object(self._path)
        documents = found.get("documents")
        self._known: dict[str, Any] = documents if isinstance(documents, dict) else {}

    @property
    def codes(self) -> set[str]:
        """Records that were there when the index was written."""
        return set(self._known)

    def hand_over(self, document: Document) -> None:
        """Give a record that is not read yet what the index knows of it."""
        known = self._known.get(document.code)
        if isinstance(known, dict):
            document.remember(known)

    def write(self, documents: Iterable[Document]) -> None:
        """Write what the records know now; raises `OSError`."""
        known = {document.code: told for document in documents if (told := document.remembered())}
        if known != self._known:
            replace_loosely(self._path, encode({"documents": known}, indent=True))
            self._known = known
