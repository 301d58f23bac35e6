"""Which step stands on which line of the reassembly list, and what each line must follow.

The list is the teardown turned round: its order reversed, every hard relation with it. Then

- a step at which nothing came off and that nothing real comes before in the refit joins the opening check,
  as does a part that was built anew; elsewhere it is a line when there is something to compare or to set,
  and is left out, with the reason, when there is not;
- what goes on first at a joint gets a line before the line of its step;
- what was only loosened gets a line for the final tightening, as late as what covers it allows;
- a test that something covers gets a line before the first of its covers.

A step that is left out still passes on the order: what had to wait for it waits for what it waited for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from logbook.model.edges import Edge
from logbook.model.precedence import Precedence, precedence
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Action, RelationKind, Stage
from logbook.reassembly.counting import Sets, refitted
from logbook.reassembly.on_first import on_first_alone
from logbook.reassembly.refit_records import LineKind, StepLeftOut
from logbook.reassembly.reversal import REVERSALS

CHECK = "check"
AUDIT = "audit"


class Slot(NamedTuple):
    """One line before it has words."""

    key: str
    kind: LineKind
    step: str
    """Code of its step; empty for the opening check and the audit."""


@dataclass(frozen=True)
class Arrangement:
    """The lines in order and what binds them."""

    slots: tuple[Slot, ...]
    checked: tuple[str, ...]
    """Steps of the opening check, in the order of the record."""
    left_out: tuple[StepLeftOut, ...]
    follows: Mapping[str, Mapping[str, Edge | None]]
    """For each key the keys that come before it, each with the relation that says so (None: by its nature)."""
    together: Mapping[str, tuple[str, ...]]
    """For each key that goes back with others as one lump, all keys of the lump."""
    prefers: tuple[tuple[str, str], ...]


@dataclass
class Traits:
    """What the relations and the ticks say about single steps."""

    loosened: set[str] = field(default_factory=set)
    covers: dict[str, set[str]] = field(default_factory=dict)
    """For a step that is tested before it is covered, the steps that cover it."""
    threaded: set[str] = field(default_factory=set)
    """Steps at whose joint something of another step goes on first."""
    ticked: set[str] = field(default_factory=set)
    """Keys of lines, without the member, that are ticked."""
    on_first: Mapping[str, str] = field(default_factory=dict)
    """Steps whose thing goes on at the joint of another and that have no line besides, each with that other."""
    goes_first: set[str] = field(default_factory=set)
    """Steps with a line for what is threaded on or in place before their joint is made."""


def traits_of(unit: Unit) -> Traits:
    """Collect them in one pass over steps, relations and ticks."""
    known = {s.code for s in unit.steps}
    found = Traits(ticked={x.line.partition("/")[0] for x in unit.refit.lines if x.done})
    for r in unit.relations:
        if r.earlier not in known or r.later not in known:
            continue
        if r.kind is RelationKind.LOOSEN:
            found.loosened.add(r.earlier)
        elif r.kind is RelationKind.TEST:
            found.covers.setdefault(r.later, set()).add(r.earlier)
        elif r.kind is RelationKind.THREADED:
            found.threaded.add(r.later)
    for s in unit.steps:
        if s.action is Action.LOOSENED or f"{s.code}:tighten" in found.ticked:
            found.loosened.add(s.code)
        if f"{s.code}:test" in found.ticked or waits_for_cure(s):
            found.covers.setdefault(s.code, set())
        if s.code in found.threaded or something_first(s) or f"{s.code}:first" in found.ticked:
            found.goes_first.add(s.code)
    if unit.stage is Stage.CLOSED:  # closed by a book that had no such lines: what was done stays done
        found.goes_first -= {code for code in found.ticked if f"{code}:first" not in found.ticked}
    return found


def something_first(step: Step) -> bool:
    """Whether the step itself says what goes on first: in its notes, or as the sleeve of a wire."""
    sleeves = any(c.sleeve.strip() and not c.stays_on for c in step.connections)
    return sleeves or any(text.strip() for text in step.refit.first)


def waits_for_cure(step: Step) -> bool:
    """Whether the joint made in place of a one-way one has a hold point, which can only be met after its wait."""
    joint = step.one_way
    return joint is not None and not joint.rebuilt_by and joint.remake is not None and joint.remake.hold is not None


def sequence(unit: Unit, sets: Sets) -> Arrangement:
    """Put every step of a unit in its place.

    Raises:
        CircleError: the relations form a circle.
    """
    order = precedence(unit)
    traits = traits_of(unit)
    graph = _Graph(unit, order)
    on_first = on_first_alone(unit, graph.order)
    traits.on_first = {
        code: joint
        for code, joint in on_first.items()
        if code not in traits.ticked and joint in traits.goes_first and sets.taken_apart(graph.steps[joint])
    }
    fates = _fates(unit, sets, traits, graph)
    slots, together = _slots(graph, traits, fates.lines)
    follows = _follows(graph, traits, fates, slots)
    if slots or fates.checked or any(sets.taken_apart(s) for s in unit.steps):
        slots = [Slot(CHECK, LineKind.CHECK, ""), *slots, Slot(AUDIT, LineKind.AUDIT, "")]
        followed = {k for before in follows.values() for k in before}
        follows[CHECK] = {}
        follows[AUDIT] = {s.key: None for s in slots[:-1] if s.key not in followed}
    prefers = tuple((e.later, e.earlier) for e in order.better if e.later in fates.lines and e.earlier in fates.lines)
    place = {s.code: i for i, s in enumerate(unit.steps)}
    checked = tuple(sorted(fates.checked, key=place.__getitem__))
    return Arrangement(tuple(slots), checked, tuple(fates.left_out), follows, together, prefers)


class _Graph:
    """The teardown turned round: steps in refit order, and for each what comes before and after it."""

    def __init__(self, unit: Unit, order: Precedence) -> None:
        self.steps: Mapping[str, Step] = {s.code: s for s in unit.steps}
        self.order: tuple[str, ...] = order.order[::-1]
        self.before: dict[str, list[Edge]] = {code: [] for code in self.order}
        self.after: dict[str, list[str]] = {code: [] for code in self.order}
        for e in order.edges:
            self.before[e.earlier].append(e)
            self.after[e.later].append(e.earlier)
        self.lump: dict[str, str] = {m: lump[-1] for lump in order.lumps for m in lump}

    def lump_of(self, code: str) -> str:
        """The name of the step's lump: the step that goes back first."""
        return self.lump.get(code, code)

    def groups(self) -> Iterable[list[str]]:
        """The steps in refit order, those that came out together as one group."""
        group: list[str] = []
        for code in self.order:
            if group and self.lump_of(code) != self.lump_of(group[0]):
                yield group
                group = []
            group.append(code)
        if group:
            yield group


