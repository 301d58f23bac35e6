"""The lesson: a lamp comes in, and eight short tasks lead from its first step to the list that puts it back.

Whether a task is done is read from the record alone, so the lesson can be left at any time and gone on with later.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from logbook.model.unit import Book, Unit
from logbook.model.words import Then

MARK = "lesson"
"""The draft by which a book is known as that of a lesson."""


class LessonTask(NamedTuple):
    """One task: how one gets to its place, what is done there, and what the record shows afterwards."""

    name: str
    way: str
    """How one gets there from any section of the object; keys stand as the name of their action in braces."""
    stops: tuple[tuple[str, str], ...]
    """The places it passes, by the name of their screen, each with what is pressed or typed there."""
    is_done: Callable[[Book], bool]

    def words_at(self, place: str) -> str:
        """What is to be done at a place of that name; how to get there where it is not done."""
        return dict(self.stops).get(place, self.way)

    def is_at(self, place: str) -> bool:
        """Whether it passes a place of that name."""
        return place in dict(self.stops)


class LessonStanding(NamedTuple):
    """How far the lesson is."""

    number: int
    """Of the task that is next, counted from 1; one more than there are when all are done."""
    task: LessonTask | None
    """The one that is next; None when all are done."""


def _objects(book: Book) -> tuple[Unit, ...]:
    return tuple(book.units.values())


def _is_here(book: Book) -> bool:
    return bool(book.units)


def _has_dangers(book: Book) -> bool:
    return any(unit.hazards for unit in _objects(book))


def _has_screws_short(book: Book) -> bool:
    """A step stands with a bag, and with fewer screws found than it has holes."""
    steps = (step for unit in _objects(book) for step in unit.steps)
    return any(step.bag and any(f.found < f.holes for f in step.fasteners) for step in steps)


def _has_wire_and_renewal(book: Book) -> bool:
    """A wire stands with both ends, and something is to be new."""
    steps = [step for unit in _objects(book) for step in unit.steps]
    wires = [wire for step in steps for wire in step.connections]
    fasteners = [fastener for step in steps for fastener in step.fasteners]
    return any(w.start and w.end for w in wires) and any(f.then is Then.RENEW for f in fasteners)


def _has_three_steps(book: Book) -> bool:
    return any(len(unit.steps) >= LEAST_STEPS for unit in _objects(book))


def _is_proved(book: Book) -> bool:
    return any(unit.proofs for unit in _objects(book))


def _has_come(book: Book) -> bool:
    return any(item.stock > 0 for item in book.shop.shelf)


def _is_ticked(book: Book) -> bool:
    return any(line.done for unit in _objects(book) for line in unit.refit.lines)


LEAST_STEPS = 3
_BENCH = "{unit.bench} opens bench mode, where it comes apart."
_NEW_OBJECT = (
    "{bench.new}: a new object. Type “desk lamp”, Enter, and Enter takes its code. "
    "It begins with an empty record: “empty”, Enter."
)
_CLASS = "{arrival.class}: the class of object, which brings its dangers. Type “plug”, Enter."
_FROM_THE_BENCH = "Enter opens the lamp."

TASKS = (
    LessonTask(
        "an object comes in",
        "{back}, as far as the bench.",
        (("BenchScreen", _NEW_OBJECT), ("ChooseScreen", "Type “empty”, Enter: an empty record.")),
        _is_here,
    ),
    LessonTask(
        "its dangers",
        "{section.arrival} goes to its arrival.",
        (("ArrivalScreen", _CLASS), ("ChooseScreen", "Type “plug”, Enter.")),
        _has_dangers,
    ),
    LessonTask(
        "the first thing comes off",
        _BENCH,
        (("BenchModeScreen", "Type “base cover, unscrewed, 4/3 screw M4x10, bag 1”, Enter. 4 holes, 3 found."),),
        _has_screws_short,
    ),
    LessonTask(
        "a wire and what is worn",
        _BENCH,
        (("BenchModeScreen", "Type “cord, unscrewed, W1 brown: cord to switch 1, 1 grommet renew, bag 2”, Enter."),),
        _has_wire_and_renewal,
    ),
    LessonTask(
        "in your own words",
        _BENCH,
        (("BenchModeScreen", "Now the switch, in your own words: what, how, screws, bag. Then Enter."),),
        _has_three_steps,
    ),
    LessonTask(
        "proved dead",
        "{unit.dangers} shows the dangers in force.",
        (
            (
                "DangersScreen",
                "{danger.prove}: prove it safe. Type “0.3 V”, Enter, “meter”, Enter, your initials, Enter.",
            ),
        ),
        _is_proved,
    ),
    LessonTask(
        "the new part is here",
        "{section.costs} goes to the costs.",
        (
            ("CostsScreen", "{costs.buy} shows what is to buy."),
            ("ToBuyScreen", "{buy.here}: the grommet is here. Enter on the empty line: what it cost is not known."),
        ),
        _has_come,
    ),
    LessonTask(
        "the way back",
        "{section.reassembly} is the list that puts it back together.",
        (("ReassemblyScreen", "The same steps in reverse. {refit.tick} ticks the first line."),),
        _is_ticked,
    ),
)
"""In their order."""

END = (
    "All done. {unit.paper} in any section of the lamp puts the list on paper. {leave} leaves; without the word "
    "“lesson” the command opens your own book."
)
"""What is said when all are done."""


def lesson_standing(book: Book) -> LessonStanding:
    """The first task that the record does not show as done."""
    number = next((n for n, task in enumerate(TASKS) if not task.is_done(book)), len(TASKS))
    return LessonStanding(number + 1, TASKS[number] if number < len(TASKS) else None)


def lesson_words(standing: LessonStanding, place: str, *, in_a_unit: bool) -> str:
    """What the learner does next where he stands, in one or two sentences with keys as names of actions.

    Args:
        standing: how far the lesson is.
        place: name of the screen that is shown.
        in_a_unit: whether the sections of an object are one key away.
    """
    task = standing.task
    if task is None:
        return END
    if task.is_at(place):
        return task.words_at(place)
    if place == "BenchScreen":
        return task.way if task.way == _BENCH else f"{_FROM_THE_BENCH} {task.way}"
    if place == "BenchModeScreen":
        return f"{{back}} leaves the bench, once more its questions. {task.way}"
    return task.way if in_a_unit else f"{{back}} goes back. {task.way}"
