"""The reassembly list as one value, with the record that it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from logbook.reassembly.index import RefitIndex
from logbook.reassembly.refit_records import InsideList, Notice, RefitLine, StepLeftOut


@dataclass(frozen=True)
class RefitList:
    """The reassembly list of a unit, computed from its teardown record."""

    lines: tuple[RefitLine, ...]
    left_out: tuple[StepLeftOut, ...]
    guesses: tuple[Notice, ...]
    """Steps that somebody was not sure of, open ones first."""
    as_found_wrong: tuple[Notice, ...]
    """Steps where as found was wrong, with how it should be."""
    inside: tuple[InsideList, ...] = ()
    sets: tuple[str, ...] = ()
    """What is to be known of each set that the list has lines for, in a sentence."""
    gone: tuple[Notice, ...] = ()
    """Ticks whose step, member or line is no longer in the record; they are kept and shown."""
    prefers: tuple[tuple[str, str], ...] = ()
    """Keys (sooner, later) where “better before” still protects something; not binding."""
    asking: frozenset[str] = frozenset()
    """Keys of the lines at which something of the record may be missing; at all others nothing can be."""
    index: RefitIndex | None = field(default=None, compare=False, repr=False)
    """The record that it was made from, looked up by its steps."""

    @cached_property
    def by_key(self) -> Mapping[str, RefitLine]:
        """The lines by their key."""
        return {line.key: line for line in self.lines}

    @cached_property
    def by_tick(self) -> Mapping[str, RefitLine]:
        """The line that each tick key belongs to: `T13`, `C04/D2`, and the bare key of a set as well."""
        return {**self.by_key, **{k: line for line in self.lines for k in line.tick_keys}}

    @cached_property
    def followers(self) -> Mapping[str, tuple[str, ...]]:
        """For each key the keys of the lines that name it in `must_follow`."""
        found: dict[str, list[str]] = {line.key: [] for line in self.lines}
        for line in self.lines:
            for key in line.must_follow:
                found[key].append(line.key)
        return {key: tuple(keys) for key, keys in found.items()}

    @cached_property
    def places(self) -> Mapping[str, int]:
        """The place of each line on the list, by its key."""
        return {line.key: i for i, line in enumerate(self.lines)}

    @cached_property
    def holding(self) -> tuple[RefitLine, ...]:
        """The lines with a hold point, in order."""
        return tuple(line for line in self.lines if line.hold is not None)

    @cached_property
    def cures(self) -> frozenset[str]:
        """Keys of the lines after which there is a wait."""
        return frozenset(line.key for line in self.lines if line.remake is not None and line.remake.wait)

    def line(self, key: str) -> RefitLine | None:
        """The line of a key, a member's key (`C04/D2`) or, failing these, a number (`A07`); None if there is none."""
        found = self.by_tick.get(key)
        return found if found is not None else next((x for x in self.lines if x.number == key.upper()), None)
