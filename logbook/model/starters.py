"""Starters: what a person who has taken many of one kind of object apart would write down before the first screw.

Each is a JSON file in `templates/starters`, or in the folder `starters` of a person's own data folder, where a copy
can be changed. They are reminders, not advice: local codes and licensed practice come first.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from logbook.errors import InputError
from logbook.model.base import Frozen, Name, StepLetter, Text
from logbook.model.document import sentences, structure_problems
from logbook.model.edits import with_changes
from logbook.model.step import Hazard, HoldPoint, Step
from logbook.model.templates import HazardClass, hazard_classes, template_bytes, usual_hazards
from logbook.model.unit import Arrival, Component, PartSet, Question, TestResult, Unit
from logbook.model.unit_edits import with_object_class
from logbook.model.words import Disposition
from logbook.model.work import MakeOrBreak

FOLDER = "starters"
_FAR = (0, 0)
_WORD = re.compile(r"\w+")
_MOST_BYTES = 500_000
KINDS = (
    "mains-lamp", "valve-radio", "mantel-clock", "bench-grinder", "chest-of-drawers", "chair",
    "small-motor-appliance", "box-with-components",
)  # fmt: skip
"""The files that come along."""


class Starter(Frozen):
    """One kind of object, to begin a new unit from."""

    name: Name
    summary: Text = ""
    known_as: tuple[Name, ...] = ()
    """What people call such an object: “fan”, “sewing machine”."""
    object_class: Text = ""
    """A class of the hazard list, whose usual hazards apply; empty for none."""
    hazards: tuple[Hazard, ...] = ()
    """Further hazards, beside those of the class."""
    questions: tuple[Name, ...] = ()
    """What to ask before the first screw."""
    tests: tuple[Name, ...] = ()
    """What to test before strip, cheapest first."""
    make_or_break: tuple[MakeOrBreak, ...] = ()
    steps: tuple[Step, ...] = ()
    """The steps that make it safe; they are planned, and done at the bench."""
    sets: tuple[PartSet, ...] = ()
    components: tuple[Component, ...] = ()
    """What is likely to come out."""
    holds: tuple[HoldPoint, ...] = ()
    """Where work usually has to stop until it is checked; each goes to the step or the work where it belongs."""
    step_letter: StepLetter = "T"
    note: Text = ""

    @property
    def all_hazards(self) -> tuple[Hazard, ...]:
        """Every hazard: those of the class first."""
        return tuple(dict.fromkeys((*usual_hazards(self.object_class), *self.hazards)))


@dataclass(frozen=True, slots=True)
class Starters:
    """The starters that can be used, and what is wrong with the others."""

    all: tuple[Starter, ...]
    problems: tuple[str, ...] = ()
    own: frozenset[str] = frozenset()
    """Names of those that are a person's own."""

    def named(self, name: str) -> Starter:
        """The starter of that name. Raises InputError that names all of them when there is none."""
        wanted = name.strip().casefold()
        found = next((s for s in self.all if wanted in (s.name.casefold(), s.name.casefold().replace(" ", "-"))), None)
        if found is None:
            known = ", ".join(s.name for s in self.all)
            raise InputError(f"There is no starter “{name}”. There are: {known}.")
        return found


def nearest(found: Starters, name: str) -> tuple[Starter, ...]:
    """The starters, those first that have more words of the name of an object in what such an object is called."""
    return tuple(sorted(found.all, key=lambda starter: _how_near(starter, name), reverse=True))


def suggested(found: Starters, name: str) -> Starter | None:
    """The starter of what an object of that name is; None when no starter is for such an object."""
    first = max(found.all, key=lambda starter: _how_near(starter, name), default=None)
    return first if first is not None and _how_near(first, name) != _FAR else None


def _how_near(starter: Starter, name: str) -> tuple[int, int]:
    """Words of the longest thing that such an object is called and that stands in the name in full, and where it ends.

    What stands later says more of what it is: a desk lamp is a lamp. The last word of a starter's name says what it
    is, “lamp”; those before it only which: a small table is no small motor appliance.
    """
    words = _singular_words(name)
    called = map(_singular_words, (starter.name, starter.name.split()[-1], *starter.known_as))
    there = [each for each in called if set(each) <= set(words)]
    return max(((len(each), words.index(each[-1])) for each in there), default=_FAR)


def _singular_words(name: str) -> list[str]:
    """The words of a name, folded; “drawers” and “drawer” are one."""
    return [word.removesuffix("s") for word in _WORD.findall(name.casefold())]


def objects_of_class(found: Starters, each: HazardClass) -> tuple[str, ...]:
    """What people call the objects of a class, for whom its own name means little: “fan”, “drill”.

    It is the one list of such words: what the starters of the class are called, and what the class adds for objects
    without a starter.
    """
    named = each.name.casefold()
    of = [starter for starter in found.all if starter.object_class.casefold() == named]
    called = [word for starter in of for word in (starter.name, *starter.known_as)]
    return tuple(word for word in dict.fromkeys((*called, *each.known_as)) if word.casefold() != named)


