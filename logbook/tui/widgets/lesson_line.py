"""The line above the keys that says the next task of the lesson."""

from __future__ import annotations

import re

from textual.content import Content
from textual.widgets import Static

from logbook.model.lesson import TASKS, LessonStanding
from logbook.tui.surviving import Surviving


class LessonLine(Surviving, Static):
    """The number of the task and what is to be done where the learner stands; as many rows as its words need."""

    DEFAULT_CSS = "LessonLine { height: auto; max-height: 3; width: 1fr; padding: 0 1; background: $surface; }"

    def set_words(self, standing: LessonStanding, words: str) -> None:
        """Show a task in these words; the keys stand in them."""
        head = f" LESSON {standing.number} of {len(TASKS)} " if standing.task is not None else " LESSON DONE "
        parts = re.split(r"(“[^”]+”)", words)
        shown = [Content.styled(part, "$text-accent" if part.startswith("“") else "") for part in parts]
        self.update(Content.assemble(Content.styled(head, "bold $background on $primary"), " ", *shown))
