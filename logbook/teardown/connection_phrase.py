"""Wires and what else joins two points, said in a line: connections, never fasteners.

6 wires                          counted; each is written down later
2 wires W4                       W4 and W5, their ends to be written
wire W6 from switch tag 2 to transformer
1 wire cut                       the next free number, cut
1 wire green-yellow from a to b  its colour
wire W6 earth from a to b        what it is for or called, between its number and “from”
wire W6 from tag 2 to ?          an end that is still to be written
wire W6 from a to b renew        a new one is fitted; so with lost, scrap; cut
wire W6 one end at switch tag 2  only this end was undone here
hose, belt, hose renew           one of it; renew: a new one is fitted
renew wire W6, 1 lost            the same: a new one is fitted
3 wires, 1 renew                 one of them gets a number and is renewed
W1 brown: cord to switch 1       as its label says: number, colour, and the two ends
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from logbook.model.edits import with_changes
from logbook.model.step import Connection
from logbook.model.unit import Unit
from logbook.model.unwritten import is_unwritten_end
from logbook.model.words import ConnectionKind
from logbook.teardown.kinds import singular
from logbook.teardown.meant import Meant, PhraseContext, Words
from logbook.teardown.phrases import Word, folded, joined, quote
from logbook.teardown.vocabulary import COLOURS, OF_WIRE, TRACER_WORDS

KINDS = {
    "wire": ConnectionKind.WIRE,
    "plug": ConnectionKind.PLUG,
    "hose": ConnectionKind.HOSE,
    "belt": ConnectionKind.BELT,
    "linkage": ConnectionKind.LINKAGE,
}
"""Words that a connection is recognised by, in the singular."""
_LEADS = frozenset({"cord", "lead", "cable"})
"""Other words for a wire, where its number stands behind them; without one they are the thing itself."""

CUT = "cut"
MOST_AT_ONCE = 60
"""More connections than this are only counted."""
_COUNT = re.compile(r"[0-9]{1,7}", re.ASCII)
_CODE = re.compile(r"([A-Za-z]{1,3})([0-9]{1,5})", re.ASCII)


_FROM = Word("from", "from", 0, 0, quoted=False)
"""What a label leaves out before its first end."""


class _Said(NamedTuple):
    """What stands behind the word for a connection."""

    codes: tuple[str, ...]
    values: dict[str, object]


def connection_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """The connections that a phrase says, or None when it says none."""
    labelled = _labelled_wire(words, around)
    if labelled is not None:
        return labelled
    is_renewed = len(words) > 1 and words[0].folded in ("renew", "renewed")
    count, rest = _counted(words[1:] if is_renewed else words)
    kind = KINDS.get(singular(rest[0].folded)) if rest and not rest[0].quoted else None
    if kind is None and names_connection(rest):
        kind = ConnectionKind.WIRE
    if kind is None:
        return None
    said = _rest(rest[1:])
    if said is not None and "function" in said.values and not _can_have_function(kind, count, said, rest):
        said = None
    if said is not None and is_renewed:
        said = said._replace(values=said.values | {"renew": True})
    if said is None:
        return _wires_only_counted(count, rest, around) if kind is ConnectionKind.WIRE else None
    return _connections(kind, count, said, around, rest[0].folded)


def names_connection(words: Words) -> bool:
    """Whether a phrase begins like one connection with its number, `wire W6 …`, however it goes on."""
    if len(words) < 2 or words[0].quoted or words[1].quoted:
        return False
    is_connection = singular(words[0].folded) in (*KINDS, *_LEADS)
    return is_connection and _CODE.fullmatch(words[1].text.rstrip(":")) is not None


def _can_have_function(kind: ConnectionKind, count: int | None, said: _Said, words: Words) -> bool:
    """Whether what stands before the ends is what one connection is for: `wire W6 earth`, not `wire clip`."""
    if said.codes:
        return len(said.codes) == 1 or len(str(said.values["function"]).split()) == 1
    has_end = bool(said.values.keys() & {"start", "end"})
    is_a_wire = OF_WIRE.isdisjoint(singular(word.folded) for word in words[1:2])
    return kind is ConnectionKind.WIRE and count in (None, 1) and has_end and is_a_wire


def _labelled_wire(words: Words, around: PhraseContext) -> Meant | None:
    """`W1 brown: cord to switch 1`: a wire that begins with its number; it says a colour or an end as well.

    Behind the colon one end stands before “to” and the other behind it; without “to” only one is known.
    """
    number = _CODE.fullmatch(words[0].text.rstrip(":"))
    if words[0].quoted or number is None or number[1].upper() != "W":
        return None
    head_ends = next((i for i, word in enumerate(words) if not word.quoted and word.text.endswith(":")), None)
    said = _rest(words[1:]) if head_ends is None else _with_ends(words, head_ends)
    if said is None or not said.values or said.codes:
        return None
    return _connections(ConnectionKind.WIRE, None, said._replace(codes=(number[0].upper(),)), around, "wire")


def label_said(words: Words, around: PhraseContext) -> Connection | None:
    """One wire as its label is spoken, where nobody says a colon: `W1 brown cord to switch 1`; None for all else."""
    if len(words) > 1 and words[0].folded == "wire":
        words = words[1:]
    meant = _labelled_wire(words, around) if words else None
    if meant is None and any(word.folded == "to" for word in words[2:]):
        colour = _colour_at_start(words[1:])
        ends_from = 1 + len(colour)
        meant = _labelled_wire((*words[:ends_from], _FROM, *words[ends_from:]), around)
    return meant.connections[0] if meant is not None and meant.connections else None


def _with_ends(words: Words, head_ends: int) -> _Said | None:
    """What a label says: the colour before its colon, both ends behind it; None when it is no label."""
    last = words[head_ends]
    head = (*words[1:head_ends], last._replace(text=last.text.rstrip(":"), folded=last.folded.rstrip(":")))
    said = _rest(head if head_ends else ())
    ends = words[head_ends + 1 :]
    if said is None or not ends or ends[0].folded == "to":
        return None
    found = _ends(ends) if ends[0].folded == "from" else _ends((_FROM, *ends))
    return None if found is None else said._replace(values=said.values | found)


def _connections(
    kind: ConnectionKind, count: int | None, said: _Said, around: PhraseContext, word: str
) -> Meant | None:
    """What is said of so many connections, called `word`; counted only, when neither number nor end is said."""
    if kind is ConnectionKind.PLUG and not said.codes:
        return None  # without a number it may be a plug of wood, which is a fastener
    if kind is ConnectionKind.WIRE and not (said.codes or said.values):
        # “wire” alone says neither how many nor which; with a number it is a count for the desk.
        return None if count is None else wires_counted(count, around, word)
    if count is not None and not 1 <= count <= MOST_AT_ONCE:
        return None
    codes = _codes(said.codes, count or len(said.codes) or 1, around)
    if codes is None:
        return None
    made = tuple(with_changes(Connection(code=code, kind=kind), **said.values) for code in codes)
    return Meant("connections", "; ".join(map(connection_meaning, made)), connections=made)


def wires_counted(count: int, around: PhraseContext, word: str = "wires", left: str = "") -> Meant:
    """So many wires that the desk writes down one by one; in a step of a set they are so many on each."""
    unit = around.unit.unit
    of = unit.set_called(around.each_of) if around.each_of else unit.whole_set()
    whose = ""
    if of is not None:
        whose = f" on each of {of.code}, {count * len(of.members)} in all"
    elif unit.sets:
        whose = " in all: “each” behind what came off makes it so many on each"
    return Meant("wires", f"{count} {word} counted{whose}", {"wires": count}, left=left)


def numbered_wires(count: int, around: PhraseContext) -> Meant | None:
    """So many wires with the next free numbers, whose ends are still to be written; None for too many."""
    return _connections(ConnectionKind.WIRE, count, _Said((), {"kind": ConnectionKind.WIRE}), around, "wires")


def _wires_only_counted(count: int | None, words: Words, around: PhraseContext) -> Meant | None:
    """`2 wires live and neutral`: wires all the same, the words behind them for the note; not `2 wire ties`."""
    things = {singular(w.folded) for w in words[1:]}
    if count is None or not OF_WIRE.isdisjoint(things):
        return None
    counted = wires_counted(count, around, words[0].folded, joined(words))
    return counted._replace(problem=counted.problem or wire_without_number(words[1:]))


def wire_without_number(words: Words) -> str | None:
    """The sentence for a wire that is told by its colour alone: `blue N to motor`."""
    colour = _colour_at_start(words)
    if not colour or "to" not in [word.folded for word in words[len(colour) :]]:
        return None
    return f"A wire is on the list with its number: say “W1 {joined(colour)}: … to …” for each."


def of_those_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`1 renew`, `2 cut` behind connections: so many of them, never fasteners.

    Of wires that were only counted these get numbers; of connections with numbers the last ones are meant.
    """
    if len(words) != 2 or words[0].quoted or not _COUNT.fullmatch(words[0].text):
        return None
    count = int(words[0].text)
    change = _OF_THOSE.get(words[1].folded)
    if change is None or not 1 <= count <= MOST_AT_ONCE:
        return None
    if around.numbers:
        if count > len(around.numbers):
            return None
        codes = around.numbers[-count:]
        return Meant("connections", f"{', '.join(codes)}: {words[1].folded}", changed=(codes, change))
    numbers = _codes((), count, around) or ()
    made = tuple(with_changes(Connection(code=code), **change) for code in numbers)
    return Meant("connections", "; ".join(map(connection_meaning, made)), connections=made)


