"""How far somebody who never saw the object whole would get with the record alone, in the order of the way back.

A step stops a stranger when something is missing without which it may not go together again (`STOPS` and heavier in
the list of what is to be completed). Lesser gaps cost time, but they do not stop anybody.
"""

from __future__ import annotations

from typing import NamedTuple

from logbook.errors import CircleError
from logbook.model.precedence import precedence
from logbook.model.unit import Unit
from logbook.teardown.complete import Missing, to_complete

STOPS = 8
"""From this weight on a want stops a stranger."""


class Reach(NamedTuple):
    """How far a stranger would get."""

    steps: int
    """Steps that were taken and have to be undone."""
    clear: int
    """Of these, the ones at which nothing stops a stranger."""
    straight: int
    """How many are put back, from the first on, before one that stops; 0 when something of the unit itself does."""
    stop: Missing | None
    """What stops first."""

    @property
    def sentence(self) -> str:
        """In words: `Somebody else could put back 17 of 19 steps. First gap: T13: …`."""
        if self.stop is None:
            return f"Somebody else could put back {'the one step' if self.steps == 1 else f'all {self.steps} steps'}."
        return f"Somebody else could put back {self.clear} of {self.steps} steps. First gap: {self.stop.sentence}"


def reach(unit: Unit) -> Reach | None:
    """How far a stranger would get with the record of a unit; None when nothing has been taken off yet."""
    off = {s.code for s in unit.steps if not s.planned}
    if not off:
        return None
    try:
        order = precedence(unit).order
    except CircleError:
        order = tuple(s.code for s in unit.steps)
    way_back = [code for code in reversed(order) if code in off]
    heavy: dict[str, Missing] = {}
    for missing in to_complete(unit):
        if missing.weight >= STOPS:
            heavy.setdefault(missing.step, missing)
    at = next((i for i, code in enumerate(way_back) if code in heavy), len(way_back))
    whole = heavy.get("")
    stop = whole or (heavy[way_back[at]] if at < len(way_back) else None)
    return Reach(len(way_back), sum(c not in heavy for c in way_back), 0 if whole else at, stop)
