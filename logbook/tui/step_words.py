"""A step in plain words for the screens: its fields one a line, and what a line was read as."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.model.members import LEFT_HAND, left_hand_of
from logbook.model.proofs import live_warning, taken_words
from logbook.model.step import Fastener, Step
from logbook.model.words import Action, Certainty, Then
from logbook.render.plain import clean, fitted, wrapped
from logbook.teardown.bench_line import UNSAID, LineReading, Phrase
from logbook.teardown.hold_answers import hold_sign
from logbook.teardown.kinds import bags_inside
from logbook.teardown.vocabulary import nearest_word

LABEL_COLUMNS = 8
UNSAID_SIGN = "·"


def fastener_in_words(fastener: Fastener) -> str:
    """One kind as it reads on the screen: `6/5 screw 3.5x16`, `8 bush -> renew`."""
    count = str(fastener.holes) if fastener.holes == fastener.found else f"{fastener.holes}/{fastener.found}"
    then = "" if fastener.then is Then.REUSE else f" -> {fastener.then}"
    then += f" as {fastener.renew_as}" if fastener.renew_as else ""
    then += f", {fastener.new_here} here" if fastener.new_here else ""
    bag = f" (bag {fastener.bag})" if fastener.bag else ""
    return f"{count} {fastener.kind}{then}{bag}" + (" (stays empty)" if fastener.stays_empty else "")


def flags_in_words(step: Step) -> str:
    """What to watch in a step, the worst first; words only, so that it reads without colour."""
    flags = [f"{h.signal} {h.what}" for h in step.hazards]
    flags += [taken_words(p) for p in step.proofs]
    flags += ["one-way"] if step.one_way is not None else []
    flags += _left_hand(step, LEFT_HAND)
    flags += ["as found WRONG"] if step.as_found_wrong else []
    if step.certainty is not Certainty.SURE:
        open_note = f": {step.certainty_note}" if step.certainty_note else ""
        flags.append(f"~{step.certainty}{open_note}")
    flags += [f"{step.wires} wires"] if step.wires is not None else []
    flags += ["photo"] if step.photo_taken or step.photos else []
    flags += [f"each of {step.each_of}"] if step.each_of else []
    flags += [f"in {step.inside}"] if step.inside else []
    flags += ["still to do"] if step.planned else []
    return ", ".join(flags)


def signs_of(step: Step) -> str:
    """The flags in the fewest words, for a list: `WARNING, one-way, photo`."""
    signs = list(dict.fromkeys(str(h.signal) for h in step.hazards))
    signs += [hold_sign(step)] if step.holds else []
    signs += ["NOT DEAD" if live_warning(step.proofs) else "proved"] if step.proofs else []
    signs += ["one-way"] if step.one_way is not None else []
    signs += _left_hand(step, "LEFT-HAND")
    signs += ["WRONG"] if step.as_found_wrong else []
    signs += [f"~{step.certainty}"] if step.certainty is not Certainty.SURE else []
    signs += [f"{step.wires} wires"] if step.wires is not None else []
    signs += ["photo"] if step.photo_taken or step.photos else []
    signs += [f"each {step.each_of}"] if step.each_of else []
    signs += [f"in {step.inside}"] if step.inside else []
    return ", ".join([*(["to do"] if step.planned else []), *signs])


def _left_hand(step: Step, sign: str) -> list[str]:
    """The sign of a left-hand thread, with the members when it is only theirs."""
    if left_hand_of(step) is not None:
        others = [d.member for d in step.differences if left_hand_of(step, d.member) is None]
        return [f"{sign}, not {' '.join(others)}" if others else sign]
    left = [d.member for d in step.differences if left_hand_of(step, d.member) is not None]
    return [f"{sign} {' '.join(left)} only"] if left else []


def place_in_words(step: Step) -> str:
    """Where what came off lies: `bag 4, box 1`."""
    return ", ".join(f"{name} {value}" for name, value in (("bag", step.bag), ("box", step.box)) if value)


def order_in_words(after: Iterable[str], better_after: Iterable[str]) -> str:
    """What a line says about the order: `after T05 T06, better after T04`."""
    said = (("after", tuple(after)), ("better after", tuple(better_after)))
    return ", ".join(f"{words} {' '.join(codes)}" for words, codes in said if codes)


def how_in_words(step: Step) -> str:
    """How it came off, every action that was said: `unscrewed and cut`; empty when it is not said."""
    actions = [a for a in (step.action, *step.also) if a is not Action.UNSAID]
    return " and ".join(map(str, actions))


def draft_lines(reading: LineReading, columns: int, offered: str = "") -> list[str]:
    """The step that a line says, one field a line; what came off is said first, what is unsaid is a dot.

    Args:
        reading: the line as read.
        columns: width of a line.
        offered: what the place key would say next, shown while nothing lies anywhere.
    """
    step = reading.step
    order = order_in_words(reading.after, reading.better_after)
    rest = [step.note, f"as found: {step.as_found}" if step.as_found else ""]
    rest += [f"should be: {step.should_be}" if step.should_be else "", order]
    rest += [f"seen from {step.viewed_from}" if step.viewed_from else ""]
    lines = [
        _labelled("what", step.what if step.what != UNSAID else "?", columns),
        _labelled("how", how_in_words(step) or UNSAID, columns),
        *_spread("out", [fastener_in_words(f) for f in step.fasteners], columns, most=3),
        _labelled("bag", _bags_in_words(step, offered), columns),
        *_spread("flags", flags_in_words(step).split(", "), columns, most=2),
    ]
    return lines + _spread("note", [r for r in rest if r], columns, most=2, unsaid="")


def _bags_in_words(step: Step, offered: str) -> str:
    """Where what came off lies: one place, or each kind its own bag; what is offered while something lies nowhere."""
    if place := place_in_words(step):
        return place.removeprefix("bag ")
    own = bags_inside(step)
    said = f"{', '.join(own)}, as written above" if own else UNSAID_SIGN
    nowhere = [f for f in step.fasteners if f.then is Then.REUSE and not f.bag]
    return f"{said}   next is {offered}" if offered and nowhere else said


def _labelled(label: str, text: str, columns: int) -> str:
    return fitted(f"{label:<{LABEL_COLUMNS}} {clean(text, limit=400)}", columns)


def _spread(label: str, parts: Sequence[str], columns: int, most: int, unsaid: str = UNSAID_SIGN) -> list[str]:
    """Parts with wide gaps between them, over as many lines as they need up to `most`; `…` where some are left out."""
    shown = [clean(p, limit=300) for p in parts if p]
    if not shown:
        return [f"{label:<{LABEL_COLUMNS}} {unsaid}"] if unsaid else []
    rows = wrapped("   ".join(p.replace(" ", "\u00a0") for p in shown), max(10, columns - LABEL_COLUMNS - 1))
    if len(rows) > most:
        rows = [*rows[: most - 1], " ".join(rows[most - 1 :])]
    labels = [label, *[""] * (len(rows) - 1)]
    return [
        fitted(f"{name:<{LABEL_COLUMNS}} {row.strip()}".replace("\u00a0", " "), columns)
        for name, row in zip(labels, rows, strict=True)
    ]


def reading_in_words(reading: LineReading, cursor: int | None = None) -> tuple[str, str]:
    """How one phrase is read, where that says more than its letters, and what is in doubt; either may be empty.

    Args:
        reading: the line as read.
        cursor: where in the line the cursor stands: its phrase is the one that is said; the last one when not given.
    """
    phrase = _phrase_at(reading, cursor)
    read = f"{phrase.text} = {phrase.meaning}" if phrase is not None and phrase.text != phrase.meaning else ""
    doubts = list(reading.problems)
    if reading.unknown:
        kept = (f"{words} ({near}?)" if (near := nearest_word(words)) else words for words in reading.unknown)
        doubts.append(f"Kept as a note: {'; '.join(kept)}")
        read = "" if phrase is not None and phrase.text in reading.unknown else read
    return clean(read, limit=400), clean(" ".join(doubts), limit=400)


def _phrase_at(reading: LineReading, cursor: int | None) -> Phrase | None:
    """The phrase in which the cursor stands, or behind which it stands."""
    if not reading.phrases:
        return None
    if cursor is None:
        return reading.phrases[-1]
    return next((p for p in reversed(reading.phrases) if p.start <= cursor), reading.phrases[0])