@dataclass
class _Fates:
    lines: dict[str, None] = field(default_factory=dict)
    """Steps with a line of their own, in refit order."""
    checked: set[str] = field(default_factory=set)
    left_out: list[StepLeftOut] = field(default_factory=list)


def _fates(unit: Unit, sets: Sets, traits: Traits, graph: _Graph) -> _Fates:
    """Line, opening check or left out, for every step."""
    fates = _Fates()
    why: dict[str, str] = {}
    settled: set[str] = set()
    for group in graph.groups():
        wants = {code: _wants(graph.steps[code], sets, traits) for code in group}
        outside = all(e.later in settled or e.later in wants for code in group for e in graph.before[code])
        if outside and "line" not in wants.values():
            fates.checked.update(code for code in group if wants[code] == "check")
            settled.update(group)
        for code in group:
            step = graph.steps[code]
            if code in fates.checked:
                continue
            if wants[code] == "line" or (wants[code] == "check" and _comparable(step)):
                fates.lines[code] = None
                continue
            why[code] = _why_left_out(step, wants[code], traits)
            if all(e.later in settled for e in graph.before[code]):
                settled.add(code)
    fates.left_out = [StepLeftOut(s.code, why[s.code]) for s in unit.steps if s.code in why]
    return fates


def _wants(step: Step, sets: Sets, traits: Traits) -> str:
    """“line” when something goes back, “check” when there is at most something to compare, “out” before it came off."""
    if step.code in traits.ticked:
        return "line"
    if not sets.taken_apart(step):
        return "out"
    if step.code in traits.on_first:
        return "on first"
    rebuilt = step.one_way is not None and bool(step.one_way.rebuilt_by)
    if not (rebuilt or REVERSALS[step.action].record_only):
        return "line"
    notes = step.refit
    goes_back = (
        refitted(sets, step) > 0
        or any(not c.stays_on for c in step.connections)
        or bool(step.settings or notes.first or notes.renew)
        or step.code in traits.threaded
        or step.code in traits.covers
        or step.code in traits.loosened
    )
    return "line" if goes_back else "check"


def _comparable(step: Step) -> bool:
    """Whether a step at which nothing came off still asks for something on the way back."""
    notes = step.refit
    words = (notes.text, notes.lock, notes.torque, notes.sequence, notes.adjust, notes.test)
    return (
        any(words)
        or notes.local_code
        or notes.hold is not None
        or bool(step.holds)
        or bool(step.measurements)
        or step.one_way is not None
        or not REVERSALS[step.action].nothing
        or (step.action is Action.MARKED and bool(step.marks))
    )


def _why_left_out(step: Step, wants: str, traits: Traits) -> str:
    if wants == "on first":
        return f"it goes on first, before the joint of {traits.on_first[step.code]} is made"
    if wants == "check":
        return REVERSALS[step.action].nothing
    return "it is not taken off yet" if step.planned else f"no member of {step.each_of} is taken apart yet"


