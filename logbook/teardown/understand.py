"""What one phrase of a line means. Each phrase is recognised by its first word or by being a number.

A phrase is understood whole or it is none of these; then the caller keeps it as the note. What a phrase
says beyond its own field (“box 2 FRAGILE”) comes back as `left`, for the note as well.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.measures import hours_and_minutes, parse_minutes
from logbook.model.step import Fastener, Hazard, OneWay
from logbook.model.words import Action, JointFound, SignalWord, Then
from logbook.teardown.fastener_phrase import MOST, read_count_at_end, read_fasteners, starts_like_fasteners
from logbook.teardown.kinds import UnitWords, next_bag, next_box
from logbook.teardown.phrases import Word, folded, joined
from logbook.teardown.vocabulary import (
    ACTION_FORMS,
    ANSWER_WORDS,
    CERTAINTY_WORDS,
    DIRECTION_WORDS,
    JOINT_WORDS,
    LEFT_HAND_WORDS,
    PLANNED_WORDS,
    SIGNAL_WORDS,
    THEN_WORDS,
    action_of,
)

UNNAMED_HAZARD = "not said what"
"""What a hazard is called whose danger nobody named yet; the desk asks for it."""

Words = tuple[Word, ...]
NOTHING: Mapping[str, object] = MappingProxyType({})


class Meant(NamedTuple):
    """What a phrase means."""

    field: str
    """The field of the step that it is mainly about."""
    meaning: str
    """In words, for the reading below the line."""
    sets: Mapping[str, object] = NOTHING
    """Values of fields that a step has once."""
    fasteners: tuple[Fastener, ...] = ()
    then: Then | None = None
    """What becomes of the fasteners of the phrase before."""
    hazards: tuple[Hazard, ...] = ()
    one_way: OneWay | None = None
    after: tuple[str, ...] = ()
    better_after: tuple[str, ...] = ()
    problem: str | None = None
    left: str = ""
    """What stands in the phrase beyond that, for the note."""


class Around(NamedTuple):
    """What the meaning of a phrase depends on besides its words."""

    unit: UnitWords
    follows: str = ""
    """Field of the phrase before."""


Reader = Callable[[Words, Around], Meant | None]


def understand(words: Words, around: Around) -> Meant | None:
    """The meaning of a phrase that is not the first of its line, or None when it is not understood."""
    continued = _continuation(words, around)
    if continued is not None:
        return continued
    words = _parted(words)
    reader = _BY_FIRST_WORD.get(words[0].folded.rstrip(":"))
    meant = reader(words, around) if reader else None
    if meant is None and words[0].text[:1] in "0123456789":
        meant = _by_number(words, around)
    if meant is None and (starts_like_fasteners(words) or words[-1].text[-1:] in "0123456789x×"):
        meant = _fasteners(words, around)
    return meant or _exact(words)


def read_action(words: Words) -> Action | None:
    """The action that the whole phrase names."""
    return action_of(folded(words)) if len(words) <= 3 else None


def starts_with_action(words: Words) -> Action | None:
    """The action that the first word names in full, when more words follow (“unscrewed from below”)."""
    return ACTION_FORMS.get(words[0].folded) if len(words) > 1 else None


def action_meant(action: Action) -> Meant:
    """A step's action as a meaning."""
    return Meant("action", str(action), {"action": action})


# --- phrases that go on with the one before ---------------------------------------------------------------


def _continuation(words: Words, around: Around) -> Meant | None:
    if around.follows in ("after", "better_after") and all(around.unit.step_code(w.folded) for w in words):
        return _steps(words, around, around.follows)
    if around.follows == "fasteners" and len(words) == 1 and words[0].folded in THEN_WORDS:
        then = THEN_WORDS[words[0].folded]
        return Meant("fasteners", f"the fasteners before: {then}", then=then)
    if around.follows == "one_way" and folded(words) in ANSWER_WORDS:
        return _one_way_answers(words, "one-way")
    return None


# --- phrases that start with a number ---------------------------------------------------------------------

_DURATION = re.compile(
    r"[0-9]{1,7}(?::[0-9]{2})?(?:[.,][0-9]{1,3})? ?(?:h|hrs?|hours?|mins?|minutes?)"
    r"|[0-9]{1,6} ?(?:h|hours?) ?[0-9]{1,2} ?(?:mins?|minutes?)?",
    re.ASCII,
)
_WEIGHT = re.compile(r"(?:weight )?([0-9]{1,9})(?:[.,]([0-9]{1,4}))? ?(kg|g)", re.ASCII)
_WIRES = re.compile(r"(?:wires? )?([0-9]{1,9})(?: wires?)?", re.ASCII)


def _by_number(words: Words, around: Around) -> Meant | None:
    if len(words) > 5:
        return None
    text = folded(words)
    return _duration(text) or _weight(words, around) or (_wires(words, around) if "wire" in text else None)


