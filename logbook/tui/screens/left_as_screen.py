"""How a unit is left half apart: four questions that whoever comes back will have, offered and never forced.

On leaving the panel first waits: Enter begins with the first question, the digit of a question asks that one, Escape
leaves, and any other key leaves as well and then does what it does at the place behind. A text that is typed there at
once is meant for a question, as a pasted one is: the first takes it. What was answered when the
unit was left the last time stands there again: only what is cleared on purpose goes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import Input, Static

from logbook.errors import StoreError
from logbook.model.unit import Unit
from logbook.render.plain import clean, fitted, wrapped
from logbook.session import Session
from logbook.teardown.left_as import LEAVING_QUESTIONS, answers_of, with_answers
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.typed_on import OneKeyQuestion
from logbook.tui.widgets.input_line import Line

COUNT = len(LEAVING_QUESTIONS)
DIGITS = tuple(str(i) for i in range(1, COUNT + 1))
SAID = "How it was left is kept. M in its sections puts it right."


class Answers(OneKeyQuestion, Static, can_focus=True):
    """The questions with what was answered; it has the focus while nothing is typed."""

    waits = False
    """Whether any key but Enter, Escape and the digits of the questions is meant for the place behind."""

    @dataclass
    class Another(Message):
        """A key that belongs to the place behind."""

        key: str
        character: str | None
        at: float
        """When it came, as keys count time."""

    def takes(self, event: events.Key) -> bool:  # noqa: ARG002
        """Every key has a meaning here: one that is none of the questions' leaves."""
        return True

    def on_key(self, event: events.Key) -> None:
        """While it waits no key does anything here but those of the questions."""
        if self.waits and event.key not in ("enter", "escape", *DIGITS):
            event.stop()
            event.prevent_default()
            self.post_message(self.Another(event.key, event.character, event.time))


ROWS_OF_AN_ANSWER = 2
"""Rows of a question with its answer, so that all of them stand on a small terminal; its digit shows the rest."""


