"""What the commands share: the book as a whole, how wide a text may be, JSON, and what is wrong with the book."""

from __future__ import annotations

import json
import sys
from datetime import date
from typing import TYPE_CHECKING, Any

from logbook.cli.books import CommandCall
from logbook.cli.output import columns, write
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.costing import Suggestion
    from logbook.model.unit import Book, Unit
    from logbook.session import Session


def write_now(text: str) -> None:
    """Write at once, for a command that goes on."""
    write(text)
    sys.stdout.flush()


def whole_book(session: Session) -> Book:
    """Every unit that can be worked out; `say_problems` names the others."""
    return session.book()


def suggested(session: Session, unit: Unit) -> tuple[Suggestion, ...]:
    """What past times of every unit suggest for the operations of one."""
    from logbook.costing import corrections, suggestions

    return suggestions(unit, session.over_all(lambda: corrections(whole_book(session).units.values())))


def say_problems(session: Session, code: str = "") -> None:
    """Say on the error output what is wrong with the book; what could be read was printed."""
    said = [f"{c}: {why}" for c, why in session.broken().items() if code in ("", c)]
    if not code:
        said += session.problems
    for sentence in dict.fromkeys(said):
        write(f"logbook: {clean(sentence, limit=500)}\n", sys.stderr)


def today(session: Session) -> date:
    """The day by the session's clock, where the person is."""
    return session.today


def width(call: CommandCall) -> int:
    """Columns of the text: what was asked for, else what fits the output."""
    return call.options.width or columns()


def write_json(value: Any) -> None:
    """Print a value as JSON in plain ASCII, so that any reader and any terminal takes it."""
    write(json.dumps(value, indent=2, ensure_ascii=True) + "\n")


def print_made(made: Any) -> None:
    """Print a text as it is and anything else as JSON."""
    if isinstance(made, str):
        write(made)
    else:
        write_json(made)
