"""The document: TinyDB tables in a sealed, readable JSON file, replaced whole.

    {"sha256":"<of every byte after this line>",
      "kind": "unit", "schema": 1, "version": 37, ...
      "data": {"unit": {"1": {...}}, "steps": {"1": {...}, "2": {...}}}
    }

The file is plain JSON; what stands under `data` is what any TinyDB reads and writes. The seal tells damage and
edits by hand from what this program wrote.
"""

from __future__ import annotations

import hashlib
import math
import os
import re
from dataclasses import dataclass, field
from typing import Any

import orjson
from tinydb.storages import Storage

from logbook.errors import InputError, ReadOnlyError
from logbook.files import read_file, replace_durably

SEAL = re.compile(rb'\A\{"sha256":"([0-9a-f]{64})",\n')
FORM = 1
"""Form of the files themselves, apart from the schema of what they hold."""

Json = dict[str, Any]
Tables = dict[str, dict[str, Json]]


class Damaged(Exception):  # noqa: N818 - a finding that the store deals with, never an error a person sees
    """The bytes are not a whole document of this program; the text says in what way."""


@dataclass(frozen=True, slots=True)
class DocumentHead:
    """What a document says about itself."""

    kind: str
    """`unit` or `shop`; also the name of the table that holds the single fields."""
    code: str = ""
    """Name of the unit's folder when the document was written."""
    identity: str = ""
    """Made once when the record began; tells a copy of the same record from another record."""
    schema: int = 1
    """Form of the data; migrations lead from each to the next."""
    version: int = 0
    """Number of the last history entry that is in the data."""
    kept_at: str = ""
    """When that entry was made, ISO 8601 in UTC."""
    mark: str = ""
    """Checksum of that entry, so that a document of another line of changes is recognised."""
    position: tuple[int, int] = (0, 0)
    """Where that entry stands in the history: first byte, byte after."""
    form: int = FORM

    def as_json(self) -> Json:
        """The head in the order in which it is written."""
        return {
            "kind": self.kind,
            "code": self.code,
            "identity": self.identity,
            "form": self.form,
            "schema": self.schema,
            "version": self.version,
            "kept_at": self.kept_at,
            "mark": self.mark,
            "position": list(self.position),
        }

    @classmethod
    def from_json(cls, raw: Json) -> DocumentHead:
        """Read a head; raises `Damaged` when a field has the wrong kind of value."""
        try:
            start, end = raw.get("position") or (0, 0)
            head = cls(
                kind=raw["kind"],
                code=raw.get("code", ""),
                identity=raw.get("identity", ""),
                schema=raw.get("schema", 1),
                version=raw.get("version", 0),
                kept_at=raw.get("kept_at", ""),
                mark=raw.get("mark", ""),
                position=(start, end),
                form=raw.get("form", FORM),
            )
        except (KeyError, TypeError, ValueError) as error:
            raise Damaged("its head is incomplete") from error
        numbers = (head.schema, head.version, start, end, head.form)
        words = (head.kind, head.code, head.identity, head.kept_at, head.mark)
        if not all(type(n) is int for n in numbers) or not all(isinstance(w, str) for w in words):
            raise Damaged("its head is incomplete")
        return head


def encode(value: object, *, indent: bool = False, known_exact: bool = False) -> bytes:
    """JSON bytes of a plain value; a value that JSON cannot carry exactly is refused with a sentence.

    Args:
        value: dicts, lists, texts, numbers, truth values and None.
        indent: write it for people.
        known_exact: the value came from JSON, so that it need not be looked through.

    Raises:
        InputError: for a character, number or type that would not come back as it went in.
    """
    try:
        raw = orjson.dumps(value, option=orjson.OPT_INDENT_2 if indent else 0)
    except TypeError as error:
        raise InputError(
            f"This cannot be written to the book ({error}). Take out the unusual character or number and try again."
        ) from error
    if not known_exact:
        _refuse_inexact(value)
    return raw


def _refuse_inexact(value: object) -> None:
    """Not-a-number would silently become null."""
    if isinstance(value, float):
        if not math.isfinite(value):
            raise InputError("A number that is not finite cannot be written to the book. Correct it and try again.")
    elif isinstance(value, dict):
        for item in value.values():
            _refuse_inexact(item)
    elif isinstance(value, list | tuple):
        for item in value:
            _refuse_inexact(item)


def seal(body: bytes) -> bytes:
    """The whole file for a JSON object written with indentation: the seal goes in as its first field."""
    rest = body.removeprefix(b"{\n") + b"\n"
    return b'{"sha256":"%s",\n%s' % (hashlib.sha256(rest).hexdigest().encode(), rest)


