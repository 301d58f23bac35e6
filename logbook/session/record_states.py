"""Between records and the plain values that the store keeps."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import ValidationError

from logbook.errors import StoreError
from logbook.model.base import Frozen
from logbook.model.document import path_of

R = TypeVar("R", bound=Frozen)


def to_state(record: Frozen) -> dict[str, Any]:
    """The record as values that JSON can hold."""
    return record.model_dump(mode="json")


def from_state(kind: type[R], state: dict[str, Any], name: str) -> R:
    """The record that `state` describes.

    Raises:
        StoreError: the state does not fit the record, with the path to the first wrong place.
    """
    import orjson

    try:
        return kind.model_validate_json(orjson.dumps(state))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise StoreError(
            f"The record of {name} on disk does not fit: {path_of(first['loc'])}: {first['msg']}. "
            "Its history still holds every change; see “logbook check”."
        ) from error
