"""JSON Patch on shared states and the patches between records, against RFC 6902 and the reference library."""

from __future__ import annotations

import copy
from decimal import Decimal
from typing import Annotated, Any

import jsonpatch
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, Field, PlainSerializer, field_serializer, model_serializer

from logbook.store.patch import DoesNotFit, apply_patch
from logbook.store.patches import patches

# RFC 6902, appendix A (https://www.rfc-editor.org/rfc/rfc6902#appendix-A): document, patch, result or None for an error
RFC_6902 = [
    ({"foo": "bar"}, [{"op": "add", "path": "/baz", "value": "qux"}], {"baz": "qux", "foo": "bar"}),
    ({"foo": ["bar", "baz"]}, [{"op": "add", "path": "/foo/1", "value": "qux"}], {"foo": ["bar", "qux", "baz"]}),
    ({"baz": "qux", "foo": "bar"}, [{"op": "remove", "path": "/baz"}], {"foo": "bar"}),
    ({"foo": ["bar", "qux", "baz"]}, [{"op": "remove", "path": "/foo/1"}], {"foo": ["bar", "baz"]}),
    ({"baz": "qux", "foo": "bar"}, [{"op": "replace", "path": "/baz", "value": "boo"}], {"baz": "boo", "foo": "bar"}),
    (
        {"foo": {"bar": "baz", "waldo": "fred"}, "qux": {"corge": "grault"}},
        [{"op": "move", "from": "/foo/waldo", "path": "/qux/thud"}],
        {"foo": {"bar": "baz"}, "qux": {"corge": "grault", "thud": "fred"}},
    ),
    (
        {"foo": ["all", "grass", "cows", "eat"]},
        [{"op": "move", "from": "/foo/1", "path": "/foo/3"}],
        {"foo": ["all", "cows", "eat", "grass"]},
    ),
    (
        {"baz": "qux", "foo": ["a", 2, "c"]},
        [{"op": "test", "path": "/baz", "value": "qux"}, {"op": "test", "path": "/foo/1", "value": 2}],
        {"baz": "qux", "foo": ["a", 2, "c"]},
    ),
    ({"baz": "qux"}, [{"op": "test", "path": "/baz", "value": "bar"}], None),
    ({"foo": "bar"}, [{"op": "add", "path": "/child", "value": {"a": {}}}], {"foo": "bar", "child": {"a": {}}}),
    ({"foo": "bar"}, [{"op": "add", "path": "/baz", "value": "qux", "xyz": 123}], {"foo": "bar", "baz": "qux"}),
    ({"foo": "bar"}, [{"op": "add", "path": "/baz/bat", "value": "qux"}], None),
    ({"/": 9, "~1": 10}, [{"op": "test", "path": "/~01", "value": 10}], {"/": 9, "~1": 10}),
    ({"/": 9, "~1": 10}, [{"op": "test", "path": "/~01", "value": "10"}], None),
    ({"foo": ["bar"]}, [{"op": "add", "path": "/foo/-", "value": ["abc", "def"]}], {"foo": ["bar", ["abc", "def"]]}),
]


@pytest.mark.parametrize(("state", "operations", "result"), RFC_6902)
def test_examples_of_rfc_6902(state: Any, operations: list, result: Any) -> None:
    before = copy.deepcopy(state)
    if result is None:
        with pytest.raises(DoesNotFit):
            apply_patch(state, operations)
    else:
        assert apply_patch(state, operations) == result
    assert state == before, "the state before is not changed"


SCALARS = st.none() | st.booleans() | st.integers(-3, 3) | st.sampled_from(["", "a", "~", "/", "1.0"]) | st.just(1.0)
KEYS = st.sampled_from(["a", "b", "~", "/", "0", "-"])
VALUES = st.recursive(SCALARS, lambda v: st.lists(v, max_size=4) | st.dictionaries(KEYS, v, max_size=3), max_leaves=8)
STATES = st.dictionaries(KEYS, VALUES, max_size=4)


def exact(value: Any) -> Any:
    """Tells 1, 1.0 and true apart, which Python takes for equal."""
    if isinstance(value, dict):
        return {key: exact(item) for key, item in value.items()}
    return [exact(item) for item in value] if isinstance(value, list) else (type(value).__name__, value)


@settings(max_examples=400, deadline=None)
@given(before=STATES, after=STATES)
def test_patches_between_states_lead_there_and_back(before: dict, after: dict) -> None:
    was = copy.deepcopy(before)
    do, undo = patches(before, after)
    assert exact(apply_patch(before, do)) == exact(after)
    assert exact(apply_patch(after, undo)) == exact(before)
    assert exact(jsonpatch.apply_patch(before, do)) == exact(after), "the reference library agrees"
    assert exact(before) == exact(was)


@settings(max_examples=300, deadline=None)
@given(before=STATES, data=st.data())
def test_applying_agrees_with_the_reference_library(before: dict, data: st.DataObject) -> None:
    """Also for patches that do not fit."""
    pointers = st.lists(KEYS | st.sampled_from(["1", "2", "-", "01", "1e0", "-1", "\u0661"]), max_size=3).map(
        lambda parts: "".join("/" + part.replace("~", "~0").replace("/", "~1") for part in parts)
    )
    kinds = st.sampled_from(["add", "remove", "replace", "move", "copy", "test"])
    operation = st.builds(
        lambda op, path, source, value: {"op": op, "path": path, "from": source, "value": value},
        *(kinds, pointers, pointers, VALUES),
    )
    operations = data.draw(st.lists(operation, max_size=4))
    was = copy.deepcopy(before)
    try:
        expected = jsonpatch.apply_patch(before, copy.deepcopy(operations))
    except (jsonpatch.JsonPatchException, jsonpatch.JsonPointerException, TypeError, LookupError):
        with pytest.raises(DoesNotFit):
            apply_patch(before, operations)
    else:
        assert exact(apply_patch(before, operations)) == exact(expected)
    assert exact(before) == exact(was)


