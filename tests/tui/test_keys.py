"""The table of actions over all places: no key twice, every one known, and a person's own keys are checked."""

from __future__ import annotations

from pathlib import Path

import pytest

from logbook.tui.actions import Act, key_name, keymap_problems
from logbook.tui.places import places, with_usable_keys
from logbook.tui.settings import Settings
from logbook.tui.widgets.frame_lines import keys_that_fit

PLACES = places()
EVERYWHERE = {"z": "undo", "Z": "redo", "slash": "find", "q": "leave", "y": "copy", "f2": "palette", "H": "history"}
"""What these keys do wherever nobody types."""
TYPING = ("FormScreen", "NewScreen", "TypingScreen")
"""Places where letters are typed."""


@pytest.mark.parametrize("place", PLACES)
def test_no_key_does_two_things_at_a_place_and_every_key_is_one(place: str) -> None:
    assert keymap_problems(PLACES[place], {}) == []


@pytest.mark.parametrize("place", PLACES)
def test_the_common_keys_mean_the_same_everywhere(place: str) -> None:
    bound = {key: act.id for act in PLACES[place] for key in act.keys.split(",")}
    if place in TYPING:
        letters = [key for key in bound if len(key) == 1]
        assert letters == [], "a letter there is never a command"
        assert (bound["slash"], bound["f2"]) == ("find", "palette")
    else:
        assert {key: bound.get(key) for key in EVERYWHERE} == EVERYWHERE


@pytest.mark.parametrize("place", PLACES)
def test_every_action_has_a_label_and_a_sentence(place: str) -> None:
    for act in PLACES[place]:
        assert act.label, act
        assert act.help.strip("“")[:1].isupper(), act
        assert len(act.label) <= 30, act


MATTER_MOST = {
    "BenchScreen": ("Enter open", "n new unit", "b bench mode", "s store"),
    "TeardownScreen": ("b bench mode", "a add"),
    "BenchModeScreen": ("Enter keep", "Tab typing", "h how", "f flag"),
    "WorkScreen": ("Enter open", "Space start, stop", "f finished"),
    "ReassemblyScreen": ("Space tick", "r reading"),
    "CaseScreen": ("Enter all fields", "a add"),
    "ToBuyScreen": ("h here", "O ordered", "$ price"),
    "LinkScreen": ("Space take or not", "K link them"),
}
NARROW_ROOM = 60 - 2


@pytest.mark.parametrize("place", MATTER_MOST)
def test_what_matters_most_stands_in_a_narrow_key_line_and_the_rest_is_not_left_out_silently(place: str) -> None:
    keys = [(act.key, act.label, "") for act in PLACES[place] if act.foot and act.id != "keys"]
    shown = [f"{key} {label}" for key, label, _ in keys_that_fit([*keys, ("?", "keys", "")], NARROW_ROOM)]
    assert set(MATTER_MOST[place]) <= set(shown)
    assert shown[-1] == "? more"
    assert len("   ".join(shown)) <= NARROW_ROOM


def test_a_key_line_that_has_room_for_all_says_keys() -> None:
    keys = [("Enter", "open", ""), ("?", "keys", "")]
    assert keys_that_fit(keys, NARROW_ROOM) == keys


def test_a_key_given_to_two_things_is_named() -> None:
    acts = (Act("one", "a", "one", "one", "One"), Act("two", "b", "two", "two", "Two"))
    assert keymap_problems(acts, {"two": "a"}) == ["The key a is used for two things: one, two."]
    assert keymap_problems(acts, {"two": "nonsense_key"}) == ["“nonsense_key” is not a key."]
    assert keymap_problems(acts, {"two": "slash,f7"}) == []


@pytest.mark.parametrize(
    ("toml", "keys", "problem"),
    [
        ('[keys]\n"bench.new" = "a"\n', {"bench.new": "a"}, ""),
        ('[keys]\n"bench.new" = "z"\n', {}, "used for two things"),
        ('[keys]\n"bench.newt" = "a"\n', {}, "No action is called “bench.newt”"),
        ('theme = "loud"\n', {}, "theme must be one of"),
    ],
)
def test_a_settings_file_is_taken_or_its_mistake_is_a_sentence(
    tmp_path: Path, toml: str, keys: dict[str, str], problem: str
) -> None:
    file = tmp_path / "settings.toml"
    file.write_text(toml, encoding="utf-8")
    loaded = with_usable_keys(Settings.load(file))
    assert loaded.keys == keys
    assert problem in " ".join(loaded.problems)
    assert bool(problem) == bool(loaded.problems)


@pytest.mark.parametrize(
    ("key", "name"), [("question_mark", "?"), ("slash", "/"), ("f1", "F1"), ("a", "a"), ("space", "Space"), ("Z", "Z")]
)
def test_keys_are_called_as_printed_on_the_keyboard(key: str, name: str) -> None:
    assert key_name(key) == name
