"""Phrases that count or number something: fasteners, wires, minutes, weight, bags and boxes."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from itertools import pairwise

from logbook.errors import InputError
from logbook.model.measures import hours_and_minutes, parse_minutes
from logbook.model.plural import counted
from logbook.model.step import Fastener
from logbook.model.words import Then
from logbook.teardown.connection_phrase import connection_phrase, wires_counted
from logbook.teardown.fastener_phrase import MOST, read_count_at_end, read_fasteners, starts_like_fasteners
from logbook.teardown.kinds import next_bag, next_box
from logbook.teardown.meant import Meant, PhraseContext, Words
from logbook.teardown.member_phrases import OFFER, named_member, set_for_each
from logbook.teardown.phrases import Word, folded, joined
from logbook.teardown.some_of_a_kind import MISSING, Some
from logbook.teardown.vocabulary import THEN_WORDS

NEXT_WORDS = frozenset({"next", "new"})
"""How the next free bag or box is named."""
LONGEST = 10_000_000
"""More minutes than this are no working time (the record's limit)."""
_MINUTES = re.compile(r"([0-9]{1,9}) ?(?:mins?|minutes?)", re.ASCII)
_DURATION = re.compile(
    r"[0-9]{1,7}(?::[0-9]{2})?(?:[.,][0-9]{1,3})? ?(?:h|hrs?|hours?|mins?|minutes?)"
    r"|[0-9]{1,6} ?(?:h|hours?) ?[0-9]{1,2} ?(?:mins?|minutes?)?",
    re.ASCII,
)
_WEIGHT = re.compile(r"(?:weight )?([0-9]{1,12})(?:[.,]([0-9]{1,9}))? ?(kg|g)", re.ASCII)
_WIRES = re.compile(r"(?:wires? )?([0-9]{1,9})(?: wires?)?", re.ASCII)


def number_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """A phrase that starts with a digit and is no fastener: `5 min`, `5.8 kg`, `2 wires`."""
    if len(words) > 5:
        return None
    text = folded(words)
    return _duration(text) or weight_phrase(words, around)


def _duration(text: str) -> Meant | None:
    minutes = int(plain[1]) if (plain := _MINUTES.fullmatch(text)) else _hours(text)
    if minutes is None or minutes > LONGEST:
        return None
    return Meant("minutes", hours_and_minutes(minutes), {"minutes": minutes})


def _hours(text: str) -> int | None:
    """Minutes of a time said in hours; None when it is none, or no whole number of minutes."""
    if not _DURATION.fullmatch(text):
        return None
    plain = re.sub(r"hrs?|hours?", "h", text.replace("mins", "min"))
    try:
        return parse_minutes(plain.removesuffix("h").rstrip() if ":" in plain else plain)
    except InputError:
        return None


def weight_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`5.8 kg`, `450 g`, `weight 5,8 kg`."""
    match = _WEIGHT.fullmatch(folded(words)) if len(words) <= 3 else None
    if match is None or (match[3] == "g" and match[2]):
        return None
    number = Decimal(f"{match[1]}.{match[2] or 0}").normalize() + 0
    kilograms = number if match[3] == "kg" else (number / 1000).normalize() + 0
    return Meant("weight_kg", f"weight {kilograms:f} kg", {"weight_kg": kilograms})


def wires_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`wires 2`, `2 wires`: counted at the bench; else the connections that the phrase names."""
    match = _WIRES.fullmatch(folded(words)) if len(words) == 2 else None
    if match is None or int(match[1]) > MOST:
        return connection_phrase(words, around)
    return wires_counted(int(match[1]), around)


def minutes_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`minutes 5`, `took 1 h 20 min`."""
    text = folded(words[1:]) if 1 < len(words) <= 6 else ""
    return _duration(f"{text} min" if text.isascii() and text.isdigit() else text)


def fasteners_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """Fasteners, counted before or after their kind (see `fastener_phrase`)."""
    words, each = _each_at_end(words)
    if not words:
        return None
    read = read_fasteners if starts_like_fasteners(words) else read_count_at_end
    said = read(words, around.unit)
    if said is None:
        return None
    if _says_next_bag(words):
        said = said._replace(found=tuple(_in_next_bags(said.found, around)))
    if each is not None:
        return _for_each(said.found, each, words, around)
    meaning = "; ".join(fastener_words(f) for f in said.found)
    return Meant("fasteners", meaning, fasteners=said.found, problem=said.problem)


def _says_next_bag(words: Words) -> bool:
    """Whether a phrase says `bag next`; in quotes it is what the bag is called."""
    return any(one.folded == "bag" and after.folded in NEXT_WORDS for one, after in pairwise(words))


def _in_next_bags(found: Iterable[Fastener], around: PhraseContext) -> Iterator[Fastener]:
    """The fasteners, those of `bag next` each in a bag that nothing else has."""
    named = list(around.bags)
    for fastener in found:
        bag = fastener.bag
        if bag.casefold() in NEXT_WORDS:
            bag = next_bag(around.unit.unit, named=named)
        named.append(bag)
        yield fastener.model_copy(update={"bag": bag})


def _each_at_end(words: Words) -> tuple[Words, int | None]:
    """The phrase without `(3 each)` at its end, and that number."""
    if len(words) < 4:
        return words, None
    number, each = words[-2].text.lstrip("("), words[-1].folded.rstrip(")")
    if each != "each" or not number.isascii() or not number.isdigit() or int(number) > MOST:
        return words, None
    return words[:-2], int(number)


def _for_each(found: tuple[Fastener, ...], each: int, words: Words, around: PhraseContext) -> Meant:
    """Fasteners of which the number for each member of the set was said beside the number in all."""
    of = set_for_each(around.unit.unit)
    if of is None:
        several = "There are several sets: say “each” and which."
        why = several if around.unit.unit.sets else OFFER
        return Meant("fasteners", "", problem=why, left=f"{joined(words)} ({each} each)")
    alike = tuple(f.model_copy(update={"holes": each, "found": each}) for f in found)
    total = found[0].holes if len(found) == 1 else None
    problem = None
    if total is not None and total != each * len(of.members):
        problem = f"{total} in all and {each} for each of {len(of.members)} do not agree; {each} each is kept."
    meaning = "; ".join(fastener_words(f) for f in alike) + f" for each of {of.code}"
    return Meant("fasteners", meaning, fasteners=alike, problem=problem, each_of=of.code)


_SO_MANY = re.compile(r"[0-9]{1,7}", re.ASCII)


def some_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`1 missing`, `2 lost`, `1 renew`, `1 screw 3.5x16 missing`: some of the fasteners that were said before."""
    words, renewed = _without_renewed_as(words)
    first, last = words[0], words[-1]
    if len(words) < 2 or first.quoted or not _SO_MANY.fullmatch(first.text):
        return None
    then = THEN_WORDS.get(last.folded, Then.REUSE)
    fate = MISSING if last.folded in ("missing", "short") else "" if then is Then.REUSE else str(then)
    count, named = int(first.text), joined(words[1:-1])
    if not fate or not 1 <= count <= MOST or (named and fate != MISSING):
        return None
    kind = (around.unit.known_kind(named) or named) if named else ""
    some = Some(count, fate, kind, renewed)
    return Meant("fasteners", f"{count} {kind or 'of them'} {some.fate_in_words}", some=some)


def renewed_as_phrase(words: Words) -> str:
    """What `renew as screw M4x16` says that something said before is renewed as; nothing for another phrase."""
    says_so = len(words) > 2 and words[0].folded in ("renew", "renewed") and words[1].folded == "as"
    return joined(words[2:]) if says_so else ""


def _without_renewed_as(words: Words) -> tuple[Words, str]:
    """`1 lost renew as screw M4x16` without its end, and what that says; `1 renew as 3x20` is renewed."""
    for i in range(1, len(words) - 2):
        word = words[i].folded
        if words[i + 1].folded != "as" or word not in ("renew", "renewed", "lost"):
            continue
        has_fate = word != "lost" and words[i - 1].folded in ("lost", "missing", "short")
        return words[: i if has_fate else i + 1], joined(words[i + 2 :])
    return words, ""


def fastener_words(fastener: Fastener) -> str:
    """One kind of fastener in words: `6 places, 5 found: screw 3.5x16, reuse, bag 1`."""
    whole = fastener.holes == fastener.found
    count = f"{fastener.holes} {fastener.kind}" if whole else ""
    count = count or f"{counted(fastener.holes, 'place')}, {fastener.found} found: {fastener.kind}"
    empty = ", stays empty" if fastener.stays_empty else ""
    if fastener.renew_as:
        empty += f"{', renew' if fastener.then is Then.LOST else ''} as {fastener.renew_as}"
    empty += f", {fastener.new_here} here" if fastener.new_here else ""
    return f"{count}, {fastener.then}{empty}" + (f", bag {fastener.bag}" if fastener.bag else "")


_CONTAINER = re.compile(r"(bag|box)#?([0-9]{1,9}[a-z]?)", re.ASCII)
_NUMBER_SIGNS = frozenset({"no", "no.", "nr", "nr.", "number", "#"})


def parted(words: Words) -> Words:
    """`bag4` as two words."""
    first = words[0]
    match = _CONTAINER.fullmatch(first.folded)
    if match is None:
        return words
    cut = first.end - len(match[2])
    number = Word(first.text[-len(match[2]) :], match[2], cut, first.end, quoted=False)
    return (Word(match[1], match[1], first.start, cut, quoted=False), number, *words[1:])


def container_phrase(words: Words, around: PhraseContext, keyword: str) -> Meant | None:
    """`bag 4`, `box no. 2 FRAGILE`, `bag next`: the number, with what follows it for the note."""
    rest = words[1:]
    if rest and rest[0].folded in _NUMBER_SIGNS:
        rest = rest[1:]
    if not rest:
        return Meant(keyword, "", problem=f"Which {keyword}?", left=joined(words))
    value = rest[0].text if rest[0].quoted else rest[0].text.lstrip("#")
    if folded(rest) in NEXT_WORDS:
        value = next_bag(around.unit.unit, named=around.bags) if keyword == "bag" else next_box(around.unit.unit)
    if len(rest) > 1 and not (rest[0].quoted or any(c.isdigit() for c in value)):
        return None
    whose = named_member(joined(rest[1:]), around.unit.unit, around.each_of) if len(rest) > 1 else None
    if keyword == "bag" and whose is not None:
        of, member = whose
        own = Meant("bag", f"bag {value}", {"bag": value})
        return Meant("differences", f"{member.code}: bag {value}", of_members=((member.code, own),), each_of=of.code)
    return Meant(keyword, f"{keyword} {value}", {keyword: value}, left=joined(rest[1:]))


def bag_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`bag 4`."""
    return container_phrase(words, around, "bag")


def box_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`box 1`."""
    return container_phrase(words, around, "box")


def new_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`new bag`, `next box`."""
    if len(words) == 2 and words[1].folded in ("bag", "box"):
        return container_phrase((words[1], words[0]), around, words[1].folded)
    return None