def _duration(text: str) -> Meant | None:
    if not _DURATION.fullmatch(text):
        return None
    plain = re.sub(r"(hrs?|hours?)", "h", re.sub(r"mins\b", "min", text))
    plain = plain.removesuffix("h").rstrip() if ":" in plain else plain
    try:
        minutes = parse_minutes(plain)
    except InputError:
        return None
    # The record's limit; more than that is no working time.
    return Meant("minutes", hours_and_minutes(minutes), {"minutes": minutes}) if minutes <= 10_000_000 else None


def _weight(words: Words, _: Around) -> Meant | None:
    match = _WEIGHT.fullmatch(folded(words)) if len(words) <= 3 else None
    if match is None or (match[3] == "g" and match[2]):
        return None
    number = Decimal(f"{match[1]}.{match[2] or 0}").normalize() + 0
    kilograms = number if match[3] == "kg" else (number / 1000).normalize() + 0
    return Meant("weight_kg", f"weight {kilograms:f} kg", {"weight_kg": kilograms})


def _wires(words: Words, _: Around) -> Meant | None:
    match = _WIRES.fullmatch(folded(words)) if len(words) == 2 else None
    if match is None or int(match[1]) > MOST:
        return None
    return Meant("wires", f"{int(match[1])} wires counted", {"wires": int(match[1])})


def _minutes(words: Words, _: Around) -> Meant | None:
    text = folded(words[1:]) if 1 < len(words) <= 6 else ""
    return _duration(f"{text} min" if text.isascii() and text.isdigit() else text)


def _fasteners(words: Words, around: Around) -> Meant | None:
    read = read_fasteners if starts_like_fasteners(words) else read_count_at_end
    said = read(words, around.unit)
    if said is None:
        return None
    meaning = "; ".join(fastener_words(f) for f in said.found)
    return Meant("fasteners", meaning, fasteners=said.found, problem=said.problem)


def fastener_words(fastener: Fastener) -> str:
    """One kind of fastener in words: `6 places, 5 found: screw 3.5x16, reuse, bag 1`."""
    whole = fastener.holes == fastener.found
    count = f"{fastener.holes} {fastener.kind}" if whole else ""
    count = count or f"{fastener.holes} places, {fastener.found} found: {fastener.kind}"
    empty = ", stays empty" if fastener.stays_empty else ""
    return f"{count}, {fastener.then}{empty}" + (f", bag {fastener.bag}" if fastener.bag else "")


# --- containers ------------------------------------------------------------------------------------------

_CONTAINER = re.compile(r"(bag|box)#?([0-9]{1,9}[a-z]?)", re.ASCII)
_NUMBER_SIGNS = frozenset({"no", "no.", "nr", "nr.", "number", "#"})


def _parted(words: Words) -> Words:
    """`bag4` as two words."""
    first = words[0]
    match = _CONTAINER.fullmatch(first.folded)
    if match is None:
        return words
    cut = first.end - len(match[2])
    number = Word(first.text[-len(match[2]) :], match[2], cut, first.end, quoted=False)
    return (Word(match[1], match[1], first.start, cut, quoted=False), number, *words[1:])


def _container(words: Words, around: Around, keyword: str) -> Meant | None:
    rest = words[1:]
    if rest and rest[0].folded in _NUMBER_SIGNS:
        rest = rest[1:]
    if not rest:
        return Meant(keyword, "", problem=f"Which {keyword}?", left=joined(words))
    value = rest[0].text if rest[0].quoted else rest[0].text.lstrip("#")
    if folded(rest) in ("next", "new"):
        value = next_bag(around.unit.unit) if keyword == "bag" else next_box(around.unit.unit)
    if len(rest) > 1 and not (rest[0].quoted or any(c.isdigit() for c in value)):
        return None
    return Meant(keyword, f"{keyword} {value}", {keyword: value}, left=joined(rest[1:]))


def _bag(words: Words, around: Around) -> Meant | None:
    return _container(words, around, "bag")


def _box(words: Words, around: Around) -> Meant | None:
    return _container(words, around, "box")


def _into(words: Words, around: Around) -> Meant | None:
    """`in bag 4`, `into box 2`, `in chassis`."""
    if len(words) > 1 and words[1].folded in ("bag", "box"):
        return _container(words[1:], around, words[1].folded)
    code = around.unit.lump_code(joined(words[1:])) if len(words) > 1 else None
    return None if code is None else Meant("inside", f"in the sub-assembly {code}", {"inside": code})


def _new(words: Words, around: Around) -> Meant | None:
    """`new bag`, `next box`."""
    if len(words) == 2 and words[1].folded in ("bag", "box"):
        return _container((words[1], words[0]), around, words[1].folded)
    return None


