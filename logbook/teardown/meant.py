"""What a phrase of a line means, as a value."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from logbook.model.step import Connection, Fastener, Hazard, HoldPoint, Measurement, OneWay, Proof, Setting
from logbook.model.words import Action, Then
from logbook.teardown.kinds import UnitWords
from logbook.teardown.phrases import Word
from logbook.teardown.some_of_a_kind import Some

UNNAMED_HAZARD = "not said what"
"""What a hazard is called whose danger nobody named yet; the desk asks for it."""

Words = tuple[Word, ...]
NOTHING: Mapping[str, object] = MappingProxyType({})


class SaidThing(NamedTuple):
    """Something that a line names and that has a record of its own beside the step."""

    kind: str
    """“component” or “new part”."""
    name: str
    quantity: int = 1
    member: str = ""
    """Code of the one of a set that it is for alone."""
    is_renewed: bool = False
    """A component that does not go back; a new one takes its place."""
    renew_as: str = ""
    """The new part that takes its place, when it is called otherwise."""


class Meant(NamedTuple):
    """What a phrase means."""

    field: str
    """The field of the step that it is mainly about."""
    meaning: str
    """In words, for the reading below the line."""
    sets: Mapping[str, object] = NOTHING
    """Values of fields that a step has once."""
    fasteners: tuple[Fastener, ...] = ()
    then: Then | None = None
    """What becomes of the fasteners of the phrase before."""
    hazards: tuple[Hazard, ...] = ()
    proofs: tuple[Proof, ...] = ()
    one_way: OneWay | None = None
    after: tuple[str, ...] = ()
    better_after: tuple[str, ...] = ()
    back_before: tuple[str, ...] = ()
    problem: str | None = None
    left: str = ""
    """What stands in the phrase beyond that, for the note."""
    connections: tuple[Connection, ...] = ()
    settings: tuple[Setting, ...] = ()
    measurements: tuple[Measurement, ...] = ()
    also: tuple[Action, ...] = ()
    """Further actions."""
    some: Some | None = None
    """So many of the fasteners before are missing, lost, renewed or scrapped."""
    of_members: tuple[tuple[str, Meant], ...] = ()
    """What is said of single members, by their code."""
    each_of: str = ""
    """Code of the set whose members it speaks of."""
    hold: HoldPoint | None = None
    things: tuple[SaidThing, ...] = ()
    first_on: tuple[str, ...] = ()
    """What goes on first on the way back, before the joint of the step is made."""
    threaded: tuple[tuple[str, str], ...] = ()
    """Steps whose thing goes on first here, each with what of it; nothing when it is the whole of it."""
    changed: tuple[tuple[str, ...], Mapping[str, object]] = ((), NOTHING)
    """Numbers of connections of the line, and what is true of them."""
    unread: tuple[str, ...] = ()
    """What of a member's note was not understood and is asked about at the desk."""


class PhraseContext(NamedTuple):
    """What the meaning of a phrase depends on besides its words."""

    unit: UnitWords
    follows: str = ""
    """Field of the phrase before."""
    each_of: str = ""
    """Code of the set that the step is for, as far as that was said."""
    numbers: tuple[str, ...] = ()
    """Numbers of the connections that the line named before."""
    hazards: tuple[Hazard, ...] = ()
    """Those that the line has named before it."""
    bags: tuple[str, ...] = ()
    """Those that the line has named before it."""


Reader = Callable[[Words, PhraseContext], Meant | None]
"""Reads a phrase, or finds that it is not one of its kind."""
