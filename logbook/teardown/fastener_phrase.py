"""The phrase that says fasteners: `4 bolt M5x35`, `6/5 screw 3.5x16`, `8 bush renew`, `4 washer bag 5`.

A phrase that starts with a number is fasteners, unless a unit of measure follows the number (`12 mm`).
Two numbers are places and what was there: `6/5` and `5 of 6` are six holes and five found. `renew`,
`scrap` or `reuse` at the end says what becomes of them, `bag 5` that they have a bag of their own, and
`stays empty` that an empty place is to stay so. `and` or `+` before a number starts the next kind.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from logbook.model.step import Fastener
from logbook.model.words import Then
from logbook.teardown.kinds import UnitWords, is_piece, singular
from logbook.teardown.phrases import Word, joined
from logbook.teardown.vocabulary import FASTENER_WORDS, MEASURE_WORDS, THEN_WORDS

MOST = 1_000_000
"""More than this is no count (the record's limit)."""

_COUNT = re.compile(r"([0-9]{1,9})(?:/([0-9]{1,9}))?[x×]?", re.ASCII)
_ATTACHED = re.compile(r"([0-9]{1,9})(?:/([0-9]{1,9}))?[x×]?((?:[^\W\d_]{3}|[Mm][0-9]).*)", re.DOTALL)
_AT_END = re.compile(r"[x×]([0-9]{1,9})|([0-9]{1,9})[x×]", re.ASCII)
_WHOLE_SIZE = re.compile(r"[0-9][x×][0-9]")
_TIMES = frozenset({"x", "×", "off", "pcs", "pc", "pieces"})
_ARROWS = frozenset({"->", "→", "-->", "=>", ":"})
_AND = frozenset({"and", "+", "&"})


class Fasteners(NamedTuple):
    """What a phrase says about fasteners."""

    found: tuple[Fastener, ...]
    problem: str | None = None


class _Counted(NamedTuple):
    holes: int
    found: int
    kind: tuple[Word, ...]


def starts_like_fasteners(words: tuple[Word, ...]) -> bool:
    """Whether a phrase can only be read by counting: it starts with a digit, or says `scrap 16 …`."""
    first = words[0].text if not words[0].quoted else ""
    if words[0].folded in THEN_WORDS and len(words) > 1:
        first = words[1].text if not words[1].quoted else ""
    return first[:1] in "0123456789" and first != ""


def read_fasteners(words: tuple[Word, ...], unit: UnitWords) -> Fasteners | None:
    """The fasteners that a phrase says, or None when it says none."""
    then = None
    if words[0].folded in THEN_WORDS and len(words) > 1:
        then, words = THEN_WORDS[words[0].folded], words[1:]
    found: list[Fastener] = []
    problems: list[str] = []
    for part in _parts(words):
        counted = _counted(part)
        one = None if counted is None else _fastener(counted, then, unit)
        if one is None:
            return None
        found.append(one)
        problems += _doubts(one)
    return Fasteners(tuple(found), " ".join(problems) or None)


def read_count_at_end(words: tuple[Word, ...], unit: UnitWords) -> Fasteners | None:
    """Fasteners said as `bolt M5x35 x4`: only for a word of the trade or a kind the unit has."""
    last = words[-1]
    times = None if last.quoted else _AT_END.fullmatch(last.text)
    kind = words[:-1]
    if times is None or not kind or any(w.quoted for w in kind):
        return None
    half_a_size = kind[-1].text[-1:].isdigit() and not _WHOLE_SIZE.search(kind[-1].text)
    known = unit.known_kind(joined(kind)) is not None
    if not known and (half_a_size or not any(singular(w.folded) in FASTENER_WORDS for w in kind)):
        return None
    count = int(times[1] or times[2])
    one = None if count > MOST else _fastener(_Counted(count, count, kind), None, unit)
    return None if one is None else Fasteners((one,))


def _parts(words: tuple[Word, ...]) -> list[tuple[Word, ...]]:
    """The phrase cut at `and` and `+` where a number follows."""
    parts, start = [], 0
    for i, word in enumerate(words[:-2]):
        if i > start and word.folded in _AND and not words[i + 1].quoted and _COUNT.fullmatch(words[i + 1].text):
            parts.append(words[start:i])
            start = i + 1
    return [*parts, words[start:]]


def _counted(words: tuple[Word, ...]) -> _Counted | None:
    """The count at the start and the words after it, or None when that is no count."""
    first = words[0]
    if first.quoted:
        return None
    texts = ["" if w.quoted else w.folded for w in words[:3]]
    if len(words) > 3 and texts[1] in ("of", "/") and _COUNT.fullmatch(texts[0]) and _COUNT.fullmatch(texts[2]):
        numbers = (texts[2], texts[0]) if texts[1] == "of" else (texts[0], texts[2])
        plain = all(n.isascii() and n.isdigit() for n in numbers)
        return _checked(int(numbers[0]), int(numbers[1]), words[3:]) if plain else None
    if match := _COUNT.fullmatch(first.text):
        rest = words[1:]
        if len(rest) > 1 and rest[0].folded in _TIMES:
            rest = rest[1:]
        return _checked(int(match[1]), int(match[2] or match[1]), rest)
    if match := _ATTACHED.fullmatch(first.text):
        rest_text = match[3]
        word = Word(rest_text, rest_text.casefold(), first.end - len(rest_text), first.end, quoted=False)
        return _checked(int(match[1]), int(match[2] or match[1]), (word, *words[1:]))
    return None


def _checked(holes: int, found: int, kind: tuple[Word, ...]) -> _Counted | None:
    measure = bool(kind) and kind[0].folded in MEASURE_WORDS
    return None if not kind or measure or max(holes, found) > MOST else _Counted(holes, found, kind)


def _fastener(counted: _Counted, then: Then | None, unit: UnitWords) -> Fastener | None:
    kind, bag, stays_empty, new_here = counted.kind, None, False, 0
    while len(kind) > 1:
        last, before = kind[-1], kind[-2]
        if len(kind) > 2 and bag is None and before.folded == "bag" and last.text:
            bag, kind = last.text, kind[:-2]
        elif then is None and last.folded in THEN_WORDS:
            then, kind = THEN_WORDS[last.folded], kind[:-1]
            if len(kind) > 1 and kind[-1].folded in _ARROWS:
                kind = kind[:-1]
        elif len(kind) > 2 and not stays_empty and (before.folded, last.folded) == ("stays", "empty"):
            stays_empty, kind = True, kind[:-2]
        elif len(kind) > 2 and last.folded == "here" and not before.quoted and _COUNT.fullmatch(before.text):
            new_here, kind = int(before.text.rstrip("x×").partition("/")[0]), kind[:-2]
        else:
            break
    kind, renewed, is_lost = _renewed_as(kind)
    if renewed:
        then = Then.LOST if is_lost or then is Then.LOST else Then.RENEW
    text = joined(kind)
    if not text:
        return None
    verbatim = len(kind) == 1 and kind[0].quoted
    kind_said = text if verbatim else unit.known_kind(text) or text
    return Fastener(
        kind=kind_said,
        holes=counted.holes,
        found=counted.found,
        then=then or Then.REUSE,
        bag=bag or "",
        stays_empty=stays_empty,
        renew_as=whole_kind(renewed, kind_said),
        new_here=new_here,
        piece=is_piece(kind_said),
    )


def _renewed_as(kind: tuple[Word, ...]) -> tuple[tuple[Word, ...], str, bool]:
    """The kind, what it is renewed as, and whether it was lost: `screw 3x16 lost renew as 3.5x20`.

    Nothing when it is not said what it is renewed as.
    """
    for i in range(1, len(kind) - 2):
        if kind[i].folded in ("renew", "renewed", "lost") and kind[i + 1].folded == "as":
            before = kind[:i]
            is_lost = kind[i].folded == "lost"
            if len(before) > 1 and before[-1].folded == "lost":
                before, is_lost = before[:-1], True
            return before, joined(kind[i + 2 :]), is_lost
    return kind, "", False


def whole_kind(size: str, old: str) -> str:
    """A kind said by its size alone, with the words of the old kind: `3.5x20` for a screw 3x16 is `screw 3.5x20`."""
    if not size[:1].isdigit():
        return size
    words = [word for word in old.split() if not any(c.isdigit() for c in word)]
    return " ".join([*words, size])


def _doubts(fastener: Fastener) -> list[str]:
    """What may be meant otherwise, in sentences."""
    doubts = []
    if fastener.found > fastener.holes:
        doubts.append(
            f"More found ({fastener.found}) than places ({fastener.holes}): a size stands after the kind, "
            f"like “1 nut {fastener.holes}/{fastener.found}”."
        )
    if re.search(r"[0-9],[0-9]+ [^\W\d_]{2}", fastener.kind):
        doubts.append("The comma between digits is read as a decimal comma; a blank after it parts two phrases.")
    return doubts
