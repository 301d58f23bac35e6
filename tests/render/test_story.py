"""A change in words, from the JSON Patch that the store keeps of it (operations as in RFC 6902, section 4)."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.paths import put_at
from logbook.model.words import Stage
from logbook.render.change_words import change_words
from logbook.session import as_json
from logbook.store.patches import patches
from tests.builders import component, screws, step, unit

RADIO = unit(step("T01", "back panel", fasteners=[screws(6)], bag="1"), step("T02", "knobs"), components=[component()])


def told(path: tuple[str | int, ...], value: Any, before: Any = RADIO) -> tuple[str, ...]:
    """The change of one field in words."""
    after = put_at(before, path, value)
    do, undo = patches(before, after)
    return change_words(do, undo, as_json(after), as_json(before))


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        (("stage",), Stage.TEARDOWN, "stage: arrival → teardown"),
        (("next_action",), "lay out", "next action: nothing → lay out"),
        (("steps", "T01", "bag"), "2", "steps / T01 / bag: 1 → 2"),
        (("steps", "T02", "left_hand"), True, "steps / T02 / left hand: no → yes"),
        (("steps", "T02", "photo_taken"), True, "steps / T02 / photo taken: no → yes"),
        (("components", "SP", "where_kept"), "box [top]", "components / SP / where kept: nothing → box [top]"),
    ],
)
def test_one_field_is_told_by_its_name_with_old_and_new(path: tuple[str, ...], value: Any, words: str) -> None:
    assert told(path, value) == (words,)


def test_what_is_added_and_taken_out_is_told_by_its_code() -> None:
    added = told(("steps",), (*RADIO.steps, step("T03", "speaker", bag="4")))
    assert added == ("steps / T03: code T03, what speaker, action unscrewed, bag 4, certainty sure, order proven",)
    (gone,) = told(("steps",), RADIO.steps[:1])
    assert gone.startswith("steps / T02: taken out, it was code T02, what knobs")


def test_the_clock_of_the_record_is_not_told() -> None:
    do = [{"op": "replace", "path": "/touched", "value": "2026-03-20T18:00:00Z"}]
    assert change_words(do, do, {}) == ()


def test_the_beginning_is_told_in_short() -> None:
    do = [{"op": "replace", "path": "", "value": as_json(RADIO)}]
    (words,) = change_words(do, [], as_json(RADIO))
    assert words.startswith("The record began: code R1, name table radio, stage arrival")
    assert "2 steps" in words
    assert "1 components" in words


def test_a_change_of_very_many_places_is_cut_and_counted() -> None:
    do = [{"op": "add", "path": f"/notes{i}", "value": i} for i in range(300)]
    words = change_words(do, [], {})
    assert len(words) == 201
    assert words[-1] == "and 100 more"


def test_escaped_names_and_places_at_the_end_of_a_list_are_read() -> None:
    """RFC 6901: `~1` is a slash and `~0` a tilde; RFC 6902: `-` is the place after the last."""
    do = [{"op": "add", "path": "/a~1b~0c/-", "value": "x"}]
    assert change_words(do, [], {"a/b~c": ["x"]}) == ("a/b~c / 1: x",)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-5, 5) | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3),
    max_leaves=8,
)
PATH = st.lists(st.sampled_from(["steps", "0", "9", "-", "a~1b", "mm", ""]), max_size=4).map(
    lambda p: "".join("/" + x for x in p)
)
OPS = st.lists(
    st.fixed_dictionaries({"op": st.sampled_from(["add", "remove", "replace", "move"]), "path": PATH, "value": JSON}),
    max_size=4,
)


@given(OPS, OPS, JSON, JSON)
@settings(max_examples=150, deadline=None)
def test_any_patch_is_told_even_when_the_record_does_not_fit_it(do: Any, undo: Any, after: Any, before: Any) -> None:
    told_all = change_words(do, undo, after, before)
    assert len(told_all) == sum(op["path"] != "/touched" for op in do)
    assert all(isinstance(words, str) and words for words in told_all)


def test_what_a_line_said_when_it_was_ticked_is_the_programs_own_mark() -> None:
    tick = {"line": "T05", "done": True, "at": "2026-12-02T09:15:31.683432Z", "initials": "AB", "step_seen": "3:aa59"}
    do = [{"op": "add", "path": "/refit/lines/0", "value": tick}]
    seen_again = [{"op": "replace", "path": "/refit/lines/0/step_seen", "value": "3:bb60"}]
    after = {"refit": {"lines": [tick]}}
    now = datetime(2026, 12, 2, 10, 0, tzinfo=UTC)
    assert change_words(do, [], after, now=now) == (
        "refit / lines / T05: line T05, done yes, at 2 Dec 2026 09:15, initials AB",
    )
    assert change_words(seen_again, [], after, after, now) == ()