class LeftAsScreen(BookScreen):
    """How a unit is left, or was left: asked on leaving, put right later."""

    TOPIC = "arrival"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("left.begin", "enter", "begin", "answer", "Answer the questions, one after the other", True),
        *(
            Act(f"left.ask{i}", str(i), f"ask({i})", f"question {i}", f"Answer question {i}, or put its answer right")
            for i in range(1, COUNT + 1)
        ),
    )
    DEFAULT_CSS = """
    LeftAsScreen #panel { border: round $accent; height: auto; margin: 0 1; padding: 0 1; }
    LeftAsScreen #title-line, LeftAsScreen #asked { height: auto; text-style: bold; }
    LeftAsScreen #answers { height: auto; }
    LeftAsScreen #asked-line { display: none; background: $surface; }
    LeftAsScreen #asked { display: none; }
    LeftAsScreen.-asking #asked-line, LeftAsScreen.-asking #asked { display: block; }
    LeftAsScreen #how { height: auto; color: $text-muted; }
    LeftAsScreen #rest { height: 1fr; }
    """

    def __init__(
        self, session: Session, code: str, *, leaving: bool = False, go: Callable[[], object] | None = None
    ) -> None:
        """Make the place.

        Args:
            session: the open book.
            code: the unit.
            leaving: whether somebody is on the way out of work half done.
            go: what happens once it is done or left; else the place behind comes back.
        """
        super().__init__(session)
        self.CODE = code
        self._leaving = leaving
        self._go = go
        self._asked = 0
        """Number of the question that stands; 0 while none does."""
        self._one = False
        """Only this one is asked, to be put right."""
        self._said = False
        """Something was said on the way out, and is kept."""
        self._refused = False
        """The answers could not be kept; leaving is not held up twice."""
        self._answers = self._begun() if leaving else {}

    def _begun(self) -> dict[str, str]:
        """Answers that were typed and not kept the last time; else those that are kept."""
        typed = {q.field: self.session.draft(self._draft(q.field)) for q in LEAVING_QUESTIONS}
        return typed if any(typed.values()) else answers_of(self.unit)

    def _draft(self, field: str) -> str:
        return f"{self.CODE}/left/{field}"

    def _keep_drafts(self, answers: dict[str, str]) -> None:
        try:
            for question in LEAVING_QUESTIONS:
                self.session.keep_draft(self._draft(question.field), answers.get(question.field, ""))
        except StoreError as error:
            self.say(str(error), "error")

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit and what is asked."""
        return f"{self.CODE} {self.unit.name} / {'leaving it' if self._leaving else 'as it was left'}"

    def compose_body(self) -> ComposeResult:
        """A framed panel: the questions with their answers, and the one that is asked."""
        with Vertical(id="panel"):
            yield Static("", id="title-line")
            yield Answers("", id="answers")
            yield Static("", id="asked")
            yield Line(id="asked-line")
            yield Static("", id="how")
        yield Static("", id="rest")

    def first_focus(self) -> str:
        """The panel itself: nothing is typed into it yet."""
        return "#answers"

    def show_record(self) -> None:
        """The questions as they are answered so far."""
        if not self._leaving and not self._asked:
            self._answers = answers_of(self.unit)
        title = "It is left half done. What must whoever comes back know?"
        if not self._leaving:
            title = "As it was left. " + ("" if any(self._answers.values()) else "Nobody said anything.")
        self.query_one("#title-line", Static).update(plain(title))
        self.query_one("#answers", Answers).waits = self._leaving and not self._asked
        self.query_one("#answers", Answers).update(plain("\n".join(self._lines()), lines=True, limit=4000))
        self.query_one("#how", Static).update(plain(self._how(), lines=True))
        self.refresh_frame()

    def _lines(self) -> list[str]:
        room = max(20, self.columns - 6)
        lines: list[str] = []
        for i, question in enumerate(LEAVING_QUESTIONS, 1):
            if self._asked and (i >= self._asked or self._one):
                continue
            answer = self._answers.get(question.field, "")
            first, *rest = wrapped(clean(f"{i} {question.question}  {answer}".rstrip(), limit=600), room - 2)
            lines += [first, *(f"  {line}" for line in rest)][:ROWS_OF_AN_ANSWER]
            if len(rest) >= ROWS_OF_AN_ANSWER:
                lines[-1] = f"{fitted(lines[-1], room - 3).rstrip()} …"
        return lines

    def _how(self) -> str:
        if self._asked:
            like = LEAVING_QUESTIONS[self._asked - 1].like
            rest = "Esc: cancel." if self._one else "Esc: skip all."
            on = "keep" if self._one else "next"
            if self._answers.get(LEAVING_QUESTIONS[self._asked - 1].field):
                return f"Like “{like}”. Enter: {on}, what stands there stays; Ctrl+U clears it. {rest}"
            return f"Like “{like}”. Enter: {on}, blank is fine. {rest}"
        if self._leaving:
            return "Enter: answer them all, blank is fine. A digit: that one. Esc or any other key: leave."
        return "A digit puts one right, Enter asks them all in turn. Esc goes back."

    def keys_now(self) -> list[tuple[str, str, str]]:
        """What Enter and Escape do now."""
        if self._asked:
            done, left = ("done", "cancel") if self._one else ("next", "skip all")
            return [("Enter", done, ""), ("Esc", left, "screen.back")]
        if self._leaving:
            return [
                ("Enter", "answer", "screen.begin"),
                ("Esc", "leave", "screen.back"),
                (f"1-{COUNT}", "that one", ""),
            ]
        return [(f"1-{COUNT}", "put one right", ""), *super().keys_now()]

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """While it waits or asks, only what belongs to it is done here: other keys leave, or are text."""
        if self._asked:
            return action == "back"
        return not self._leaving or action in ("back", "begin", "ask")

    # Keys

    @on(Answers.Another)
    def _another_key(self, event: Answers.Another) -> None:
        """What comes behind it says what it is, and that is known as soon as it waits its turn."""
        self.app.call_later(self._leave_with, event)

    async def _leave_with(self, event: Answers.Another) -> None:
        """It leaves, and then acts at the place behind; as the first letter of a text it begins to answer."""
        if event.character and event.character.isprintable() and self.logbook.goes_on_as_text(event.at):
            self._begin_with(event.character)
            return
        self._leave()
        if self._go is None and event.key != "q":  # leaving the program is asked for at the place behind
            self.app.call_later(self.logbook.act_first, event.key, event.character)

    def on_paste(self, event: events.Paste) -> None:
        """Pasted text is meant for a question: the first one takes it."""
        if self._leaving and not self._asked:
            event.stop()
            self._begin_with(event.text)

    def _begin_with(self, text: str) -> None:
        self.action_begin()
        self.query_one("#asked-line", Line).insert_text_at_cursor(text)

    def action_begin(self) -> None:
        """The first question."""
        self._one = False
        self._ask(1)

    def action_ask(self, number: int) -> None:
        """One question, to put its answer right."""
        self._one = True
        self._ask(number)

    def _ask(self, number: int) -> None:
        self._asked = number
        question = LEAVING_QUESTIONS[number - 1]
        count = "" if self._one else f"Question {number} of {COUNT}. "
        self.query_one("#asked", Static).update(plain(f"{count}{question.question}"))
        line = self.query_one("#asked-line", Line)
        line.value = self._answers.get(question.field, "")
        line.cursor_position = len(line.value)
        self.add_class("-asking")
        line.focus()
        self.show_record()

    @on(Input.Submitted, "#asked-line")
    def _answered(self) -> None:
        self._take_answer()
        if self._one or self._asked == COUNT:
            self._finish()
        else:
            self._ask(self._asked + 1)

    def _take_answer(self) -> None:
        question = LEAVING_QUESTIONS[self._asked - 1]
        self._answers[question.field] = " ".join(self.query_one("#asked-line", Line).value.split())
        if self._leaving:
            self._keep_drafts(self._answers)

    def _finish(self, *, confirmed: bool = True) -> None:
        """Keep what was answered; on the way out leave once all were asked, else show it."""
        one = self._one
        if not self._kept(confirmed=confirmed) and not self._refused:
            self._refused = True
            return
        self._put_away()
        if self._leaving and not one:
            self._leave()

    def _put_away(self) -> None:
        self._asked = 0
        self.remove_class("-asking")
        self.query_one("#answers", Answers).focus()
        self.show_record()

    def _kept(self, *, confirmed: bool) -> bool:
        """Whether the answers are kept, or nothing is to be kept. What is refused stays to be tried again.

        Answers that were gone through on leaving and left as they were are `confirmed`: they hold from now.
        """
        unchanged = self._answers == answers_of(self.unit)
        if unchanged and not (self._leaving and any(self._answers.values()) and confirmed):
            return True
        edit = partial(with_answers, answers=dict(self._answers), at=self.session.now, by=self.session.by)
        said = "how it was left" if self._leaving else "how it was left, put right"
        kept = self.tried(said, partial(self.session.apply, self.CODE, said, edit))
        if kept and self._leaving:
            self._said = True
            self._keep_drafts({})
        return kept

    def action_back(self) -> None:
        """From a question: leave it, or skip all of them with what was typed kept; else one place back."""
        if self._asked and self._one:
            self._put_away()
        elif self._asked:
            self._take_answer()
            self._finish(confirmed=False)
        elif self._leaving:
            self._leave()
        else:
            super().action_back()

    def _leave(self) -> None:
        if self._go is not None:
            self._go()
        elif len(self.app.screen_stack) > 2:
            self.app.pop_screen()
            behind = self.app.screen
            if self._said and isinstance(behind, BookScreen):
                behind.say(SAID, "good")
