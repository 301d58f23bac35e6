"""Things of a step that a line names and that are records of their own: what came out, and what is bought for it.

component lamp             it came out here
left component 60 W lamp   of the left one alone; a number in a name is no count
new part lamp holder x2    two that the refit needs and that are not the old ones
component lamp renew as lamp 40 W   the old one does not go back, the new part takes its place and is bought once
one starter for both       one that all of a set share: it came out here once, and is counted, asked for and bought once
component starter for all, new part holder for both       the same, with the word for it
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

from logbook.model.numbering import next_code
from logbook.model.starters import seen
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition
from logbook.model.work import Part
from logbook.teardown.fastener_phrase import MOST
from logbook.teardown.kinds import singular
from logbook.teardown.meant import Meant, PhraseContext, SaidThing, Words
from logbook.teardown.number_phrases import new_phrase
from logbook.teardown.phrases import UNPRINTED, joined, quote
from logbook.teardown.vocabulary import THREADED

COMPONENT = "component"
PART = "new part"
LONGEST_NAME = 200
_TIMES = re.compile(r"[x×]([1-9][0-9]{0,5})", re.ASCII)


class _Named(NamedTuple):
    name: str
    quantity: int


def shared_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`one starter for both`: what all of a set share; None when nothing is said to be shared.

    A step of a set counts for each of it. What belongs to all of them together is a thing of its own, of no member.
    """
    rest = _before_for_all(words)
    if [word.folded for word in words[:3]] == ["both", *PART.split()]:
        rest = words[1:]
    unit = around.unit.unit
    of = unit.set_called(around.each_of) if around.each_of else None
    if not rest or not (around.each_of or unit.sets):
        return None
    whose = f", for all of {of.code if of is not None else around.each_of or 'the set'} together"
    if rest[0].folded == COMPONENT or [word.folded for word in rest[:2]] == PART.split():
        is_part = rest[0].folded != COMPONENT
        meant = new_thing_phrase(rest, around) if is_part else component_phrase(rest, around)
        return None if meant is None or not meant.things else meant._replace(meaning=f"{meant.meaning}{whose}")
    text = joined(rest[1:])
    if rest[0].folded not in _ONE or not text or len(text) > LONGEST_NAME:
        return None
    if around.unit.known_kind(text) is not None or not THREADED.isdisjoint(singular(w.folded) for w in rest[1:]):
        return Meant("things", "", problem=_COUNTED_ON_EACH.format(text=text), left=joined(words))
    thing = SaidThing(COMPONENT, text)
    return Meant("things", f"{thing_words(thing)}, came out here{whose}", things=(thing,))


_COUNTED_ON_EACH = (
    "{text}: a step of a set counts screws on each of it. Say “component {text} for both”, and it is one; "
    "or write it at a step of its own that is no set's."
)
_ONE = frozenset({"1", "one", "a", "an"})
_FOR_ALL = tuple(tuple(said.split()) for said in ("for both", "for all", "for the pair", "for the set"))


def _before_for_all(words: Words) -> Words:
    """The words before `for both` at the end of a phrase; none where it does not end so."""
    length = _length_of_for_all([word.folded for word in words])
    return words[:-length] if length else ()


def _length_of_for_all(words: Sequence[str]) -> int:
    """How many words at the end say that a thing is for all of a set; 0 where none does or nothing is before them."""
    ends = (end for end in _FOR_ALL if len(words) > len(end) and tuple(words[-len(end) :]) == end)
    return next((len(end) for end in ends), 0)


def component_phrase(words: Words, _: PhraseContext) -> Meant | None:
    """`component lamp`, `component lamp x2 renew as lamp 40 W`: what came out here and is worth a name of its own."""
    head, renewed = _without_renewed(words[1:])
    named = _named(head)
    if named is None:
        return None
    renew_as = joined(renewed) if renewed else ""
    if len(renew_as) > LONGEST_NAME:
        return None
    thing = SaidThing(COMPONENT, named.name, named.quantity, "", renewed is not None, renew_as)
    return _meant(thing, "came out here")


_RENEWED = frozenset({"renew", "renewed"})


