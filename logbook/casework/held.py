"""Held dimensions against the case as it will be: what it gives, how far off that is, and whether it holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import NamedTuple

from logbook.casework.case_frame import Frame
from logbook.casework.case_room import SolidBody, room_above, room_behind, room_beside
from logbook.casework.case_things import OwnSize
from logbook.casework.compartments import clear_between, lies_between
from logbook.casework.given import Given, given_outside, given_sizes
from logbook.casework.lookup import axis_of, mm, role_of, signed
from logbook.casework.stacks import WorkedStack
from logbook.model.casework_records import Case, HeldDimension, Panel
from logbook.model.measures import Length
from logbook.model.words import Axis, HeldKind, PanelRole, StackKind

NEAR_HOLE = Length.of("10 mm").ticks
"""A hole that is off by less was meant for the place; one farther away is another hole."""


@dataclass(frozen=True, slots=True)
class HeldResult:
    """One held dimension, and what the case gives for it."""

    code: str
    what: str
    kind: HeldKind
    wanted: str
    """“452 (±0.5)”, “at least 12”."""
    given: str
    """What the case gives; `?` while that cannot be worked out."""
    difference: str
    """Given less wanted, with its sign; empty when there is no one figure."""
    holds: bool | None
    """None while it cannot be known."""
    why: str
    """Where the given figure comes from, or what is missing."""
    way_out: str
    """What to do when it does not hold."""
    twice: bool
    """It was measured twice."""
    reason: str
    """Why it is held."""
    member: str = ""
    panel: str = ""
    """Code of the panel it hangs on."""

    @property
    def sign(self) -> str:
        """In a word."""
        return "?" if self.holds is None else "holds" if self.holds else "NOT HELD"


class HeldFigure(NamedTuple):
    """What was worked out for one held dimension."""

    given: str
    difference: int | None
    holds: bool | None
    why: str
    way_out: str = ""
    panel: str = ""


class CaseFacts(NamedTuple):
    """One member's case, as far as held dimensions ask about it."""

    case: Case
    """With every size filled in."""
    frame: Frame
    bodies: Sequence[SolidBody]
    stacks: Sequence[WorkedStack]
    net_litres: Fraction | None
    """Room left inside."""
    volume_words: str
    of_panels: Mapping[str, str]
    """For each held dimension, by its code, the panel whose own size it is; empty for one of the case."""
    of_things: Mapping[str, OwnSize] = MappingProxyType({})
    """By code, the panels of a drawer or another thing in the case, with the held sizes that they follow from."""


def held_results(held: Sequence[HeldDimension], facts: CaseFacts, member: str = "") -> tuple[HeldResult, ...]:
    """Every held dimension of one member against its case."""
    ways = {
        HeldKind.INSIDE: _inside,
        HeldKind.OUTSIDE: _outside,
        HeldKind.VOLUME: _volume,
        HeldKind.POSITION: _positions,
        HeldKind.PROJECTION: _projection,
        HeldKind.CLEARANCE: _clearance,
    }
    results: list[HeldResult] = []
    for h in held:
        thing = next((found for p in facts.case.panels if (found := _of_thing(h, p, facts)) is not None), None)
        found = _of_panel(h, facts) if facts.of_panels.get(h.code) else thing or ways[h.kind](h, facts)
        results.append(_result(h, found, member))
    return tuple(results)


def _result(held: HeldDimension, found: HeldFigure, member: str) -> HeldResult:
    difference = signed(found.difference) if found.difference is not None else ""
    twice = len(held.readings) >= 2 or held.kind in (HeldKind.POSITION, HeldKind.VOLUME)
    return HeldResult(
        held.code, held.what, held.kind, held_words(held), found.given, difference, found.holds, found.why,
        "" if found.holds else found.way_out, twice, held.why, member,
        found.panel,
    )  # fmt: skip


def limits(held: HeldDimension) -> tuple[int, int | None]:
    """Least and most that still hold, in ticks; no most for a minimum."""
    value = held.value.ticks if held.value is not None else 0
    plus, minus = (x.ticks if x is not None else 0 for x in (held.plus, held.minus))
    return (value, None) if held.at_least else (value - minus, value + plus)


def held_words(held: HeldDimension) -> str:
    """What is wanted, with its tolerance."""
    plus, minus = (x.in_mm() if x is not None else "0" for x in (held.plus, held.minus))
    if held.kind is HeldKind.VOLUME:
        percent = f" (±{held.tolerance_percent.normalize():f} %)" if held.tolerance_percent is not None else ""
        return "?" if held.litres is None else f"{held.litres.normalize():f} l{percent}"
    within_ = f"(±{plus})" if plus == minus else f"(+{plus} -{minus})"
    if held.kind is HeldKind.POSITION:
        return f"{len(held.positions)} places {within_}"
    value = held.value.in_mm() if held.value is not None else "?"
    return f"at least {value}" if held.at_least else f"{value} {within_}"


