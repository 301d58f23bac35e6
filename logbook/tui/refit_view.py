"""The reassembly list of a unit as it stands at one moment, with everything that screens ask of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from logbook.model.unit import LineState, Unit
from logbook.reassembly import Progress, Readiness, RefitList, Standing, refit_list
from logbook.render.reassembly_line import changed_lines, states_of
from logbook.session import Session

_BUT_TICKS = tuple(name for name in Unit.model_fields if name not in ("refit", "touched"))


@dataclass(frozen=True)
class View:
    """What a screen shows of the list: computed once for each change of the record."""

    unit: Unit
    listed: RefitList
    ready: Mapping[str, Readiness]
    states: Mapping[str, LineState]
    """What was kept, by tick key."""
    changed: frozenset[str]
    """Keys of lines to look at again."""
    standing: Standing


def view_of(session: Session, code: str, before: View | None = None) -> View:
    """The view of a unit. When only ticks changed since `before`, the list itself is taken from there.

    Raises:
        CircleError: the relations go round in a circle, so there is no list.
    """
    unit, now = session.unit(code), session.now.astimezone()  # ends of waits are said in local time
    same = before is not None and all(getattr(unit, n) is getattr(before.unit, n) for n in _BUT_TICKS)
    # What stands at lines that are gone belongs to the list, and a tick can change it.
    listed = before.listed if before is not None and same and not before.listed.gone else refit_list(unit)
    progress = Progress(unit, listed, now)
    return View(
        unit=unit,
        listed=listed,
        ready=progress.readiness(),
        states=states_of(unit),
        changed=changed_lines(unit, listed, now),
        standing=progress.standing(),
    )
