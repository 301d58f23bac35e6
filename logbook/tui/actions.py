"""The one table of actions: key bindings, key line, help screen and palette are all made from it.

A key means the same everywhere. Keys are single letters, digits, arrows, Enter, Space and Escape, because
terminals keep other chords for themselves.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from textual.binding import Binding
from textual.keys import KEY_NAME_REPLACEMENTS, Keys


class Act(NamedTuple):
    """One thing a person can do at a place."""

    id: str
    """Name for the settings file: `bench.new`."""
    keys: str
    """Keys, separated by commas; the first one is shown."""
    action: str
    """Name of the screen's `action_…` method."""
    label: str
    """One or two words for the key line."""
    help: str
    """What it does, as a short sentence for help screen and palette."""
    foot: bool = False
    """Whether it stands in the key line."""

    def binding(self) -> Binding:
        """The binding that runs it."""
        return Binding(self.keys, self.action, self.label, id=self.id, show=False)

    @property
    def key(self) -> str:
        """The first key as people call it."""
        return key_name(self.keys.split(",")[0])


_NAMES = {
    "question_mark": "?", "slash": "/", "enter": "Enter", "escape": "Esc", "space": "Space", "up": "Up",
    "down": "Down", "left": "Left", "right": "Right", "full_stop": ".", "comma": ",", "plus": "+", "minus": "-",
    "pageup": "PgUp", "pagedown": "PgDn", "home": "Home", "end": "End", "tab": "Tab", "delete": "Del",
    "equals_sign": "=", "exclamation_mark": "!", "dollar_sign": "$",
}  # fmt: skip


def key_name(key: str) -> str:
    """A key as it is printed on the keyboard: `question_mark` is `?`, `f1` is `F1`."""
    if key in _NAMES:
        return _NAMES[key]
    if len(key) > 1 and key[0] == "f" and key[1:].isdigit():
        return key.upper()
    return key


EVERYWHERE = (
    Act("back", "escape", "back", "back", "Go one place back"),
    Act("undo", "z", "undo", "undo", "Take back the last change and say what it was", True),
    Act("redo", "Z", "redo", "redo", "Do again what was just taken back"),
    Act("find", "slash", "find", "find", "Find anything in the book, or jump to a unit by its code", True),
    Act("keys", "question_mark", "keys", "keys", "Show every key that works here", True),
    Act("guide", "f1", "guide", "help", "The guide: the page about what is done here"),
    Act("palette", "f2", "palette", "palette", "Choose an action by typing its name"),
    Act("copy", "y", "copy", "copy", "Copy what the cursor is on, as text"),
    Act("health", "exclamation_mark", "health", "is it kept", "What the disk refused, damage, what joining left"),
    Act("history", "H", "history", "history", "The story of this record: what was changed, when, by whom"),
    Act("leave", "q", "leave", "leave", "Leave the program; everything is kept already"),
)
"""What works on every screen."""

SECTIONS = (
    Act("section.arrival", "1", "section('arrival')", "arrival", "Arrival: as found, hazards, waiting, stage"),
    Act("section.teardown", "2", "section('teardown')", "teardown", "Teardown record at the desk"),
    Act("section.components", "3", "section('components')", "components", "Components, parts to renew or make"),
    Act("section.costs", "4", "section('costs')", "costs", "Bill of materials, costs and hours"),
    Act("section.reassembly", "5", "section('reassembly')", "reassembly", "The list to put it back together"),
    Act("section.case", "6", "section('case')", "case", "The case to be built: held dimensions, panels, cut list"),
    Act("section.work", "7", "section('work')", "work", "Operations, what is being worked on, waits and windows"),
    Act("section.photos", "8", "section('photos')", "photos", "Photos at the steps they show"),
)
"""The sections of a unit, one key apart."""


def keymap_problems(acts: Sequence[Act], keymap: Mapping[str, str]) -> list[str]:
    """What is wrong with a person's own keys, in sentences; empty when nothing is.

    Args:
        acts: every action that a place offers.
        keymap: action id to keys, as in the settings file.
    """

    def known(key: str) -> bool:
        base = key.rpartition("+")[2] or key
        if len(base) == 1 or base in {k.value for k in Keys} or base in KEY_NAME_REPLACEMENTS.values():
            return True
        try:
            unicodedata.lookup(base.replace("_", " "))
        except KeyError:
            return False
        return True

    bound = {a.id: [k.strip() for k in keymap.get(a.id, a.keys).split(",")] for a in acts}
    every = [k for keys in bound.values() for k in keys]
    return [f"“{k}” is not a key." for k in dict.fromkeys(every) if not known(k)] + [
        f"The key {key_name(k)} is used for two things: {', '.join(i for i, keys in bound.items() if k in keys)}."
        for k in dict.fromkeys(every)
        if every.count(k) > 1
    ]