_OF_THOSE: dict[str, dict[str, object]] = {
    "renew": {"renew": True},
    "renewed": {"renew": True},
    "lost": {"renew": True},
    "missing": {"renew": True},
    "scrap": {"renew": True},
    "scrapped": {"renew": True},
    "cut": {"joint": CUT},
}
"""What can be said of some of the connections of the phrase before, and behind the ends of one."""


def says_change_only(made: Connection) -> bool:
    """Whether a phrase only says that a connection is renewed or cut, and neither where it goes nor its looks."""
    says_else = made.start or made.end or made.colour or made.function or made.one_end or made.loose_end
    return not says_else and bool(made.renew or made.joint)


def connection_meaning(made: Connection) -> str:
    """In words, for the reading below the line: `wire W6 from switch tag 2 to transformer`."""
    return f"{connection_words(made)}{_unwritten_ends(made)}"


def _unwritten_ends(made: Connection) -> str:
    if not (made.start or made.end or made.loose_end):
        return ", its ends are still to be written"
    if (made.start and made.end) or made.one_end or made.loose_end:
        return ""
    return ", its other end is still to be written"


def connection_words(made: Connection) -> str:
    """As a line says it: `wire W6 cut from switch tag 2 to transformer`."""
    words = [str(made.kind), made.code]
    if _colours_in(made.colour):
        words.append(made.colour)
    if made.function:
        words.append(_function_words(made))
    if made.joint.strip().casefold() == CUT:
        words.append(CUT)
    if made.renew:
        words.append("renew")
    if made.loose_end:
        words.append("loose end")
    if made.one_end:
        words.append("one end" if made.start or not made.end else "other end")
        if made.start or made.end:
            words.append(f"at {_place(made.start or made.end)}")
    else:
        if made.start:
            words.append(f"from {_place(made.start)}")
        if made.end:
            words.append(f"to {_place(made.end)}")
    return " ".join(words)


