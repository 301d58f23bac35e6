"""`H1` in a line: the number of a hold point, as it stands on the list and on paper, and of nothing else by itself.

hold H1 earth read ohm           the hold point with the number that it has on a drawing or on paper
hold point H1: earth             the same
H1 earth read ohm by AB          the same: read, reading, by and because say what it is
H1 hose from pump to tap         a hose that is numbered so, because the phrase says hose
H1 from pump to tap              the same: only what joins two points has ends
H1, hold H1, H1 452              asked: nobody can know what is meant
"""

from __future__ import annotations

import re
from typing import NamedTuple

from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import ConnectionKind
from logbook.teardown.connection_phrase import KINDS, connection_phrase
from logbook.teardown.kinds import singular
from logbook.teardown.meant import Meant, PhraseContext, Words
from logbook.teardown.phrases import Word, joined

_CODE = re.compile(r"h[0-9]{1,3}:?", re.ASCII)
_POINT = "point"
HOLD_KEYWORDS = ("read", "reading", "by", "because")
"""What of a hold point stands behind which word."""
_SAY_WHAT = "What is checked at this hold point? Say it like “{hold} earth read ohm”."
_SAY_WHICH = "{code} is {known}. Of a hold point say “hold {code} earth read ohm”, of a hose “hose {code} from … to …”."


UNNUMBERED_HOLD = "H"
"""The code of a hold point that a line makes, until its step is kept and it gets a number."""


class CodedHold(NamedTuple):
    """The words behind `hold`, without the number that it is given."""

    code: str
    """`H1`; empty when none is said."""
    words: Words


def coded_hold(words: Words) -> CodedHold:
    """The number of a hold point and the words that say it; `point` before either is no word of it."""
    if len(words) > 1 and words[0].folded == _POINT:
        words = words[1:]
    if words and _is_code(words[0]):
        return CodedHold(_code(words[0]), words[1:])
    return CodedHold("", words)


def asks_what_is_checked(code: str, words: Words) -> Meant:
    """`hold H1`, `hold`: a hold point of which is not said what is checked."""
    return Meant("hold", "", problem=_SAY_WHAT.format(hold=f"hold {code}".rstrip()), left=joined(words))


def begins_like_a_code(text: str) -> bool:
    """Whether a text would be read as the number of a hold point, or as the word before it, and needs quotes."""
    first, _, rest = text.strip().partition(" ")
    return bool(_CODE.fullmatch(first.casefold())) or (first.casefold() == _POINT and bool(rest))


def coded_connection(words: Words, around: PhraseContext) -> Meant | None:
    """`H1 hose from pump to tap`, `H1 from pump to tap`: a connection with this number; None when it is none."""
    rest = words[1:]
    if not _is_code(words[0]) or not rest:
        return None
    code = _code(words[0])
    is_named = singular(rest[0].folded) in KINDS and not rest[0].quoted
    if not is_named and rest[0].folded not in ("from", "to"):
        return None
    word = rest[0] if is_named else _kind_word(code, around.unit.unit, words[0])
    number = words[0]._replace(text=code, folded=code.casefold())
    return connection_phrase((word, number, *(rest[1:] if is_named else rest)), around)


def asks_which(words: Words, around: PhraseContext) -> Meant | None:
    """`H1`, `H1 452`: nobody can know what is meant, so it is asked; None when no number stands at the start."""
    if not _is_code(words[0]):
        return None
    code = _code(words[0])
    known = _known_as(code, around) or "not known here"
    return Meant("hold", "", problem=_SAY_WHICH.format(code=code, known=known), left=joined(words))


def is_taken(code: str, around: PhraseContext) -> str | None:
    """The sentence that a number is another hold point's; None when it is free."""
    other = other_with_code(code, around.unit.unit, but=around.unit.code) if code else None
    if other is None:
        return None
    return f"{code} is the hold point at {other.code} already; this one gets the next number."


def other_with_code(code: str, unit: Unit, *, but: str) -> Step | None:
    """The step whose hold point has this number, that of the step `but` left out; None when it is free."""
    for step in unit.steps:
        points = (*(at.hold for at in step.holds), step.refit.hold)
        if step.code != but and any(point is not None and point.code.upper() == code.upper() for point in points):
            return step
    return None


def says_a_hold(words: Words) -> bool:
    """Whether a phrase that begins with `H1` says what is checked, read or initialled there."""
    rest = words[1:]
    says_by_whom = any(word.folded.rstrip(":") in HOLD_KEYWORDS for word in rest[1:])
    return _is_code(words[0]) and bool(rest) and (rest[0].folded == "hold" or says_by_whom)


def _is_code(word: Word) -> bool:
    return not word.quoted and bool(_CODE.fullmatch(word.folded))


def _code(word: Word) -> str:
    return word.text.rstrip(":").upper()


def _kind_word(code: str, unit: Unit, at: Word) -> Word:
    """The word for the connection that has this number already; of a new one it is a hose."""
    kinds = (c.kind for step in unit.steps for c in step.connections if c.code.upper() == code)
    kind = next(kinds, ConnectionKind.HOSE)
    return at._replace(text=str(kind), folded=str(kind))


def _known_as(code: str, around: PhraseContext) -> str:
    """What has this number in the unit: `the hold point at T02`; empty when nothing has."""
    unit = around.unit.unit
    holding = other_with_code(code, unit, but="")
    if holding is not None:
        return f"the hold point at {holding.code}"
    joined_at = ((c, step.code) for step in unit.steps for c in step.connections)
    connection = next(((c, at) for c, at in joined_at if c.code.upper() == code), None)
    if connection is not None:
        return f"the {connection[0].kind} at {connection[1]}"
    held = next((h for h in unit.held_dimensions if h.code.upper() == code), None)
    return f"a size that is held ({held.what})" if held is not None else ""
