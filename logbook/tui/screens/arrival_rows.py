"""The facts of an arrival as lines, each with the place in the record that it comes from."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import NamedTuple

from logbook.model.days import day_words
from logbook.model.fields import in_a_line
from logbook.model.measures import hours_and_minutes
from logbook.model.paths import Path
from logbook.model.proofs import DangerStanding
from logbook.model.shop_clock import on_clock_of
from logbook.model.step import Hazard
from logbook.model.templates import hazard_note, usual_hazards
from logbook.model.unit import Unit
from logbook.model.work import MakeOrBreak, Waiting
from logbook.teardown.left_as import left_words


class Fact(NamedTuple):
    """One line: a label, what is known, and where it stands in the record."""

    key: str
    label: str
    text: str = ""
    path: Path | None = None
    """Where Enter leads; None for a heading."""
    field: str = ""
    """The field that the cursor is put on there."""
    tone: str = ""
    why: str = "It stands in the record as it was typed. Enter opens it."


UNKNOWN = "?"


def arrival_question(unit: Unit) -> str:
    """What stands between this unit and the next step, in a sentence."""
    open_test = next((t for t in unit.arrival.make_or_break if t.passed is None), None)
    failed = next((t for t in unit.arrival.make_or_break if t.passed is False), None)
    waits = [w for w in unit.waiting if not w.done]
    words = f"Stage: {unit.stage}."
    if unit.why_stopped:
        words += f" Stopped: {unit.why_stopped.rstrip('. ')}."
    if failed is not None:
        words += f" A make-or-break test FAILED: {failed.what}."
    elif open_test is not None:
        words += f" First the make-or-break test: {open_test.what}."
    if waits:
        words += f" Waits for {waits[0].what}" + (f" and {len(waits) - 1} more." if waits[1:] else ".")
    if not unit.hazards:
        words += " No hazards are written down: press c to choose the class of object."
    elif open_test is None and not waits:
        words += f" {len(unit.hazards)} hazard{'s' if len(unit.hazards) > 1 else ''} to mind before any step."
    return words


def arrival_facts(unit: Unit, now: datetime) -> tuple[Fact, ...]:
    """Every fact in order: what it is, hazards, tests, waiting, limit, and the lists behind it."""
    today = now.date()
    return (
        *_what_it_is(unit, now),
        *_hazards(unit, now),
        *_left(unit),
        *_questions(unit),
        *_tests(unit),
        *_waiting(unit, today),
        *_money(unit),
        *_lists(unit),
    )


def _what_it_is(unit: Unit, now: datetime) -> Iterator[Fact]:
    a = unit.arrival
    yield Fact("name", "what", f"{unit.name}", (), "name")
    stage = str(unit.stage) + (f": {unit.why_stopped}" if unit.why_stopped else "")
    yield Fact("stage", "stage", stage, (), "stage", why="Chosen with g. The bench and the reassembly go by it.")
    came = f"{on_clock_of(a.arrived_at, now):%d %b %Y}" if a.arrived_at else UNKNOWN
    yield Fact("arrived", "arrived", f"{came}, {a.origin or 'from where: ' + UNKNOWN}", ("arrival",), "origin")
    yield Fact("as found", "as found", a.as_found or UNKNOWN, ("arrival",), "as_found")
    if a.size:
        yield Fact("size", "size", a.size, ("arrival",), "size")
    if unit.next_action:
        yield Fact("next", "next", unit.next_action, (), "next_action")


def _hazards(unit: Unit, now: datetime) -> Iterator[Fact]:
    kind = unit.arrival.object_class
    yield Fact("head hazards", f"Hazards{': ' + kind if kind else ''}")
    if not unit.hazards:
        words = "none written down. c chooses a class and brings its usual hazards."
        yield Fact("hazards", "", words, ("hazards",), tone="warning")
        return
    yield Fact("caution", "", hazard_note(), ("hazards",), tone="warning", why="It stands before every hazard list.")
    usual = usual_hazards(kind)
    stands = DangerStanding(unit, now)
    for i, hazard in enumerate(unit.hazards):
        why = f"It is usual for the class “{kind}”." if hazard in usual else "It was written for this unit."
        yield Fact(
            f"hazard {hazard.what}",
            str(hazard.signal),
            hazard_words(hazard, stands(hazard)),
            ("hazards", i),
            "",
            "warning",
            why,
        )


def _left(unit: Unit) -> Iterator[Fact]:
    if left := left_words(unit):
        yield Fact("left", "as it was left", f"{left} M puts it right.", (), "left_as", "warning")


def hazard_words(hazard: Hazard, standing: str = "") -> str:
    """A hazard with how it stands, what to do and how to prove it safe."""
    words = f"{hazard.what}{f': {standing}' if standing else ''}. {hazard.do}".strip()
    return f"{words} PROVE: {hazard.prove}" if hazard.prove else words


def _questions(unit: Unit) -> Iterator[Fact]:
    questions = unit.arrival.questions
    if questions:
        answered = sum(1 for q in questions if q.answer.strip())
        yield Fact("head questions", f"Questions on arrival ({answered} of {len(questions)} answered)")
    for i, asked in enumerate(questions):
        tone = "" if asked.answer.strip() else "warning"
        words = f"{asked.what}  {asked.answer or UNKNOWN}"
        why = "It is asked on arrival, because it cannot be asked later."
        yield Fact(f"question {i}", "", words, ("arrival", "questions", i), "answer", tone, why)


def _tests(unit: Unit) -> Iterator[Fact]:
    a = unit.arrival
    yield Fact("head tests", "Tests before the first screw")
    for i, test in enumerate(a.make_or_break):
        tone = "error" if test.passed is False else "done" if test.passed else "warning"
        path: Path = ("arrival", "make_or_break", i)
        yield Fact(f"test {i} {test.what}", "make or break", _test_words(test), path, "", tone)
    if not a.make_or_break:
        words = "none. A cheap test that decides the project saves the work after it."
        yield Fact("make or break", "make or break", words, ("arrival", "make_or_break"))
    for i, done in enumerate(a.tests):
        yield Fact(f"tested {i} {done.what}", "tested", in_a_line(done), ("arrival", "tests", i))
    if not a.tests:
        yield Fact("tested", "tested", "nothing yet", ("arrival", "tests"))


def _test_words(test: MakeOrBreak) -> str:
    state = "open" if test.passed is None else "passed" if test.passed else "FAILED"
    words = f"{state}: {test.what}"
    if test.minutes is not None:
        words += f", {hours_and_minutes(test.minutes)}"
    if test.before:
        words += f", before {test.before}"
    return words + (f"; stop if {test.stop_if}" if test.stop_if else "")


def _waiting(unit: Unit, today: date) -> Iterator[Fact]:
    yield Fact("head waiting", "Waiting for")
    for i, waiting in enumerate(unit.waiting):
        late = not waiting.done and waiting.chase is not None and waiting.chase <= today
        tone = "done" if waiting.done else "warning" if late else ""
        label = "over" if waiting.done else "CHASE NOW" if late else "waits"
        yield Fact(f"waiting {i} {waiting.what}", label, waiting_words(waiting, today), ("waiting", i), "", tone)
    if not unit.waiting:
        yield Fact("waiting", "", "nothing. W writes down what it waits for, in one line.", ("waiting",))


def waiting_words(waiting: Waiting, today: date) -> str:
    """What is waited for, since when, until when, and when to ask again."""
    words = waiting.what
    if waiting.since is not None:
        words += f", since {day_words(waiting.since, today)}"
    if waiting.expected is not None:
        words += f", due {day_words(waiting.expected, today)}"
    return words + (f", chase {day_words(waiting.chase, today)}" if waiting.chase else "")


def _money(unit: Unit) -> Iterator[Fact]:
    yield Fact("head limit", "Limit and money")
    if unit.stop_lines:
        line = unit.stop_lines[-1]
        words = f"further cash {line.amount}" + (f", {line.why}" if line.why else "")
        words += f" (moved {len(unit.stop_lines) - 1} times)" if unit.stop_lines[1:] else ""
    else:
        words = "none set. Set it before the work has cost anything: l in the costs, or Enter here."
    yield Fact(
        "stop line", "stop line", words, ("stop_lines",), why="The last one holds; the earlier ones tell why it moved."
    )
    amounts = [s.amount for s in unit.spent if s.amount is not None]
    spent = f"{sum(amounts):f}: " + "; ".join(s.what for s in unit.spent) if amounts else "nothing written down"
    yield Fact("spent", "already spent", f"{spent} (never in the decision)", ("spent",))


_LISTS = (
    ("proofs", "proved safe", "readings taken to prove a danger gone, between the steps"),
    ("sets", "sets", "repeated things and handed pairs, recorded once"),
    ("sub_assemblies", "sub-assemblies", "lumps that came out and go back as one"),
    ("held_dimensions", "held sizes", "sizes that must not change"),
    ("operations", "operations", "build and repair work with times and waits"),
    ("comparators", "comparators", "what could be bought or done instead"),
    ("photos", "photos", "pictures of the whole unit"),
)


def _lists(unit: Unit) -> Iterator[Fact]:
    yield Fact("head lists", "Lists behind it")
    for name, label, meaning in _LISTS:
        things = getattr(unit, name)
        names = ", ".join(
            str(getattr(t, "name", "") or getattr(t, "what", "") or getattr(t, "danger", "") or getattr(t, "file", ""))
            for t in things
        )
        text = f"{len(things)}: {names}" if things else f"none ({meaning})"
        yield Fact(name, label, text, (name,))
    yield Fact("notes", "notes", unit.notes or "none", (), "notes")
    yield Fact("all", "everything", "every field of the unit", ())
