"""What the bench screen shows beside the step being written: kinds used before, the next bag, dangers in force."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from itertools import takewhile
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.dangers import danger_key, is_provable, merged
from logbook.model.proofs import NOT_PROVED, Proved, initials_of, proof_of
from logbook.model.step import Fastener, Hazard, OneWay, Step
from logbook.model.templates import with_usual_words
from logbook.model.unit import Unit
from logbook.model.words import NOT_UNDONE, Action, SignalWord
from logbook.teardown.bench_line import LineReading
from logbook.teardown.draft import StopAnswer
from logbook.teardown.kinds import fasteners_of, next_bag, next_box
from logbook.teardown.meant import UNNAMED_HAZARD
from logbook.teardown.proving_phrases import PROVING_WORDS, electrical_of

__all__ = [
    "ActiveHazard", "OpenDead", "StopQuestion", "active_hazards", "before_this", "cannot_be_undone", "dangers_in_force",
    "next_bag", "next_box", "open_dead", "proof_refused", "same_kinds", "stop_is_open", "stop_questions",
]  # fmt: skip


def same_kinds(unit: Unit, limit: int = 9) -> tuple[Fastener, ...]:
    """Kinds used before, for the digits 1 to 9: those of the latest step first, each as it was last used.

    Holes and found are both the number of places it had there; bag and details are left out. Kinds that only
    a planned step names come last.
    """
    latest: dict[str, Fastener] = {}
    done, planned = ([s for s in reversed(unit.steps) if s.planned is later] for later in (False, True))
    for step in (*done, *planned):
        for fastener in fasteners_of(step):
            holes, then, piece = fastener.holes, fastener.then, fastener.piece
            fresh = Fastener(kind=fastener.kind, holes=holes, found=holes, then=then, piece=piece)
            latest.setdefault(fastener.kind, fresh)
    return tuple(latest.values())[:limit]


def how_in_words(step: Step) -> str:
    """How it came off, every action that was said: `unscrewed and cut`; empty when it is not said."""
    actions = [a for a in (step.action, *step.also) if a is not Action.UNSAID]
    return " and ".join(map(str, actions))


def before_this(unit: Unit, code: str = "") -> str:
    """The last step that was kept, in one line: `T08  mains-cord clip, unscrewed, bag 3`. Empty when there is none.

    With the `code` of a step that is put right it is the one kept before that step.
    """
    earlier = list(takewhile(lambda s: s.code != code, unit.steps))
    step = next((s for s in reversed(earlier) if not s.planned), None)
    if step is None:
        return ""
    parts = [step.what, *filter(None, [how_in_words(step)])]
    parts += [f"bag {step.bag}"] if step.bag else []
    parts += [f"box {step.box}"] if step.box else []
    parts += [step.note] if step.note else []
    return f"{step.code}  " + " ".join(", ".join(parts).split())


class ActiveHazard(NamedTuple):
    """A danger in force on the bench now, and what proved it safe, if anything did."""

    hazard: Hazard
    source: str
    """“the unit”, its class, “step T03” or “component K1”."""
    proof: Proved | None
    """The latest reading: what proved it gone, maybe on another day, or showed that it is not dead."""
    now: datetime

    @property
    def safe(self) -> bool:
        """Whether it was proved gone in this sitting."""
        return self.proof is not None and self.proof.holds(self.now)

    @property
    def standing(self) -> str:
        """“not proved safe”, what proved it, that it is to be proved again, or what showed that it is not dead.

        Empty for a CAUTION or NOTICE of which nobody says how it could be proved safe, such as dust.
        """
        if self.proof is not None:
            return self.proof.words(self.now)
        return NOT_PROVED if is_provable(self.hazard) else ""

    @property
    def sentence(self) -> str:
        """One line: `WARNING stored charge: proved safe at 18:00: 0.2 V, meter.`, or that it is not, and what to do."""
        head = self.head
        return head if self.safe else f"{head} {self.hazard.do}".rstrip()

    @property
    def head(self) -> str:
        """Its name and how it stands, as a sentence: `WARNING mains voltage: not proved safe`."""
        name = f"{self.hazard.signal} {self.hazard.what}"
        return f"{name}: {self.standing}." if self.standing else f"{name}."


_LASTING = frozenset({SignalWord.DANGER, SignalWord.WARNING})


def active_hazards(
    unit: Unit, now: datetime, of_class: Iterable[Hazard] = (), step: Step | None = None
) -> tuple[ActiveHazard, ...]:
    """Dangers in force now, each once: those not proved safe first, then by signal word from the worst down.

    In force are the hazards of the unit and of its class, those of components that were not handed in, and
    DANGER and WARNING of steps already done; a CAUTION or NOTICE of a step is over with the step. A hazard
    stays listed once proved, with the proof, because stored charge can come back; a proof of another day
    holds no longer.

    Args:
        unit: the record.
        now: the moment and the time zone in which a proof must be of today.
        of_class: the usual hazards of the unit's object class.
        step: the step that is about to be done or is being written; all of its hazards are in force.
    """
    found = dangers_in_force(unit, now, of_class, step)
    return tuple(sorted(found, key=lambda a: (a.safe, a.hazard.signal.rank)))


def dangers_in_force(
    unit: Unit, now: datetime, of_class: Iterable[Hazard] = (), step: Step | None = None
) -> tuple[ActiveHazard, ...]:
    """The same in the order of the record, where a danger that is proved safe keeps its place."""
    found: dict[str, ActiveHazard] = {}
    for hazard, source in _stated(unit, of_class, step):
        key = danger_key(hazard.what)
        before = found.get(key)
        if before is None:
            found[key] = ActiveHazard(hazard, source, proof_of(unit, hazard.what), now)
        else:
            found[key] = before._replace(hazard=merged(before.hazard, hazard))
    return tuple(active._replace(hazard=with_usual_words(active.hazard)) for active in found.values())


def _stated(unit: Unit, of_class: Iterable[Hazard], step: Step | None) -> Iterator[tuple[Hazard, str]]:
    if step is not None:
        yield from ((h, f"step {step.code}") for h in step.hazards if h.what != UNNAMED_HAZARD)
    yield from ((h, "the unit") for h in unit.hazards)
    yield from ((h, f"class {unit.arrival.object_class}".rstrip()) for h in of_class)
    yield from ((h, f"component {c.code}") for c in unit.components if c.disposal is None for h in c.hazards)
    done = (s for s in unit.steps if not s.planned)
    yield from ((h, f"step {s.code}") for s in done for h in s.hazards if h.signal in _LASTING)


class OpenDead(NamedTuple):
    """A phrase `dead 0.2 V` of which nobody knows which danger it means."""

    start: int
    end: int
    reading: str
    """What stands after “dead”."""
    dangers: tuple[str, ...]
    """Those that it can mean."""

    def named(self, line: str, danger: str) -> str:
        """The line with the danger by its name."""
        return f"{line[: self.start]}proved {danger} {self.reading}{line[self.end :]}"


def open_dead(reading: LineReading, unit: Unit) -> OpenDead | None:
    """The first phrase of a line that says something is dead, where it has to be asked what."""
    dangers = electrical_of(unit, reading.step.hazards)
    if len(dangers) < 2:
        return None
    for phrase in reading.phrases[1:]:
        first, _, rest = phrase.text.partition(" ")
        if phrase.problem and first.casefold() == "dead":
            return OpenDead(phrase.start, phrase.end, rest.strip(), dangers)
    return None


def proof_refused(reading: LineReading, by: str) -> str:
    """Why a line is not kept for what it says about a danger; empty when it can be.

    A phrase that proves nothing is no mere note: whoever reads on would take the danger for gone.

    Args:
        reading: the line.
        by: initials of whoever works here; empty when nobody is named.
    """
    for phrase in reading.phrases[1:]:
        first = phrase.text.partition(" ")[0].casefold()
        if phrase.problem and first in PROVING_WORDS:
            return phrase.problem
    try:
        for proof in reading.step.proofs:
            initials_of(proof.danger, proof.by or reading.step.by or by)
    except InputError as error:
        return f"{error} In the line: by AB."
    return ""


class StopQuestion(NamedTuple):
    """A question to be asked before a one-way step is done."""

    answer: StopAnswer
    question: str


_STOP_QUESTIONS: Mapping[StopAnswer, str] = {
    StopAnswer.MEASURED: "Is it measured?",
    StopAnswer.TRACED: "Is it traced?",
    StopAnswer.PHOTOGRAPHED: "Is it photographed?",
    StopAnswer.PATTERN_KEPT: "Is a pattern kept?",
    StopAnswer.HELD_TWICE: "Are the held dimensions taken twice?",
}


_NOTHING_TO_KEEP = re.compile(r"\b(?:ties?|tapes?|strings?|threads?|lacings?)\W*$", re.IGNORECASE)
"""What only held something together, and is never used again once it is cut; common practice, no source."""


def cannot_be_undone(step: Step) -> bool:
    """Whether a step is one-way: somebody says so, or it is done in a way that leaves nothing to undo."""
    if step.one_way is not None:
        return True
    by_nature = not NOT_UNDONE.isdisjoint((step.action, *step.also))
    return by_nature and not _NOTHING_TO_KEEP.search(step.what)


def stop_is_open(step: Step) -> bool:
    """Whether the stop question of a one-way step has no answer yet."""
    return cannot_be_undone(step) and not (step.one_way is not None and step.one_way.answered)


def stop_questions(step: Step) -> tuple[StopQuestion, ...]:
    """The stop questions still open for a one-way step; none when a reason stands for leaving them open.

    One answer is enough to go on (`OneWay.answered`); the others stay on offer.
    """
    one_way = step.one_way or OneWay()
    if not cannot_be_undone(step) or one_way.skipped_because:
        return ()
    return tuple(StopQuestion(a, q) for a, q in _STOP_QUESTIONS.items() if not getattr(one_way, a))
