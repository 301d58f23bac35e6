"""From what a new unit begins: an empty record, or a starter with its usual hazards, questions and first steps."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from logbook.model.starters import Starter, Starters, nearest, starters, suggested
from logbook.render.plain import clean
from logbook.session.papers import own_folder
from logbook.tui.look.told import Told
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.widgets.rows import Row

EMPTY = "empty"
"""Key of the row for an empty record."""
QUESTION = (
    "From what does it begin? A starter brings usual hazards, questions, tests and the first steps that make it safe. "
    "Local codes and licensed practice come first."
)


def begin_from(screen: BookScreen, name: str, begin: Callable[[Starter | None], None]) -> None:
    """Ask from what a unit of this name begins; `begin` is told, with None for an empty record.

    Starters of a person's own that cannot be used are named on the screen and left out.
    """
    found = starters(own_folder())
    first = suggested(found, name)
    empty, starting = Row(EMPTY, ("an empty record",)), _rows(found, name)
    rows = [empty, *starting] if first is None else [starting[0], empty, *starting[1:]]
    rows += [
        Row(f"problem {i}", (clean(p, limit=300),), "error", selectable=False) for i, p in enumerate(found.problems)
    ]
    here = EMPTY if first is None else first.name
    choose = ChooseScreen(
        screen.session,
        "",
        QUESTION,
        rows,
        take=partial(_taken, found, begin),
        here=here,
        told=lambda key: starter_told(found.named(key)) if key != EMPTY else (),
    )
    screen.app.push_screen(choose)


def _taken(found: Starters, begin: Callable[[Starter | None], None], key: str) -> None:
    begin(None if key == EMPTY else found.named(key))


def starter_told(starter: Starter) -> tuple[Told, ...]:
    """What a unit gets from a starter, part by part, the hazards first."""
    tests = [(test.before and f"before {test.before}", test.what) for test in starter.make_or_break]
    return (
        Told("Hazards", tuple((str(hazard.signal), hazard.what) for hazard in starter.all_hazards)),
        Told("Asked on arrival", tuple(("", words) for words in starter.questions)),
        Told("Tested before strip", tuple(("", words) for words in starter.tests)),
        Told("Make or break", tuple(tests)),
        Told("First steps, planned", tuple((step.code, f"{step.what}, {step.action}") for step in starter.steps)),
        Told("Hold points", tuple((hold.code, hold.what) for hold in starter.holds)),
        Told("Likely components", tuple((part.code, part.name) for part in starter.components)),
        Told("Note", (("", starter.note),) if starter.note else ()),
    )


def _rows(found: Starters, name: str) -> list[Row]:
    """The starters, those first that are for an object of that name, each with what else people call it."""
    return [_row(starter, own=starter.name in found.own) for starter in nearest(found, name)]


def _row(starter: Starter, *, own: bool) -> Row:
    said = starter.summary.casefold()
    also = ", ".join(word for word in starter.known_as if word not in said and word != starter.name)
    more = f" Also: {also}." if also else ""
    return Row(starter.name, (f"{starter.name}{' (your own)' if own else ''}", f"  {starter.summary}{more}"))
