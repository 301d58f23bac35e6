"""Phrases that flag something: hazard, one-way, guess, as found, photo, where it was seen from, initials."""

from __future__ import annotations

import re

from logbook.model.measures import Length
from logbook.model.step import Hazard, HoldPoint, OneWay
from logbook.model.words import Action, JointFound, SignalWord
from logbook.teardown.hold_code import (
    HOLD_KEYWORDS,
    UNNUMBERED_HOLD,
    asks_what_is_checked,
    coded_connection,
    coded_hold,
    is_taken,
    says_a_hold,
)
from logbook.teardown.meant import UNNAMED_HAZARD, Meant, PhraseContext, Words
from logbook.teardown.phrases import Word, folded, joined
from logbook.teardown.vocabulary import (
    ANSWER_WORDS,
    CERTAINTY_WORDS,
    DIRECTION_WORDS,
    GONE_AT_REFIT,
    JOINT_WORDS,
    LEFT_HAND_WORDS,
    NO_FASTENERS,
    PLANNED_WORDS,
    RIGHT_HAND_WORDS,
    SIGNAL_WORDS,
)


def hazard_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`hazard`, `hazard stored charge`, `danger live chassis`; WARNING when no signal word is said."""
    signal, rest = SIGNAL_WORDS.get(words[0].folded.rstrip(":"), SignalWord.WARNING), words[1:]
    if words[0].folded.rstrip(":") == "hazard" and rest and rest[0].folded.rstrip(":") in SIGNAL_WORDS:
        signal, rest = SIGNAL_WORDS[rest[0].folded.rstrip(":")], rest[1:]
    gone = next((ending for ending in GONE_AT_REFIT if folded(rest[-len(ending.split()) :]) == ending), "")
    if gone:
        rest = rest[: -len(gone.split())]
    what = joined(rest) or UNNAMED_HAZARD
    hazard = Hazard(signal=signal, what=what, gone_at_refit=bool(gone))
    return Meant("hazards", f"{signal} {what}{', gone at the refit' if gone else ''}", hazards=(hazard,))


def one_way_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`one-way`, with the joint and answers to the stop question after it: `one-way glued measured traced`."""
    if words[0].folded == "one":
        return one_way_answers(words[2:], "one-way") if len(words) > 1 and words[1].folded == "way" else None
    return one_way_answers(words[1:], "one-way")


def one_way_answers(words: Words, said: str) -> Meant:
    """What follows `one-way`: joints as found, `drilled` and a size, answers to the stop question, `because` a reason.

    An answer is yes by its word alone, no with `no` behind it, and `not needed` likewise.
    """
    answers: dict[str, str] = {}
    joints: list[JointFound] = []
    drilled: Length | None = None
    because, left, i = "", [], 0
    while i < len(words):
        if words[i].folded == "because" and i + 1 < len(words):
            because = joined(words[i + 1 :])
            break
        size = _size(words[i + 1]) if words[i].folded == "drilled" and i + 1 < len(words) else None
        if size is not None:
            drilled, i = size, i + 2
            continue
        for length in (3, 2, 1):
            part = folded(words[i : i + length]) if i + length <= len(words) else ""
            if part in ANSWER_WORDS:
                answers[ANSWER_WORDS[part]], more = _answer(words[i + length :])
                i += more
            elif part in JOINT_WORDS:
                joints.append(JOINT_WORDS[part])
            else:
                continue
            break
        else:
            length = 1
            if words[i].folded not in ("and", "joint"):
                left.append(words[i].text)
        i += length
    joints = list(dict.fromkeys(joints))
    record = OneWay(
        joint=joints[0] if joints else None,
        further_joints=tuple(joints[1:]),
        drilled=drilled,
        answered_no=tuple(name for name, answer in answers.items() if answer == "no"),
        not_needed=tuple(name for name, answer in answers.items() if answer == "not needed"),
        skipped_because=because,
    ).model_copy(update={name: True for name, answer in answers.items() if answer == "yes"})
    told = [f"{name.replace('_', ' ')}{'' if a == 'yes' else f': {a}'}" for name, a in answers.items()]
    size_said = [f"drilled {drilled.in_mm()}"] if drilled is not None else []
    meaning = ", ".join([said, *map(str, joints), *size_said, *told])
    return Meant("one_way", meaning, one_way=record, left=" ".join(left))


