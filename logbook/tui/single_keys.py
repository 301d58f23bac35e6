"""The single keys of bench mode. Each changes the step that the line says, so that line and keys are one."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import on

from logbook.errors import InputError
from logbook.model.step import Step
from logbook.model.unit import Member, PartSet, Unit
from logbook.model.words import ConnectionKind, JointFound
from logbook.session import Session
from logbook.teardown.bench_line import LineReading, read_line
from logbook.teardown.beside_the_step import next_bag, same_kinds
from logbook.teardown.connection_phrase import next_number
from logbook.teardown.draft import (
    FLAG_LETTERS,
    Flag,
    changed_line,
    flags_of,
    joints_of,
    toggle_flag,
    with_action,
    with_also,
    with_found,
    with_hazard,
    with_hazard_gone,
    with_joint,
    with_photo,
    with_same,
    with_then,
    with_wires,
    without_fastener,
)
from logbook.teardown.member_phrases import sets_at_hand
from logbook.teardown.step_keeping import known_hazards, with_next_place
from logbook.teardown.step_of_member import as_a_step, changed_for_member, with_own_bag
from logbook.teardown.vocabulary import ACTION_LETTERS
from logbook.tui.actions import Act
from logbook.tui.screen_frame import BookScreen
from logbook.tui.sections import LEFT_AS, PHONE, WHICH_SCREW
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.step_line import StepLine

KEY_ACTS = (
    Act("step.keep", "enter", "keep", "keep", "Keep the step; the next one is offered", True),
    Act("step.turn", "tab", "turn", "typing", "From typing to single keys, and back", True),
    *(
        Act(f"step.same{i}", str(i), f"same({i})", f"same {i}", f"Kind {i} of the kinds used before, as many as then")
        for i in range(1, 10)
    ),
    Act("step.how", "h,f3", "how", "how", "How it came off, by one letter", True),
    Act(
        "step.flag",
        "f,f4",
        "flag",
        "flag",
        "Hazard, one-way, guess, left-hand, wrong, to do: by one letter",
        True,
    ),
    Act("step.bag", "b,f6", "bag", "bag", "The next bag; again: the bag before, the next box, none", True),
    Act("step.why", "D,f7", "why", "dangers", "Every danger in force; a digit there proves one safe", True),
    Act("step.photo", "p,f5", "photo", "photo", "A photo is taken, or not after all", True),
    Act("step.fewer", "minus", "count(-1)", "one less", "One less of the kind written last"),
    Act("step.more", "plus,equals_sign", "count(1)", "one more", "One more of the kind written last"),
    Act("step.missing", "m", "missing", "one missing", "One of the kind written last was missing (6 places, 5 found)"),
    Act("step.becomes", "d", "becomes", "becomes", "The kind written last is reused, renewed, scrapped in turn"),
    Act("step.out", "x", "take_out", "take out", "Take the kind written last out of the step"),
    Act("step.wires", "c", "wires", "wires", "Count one wire or other connection more"),
    Act("step.member", "s", "member", "member", "Whether the keys say it of one member alone or of all"),
    Act("step.hold", "r", "hold", "hold", "Type a hold point: what is checked, “read” what, “by” whom"),
    Act(
        "step.connection",
        "A",
        "connection",
        "also",
        "A wire, plug, hose or belt with the next number; a setting, a reading; a component, a new part",
    ),
    Act("step.order", "o", "order", "order", "Name the steps that must come off before this one"),
    Act("step.type", "a", "more('')", "type", "Type another phrase at the end of the line"),
    Act("step.note", "n", "more('note ')", "note", "Type a note at the end of the line"),
    Act("step.older", "up", "older", "step before", "The step before, to put it right; Enter keeps it anew"),
    Act("step.newer", "down", "newer", "step after", "The step after; after the last: what is planned, to be done now"),
    LEFT_AS,
    WHICH_SCREW,
    PHONE,
)
"""What bench mode offers, besides what can be done everywhere."""


THING_LETTERS = {
    "s": ("setting", "a setting, as found"),
    "m": ("measurement", "something measured"),
    "c": ("component", "a component that came out"),
    "n": ("new part", "a new part for the refit"),
    "f": ("first on", "what goes on first on the way back"),
}
"""The key of what else is typed at the end of the line: its first words there, and what it is."""
CONNECTION_LETTERS = {kind.value[0]: str(kind) for kind in ConnectionKind}
"""The key of each kind of connection: its first letter."""
SECOND = "2"
"""The key in the list of ways of taking off that asks for a further way."""
JOINT = "j"
"""The key in the list of flags that asks which joint it was."""
GONE = "r"
"""The key in the list of flags for the danger named last, which is gone when the thing goes back."""
NUMBER = "several alike: type how many and what, like “set of 4 drawers”"


def member_words(member: Member) -> str:
    """A member of a set in the list: `L (left)`."""
    return f"{member.code} ({member.position})" if member.position.strip() else member.code


class SingleKeys(BookScreen):
    """A place with a line that becomes a step, and single keys that write into it. Bench mode is built on it."""

    ACTS: ClassVar[tuple[Act, ...]] = KEY_ACTS

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self.editing = ""
        """Code of the step in the line when the record has it already; empty for a new one."""
        self.kind = ""
        """The kind of fastener written last by a key."""
        self.member = ""
        """The member of a set that the keys speak of; empty for all of it."""
        self._to_line = False

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.session.unit(self.CODE)

    @property
    def line(self) -> StepLine:
        """The line that becomes a step."""
        return self.query_one(StepLine)

    @property
    def base(self) -> Step | None:
        """The step in the line as the record has it; None for a new one."""
        return self.unit.step(self.editing) if self.editing else None

    def reading(self) -> LineReading:
        """The line as it reads now."""
        return read_line(self.line.value, self.unit, base=self.base)

    def set_line(self, text: str) -> None:
        """Another text in the line, the cursor at its end."""
        self.line.value = text
        self.line.cursor_position = len(self.line.value)

    def change(self, change: Callable[[Step], Step]) -> None:
        """The step that the line says is changed, and the line with it; with a member chosen, of that one alone."""
        made = self.set_of_member()
        if made is not None:
            change = partial(changed_for_member, of=made, member=self.member, change=change)
        try:
            self.set_line(changed_line(self.line.value, self.unit, change, base=self.base))
        except InputError as error:
            self.say(str(error), "error")

    def set_of_member(self) -> PartSet | None:
        """The set that the chosen member belongs to; None while all are meant."""
        if not self.member:
            return None
        return next((s for s in self._sets() if any(m.code == self.member for m in s.members)), None)

    def _sets(self) -> tuple[PartSet, ...]:
        """The sets that the step can be for: that of the line, then the others."""
        reading = self.reading()
        made = () if reading.new_set is None else (reading.new_set,)
        return (*made, *sets_at_hand(self.unit, reading.step.each_of))

    def seen_step(self) -> Step:
        """The step as the keys see it: what holds for the chosen member, or else for all."""
        step, of = self.reading().step, self.set_of_member()
        return step if of is None else as_a_step(step, self.member)

    def focus_keys(self) -> None:
        """Give the focus to what takes single keys."""

    def action_which_screw(self) -> None:
        """What a loose screw can be, and where it belongs."""
        self.logbook.open("loose_screw", self.CODE)

    # From typing to keys and back

    def action_turn(self) -> None:
        """From typing to single keys, or back."""
        if self.line.has_focus:
            self.focus_keys()
        else:
            self.action_type()

    def action_type(self) -> None:
        """Back to typing; what came off is typed at the start while it is not said."""
        self.line.focus()
        self.line.cursor_position = len(self.line.value) if self.reading().complete else 0

    def action_more(self, words: str) -> None:
        """Type another phrase at the end of the line."""
        text = self.line.value.rstrip(" ,")
        self.set_line(f"{text}, {words}" if text else words)
        self.line.focus()

    # Fasteners

    def action_same(self, number: int) -> None:
        """A kind used before."""
        kinds = same_kinds(self.unit)
        if number > len(kinds):
            self.say(f"There is no kind {number} yet.", "error")
            return
        self.kind = kinds[number - 1].kind
        self.change(partial(with_same, fastener=kinds[number - 1]))

    def _index(self) -> int | None:
        """Place of the kind written last; said when there is none."""
        fasteners = self.seen_step().fasteners
        if not fasteners:
            self.say("No fastener is written in this step yet: a digit adds one, or type 4 screw M4x10.", "error")
            return None
        return next((i for i, f in enumerate(fasteners) if f.kind == self.kind), len(fasteners) - 1)

    def action_count(self, by: int) -> None:
        """One more or less of the kind written last."""
        if (at := self._index()) is not None:
            fastener = self.seen_step().fasteners[at]
            self.change(partial(with_same, fastener=fastener, count=max(1, fastener.holes + by)))

    def action_missing(self) -> None:
        """One of the kind written last was not there; below none all are there again."""
        if (at := self._index()) is not None:
            fastener = self.seen_step().fasteners[at]
            found = fastener.found - 1 if fastener.found else fastener.holes
            self.change(partial(with_found, index=at, found=found))

    def action_becomes(self) -> None:
        """What becomes of the kind written last."""
        if (at := self._index()) is not None:
            self.change(partial(with_then, index=at))

    def action_take_out(self) -> None:
        """Without the kind written last."""
        if (at := self._index()) is not None:
            self.change(partial(without_fastener, index=at))
            self.kind = ""

    # The rest of the ten-second set

    def action_bag(self) -> None:
        """The next place for what came off; of one member alone its next own bag, or none."""
        if self.set_of_member() is None:
            self.change(partial(with_next_place, unit=self.unit))
            return
        taken = (self.reading().step.bag, *(d.bag for d in self.reading().step.differences))
        self.change(partial(with_own_bag, unit=self.unit, taken=taken))

    def next_bag(self) -> str:
        """Number of the bag offered."""
        return next_bag(self.unit, self.reading().step)

    def action_photo(self) -> None:
        """Taken, or not after all."""
        self.change(with_photo)

    def action_wires(self) -> None:
        """One more."""
        self.change(lambda step: with_wires(step, (step.wires or 0) + 1))

    def action_hold(self) -> None:
        """Type a hold point at the end of the line; with a member chosen, one of that member alone."""
        self.action_more(f"{self._whose()}hold ")

    def _whose(self) -> str:
        """The words before a phrase that is about the chosen member alone; empty when all are meant."""
        return f"{self.member} " if self.set_of_member() is not None else ""

    def action_connection(self) -> None:
        """Offer the kinds of connection, and what else a step has."""
        words = {**CONNECTION_LETTERS, **{letter: what for letter, (_, what) in THING_LETTERS.items()}}
        self.offer("connection", "Which connection was undone, or what else is at this step?", words, set())

    def _connected(self, letter: str) -> None:
        """One of that kind with the next number, its ends are typed behind it; or the first words of something else."""
        if letter in THING_LETTERS:
            whose = "" if letter == "f" else self._whose()
            self.action_more(f"{whose}{THING_LETTERS[letter][0]} ")
            return
        taken = [c.code for s in self.unit.steps if s.code != self.editing for c in s.connections]
        number = next_number([*taken, *(c.code for c in self.reading().step.connections)])
        self.action_more(f"{self._whose()}{CONNECTION_LETTERS[letter]} {number} from ")

    def action_member(self) -> None:
        """Offer the members that the keys can speak of; without a set, to make one."""
        sets = self._sets()
        if not sets:
            words = {"p": "a pair, left and right", "n": NUMBER}
            self.offer("member", "This unit has no set yet. Of what is this one?", words, set())
            return
        members = [m for of in sets for m in of.members][:9]
        words = {str(i): member_words(m) for i, m in enumerate(members, 1)}
        now = {str(i) for i, m in enumerate(members, 1) if m.code == self.member} or {"0"}
        self.offer("member", "Of which one is what the keys say now?", {**words, "0": "all of them"}, now)

    def _member_named(self, letter: str) -> None:
        if letter == "p":
            self.action_more("pair")
            self.focus_keys()
        elif letter == "n":
            self.action_more("set of ")
        else:
            members = [m for of in self._sets() for m in of.members][:9]
            self.member = members[int(letter) - 1].code if letter != "0" else ""
            self.kind = ""
            self.say(f"The keys speak of {self.member} alone now." if self.member else "The keys speak of all again.")

    def action_how(self) -> None:
        """Offer the ways of taking off."""
        now = {letter for letter, action in ACTION_LETTERS.items() if action is self.reading().step.action}
        words = {letter: str(action) for letter, action in ACTION_LETTERS.items()}
        self.offer("how", "How did it come off?", {**words, SECOND: "a second way"}, now)

    def action_flag(self) -> None:
        """Offer the flags."""
        now = {letter for letter, flag in FLAG_LETTERS.items() if flag in flags_of(self.seen_step())}
        step = self.reading().step
        words = {k: str(flag) for k, flag in FLAG_LETTERS.items()} | {JOINT: "a joint that cannot be undone"}
        now |= {JOINT} if joints_of(step) else set()
        if step.hazards:
            words[GONE] = "that danger is gone at the refit"
            now |= {GONE} if step.hazards[-1].gone_at_refit else set()
        self.offer("flag", "Flag (again takes it back)", words, now)

    def offer(self, key: str, title: str, words: dict[str, str], marked: set[str], *, stays: bool = False) -> None:
        """Show a list of letters in place of what stands below the line."""
        if not self.query_one(Letters).has_focus:
            self._to_line = self.line.has_focus
        self.add_class("-asking")
        self.query_one(Letters).offer(key, title, words, marked, stays=stays)

    def close_letters(self) -> None:
        """Put the list away and go on where it was called from: in the line, or with single keys."""
        self.query_one(Letters).close()
        self.remove_class("-asking")
        if self._to_line:
            self.line.focus()
        else:
            self.focus_keys()

    @on(Letters.Unknown)
    def _not_in_the_list(self, event: Letters.Unknown) -> None:
        self.say(f"{event.character} is not on this list. Press one that is, or Esc.", "error")

    @on(Letters.Picked)
    def _picked(self, event: Letters.Picked) -> None:
        if event.key == "how" and event.letter == SECOND:
            now = {letter for letter, action in ACTION_LETTERS.items() if action in self.reading().step.also}
            words = {letter: str(action) for letter, action in ACTION_LETTERS.items()}
            self.offer("also", "In which other way as well? (again takes it back)", words, now)
        elif event.key in ("how", "also"):
            self.close_letters()
            change = with_action if event.key == "how" else with_also
            self.change(partial(change, action=ACTION_LETTERS[event.letter]))
        elif event.key == "flag" and event.letter == JOINT:
            self._offer_joints()
        elif event.key == "flag" and event.letter == GONE:
            self.close_letters()
            self.change(with_hazard_gone)
        elif event.key == "joint":
            self.close_letters()
            self.change(partial(with_joint, joint=tuple(JointFound)[int(event.letter) - 1]))
        elif event.key == "flag":
            self._flagged(FLAG_LETTERS[event.letter])
        elif event.key == "hazard":
            self.close_letters()
            self._named_hazard(event.letter)
        elif event.key in ("member", "connection"):
            self.close_letters()
            (self._member_named if event.key == "member" else self._connected)(event.letter)
        elif event.key == "dead":
            self.dead_named(event.letter)
        else:
            self.stop_answered(event.letter)

    def _offer_joints(self) -> None:
        """The joints that cannot be undone as they were made, by a digit; each stands beside those said before."""
        found = joints_of(self.reading().step)
        words = {str(i): str(joint) for i, joint in enumerate(JointFound, 1)}
        now = {digit for digit, joint in zip(words, JointFound, strict=True) if joint in found}
        self.offer("joint", "Which joint was it, or one more? (again takes it back)", words, now)

    def _flagged(self, flag: Flag) -> None:
        """Set or take back a flag; which danger it is, is asked where the unit names some."""
        known = known_hazards(self.unit)[:9]
        if flag is Flag.HAZARD and known and not self.reading().step.hazards:
            words = {str(i): f"{h.signal} {h.what}" for i, h in enumerate(known, 1)}
            self.offer("hazard", "Which danger?", {**words, "h": "another one, not named yet"}, set())
        else:
            self.close_letters()
            self.change(partial(toggle_flag, flag=flag))

    def _named_hazard(self, letter: str) -> None:
        if letter.isdigit():
            hazard = known_hazards(self.unit)[int(letter) - 1]
            self.change(partial(with_hazard, what=hazard.what, signal=hazard.signal))
        else:
            self.change(partial(toggle_flag, flag=Flag.HAZARD))

    @on(Letters.Left)
    def _list_left(self) -> None:
        self.close_letters()

    def dead_named(self, letter: str) -> None:
        """A digit of the list of what can be dead."""

    def stop_answered(self, letter: str) -> None:
        """A key of the stop question."""

    def action_why(self) -> None:
        """The dangers in force, each to be proved safe."""
        step = self.reading().step
        self.logbook.open("dangers", self.CODE, step=step.code, own=step.hazards)

    def action_left_as(self) -> None:
        """How it was left, to be put right."""
        self.logbook.open("left_as", self.CODE)
