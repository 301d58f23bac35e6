"""JSON Patch (RFC 6902) on states that nobody changes in place."""

from __future__ import annotations

import re
from copy import copy
from typing import Any

from logbook.errors import InputError

SIMPLE = frozenset({"add", "replace", "remove"})
SETS_ALL = frozenset({"add", "replace"})
"""What puts a value in the place of the whole record, as the first line of a history does."""
INDEX = re.compile(r"(?:0|[1-9][0-9]{0,8})\Z", re.ASCII)
ODD = re.compile(r"~(?![01])")
"""A tilde that escapes nothing; such a path is refused."""

Op = dict[str, Any]
"""One operation: `op`, `path` and, where the operation needs it, `value` or `from`."""


def applied(state: dict[str, Any], operations: list[Op]) -> dict[str, Any]:
    """The record after the operations, as `apply_patch`; what is no record any more does not fit either."""
    after = apply_patch(state, operations)
    if not isinstance(after, dict):
        raise DoesNotFit("The change would leave something that is no record. Nothing was changed.")
    return after


class DoesNotFit(InputError):  # noqa: N818 - says what is the matter in a word
    """The patch names a place that the state does not have; nothing was changed."""


def apply_patch(state: Any, operations: list[Op]) -> Any:
    """The state after the operations. `state` is not changed; what no operation touches is shared with it.

    Copying the whole record costs 15 ms for 200 kB, so only the containers on the way to each place are copied.
    The operations themselves become part of the result: hand over values that nobody else holds.

    Raises:
        DoesNotFit: an operation is malformed or names a place that is not there.
    """
    try:
        for operation in operations:
            name, path = _text(operation["op"]), _text(operation["path"])
            if path == "" and name in SETS_ALL:
                state = operation["value"]
                continue
            parts = _parts(path)
            state, place = _with_own_way(state, parts)
            is_simple = name in SIMPLE and path.startswith("/") and not ODD.search(path)
            if is_simple and _done_simply(name, place, parts[-1], operation):
                continue
            if name == "move":
                state, _ = _with_own_way(state, _parts(operation["from"]))
            state = _by_library(state, operation)
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise DoesNotFit(f"The change does not fit the record as it stands ({error}). Nothing was changed.") from error
    return state


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("an operation and its path are texts")
    return value


def _parts(pointer: str) -> list[str]:
    return [part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:]]


def _with_own_way(state: Any, parts: list[str]) -> tuple[Any, Any]:
    """`state` with fresh copies of the containers on the way to a place, and the container of the place.

    A way that leads nowhere is copied as far as it goes, and there is no container then.
    """
    if not parts or not isinstance(state, dict | list):
        return state, None
    root = place = copy(state)
    for part in parts[:-1]:
        try:
            key: Any = int(part) if isinstance(place, list) else part
            child = place[key]
        except (LookupError, ValueError):
            return root, None
        if not isinstance(child, dict | list):
            return root, None
        own = copy(child)
        place[key] = own
        place = own
    return root, place


def _done_simply(name: str, place: Any, part: str, operation: Op) -> bool:
    """Do what nearly every operation is: add, replace or remove an item that is in its place.

    False leaves the rest, and saying what is wrong, to the library, which takes three times as long.
    """
    if name != "remove" and "value" not in operation:
        return False
    if isinstance(place, dict):
        if name != "add" and part not in place:
            return False
        key: Any = part
    elif isinstance(place, list) and INDEX.match(part):
        key = int(part)
        if key >= len(place) + (name == "add"):
            return False
    else:
        return False
    if name == "remove":
        del place[key]
    elif name == "add" and isinstance(place, list):
        place.insert(key, operation["value"])
    else:
        place[key] = operation["value"]
    return True


def _by_library(state: Any, operation: Op) -> Any:
    from jsonpatch import JsonPatch, JsonPatchException  # costs 15 ms, and is rarely needed
    from jsonpointer import JsonPointerException

    try:
        return JsonPatch([operation]).apply(state, in_place=True)
    except (JsonPatchException, JsonPointerException) as error:
        raise ValueError(str(error)) from error
