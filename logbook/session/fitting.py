"""Whether a change that was made once still fits a record: in the very things it was made in, over the same values."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from logbook.store import Op
from logbook.store.patch import DoesNotFit, applied

State = dict[str, Any]

TOUCHED = "/touched"
"""When a record was last changed; it is written by whoever keeps a change, and is no reason for it not to fit."""


def without_touch(operations: Iterable[Op]) -> list[Op]:
    """The operations but for the one that says when the record was last changed."""
    return [one for one in operations if one.get("path") != TOUCHED]


def touched_anew(state: State, do: list[Op], undo: list[Op]) -> tuple[list[Op], list[Op]]:
    """What leads there and back, from a record that may have been changed at another time than the change knew."""
    moments = [one for one in do if one.get("path") == TOUCHED and "value" in one]
    do, undo = without_touch(do), without_touch(undo)
    if not moments:
        return do, undo
    if "touched" not in state:
        return [*do, {"op": "add", "path": TOUCHED, "value": moments[-1]["value"]}], [
            {"op": "remove", "path": TOUCHED},
            *undo,
        ]
    back: Op = {"op": "replace", "path": TOUCHED, "value": state["touched"]}
    return [*do, back | {"value": moments[-1]["value"]}], [back, *undo]


def things(state: State, operations: Iterable[Op]) -> dict[str, str]:
    """The codes of the things in which these operations change something, by their path in the record."""
    found = {}
    for operation in operations:
        at: Any = state
        path = ""
        for part in operation["path"].split("/")[1:-1]:
            path = f"{path}/{part}"
            try:
                at = at[int(part)] if isinstance(at, list) else at[part.replace("~1", "/").replace("~0", "~")]
            except (LookupError, ValueError, TypeError):
                break  # an operation before this one makes it
            if isinstance(at, dict) and isinstance(at.get("code"), str):
                found[path] = at["code"]
    return found


def after_change(state: State, do: list[Op], undo: list[Op], made_in: dict[str, str], name: str) -> State:
    """The state after a change.

    Args:
        state: the record as it stands now.
        do: what leads there.
        undo: what leads back, and must, so that nothing is written over that the change did not know.
        made_in: the things it was made in, see `things`.
        name: the change, for the sentence.

    Raises:
        DoesNotFit: it was made in another thing, or over another value.
    """
    try:
        after = applied(state, do)
        is_so = things(state, do) == made_in and applied(after, undo) == state
    except DoesNotFit:
        is_so = False
    if not is_so:
        raise DoesNotFit(f"{name} does not fit the record as it stands now, so that nothing was taken in.")
    return after
