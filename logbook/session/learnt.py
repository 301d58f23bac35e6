"""Changes of a record that was written before some of its fields were known.

Its document does not have those fields yet, so a patch that replaces one of them finds nothing to replace. The change
then puts them there first, as empty as the record has had them in memory all along, and its way back takes them out
again: nothing is written to a book that nobody changes, and no migration is needed for a field that is added.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from logbook.model.base import Frozen
from logbook.session.record_states import to_state
from logbook.store import Op
from logbook.store.patch import DoesNotFit, apply_patch

Patches = tuple[list[Op], list[Op]]
"""What leads there and what leads back (RFC 6902)."""


def fitted(state: Any, before: Frozen, do: list[Op], undo: list[Op]) -> Patches:
    """The patches of a change, with the fields that the document has not learnt yet put there first where needed.

    Args:
        state: what the document says, as plain values.
        before: the record made from it.
        do: what leads to the record after the change.
        undo: what leads back.
    """
    try:
        apply_patch(state, do)
    except DoesNotFit:
        learnt = list(_unknown(state, to_state(before), ""))
        there = [{"op": "add", "path": path, "value": value} for path, value in learnt]
        back = [{"op": "remove", "path": path} for path, _ in reversed(learnt)]
        return [*there, *do], [*undo, *back]
    return do, undo


def _unknown(state: Any, record: Any, path: str) -> Iterator[tuple[str, Any]]:
    """What the record has and the document has not: the way to it, and its value."""
    if isinstance(record, dict) and isinstance(state, dict):
        for key, value in record.items():
            at = f"{path}/{str(key).replace('~', '~0').replace('/', '~1')}"
            if key in state:
                yield from _unknown(state[key], value, at)
            else:
                yield at, value
    elif isinstance(record, list) and isinstance(state, list):
        for index, (known, value) in enumerate(zip(state, record, strict=False)):
            yield from _unknown(known, value, f"{path}/{index}")
