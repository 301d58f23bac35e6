"""Taking apart with the phone: the line that is said, how it reads, what is asked first, and the step that it becomes.

Nothing is decided here that the bench decides as well: the reader, what is asked before a line is kept, and the edit
are those of the bench.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import Any, NamedTuple
from urllib.parse import quote

from logbook.errors import InputError
from logbook.model.edits import next_step_code, with_changes
from logbook.model.holds import open_holds
from logbook.model.proofs import live_warning
from logbook.model.step import OneWay, Step
from logbook.model.unit import Unit
from logbook.render.plain import clean
from logbook.serve.phone_answer import ASKS, PhoneAnswer, last_of_phone, taken_back
from logbook.serve.phone_dangers import DangerShown, NamedDangers, own_and_others
from logbook.serve.phone_form import PhoneForm
from logbook.serve.phone_picture_places import PicturePlace, picture_places
from logbook.session import Session
from logbook.session.sent_changes import sent_change
from logbook.teardown.before_keeping import AskedFirst, BeforeKeeping, asked_before_keeping
from logbook.teardown.bench_line import LineReading, read_line
from logbook.teardown.beside_the_step import (
    active_hazards,
    before_this,
    cannot_be_undone,
    open_dead,
    stop_questions,
)
from logbook.teardown.draft import StopAnswer, changed_line, with_answer, with_stop_skipped
from logbook.teardown.hold_answers import hold_is_open, open_hold_name, with_hold_answered
from logbook.teardown.spoken import MOST_CHARACTERS, as_typed
from logbook.teardown.step_keeping import kept_with_photos, line_of
from logbook.teardown.vocabulary import nearest_word
from logbook.teardown.wire_ends import WireSaid, ends_missing, label_like, wires_in_words, wires_said, with_wires_said

LAST_STEPS = 4
"""So many steps stand below the line."""

NOTHING_SAID = "What came off? Say that first: it is all a step must say."


NO_PICTURE = "No picture is here yet: take one with the button below."


class PhraseRead(NamedTuple):
    """One phrase as it was read."""

    text: str
    meaning: str
    problem: str
    """A sentence, when it may not say what was meant; else empty."""
    is_note: bool
    """It was not understood, and is kept as a note."""


class StepKept(NamedTuple):
    """One of the last steps."""

    words: str
    asks_picture: bool
    """Its line says that a photo was taken, and none is here yet."""


class HoldAnswer(NamedTuple):
    """What was written at an open hold point; a form that is asked again still says it."""

    reading: str = ""
    by: str = ""
    because: str = ""


class LinePage(NamedTuple):
    """What the page of a line shows."""

    code: str
    name: str
    step: str
    """The code that the step will have."""
    line: str
    """What stands in the field."""
    read: tuple[PhraseRead, ...]
    own: tuple[DangerShown, ...]
    """Dangers of the step itself that are not proved safe."""
    others: tuple[NamedDangers, ...]
    ends: tuple[str, ...]
    """Of which wires the ends are still to be written, in sentences."""
    ends_like: str
    """How one would be said."""
    holds: tuple[str, ...]
    """Open hold points, each in a sentence."""
    before: str
    """The step before, in one line."""
    last: tuple[StepKept, ...]
    pictures: tuple[PicturePlace, ...]
    """Where a picture can go, the step kept last first."""
    asked: BeforeKeeping | None
    question: str
    """What is asked before the line is kept; empty when nothing is."""
    stop: tuple[tuple[str, str], ...]
    """The open stop questions: field and question."""
    dead: tuple[str, ...]
    """Dangers of which one is said to be dead."""
    hold_answer: HoldAnswer
    """What stands in the fields of the hold point that is asked for."""


class KeptLine(NamedTuple):
    """A line that was kept."""

    said: str
    warning: str = ""
    """That something read is not dead, a hold point is open or no picture is there; else empty."""
    step: str = ""
    """Code of the step that it became; empty when it became none."""


def line_page(
    session: Session, code: str, line: str = "", asked: BeforeKeeping | None = None, hold: HoldAnswer | None = None
) -> LinePage:
    """The page of a line as it reads now.

    Args:
        session: the open book.
        code: of the unit.
        line: what stands in the field, spoken or typed.
        asked: what is asked before it is kept.
        hold: what was written at the hold point so far.

    Raises:
        LogbookError: there is no such unit.
    """
    unit = session.unit(code)
    reading = read_line(as_typed(line), unit)
    done = [s for s in unit.steps if not s.planned]
    return LinePage(
        code,
        unit.name,
        next_step_code(unit),
        line,
        tuple(_wires(wires_said(as_typed(line), unit)) or _phrases(reading, unit)) if line.strip() else (),
        *own_and_others(active_hazards(unit, session.shop_now, step=reading.step), f"step {reading.step.code}"),
        ends_missing(unit),
        label_like(unit),
        tuple(clean(hold_is_open(step), limit=400) for step in open_holds(unit)),
        before_this(unit),
        tuple(StepKept(_in_a_line(step), lacks_picture(step)) for step in reversed(done[-LAST_STEPS:])),
        tuple(picture_places(unit)),
        asked,
        _question(asked, reading),
        tuple((str(q.answer), q.question) for q in stop_questions(reading.step)) if asked is not None else (),
        asked.dead.dangers if asked is not None and asked.dead is not None else (),
        hold or HoldAnswer(),
    )


def lacks_picture(step: Step) -> bool:
    """Whether a step says that a photo was taken of which none is in the record."""
    return step.photo_taken and not step.photos


def _wires(said: tuple[WireSaid, ...]) -> list[PhraseRead]:
    """A line that says the ends of wires, as it was read."""
    return [PhraseRead(each.text, each.words, "", is_note=False) for each in said]


def _phrases(reading: LineReading, unit: Unit) -> Iterator[PhraseRead]:
    has_none = not any(photo.for_next for photo in unit.photos)
    for phrase in reading.phrases:
        is_note = phrase.text in reading.unknown
        near = nearest_word(phrase.text) if is_note else ""
        meaning = f"kept as a note ({near}?)" if near else phrase.meaning
        problem = phrase.problem or (NO_PICTURE if phrase.field == "photo_taken" and has_none else "")
        yield PhraseRead(phrase.text, meaning, problem, is_note)


def _in_a_line(step: Step) -> str:
    place = f", bag {step.bag}" if step.bag else f", box {step.box}" if step.box else ""
    return f"{step.code}  {step.what}{place}"


def _question(asked: BeforeKeeping | None, reading: LineReading) -> str:
    if asked is None:
        return ""
    if asked.dead is not None:
        return f"What was read as {asked.dead.reading}? Choose the danger that is meant."
    if asked.waiting is not None:
        hold = clean(hold_is_open(asked.waiting), limit=300)
        return f"{hold} ({open_hold_name(asked.waiting)} at {asked.waiting.code}). Nothing more comes off before it."
    if asked.asked is AskedFirst.STOP:
        return f"STOP: {reading.step.what} cannot be undone. Before it is done, what is kept of it?"
    return asked.why or NOTHING_SAID


def kept_line(session: Session, code: str, form: PhoneForm) -> KeptLine | BeforeKeeping:
    """Keep the line of a form as a step, with what was answered beside it; or what is asked first.

    Raises:
        InputError: an answer cannot be used.
        StoreError: the disk refuses; nothing was changed.
    """
    unit = session.unit(code)
    if wires := wires_said(as_typed(form.text("line")), unit):
        said = "; ".join(each.words for each in wires)
        session.apply(code, said, partial(with_wires_said, said=wires), sent_as=form.name)
        return KeptLine(f"Kept: {clean(said, limit=200)}")
    answered = _with_hold(unit, form, session)
    line = _with_answers(as_typed(form.text("line")), answered, form)
    reading = read_line(line, answered)
    if (first := asked_before_keeping(reading, answered, session.by)) is not None:
        return first

    def edit(before: Unit) -> Unit:
        grown = _with_hold(before, form, session)
        return kept_with_photos(grown, read_line(line, grown), at=session.now, by=session.by)

    what = clean(reading.step.what, limit=60)
    said = f"{reading.step.code} kept: {what}"
    session.apply(code, f"step {reading.step.code}: {what}", edit, sent_as=form.name)
    kept = session.unit(code).step(reading.step.code)
    warning = live_warning(reading.step.proofs)
    if not warning and kept is not None and not kept.planned:
        warning = hold_is_open(kept) or (NO_PICTURE if lacks_picture(kept) else "")
    return KeptLine(said, clean(warning, limit=200), reading.step.code)


def step_named(what: str) -> str:
    """The step that a change made, by its words in the history: `T02` of “step T02: lid”; empty for any other."""
    first, _, rest = what.partition(" ")
    return rest.partition(":")[0] if first == "step" else ""


def _with_hold(unit: Unit, form: PhoneForm, session: Session) -> Unit:
    """The unit with the hold point answered that the form answers; itself when it answers none."""
    step = form.text("hold_step").strip()
    reading, by, why = hold_answer(form)
    of = unit.step(step) if step else None
    if of is None or not hold_is_open(of) or not (reading or by or why):
        return unit
    if not (by or why):
        raise InputError("Who did the check? Write the initials; or why work goes on without it.")
    said = f"because {why}" if why else f"{reading} by {by}"
    return with_hold_answered(unit, step, said, session.now)


def hold_answer(form: PhoneForm) -> HoldAnswer:
    """What a form says of the hold point."""
    return HoldAnswer(*(form.text(f"hold_{name}").strip() for name in HoldAnswer._fields))


def _with_answers(line: str, unit: Unit, form: PhoneForm) -> str:
    """The line with what was answered to the stop question, and with the danger that is dead by its name."""
    dead = open_dead(read_line(line, unit), unit)
    danger = form.text("dead")
    if dead is not None and danger in dead.dangers:
        line = dead.named(line, danger)
    for answer in form.chosen("stop"):
        step = read_line(line, unit).step
        so_far = step.one_way or OneWay()
        is_open = cannot_be_undone(step) and answer in tuple(StopAnswer) and not so_far.answer(answer)
        if is_open:  # one that is answered would be turned to its next answer
            line = changed_line(line, unit, partial(with_answer, answer=StopAnswer(answer)))
    because = form.text("stop_because").strip()
    if because:
        line = changed_line(line, unit, partial(with_stop_skipped, because=because))
    return line


class LinePages:
    """The pages on which a line is said."""

    def __init__(self, session: Session, told: Callable[[str], None]) -> None:
        """Make them.

        Args:
            session: the open book.
            told: told in a sentence what the phone kept.
        """
        self._session, self._told = session, told
        self._said: dict[str, str] = {}

    def show(self, code: str, query: Mapping[str, str]) -> PhoneAnswer:
        """The line that the address gives, empty without one, with what came off last."""
        return self._answer(code, query.get("line", "")[:MOST_CHARACTERS])

    def _answer(
        self,
        code: str,
        line: str = "",
        asked: BeforeKeeping | None = None,
        hold: HoldAnswer | None = None,
        became: str = "",
        **more: Any,
    ) -> PhoneAnswer:
        values = {
            "of": line_page(self._session, code, line, asked, hold),
            "version": self._session.kept(code).version,
            "sent": last_of_phone(self._session, code),
            "became": f"{code}/{became}" if became else "",
        }
        return PhoneAnswer("apart", values, **more)

    def keep(self, code: str, form: PhoneForm) -> PhoneAnswer:
        """Read the line, keep it as a step, or take back what was kept last."""
        line = form.text("line")
        if form.only_reads:
            return self._answer(code, line)
        if (sent := sent_change(self._session, code, form.name)) is not None:
            became = step_named(sent.what)
            return self._answer(code, became=became, said=f"Kept already: {sent.what}.", kept=form.name)
        try:
            if form.text("do") == "back":
                return self._taken_back(code, form)
            kept = kept_line(self._session, code, form)
        except InputError as error:
            asked, written = self._still_asked(code, form), hold_answer(form)
            return self._answer(code, line, asked, written, said=str(error), bad=True, status=ASKS)
        if not isinstance(kept, KeptLine):
            question = line_page(self._session, code, line, kept).question
            return self._answer(code, line, kept, said=question, bad=True, status=ASKS)
        self._told(f"From the phone: {kept.said}.")
        said = f"{kept.said}. {kept.warning}".rstrip()
        return self._answer(code, became=kept.step, said=said, bad=bool(kept.warning), kept=form.name)

    def _taken_back(self, code: str, form: PhoneForm) -> PhoneAnswer:
        """Take back what was kept last; its words stand in the field again."""
        before = self._session.unit(code)
        said = taken_back(self._session, code, form, self._told)
        after = self._session.unit(code)
        left = {step.code for step in after.steps}
        gone = [self._words_of(before, step) for step in before.steps if step.code not in left]
        gone = gone or list(filter(None, [wires_in_words(before, after)]))
        for line in gone:
            self._said = {form.name: line}  # the answer may be lost on the way, and asked for again
        line = self._said.get(form.name, "")
        then = f"/apart/{code}?line={quote(line, safe='')}" if line else ""
        return self._answer(code, line, said=said, kept=form.name, then=then)

    def _words_of(self, unit: Unit, step: Step) -> str:
        """The line of a step, without the initials that whoever works here need not say."""
        unsaid = {"by": ""} if step.by == self._session.by else {}
        return line_of(unit, with_changes(step, **unsaid))

    def _still_asked(self, code: str, form: PhoneForm) -> BeforeKeeping | None:
        """The hold point that was answered in a way that cannot be used: it stays asked."""
        if not form.text("hold_step"):
            return None
        unit = self._session.unit(code)
        return asked_before_keeping(read_line(as_typed(form.text("line")), unit), unit, self._session.by)
