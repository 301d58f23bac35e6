"""A step while it is being written: one function for each key of the bench screen.

Everything that the line can say, single keys can say too; fields that are typed in any case (where it was
seen from, initials, minutes …) are set with `logbook.model.fields.typed`. A draft and its line stay together
through `write_line` and `read_line`; `changed_line` makes one change to the step that a line says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import StrEnum

from logbook.model.dangers import same_danger
from logbook.model.edits import next_step_code, with_changes
from logbook.model.step import Fastener, Hazard, OneWay, Step
from logbook.model.unit import Unit
from logbook.model.words import Action, Certainty, JointFound, SignalWord, Then
from logbook.teardown.bench_line import UNSAID, LineReading, read_line
from logbook.teardown.meant import UNNAMED_HAZARD
from logbook.teardown.write import write_line


class Flag(StrEnum):
    """What one key of the flag list says about a step."""

    HAZARD = "hazard"
    ONE_WAY = "one-way"
    GUESS = "guess"
    THINK_SO = "think so"
    LEFT_HAND = "left-hand thread"
    WRONG = "as found wrong"
    PHOTO = "photo"
    PLANNED = "still to do"
    NO_FASTENERS = "no fasteners"


FLAG_LETTERS: dict[str, Flag] = {
    "h": Flag.HAZARD,
    "o": Flag.ONE_WAY,
    "g": Flag.GUESS,
    "t": Flag.THINK_SO,
    "l": Flag.LEFT_HAND,
    "w": Flag.WRONG,
    "p": Flag.PHOTO,
    "s": Flag.PLANNED,
    "n": Flag.NO_FASTENERS,
}
"""The key of each flag in the list of flags."""


class StopAnswer(StrEnum):
    """An answer to the stop question before a one-way step, by field of its record."""

    MEASURED = "measured"
    TRACED = "traced"
    PHOTOGRAPHED = "photographed"
    PATTERN_KEPT = "pattern_kept"
    HELD_TWICE = "held_twice"


def new_draft(unit: Unit, code: str | None = None) -> Step:
    """An empty step with the next free code; what came off is not said yet."""
    whole = unit.whole_set()
    return Step(code=code or next_step_code(unit), what=UNSAID, each_of=whole.code if whole is not None else "")


def with_action(step: Step, action: Action) -> Step:
    """How it came off."""
    return with_changes(step, action=action)


def with_also(step: Step, action: Action) -> Step:
    """A further way in which it came off in the same step, or not after all; the first way stays the first."""
    if step.action is Action.UNSAID or action is step.action:
        return with_action(step, action)
    others = tuple(a for a in step.also if a is not action)
    return with_changes(step, also=others if action in step.also else (*others, action))


def joints_of(step: Step) -> tuple[JointFound, ...]:
    """The joints of a step that cannot be undone, in the order in which they were said."""
    if step.one_way is None:
        return ()
    return tuple(j for j in (step.one_way.joint, *step.one_way.further_joints) if j is not None)


def with_joint(step: Step, joint: JointFound) -> Step:
    """One more joint that cannot be undone as it was made, or not after all; the step is one-way from then on."""
    found = joints_of(step)
    found = tuple(j for j in found if j is not joint) if joint in found else (*found, joint)
    changes = {"joint": found[0] if found else None, "further_joints": found[1:]}
    return with_changes(step, one_way=with_changes(step.one_way or OneWay(), **changes))


def with_same(step: Step, fastener: Fastener, count: int | None = None) -> Step:
    """A kind used before, with `count` places all filled (its last count when None).

    When the draft has that kind already, its numbers are set anew, so pressing a digit twice does no harm.
    """
    number = fastener.holes if count is None else count
    numbers = {"holes": number, "found": number}
    index = next((i for i, f in enumerate(step.fasteners) if f.kind == fastener.kind), None)
    if index is not None:
        return _with_fastener(step, index, with_changes(step.fasteners[index], **numbers))
    fresh = Fastener(kind=fastener.kind, holes=number, found=number, then=fastener.then, piece=fastener.piece)
    return with_changes(step, fasteners=(*step.fasteners, fresh))


def with_found(step: Step, index: int, found: int) -> Step:
    """How many were there, where that is not the number of places. `index` counts from 0; IndexError beyond."""
    return _with_fastener(step, index, with_changes(step.fasteners[index], found=found))


def with_then(step: Step, index: int, then: Then | None = None) -> Step:
    """What becomes of a kind; without `then` the next of reuse, renew, scrap. IndexError beyond the last."""
    order = tuple(Then)
    following = order[(order.index(step.fasteners[index].then) + 1) % len(order)]
    return _with_fastener(step, index, with_changes(step.fasteners[index], then=then or following))


def without_fastener(step: Step, index: int) -> Step:
    """The draft without one kind. Raises IndexError when there is none at that place."""
    kept = list(step.fasteners)
    del kept[index]
    return with_changes(step, fasteners=tuple(kept))


def with_photo(step: Step, taken: bool | None = None) -> Step:
    """Whether a photo was taken; without `taken` the other way round."""
    return with_changes(step, photo_taken=not step.photo_taken if taken is None else taken)


def with_wires(step: Step, count: int | None) -> Step:
    """Wires counted at the bench; None when they were not counted."""
    return with_changes(step, wires=count)


def with_hazard(step: Step, what: str, signal: SignalWord = SignalWord.WARNING) -> Step:
    """A danger by name, in place of one that was only flagged."""
    named = tuple(h for h in step.hazards if h.what != UNNAMED_HAZARD and not same_danger(h.what, what))
    return with_changes(step, hazards=(*named, Hazard(signal=signal, what=what or UNNAMED_HAZARD)))


def with_hazard_gone(step: Step) -> Step:
    """The danger named last is gone when the thing goes back, or is not after all."""
    if not step.hazards:
        return step
    *others, last = step.hazards
    return with_changes(step, hazards=(*others, with_changes(last, gone_at_refit=not last.gone_at_refit)))


def with_answer(step: Step, answer: StopAnswer) -> Step:
    """The next answer to one part of the stop question; the step is one-way from then on.

    In turn: yes, no, not needed, and blank again, which are four things.
    """
    one_way = step.one_way or OneWay()
    name = str(answer)
    following = _NEXT_ANSWER[one_way.answer(name)]
    lists = {"answered_no": "no", "not_needed": "not needed"}
    changes: dict[str, object] = {name: following == "yes"}
    for field, word in lists.items():
        others = tuple(n for n in getattr(one_way, field) if n != name)
        changes[field] = (*others, name) if following == word else others
    return with_changes(step, one_way=with_changes(one_way, **changes))


_NEXT_ANSWER = {"": "yes", "yes": "no", "no": "not needed", "not needed": ""}


def with_stop_skipped(step: Step, because: str) -> Step:
    """Why the stop question is left unanswered; shown again at the refit."""
    return with_changes(step, one_way=with_changes(step.one_way or OneWay(), skipped_because=because))


def toggle_flag(step: Step, flag: Flag) -> Step:
    """The flag set, or taken back when it is set.

    Taking back `hazard` takes every hazard of the draft with it, and `one-way` its answers: undo brings
    them back, and a flag that cannot be taken back by its own key would be worse.
    """
    if flag is Flag.HAZARD:
        return with_changes(step, hazards=() if step.hazards else (Hazard(what=UNNAMED_HAZARD),))
    if flag is Flag.ONE_WAY:
        return with_changes(step, one_way=None if step.one_way is not None else OneWay())
    if flag in (Flag.GUESS, Flag.THINK_SO):
        wanted = Certainty.GUESS if flag is Flag.GUESS else Certainty.THINK_SO
        return with_changes(step, certainty=Certainty.SURE if step.certainty is wanted else wanted)
    name = _FLAG_FIELDS[flag]
    return with_changes(step, **{name: not getattr(step, name)})


def flags_of(step: Step) -> tuple[Flag, ...]:
    """The flags that are set, in the order of the list."""
    return tuple(flag for flag in Flag if _is_set(step, flag))


def _is_set(step: Step, flag: Flag) -> bool:
    if flag is Flag.HAZARD:
        return bool(step.hazards)
    if flag is Flag.ONE_WAY:
        return step.one_way is not None
    if flag in (Flag.GUESS, Flag.THINK_SO):
        return step.certainty is (Certainty.GUESS if flag is Flag.GUESS else Certainty.THINK_SO)
    return bool(getattr(step, _FLAG_FIELDS[flag]))


_FLAG_FIELDS = {
    Flag.LEFT_HAND: "left_hand",
    Flag.WRONG: "as_found_wrong",
    Flag.PHOTO: "photo_taken",
    Flag.PLANNED: "planned",
    Flag.NO_FASTENERS: "no_fasteners",
}


def changed_line(
    text: str, unit: Unit, change: Callable[[Step], Step], *, code: str | None = None, base: Step | None = None
) -> str:
    """The line after one key: what it says is read, changed, and printed again with its order kept."""
    reading = read_line(text, unit, code=code, base=base)
    return _printed(reading, change(reading.step), reading.after, reading.better_after, unit)


def _printed(reading: LineReading, step: Step, after: Iterable[str], better_after: Iterable[str], unit: Unit) -> str:
    """The line of a changed step. The phrase that makes a set stays in it until the set is made with the step."""
    made = reading.new_set
    if made is not None:
        unit = unit.model_copy(update={"sets": (*unit.sets, made)})
    line = write_line(
        step, after, better_after, unit=unit,
        back_before=reading.back_before, things=reading.things, threaded=reading.threaded,
    )  # fmt: skip
    if made is None:
        return line
    saying = next((p.text for p in reading.phrases if p.makes_set), "pair")
    each = f", each {made.code}"
    return line.replace(each, f", {saying}", 1) if each in line else f"{line}, {saying}"


def toggled_order(text: str, unit: Unit, earlier: str, *, better: bool = False, code: str | None = None) -> str:
    """The line with one step named in its order, or no longer named when it was.

    Args:
        text: the line.
        unit: the unit it is read against.
        earlier: code of the step that must (or had better) come off before.
        better: whether it only had better.
        code: code of the step that the line is about; the next free one when not given.
    """
    reading = read_line(text, unit, code=code)
    after, preferred = (dict.fromkeys(codes) for codes in (reading.after, reading.better_after))
    named = preferred if better else after
    if earlier in named:
        del named[earlier]
    else:
        named[earlier] = None
    return _printed(reading, reading.step, after, preferred, unit)


def _with_fastener(step: Step, index: int, fastener: Fastener) -> Step:
    changed = list(step.fasteners)
    changed[index] = fastener
    return with_changes(step, fasteners=tuple(changed))