def _answer(words: Words) -> tuple[str, int]:
    """The answer behind a part of the stop question, and how many words it takes."""
    if folded(words[:2]) == "not needed":
        return "not needed", 2
    first = words[0].folded if words else ""
    return (first, 1) if first in ("yes", "no") else ("yes", 0)


def _size(word: Word) -> Length | None:
    """A size in millimetres: `4.1`, `4,1`."""
    if word.quoted or not _SIZE.fullmatch(word.text):
        return None
    return Length.of(word.text.removesuffix("mm").replace(",", "."))


_SIZE = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,3})?(?:mm)?", re.ASCII)


def drilled_out_phrase(words: Words) -> Meant | None:
    """`drilled out 4.1`: how it came off, and the size for what goes in its place."""
    size = _size(words[-1])
    if size is None or folded(words[:-1]) not in ("drilled out", "drilled"):
        return None
    joint = OneWay(drilled=size)
    return Meant("action", f"{Action.DRILLED} {size.in_mm()} mm", {"action": Action.DRILLED}, one_way=joint)


_BROKE = frozenset({"broke", "broke off", "broken off", "broke apart", "snapped off", "torn off", "ripped off"})


_GLUE = ("glue", "glue joint", "glued joint")
_GLUE_WENT = frozenset(f"{glue} {went}" for glue in _GLUE for went in ("broke", "broken", "failed", "gave way"))
_GLUE_BROKE = _GLUE_WENT | {f"{went} at {glue}" for glue in _GLUE for went in ("broke", "broken")}
JOINT_BROKE = "the glue joint broke"
"""Why nothing is asked before it is done: it is done."""


def broke_phrase(words: Words) -> Meant | None:
    """`broke off`: it came off in two, which cannot be undone; a thing that only is broken is no way of taking off."""
    said = " ".join(word.folded for word in words if word.folded != "the")
    if said in _GLUE_BROKE:
        one_way = OneWay(joint=JointFound.GLUED, skipped_because=JOINT_BROKE)
        return Meant("one_way", f"one-way: {JointFound.GLUED}; {JOINT_BROKE}", one_way=one_way)
    if folded(words) not in _BROKE:
        return None
    return Meant("action", f"{Action.SPLIT}, one-way", {"action": Action.SPLIT}, one_way=OneWay())


def hold_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`hold proved dead read voltage reading 0.4 V by AB because no meter`: a hold point of the teardown.

    `hold H1 …` gives it its number; without one it gets the next free.
    """
    said = coded_hold(words[1:])
    parts = said_after(said.words, HOLD_KEYWORDS)
    what = parts[""]
    if not what:
        return asks_what_is_checked(said.code, words)
    hold = HoldPoint(
        code=said.code or UNNUMBERED_HOLD,
        what=what,
        reading_of=parts["read"],
        reading=parts["reading"],
        initials=parts["by"],
        without_because=parts["because"],
    )
    once = f", once for all of {around.each_of}" if around.each_of else ""
    called = f"{said.code} {what}" if said.code else what
    return Meant("hold", f"HOLD {called}{once}: {hold_state(hold)}", hold=hold, problem=is_taken(said.code, around))


def coded_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """A phrase that begins with `H1` and says what it is: a hold point by its words, or a connection by its ends."""
    if not says_a_hold(words):
        return coded_connection(words, around)
    rest = tuple(word for word in words[1:2] if word.folded != "hold") + words[2:]
    hold = words[0]._replace(text="hold", folded="hold")
    return hold_phrase((hold, words[0], *rest), around)


def first_on_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`first on entry bush`: on the way back this goes on before the joint is made, as a line of its own to tick.

    `first on T08`, `first on P-clip of T08`: what came off at another step, the whole of it or what is named.
    """
    text = joined(words[2:]) if len(words) > 2 and words[1].folded.rstrip(":") == "on" else ""
    if not text:
        return None
    items = "" if len(words) == 3 else joined(words[2:-2])
    of_step = len(words) == 3 or (len(words) > 4 and words[-2].folded == "of")
    code = around.unit.step_code(words[-1].text) if of_step and not words[-1].quoted else None
    if code is None or code == around.unit.code:
        return Meant("refit", f"goes on first on the way back: {text}", first_on=(text,))
    of = f"{items} of {code}" if items else f"all of {code}"
    return Meant("refit", f"goes on first on the way back: {of}", threaded=((code, items),))


