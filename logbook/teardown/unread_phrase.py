"""What of a line that is not understood has to be asked about, and in which words."""

from __future__ import annotations

from itertools import pairwise

from logbook.model.dangers import MAINS
from logbook.model.proofs import is_live
from logbook.teardown.connection_phrase import names_connection, wire_without_number
from logbook.teardown.meant import Words
from logbook.teardown.phrases import Word, joined
from logbook.teardown.vocabulary import work_in_words

_WORDS_OF_A_READING = ("measured", "read", "measure", "reads", "meter")
"""Beside a voltage they say that somebody looked at a meter: `12 V` alone is what a lamp is made for."""


def wants_asking(words: Words) -> bool:
    """Whether a phrase that was not understood is asked about at the desk.

    It is when it holds a number, speaks of a bag, or says what is to be done.
    """
    if work_in_words(joined(words)):
        return True
    return any(c.isdigit() for w in words for c in w.text) or any(w.folded in ("bag", "bags", "box") for w in words)


def not_read(words: Words) -> str | None:
    """The sentence for a phrase of which somebody thinks that it was read: it would be missing on the way back."""
    return _connection_without_ends(words) or wire_without_number(words) or _volts_that_prove_nothing(words)


def _connection_without_ends(words: Words) -> str | None:
    if not names_connection(words):
        return None
    kind, code = words[0].text, words[1].text.rstrip(":")
    return (
        f"{joined(words)}: which {words[0].folded} is that, and where does it go? It stands in the note alone, not on "
        f"the list: say “{kind} {code} from … to …”."
    )


def _volts_that_prove_nothing(words: Words) -> str | None:
    """A voltage that was read and is said without “dead”: `0.1 V measured`."""
    if not any(word.folded in _WORDS_OF_A_READING for word in words):
        return None
    reading = next((pair for pair in pairwise(words) if _is_volts(*pair)), None)
    if reading is None:
        return None
    said = joined(reading)
    if is_live(MAINS, said):
        return f"{said} is not dead, and it stands in the note alone: say “dead 0.1 V” once it is."
    return f"It stands in the note and proves nothing: say “dead {said}” when it is safe."


def _is_volts(number: Word, unit: Word) -> bool:
    return number.text[:1].isdigit() and unit.folded.rstrip(".") in ("v", "volt", "volts", "mv")
