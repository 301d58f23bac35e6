"""Whatever a document was turned into by damage or by hand: it is read, or refused in sentences, never worse."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.document import (
    read_document,
    write_document,
)
from logbook.model.templates import template_bytes

RADIO = template_bytes("demo/R1.json")


PIECES = st.binary(min_size=1, max_size=8) | st.sampled_from([b"{", b'"', b"\\ud800", b"1e999"])


@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_damaged_bytes_give_a_document_or_sentences(data: st.DataObject) -> None:
    raw = bytearray(RADIO)
    for _ in range(data.draw(st.integers(1, 3))):
        place = data.draw(st.integers(0, len(raw) - 1))
        how = data.draw(st.sampled_from(["byte", "cut", "insert", "swap"]))
        if how == "byte":
            raw[place] = data.draw(st.integers(0, 255))
        elif how == "cut":
            del raw[place : place + data.draw(st.integers(1, 400))]
        elif how == "insert":
            raw[place:place] = data.draw(PIECES)
        else:
            other = data.draw(st.integers(0, len(raw) - 1))
            raw[place], raw[other] = raw[other], raw[place]
        if not raw:
            break
    _never_but_a_sentence(bytes(raw))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=12)
    | st.sampled_from(["T01", "1e-999999", "2026-03-12", "9999-12-31T23:59:59-23:59", "12.5 mm", "NaN"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)  # fmt: skip


@settings(max_examples=250, deadline=None)
@given(st.data())
def test_any_value_at_any_place_gives_a_document_or_sentences(data: st.DataObject) -> None:
    top = json.loads(RADIO)
    holder, key = data.draw(st.sampled_from(PLACES))(top)
    holder[key] = data.draw(JSON)
    _never_but_a_sentence(json.dumps(top).encode())


def _places(value: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The ways to all values of a JSON document."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [found for k, v in inner for found in [(*way, k), *_places(v, (*way, k))]]


def _at(way: tuple[Any, ...]) -> Callable[[Any], tuple[Any, Any]]:
    def find(top: Any) -> tuple[Any, Any]:
        for key in way[:-1]:
            top = top[key]
        return top, way[-1]

    return find


PLACES = [_at(way) for way in _places(json.loads(RADIO))]


def _never_but_a_sentence(raw: bytes) -> None:
    try:
        read = read_document(raw)
    except InputError as error:
        told = str(error)
    else:
        assert read_document(write_document(read)) == read, "what is taken can be written and read again"
        return
    assert told.endswith((".", "more"))
    assert told.isprintable() or all(line.isprintable() for line in told.splitlines())
