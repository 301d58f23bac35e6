"""A step in plain words for the screens: its fields one a line, and what a line was read as."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from logbook.model.members import LEFT_HAND, left_hand_of
from logbook.model.new_fasteners import then_in_words
from logbook.model.plural import counted
from logbook.model.proofs import live_warning, taken_words
from logbook.model.step import Fastener, Step
from logbook.model.words import Certainty, Then
from logbook.render.plain import clean, fitted, width
from logbook.teardown.bench_line import UNSAID, LineReading, Phrase
from logbook.teardown.beside_the_step import how_in_words
from logbook.teardown.hold_answers import hold_sign
from logbook.teardown.kinds import bags_inside
from logbook.teardown.of_members import SaidAlone, of_members
from logbook.teardown.vocabulary import nearest_word
from logbook.tui.look.inks import BLANK, Line, Span, fit, flow, line, text_of

LABEL_COLUMNS = 8
UNSAID_SIGN = "·"
SHORT = 40
"""So many characters of a sentence stand beside its sign in a list."""


def fastener_in_words(fastener: Fastener) -> str:
    """One kind as it reads on the screen: `6/5 screw 3.5x16`, `8 bush -> renew`."""
    count = str(fastener.holes) if fastener.holes == fastener.found else f"{fastener.holes}/{fastener.found}"
    then = "" if fastener.then is Then.REUSE else f" -> {then_in_words(fastener)}"
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
    flags += [counted(step.wires, "wire")] if step.wires is not None else []
    flags += ["photo"] if step.photo_taken or step.photos else []
    flags += [f"each of {step.each_of}"] if step.each_of else []
    flags += [f"in {step.inside}"] if step.inside else []
    flags += ["still to do"] if step.planned else []
    return ", ".join(flags)


def signs_of(step: Step) -> str:
    """The flags in the fewest words, for a list: `WARNING, one-way, photo`."""
    signs = list(dict.fromkeys(str(h.signal) for h in step.hazards))
    signs += [_hold_in_short(step)] if step.holds else []
    signs += ["NOT DEAD" if live_warning(step.proofs) else "proved"] if step.proofs else []
    signs += ["one-way"] if step.one_way is not None else []
    signs += _left_hand(step, "LEFT-HAND")
    signs += [_with_short("WRONG", step.as_found)] if step.as_found_wrong else []
    signs += [f"~{step.certainty}"] if step.certainty is not Certainty.SURE else []
    signs += [counted(step.wires, "wire")] if step.wires is not None else []
    signs += ["photo"] if step.photo_taken or step.photos else []
    signs += [f"each {step.each_of}"] if step.each_of else []
    signs += [f"in {step.inside}"] if step.inside else []
    return ", ".join([*(["to do"] if step.planned else []), *signs])


def _hold_in_short(step: Step) -> str:
    """Its hold points in a word, and of an open one what is to be checked."""
    open_now = next((at.hold.what for at in step.holds if at.hold.wants), "")
    return _with_short(hold_sign(step), open_now)


def _with_short(sign: str, what: str) -> str:
    """A sign with the beginning of the sentence that belongs to it: `WRONG: two-core cord, with the…`."""
    said = what.strip().rstrip(".")
    return f"{sign}: {fitted(said, SHORT).rstrip()}" if said else sign


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
    """What a line says about the order: `must come off after T05 T06, better come off after T04`."""
    said = (("must come off after", tuple(after)), ("better come off after", tuple(better_after)))
    return ", ".join(f"{words} {' '.join(codes)}" for words, codes in said if codes)


def draft_lines(
    reading: LineReading, columns: int, rows: int = 99, offered: str = "", *, planned: bool = False
) -> list[Line]:
    """The step that a line says; what came off is said first, what is unsaid is a dot.

    Args:
        reading: the line as read.
        columns: width of a row.
        rows: how many there are; without room for a row for each kind, kinds stand beside each other.
        offered: what the place key would say next, shown while nothing lies anywhere.
        planned: it is not done yet; once it is kept, it is.
    """
    step = reading.step
    what = step.what if step.what != UNSAID else "?"
    head = [
        *_labelled("what", (Span(clean(what, limit=400), "bold"),), columns),
        *_labelled("how", (Span(how_in_words(step) or UNSAID, "head" if how_in_words(step) else "muted"),), columns),
    ]
    rest = [
        *_labelled("bag", tuple(_bags_in_words(step, offered, planned=planned)), columns),
        *_labelled("flags", _spread(flags_in_words(step).split(", "), "head"), columns),
        *_notes(reading, columns),
    ]
    each = kinds_in_rows(step.fasteners, columns)
    members = of_members(reading)
    own = _member_rows(members, columns)
    if len(head) + len(each) + len(rest) + len(own) <= rows:
        return [*head, *each, *rest, *own]
    beside = _labelled("out", _spread([fastener_in_words(f) for f in step.fasteners], "accent"), columns)
    common = [*head, *beside, *rest]
    if own and len(common) + len(own) > rows:
        common = [row for row in common if not _says_nothing(row)]
        own = _fewer_member_rows(members, columns, max(1, rows - len(common)))
    return [*common, *own]


def _member_rows(members: Sequence[SaidAlone], columns: int) -> list[Line]:
    """For each member what is said of it alone, behind its code; what is the same for all stands as “also”."""
    rows: list[Line] = []
    for of in members:
        label = f"{clean(of.member, limit=40)} only" if of.member else "also"
        rows += _labelled(
            fitted(label, min(width(label), LABEL_COLUMNS)), _spread(of.said, "accent" if of.member else ""), columns
        )
    return rows


def _fewer_member_rows(members: Sequence[SaidAlone], columns: int, rows: int) -> list[Line]:
    """The same in so many rows: each member on one, the last of them counting what has no room."""
    whole = _member_rows(members, columns)
    if len(whole) <= rows:
        return whole
    each = [
        fit(line(*(span for row in _member_rows([of], 4 * columns)[:1] for span in row)), columns) for of in members
    ]
    if len(each) <= rows:
        return each
    left = len(each) - rows + 1
    more = Span(f"{'':<{LABEL_COLUMNS}} +{left} more, as the line says", "muted")
    return [*each[: rows - 1], fit(line(more), columns)]


def _says_nothing(row: Line) -> bool:
    return text_of(row)[LABEL_COLUMNS:].strip() == UNSAID_SIGN


def kinds_in_rows(fasteners: Sequence[Fastener], columns: int) -> list[Line]:
    """Each kind on a row: how many came off, what, how many of how many, and what becomes of it."""
    if not fasteners:
        return _labelled("out", (Span(UNSAID_SIGN, "muted"),), columns)
    kinds = [clean(f.kind, limit=300) for f in fasteners]
    counts = [f"{f.found} of {f.holes}" for f in fasteners]
    number = max(len(str(f.found)) for f in fasteners)
    room = max(map(width, counts)) + max(width(becomes_in_words(f)) for f in fasteners)
    kind_columns = min(max(map(width, kinds)), columns - LABEL_COLUMNS - number - room - 7)
    if kind_columns < max(map(width, kinds)):
        return _labelled("out", _spread([fastener_in_words(f) for f in fasteners], "accent"), columns)
    rows: list[Line] = []
    for fastener, kind, count in zip(fasteners, kinds, counts, strict=True):
        label = Span(f"{'' if rows else 'out':<{LABEL_COLUMNS}} ", "muted")
        short = fastener.found < fastener.holes
        rows.append(
            line(
                label,
                Span(f"{fastener.found:>{number}}  ", "bold"),
                fit((Span(kind, "accent"),), kind_columns),
                Span(f"  {count:<{max(map(width, counts))}}", "bold wait" if short else "muted"),
                Span(f"  {becomes_in_words(fastener)}", THEN_INKS[fastener.then]),
            )
        )
    return rows


THEN_INKS = {Then.REUSE: "good", Then.RENEW: "bold wait", Then.SCRAP: "muted", Then.LOST: "bold bad"}


def becomes_in_words(fastener: Fastener) -> str:
    """What becomes of a kind, and where it lies: `reuse, bag 3`, `RENEW as M4x12`."""
    said = [str(fastener.then).upper() if fastener.then is Then.RENEW else str(fastener.then)]
    if fastener.renew_as:
        said[0] += f"{', renew' if fastener.then is Then.LOST else ''} as {clean(fastener.renew_as, limit=100)}"
    said += [f"{fastener.new_here} here"] if fastener.new_here else []
    said += [f"bag {clean(fastener.bag, limit=40)}"] if fastener.bag else []
    said += ["stays empty"] if fastener.stays_empty else []
    return ", ".join(said)


def _bags_in_words(step: Step, offered: str, *, planned: bool) -> Iterator[Span]:
    """Where what came off lies, and how many pieces go there; what is offered while something lies nowhere."""
    own = bags_inside(step)
    place = clean(place_in_words(step), limit=100).removeprefix("bag ")
    of_members = any(d.bag for d in step.differences)
    where = "as written below" if of_members else "as written above"
    words = place or (f"{', '.join(own)}, {where}" if own else UNSAID_SIGN)
    yield Span(words, "muted" if words == UNSAID_SIGN else "bold good")
    nowhere = [f for f in step.fasteners if f.then is Then.REUSE and not f.bag]
    if offered and nowhere and not place and not of_members:
        yield Span(f"{_GAP}next is {offered}", "muted")
    yield from _pieces_in_words(step, planned=planned)


def _pieces_in_words(step: Step, *, planned: bool) -> Iterator[Span]:
    """How many go into the bag, are renewed, and came out together; of a set each member has its own.

    Of a step that is only planned nothing has come out yet.
    """
    if not step.fasteners or step.each_of:
        return
    out = sum(f.found for f in step.fasteners)
    into = sum(f.found for f in step.fasteners if f.then is Then.REUSE and not f.bag)
    renewed = sum(f.holes for f in step.fasteners if f.then is Then.RENEW)
    if step.bag and into:
        yield Span(f"{_GAP}{into}", "bold good")
        yield Span(" will go into the bag" if planned else " into the bag")
    if renewed:
        yield Span(f"{_GAP}{renewed}", "bold wait")
        yield Span(" to renew")
    yield Span(f"{_GAP}{out}", "bold")
    yield Span(" to come out" if planned else " came out")


def _notes(reading: LineReading, columns: int) -> list[Line]:
    """The note and what else was said, and what must come off before it; nothing while there is none."""
    step = reading.step
    said = [step.note, f"as found: {step.as_found}" if step.as_found else ""]
    said += [f"should be: {step.should_be}" if step.should_be else ""]
    said += [f"seen from {step.viewed_from}" if step.viewed_from else ""]
    rows = _labelled("note", _spread(said, ""), columns) if any(said) else []
    order = order_in_words(reading.after, reading.better_after)
    return [*rows, *(_labelled("order", _spread([order], ""), columns) if order else [])]


def _spread(parts: Sequence[str], ink: str) -> Line:
    """Parts with wide gaps between them; a dot for none."""
    shown = [clean(part, limit=300) for part in parts if part]
    return line(*(Span(f"{_GAP if number else ''}{part}", ink) for number, part in enumerate(shown))) or (
        Span(UNSAID_SIGN, "muted"),
    )


def _labelled(label: str, said: Line, columns: int) -> list[Line]:
    """Words behind their label, over as many rows as they need."""
    first, *rest = flow(said, columns - LABEL_COLUMNS - 1) or [BLANK]
    named = Span(f"{label:<{LABEL_COLUMNS}} ", "muted")
    rows = [line(named, first), *(line(" " * (LABEL_COLUMNS + 1), row) for row in rest)]
    return [tuple(Span(span.text.replace(_FIXED, " "), span.ink) for span in row) for row in rows]


_FIXED = "\u00a0"
"""A blank at which no row ends."""
_GAP = f"{_FIXED}{_FIXED} "


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
        doubts.append(f"Kept as a note: {'; '.join(map(_with_what_it_may_be, reading.unknown))}")
        read = "" if phrase is not None and phrase.text in reading.unknown else read
    return clean(read, limit=400), clean(" ".join(doubts), limit=400)


def _with_what_it_may_be(words: str) -> str:
    """Words that were not understood, with those that they may be a slip of."""
    near = nearest_word(words)
    if near.startswith("one-way "):
        return f"{words} (had to be broken? Say “{near}”, or Right.)"
    return f"{words} ({near}? Right takes it)" if near else words


def _phrase_at(reading: LineReading, cursor: int | None) -> Phrase | None:
    """The phrase in which the cursor stands, or behind which it stands."""
    if not reading.phrases:
        return None
    if cursor is None:
        return reading.phrases[-1]
    return next((p for p in reversed(reading.phrases) if p.start <= cursor), reading.phrases[0])