# --- order and sets --------------------------------------------------------------------------------------

_CODES = re.compile(r"[^\s,&+]+")
_BETWEEN = frozenset({"and", "then"})


def _after(words: Words, around: Around) -> Meant | None:
    return _steps(words[1:], around, "after", said="after")


def _better(words: Words, around: Around) -> Meant | None:
    if len(words) < 3 or words[1].folded != "after":
        return None
    return _steps(words[2:], around, "better_after", said="better after")


def _steps(words: Words, around: Around, field: str, said: str = "") -> Meant | None:
    codes: dict[str, None] = {}
    unknown: list[str] = []
    for typed in (t for w in words if w.folded not in _BETWEEN for t in _CODES.findall(w.text)):
        code = _step_named(typed, around.unit)
        if code is not None and code != around.unit.code:
            codes[code] = None
        else:
            unknown.append(typed)
    if not codes and not any(around.unit.looks_like_step(t) for t in unknown):
        return None
    problem = None
    if unknown:
        own = any(_step_named(t, around.unit) == around.unit.code for t in unknown)
        problem = "A step cannot come before itself." if own else f"There is no step {', '.join(unknown)}."
    meaning = f"{'must' if field == 'after' else 'better'} come off after {', '.join(codes)}" if codes else ""
    left = f"{said} {' '.join(unknown)}" if unknown else ""
    if field == "after":
        return Meant(field, meaning, after=tuple(codes), problem=problem, left=left)
    return Meant(field, meaning, better_after=tuple(codes), problem=problem, left=left)


def _step_named(typed: str, unit: UnitWords) -> str | None:
    if typed.casefold() == "last":
        return unit.last_step.code if unit.last_step else None
    code = unit.step_code(typed)
    return code or (unit.code if typed.upper() == unit.code.upper() else None)


def _same(words: Words, around: Around) -> Meant | None:
    """`same as T08`, `same as last`, `same`: the fasteners of that step."""
    said = folded(words[2:]) if len(words) > 2 and words[1].folded == "as" else "last" if len(words) == 1 else ""
    if not said or " " in said:
        return None
    code = _step_named("last" if said in ("before", "last") else said, around.unit)
    step = around.unit.unit.step(code) if code else None
    if step is None:
        looks = around.unit.looks_like_step(said) or said == "last"
        return Meant("fasteners", "", problem=f"There is no step {said}.", left=joined(words)) if looks else None
    same = tuple(f.model_copy(update={"bag": "", "renewed_here": False, "detail": None}) for f in step.fasteners)
    meaning = "; ".join(fastener_words(f) for f in same)
    return Meant("fasteners", f"as at {step.code}: {meaning or 'no fasteners'}", fasteners=same)


def _each(words: Words, around: Around) -> Meant | None:
    rest = words[2:] if words[0].folded == "for" and len(words) > 1 and words[1].folded == "each" else words[1:]
    if words[0].folded == "for" and len(rest) == len(words) - 1:
        return None
    if len(rest) > 1 and rest[0].folded == "of":
        rest = rest[1:]
    code = around.unit.set_code(joined(rest)) if rest else None
    if code is not None:
        return Meant("each_of", f"numbers are for each of {code}", {"each_of": code})
    if len(rest) == 1:
        return Meant("each_of", "", problem=f"There is no set called {rest[0].text}.", left=joined(words))
    return None


# --- flags and words ---------------------------------------------------------------------------------------


def _hazard(words: Words, _: Around) -> Meant | None:
    signal, rest = SIGNAL_WORDS.get(words[0].folded.rstrip(":"), SignalWord.WARNING), words[1:]
    if words[0].folded.rstrip(":") == "hazard" and rest and rest[0].folded.rstrip(":") in SIGNAL_WORDS:
        signal, rest = SIGNAL_WORDS[rest[0].folded.rstrip(":")], rest[1:]
    what = joined(rest) or UNNAMED_HAZARD
    return Meant("hazards", f"{signal} {what}", hazards=(Hazard(signal=signal, what=what),))


def _one_way(words: Words, _: Around) -> Meant | None:
    if words[0].folded == "one":
        return _one_way_answers(words[2:], "one-way") if len(words) > 1 and words[1].folded == "way" else None
    return _one_way_answers(words[1:], "one-way")


