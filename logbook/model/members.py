"""What holds for one member of a set at a step that was recorded once for all of them.

A step of a set says the pattern; each difference says where one member is otherwise. Whoever shows a step for a
stranger asks here, so that what is true of the left one is never said of the right one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from logbook.model.plural import counted
from logbook.model.step import Connection, Fastener, MemberDifference, Step
from logbook.model.unit import PartSet
from logbook.model.words import Certainty, ConnectionKind


class LeftHand(NamedTuple):
    """A left-hand thread: of the whole of what is turned, or of single kinds of fastener."""

    kinds: tuple[str, ...] = ()
    """The kinds that have it; empty when nobody said which."""

    @property
    def words(self) -> str:
        """` (nut 1/2 in-12)`, or nothing."""
        return f" ({' and '.join(self.kinds)})" if self.kinds else ""


def whose(member: str) -> str:
    """`L: ` before what is said of one member alone; nothing where it is of all."""
    return f"{member}: " if member else ""


def called_for(name: str, member: str) -> str:
    """`lamp holder, left`: a thing with the member that it is for beside its name."""
    return f"{name}, {member}" if member else name


def shared_words(quantity: Decimal | int, members: Sequence[str]) -> str:
    """That the members of a set share a thing which is of none of them alone: `for both`, of more than two `for all`.

    Args:
        quantity: how many of it there are over all members.
        members: codes of the members that were taken apart.

    Returns:
        The words; empty for a single thing, and where there are as many that each member has its own.
    """
    if len(members) < 2 or quantity % len(members) == 0:
        return ""
    return "for both" if len(members) == 2 else "for all"


def for_whom(counts: Mapping[str, int]) -> str:
    """For which members how many are: `for R`, `1 for L, 2 for R`."""
    if len(counts) == 1:
        return f"for {next(iter(counts))}"
    return ", ".join(f"{count} for {member}" for member, count in counts.items())


def member_in_words(sets: Iterable[PartSet], code: str) -> str:
    """How a member is called: `left` where it says where it is, else by its code."""
    places = (m.position.strip() for of in sets for m in of.members if m.code == code)
    return next(filter(None, places), code)


def members_apart(step: Step, of: PartSet | None) -> tuple[str, ...]:
    """Codes of the members of its set that were taken apart at a step; empty when it was recorded for one thing."""
    if of is None:
        return ()
    waiting = {d.member for d in step.differences if not d.done}
    return tuple(member.code for member in of.members if member.code not in waiting)


class Wires(NamedTuple):
    """The wires of a step, over all members of its set."""

    counted: int
    """As many as were counted at the bench."""
    written: int
    """As many of them as stand in the record one by one; hoses and belts are none."""
    each: int
    """So many on each member of the set; 0 when the step is of one thing."""

    @property
    def open(self) -> int:
        """So many are still to be written."""
        return max(0, self.counted - self.written)

    @property
    def words(self) -> str:
        """`3 wires`, of a set `6 wires (3 on each)`."""
        return f"{counted(self.counted, 'wire')}{f' ({self.each} on each)' if self.each else ''}"

    @property
    def how_to_settle(self) -> str:
        """Where the wires that are missing in the record are written, and what is typed."""
        if not self.open:
            return "Look which is too many."
        return "Write each missing one from the photos, in the line of this step: W1 brown: cord to switch 1."


def is_wire(connection: Connection) -> bool:
    """Whether a connection is counted among the wires; a plug is the end of one, a hose or belt is none."""
    return connection.kind in (ConnectionKind.WIRE, ConnectionKind.PLUG)


def wires_of(step: Step, members: Sequence[str]) -> Wires | None:
    """The wires counted at a step and those written of them; None where none were counted.

    A wire that is of no member alone stands for one on each, as everything of the pattern does. Where that makes more
    than were counted, each number is the one wire that it names: six numbers are the six of three on each of two.

    Args:
        step: the step.
        members: codes of the members of its set that were taken apart; empty for one thing.
    """
    if step.wires is None:
        return None
    wires = list(filter(is_wire, step.connections))
    things = len(members) or 1
    at_the_bench = step.wires * things
    as_pattern = sum(1 if wire.member else things for wire in wires)
    written = as_pattern if as_pattern <= at_the_bench else len(wires)
    return Wires(at_the_bench, written, step.wires if members else 0)


def difference_of(step: Step, member: str) -> MemberDifference | None:
    """Where one member differs from the pattern; None when it does not. The empty member is the pattern itself."""
    return next((d for d in step.differences if d.member == member), None) if member else None


def fasteners_of_member(step: Step, member: str) -> tuple[Fastener, ...]:
    """The fasteners of one member: its own, or else those of the pattern."""
    own = difference_of(step, member)
    if own is None or own.fasteners is None:
        return step.fasteners
    return own.fasteners


def bag_of_member(step: Step, member: str) -> str:
    """The bag that the things of one member lie in, when they have none of their own."""
    own = difference_of(step, member)
    return (own.bag if own is not None else "") or step.bag


def left_hand_of(step: Step, member: str = "") -> LeftHand | None:
    """The left-hand thread at one member; None when its threads are all right-hand."""
    own = difference_of(step, member)
    said = own.left_hand if own is not None else None
    if said is False:
        return None
    handed = [f.kind for f in fasteners_of_member(step, member) if f.detail is not None and f.detail.left_hand]
    if not (said or step.left_hand or handed):
        return None
    return LeftHand(tuple(dict.fromkeys(handed)))


def left_handed(step: Step, members: Iterable[str]) -> Mapping[str, LeftHand]:
    """The members with a left-hand thread, each with what has it; under the empty code when there are no members."""
    found: dict[str, LeftHand] = {}
    for member in tuple(members) or ("",):
        thread = left_hand_of(step, member)
        if thread is not None:
            found[member] = thread
    return found


LEFT_HAND = "LEFT-HAND THREAD"


def left_hand_words(step: Step, members: Sequence[str] = ()) -> str:
    """The warning before a thread is turned: at which members it is left-hand; empty when nowhere.

    `LEFT-HAND THREAD (nut M12): it tightens anticlockwise.` or, when only one of a pair has it,
    `LEFT-HAND THREAD at L only (nut M12): it tightens anticlockwise. At R it tightens clockwise.`
    """
    found = left_handed(step, members)
    if not found:
        return ""
    turned = "it tightens anticlockwise."
    others = [m for m in members if m not in found]
    threads = list(dict.fromkeys(found.values()))
    if not others and len(threads) == 1:
        return f"{LEFT_HAND}{threads[0].words}: {turned}"
    each = "; ".join(f"{member}{thread.words}" for member, thread in found.items())
    if not others:
        return f"{LEFT_HAND} at {each}: {turned}"
    return f"{LEFT_HAND} at {each} only: {turned} At {' and '.join(others)} it tightens clockwise."


class Guess(NamedTuple):
    """What somebody was not sure of, at one member or at all of them."""

    member: str
    certainty: Certainty
    note: str
    settled: str


def guesses_of(step: Step, members: Iterable[str] = ()) -> tuple[Guess, ...]:
    """What is not sure at a step: of the pattern, then of single members."""
    found: list[Guess] = []
    if step.certainty is not Certainty.SURE:
        found.append(Guess("", step.certainty, step.certainty_note, step.guess_settled))
    for member in members:
        own = difference_of(step, member)
        if own is not None and own.certainty is not Certainty.SURE:
            found.append(Guess(member, own.certainty, own.certainty_note, own.guess_settled))
    return tuple(found)


class FoundWrong(NamedTuple):
    """What was wrong as found, at one member or at all of them, and how it should be."""

    member: str
    as_found: str
    should_be: str


def wrong_of(step: Step, members: Iterable[str] = ()) -> tuple[FoundWrong, ...]:
    """What was found wrong at a step: at the pattern, then at single members."""
    found: list[FoundWrong] = []
    if step.as_found_wrong:
        found.append(FoundWrong("", step.as_found, step.should_be))
    for member in members:
        own = difference_of(step, member)
        if own is not None and own.as_found_wrong:
            found.append(FoundWrong(member, own.as_found, own.should_be))
    return tuple(found)
