"""Spoken lines as the bench line is typed: a layer of words before its reader, which stays the only one.

    Back panel. Unscrewed. Six holes, five screws three point five by sixteen, bag one.
    back panel, unscrewed, 5 of 6 screws 3.5x16, bag 1

A phone's dictation writes whole sentences, numbers as words or as digits, and often not a single comma. Nothing is
read here and nothing is thrown away: words become the signs that a hand would type, sentences become phrases, and a
line without any comma is cut where only one reading is possible. Text in quotes and what follows `note` stay as they
are, and a line as a hand types it comes back unchanged.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from logbook.teardown.kinds import singular
from logbook.teardown.spoken_numbers import number_at
from logbook.teardown.vocabulary import ACTION_FORMS, FASTENER_WORDS, MEASURE_WORDS

MOST_CHARACTERS = 10_000
"""A longer text was not spoken; it is left as it is."""

_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*"')
_NOTE = re.compile(r"notes?\b[\s:]*", re.IGNORECASE)
_SENTENCE = re.compile(r"(?<=[^\W\d_]{3})[.!?]+(?=\s+[A-Z0-9])|(?<=\d)\.(?=\s+[A-Z])|(?<![\s.!?])[.!?]+\s*\Z")
_SAID_COMMA = re.compile(
    r"\s*[,.]?\s+(?:comma|semicolon|full stop|period|new line|next line)(?:\s*[,.])?(?=\s|\Z)", re.I
)
_SEPARATOR = re.compile(r"[,;\n](?!(?<=\d,)\d)")

_SAID: tuple[tuple[str, str], ...] = (
    (r"left[- ]hand(?:ed)?[- ]threads?", "left-hand thread"),
    (r"right[- ]hand(?:ed)?[- ]threads?", "right-hand thread"),
    (r"reverse[- ]threads?", "left-hand thread"),
    (r"one[- ]way", "one-way"),
    (r"(?:took|take|taken|with) (?:a |one )?(?:photo|picture|photograph)", "photo"),
    (r"(?:photo|picture|photograph) (?:was )?taken", "photo"),
    (r"screw[- ]?drivers?", "screwdriver"),
    (r"to be renewed|needs? renewing|renew (?:them|it|these)", "renew"),
    (r"not reusable|throw (?:them|it) away", "scrap"),
    (r"bag (?:number|no\.?|nr\.?)", "bag"),
    (r"box (?:number|no\.?|nr\.?)", "box"),
    (r"in(?:to)? (?=(?:bag|box) )", ""),
)
"""What is said, as a hand would type it; each only as a whole word."""
_REWRITES = tuple((re.compile(rf"(?<![\w-]){said}(?![\w-])", re.IGNORECASE), typed) for said, typed in _SAID)

_HEARD_AS_NUMBER = {"for": "4", "fore": "4", "to": "2", "too": "2", "won": "1", "ate": "8", "free": "3"}
"""Words of the same sound that dictation writes for a number: only where nothing but a number makes sense."""
_UNITS = {
    "millimetre": "mm",
    "millimeter": "mm",
    "mil": "mm",
    "centimetre": "cm",
    "centimeter": "cm",
    "kilogram": "kg",
    "kilogramme": "kg",
    "kilo": "kg",
    "gram": "g",
    "gramme": "g",
    "volt": "V",
    "ohm": "ohm",
    "watt": "W",
}
"""Units of measure as they are spoken, behind a number."""
_NUMBERED = frozenset({"bag", "box", "wire", "wires", "plug", "hose", "belt", "step", "component"})
"""Words that a number follows."""
_SIZED = FASTENER_WORDS | {"size", "head", "thread"}
_HOW_MANY = frozenset({"of", "out", "by", "x", "missing", "lost", "short", "renew", "places", "holes"})
_STEP_SOUNDS = frozenset({"t", "tea", "tee", "step"})
_BEFORE_STEPS = frozenset({"after", "before", "as", "and"})
_BAG_SOUNDS = frozenset({"back", "bags", "bug", "beg"})


def as_typed(spoken: str) -> str:
    """The line as a hand would type it at the bench.

    Args:
        spoken: what the phone's dictation wrote, or what was typed on the phone.
    """
    if not 0 < len(spoken) <= MOST_CHARACTERS or _STAND_IN.search(spoken):
        return spoken
    body, note = _without_note(spoken)
    quoted = _QUOTED.findall(body)
    for number, text in enumerate(quoted):
        body = body.replace(text, chr(FIRST_STAND_IN + number), 1)
    line = ", ".join([*_phrases(body, alone=not note), *([note] if note else [])])
    return _STAND_IN.sub(lambda found: quoted[ord(found[0]) - FIRST_STAND_IN], line)


FIRST_STAND_IN = 0xE000
"""The first of the characters that stand for texts in quotes meanwhile: Unicode gives them to nobody."""
_STAND_IN = re.compile("[\ue000-\uf8ff]")


def _phrases(body: str, *, alone: bool) -> list[str]:
    """The phrases of a line; one in which no comma was said is cut, when it stands `alone` without a note."""
    parts = _SEPARATOR.split(_SENTENCE.sub(",", _SAID_COMMA.sub(",", body)))
    phrases = [_phrase(part, is_first=number == 0) for number, part in enumerate(parts)]
    phrases = [phrase for number, phrase in enumerate(phrases) if phrase or not number]
    if len(phrases) == 1 and alone:
        phrases = _cut(phrases[0])
    elif phrases:
        phrases = [*_cut_before_a_count(phrases[0]), *(part for each in phrases[1:] for part in _cut_after_a_bag(each))]
    return _holes_with_found(phrases)


# The line as a whole


def _without_note(text: str) -> tuple[str, str]:
    """The line up to its note, and the note as it was said."""
    for part in _SEPARATOR.finditer(text):
        rest = text[part.end() :].lstrip()
        if _NOTE.match(rest) and text.count('"', 0, part.start()) % 2 == 0:
            return text[: part.start()], rest.rstrip()
    return text, ""


def _holes_with_found(phrases: Sequence[str]) -> list[str]:
    """`6 holes` and the `5 screws` after it are one count: `5 of 6 screws`."""
    joined: list[str] = []
    for phrase in phrases:
        holes = _HOLES_ALONE.fullmatch(joined[-1]) if joined else None
        found = _FOUND.match(phrase)
        if holes is not None and found is not None and int(found[1]) <= int(holes[1]):
            joined[-1] = f"{found[1]} of {holes[1]} {phrase[found.end() :]}"
        else:
            joined.append(phrase)
    return joined


_HOLES_ALONE = re.compile(r"(\d{1,4}) holes", re.IGNORECASE)
_FOUND = re.compile(r"(?:only |but |but only )?(\d{1,4}) (?=[^\W\d_]{3})", re.IGNORECASE)
_HOLES_IN_ONE = re.compile(r"(\d{1,4}) holes (?:with |and |but |only |but only )?(\d{1,4}) (?=[^\W\d_]{3})", re.I)


# One phrase


def _phrase(text: str, *, is_first: bool) -> str:
    """A phrase with its words as typed; blanks are made single."""
    return _without_capital(_words_typed(text, is_first=is_first))


def _without_capital(phrase: str) -> str:
    """Without the capital that begins a sentence; `M4`, `K1` and words all in capitals stay."""
    first = phrase.partition(" ")[0]
    begins_a_sentence = len(first) > 1 and first[0].isupper() and first[1:].islower() and first.isalpha()
    return phrase[0].lower() + phrase[1:] if begins_a_sentence else phrase


def _words_typed(text: str, *, is_first: bool) -> str:
    for said, typed in _REWRITES:
        text = said.sub(typed, text)
    words = " ".join(_sizes(_numbers(text.split(), is_first=is_first)))
    return _HOLES_IN_ONE.sub(r"\2 of \1 ", words)


def _numbers(words: Sequence[str], *, is_first: bool) -> list[str]:
    """Number words as digits wherever a number is meant: `one end` and `the one below` stay."""
    typed: list[str] = []
    place = 0
    while place < len(words):
        length, digits = number_at(words[place:])
        before = typed[-1].casefold() if typed else ""
        after = words[place + length] if length and place + length < len(words) else ""
        if length and (length > 1 or _is_counted(before, after, starts=not typed and not is_first)):
            typed.append(digits)
            place += length
            continue
        heard = _heard(words, place, before)
        typed.append(heard or words[place])
        place += 1
    return typed


def _is_counted(before: str, after: str, *, starts: bool) -> bool:
    """Whether a single number word is a number, by the words around it."""
    follows = after.casefold().strip(".:")
    is_measure = follows in MEASURE_WORDS or singular(follows) in _UNITS
    counts = singular(follows) in FASTENER_WORDS or is_measure or follows in _HOW_MANY
    starts_a_count = starts and bool(follows) and follows not in {"end", "side", "of", "or", "and"}
    return counts or starts_a_count or before in _NUMBERED or singular(before) in _SIZED or before in _JOINS


_JOINS = frozenset({"by", "x", "m", "of", "number", "times", "ba", *_STEP_SOUNDS})


def _heard(words: Sequence[str], place: int, before: str) -> str:
    """What dictation wrote by its sound, as it is meant: `for screws`, `bag for`; empty for any other word."""
    word = words[place].casefold()
    number = _HEARD_AS_NUMBER.get(word, "")
    after = words[place + 1].casefold() if place + 1 < len(words) else ""
    if number and before in ("bag", "box") and not after:
        return number
    if number and not before and after.endswith("s") and singular(after) in FASTENER_WORDS:
        return number
    if not before and word in _BAG_SOUNDS and len(words) == 2 and (number_at(words[1:])[0] or after.isdigit()):
        return "bag"
    return ""


# Sizes and codes


def _sizes(words: Sequence[str]) -> list[str]:
    """`3.5 by 16` as `3.5x16`, `M 4` as `M4`, `T ten` as `T10`, `6 slash 5` as `6/5`."""
    typed: list[str] = []
    for place, word in enumerate(words):
        before = typed[-1] if typed else ""
        after = words[place + 1] if place + 1 < len(words) else ""
        joins = word.casefold()
        if joins in ("by", "x", "×", "slash") and _NUMBER_END.search(before) and _NUMBER_START.match(after):
            typed[-1] = before + ("/" if joins == "slash" else "x")
        elif before[-1:] in ("x", "/") and _JOINED.search(before) and _NUMBER_START.match(word):
            typed[-1] = before + word
        elif singular(joins) in _UNITS and _NUMBER_END.search(before):
            typed.append(_UNITS[singular(joins)])
        elif before.casefold() == "wire" and word.isdigit() and after.casefold() == "from":
            typed.append(f"W{word}")
        elif joins == "out" and _NUMBER_END.search(before) and after.casefold() == "of":
            continue
        elif before.casefold() == "m" and _NUMBER_START.match(word):
            typed[-1] = f"M{word}"
        elif before.casefold() in _STEP_SOUNDS and word.isdigit() and _speaks_of_steps(typed):
            typed[-1] = f"T{int(word):02d}"
        else:
            typed.append(word)
    return typed


_NUMBER_END = re.compile(r"\d\Z")
_NUMBER_START = re.compile(r"\d+(?:[.,/]\d+)?(?:mm)?\Z")
_JOINED = re.compile(r"\d[x/]\Z")


def _speaks_of_steps(typed: Sequence[str]) -> bool:
    """Whether the words before a step's number name an order: a `tee 4` of a hose is none."""
    return any(word.casefold() in _BEFORE_STEPS for word in typed[:-1])