@pytest.mark.parametrize("path", ["", "/a", "/c", "/b/0", "/a/x"])
@pytest.mark.parametrize("op", ["move", "copy"])
def test_the_state_before_a_move_is_not_changed(op: str, path: str) -> None:
    state = {"a": {"x": [1, 2]}, "b": [3]}
    was = copy.deepcopy(state)
    operation = {"op": op, "from": "/a/x", "path": path}
    after = apply_patch(state, [operation])
    assert after == jsonpatch.apply_patch(was, [operation])
    assert state == was


def test_what_is_not_touched_is_shared() -> None:
    state = {"steps": [{"id": "a", "f": [1]}, {"id": "b", "f": [2]}], "bags": [{"id": 1}]}
    after = apply_patch(state, [{"op": "replace", "path": "/steps/1/id", "value": "c"}])
    assert after["bags"] is state["bags"]
    assert after["steps"][0] is state["steps"][0]
    assert after["steps"][1]["f"] is state["steps"][1]["f"]
    assert state["steps"][1]["id"] == "b"


class Frozen(BaseModel):
    model_config = ConfigDict(frozen=True)


Money = Annotated[Decimal, PlainSerializer(lambda d: format(d, "f"), return_type=str, when_used="json")]


class Span(Frozen):
    """Written as one text, so its parts have no path."""

    ticks: int
    text: str

    @model_serializer
    def as_text(self) -> str:
        return f"{self.text} ({self.ticks})"


class Fastener(Frozen):
    kind: str
    holes: int | bool | float = 0
    each: Money = Decimal(0)
    width: Span | None = None


class Step(Frozen):
    code: str = Field(alias="id")
    fasteners: tuple[Fastener, ...] = ()
    marks: frozenset[str] = frozenset()
    prices: tuple[Money, ...] = ()

    @field_serializer("marks")
    def in_order(self, marks: frozenset[str]) -> list[str]:
        return sorted(marks)


class Thing(Frozen):
    name: str
    steps: tuple[Step, ...] = ()
    notes: dict[str, str] = {}
    first: Step | Fastener | None = None


TEXT = st.sampled_from(["", "a", "b", "leg [/left] ~ /"])
MONEY = st.sampled_from(["0", "1.5", "1.50", "1E+2", "100"]).map(Decimal)
SPANS = st.builds(Span, ticks=st.integers(0, 2), text=TEXT)
FASTENERS = st.builds(
    Fastener, kind=TEXT, holes=st.sampled_from([0, 1, True, 1.0]), each=MONEY, width=st.none() | SPANS
)
STEPS = st.builds(
    Step,
    id=TEXT,
    fasteners=st.lists(FASTENERS, max_size=3).map(tuple),
    marks=st.frozensets(TEXT),
    prices=st.lists(MONEY, max_size=2).map(tuple),
)
THINGS = st.builds(
    Thing,
    name=TEXT,
    steps=st.lists(STEPS, max_size=4).map(tuple),
    notes=st.dictionaries(TEXT, TEXT, max_size=2),
    first=st.none() | STEPS | FASTENERS,
)


def dumped(thing: BaseModel) -> dict[str, Any]:
    return thing.model_dump(mode="json", by_alias=True)


@settings(max_examples=300, deadline=None)
@given(before=THINGS, after=THINGS, data=st.data())
def test_patches_between_records_fit_what_they_are_written_as(before: Thing, after: Thing, data: st.DataObject) -> None:
    keep = data.draw(st.integers(0, 4))
    after = after.model_copy(update={"steps": before.steps[:keep] + after.steps})  # shared as an edit shares
    do, undo = patches(before, after)
    assert exact(apply_patch(dumped(before), do)) == exact(dumped(after))
    assert exact(apply_patch(dumped(after), undo)) == exact(dumped(before))


def test_an_edit_names_only_what_changed() -> None:
    steps = tuple(Step(id=f"T{n}", fasteners=(Fastener(kind="screw", holes=n),)) for n in range(5))
    before = Thing(name="radio", steps=steps)
    one = steps[3].model_copy(update={"fasteners": (Fastener(kind="screw", holes=9),)})
    after = before.model_copy(update={"steps": (*steps[:3], one, steps[4])})
    assert patches(before, after)[0] == [{"op": "replace", "path": "/steps/3/fasteners/0/holes", "value": 9}]
    fewer = before.model_copy(update={"steps": (steps[0], *steps[2:])})
    assert patches(before, fewer)[0] == [{"op": "remove", "path": "/steps/1"}]
    assert patches(before, before.model_copy()) == ([], [])


def test_the_price_as_typed_is_kept() -> None:
    """1.5 and 1.50 are equal numbers but not the same text."""
    a, b = Fastener(kind="x", each=Decimal("1.5")), Fastener(kind="x", each=Decimal("1.50"))
    assert patches(a, b)[0] == [{"op": "replace", "path": "/each", "value": "1.50"}]
    assert patches(Thing(name="", first=a), Thing(name="", first=b))[0][0]["value"] == "1.50"