def unseal(raw: bytes) -> Json:
    """The JSON object of a sealed file.

    Raises:
        Damaged: the seal is missing or does not fit the bytes.
    """
    found = SEAL.match(raw)
    if not found:
        raise Damaged("it carries no seal of this program")
    if hashlib.sha256(raw[found.end() :]).hexdigest().encode() != found[1]:
        raise Damaged("its checksum does not fit")
    return _loads(raw)


def _loads(raw: bytes) -> Json:
    try:
        value = orjson.loads(raw)
    except ValueError as error:
        raise Damaged("it is not JSON in UTF-8") from error
    if not isinstance(value, dict):
        raise Damaged("it is not a JSON object")
    return value


def tables_of(state: Json, main: str) -> Tables:
    """A record as TinyDB tables: a list of records becomes a table, all other fields one document of table `main`."""
    single: Json = {}
    tables: Tables = {main: {"1": single}}
    for name, value in state.items():
        if name != main and isinstance(value, list) and all(isinstance(item, dict) for item in value):
            tables[name] = {str(number): item for number, item in enumerate(value, 1)}
        else:
            single[name] = value
    return tables


def state_of(tables: object, main: str) -> Json:
    """The record of TinyDB tables; the order of a list is that of the document numbers.

    Raises:
        Damaged: the value does not have the shape of tables.
    """
    if not isinstance(tables, dict):
        raise Damaged("it holds no tables")
    state: Json = {}
    try:
        if main in tables:
            (single,) = tables[main].values()
            state.update(single)
        for name, table in tables.items():
            if name != main:
                state[name] = [table[number] for number in sorted(table, key=int)]
                if not all(isinstance(item, dict) for item in state[name]):
                    raise Damaged(f"table {name} holds something that is not a record")
    except (AttributeError, LookupError, TypeError, ValueError) as error:
        raise Damaged("its tables have not the shape of a record") from error
    return state


@dataclass(frozen=True, slots=True)
class Sealed:
    """A document read from a file: its head and its record."""

    head: DocumentHead
    state: Json = field(repr=False)

    @property
    def raw(self) -> bytes:
        """The bytes of the file."""
        whole = self.head.as_json() | {"data": tables_of(self.state, self.head.kind)}
        return seal(encode(whole, indent=True, known_exact=True))


def read_sealed(raw: bytes, kind: str) -> Sealed:
    """A document from the bytes of its file.

    Raises:
        Damaged: the seal, the shape or the kind is not that of a document of this kind.
    """
    whole = unseal(raw)
    head = DocumentHead.from_json(whole)
    if head.kind != kind:
        raise Damaged(f"it holds a record of another kind ({head.kind})")
    return Sealed(head, state_of(whole.get("data"), kind))


def read_unsealed(raw: bytes, kind: str) -> Json:
    """The record of a document that was written or changed by hand: well formed, but nobody vouches for it.

    Raises:
        Damaged: it cannot be read as tables of this kind.
    """
    whole = _loads(raw)
    tables = whole.get("data", whole)
    if not isinstance(tables, dict) or kind not in tables:
        raise Damaged("it is not a document of this program")
    return state_of(tables, kind)


class SealedStorage(Storage):
    """TinyDB storage over one sealed document.

    It keeps no objects: `read` builds fresh ones each time, because TinyDB changes what it was given before it
    writes, and after a failed write memory must not show what no file holds.
    """

    def __init__(self, path: str, kind: str = "unit", *, read_only: bool = False) -> None:
        super().__init__()
        self.path = path
        self.read_only = read_only
        self.head = DocumentHead(kind)

    def read(self) -> Tables | None:
        """The tables of the file, None when there is no file yet; raises `Damaged`."""
        if not os.path.exists(self.path):
            return None
        whole = unseal(read_file(self.path))
        self.head = DocumentHead.from_json(whole)
        data: Tables = whole["data"]
        return data

    def write(self, data: Tables) -> None:
        """Replace the file durably by one with these tables and the present head.

        Raises:
            ReadOnlyError: the storage was opened for reading only.
            OSError: the disk refused; the old file is still there.
        """
        if self.read_only:
            raise ReadOnlyError("These tables are for reading only. Keep changes through the document.")
        whole = self.head.as_json() | {"data": data}
        replace_durably(self.path, seal(encode(whole, indent=True)))

    def keep(self, sealed: Sealed) -> None:
        """Replace the file durably by this document, whose values came from the history; raises as `write` does."""
        self.head = sealed.head
        replace_durably(self.path, sealed.raw)