# A line without any comma


def _cut(line: str) -> list[str]:
    """The phrases of a line in which no comma was said, cut before what can only begin a phrase.

    Nothing is cut before the first word: something came off, and that is said first.
    """
    words = line.split()
    starts = [place for place in range(1, len(words)) if _begins_a_phrase(words, place)]
    bounds = [0, *starts, len(words)]
    return [" ".join(words[a:b]) for a, b in pairwise(bounds)]


def _cut_before_a_count(first: str) -> list[str]:
    """The first phrase of a line with commas: one was forgotten where fasteners are counted behind an action."""
    words = first.split()
    actions = [place for place in range(1, len(words)) if _is_action(words, place)]
    counts = [place for place in range(1, len(words)) if words[place].isdigit() and _begins_a_phrase(words, place)]
    cut = next((place for place in counts if actions and actions[0] < place), None)
    if cut is None:
        return [first]
    ends_in_the_action = cut - 1 in actions
    came_off = [words[: cut - 1], [words[cut - 1]]] if ends_in_the_action else [words[:cut]]
    return [" ".join(part) for part in (*came_off, words[cut:])]


def _cut_after_a_bag(phrase: str) -> list[str]:
    """`bag 3 hold polarity` and `bag 3 photo` are two phrases; `bag 3 left` is one."""
    words = phrase.split()
    names_a_bag = len(words) > 2 and words[0].casefold() in ("bag", "box") and words[1].isdigit()
    if names_a_bag and (words[2].casefold() == "hold" or _begins_a_phrase(words, 2)):
        return [" ".join(words[:2]), " ".join(words[2:])]
    return [phrase]


