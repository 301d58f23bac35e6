"""Phrases that flag something: hazard, one-way, guess, as found, photo, where it was seen from, initials."""

from __future__ import annotations

from logbook.model.step import Hazard, OneWay
from logbook.model.words import JointFound, SignalWord
from logbook.teardown.meant import UNNAMED_HAZARD, Around, Meant, Words
from logbook.teardown.phrases import folded, joined
from logbook.teardown.vocabulary import (
    ANSWER_WORDS,
    CERTAINTY_WORDS,
    DIRECTION_WORDS,
    JOINT_WORDS,
    LEFT_HAND_WORDS,
    PLANNED_WORDS,
    SIGNAL_WORDS,
)


def hazard_phrase(words: Words, _: Around) -> Meant | None:
    """`hazard`, `hazard stored charge`, `danger live chassis`; WARNING when no signal word is said."""
    signal, rest = SIGNAL_WORDS.get(words[0].folded.rstrip(":"), SignalWord.WARNING), words[1:]
    if words[0].folded.rstrip(":") == "hazard" and rest and rest[0].folded.rstrip(":") in SIGNAL_WORDS:
        signal, rest = SIGNAL_WORDS[rest[0].folded.rstrip(":")], rest[1:]
    what = joined(rest) or UNNAMED_HAZARD
    return Meant("hazards", f"{signal} {what}", hazards=(Hazard(signal=signal, what=what),))


def one_way_phrase(words: Words, _: Around) -> Meant | None:
    """`one-way`, with the joint and answers to the stop question after it: `one-way glued measured traced`."""
    if words[0].folded == "one":
        return one_way_answers(words[2:], "one-way") if len(words) > 1 and words[1].folded == "way" else None
    return one_way_answers(words[1:], "one-way")


def one_way_answers(words: Words, said: str) -> Meant:
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


def certainty_phrase(words: Words, _: Around) -> Meant | None:
    """`guess`, `think so`, `not sure`; what follows says of what."""
    length = 2 if words[0].folded in ("think", "not") else 1
    certainty = CERTAINTY_WORDS.get(folded(words[:length]))
    if certainty is None:
        return None
    of_what = joined(words[length:])
    sets: dict[str, object] = {"certainty": certainty} | ({"certainty_note": of_what} if of_what else {})
    return Meant("certainty", f"{certainty}{': ' if of_what else ''}{of_what}", sets)


def wrong_phrase(words: Words, _: Around) -> Meant | None:
    """`wrong`, `wrong: washer on the inside`: as found is wrong, and how it was."""
    return _found_wrong(words[1:])


def _found_wrong(rest: Words) -> Meant:
    found = joined(rest)
    sets: dict[str, object] = {"as_found_wrong": True} | ({"as_found": found} if found else {})
    return Meant("as_found_wrong", f"as found is WRONG{': ' if found else ''}{found}", sets)


def as_found_phrase(words: Words, _: Around) -> Meant | None:
    """`as found loose`, `as found wrong`."""
    rest = words[2:] if words[0].folded == "as" else words[1:]
    if words[0].folded == "as" and (len(words) < 2 or words[1].folded.rstrip(":") != "found"):
        return None
    if rest and rest[0].folded.rstrip(":") == "wrong":
        return _found_wrong(rest[1:])
    text = joined(rest)
    return Meant("as_found", f"as found: {text}", {"as_found": text}) if text else None


def should_be_phrase(words: Words, _: Around) -> Meant | None:
    """`should be washer outside`."""
    if words[0].folded == "should" and (len(words) < 2 or words[1].folded.rstrip(":") != "be"):
        return None
    text = joined(words[2:] if words[0].folded == "should" else words[1:])
    return Meant("should_be", f"should be: {text}", {"should_be": text}) if text else None


def photo_phrase(words: Words, _: Around) -> Meant | None:
    """`photo`; `photo 0417` keeps the number in the note."""
    plain = len(words) == 1 or folded(words[1:]) == "taken"
    return Meant("photo_taken", "photo taken", {"photo_taken": True}, left="" if plain else joined(words))


def seen_from_phrase(words: Words, _: Around) -> Meant | None:
    """`from below`; `seen from` and `viewed from` with any words."""
    if words[0].folded == "from":
        named, place = all(w.folded in DIRECTION_WORDS for w in words[1:]), joined(words[1:])
    else:
        named, place = len(words) > 2 and words[1].folded == "from", joined(words[2:])
    return Meant("viewed_from", f"seen from {place}", {"viewed_from": place}) if named and place else None


def initials_phrase(words: Words, _: Around) -> Meant | None:
    """`by AB` in capitals, because “by hand” is no person; `initials` with any words."""
    text = joined(words[1:])
    capital = len(words) == 2 and len(text) <= 4 and text.isalpha() and text.isupper() and not words[0].text.isupper()
    if not text or (words[0].folded == "by" and not capital):
        return None
    return Meant("by", f"by {text}", {"by": text})


def exact_phrase(words: Words) -> Meant | None:
    """Flags that are a phrase of their own: a left-hand thread, still to do."""
    phrase = folded(words) if len(words) <= 3 else ""
    if phrase in LEFT_HAND_WORDS:
        return Meant("left_hand", "LEFT-HAND THREAD", {"left_hand": True})
    if phrase in PLANNED_WORDS:
        return Meant("planned", "still to do", {"planned": True})
    return None
