"""Files that somebody else put beside a record: what they say, for comparison."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from logbook.errors import InputError
from logbook.files import read_file, refusal
from logbook.store.history_lines import Base, HistoryEntry
from logbook.store.migrating import to_newest
from logbook.store.patches import patches
from logbook.store.recover import put_together, scan
from logbook.store.storage import Damaged, Json, read_sealed, read_unsealed

if TYPE_CHECKING:
    from logbook.store.document_context import Keeping
    from logbook.store.patch import Op
    from logbook.store.place import RecordFiles


KINDS = ("unit", "shop")
"""Kinds of records, as their files are called."""


def strangers(place: RecordFiles) -> list[str]:
    """Paths of documents and histories that are not the record's own: conflict copies and what was put aside."""
    own = {os.path.basename(place.document), os.path.basename(place.history)}
    found = []
    for folder in (place.folder, os.path.join(place.folder, "aside")):
        try:
            names = sorted(os.listdir(folder))
        except (FileNotFoundError, NotADirectoryError):
            continue
        for name in names:
            is_own = folder == place.folder and name in own
            if not is_own and not name.startswith(".") and name.endswith((".json", ".jsonl")):
                found.append(os.path.join(folder, name))
    return found


def history_beside(path: str) -> str:
    """The path of the history that a synchroniser put beside a copy of a document; empty when none lies there.

    `unit (copy of AB).json` and `unit.history (copy of AB).jsonl` came together.
    """
    folder, name = os.path.split(path)
    stem, ending = os.path.splitext(name)
    kind = next((kind for kind in KINDS if stem.startswith(kind)), "")
    if ending != ".json" or not kind or stem == kind:
        return ""
    history = os.path.join(folder, f"{kind}.history{stem.removeprefix(kind)}.jsonl")
    return history if os.path.isfile(history) else ""


def what_it_says(path: str, place: RecordFiles, keeping: Keeping) -> Json:
    """The record of such a file in the present form.

    Raises:
        InputError: it holds no record of this kind.
        StoreError: it cannot be read now.
    """
    try:
        raw = read_file(path)
    except OSError as error:
        raise refusal(f"{path} could not be read", error) from error
    result = put_together(scan(raw), [], Base({}), _no_bridge)
    if result is not None:
        return to_newest(result.end.state, result.end.schema, place.kind, keeping)
    try:
        found = read_sealed(raw, place.kind)
        return to_newest(found.state, found.head.schema, place.kind, keeping)
    except Damaged:
        pass
    try:
        return read_unsealed(raw, place.kind)
    except Damaged as reason:
        raise InputError(f"{path} holds no record to compare with: {reason}.") from reason


def compare(now: Json, path: str, place: RecordFiles, keeping: Keeping) -> tuple[list[Op], list[Op]]:
    """The patch that would bring the record to what the file says, and the one back; raises as `what_it_says`."""
    return patches(now, what_it_says(path, place, keeping))


def _no_bridge() -> HistoryEntry:
    raise InputError("This history is damaged; compare its document instead.")