def hold_state(hold: HoldPoint) -> str:
    """What was read at a hold point and by whom, or what it still wants, or why work went on without."""
    lacks = hold.lacks(hold.reading, hold.initials)
    if hold.without_because.strip():
        return f"gone on without, because {hold.without_because.strip()}"
    if lacks:
        return f"wants {' and '.join(lacks)} before more comes off"
    return ", ".join(filter(None, [hold.reading and f"read {hold.reading}", f"by {hold.initials}"]))


def said_after(words: Words, keywords: tuple[str, ...]) -> dict[str, str]:
    """The words behind each keyword, those before the first one under the empty name."""
    found: dict[str, list[Word]] = {"": [], **{keyword: [] for keyword in keywords}}
    place = ""
    for word in words:
        keyword = word.folded.rstrip(":")
        if keyword in keywords and not found[keyword]:
            place = keyword
        else:
            found[place].append(word)
    return {keyword: joined(tuple(said)) for keyword, said in found.items()}


def certainty_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`guess`, `think so`, `not sure`; what follows says of what."""
    length = 2 if words[0].folded in ("think", "not") else 1
    certainty = CERTAINTY_WORDS.get(folded(words[:length]))
    if certainty is None:
        return None
    of_what = joined(words[length:])
    sets: dict[str, object] = {"certainty": certainty} | ({"certainty_note": of_what} if of_what else {})
    return Meant("certainty", f"{certainty}{': ' if of_what else ''}{of_what}", sets)


def wrong_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`wrong`, `wrong: washer on the inside`: as found is wrong, and how it was."""
    return _found_wrong(words[1:])


def _found_wrong(rest: Words) -> Meant:
    found = joined(rest)
    sets: dict[str, object] = {"as_found_wrong": True} | ({"as_found": found} if found else {})
    return Meant("as_found_wrong", f"as found is WRONG{': ' if found else ''}{found}", sets)


def as_found_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`as found loose`, `as found wrong`."""
    rest = words[2:] if words[0].folded == "as" else words[1:]
    if words[0].folded == "as" and (len(words) < 2 or words[1].folded.rstrip(":") != "found"):
        return None
    if rest and rest[0].folded.rstrip(":") == "wrong":
        return _found_wrong(rest[1:])
    text = joined(rest)
    return Meant("as_found", f"as found: {text}", {"as_found": text}) if text else None


def should_be_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`should be washer outside`."""
    if words[0].folded == "should" and (len(words) < 2 or words[1].folded.rstrip(":") != "be"):
        return None
    text = joined(words[2:] if words[0].folded == "should" else words[1:])
    return Meant("should_be", f"should be: {text}", {"should_be": text}) if text else None


def photo_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`photo`; `photo 0417` keeps the number in the note."""
    plain = len(words) == 1 or folded(words[1:]) == "taken"
    return Meant("photo_taken", "photo taken", {"photo_taken": True}, left="" if plain else joined(words))


def seen_from_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`from below`; `seen from` and `viewed from` with any words."""
    if words[0].folded == "from":
        named, place = all(w.folded in DIRECTION_WORDS for w in words[1:]), joined(words[1:])
    else:
        named, place = len(words) > 2 and words[1].folded == "from", joined(words[2:])
    return Meant("viewed_from", f"seen from {place}", {"viewed_from": place}) if named and place else None


def initials_phrase(words: Words, _: PhraseContext) -> Meant | None:
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
    if phrase in RIGHT_HAND_WORDS:
        return Meant("left_hand", "right-hand thread", {"left_hand": False})
    if phrase in NO_FASTENERS:
        return Meant("no_fasteners", "held by no fasteners", {"no_fasteners": True})
    if phrase in PLANNED_WORDS:
        return Meant("planned", "still to do", {"planned": True})
    return None
