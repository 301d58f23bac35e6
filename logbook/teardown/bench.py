"""What the bench screen shows beside the step being written: kinds used before, the next bag, dangers in force."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from itertools import takewhile
from typing import NamedTuple

from logbook.model.step import Fastener, Hazard, Measurement, Step
from logbook.model.unit import Unit
from logbook.model.words import Action, SignalWord
from logbook.teardown.draft import StopAnswer
from logbook.teardown.kinds import fasteners_of, next_bag, next_box

__all__ = [
    "LEAVING_QUESTIONS", "ActiveHazard", "LeavingQuestion", "Proof", "StopQuestion", "active_hazards", "before_this",
    "leaving_note", "next_bag", "next_box", "same_kinds", "stop_questions",
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


def before_this(unit: Unit, code: str = "") -> str:
    """The last step that was kept, in one line: `T08  mains-cord clip, unscrewed, bag 3`. Empty when there is none.

    With the `code` of a step that is put right it is the one kept before that step.
    """
    earlier = list(takewhile(lambda s: s.code != code, unit.steps))
    step = next((s for s in reversed(earlier) if not s.planned), None)
    if step is None:
        return ""
    parts = [step.what] if step.action is Action.UNSAID else [step.what, str(step.action)]
    parts += [f"bag {step.bag}"] if step.bag else []
    parts += [f"box {step.box}"] if step.box else []
    parts += [step.note] if step.note else []
    return f"{step.code}  " + " ".join(", ".join(parts).split())


class Proof(NamedTuple):
    """Readings that proved a danger gone."""

    step: str
    reading: str
    at: datetime | None


class ActiveHazard(NamedTuple):
    """A danger in force on the bench now, and what proved it safe, if anything did."""

    hazard: Hazard
    source: str
    """“the unit”, its class, “step T03” or “component K1”."""
    proof: Proof | None

    @property
    def sentence(self) -> str:
        """One line: `WARNING stored charge: T03 proved it: 0.4 V, 0.2 V`, or that nothing proved it."""
        head = f"{self.hazard.signal} {self.hazard.what}"
        if self.proof is not None:
            return f"{head}: {self.proof.step} proved it: {self.proof.reading}"
        return f"{head}: not proved safe. {self.hazard.do}".rstrip()


_WORST_FIRST = tuple(SignalWord)
_LASTING = frozenset({SignalWord.DANGER, SignalWord.WARNING})


def active_hazards(unit: Unit, of_class: Iterable[Hazard] = ()) -> tuple[ActiveHazard, ...]:
    """Dangers in force now: not proved ones first, then by signal word from the worst down.

    In force are the hazards of the unit and of its class, those of components that were not handed in, and
    DANGER and WARNING of steps already done; a CAUTION or NOTICE of a step is over with the step. A hazard
    stays listed once proved, with the proof, because stored charge can come back. A proof is a reading at
    a step that names the same danger; a reading at any other step proves nothing about it.

    Args:
        unit: the record.
        of_class: the usual hazards of the unit's object class.
    """
    found: dict[str, ActiveHazard] = {}
    for hazard, source in _stated(unit, of_class):
        found.setdefault(_danger(hazard), ActiveHazard(hazard, source, _proof(unit, hazard)))
    return tuple(sorted(found.values(), key=lambda a: (a.proof is not None, _WORST_FIRST.index(a.hazard.signal))))


def _stated(unit: Unit, of_class: Iterable[Hazard]) -> Iterator[tuple[Hazard, str]]:
    yield from ((h, "the unit") for h in unit.hazards)
    yield from ((h, f"class {unit.arrival.object_class}".rstrip()) for h in of_class)
    yield from ((h, f"component {c.code}") for c in unit.components if c.disposal is None for h in c.hazards)
    done = (s for s in unit.steps if not s.planned)
    yield from ((h, f"step {s.code}") for s in done for h in s.hazards if h.signal in _LASTING)


def _danger(hazard: Hazard) -> str:
    return " ".join(hazard.what.casefold().split())


def _proof(unit: Unit, hazard: Hazard) -> Proof | None:
    """The latest step already done that names the danger and has a reading."""
    danger = _danger(hazard)
    for step in reversed(unit.steps):
        if not step.planned and any(_danger(h) == danger for h in step.hazards):
            readings = tuple(filter(None, map(_reading, step.measurements)))
            if readings:
                moments = [m.at for m in step.measurements if m.at is not None]
                return Proof(step.code, ", ".join(readings), max(moments, default=step.at))
    return None


def _reading(measurement: Measurement) -> str:
    return measurement.text or (f"{measurement.value.in_mm()} mm" if measurement.value is not None else "")


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


def stop_questions(step: Step) -> tuple[StopQuestion, ...]:
    """The stop questions still open for a one-way step; none when a reason stands for leaving them open.

    One answer is enough to go on (`OneWay.answered`); the others stay on offer.
    """
    if step.one_way is None or step.one_way.skipped_because:
        return ()
    return tuple(StopQuestion(a, q) for a, q in _STOP_QUESTIONS.items() if not getattr(step.one_way, a))


class LeavingQuestion(NamedTuple):
    """A question offered, never forced, when work is left half done."""

    key: str
    question: str
    answer_starts: str
    """How the answer begins in the note."""


LEAVING_QUESTIONS: tuple[LeavingQuestion, ...] = (
    LeavingQuestion("holds", "What holds it now?", "held by"),
    LeavingQuestion("loose", "What is loose?", "loose:"),
    LeavingQuestion("way_up", "Which way up is it?", "lies"),
    LeavingQuestion("beware", "What must nobody do (turn over, switch on, …)?", "DO NOT"),
)
"""Common practice, no source: what a person coming back next week, or somebody else, has to know."""


def leaving_note(answers: Mapping[str, str]) -> str:
    """The answers as one note, unanswered ones left out: `Left: held by two clamps; loose: chassis.`."""
    said = [f"{q.answer_starts} {text}" for q in LEAVING_QUESTIONS if (text := answers.get(q.key, "").strip())]
    return f"Left: {'; '.join(said)}." if said else ""
