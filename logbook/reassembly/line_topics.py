"""What a line says, topic by topic: so that a tick can tell later which of it has changed.

Drawn from the line as a person reads it on screen and paper. Where it stands, its number and those of other lines,
why it stands there and what lies ready of its pieces are none of it: they change without anything else to do.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from hashlib import sha256
from typing import Any

from logbook.model.step import Hazard, HoldPoint, Setting
from logbook.reassembly.refit_records import RefitLine, SentenceGroup

_NUMBER_OF_A_LINE = re.compile(r"\bA\d+a?\b")
_DIGITS = 6
"""Of the mark of a topic; a change that happens to give the same one is one in sixteen million."""


def _sentences(*groups: SentenceGroup) -> Callable[[RefitLine], Any]:
    return lambda line: [_NUMBER_OF_A_LINE.sub("", said.text) for said in line.said if said.group in groups]


def _pieces(line: RefitLine) -> Any:
    """How many of each kind, old and new, wherever they lie."""
    counts: Counter[tuple[str, bool]] = Counter()
    for piece in line.fasteners:
        counts[piece.kind, piece.new] += piece.count
    each = sorted((piece.kind, piece.each, piece.why) for piece in line.fasteners)
    return sorted(counts.items()), each, _sentences(SentenceGroup.TAKE, SentenceGroup.EACH)(line)


def _places(line: RefitLine) -> Any:
    return sorted({(piece.kind, piece.bag) for piece in line.fasteners}), sorted(line.bags), line.box


def _connections(line: RefitLine) -> Any:
    return [made.sentence for made in line.connections], _sentences(SentenceGroup.CONNECT)(line)


def _danger(hazard: Hazard) -> Any:
    return hazard.signal, hazard.what, hazard.do, hazard.prove


def _hold(hold: HoldPoint) -> Any:
    return hold.code, hold.what, hold.reading_of, hold.limit, hold.competent


def _setting(setting: Setting) -> Any:
    return setting.member, setting.what, setting.value, setting.length, setting.how


_TOPICS: Mapping[str, tuple[str, Callable[[RefitLine], Any]]] = {
    "w": ("what goes back", lambda line: (line.kind, _NUMBER_OF_A_LINE.sub("", line.title))),
    "d": ("the dangers", lambda line: [_danger(hazard) for hazard in line.hazards]),
    "h": ("what is checked at the hold", lambda line: [(at.member, _hold(at.hold)) for at in line.holds_at]),
    "f": ("what goes on first", lambda line: line.first),
    "p": ("the pieces", _pieces),
    "b": ("the bag or box", _places),
    "m": ("what to mind", _sentences(SentenceGroup.MIND)),
    "l": ("how it lies and is seen", _sentences(SentenceGroup.BEFORE)),
    "x": ("what to do", _sentences(SentenceGroup.DO)),
    "c": ("what is connected", _connections),
    "s": ("what is set", lambda line: [_setting(setting) for setting in line.settings]),
    "v": ("what was measured", _sentences(SentenceGroup.COMPARE)),
    "t": ("how it is tightened", lambda line: line.tighten),
    "j": ("how it is joined", lambda line: line.remake),
    "k": ("what is tested", _sentences(SentenceGroup.CHECK)),
    "g": ("how it is lifted", lambda line: (line.helper, line.weight_kg, line.support)),
    "e": ("what holds for single members", lambda line: (line.members, line.mirrored, line.member_notes)),
    "n": ("what was noted", _sentences(SentenceGroup.NOTED)),
}
"""By the letter that stands in a mark: the topic in words, and what a line says of it."""


def topics_marked(line: RefitLine) -> str:
    """A short mark of each topic of a line, `w0f3a91d77c02…`: its letter, and what stands for its words."""
    return "".join(f"{letter}{_mark(says(line))}" for letter, (_, says) in _TOPICS.items())


def topics_changed(line: RefitLine, marked: str) -> tuple[str, ...]:
    """The topics of which a line says something else than when it was marked, in words: “the pieces”."""
    width = _DIGITS + 1
    before = {marked[at]: marked[at + 1 : at + width] for at in range(0, len(marked), width)}
    return tuple(words for letter, (words, says) in _TOPICS.items() if before.get(letter) != _mark(says(line)))


def _mark(said: Any) -> str:
    return sha256(repr(said).encode()).hexdigest()[:_DIGITS]