def _without_renewed(words: Words) -> tuple[Words, Words | None]:
    """The words before `renew as lamp 40 W`, and what the new one is called; None where it is not renewed."""
    for i in range(1, len(words)):
        if words[i].quoted or words[i].folded not in _RENEWED:
            continue
        rest = words[i + 1 :]
        if not rest:
            return words[:i], ()
        if rest[0].folded == "as" and len(rest) > 1:
            return words[:i], rest[1:]
    return words, None


_RENEW_IT = frozenset(
    {"renew", "renewed", "renew it", "to renew", "to be renewed", "needs renewing"}
    | {"replace", "replace it", "to replace", "to be replaced", "needs replacing"}
)
_RENEW_IT_AS = (("renew", "as"), ("renewed", "as"), ("replace", "by"), ("replace", "with"))
_SCRAPPED = frozenset({"scrap", "scrapped", "bin", "binned", "to scrap", "for the bin", "thrown away"})
_IS_A_NEW_ONE_WANTED = "It stands in the note. Does a new one take its place? Say “renew” instead."


def renew_phrase(words: Words, what: str) -> Meant | None:
    """`renew`, `replace by lamp 40 W`: what came off does not go back, and a new one takes its place.

    Behind fasteners the same words are about those, and are read before anybody asks here.

    Args:
        words: the phrase.
        what: what came off at the step.
    """
    said = tuple(word.folded for word in words)
    is_whole = " ".join(said) in _RENEW_IT
    is_as = len(said) > 2 and said[:2] in _RENEW_IT_AS
    if " ".join(said) in _SCRAPPED:
        return Meant("note", f"note: {joined(words)}", left=joined(words), problem=_IS_A_NEW_ONE_WANTED)
    if not (is_whole or is_as) or any(word.quoted for word in words):
        return None
    renew_as = joined(words[2:]) if is_as else ""
    if max(len(what), len(renew_as)) > LONGEST_NAME:
        return None
    return _meant(SaidThing(COMPONENT, what, is_renewed=True, renew_as=renew_as), "came out here")


def new_thing_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """`new part lamp holder`: what the refit needs and is not the old one; else `new bag`, `new box`."""
    if len(words) < 3 or words[1].folded != "part":
        return new_phrase(words, around)
    named = _named(words[2:])
    return None if named is None else _meant(SaidThing(PART, named.name, named.quantity), "to get for the refit")


def _meant(thing: SaidThing, what: str) -> Meant:
    return Meant("things", f"{thing_words(thing)}, {what}", things=(thing,))


def _named(words: Words) -> _Named | None:
    """The name and how many; None without a name."""
    times = None if not words or words[-1].quoted else _TIMES.fullmatch(words[-1].folded)
    name = words[:-1] if times else words
    text = joined(name)
    if not text or len(text) > LONGEST_NAME:
        return None
    quantity = int(times[1]) if times else 1
    return _Named(text, quantity) if quantity <= MOST else None


def thing_words(thing: SaidThing) -> str:
    """As a line says it, without the member before it: `new part lamp holder x2`."""
    plain = thing.name == " ".join(thing.name.split()) and not re.search(r'[",;\\\n]', thing.name)
    ends_like_a_count = bool(_TIMES.fullmatch(thing.name.casefold().split(" ")[-1]))
    is_for_all = bool(_length_of_for_all(thing.name.casefold().split()))
    is_said = plain and not ends_like_a_count and not is_for_all and not UNPRINTED.search(thing.name)
    is_said = is_said and _RENEWED.isdisjoint(thing.name.casefold().split())
    times = f" x{thing.quantity}" if thing.quantity != 1 else ""
    renewed = ""
    if thing.is_renewed:
        renewed = f" renew as {_new_name(thing.renew_as)}" if thing.renew_as else " renew"
    return f"{thing.kind} {thing.name if is_said else quote(thing.name)}{times}{renewed}"


def _new_name(name: str) -> str:
    """What the new one is called, in quotes where the words would be read as something else."""
    plain = name == " ".join(name.split()) and not re.search(r'[",;\\\n]', name) and not UNPRINTED.search(name)
    return name if plain and not _length_of_for_all(name.casefold().split()) else quote(name)


