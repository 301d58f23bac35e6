"""The reassembly list of a unit as it stands at one moment, with everything that screens ask of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from logbook.costing import from_shop
from logbook.model.unit import LineState, Unit
from logbook.reassembly import Progress, Readiness, RefitList, RefitStanding, lines_to_look_at_again, refit_list
from logbook.reassembly.following import follow, lines_touched
from logbook.reassembly.index import NOTHING_OF_SHOP, only_refit_differs
from logbook.reassembly.progress import is_to_look_at_again
from logbook.reassembly.refit_records import FromShop
from logbook.session.session import Session


@dataclass(frozen=True)
class RefitView:
    """What a screen shows of the list: computed once for each change of the record."""

    progress: Progress
    """The ticks laid over the list."""
    states: Mapping[str, LineState]
    """What was kept, by tick key."""
    changed: frozenset[str]
    """Keys of lines to look at again."""
    standing: RefitStanding

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.progress.unit

    @property
    def listed(self) -> RefitList:
        """Its list."""
        return self.progress.list

    @property
    def ready(self) -> Mapping[str, Readiness]:
        """How each line stands, by its key."""
        return self.progress.lines


def view_of(session: Session, code: str, before: RefitView | None = None) -> RefitView:
    """The view of a unit. When only ticks changed since `before`, what they cannot have changed is taken from there.

    Raises:
        CircleError: the relations go round in a circle, so there is no list.
    """
    unit, now = session.unit(code), session.shop_now  # ends of waits are said in local time
    of_shop = from_shop(unit, session.shop, session.today)
    return view_anew(unit, now, of_shop) if before is None else view_after(before, unit, now, of_shop)


def view_anew(unit: Unit, now: datetime, of_shop: FromShop = NOTHING_OF_SHOP) -> RefitView:
    """The view of a unit, from the record and what the shop adds to it. Raises as `view_of`."""
    progress = Progress(unit, refit_list(unit, of_shop), now)
    _ = progress.list.followers, progress.list.by_tick  # now, so that the first tick is as quick as the next
    return RefitView(progress, progress.states, lines_to_look_at_again(progress), progress.standing())


def view_after(before: RefitView, unit: Unit, now: datetime, of_shop: FromShop = NOTHING_OF_SHOP) -> RefitView:
    """The same, from the view before a change. Raises as `view_of`."""
    # What stands at lines that are gone belongs to the list, and a tick can change it.
    same_shelf = before.progress.index.of_shop == of_shop
    if before.listed.gone or not same_shelf or not only_refit_differs(unit, before.unit):
        return view_anew(unit, now, of_shop)
    progress = follow(before.progress, unit, now)
    touched = lines_touched(before.progress, progress)
    lines = map(progress.list.by_key.__getitem__, touched)
    changed = before.changed - touched | {line.key for line in lines if is_to_look_at_again(progress, line)}
    return RefitView(progress, progress.states, changed, progress.standing())
