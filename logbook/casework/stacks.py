"""What is left of a bolt, a shaft or a screw once everything it goes through is known.

Common practice, no source. Grip is all that lies between head and nut; a shaft projects by what it is longer than
what lies before its knob; a screw goes in by its length less what lies under its head, and its point must stay at
least 1 mm inside. A head or nut that is let in lies so much deeper: there is less to grip, and a screw goes in so much
farther.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.casework.lookup import mm, ticks
from logbook.casework.panels import WorkedPanel
from logbook.model.case_plan import StackUp
from logbook.model.same_words import same_words
from logbook.model.words import StackKind

MARGIN = "1 mm"
"""Least wood before the point of a screw."""


@dataclass(frozen=True, slots=True)
class WorkedStack:
    """One stack with its figures, in ticks."""

    record: StackUp
    thickness: int | None
    """Of the panel, or of what a screw ends in; None when not known."""
    value: int | None
    """Left in the nut, standing out, or left before the point of the screw."""
    least: int
    holds: bool | None
    old: int | None
    """The same figure with the old panel."""
    words: str
    """The sum in words."""
    way_out: str
    let_in: int = 0
    """How deep its head or nut is let in."""

    @property
    def borderline(self) -> bool:
        """It just holds, with nothing to spare."""
        return self.value is not None and self.value == self.least


def worked_stack(stack: StackUp, panels: Sequence[WorkedPanel]) -> WorkedStack:
    """The figures of one stack with the panels as they are now."""
    panel = next((p for p in panels if p.code == stack.panel), None)
    if panel is None:
        panel = next((p for p in panels if stack.panel and p.record.mirror_of == stack.panel), None)
    thick = stack.into.ticks if stack.into is not None else None if panel is None else panel.thickness
    let_in = _let_in(stack, panel)
    least = ticks(stack.margin, MARGIN) if stack.kind is StackKind.SCREW else ticks(stack.need)
    value = _value(stack, thick, let_in)
    bites = stack.kind is not StackKind.SCREW or _bite(stack, let_in) >= ticks(stack.need)
    holds = None if value is None else value >= least and bites
    old = _value(stack, stack.old_thickness.ticks, 0) if stack.old_thickness is not None else None
    return WorkedStack(
        stack, thick, value, least, holds, old, _words(stack, thick, value, let_in),
        _way_out(stack, value, least, let_in), let_in,
    )  # fmt: skip


def _let_in(stack: StackUp, panel: WorkedPanel | None) -> int:
    """How deep a head or nut is let in: as said, else as the opening of the same name in the panel says."""
    if stack.let_in is not None or panel is None:
        return ticks(stack.let_in)
    hole = next((o for o in panel.record.openings if same_words(o.what) == same_words(stack.what)), None)
    if hole is None:
        return 0
    return ticks(hole.counterbore.depth if hole.counterbore is not None else hole.recess)


def _others(stack: StackUp) -> int:
    return sum(p.thickness.ticks * p.quantity for p in stack.parts)


def _bite(stack: StackUp, let_in: int) -> int:
    """How far a screw goes into what it ends in."""
    return stack.length.ticks - _others(stack) + let_in


def _value(stack: StackUp, thick: int | None, let_in: int) -> int | None:
    if thick is None:
        return None
    if stack.kind is StackKind.SCREW:
        return thick - _bite(stack, let_in)
    return stack.length.ticks - _others(stack) - thick + let_in


def _words(stack: StackUp, thick: int | None, value: int | None, let_in: int) -> str:
    parts = [p.thickness.in_mm() for p in stack.parts for _ in range(p.quantity)]
    panel = "?" if thick is None else mm(thick)
    sunk = f" - {mm(let_in)} let in" if let_in else ""
    if stack.kind is StackKind.SCREW:
        passes = f", passes {' + '.join(parts) or '0'}{sunk}" if parts or sunk else ""
        bites = f"{stack.length.in_mm()} long{passes}, bites {mm(_bite(stack, let_in))} into {panel}"
        comes_out = value is not None and value < 0
        return f"{bites}; " + (
            f"the point comes out by {mm(-(value or 0))}"
            if comes_out
            else f"{_left(value)} left before the point shows"
        )
    if stack.kind is StackKind.PROJECTION:
        back = f" + {mm(let_in)} let in" if let_in else ""
        return f"{' - '.join([stack.length.in_mm(), *parts, panel])}{back} = {_left(value)} beyond the panel"
    grip = "?" if thick is None else mm(_others(stack) + thick - let_in)
    held = f"{stack.length.in_mm()} long, grip {' + '.join([*parts, panel])}{sunk} = {grip}"
    if value is not None and value < 0:
        return f"{held}; {mm(-value)} too short to reach the nut"
    return f"{held}; {_left(value)} left for the nut"


def lengths_that_hold(stack: WorkedStack) -> tuple[int, int] | None:
    """The shortest and the longest screw that bites far enough and does not come through; None where there is none.

    Both are in ticks; for what is no screw there is no longest one, and nothing is told.
    """
    if stack.record.kind is not StackKind.SCREW or stack.thickness is None:
        return None
    under = _others(stack.record) - stack.let_in
    shortest, longest = under + ticks(stack.record.need), under + stack.thickness - stack.least
    return (shortest, longest) if longest > 0 and shortest <= longest else None


def _left(value: int | None) -> str:
    return "?" if value is None else mm(value)


def _way_out(stack: StackUp, value: int | None, least: int, let_in: int) -> str:
    """What would make it hold."""
    if value is None:
        return "Measure the thickness of the panel it goes through."
    lacking = mm(least - value)
    if stack.kind is StackKind.GRIP:
        return f"Take one at least {lacking} longer, or a thinner panel, or let its head in."
    if stack.kind is StackKind.PROJECTION:
        return f"Make the panel {lacking} thinner there, or bring the works {lacking} forward."
    if value < least:
        return f"Take a screw at least {lacking} shorter, or put a washer or packing of {lacking} under its head."
    return f"It bites only {mm(_bite(stack, let_in))}; take a longer screw."