def _one_way_answers(words: Words, said: str) -> Meant:
    """What follows `one-way`: the joint as found, answers to the stop question, `because` and a reason."""
    answers: dict[str, bool] = {}
    joint: JointFound | None = None
    because, left, i = "", [], 0
    while i < len(words):
        if words[i].folded == "because" and i + 1 < len(words):
            because = joined(words[i + 1 :])
            break
        for length in (3, 2, 1):
            part = folded(words[i : i + length]) if i + length <= len(words) else ""
            if part in ANSWER_WORDS:
                answers[ANSWER_WORDS[part]] = True
            elif part in JOINT_WORDS and joint is None:
                joint = JOINT_WORDS[part]
            else:
                continue
            break
        else:
            length = 1
            if words[i].folded not in ("and", "joint"):
                left.append(words[i].text)
        i += length
    record = OneWay(joint=joint, skipped_because=because).model_copy(update=answers)
    meaning = ", ".join([said, *([str(joint)] if joint else []), *(a.replace("_", " ") for a in answers)])
    return Meant("one_way", meaning, one_way=record, left=" ".join(left))


def _certainty(words: Words, _: Around) -> Meant | None:
    length = 2 if words[0].folded in ("think", "not") else 1
    certainty = CERTAINTY_WORDS.get(folded(words[:length]))
    if certainty is None:
        return None
    of_what = joined(words[length:])
    sets: dict[str, object] = {"certainty": certainty} | ({"certainty_note": of_what} if of_what else {})
    return Meant("certainty", f"{certainty}{': ' if of_what else ''}{of_what}", sets)


def _wrong(words: Words, _: Around) -> Meant | None:
    return _found_wrong(words[1:])


def _found_wrong(rest: Words) -> Meant:
    found = joined(rest)
    sets: dict[str, object] = {"as_found_wrong": True} | ({"as_found": found} if found else {})
    return Meant("as_found_wrong", f"as found is WRONG{': ' if found else ''}{found}", sets)


def _as_found(words: Words, _: Around) -> Meant | None:
    rest = words[2:] if words[0].folded == "as" else words[1:]
    if words[0].folded == "as" and (len(words) < 2 or words[1].folded.rstrip(":") != "found"):
        return None
    if rest and rest[0].folded.rstrip(":") == "wrong":
        return _found_wrong(rest[1:])
    text = joined(rest)
    return Meant("as_found", f"as found: {text}", {"as_found": text}) if text else None


def _should_be(words: Words, _: Around) -> Meant | None:
    if words[0].folded == "should" and (len(words) < 2 or words[1].folded.rstrip(":") != "be"):
        return None
    text = joined(words[2:] if words[0].folded == "should" else words[1:])
    return Meant("should_be", f"should be: {text}", {"should_be": text}) if text else None


def _photo(words: Words, _: Around) -> Meant | None:
    plain = len(words) == 1 or folded(words[1:]) == "taken"
    return Meant("photo_taken", "photo taken", {"photo_taken": True}, left="" if plain else joined(words))


def _seen_from(words: Words, _: Around) -> Meant | None:
    """`from below`; `seen from` and `viewed from` with any words."""
    if words[0].folded == "from":
        named, place = all(w.folded in DIRECTION_WORDS for w in words[1:]), joined(words[1:])
    else:
        named, place = len(words) > 2 and words[1].folded == "from", joined(words[2:])
    return Meant("viewed_from", f"seen from {place}", {"viewed_from": place}) if named and place else None


def _initials(words: Words, _: Around) -> Meant | None:
    """`by AB` in capitals, because “by hand” is no person; `initials` with any words."""
    text = joined(words[1:])
    capital = len(words) == 2 and len(text) <= 4 and text.isalpha() and text.isupper() and not words[0].text.isupper()
    if not text or (words[0].folded == "by" and not capital):
        return None
    return Meant("by", f"by {text}", {"by": text})


def _exact(words: Words) -> Meant | None:
    phrase = folded(words) if len(words) <= 3 else ""
    if phrase in LEFT_HAND_WORDS:
        return Meant("left_hand", "LEFT-HAND THREAD", {"left_hand": True})
    if phrase in PLANNED_WORDS:
        return Meant("planned", "still to do", {"planned": True})
    return None


_BY_FIRST_WORD: dict[str, Reader] = {
    "bag": _bag, "box": _box, "in": _into, "into": _into, "inside": _into, "new": _new, "next": _new,
    "wire": _wires, "wires": _wires, "weight": _weight, "minutes": _minutes, "min": _minutes, "took": _minutes,
    "after": _after, "better": _better, "same": _same, "each": _each, "for": _each,
    "hazard": _hazard, **dict.fromkeys(SIGNAL_WORDS, _hazard),
    "one-way": _one_way, "oneway": _one_way, "one": _one_way,
    **dict.fromkeys(("guess", "think", "not", "unsure", "sure"), _certainty),
    "wrong": _wrong, "as": _as_found, "as-found": _as_found, "should": _should_be, "should-be": _should_be,
    "photo": _photo, "photos": _photo, "from": _seen_from, "seen": _seen_from, "viewed": _seen_from,
    "by": _initials, "initials": _initials,
}  # fmt: skip
"""Who reads a phrase, by its first word."""