def within(held: HeldDimension, least: int, most: int | None = None) -> bool:
    """Whether a size, or some size between two, is what is held."""
    low, high = limits(held)
    return (least if most is None else most) >= low and (high is None or least <= high)


def _off(held: HeldDimension, size: Given) -> int:
    """How far a size is from the value: nothing when the value lies within it."""
    value = held.value.ticks if held.value is not None else 0
    return size.least - value if size.least > value else min(0, size.most - value)


def _inside(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    found = [g for g in given_sizes(facts.case, facts.frame) if g.axis is axis_of(held)]
    if held.value is None:
        return HeldFigure("?", None, None, "No value is written down.")
    if lies_between(held):
        return _between(held, facts, found)
    if not found:
        why = " ".join(facts.frame.missing[:1]) or "No panel says how far apart the sides are."
        return HeldFigure("?", None, None, why)
    worst = max(found, key=lambda g: abs(_off(held, g)))
    holds = all(within(held, g.least, g.most) for g in found)
    way_out = "Draw it anew from the measured thickness. In the case section t takes over the computed sizes."
    return HeldFigure(worst.words, _off(held, worst), holds, f"{worst.panel}: {worst.why}", way_out, worst.panel)


def _between(held: HeldDimension, facts: CaseFacts, whole: Sequence[Given]) -> HeldFigure:
    """A clear size from one panel to the next, with the panels where they are finished and stand."""
    unknown = next((c for c in held.between if all(p.code != c for p in facts.case.panels)), "")
    if unknown:
        return HeldFigure("?", None, None, f"There is no panel {unknown} in this case.")
    if len(held.between) != 2:
        return HeldFigure("?", None, None, "Name the two panels that it lies between, like P4; P6.")
    along = [(b.code, b.up if axis_of(held) is Axis.HEIGHT else b.across) for b in facts.bodies if b.fixed]
    stands = {code: (e.low, e.high) for code, e in along if e.low is not None and e.high is not None}
    inside = whole[0].least if whole else _whole_of(held, facts.frame)
    found = clear_between(held, facts.case, stands, inside)
    names = " and ".join(held.between)
    if found is None or held.value is None:
        return HeldFigure(
            "?", None, None, f"Where {names} stand is not known: a shelf or divider says it (field “at”)."
        )
    clear = found[1] - found[0]
    off = clear - held.value.ticks
    shelf = next((c for c in held.between if c in stands), held.between[0])
    way_out = f"Move {shelf} by {mm(abs(off))}, or make the sides that much {'shorter' if off > 0 else 'longer'}."
    why = f"between {names}: {mm(found[1])} - {mm(found[0])}"
    return HeldFigure(mm(clear), off, within(held, clear), why, way_out, shelf)


def _whole_of(held: HeldDimension, frame: Frame) -> int | None:
    return frame.height if axis_of(held) is Axis.HEIGHT else frame.width


_ACROSS_FLAT = {
    PanelRole.LEFT: (Axis.HEIGHT, Axis.DEPTH),
    PanelRole.RIGHT: (Axis.HEIGHT, Axis.DEPTH),
    PanelRole.SIDES: (Axis.HEIGHT, Axis.DEPTH),
    PanelRole.DIVIDER: (Axis.HEIGHT, Axis.DEPTH),
    PanelRole.FRONT: (Axis.WIDTH, Axis.HEIGHT),
    PanelRole.BACK: (Axis.WIDTH, Axis.HEIGHT),
}
"""Which way the length and the width of a panel run in the case; of all others they are its width and depth."""


def _of_panel(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    """A held size of one panel against its finished size."""
    code = facts.of_panels[held.code]
    panel = next((p for p in facts.case.panels if p.code == code), None)
    if panel is None:
        return HeldFigure("?", None, None, f"There is no panel {code} in this case.")
    along = axis_of(held)
    length, width = _ACROSS_FLAT.get(role_of(panel), (Axis.WIDTH, Axis.DEPTH))
    if held.value is None or panel.finish is None or along not in (length, width):
        return HeldFigure("?", None, None, f"The finished size of {code} that way is not known.", panel=code)
    size = panel.finish.length.ticks if along is length else panel.finish.width.ticks
    off = size - held.value.ticks
    why = f"{code} is {panel.finish.length.in_mm()} x {panel.finish.width.in_mm()}"
    way_out = f"Make {code} {mm(abs(off))} {'smaller' if off > 0 else 'larger'} that way."
    return HeldFigure(mm(size), off, within(held, size), why, way_out, code)


def _of_thing(held: HeldDimension, panel: Panel, facts: CaseFacts) -> HeldFigure | None:
    """A size held of a drawer against the panel of it that follows; None when this panel does not."""
    own = facts.of_things.get(panel.code)
    if own is None or panel.finish is None or held.value is None:
        return None
    for along, size in ((own.length, panel.finish.length), (own.width, panel.finish.width)):
        if along is not None and along.held == held.code:
            least = size.ticks - along.more
            given = Given(along.axis, panel.code, least, least + along.slack, "")
            why = f"{panel.code} {panel.name} is {panel.finish.length.in_mm()} x {panel.finish.width.in_mm()}"
            way_out = f"Make {panel.code} {mm(along.size)} that way."
            holds = within(held, given.least, given.most)
            return HeldFigure(given.words, _off(held, given), holds, f"{why}: {along.words}", way_out, panel.code)
    return None


_AXES = (Axis.WIDTH, Axis.HEIGHT, Axis.DEPTH)


def _outside(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    outside = given_outside(facts.case)
    if held.value is None or outside is None or axis_of(held) not in _AXES:
        return HeldFigure("?", None, None, " ".join(facts.frame.missing[:1]) or "The outside cannot be worked out yet.")
    size = outside[_AXES.index(axis_of(held))]
    off = size - held.value.ticks
    way_out = (
        f"What lies between inside and outside would have to be {mm(abs(off))} {'thinner' if off > 0 else 'thicker'} "
        "in all. If the inside is held as well, this stock cannot be used: the thickness is fixed."
    )
    why = f"outside {' x '.join(map(mm, outside))}"
    return HeldFigure(mm(size), off, within(held, size), why, way_out)


def _volume(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    if held.litres is None or facts.net_litres is None:
        return HeldFigure("?", None, None, facts.volume_words)
    off = facts.net_litres - Fraction(held.litres)
    percent = Fraction(held.tolerance_percent or 0)
    holds = facts.net_litres >= held.litres if held.at_least else abs(off) * 100 <= percent * Fraction(held.litres)
    given = f"{_decimal(facts.net_litres, 3)} l"
    share = _decimal(off * 100 / Fraction(held.litres), 2) if held.litres else Decimal(0)
    way_out = f"Change the depth: {'less' if off > 0 else 'more'} by {_decimal(abs(off), 3)} l."
    return HeldFigure(given, None, holds, f"{facts.volume_words}; {'+' if share > 0 else ''}{share} %", way_out)


def _decimal(value: Fraction, places: int) -> Decimal:
    return Decimal(round(value * 10**places)).scaleb(-places)


def _positions(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    allowed = max((x.ticks for x in (held.plus, held.minus) if x is not None), default=0)
    centres = [(p.code, o.what, o.centre.x.ticks, o.centre.y.ticks) for p in facts.case.panels for o in p.openings]
    worst, words, without, panel = 0, [], [], ""
    for position in held.positions:
        x, y = position.x.ticks, position.y.ticks
        off, code, what = min(
            ((max(abs(cx - x), abs(cy - y)), code, what) for code, what, cx, cy in centres),
            default=(NEAR_HOLE + 1, "", ""),
        )
        if off > NEAR_HOLE:
            without.append(f"x {position.x.in_mm()}, y {position.y.in_mm()}")
        elif off > allowed:
            at = f"x {position.x.in_mm()}, y {position.y.in_mm()}"
            words.append(f"{code} “{what}” is {mm(off)} off its place at {at}")
            panel = code
        if off <= NEAR_HOLE:
            worst = max(worst, off)
    if without:
        why = f"No opening within {mm(NEAR_HOLE)} of {'; '.join(without)}."
        return HeldFigure(
            f"{len(held.positions) - len(without)} places", None, None, why, "Add the opening to its panel."
        )
    way_out = "Put the opening where it is held, measured from the datum."
    return HeldFigure(f"within {mm(worst)}", worst, not words, "; ".join(words) or "each at its place", way_out, panel)


def _projection(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    of = [s for s in facts.stacks if s.record.kind is StackKind.PROJECTION]
    stack = next((s for s in of if s.record.code == held.at), of[0] if len(of) == 1 and not held.at else None)
    if stack is None or stack.value is None or held.value is None:
        return HeldFigure("?", None, None, "Say which stack gives it (field “at”), and how thick its panel is.")
    holds = within(held, stack.value)
    return HeldFigure(mm(stack.value), stack.value - held.value.ticks, holds, stack.words, stack.way_out)


def _clearance(held: HeldDimension, facts: CaseFacts) -> HeldFigure:
    body = next((b for b in facts.bodies if b.code == held.at), None)
    if body is None or held.value is None:
        return HeldFigure("?", None, None, "Say at which thing inside it is taken (field “at”).")
    ways = {Axis.WIDTH: (room_beside, "beside"), Axis.DEPTH: (room_behind, "behind")}
    measure, word = ways.get(axis_of(held), (room_above, "above"))
    room = measure(body, facts.frame)
    if room is None:
        return HeldFigure("?", None, None, f"How far {body.name} reaches is not written down.")
    why = f"{word} {body.name}"
    if word == "above" and facts.frame.height is not None and body.up.high is not None:
        why = f"{mm(facts.frame.height)} - {mm(body.up.high)} above {body.name}"
    lacking = held.value.ticks - room
    return HeldFigure(
        mm(room), -lacking, within(held, room), why, f"{mm(max(0, lacking))} more room is needed {word} it."
    )
