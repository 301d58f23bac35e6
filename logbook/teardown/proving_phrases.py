"""Phrases that prove a danger gone: `dead 0.2 V`, `proved mains 0.2 V meter`, and how a proof is printed as one.

A reading that is not dead, `dead 230 V`, is read as well: it takes back what was proved before.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from logbook.errors import InputError
from logbook.model.dangers import danger_key, each_danger, is_electrical
from logbook.model.proofs import reading_of, taken_words
from logbook.model.step import Hazard, Proof
from logbook.model.unit import Unit
from logbook.teardown.meant import UNNAMED_HAZARD, Meant, PhraseContext, Words
from logbook.teardown.phrases import UNPRINTED, joined, quote, split
from logbook.teardown.vocabulary import MEASURE_WORDS

_NUMBER = re.compile(r"[<≤]?[0-9]+(?:[.,][0-9]+)?[^\W\d_°]*", re.IGNORECASE)
_UNITS = MEASURE_WORDS | {"volt", "volts", "vac", "vdc", "bar", "mbar", "rpm"}
_AFTER_UNIT = frozenset({"ac", "dc"})
PROVING_WORDS = frozenset({"dead", "proved", "proven"})
"""Words that such a phrase starts with."""
MOST_DANGER_WORDS = 20
"""No danger has a longer name; a line is read in time that grows with its length alone."""


def dangers_named(unit: Unit, said: Iterable[Hazard] = ()) -> tuple[str, ...]:
    """The dangers that a phrase can prove gone, each once: those of the line before it, then those of the unit."""
    stated = [*said, *unit.hazards]
    stated += [h for c in unit.components if c.disposal is None for h in c.hazards]
    stated += [h for s in unit.steps for h in s.hazards]
    return tuple(h.what for h in each_danger(stated) if h.what != UNNAMED_HAZARD)


def electrical_of(unit: Unit, said: Sequence[Hazard] = ()) -> tuple[str, ...]:
    """Of these the ones that a voltage proves gone; only that of the line where it names one itself."""
    own = tuple(h.what for h in each_danger(said) if is_electrical(h.what))
    return own if len(own) == 1 else tuple(filter(is_electrical, dangers_named(unit, said)))


def dead_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`dead 0.2 V`, `dead 0.2 V meter`: the one electrical danger that is named is proved gone."""
    if len(words) < 2 or not _NUMBER.fullmatch(words[1].text):
        return None
    dangers = electrical_of(around.unit.unit, around.hazards)
    if len(dangers) == 1:
        return _proof(words, dangers[0], words[1:])
    if dangers:
        asked = f"What is dead, {_either(dangers)}? Say: proved {dangers[0]} {joined(words[1:])}."
    else:
        asked = f"No electrical danger is written down yet. Say which it is: proved mains {joined(words[1:])}."
    return _refused(words, asked)


def proved_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`proved mains 0.2 V`, `proved mains 0.2 V meter`, `proved spring turns freely with a key`."""
    if len(words) > 2 and words[1].quoted and words[2].quoted:
        return _quoted(words)
    known = {danger_key(k) for k in dangers_named(around.unit.unit, around.hazards)}
    number = next((i for i, w in enumerate(words) if i > 1 and not w.quoted and _NUMBER.fullmatch(w.text)), 0)
    longest = min(number or len(words) - 1, MOST_DANGER_WORDS)
    for end in range(longest, 1, -1):
        if danger_key(joined(words[1:end])) in known:
            return _proof(words, joined(words[1:end]), words[end:])
    return _proof(words, joined(words[1:number]), words[number:]) if number else None


def _quoted(words: Words) -> Meant | None:
    """Danger, reading and instrument each in quotes stand as they are."""
    danger, reading, instrument = words[1].text, words[2].text, joined(words[3:])
    return _meant(Proof(danger=danger, reading=reading, instrument=instrument)) if danger and reading else None


def _proof(words: Words, danger: str, rest: Words) -> Meant | None:
    read, instrument = _reading_and_instrument(rest)
    if not read:
        return None
    try:
        reading = reading_of(danger, read)
    except InputError as error:
        return _refused(words, str(error))
    return _meant(Proof(danger=danger, reading=reading, instrument=instrument))


def _reading_and_instrument(rest: Words) -> tuple[str, str]:
    """A number with its unit, then with what it was read; words that are no number are the reading up to “with”."""
    end = len(rest)
    if _NUMBER.fullmatch(rest[0].text):
        end = 1
        if end < len(rest) and rest[0].text[-1].isdigit() and rest[end].folded in _UNITS:
            end += 1
        if end < len(rest) and rest[end].folded in _AFTER_UNIT:
            end += 1
    else:
        end = next((i for i, w in enumerate(rest) if w.folded == "with"), len(rest))
    instrument = rest[end:]
    if instrument and instrument[0].folded == "with":
        article = len(instrument) > 2 and instrument[1].folded in ("a", "the")
        instrument = instrument[2:] if article else instrument[1:]
    return joined(rest[:end]), joined(instrument)


def _meant(proof: Proof) -> Meant:
    return Meant("proofs", taken_words(proof), proofs=(proof,))


def _refused(words: Words, why: str) -> Meant:
    return Meant("proofs", "", problem=why, left=joined(words))


def _either(names: Sequence[str]) -> str:
    return " or ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def proof_phrase(proof: Proof, around: PhraseContext) -> str:
    """A proof as the phrase that says it; around it stands what the line says before."""
    tail = f"{proof.reading} {proof.instrument}".rstrip()
    phrases = [f"proved {proof.danger} {tail}"]
    if electrical_of(around.unit.unit, around.hazards) == (proof.danger,):
        phrases.insert(0, f"dead {tail}")
    if proof.instrument:
        phrases.append(f"proved {proof.danger} {proof.reading} with {proof.instrument}")
    bare = Proof(danger=proof.danger, reading=proof.reading, instrument=proof.instrument)
    for phrase in phrases:
        if _reads_as(phrase, bare, around):
            return phrase
    said = " ".join(quote(text) for text in (proof.danger, proof.reading, proof.instrument) if text)
    return f"proved {said}"


def _reads_as(phrase: str, proof: Proof, around: PhraseContext) -> bool:
    if UNPRINTED.search(phrase):
        return False
    pieces = split(f"x, {phrase}")
    if len(pieces) != 2 or pieces[1].note is not None or pieces[1].start != 3:
        return False
    words = pieces[1].words
    if any(w.text.startswith('"') for w in words):
        return False
    reader = dead_phrase if words[0].folded == "dead" else proved_phrase
    meant = reader(words, around)
    return meant is not None and meant.proofs == (proof,) and not meant.left
