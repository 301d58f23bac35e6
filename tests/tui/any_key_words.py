"""What a hand presses and types that knows the program a little, and sometimes not at all."""

from __future__ import annotations

import re
from collections.abc import Sequence
from random import Random
from typing import Any, NamedTuple

from textual.command import CommandPalette
from textual.widgets import Input, Static

from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.pick import Pick
from tests.hostile import HOSTILE

LINES = (
    "knob, pulled, 1 clip, bag 1",
    "back, unscrewed, 6 screw 3.5x16, bag 2, photo",
    "chassis bolts, uns, 4 bolt M5x35, 4 washer, 8 bush renew, bag 4, from below, after T01",
    "6/5 screw 3.5x16, one-way, guess",
    "lid, slid",
    "table radio",
    "bench grinder",
    "R1",
    "U2",
    "T01",
    "T11",
    "T01 T02",
    "left, right",
    "M5x35",
    "dead 0.2 V",
    "AB",
)
SIZES = ("12", "12.5 mm", "3/4", "23 5/16 in", "484 x 235.4", "980 x 260 x 11.8", "11.8; 11.9; 11.8", "1 mm", "4")
PRICES = ("12.50", "0", "6 / 8.40 / 12", "100", "38.00", "-3", "1,200.50")
DATES = ("2026-03-12", "12 Mar", "1.12.26", "tomorrow", "2026-03-12 20:41", "3 weeks ago", "Tue 18:00 2 h", "31.12.99")
AMOUNTS = ("1", "2", "30", "1:30", "1.5 h", "0.75", "30 / 45 / 1:15", "yes", "no", "9" * 30)
NONSENSE = ("qwrt", "???", "-", ",,,", "0x", "1e9", "½", "a" * 90, "==", "5 5 5 5", "mm", "x/y/z", "'", '"')

_KINDS: tuple[tuple[Sequence[str], int], ...] = (
    (LINES, 30),
    (SIZES, 14),
    (PRICES, 10),
    (DATES, 10),
    (AMOUNTS, 12),
    (NONSENSE, 8),
    (tuple(HOSTILE.values()), 8),
    (("",), 3),
)
"""What is typed, and how often it is of which kind."""

LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ?/!+-=.,$ "
ARROWS = ("up", "down", "left", "right", "pageup", "pagedown", "home", "end")
ONLY_READ = frozenset(("FindScreen", "HelpScreen", "PageScreen", "HistoryScreen", "HealthScreen"))
"""Places where little can be done: they are left again soon."""
SELDOM = frozenset(("leave", "find", "keys", "palette", "copy", "history", "back"))
"""What every place offers: it is tried less often than what is the place's own."""
LONGEST_BY_KEYS = 60
"""Characters of a word that is typed; a longer one is pasted."""

_NAMED = {"?": "question_mark", "/": "slash", "Enter": "enter", "Esc": "escape", "Space": "space", "Tab": "tab"}


class Pressed(NamedTuple):
    """Keys that are pressed without a pause between them, or a text that is pasted."""

    name: str
    keys: tuple[str, ...] = ()
    text: str = ""


def one_key(key: str) -> Pressed:
    """One key."""
    return Pressed(key, (key,))


def _typed(text: str) -> Pressed:
    """A word, by keys when a hand would type it."""
    by_keys = 0 < len(text) <= LONGEST_BY_KEYS and text.isprintable() and text.isascii()
    keys = tuple("space" if character == " " else character for character in text) if by_keys else ()
    return Pressed(f"“{text[:40]}”" + ("…" if len(text) > 40 else ""), keys, "" if by_keys else text)


def next_press(chance: Random, screen: Any) -> Pressed:
    """What is pressed now, by what stands on the screen."""
    if type(screen).__name__ in ONLY_READ and chance.random() < 0.35:
        return one_key("escape")
    if isinstance(screen, CommandPalette):
        return _in_the_palette(chance)
    if isinstance(screen.focused, Input):
        return _in_a_field(chance, screen)
    if isinstance(screen.focused, Pick | Letters):
        return _at_a_choice(chance)
    return _at_a_place(chance, screen)


def _in_the_palette(chance: Random) -> Pressed:
    way = chance.choices(("word", "down", "enter", "escape", "letter"), (30, 25, 30, 8, 7))[0]
    if way == "word":
        return _typed(chance.choice(("undo", "a", "e", "plan", "store", "photo", "order", "cost", "new", "theme", "x")))
    return one_key(chance.choice(LETTERS[:26]) if way == "letter" else way)


