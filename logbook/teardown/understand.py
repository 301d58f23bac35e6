"""What one phrase of a line means. Each phrase is recognised by its first word or by being a number.

A phrase is understood whole or it is none of these; then the caller keeps it as the note. What a phrase
says beyond its own field (“box 2 FRAGILE”) comes back as `left`, for the note as well.
"""

from __future__ import annotations

from logbook.model.words import Action
from logbook.teardown.connection_phrase import connection_phrase, numbered_wires, of_those_phrase
from logbook.teardown.fastener_phrase import starts_like_fasteners
from logbook.teardown.flag_phrases import (
    as_found_phrase,
    broke_phrase,
    certainty_phrase,
    coded_phrase,
    drilled_out_phrase,
    exact_phrase,
    first_on_phrase,
    hazard_phrase,
    hold_phrase,
    initials_phrase,
    one_way_answers,
    one_way_phrase,
    photo_phrase,
    seen_from_phrase,
    should_be_phrase,
    wrong_phrase,
)
from logbook.teardown.hold_code import asks_which
from logbook.teardown.meant import Meant, PhraseContext, Reader, Words
from logbook.teardown.member_differences import INSTEAD, can_differ
from logbook.teardown.member_phrases import after_all_of_them, all_members_phrase, bags_phrase, member_at_start
from logbook.teardown.number_phrases import (
    bag_phrase,
    box_phrase,
    fasteners_phrase,
    minutes_phrase,
    number_phrase,
    parted,
    some_phrase,
    weight_phrase,
    wires_phrase,
)
from logbook.teardown.order_phrases import (
    after_phrase,
    back_phrase,
    better_phrase,
    each_phrase,
    into_phrase,
    once_phrase,
    same_phrase,
    steps_phrase,
)
from logbook.teardown.phrases import folded, joined
from logbook.teardown.proving_phrases import dead_phrase, proved_phrase
from logbook.teardown.thing_phrases import component_phrase, new_thing_phrase, shared_phrase
from logbook.teardown.unread_phrase import not_read, wants_asking
from logbook.teardown.value_phrases import measurement_phrase, setting_phrase
from logbook.teardown.vocabulary import ACTION_FORMS, ANSWER_WORDS, SIGNAL_WORDS, THEN_WORDS, action_of


def understand(words: Words, around: PhraseContext) -> Meant | None:
    """The meaning of a phrase that is not the first of its line, or None when it is not understood."""
    continued = _continuation(words, around)
    if continued is not None:
        return continued
    shared = shared_phrase(words, around)
    if shared is not None:
        return shared
    of_all = all_members_phrase(words, around)
    if of_all is not None:
        return of_all
    of_each = action_for_each(words, around)
    if of_each is not None:
        return of_each
    of_member = member_phrase(words, around)
    if of_member is not None:
        return of_member
    words = parted(words)
    reader = _BY_FIRST_WORD.get(words[0].folded.rstrip(":"))
    meant = reader(words, around) if reader else None
    if meant is None and words[0].text[:1] in "0123456789":
        meant = number_phrase(words, around)
    if meant is None:
        meant = drilled_out_phrase(words) or broke_phrase(words) or several_actions(words)
    if meant is None:
        meant = coded_phrase(words, around) or connection_phrase(words, around)
    if meant is None and (starts_like_fasteners(words) or words[-1].text[-1:] in "0123456789x×"):
        meant = fasteners_phrase(words, around)
    return meant or exact_phrase(words) or asks_which(words, around)


def member_phrase(words: Words, around: PhraseContext) -> Meant | None:
    """A phrase about one member of a set: its name, and what is true of it alone."""
    named = member_at_start(words, around.unit.unit, around.each_of)
    if named is None or not named.rest:
        return None
    rest = named.rest
    instead = rest[0].folded == INSTEAD and len(rest) > 1
    rest = rest[1:] if instead else rest
    noted = rest[0].folded.rstrip(":") == "note" and len(rest) > 1
    alone = around._replace(follows="fasteners", each_of="" if rest[0].folded == "hold" else named.of.code)
    inner = None if noted else understand(rest, alone)
    if inner is not None and instead and inner.fasteners:
        inner = inner._replace(sets={**inner.sets, INSTEAD: True})
    if inner is not None and inner.hazards:
        # a danger at one is in force for whoever works at the step, whichever one it is
        return inner._replace(meaning=f"{inner.meaning}, for the whole step", each_of=named.of.code)
    if inner is not None and inner.sets.get("wires"):
        inner = _wires_of_member(inner, alone)
    if inner is None or inner.of_members or not can_differ(inner):
        note = joined(rest[1:] if noted else rest)
        is_asked = not noted and wants_asking(rest)
        said = f"note, asked about later: {note}" if is_asked else f"note: {note}"
        inner = Meant("note", said, left=note, problem=None if noted else not_read(rest), unread=(note,) * is_asked)
    meaning = f"{named.member.code}: {inner.meaning or inner.left}"
    code = named.member.code
    if inner.connections or inner.settings or inner.measurements or inner.things or inner.proofs:
        of = {"member": code}
        return inner._replace(
            meaning=meaning,
            each_of=named.of.code,
            connections=tuple(c.model_copy(update=of) for c in inner.connections),
            settings=tuple(s.model_copy(update=of) for s in inner.settings),
            measurements=tuple(m.model_copy(update=of) for m in inner.measurements),
            things=tuple(thing._replace(member=code) for thing in inner.things),
            proofs=tuple(p.model_copy(update=of) for p in inner.proofs),
        )
    own = ((code, inner),)
    return Meant(
        "differences", meaning, of_members=own, each_of=named.of.code, problem=inner.problem, unread=inner.unread
    )


