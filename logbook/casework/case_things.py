"""What stands in a case and is no part of it, such as a drawer: its panels follow from what is held of it alone.

Common practice, no source: a part between two others is as long as the clear size and what it goes into each of them,
less its slack (1 mm for a dado unless another is said); one that is laid over them is as long as the outside. A drawer
bottom that slides in under the back has no joint there. All sizes are whole ticks.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from logbook.casework.lookup import axis_of, mm, role_of, says, ticks, words_in
from logbook.casework.sizes import Flat
from logbook.model.casework_records import HeldDimension, Panel
from logbook.model.unit import PartSet, Unit
from logbook.model.words import Axis, CaseJoint, HeldKind, PanelRole

SIZES = (HeldKind.INSIDE, HeldKind.OUTSIDE)
_GROOVED = (CaseJoint.RABBET, CaseJoint.DADO)
_RUNS = {
    PanelRole.TOP: (Axis.WIDTH, Axis.DEPTH),
    PanelRole.BOTTOM: (Axis.WIDTH, Axis.DEPTH),
    PanelRole.SHELF: (Axis.WIDTH, Axis.DEPTH),
    PanelRole.FRONT: (Axis.WIDTH, Axis.HEIGHT),
    PanelRole.BACK: (Axis.WIDTH, Axis.HEIGHT),
    PanelRole.LEFT: (Axis.DEPTH, Axis.HEIGHT),
    PanelRole.RIGHT: (Axis.DEPTH, Axis.HEIGHT),
    PanelRole.SIDES: (Axis.DEPTH, Axis.HEIGHT),
}
"""Which way the length and the width of a part of a drawer run."""


@dataclass(frozen=True, slots=True)
class Thing:
    """A set that the case is not, or one member of it."""

    set: str
    member: str
    """Empty: every one."""

    def has(self, other: Thing) -> bool:
        """Whether what is said of the other is said of this one too."""
        return self.set == other.set and other.member in ("", self.member)


@dataclass(frozen=True, slots=True)
class Along:
    """One size of a part along one axis, as it follows from what is held."""

    held: str
    """Code of the held size."""
    axis: Axis
    size: int
    more: int
    """What the part goes into its neighbours, in all."""
    slack: int
    words: str


@dataclass(frozen=True, slots=True)
class OwnSize:
    """Length and width of a part of a thing; None where nothing held gives it."""

    length: Along | None
    width: Along | None

    @property
    def flat(self) -> Flat | None:
        """Both together."""
        return None if self.length is None or self.width is None else Flat(self.length.size, self.width.size)

    @property
    def words(self) -> str:
        """Where both come from."""
        if self.length is None or self.width is None:
            return ""
        return f"Length: {self.length.words}. Width: {self.width.words}."


def thing_of(unit: Unit, what: str, member: str) -> Thing | None:
    """The set, or the member of one, that a name and a member speak of; None for the case itself."""
    words = words_in(what)
    for of in unit.sets:
        if not of.whole_unit:
            if member and any(m.code == member for m in of.members):
                return Thing(of.code, member)
            if len(words) > 1 and _called(words[0], of):
                return Thing(of.code, "")
    return None


def _called(word: str, of: PartSet) -> bool:
    """Whether a name begins as the things of a set are called; “right” in “left and right” is a place, no thing."""
    name = words_in(of.name)
    return bool(name) and word not in _PLACES and word.rstrip("s") == name[-1].rstrip("s")


_PLACES = frozenset({"left", "right", "top", "bottom", "front", "back", "rear", "upper", "lower"})
"""Words that say where a panel of the case is: “right side” is a side of the case, whatever sets the unit has."""


def thing_of_panel(panel: Panel, unit: Unit) -> Thing | None:
    """The thing that a panel is a part of; None for one of the case."""
    return thing_of(unit, panel.name, panel.member)


def thing_of_held(held: HeldDimension, unit: Unit) -> Thing | None:
    """The thing whose size is held; None for one of the case."""
    return thing_of(unit, held.what, held.member) if held.kind in SIZES or held.member else None


def own_sizes(unit: Unit) -> Mapping[str, OwnSize]:
    """By code, what is held gives for every panel that is part of a thing."""
    found: dict[str, OwnSize] = {}
    for panel in unit.case.panels if unit.case is not None else ():
        thing = thing_of_panel(panel, unit)
        runs = _RUNS.get(role_of(panel))
        if thing is None or runs is None:
            continue
        of = [h for h in unit.held_dimensions if (t := thing_of_held(h, unit)) is not None and thing.has(t)]
        own = [h for h in of if h.member] + [h for h in of if not h.member]
        found[panel.code] = OwnSize(_along(panel, own, runs[0], ends=True), _along(panel, own, runs[1], ends=False))
    return found


def _along(panel: Panel, held: list[HeldDimension], axis: Axis, *, ends: bool) -> Along | None:
    joints = [j for j in panel.joints if says(j.end, "all") or _is_end(j.end) is ends]
    over = any(j.kind in (CaseJoint.BUTT_OVER, CaseJoint.MITRE) for j in joints)
    kind = HeldKind.OUTSIDE if over else HeldKind.INSIDE
    size = next((h for h in held if h.kind is kind and h.value is not None and axis_of(h) is axis), None)
    if size is None or size.value is None:
        return None
    grooved = [j for j in joints if j.kind in _GROOVED]
    if any(j.depth is None for j in grooved):
        return None
    depths = [ticks(j.depth) for j in grooved for _ in range(2 if _both(j.end) else 1)]
    slack = next((ticks(j.slack, "1 mm") if j.kind is CaseJoint.DADO else ticks(j.slack) for j in grooved), 0)
    words = f"{size.code} {mm(size.value.ticks)}{''.join(f' + {mm(d)}' for d in depths)}"
    words += f" - {mm(slack)} so that it never bottoms" if slack else ""
    return Along(size.code, axis, size.value.ticks + sum(depths) - slack, sum(depths), slack, words)


def _both(end: str) -> bool:
    return any(says(end, word) for word in ("both", "all"))


def _is_end(end: str) -> bool:
    """Whether a joint is at an end, so that the length goes into it, and not along a long edge."""
    return any(says(end, word) for word in ("end", "ends", "left", "right"))