_ENDS_IN = re.compile(r"(?:ed|cut|split|slid|bled|out|off)\Z")
_ALONE = frozenset({"photo", "one-way", "left-hand", "planned", "guess", "wrong"})
_WARNS = frozenset({"hazard", "danger", "warning"})


def _begins_a_phrase(words: Sequence[str], place: int) -> bool:
    word, before = words[place].casefold(), words[place - 1].casefold()
    after = words[place + 1].casefold() if place + 1 < len(words) else ""
    if word in ("bag", "box"):
        return after.isdigit()
    if word.isdigit() or re.fullmatch(r"\d+/\d+", word):
        return _counts_fasteners(words, place) and before not in _NUMBERED and before not in _JOINS
    if _is_action(words, place):
        return True
    if word in _ALONE or word in _WARNS:
        return before not in ("not", "no", "a", "the", "and", *_WARNS)
    return word == "after" and re.fullmatch(r"t\d{2,}", after) is not None


def _is_action(words: Sequence[str], place: int) -> bool:
    word, before = words[place].casefold(), words[place - 1].casefold()
    says_how = word in ACTION_FORMS and _ENDS_IN.search(word) is not None
    return says_how and before not in ("and", "was", "not", "loosely")


def _counts_fasteners(words: Sequence[str], place: int) -> bool:
    """Whether a number is followed by a word of fasteners, maybe behind one or two words that describe it."""
    rest = [word.casefold() for word in words[place + 1 : place + 6]]
    if len(rest) > 1 and rest[0] == "of" and rest[1].isdigit():
        rest = rest[2:]
    return any(singular(word) in FASTENER_WORDS for word in rest[:3] if not word.isdigit())