def _slots(graph: _Graph, traits: Traits, lines: Iterable[str]) -> tuple[list[Slot], dict[str, tuple[str, ...]]]:
    """The lines in order, the inserted ones in their places, and which of them are one lump."""
    base = list(lines)
    place = {code: i for i, code in enumerate(base)}
    lump_start: dict[str, int] = {}
    for i, code in enumerate(base):
        lump_start.setdefault(graph.lump_of(code), i)
    first = _first_after(graph, place)

    def at_latest(code: str, covers: Iterable[str]) -> int:
        """The latest place that is still before every one of `covers` and splits no lump of theirs."""
        at = min((place.get(e, first.get(e, len(base))) for e in covers), default=len(base))
        if at == len(base) or graph.lump_of(base[at]) == graph.lump_of(code):
            return at
        return lump_start[graph.lump_of(base[at])]

    inserted: dict[int, list[tuple[Slot, str]]] = {}
    for code in base:
        test_at = at_latest(code, _covers(graph, traits, code))
        if code in traits.loosened:
            at = at_latest(code, graph.after[code])
            slot = Slot(f"{code}:tighten", LineKind.TIGHTEN, code)
            inserted.setdefault(at, []).append((slot, _lump_at(graph, base, at, code)))
        if code in traits.covers:
            slot = Slot(f"{code}:test", LineKind.TEST, code)
            inserted.setdefault(test_at, []).append((slot, _lump_at(graph, base, test_at, code)))
    slots: list[Slot] = []
    lumps: dict[str, list[str]] = {}
    for i, code in enumerate([*base, ""]):
        for slot, lump in inserted.get(i, ()):
            slots.append(slot)
            if lump:
                lumps[lump].append(slot.key)
        if code:
            own = [Slot(f"{code}:first", LineKind.FIRST, code)] if code in traits.goes_first else []
            own.append(Slot(code, _kind(graph.steps[code]), code))
            slots += own
            if code in graph.lump:
                lumps.setdefault(graph.lump[code], []).extend(slot.key for slot in own)
    together = {key: keys for members in lumps.values() if len(keys := tuple(members)) > 1 for key in keys}
    return slots, together


def _covers(graph: _Graph, traits: Traits, code: str) -> Iterable[str]:
    """What the test of a step must come before."""
    if code not in traits.covers:
        return ()
    return graph.after[code] if _all_cover(graph, traits, code) else traits.covers[code]


def _all_cover(graph: _Graph, traits: Traits, code: str) -> bool:
    """Whether the test of a step comes before everything on it: it waits for a cure, or nobody says what covers it."""
    return not traits.covers[code] or waits_for_cure(graph.steps[code])


def _kind(step: Step) -> LineKind:
    reversal = REVERSALS[step.action]
    if step.action is Action.BLED:
        return LineKind.TEST
    return LineKind.CHECK if reversal.record_only and not step.settings else LineKind.STEP


def _first_after(graph: _Graph, place: Mapping[str, int]) -> dict[str, int]:
    """For each step that is left out the place of the first line that waits for it."""
    first: dict[str, int] = {}
    for code in reversed(graph.order):
        if code not in place:
            nexts = (place.get(e, first.get(e, len(place))) for e in graph.after[code])
            first[code] = min(nexts, default=len(place))
    return first


def _lump_at(graph: _Graph, base: Sequence[str], at: int, code: str) -> str:
    """The lump an inserted line falls into: that of its step, when one of the lump comes after it."""
    inside = at < len(base) and graph.lump_of(base[at]) == graph.lump_of(code)
    return graph.lump[code] if inside and code in graph.lump else ""


def _follows(graph: _Graph, traits: Traits, fates: _Fates, slots: Iterable[Slot]) -> dict[str, dict[str, Edge | None]]:
    """What each line must follow, passing through the steps that are left out."""
    of_step: dict[str, dict[str, Edge | None]] = {}
    for code in graph.order:
        if code in fates.checked:
            continue
        before: dict[str, Edge | None] = {}
        for e in graph.before[code]:
            if e.later in fates.checked:
                before.setdefault(CHECK, e)
            elif e.later in fates.lines:
                before.setdefault(_last_key(graph, traits, e), e)
            else:
                for key in of_step[e.later]:
                    before.setdefault(key, e)
                if e.later in traits.on_first:
                    before.setdefault(f"{traits.on_first[e.later]}:first", e)
        of_step[code] = before
    return {slot.key: _before_slot(slot, traits, of_step[slot.step]) for slot in slots}


def _before_slot(slot: Slot, traits: Traits, of_step: Mapping[str, Edge | None]) -> dict[str, Edge | None]:
    """What one line must follow, when its step must follow `of_step`."""
    if slot.kind is LineKind.TIGHTEN:
        return {slot.step: None}
    if slot.key == f"{slot.step}:test":
        return {f"{slot.step}:tighten" if slot.step in traits.loosened else slot.step: None}
    if slot.key == slot.step and slot.step in traits.goes_first:
        return {f"{slot.step}:first": None, **of_step}
    return dict(of_step) or {CHECK: None}


def _last_key(graph: _Graph, traits: Traits, edge: Edge) -> str:
    """The line of `edge.later` that has to be done before what waits for it: its test, its tightening or itself."""
    step = edge.later
    covers = traits.covers.get(step)
    if covers is not None and (edge.earlier in covers or _all_cover(graph, traits, step)):
        return f"{step}:test"
    return f"{step}:tighten" if step in traits.loosened else step
