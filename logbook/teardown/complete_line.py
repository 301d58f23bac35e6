"""Words of the unit and the trade, offered while a line is typed."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.model.unit import Unit
from logbook.model.words import Action
from logbook.teardown.kinds import fasteners_of, next_bag, next_box
from logbook.teardown.phrases import joined, sound, split
from logbook.teardown.proving_phrases import dangers_named
from logbook.teardown.vocabulary import FASTENER_WORDS

_USUAL = ("screw", "bolt", "nut", "washer")
_TRADE = (*_USUAL, *sorted(FASTENER_WORDS.difference(_USUAL)))
"""Words of fasteners, offered after a number once the unit's own kinds do not fit; the commonest first."""
_FLAGS = (
    "photo",
    "hazard",
    "one-way",
    "guess",
    "think so",
    "left-hand",
    "wrong",
    "planned",
    "dead ",
    "proved ",
    "note ",
)


def suggestions(unit: Unit) -> tuple[str, ...]:
    """Phrases that can be typed next, in the unit's own words, each once.

    Kinds of fastener (the latest first), bags, boxes, views, sets, sub-assemblies, steps to come after; then
    action words and flags.
    """
    return tuple(dict.fromkeys(_phrases(unit)))


def _phrases(unit: Unit) -> Iterator[str]:
    latest = tuple(reversed(unit.steps))
    yield from (f.kind for s in latest for f in fasteners_of(s))
    yield f"bag {next_bag(unit)}"
    yield from (f"bag {s.bag}" for s in latest if s.bag)
    yield f"box {next_box(unit)}"
    yield from (f"box {s.box}" for s in latest if s.box)
    yield from (f"from {s.viewed_from}" for s in latest if s.viewed_from)
    yield from (f"each {s.code}" for s in unit.sets)
    yield from (f"in {s.code}" for s in unit.sub_assemblies)
    yield from (f"after {s.code}" for s in latest)
    yield from (str(a) for a in Action)
    yield from (f"proved {danger} " for danger in dangers_named(unit))
    yield from _FLAGS


def completions(text: str, unit: Unit, limit: int = 5) -> tuple[str, ...]:
    """Whole lines that go on from what is typed, best first: the last phrase completed from `suggestions`.

    In a phrase that starts with a number, the words after it are completed with the unit's kinds of
    fastener (`4 bo` gives `4 bolt M5x35`), or where none fits with words of the trade. What is typed already
    is never changed, only gone on with.
    """
    text = sound(text)
    pieces = split(text)
    last = pieces[-1]
    if len(pieces) < 2 or last.note is not None or last.end != len(text) or not last.words:
        return ()
    if any(w.quoted for w in last.words):
        return ()
    typed, offered = joined(last.words), list(suggestions(unit))
    if typed[:1].isdigit():
        typed = joined(last.words[1:])
        kinds = dict.fromkeys(f.kind for s in reversed(unit.steps) for f in fasteners_of(s))
        own = [k for k in kinds if k.casefold().startswith(typed.casefold())]
        offered = own or list(_TRADE)
    if not typed:
        return ()
    start = typed.casefold()
    at_start = [o for o in offered if o.casefold().startswith(start) and o.casefold() != start]
    lines = [text + o[len(typed) :] for o in at_start if len(o.casefold()) == len(o)]
    return tuple(dict.fromkeys(lines))[:limit]