def _colours_in(text: str) -> bool:
    """Whether a text says a colour in words that a line is read by: `brown with white tracer`, `green-yellow`."""
    said = text.split()
    plain = text == " ".join(said) and bool(said) and _is_colour(said[0].casefold())
    return plain and said[-1].casefold() not in ("with", "and") and all(_of_colour(w.casefold()) for w in said)


def _is_colour(word: str) -> bool:
    return all(part in COLOURS for part in re.split(r"[-/]", word))


def _of_colour(word: str) -> bool:
    return word in TRACER_WORDS or _is_colour(word)


def _colour_at_start(words: Words) -> Words:
    """The words at the start that say a colour; none when it begins with something else."""
    length = 0
    while length < len(words) and not words[length].quoted and _of_colour(words[length].folded):
        length += 1
    while length and not _colours_in(joined(words[:length])):
        length -= 1
    return words[:length]


_KNOWN_FUNCTIONS = """
earth ground live neutral phase signal plus minus positive negative common switched feed return
"""
FUNCTIONS = frozenset(_KNOWN_FUNCTIONS.split())
"""What a wire is for, in words that say so wherever they stand behind its number."""


def _function_at_start(words: Words) -> Words:
    """The words at the start that say what a wire is for: all before “from”, else words that say nothing else."""
    if words[0].quoted:
        return words[:1]
    length = 0
    while length < len(words) and not _says_more(words[length : length + 2]):
        length += 1
    said, rest = words[:length], words[length:]
    is_before_from = any(word.folded == "from" and not word.quoted for word in rest)
    is_known = all(word.folded in FUNCTIONS for word in said) and not (rest and rest[0].folded == "to")
    return said if is_before_from or is_known else ()


def _says_more(words: Words) -> bool:
    """Whether the first of these words says something of a connection other than what it is for."""
    first = words[0]
    pair = " ".join(word.folded for word in words[:2])
    said_in_pairs = pair in ("loose end", "one end", "other end")
    return first.quoted or first.folded in ("from", "to", *_OF_THOSE) or said_in_pairs or bool(_colour_at_start(words))


def _function_words(made: Connection) -> str:
    """What a wire is for, in quotes where it would be read as something else."""
    text = made.function
    plain = text == " ".join(text.split()) and not re.search(r'["\\,;:\n]', text)
    words = tuple(Word(each, each.casefold(), 0, 0, quoted=False) for each in text.split())
    says_other = any(_says_more(words[i : i + 2]) or _CODE.fullmatch(word.text) for i, word in enumerate(words))
    is_before_to = bool(made.end and not made.start and not made.one_end)
    is_known = all(word.folded in FUNCTIONS for word in words) and not is_before_to
    is_clear = is_known or bool(made.start and not made.one_end)
    means_other = is_unwritten_end(text) or (words[:1] and words[0].folded in ("and", "&", "+"))
    return text if plain and is_clear and not (says_other or means_other) else quote(text)


