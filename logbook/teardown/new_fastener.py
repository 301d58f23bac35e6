"""A fastener in a list of its own, in the words of the line at the bench: `4/3 screw 3.5x16 renew, bag 7`."""

from __future__ import annotations

import re

from logbook.model.one_line import RecordReading, read_line
from logbook.model.step import Fastener
from logbook.model.typed_values import NO_CONTEXT, Context
from logbook.model.unit import Unit
from logbook.teardown.fastener_phrase import read_fasteners, starts_like_fasteners
from logbook.teardown.kinds import UnitWords
from logbook.teardown.phrases import sound, split

_BARE_NUMBER = re.compile(r"[0-9]+ *(?:,|$)", re.ASCII)


def fastener_or_more(
    text: str, unit: Unit, context: Context = NO_CONTEXT, *, like: Fastener | None = None
) -> RecordReading:
    """What a line says about a kind of fastener; as many were found as there are places unless it says otherwise.

    Args:
        text: anything that can be typed. Where it begins with a count it is read as at the bench, else as in every
            other list: “screw 3.5x16, 4, 3”.
        unit: its kinds are known by their words.
        context: what days and amounts are read against.
        like: a fastener that this one is a copy of; the line then says only what differs.
    """
    first = split(sound(text))[0]
    rest = text[first.end :].lstrip(" ,;")
    says_found_after = _BARE_NUMBER.match(rest) is not None
    counted = None
    if first.words and starts_like_fasteners(first.words) and not says_found_after:
        counted = read_fasteners(first.words, UnitWords(unit))
    if counted is None or len(counted.found) != 1:
        return read_line(Fastener, text, context, like=like)
    found = counted.found[0]
    said = {n: getattr(found, n) for n, field in Fastener.model_fields.items() if getattr(found, n) != field.default}
    reading = read_line(Fastener, rest, context, like=like, given={n: v for n, v in said.items() if n != "piece"})
    doubts = (counted.problem,) if counted.problem else ()
    return reading._replace(values={**reading.values, "piece": found.piece}, doubts=doubts)
