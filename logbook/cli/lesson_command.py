"""The lesson: a book of its own, opened where it was left; without a terminal, how far it is."""

from __future__ import annotations

from pathlib import Path

from logbook.cli.books import CommandCall
from logbook.cli.output import write
from logbook.errors import InputError
from logbook.model.lesson import MARK, TASKS, lesson_standing
from logbook.session import Session


def lesson_session(call: CommandCall) -> Session:
    """The book of the lesson, begun when it is not there, open for the screens.

    Raises:
        InputError: another book is there, which is left alone.
    """
    path = call.lesson_book
    refuse_another_book(call, path)
    session = call.session_for_screens(path)
    session.keep_draft(MARK, "begun")
    return session


def refuse_another_book(call: CommandCall, path: Path) -> None:
    """Raise InputError where a book lies that was not begun as a lesson: nothing is written into it."""
    if not path.is_dir() or not any(path.iterdir()):
        return
    with Session.open(path, now=call.now, create=False, read_only=True) as session:
        if not session.draft(MARK):
            held = ", ".join((*session.codes(), *session.broken())) or "no unit"
            raise InputError(
                f"The book in {path} is not that of the lesson (it holds {held}), and is left alone. "
                "Name another folder with --book, or none."
            )


def print_lesson(call: CommandCall) -> None:
    """Print the tasks, those that are done with a cross."""
    path = call.lesson_book
    refuse_another_book(call, path)
    done = 0
    if path.is_dir() and any(path.iterdir()):
        with Session.open(path, now=call.now, create=False, read_only=True) as session:
            done = lesson_standing(session.book()).number - 1
    lines = [f"[{'x' if n < done else ' '}] {n + 1} {task.name}" for n, task in enumerate(TASKS)]
    write("\n".join(("LESSON: a desk lamp, from its first step to the list", *lines, "")))
    write("With a terminal, “logbook lesson” plays it, in a book of its own.\n")
