"""Records in an older form brought to the present one, step by step."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC
from typing import TYPE_CHECKING

import orjson

from logbook.errors import LogbookError, StoreError
from logbook.files import make_folder, replace_durably
from logbook.store.history_file import HistoryFile
from logbook.store.history_lines import HistoryEntry, time_text
from logbook.store.patches import patches
from logbook.store.storage import DocumentHead, Json, Sealed, encode

if TYPE_CHECKING:
    from logbook.store.document_context import Keeping
    from logbook.store.loading import Loaded
    from logbook.store.place import RecordFiles


def step(state: Json, schema: int, kind: str, keeping: Keeping) -> Json:
    """The record in the form after `schema`; `state` is not changed.

    Raises:
        StoreError: there is no such step or it does not fit the record.
    """
    migration = keeping.migrations.get(kind, {}).get(schema)
    if migration is None:
        raise StoreError(f"Nothing leads from form {schema} of a {kind} to the next.")
    try:
        after: Json = orjson.loads(encode(migration(orjson.loads(encode(state)))))
    except (LookupError, TypeError, ValueError, AttributeError, LogbookError) as error:
        raise StoreError(f"A {kind} of form {schema} could not be brought to the next ({error!r}).") from error
    return after


def to_newest(state: Json, schema: int, kind: str, keeping: Keeping) -> Json:
    """The record in the present form, without keeping anything; raises as `step` does."""
    for number in range(schema, keeping.newest(kind)):
        state = step(state, number, kind, keeping)
    return state


def bring_up(loaded: Loaded, place: RecordFiles, history: HistoryFile, keeping: Keeping) -> Loaded:
    """A record that was just read, in the present form.

    A writing program keeps a copy of the older form first, then appends one entry for each step, so a step is kept
    whole or not at all and the story before it stays. A reading program does it in memory. A record that cannot be
    brought up is left as it is and counts as not readable.
    """
    newest = keeping.newest(place.kind)
    if loaded.state is None or loaded.n == 0 or loaded.schema >= newest:
        return loaded
    try:
        if keeping.read_only:
            state = to_newest(loaded.state, loaded.schema, place.kind, keeping)
            return replace(loaded, state=state, schema=newest, in_memory=True)
        _keep_older(loaded, place)
        while loaded.schema < newest and loaded.state is not None:
            loaded = _one_step(loaded, place, history, keeping)
    except StoreError as error:
        sentence = f"{place.name} is in an older form and was left as it is. {error}"
        return replace(loaded, state=None, problems=[*loaded.problems, sentence], retry=True)
    return loaded


def _one_step(loaded: Loaded, place: RecordFiles, history: HistoryFile, keeping: Keeping) -> Loaded:
    before = loaded.state or {}
    after = step(before, loaded.schema, place.kind, keeping)
    do, undo = patches(before, after)
    what = f"brought from form {loaded.schema} to {loaded.schema + 1}"
    moment = keeping.now().astimezone(UTC)
    entry = HistoryEntry(history.tail.n + 1, moment, keeping.by, what, "migrated", do, undo, schema=loaded.schema + 1)
    line = history.formed(entry)
    history.append(line)
    return replace(loaded, state=after, schema=loaded.schema + 1, n=line.entry.n, mark=line.entry.mark, at=moment)


def _keep_older(loaded: Loaded, place: RecordFiles) -> None:
    """Keep a sealed copy of the record before its form changes; the same copy is not written twice."""
    target = os.path.join(place.copies, f"{place.kind}-before-form-{loaded.schema + 1}.json")
    if os.path.exists(target):
        return
    kept_at = time_text(loaded.at) if loaded.at else ""
    head = DocumentHead(place.kind, place.code, loaded.identity, loaded.schema, loaded.n, kept_at, loaded.mark)
    make_folder(place.copies)
    replace_durably(target, Sealed(head, loaded.state or {}).raw)