def starters(own: Path | None = None) -> Starters:
    """Every starter that can be read: a person's own ones first; they take the place of those of the same name.

    Args:
        own: a person's data folder; the files `starters/*.json` in it are read.
    """
    problems: list[str] = []
    mine: dict[str, Starter] = {}
    for path in _own_files(own, problems):
        try:
            starter = read_starter(_bytes_of(path), str(path))
        except InputError as error:
            problems.append(str(error))
        except OSError as error:
            problems.append(f"{path} cannot be read: {error.strerror}.")
        else:
            if starter.name.casefold() in mine:
                problems.append(
                    f"{path}: another of your starters is called “{starter.name}” too; this one is left out."
                )
            mine.setdefault(starter.name.casefold(), starter)
    came = [read_starter(template_bytes(f"{FOLDER}/{kind}.json"), f"{kind}.json") for kind in KINDS]
    rest = [s for s in came if s.name.casefold() not in mine]
    return Starters((*mine.values(), *rest), tuple(problems), frozenset(s.name for s in mine.values()))


def _own_files(own: Path | None, problems: list[str]) -> list[Path]:
    folder = own / FOLDER if own is not None else None
    if folder is None or not folder.is_dir():
        return []
    try:
        return sorted(folder.glob("*.json"))
    except OSError as error:
        problems.append(f"{folder} cannot be read: {error.strerror}.")
        return []


def _bytes_of(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(_MOST_BYTES + 1)


def read_starter(raw: bytes, name: str) -> Starter:
    """A starter as edited by a person.

    Raises:
        InputError: it is not JSON of the right form, or what it holds contradicts itself; with the place.
    """
    if len(raw) > _MOST_BYTES:
        raise InputError(f"{name} is too large to be a starter.")
    try:
        starter = Starter.model_validate_json(raw)
    except ValidationError as error:
        raise InputError(sentences(error, name)) from error
    known = {c.name.casefold() for c in hazard_classes()}
    if starter.object_class and starter.object_class.casefold() not in known:
        raise InputError(f"{name}: the hazard list has no class “{starter.object_class}”.")
    problem = next(iter(structure_problems(started(Unit(code="X1", name="x"), starter))), None)
    if problem:
        raise InputError(f"{name}: {problem}")
    return starter


def started(unit: Unit, starter: Starter) -> Unit:
    """A new unit with what the starter knows: hazards, questions, tests, planned steps, likely components.

    Nothing that the unit says already is overwritten.
    """
    unit = with_object_class(unit, starter.object_class, starter.all_hazards)
    arrival = unit.arrival
    asked = {q.what for q in arrival.questions}
    tested = {t.what for t in arrival.tests}
    grown: Arrival = with_changes(
        arrival,
        questions=(*arrival.questions, *(Question(what=q) for q in starter.questions if q not in asked)),
        tests=(*arrival.tests, *(TestResult(what=t) for t in starter.tests if t not in tested)),
        make_or_break=arrival.make_or_break or starter.make_or_break,
    )
    there = {s.code for s in unit.steps}
    steps = tuple(s.model_copy(update={"planned": True}) for s in starter.steps if s.code not in there)
    parts = {c.code for c in unit.components}
    expected = (_expected(each) for each in starter.components if each.code not in parts)
    return unit.model_copy(
        update={
            "arrival": grown,
            "step_letter": unit.step_letter if unit.steps else starter.step_letter,
            "steps": (*unit.steps, *steps),
            "sets": unit.sets or starter.sets,
            "components": (*unit.components, *expected),
            "notes": unit.notes or _notes(starter),
        }
    )


NOT_SEEN = "From the starter, not seen yet."
"""Written at a component that is only likely to be in the object."""


def seen(component: Component) -> Component:
    """The component once somebody has seen it: it is no longer only likely to be there."""
    return with_changes(component, note=component.note.removeprefix(NOT_SEEN).strip())


def _expected(component: Component) -> Component:
    """A component that is likely to be there. None is bought before somebody has seen it and says so."""
    renewed = component.disposition is Disposition.RENEW
    said = [NOT_SEEN, "Usually renewed." if renewed else "", component.note]
    becomes = Disposition.UNDECIDED if renewed else component.disposition
    return with_changes(component, disposition=becomes, note=" ".join(filter(None, said)))


def _notes(starter: Starter) -> str:
    """Hold points that belong to no step yet, to be put where they belong; each gets its number there."""
    lines = [starter.note] if starter.note else []
    if starter.holds:
        lines.append("Usual hold points, to put at the step or the work where they belong:")
    for hold in starter.holds:
        more = "; ".join(filter(None, [hold.reading_of and f"read {hold.reading_of}", hold.limit]))
        who = " Only by a competent person." if hold.competent else ""
        lines.append(f"- {hold.what}{f' ({more})' if more else ''}.{who}")
    return "\n".join(lines)
