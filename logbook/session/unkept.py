"""Changes that the disk refused: they are in memory only, are tried again, and are told of until they are kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from logbook.errors import InputError, StoreError
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session.record_states import to_state
from logbook.store import Op
from logbook.store.patch import DoesNotFit, apply_patch


@dataclass(frozen=True, slots=True)
class Unkept:
    """A change that is in memory only."""

    code: str
    """The unit, or empty for the shop."""
    what: str
    why: str
    """What the disk said."""
    before: Unit | Shop = field(repr=False)
    """The record as it was before, for taking the change back."""
    do: list[Op]
    undo: list[Op]
    fits: bool = True
    """False once the record was read again and the change no longer fits it; then it waits for nothing."""

    def words(self) -> tuple[str, ...]:
        """What was changed, field by field, in sentences."""
        from logbook.render.change_words import change_words

        state = to_state(self.before)
        try:
            return change_words(self.do, self.undo, apply_patch(state, self.do), state)
        except DoesNotFit:  # an earlier one, on which this one rests, was taken back
            return ()


class UnkeptChanges:
    """All of them, oldest first."""

    def __init__(self) -> None:
        self._changes: list[Unkept] = []

    def __iter__(self) -> Iterator[Unkept]:
        return iter(tuple(self._changes))

    def __bool__(self) -> bool:
        return bool(self._changes)

    @property
    def waiting(self) -> tuple[Unkept, ...]:
        """Those that are kept as soon as the disk lets them."""
        return tuple(change for change in self._changes if change.fits)

    @property
    def codes(self) -> set[str]:
        """The records whose newest state is in memory only."""
        return {change.code for change in self.waiting}

    def add(self, change: Unkept) -> None:
        """One more was refused."""
        self._changes.append(change)

    def drop(self, change: Unkept) -> None:
        """The person took it back."""
        self._changes.remove(change)

    def try_all(self, keep: Callable[[Unkept], object], kept: Callable[[Unkept], object]) -> None:
        """Try each again. One that is refused holds back the later ones of its record, and no other.

        Args:
            keep: writes a change; raises StoreError when the disk refuses, InputError when it does not fit.
            kept: is told of each that is on the disk now.
        """
        left, held_back, done = [], set[str](), []
        for change in self._changes:
            if not change.fits or change.code in held_back:
                left.append(change)
                continue
            try:
                keep(change)
                done.append(change)
            except StoreError as error:
                held_back.add(change.code)
                left.append(replace(change, why=str(error)))
            except InputError as error:
                left.append(replace(change, why=str(error), fits=False))
        self._changes = left
        for change in done:
            kept(change)

    def refused(self, code: str) -> str:
        """Why nothing of a record can be kept now; empty when something can."""
        return next((change.why for change in self.waiting if change.code == code), "")