def _in_a_field(chance: Random, screen: Any) -> Pressed:
    ways = ("word", "enter", "escape", "letter", "tab", "arrow", "F", "backspace", "ctrl+u")
    way = chance.choices(ways, (40, 28, 7, 6, 4, 6, 5, 2, 2))[0]
    if way == "word":
        return _typed(_word(chance, screen))
    if way == "letter":
        return _typed(chance.choice(LETTERS))
    if way == "arrow":
        return one_key(chance.choice(ARROWS))
    if way == "F":
        return one_key(chance.choice(("f1", "f2", "f3", "f4", "f5", "f6")))
    return one_key(way)


def _at_a_choice(chance: Random) -> Pressed:
    way = chance.choices(("digit", "letter", "enter", "escape", "arrow"), (40, 25, 15, 10, 10))[0]
    if way == "digit":
        return one_key(chance.choice("1234567890"))
    if way == "letter":
        return _key_of(chance.choice(LETTERS))
    return one_key(chance.choice(ARROWS) if way == "arrow" else way)


def _at_a_place(chance: Random, screen: Any) -> Pressed:
    ways = ("named", "act", "digit", "enter", "arrow", "escape", "letter", "palette", "space", "two")
    way = chance.choices(ways, (24, 22, 8, 12, 17, 5, 6, 2, 2, 2))[0]
    if way == "named" and isinstance(screen, BookScreen):
        shown = [key for key, _, action in screen.keys_now() if action.rpartition(".")[2] not in SELDOM]
        return _key_of(chance.choice(shown or ["Enter"]))
    if way in ("act", "named") and isinstance(screen, BookScreen):
        return one_key(_of_an_act(chance, screen))
    if way == "digit":
        return one_key(chance.choice("123456789"))
    if way == "arrow":
        return one_key(chance.choice(ARROWS))
    if way == "letter":
        return _key_of(chance.choice(LETTERS))
    if way == "two":
        first, second = _key_of(chance.choice(LETTERS)), _key_of(chance.choice(LETTERS))
        return Pressed(f"{first.name}+{second.name} at once", (*first.keys, *second.keys))
    return one_key({"palette": "f2", "space": "space"}.get(way, way if way in ("enter", "escape") else "down"))


def _of_an_act(chance: Random, screen: BookScreen) -> str:
    """A key of what can be done here."""
    act = chance.choice(screen.acts())
    if act.id in SELDOM and chance.random() < 0.7:
        act = chance.choice(screen.acts())
    if act.id == "leave" and chance.random() < 0.8:
        return "down"
    return chance.choice(act.keys.split(","))


def _key_of(name: str) -> Pressed:
    """A key by what is printed on it."""
    if name in _NAMED:
        return one_key(_NAMED[name])
    key = {" ": "space", "!": "exclamation_mark", "+": "plus", "-": "minus", "=": "equals_sign"}.get(name, name)
    key = {".": "full_stop", ",": "comma", "$": "dollar_sign"}.get(key, key)
    named = name.lower() if name[:1] == "F" and name[1:].isdigit() else key
    if len(named) > 1 and " " in named:  # “Up Down”
        named = named.split()[-1].lower()
    return one_key({"Up": "up", "Down": "down", "Left": "left", "Right": "right", "Del": "delete"}.get(named, named))


def _word(chance: Random, screen: Any) -> str:
    """From the pool, or a word that the question itself names."""
    if chance.random() < 0.3:
        said = _words_of_the_question(screen)
        if said:
            return chance.choice(said)
    kinds = [kind for kind, _ in _KINDS]
    weights = [weight for _, weight in _KINDS]
    return chance.choice(chance.choices(kinds, weights)[0])


def _words_of_the_question(screen: Any) -> list[str]:
    texts = [str(shown.render()) for shown in screen.query(Static) if shown.id == "ask-help"]
    focused = screen.focused
    if isinstance(focused, Input):
        texts.append(focused.placeholder if isinstance(focused.placeholder, str) else focused.placeholder.plain)
    found: list[str] = []
    for text in texts:
        found += [part.strip(" .") for part in re.split(r"[,:;]| or ", text)]
    return [part for part in found if part and len(part) < 40]