def things_of(unit: Unit, step: str) -> Iterator[SaidThing]:
    """The things of a step that a line can say: what came out at it, and parts that are for it alone."""
    for c in unit.components:
        if c.from_step == step:
            is_renewed = c.disposition is Disposition.RENEW
            part = _part_in_place_of(unit, c) if is_renewed else None
            yield SaidThing(COMPONENT, c.name, c.quantity, c.member, is_renewed, part.name if part is not None else "")
    for p in unit.parts:
        if p.for_steps == (step,) and _is_said_whole(p):
            yield SaidThing(PART, p.name, int(p.quantity), p.member)


def _part_in_place_of(unit: Unit, component: Component) -> Part | None:
    """The part that a line says in place of a component: for it alone, at its step, as many as of it."""
    wanted = ((component.code,), (component.from_step,), component.member, Decimal(component.quantity))
    return next(
        (p for p in unit.parts if (p.for_components, p.for_steps, p.member, p.quantity) == wanted and not p.unit),
        None,
    )


def _is_said_whole(part: Part) -> bool:
    """Whether a line can say how many of a part there are and what it is for."""
    whole = part.quantity == part.quantity.to_integral_value() and part.quantity <= MOST
    return whole and not (part.unit or part.for_components or part.fastener.strip() or part.only_if.strip())


def with_things(unit: Unit, step: str, said: Iterable[SaidThing]) -> Unit:
    """The unit with what a line says came out at a step, or is needed for it.

    What the record has already stays as it is, apart from how many; one is taken out in its form, never by leaving it
    out of a line.
    """
    for thing in said:
        unit = _with_component(unit, step, thing) if thing.kind == COMPONENT else _with_part(unit, step, thing)
    return unit


def _with_component(unit: Unit, step: str, said: SaidThing) -> Unit:
    renewed = {"disposition": Disposition.RENEW} if said.is_renewed else {}
    known = _known_component(unit, step, said)
    if known is not None:
        made = seen(known).model_copy(update={"quantity": said.quantity, "from_step": step} | renewed)
        components = tuple(made if c is known else c for c in unit.components)
    else:
        code = next_code(unit, Component, tuple(c.code for c in unit.components))
        made = Component(code=code, name=said.name, quantity=said.quantity, from_step=step, member=said.member)
        made = made.model_copy(update=renewed)
        components = (*unit.components, made)
    grown = unit.model_copy(update={"components": components})
    return _with_part_in_place_of(grown, made, said) if said.renew_as else grown


def _known_component(unit: Unit, step: str, said: SaidThing) -> Component | None:
    """The component that is said: of the step, or one of its name that was written down before it came out."""
    of_step = (c for c in unit.components if (c.from_step, c.name, c.member) == (step, said.name, said.member))
    name = said.name.casefold()
    before = (c for c in unit.components if (c.from_step, c.name.casefold(), c.member) == ("", name, said.member))
    return next(of_step, None) or next(before, None)


def _with_part_in_place_of(unit: Unit, component: Component, said: SaidThing) -> Unit:
    """The unit with the new part for a component; one that is for it already gets the name and number said."""
    update: dict[str, object] = {"name": said.renew_as, "quantity": Decimal(said.quantity)}
    known = next((p for p in unit.parts if p.for_components == (component.code,)), None)
    if known is not None:
        parts = tuple(p.model_copy(update=update) if p is known else p for p in unit.parts)
        return unit.model_copy(update={"parts": parts})
    code = next_code(unit, Part, tuple(p.code for p in unit.parts))
    made = Part(
        code=code, name=said.renew_as, quantity=Decimal(said.quantity), member=component.member,
        for_steps=(component.from_step,), for_components=(component.code,),
    )  # fmt: skip
    return unit.model_copy(update={"parts": (*unit.parts, made)})


def _with_part(unit: Unit, step: str, said: SaidThing) -> Unit:
    known = [
        p
        for p in unit.parts
        if (p.for_steps, p.name, p.member) == ((step,), said.name, said.member) and _is_said_whole(p)
    ]
    quantity = Decimal(said.quantity)
    if known:
        counted = known[0] if known[0].quantity == quantity else known[0].model_copy(update={"quantity": quantity})
        parts = tuple(counted if p is known[0] else p for p in unit.parts)
    else:
        code = next_code(unit, Part, tuple(p.code for p in unit.parts))
        made = Part(code=code, name=said.name, quantity=quantity, for_steps=(step,), member=said.member)
        parts = (*unit.parts, made)
    return unit.model_copy(update={"parts": parts})
