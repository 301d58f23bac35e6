"""Dangers as the phone shows them: before everything else, and short enough that what is to be done stays in sight.

A danger of the step or line itself stands with its first sentence, the others by their names; the rest of each is one
touch away. Half a sentence is never shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from logbook.model.dangers import advice
from logbook.model.step import Hazard
from logbook.teardown.beside_the_step import ActiveHazard


class DangerShown(NamedTuple):
    """A danger with how it stands."""

    signal: str
    what: str
    standing: str
    """“not proved safe”, what proved it, or nothing."""
    first: str
    """The first sentence of what to do before."""
    rest: str
    """The other sentences, and how to prove it safe."""
    is_safe: bool = False


class NamedDangers(NamedTuple):
    """Dangers of one signal word that stand alike, by their names, and each in full behind it."""

    signal: str
    names: str
    standing: str
    dangers: tuple[DangerShown, ...]


def shown(hazard: Hazard, standing: str, *, is_safe: bool = False) -> DangerShown:
    """A danger with its advice cut at full stops."""
    first, *rest = advice(hazard) or [""]
    return DangerShown(str(hazard.signal), hazard.what, standing, first, " ".join(rest), is_safe)


def own_and_others(
    active: Sequence[ActiveHazard], own: str
) -> tuple[tuple[DangerShown, ...], tuple[NamedDangers, ...]]:
    """The dangers of the step being written that are not proved safe, and all others by name.

    Args:
        active: dangers in force, the worst first.
        own: the source of those of the step itself.
    """
    mine = tuple(_of(danger) for danger in active if danger.source == own and not danger.safe)
    others = [_of(danger) for danger in active if danger.source != own or danger.safe]
    return mine, by_name(others)


def by_name(dangers: Iterable[DangerShown]) -> tuple[NamedDangers, ...]:
    """Dangers that follow each other with the same word and standing, together."""
    groups = groupby(dangers, key=lambda danger: (danger.signal, danger.standing))
    together = [(signal, standing, tuple(of)) for (signal, standing), of in groups]
    return tuple(
        NamedDangers(signal, ", ".join(danger.what for danger in of), standing, of) for signal, standing, of in together
    )


def _of(danger: ActiveHazard) -> DangerShown:
    return shown(danger.hazard, danger.standing, is_safe=danger.safe)
