"""The facts of an arrival, each with the place in the record that it comes from, as rows of a list and in full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime
from functools import partial
from typing import NamedTuple

from logbook.model.dangers import advice, is_provable, sentences
from logbook.model.dates_in_words import day_and_year, day_from_today
from logbook.model.measures import hours_and_minutes
from logbook.model.paths import Path
from logbook.model.proofs import NOT_PROVED, proof_of, proof_words
from logbook.model.shop_clock import on_clock_of
from logbook.model.step import Hazard
from logbook.model.templates import hazard_note, usual_hazards
from logbook.model.unit import TestResult, Unit
from logbook.model.words import Stage
from logbook.model.work import MakeOrBreak, Spent, StopLine, Waiting
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import clean, width
from logbook.teardown.left_as import left_words
from logbook.tui.look.inks import (
    BLANK,
    Line,
    Span,
    apart,
    fit,
    flow,
    group,
    hanging,
    line,
    signal,
    text_of,
    typed,
    width_of,
)
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.look.told import Told, told_lines
from logbook.tui.look.units import stage_bar

_typed = partial(typed, limit=600)

LEAD_COLUMNS = 15
"""Of a label or a signal word before a fact; the longest label takes fourteen."""
COUNT_COLUMNS = 3
"""Of how many there are in a list behind the arrival, so that the names stand below each other."""
UNKNOWN = "?"
AS_TYPED = "It stands in the record as it was typed. Enter opens it."


class Fact(NamedTuple):
    """One fact: a label or signal word, what is known, how it stands, and where it is in the record."""

    key: str
    lead: Line = BLANK
    value: Line = BLANK
    path: Path | None = None
    """Where Enter leads; None for a heading."""
    field: str = ""
    """The field that the cursor is put on there."""
    why: str = AS_TYPED
    state: Line = BLANK
    """How it stands, at the right."""
    below: str = ""
    """One sentence on rows of its own."""
    told: tuple[Told, ...] = ()
    """What else is known, where there is room for the fact in full."""
    names: tuple[str, ...] = ()
    """Of a list behind the arrival: what is in it."""

    @property
    def text(self) -> str:
        """What is known, in words."""
        return text_of(self.value)


def _label(words: str) -> Line:
    return (Span(words, "muted"),)


def _heading(key: str, title: str, said: str = "") -> Fact:
    return Fact(f"head {key}", value=group(title, clean(said, limit=200)))


# What stands between the unit and the next step


def answer_lines(unit: Unit, columns: int) -> list[Line]:
    """The stage, then each thing that stands between this unit and the next step, behind its signal word."""
    stage = f"Stage: {unit.stage}."
    if unit.why_stopped:
        stage += f" Stopped: {unit.why_stopped.rstrip('. ')}."
    rows = flow(_typed(stage, "bold"), columns)
    for word, sentence in _before_the_next(unit):
        rows += hanging(line(word, " ") if word else BLANK, clean(sentence, limit=400), columns)
    return rows


def _before_the_next(unit: Unit) -> Iterator[tuple[Line, str]]:
    open_test = next((t for t in unit.arrival.make_or_break if t.passed is None), None)
    failed = next((t for t in unit.arrival.make_or_break if t.passed is False), None)
    waits = [w for w in unit.waiting if not w.done]
    if failed is not None:
        yield signal("FAILED", "bad"), f"the make-or-break test: {failed.what}."
    elif open_test is not None:
        yield signal("FIRST", "head"), f"the make-or-break test: {open_test.what}."
    if waits:
        yield signal("WAITS", "wait"), waits[0].what + (f", and {len(waits) - 1} more." if waits[1:] else ".")
    if not unit.hazards:
        yield BLANK, "No hazards are written down: press c to choose the class of object."
    elif open_test is None and not waits:
        yield BLANK, f"{len(unit.hazards)} hazard{'s' if len(unit.hazards) > 1 else ''} to mind before any step."


# A fact as rows


def fact_lines(fact: Fact, columns: int) -> list[Line]:
    """A fact in the list: its label or signal word, what is known, and at the right how it stands.

    Nothing of a fact is cut. Of a list behind the arrival as many names stand there as one row holds, and how many
    there are; they stand whole beside the list or behind Enter.
    """
    if fact.path is None:
        return flow(fact.value, columns) if width_of(fact.value) > columns else [fact.value]
    lead = fit(fact.lead, LEAD_COLUMNS) if fact.lead else BLANK
    lead = line(lead, " ") if fact.lead else BLANK
    room = columns - width_of(lead)
    rows = [_names(fact.names, room)] if fact.names else flow(fact.value, room) or [BLANK]
    if fact.state:
        rows = _with_state(rows, fact.state, room)
    if fact.below:
        rows += flow(_typed(fact.below, "muted"), room)
    return [line(lead, rows[0]), *(line(" " * width_of(lead), row) for row in rows[1:])]


def _with_state(rows: Sequence[Line], state: Line, columns: int) -> list[Line]:
    """How it stands at the right of the last row, or else on rows of its own: it is never cut."""
    *before, last = rows
    if width_of(last) + 2 + width_of(state) <= columns:
        return [*before, apart(last, state, columns)]
    return [*rows, *flow(state, columns)]


def _names(names: Sequence[str], columns: int) -> Line:
    """How many there are, and as many whole names as there is room for."""
    count = f"{len(names):>{COUNT_COLUMNS}}  "
    room = columns - len(count)
    for shown in range(len(names), 0, -1):
        left = len(names) - shown
        words = "; ".join(clean(name, limit=200) for name in names[:shown])
        more = f" and {left} more" if left else ""
        if width(words) + len(more) <= room:
            return line(Span(count, "bold"), words, Span(more, "muted"))
    return line(Span(count, "bold"), fit(_typed(names[0], limit=200), max(0, room)))


def fact_in_full(fact: Fact, columns: int) -> list[Line]:
    """Everything that is known about a fact, in groups, and at the end where it comes from."""
    rows = flow(line(fact.lead, " ", fact.value), columns)
    rows += flow(fact.state, columns)
    rows += told_lines(fact.told, columns)
    return [*rows, BLANK, *flow(_typed(fact.why, "muted"), columns)]


# Every fact


def arrival_facts(unit: Unit, now: datetime, g: Glyphs = FINE) -> tuple[Fact, ...]:
    """Every fact in order: what it is, hazards, tests, waiting, limit, and the lists behind it."""
    today = now.date()
    return (
        *_what_it_is(unit, now, g),
        *_hazards(unit, now),
        *_left(unit),
        *_questions(unit),
        *_tests(unit, now),
        *_waiting(unit, today),
        *_money(unit, now),
        *_lists(unit),
    )


def _what_it_is(unit: Unit, now: datetime, g: Glyphs) -> Iterator[Fact]:
    a = unit.arrival
    yield Fact("name", _label("what"), _typed(unit.name, "bold"), (), "name")
    stage = line(stage_bar(unit.stage, g), "  ", Span(str(unit.stage), "bold"), _typed(_why_stopped(unit)))
    why = "Chosen with G. The bench and the reassembly go by it."
    yield Fact("stage", _label("stage"), stage, (), "stage", why, told=_stages(unit))
    came = day_and_year(on_clock_of(a.arrived_at, now)) if a.arrived_at else UNKNOWN
    origin = _typed(f", {a.origin or 'from where: ' + UNKNOWN}")
    yield Fact("arrived", _label("arrived"), line(came, origin), ("arrival",), "origin")
    yield Fact("as found", _label("as found"), _typed(a.as_found or UNKNOWN), ("arrival",), "as_found")
    if a.size:
        yield Fact("size", _label("size"), _typed(a.size), ("arrival",), "size")
    if a.note:
        yield Fact("note", _label("noted"), _typed(a.note), ("arrival",), "note")
    if unit.next_action:
        yield Fact("next", _label("next"), _typed(unit.next_action), (), "next_action")


def _why_stopped(unit: Unit) -> str:
    return f": {unit.why_stopped}" if unit.why_stopped else ""


def _stages(unit: Unit) -> tuple[Told, ...]:
    """Every stage there is, and which of them is now."""
    return (Told("Stages", tuple((str(stage), "now" if stage is unit.stage else "") for stage in Stage)),)


def _hazards(unit: Unit, now: datetime) -> Iterator[Fact]:
    kind = unit.arrival.object_class
    if not unit.hazards:
        yield _heading("hazards", "Hazards", kind)
        words = "none written down. c chooses a class and brings its usual hazards."
        yield Fact("hazards", _label("hazards"), line(Span(words, "wait")), ("hazards",))
        return
    yield _heading("hazards", "Hazards", f"{kind + '; ' if kind else ''}D: each in full, and proved safe")
    why = "It stands before every hazard list."
    yield Fact("caution", value=_typed(hazard_note(), "wait"), path=("hazards",), why=why)
    usual = usual_hazards(kind)
    for i, hazard in enumerate(unit.hazards):
        why = f"It is usual for the class “{kind}”." if hazard in usual else "It was written for this unit."
        yield Fact(
            f"hazard {hazard.what}",
            signal(str(hazard.signal), SIGNAL_INKS[hazard.signal]),
            _typed(hazard.what, "bold"),
            ("hazards", i),
            why=why,
            state=_standing(unit, hazard, now),
            below=next(iter(advice(hazard)), ""),
            told=_hazard_told(unit, hazard, now),
        )


def _standing(unit: Unit, hazard: Hazard, now: datetime) -> Line:
    """How a danger stands: not proved safe, PROVED with its reading, to be proved again, or live."""
    proved = proof_of(unit, hazard.what)
    if proved is None:
        return (Span(NOT_PROVED, "wait"),) if is_provable(hazard) else BLANK
    if proved.holds(now):
        return line(signal("PROVED", "good"), " ", _typed(proved.taken))
    return _typed(proved.words(now), "bold bad" if proved.live else "wait")


def _hazard_told(unit: Unit, hazard: Hazard, now: datetime) -> tuple[Told, ...]:
    standing = proof_words(unit, hazard, now)
    groups = (
        Told("Before you start", tuple(("", sentence) for sentence in sentences(hazard.do))),
        Told("Prove it safe", tuple(("", sentence) for sentence in sentences(hazard.prove))),
        Told("How it stands", (("", f"{standing}. D writes down a reading."),) if standing else ()),
    )
    return tuple(told for told in groups if told.said)


def _left(unit: Unit) -> Iterator[Fact]:
    if left := left_words(unit):
        words = _typed(f"{left} M puts it right.", "wait")
        yield Fact("left", _label("as it was left"), words, (), "left_as")


def _questions(unit: Unit) -> Iterator[Fact]:
    questions = unit.arrival.questions
    if questions:
        answered = sum(1 for q in questions if q.answer.strip())
        yield _heading("questions", "Questions on arrival", f"{answered} of {len(questions)} answered")
    for i, asked in enumerate(questions):
        answer = _typed(asked.answer) if asked.answer.strip() else line(Span(UNKNOWN, "bold wait"))
        value = line(_typed(asked.what, "muted"), "  ", answer)
        why = "It is asked on arrival, because it cannot be asked later."
        yield Fact(f"question {i}", BLANK, value, ("arrival", "questions", i), "answer", why)


def _tests(unit: Unit, now: datetime) -> Iterator[Fact]:
    a = unit.arrival
    yield _heading("tests", "Tests before the first screw")
    for i, test in enumerate(a.make_or_break):
        yield _make_or_break(i, test)
    if not a.make_or_break:
        words = "none. A cheap test that decides the project saves the work after it."
        yield Fact("make or break", _label("make or break"), line(words), ("arrival", "make_or_break"))
    for i, done in enumerate(a.tests):
        yield _tested(i, done, now)
    if not a.tests:
        yield Fact("tested", _label("tested"), line("nothing yet"), ("arrival", "tests"))


def _make_or_break(at: int, test: MakeOrBreak) -> Fact:
    """A test that decides the project: to be done FIRST, passed, or FAILED."""
    lead = signal("FIRST", "head") if test.passed is None else _label("make or break")
    lead = signal("FAILED", "bad") if test.passed is False else lead
    passed = (Span("passed", "good"),) if test.passed else BLANK
    long = hours_and_minutes(test.minutes) if test.minutes is not None else ""
    facts = (("takes", long), ("before", test.before), ("stop if", test.stop_if))
    conditions = "; ".join(f"{label} {words}" for label, words in facts if words)
    told = Told("Make or break", tuple((label, words) for label, words in facts if words))
    return Fact(
        f"test {at} {test.what}",
        lead,
        _typed(test.what, "muted" if test.passed else "bold"),
        ("arrival", "make_or_break", at),
        why="Space says what came out. It stands in the record as it was typed; Enter opens it.",
        state=passed or (line(Span("open", "bold")) if test.passed is None else BLANK),
        below=conditions,
        told=(told,) if told.said else (),
    )


def _tested(at: int, test: TestResult, now: datetime) -> Fact:
    """What was tried before anything was opened, and what came out."""
    result = _typed(f": {test.result}" if test.result else "")
    day = f" {day_from_today(on_clock_of(test.at, now).date(), now.date())}" if test.at is not None else ""
    state = line(Span("passed", "good") if test.passed else "", Span(day, "muted"))
    if test.passed is False:
        state = line(signal("FAILED", "bad"), Span(day, "muted"))
    return Fact(
        f"tested {at} {test.what}",
        _label("tested"),
        line(_typed(test.what), result),
        ("arrival", "tests", at),
        state=state,
    )


def _waiting(unit: Unit, today: date) -> Iterator[Fact]:
    yield _heading("waiting", "Waiting for")
    for i, waiting in enumerate(unit.waiting):
        late = not waiting.done and waiting.chase is not None and waiting.chase <= today
        lead = signal("CHASE NOW" if late else "WAITS", "wait")
        value = line(_typed(waiting.what, "bold"), _typed(waiting_days(waiting, today), "muted"))
        if waiting.done:
            lead, value = _label("over"), _typed(f"{waiting.what}{waiting_days(waiting, today)}", "muted")
        why = "Space: it is over, or waited for again. x takes it out."
        yield Fact(f"waiting {i} {waiting.what}", lead, value, ("waiting", i), why=why)
    if not unit.waiting:
        words = "nothing. W writes down what it waits for, in one line."
        yield Fact("waiting", _label("waits"), line(words), ("waiting",))


def waiting_days(waiting: Waiting, today: date) -> str:
    """Since when something is waited for, until when, and when to ask again, as far as it is known."""
    days = (("since", waiting.since), ("due", waiting.expected), ("chase", waiting.chase))
    return "".join(f", {word} {day_from_today(day, today)}" for word, day in days if day is not None)


def _money(unit: Unit, now: datetime) -> Iterator[Fact]:
    yield _heading("limit", "Limit and money")
    why = "The last one holds; the earlier ones tell why it moved."
    value = line("none set. Set it before the work has cost anything: l in the costs, or Enter here.")
    if unit.stop_lines:
        last, earlier = unit.stop_lines[-1], len(unit.stop_lines) - 1
        moved = f" (moved {earlier} time{'s' if earlier > 1 else ''})" if earlier else ""
        reason = f", {last.why}" if last.why else ""
        value = line(Span(f"further cash {last.amount}", "bold"), _typed(f"{reason}{moved}"))
    told = Told("Each time it was set", tuple(_stop_line(each, now) for each in unit.stop_lines))
    yield Fact("stop line", _label("stop line"), value, ("stop_lines",), why=why, told=(told,) if told.said else ())
    amounts = [s.amount for s in unit.spent if s.amount is not None]
    value = line("nothing written down")
    if amounts:
        value = line(Span(f"{sum(amounts):f}", "bold"), _typed(": " + "; ".join(s.what for s in unit.spent)))
    told = Told("On what", tuple(_spent(each) for each in unit.spent))
    yield Fact(
        "spent",
        _label("already spent"),
        value,
        ("spent",),
        state=line(Span("never in the decision", "muted")),
        told=(told,) if told.said else (),
    )


def _stop_line(stop: StopLine, now: datetime) -> tuple[str, str]:
    at = day_and_year(on_clock_of(stop.set_at, now)) if stop.set_at is not None else UNKNOWN
    return f"{stop.amount}", ", ".join(filter(None, (at, stop.why)))


def _spent(spent: Spent) -> tuple[str, str]:
    return ("" if spent.amount is None else f"{spent.amount}"), spent.what


_LISTS = (
    ("proofs", "proved safe", "readings that prove a danger gone"),
    ("sets", "sets", "repeated things and handed pairs"),
    ("sub_assemblies", "sub-assemblies", "lumps that came out and go back as one"),
    ("held_dimensions", "held sizes", "sizes that must not change"),
    ("operations", "operations", "build and repair work, with times"),
    ("comparators", "comparators", "what could be bought or done instead"),
    ("photos", "photos", "pictures of the whole unit"),
)


def _lists(unit: Unit) -> Iterator[Fact]:
    yield _heading("lists", "Lists behind it")
    for name, label, meaning in _LISTS:
        things = getattr(unit, name)
        names = tuple(
            str(getattr(t, "name", "") or getattr(t, "what", "") or getattr(t, "danger", "") or getattr(t, "file", ""))
            for t in things
        )
        value = line(Span(f"none ({meaning})", "muted"))
        if names:
            value = line(Span(f"{len(names)}", "bold"), Span(f"  {meaning}", "muted"))
        told = Told("In it", tuple(("", each) for each in names))
        yield Fact(name, _label(label), value, (name,), told=(told,) if names else (), names=names)
    yield Fact("notes", _label("notes"), _typed(unit.notes or "none"), (), "notes")
    yield Fact("all", _label("everything"), line("every field of the unit"), ())
