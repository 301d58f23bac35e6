"""Phrases that say a value: an adjustment as found, and what was measured. At one member of a set with its name before.

setting pointer is 12 mm from the left end
left measurement run-out is 0.04
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from logbook.model.step import Measurement, Setting, Step
from logbook.teardown.flag_phrases import said_after
from logbook.teardown.meant import Meant, PhraseContext, Words
from logbook.teardown.phrases import UNPRINTED, quote

V = TypeVar("V", bound=Setting | Measurement)


def setting_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`setting pointer is 12 mm from the left end`."""
    parts = said_after(words[1:], ("is",))
    if not parts[""] or not parts["is"]:
        return None
    made = Setting(what=parts[""], value=parts["is"])
    return Meant("settings", f"set as found: {made.what}, {made.value}", settings=(made,))


def measurement_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`measurement run-out is 0.04`; `measured` does as well where a value follows."""
    parts = said_after(words[1:], ("is",))
    if not parts[""] or not parts["is"]:
        return None
    made = Measurement(what=parts[""], text=parts["is"])
    return Meant("measurements", f"measured: {made.what}, {made.text}", measurements=(made,))


def _setting_words(of: Setting) -> str:
    """As a line says it; empty for one that says more than a line can, which stays as it is written."""
    bare = Setting(what=of.what, value=of.value, member=of.member)
    return f"setting {_apart(of.what)} is {_apart(of.value)}" if of == bare and of.value else ""


def _measurement_words(of: Measurement) -> str:
    """The same for what was measured."""
    bare = Measurement(what=of.what, text=of.text, member=of.member)
    return f"measurement {_apart(of.what)} is {_apart(of.text)}" if of == bare and of.text else ""


def values_said(step: Step) -> Iterator[tuple[str, str]]:
    """What a line says of the settings and measurements of a step: the member each belongs to, and its phrase."""
    said = [(s.member, _setting_words(s)) for s in step.settings]
    said += [(m.member, _measurement_words(m)) for m in step.measurements]
    return ((member, words) for member, words in said if words)


def settings_said(said: Sequence[Setting], before: Iterable[Setting]) -> tuple[Setting, ...]:
    """The settings of the step: those said, each in the place of the same one before, and those that no line names."""
    return _in_their_places(said, before, _setting_words)


def measurements_said(said: Sequence[Measurement], before: Iterable[Measurement]) -> tuple[Measurement, ...]:
    """The same for what was measured."""
    return _in_their_places(said, before, _measurement_words)


def _in_their_places(said: Sequence[V], before: Iterable[V], words: Callable[[V], str]) -> tuple[V, ...]:
    """Values said, each in the place of the same one before; those said for the first time come last.

    One is taken out in its form, never by leaving it out of a line; what says more than a line can stays as it is.
    """
    fresh: dict[tuple[str, str], V] = {(value.what, value.member): value for value in said}
    kept: list[V] = []
    for value in before:
        kept.append(fresh.pop((value.what, value.member), value) if words(value) else value)
    there = {(value.what, value.member) for value in kept}
    return (*kept, *(value for key, value in fresh.items() if key not in there))


def _apart(text: str) -> str:
    plain = text == " ".join(text.split()) and not re.search(r'[",;\\\n]|\bis\b', text, re.IGNORECASE)
    return text if plain and not UNPRINTED.search(text) else quote(text)
