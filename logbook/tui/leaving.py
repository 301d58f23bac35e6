"""Leaving a step-by-step place: the questions a person coming back will have are offered, never forced."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from textual import on

from logbook.session import Session
from logbook.teardown.bench import LEAVING_QUESTIONS, leaving_note
from logbook.teardown.keeping import with_leaving_note
from logbook.tui.single_keys import SingleKeys
from logbook.tui.widgets.ask import Ask


class Leaving(SingleKeys):
    """Asks what holds it, what is loose and which way up it lies, once something was kept here."""

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self.kept_here = 0
        """Steps kept since this place was opened."""
        self._answers: dict[str, str] = {}
        self._go: Callable[[], object] = lambda: None

    def save_draft(self) -> None:
        """Keep what is half typed."""

    def answered(self, key: str, text: str) -> None:
        """An answer to a question that has nothing to do with leaving."""

    def ask(self, key: str, label: str, help_text: str = "") -> None:
        """Ask for one line of text above the message line."""
        self.add_class("-asking")
        self.query_one(Ask).ask(key, label, help=help_text)

    def close_ask(self) -> None:
        """Put the question away and go back to the line."""
        self.query_one(Ask).close()
        self.remove_class("-asking")
        self.line.focus()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        text = " ".join(event.text.split())
        if _is_leaving(event.key):
            self._answers[event.key] = text
            self._ask_on()
        else:
            self.answered(event.key, text)

    @on(Ask.Left)
    def _question_left(self, event: Ask.Left) -> None:
        if _is_leaving(event.key):
            self._answers[event.key] = event.text
            self._finish()
        else:
            self.close_ask()

    def action_back(self) -> None:
        """From the single keys to the line; from the line one place back."""
        if self.line.has_focus:
            self._leave(super().action_back)
        else:
            self.action_type()

    def action_leave(self) -> None:
        """Leave the program."""
        self._leave(super().action_leave)

    def _leave(self, go: Callable[[], object]) -> None:
        self.save_draft()
        self._go, self._answers = go, {}
        if self.kept_here and not self.session.read_only:
            self._ask_on()
        else:
            go()

    def _ask_on(self) -> None:
        question = next((q for q in LEAVING_QUESTIONS if q.key not in self._answers), None)
        if question is None:
            self._finish()
        else:
            self.ask(question.key, question.question, "Enter goes on, with or without an answer; Esc leaves at once.")

    def _finish(self) -> None:
        self.close_ask()
        self.kept_here = 0
        note = leaving_note(self._answers)
        if note:
            edit = partial(with_leaving_note, note=note, at=self.session.now)
            self.tried("", partial(self.session.apply, self.CODE, "note on leaving", edit))
        self._go()


def _is_leaving(key: str) -> bool:
    return any(q.key == key for q in LEAVING_QUESTIONS)