def _wires_of_member(counted: Meant, around: PhraseContext) -> Meant | None:
    """`left 3 wires`: these three get numbers, so that the desk asks for each of them at this member."""
    count = counted.sets["wires"]
    return numbered_wires(count, around) if isinstance(count, int) else None


def several_actions(words: Words) -> Meant | None:
    """`unscrewed and cut`: more than one way in one step."""
    parts: list[Words] = []
    start = 0
    for i, word in enumerate((*words, None)):
        if word is None or word.folded in ("and", "+", "&"):
            parts.append(words[start:i])
            start = i + 1
    actions = [read_action(part) if part else None for part in parts]
    known = [action for action in actions if action is not None]
    if len(known) < 2 or len(known) != len(actions) or any(len(joined(part)) < 3 for part in parts):
        return None
    first, *more = dict.fromkeys(known)
    return Meant("action", " and ".join(map(str, known)), {"action": first}, also=tuple(more))


def action_for_each(words: Words, around: PhraseContext) -> Meant | None:
    """`each unscrewed`, `both unscrewed and cut`: how every member came off; None where something else is meant.

    A word for how a thing came off is the name of a set only where the unit has a set that is called so.
    """
    said = after_all_of_them(words)
    if not said or around.unit.set_code(joined(said)) is not None:
        return None
    in_full = ACTION_FORMS.get(folded(said))
    drilled = drilled_out_phrase(said) if said[0].folded == "drilled" else None
    how = drilled or several_actions(said) or (action_meant(in_full) if in_full is not None else None)
    if how is None:
        return None
    of_all = all_members_phrase(words[: len(words) - len(said)], around)
    if around.each_of or of_all is None:
        return how
    if of_all.problem is not None:
        return how._replace(problem=of_all.problem)
    return how._replace(meaning=f"{how.meaning}, {of_all.meaning}", sets={**how.sets, **of_all.sets})


def read_action(words: Words) -> Action | None:
    """The action that the whole phrase names."""
    return action_of(folded(words)) if len(words) <= 3 else None


def starts_with_action(words: Words) -> Action | None:
    """The action that the first word names in full, when more words follow (“unscrewed from below”)."""
    return ACTION_FORMS.get(words[0].folded) if len(words) > 1 else None


def action_meant(action: Action) -> Meant:
    """A step's action as a meaning."""
    return Meant("action", str(action), {"action": action})


def _continuation(words: Words, around: PhraseContext) -> Meant | None:
    if around.follows in ("after", "better_after", "back_before") and all(
        around.unit.step_code(w.folded) for w in words
    ):
        return steps_phrase(words, around, around.follows)
    if around.follows == "fasteners" and len(words) == 1 and words[0].folded in THEN_WORDS:
        then = THEN_WORDS[words[0].folded]
        return Meant("fasteners", f"the fasteners before: {then}", then=then)
    if around.follows in ("wires", "connections") and (some := of_those_phrase(words, around)) is not None:
        return some
    if (some := some_phrase(words, around)) is not None:
        return some
    if around.follows == "one_way" and folded(words) in ANSWER_WORDS:
        return one_way_answers(words, "one-way")
    return None


_FIRST_WORDS: dict[Reader, str] = {
    bag_phrase: "bag",
    bags_phrase: "bags",
    hold_phrase: "hold",
    first_on_phrase: "first",
    box_phrase: "box",
    into_phrase: "in into inside",
    new_thing_phrase: "new next",
    component_phrase: "component",
    wires_phrase: "wire wires",
    weight_phrase: "weight",
    minutes_phrase: "minutes min took",
    after_phrase: "after",
    better_phrase: "better",
    back_phrase: "back",
    same_phrase: "same",
    each_phrase: "each for",
    once_phrase: "once",
    hazard_phrase: " ".join(("hazard", *SIGNAL_WORDS)),
    dead_phrase: "dead",
    proved_phrase: "proved proven",
    one_way_phrase: "one-way oneway one",
    certainty_phrase: "guess think not unsure sure",
    wrong_phrase: "wrong",
    as_found_phrase: "as as-found",
    should_be_phrase: "should should-be",
    photo_phrase: "photo photos",
    seen_from_phrase: "from seen viewed",
    initials_phrase: "by initials",
    setting_phrase: "setting",
    measurement_phrase: "measurement measured",
}
_BY_FIRST_WORD: dict[str, Reader] = {word: reader for reader, words in _FIRST_WORDS.items() for word in words.split()}
"""Who reads a phrase, by its first word."""