def _place(text: str) -> str:
    """The name of an end, in quotes where it would be read as something else."""
    plain = text == " ".join(text.split()) and not re.search(r'["\\,;\n]|\b(?:to|from|at)\b', text, re.IGNORECASE)
    words = text.casefold().split()
    means_more = is_unwritten_end(text) or (bool(words) and words[-1] in _OF_THOSE)
    return text if plain and not means_more else quote(text)


def _counted(words: Words) -> tuple[int | None, Words]:
    first = words[0]
    if not first.quoted and _COUNT.fullmatch(first.text) and len(words) > 1:
        return int(first.text), words[1:]
    return None, words


def _rest(words: Words) -> _Said | None:
    """Numbers, what was done, and the ends; None when there is a word that says none of it."""
    codes: list[str] = []
    values: dict[str, object] = {}
    at = 0
    while at < len(words):
        word = words[at]
        pair = " ".join(w.folded for w in words[at : at + 2])
        colour = () if "colour" in values else _colour_at_start(words[at:])
        if colour:
            values["colour"], at = joined(colour), at + len(colour) - 1
        elif not values.keys() - {"colour"} and _goes_on(word, codes):
            codes.append(word.text.upper())
        elif not word.quoted and word.folded in _OF_THOSE:
            values |= _OF_THOSE[word.folded]
        elif pair == "loose end":
            values["loose_end"], at = True, at + 1
        elif pair in ("one end", "other end"):
            values["one_end"], at = True, at + 1
            place = words[at + 1 :]
            if place:
                if place[0].folded != "at" or len(place) < 2:
                    return None
                values |= _end("start" if pair == "one end" else "end", place[1:])
            return _Said(tuple(codes), values)
        elif word.folded in ("from", "to"):
            ends = _ends(words[at:])
            return None if ends is None else _Said(tuple(codes), values | ends)
        elif word.quoted or word.folded not in ("and", "&", "+"):
            function = () if "function" in values else _function_at_start(words[at:])
            if not function:
                return None
            values["function"], at = joined(function), at + len(function) - 1
        at += 1
    return _Said(tuple(codes), values)


def _goes_on(word: Word, codes: list[str]) -> bool:
    """Whether a word is one more number of connections; `L1` behind `W6` is what the wire is for."""
    number = None if word.quoted else _CODE.fullmatch(word.text)
    first = _CODE.fullmatch(codes[0]) if codes else None
    return number is not None and (first is None or first[1].upper() == number[1].upper())


def _ends(words: Words) -> dict[str, object] | None:
    """`from A to B`, or only one of the two."""
    ends: dict[str, list[Word]] = {}
    side = ""
    for word in words:
        if word.folded in ("from", "to") and word.folded not in ends:
            side = word.folded
            ends[side] = []
        else:
            ends[side].append(word)
    if not all(ends.values()):
        return None
    said: dict[str, object] = {}
    for side, found in ends.items():
        said |= _end({"from": "start", "to": "end"}[side], tuple(found))
    return said


def _end(name: str, words: Words) -> dict[str, object]:
    """An end, and what is said behind it of the whole connection: `terminal L renew`. `?` is no end."""
    said: dict[str, object] = {}
    while words and not words[-1].quoted and words[-1].folded in _OF_THOSE:
        said |= _OF_THOSE[words[-1].folded]
        words = words[:-1]
    if words and not is_unwritten_end(folded(words)):
        said[name] = joined(words)
    return said


def _codes(said: tuple[str, ...], count: int, around: PhraseContext) -> tuple[str, ...] | None:
    """The numbers of so many connections: those said, going on from the last one, or the next free ones."""
    if len(said) > count:
        return None
    taken = [*around.numbers, *numbers_of(around.unit.unit, but=around.unit.code)]
    codes = list(said)
    while len(codes) < count:
        last = _CODE.fullmatch(codes[-1]) if said else None
        codes.append(f"{last[1]}{int(last[2]) + 1}" if last is not None else next_number([*taken, *codes]))
    return tuple(codes)


def numbers_of(unit: Unit, *, but: str = "") -> Iterator[str]:
    """The numbers of the connections of a unit, those of one step left out."""
    return (c.code for s in unit.steps if s.code != but for c in s.connections)


def next_number(taken: Iterable[str]) -> str:
    """The next free number of a connection: `W7` after `W6`."""
    used = [int(m[2]) for code in taken if (m := _CODE.fullmatch(code)) and m[1].upper() == "W"]
    return f"W{max(used, default=0) + 1}"
