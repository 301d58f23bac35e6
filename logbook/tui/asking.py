"""A place that asks one line after another: each answer is taken, or refused where it was typed."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import on

from logbook.errors import InputError, LogbookError, StoreError
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.screen_frame import BookScreen
from logbook.tui.sections import SectionScreen
from logbook.tui.widgets.ask import Ask


class AskingPlace(BookScreen):
    """Its body holds one `Ask`. A question carries what is to be done with its answer."""

    ACTS: ClassVar[tuple[Act, ...]] = ()
    DRAFTS = ""
    """Where half-typed answers are kept, after the unit's code."""
    _then: Callable[[str], None] | None = None
    _offered: str = ""
    """What stood in the line before anything was typed."""

    def focus_list(self) -> None:
        """Put the focus back where the cursor is."""

    def ask(
        self, key: str, label: str, value: str, help_text: str, then: Callable[[str], None], *, replace: bool = False
    ) -> None:
        """Ask for a line of text; `then` takes it, or refuses it with an InputError, and may ask on.

        What was half typed when the question was left the last time is there again, selected and named as such, so
        that typing replaces it. With `replace` that is so of the value offered, too.
        """
        self._then, self._offered = then, value
        begun = self.session.draft(self.draft_key(key))
        self.query_one(Ask).ask(key, label, value, help_text, begun=begun, replace=replace)

    def left_half_way(self) -> None:
        """A question was left without an answer: say what that means, where it is not plain."""

    def draft_key(self, key: str) -> str:
        """Where a half-typed answer to a question is kept."""
        return f"{self.CODE}/{self.DRAFTS}/{key}"

    def keep_draft(self, key: str, text: str) -> None:
        """Keep what was half typed; when the disk refuses, that is said and nothing else suffers."""
        try:
            self.session.keep_draft(self.draft_key(key), text)
        except StoreError as error:
            self.say(str(error), "error")

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        ask, then = self.query_one(Ask), self._then
        self._then = None
        self.keep_draft(event.key, "")  # what follows may keep it again, until all of it is answered
        try:
            if then is not None:
                then(event.text)
        except LogbookError as error:
            self._then = then
            ask.refuse(str(error).replace("\n", " "))
            return
        if self._then is None:  # nothing else was asked
            ask.close()
            self.focus_list()

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        self._then = None
        self.keep_draft(event.key, "" if event.text == self._offered else event.text)
        self.focus_list()
        self.left_half_way()


class AskingScreen(AskingPlace, SectionScreen):
    """A section of a unit that asks."""

    ACTS: ClassVar[tuple[Act, ...]] = ()

    def __init__(self, session: Session, code: str) -> None:
        SectionScreen.__init__(self, session, code)
        self.DRAFTS = self.SECTION

    def kept(self, what: str, edit: Callable[[Unit], Unit]) -> None:
        """Keep an edit that answers a question. Raises InputError when it is refused or not kept."""
        edit(self.unit)
        if not self.tried(f"{what}.", partial(self.session.apply, self.CODE, what, edit)):
            raise InputError("It was not kept; it stays here.")
