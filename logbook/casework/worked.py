"""The whole case of a unit, computed: frame, panels, strips, held dimensions, consequences, for every member."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TypeVar

from logbook.casework.arrived import old_outside
from logbook.casework.case_frame import Frame, frame_of
from logbook.casework.case_of_member import case_of, held_of, held_of_things, is_of_another_thing, panel_of
from logbook.casework.case_room import CUBIC_TICKS_PER_LITRE, bodies_in, strip_length, taken_volume
from logbook.casework.case_things import own_sizes
from logbook.casework.compartments import with_places
from logbook.casework.consequences import consequences
from logbook.casework.finding import Consequence
from logbook.casework.given import given_outside
from logbook.casework.held import CaseFacts, HeldResult, held_results
from logbook.casework.lookup import members_of, mm, signed
from logbook.casework.mirror import with_places_mirrored
from logbook.casework.movement import Movement, movements
from logbook.casework.panels import WorkedPanel, worked_panels
from logbook.casework.rails import WorkedRails, worked_rails
from logbook.casework.sizes import less_bands
from logbook.casework.stacks import worked_stack
from logbook.errors import InputError
from logbook.model.case_plan import CasePlan, StackUp
from logbook.model.casework_records import Case, HeldDimension, Leaf, Panel, Strip
from logbook.model.measures import Length
from logbook.model.remembered import remembered
from logbook.model.shop import ShopSettings
from logbook.model.unit import Unit
from logbook.model.usual_lengths import length_in_use
from logbook.model.words import Axis


@dataclass(frozen=True, slots=True)
class WorkedStrip:
    """A strip or block: the length recorded, and the one that follows from the case where it lies on a panel."""

    record: Strip
    length: int
    computed: int | None
    quantity: int
    behind: str = ""
    """How thick the board is together with it, in words; empty where it lies behind none."""

    @property
    def differs(self) -> bool:
        """The recorded length is not the computed one."""
        return self.computed is not None and self.computed != self.length


@dataclass(frozen=True, slots=True)
class MemberCase:
    """The case of one member of a unit."""

    member: str
    case: Case
    """With every size filled in."""
    frame: Frame
    panels: tuple[WorkedPanel, ...]
    held: tuple[HeldResult, ...]
    consequences: tuple[Consequence, ...]
    litres: Fraction | None
    """Room left inside, less braces and parts."""


@dataclass(frozen=True, slots=True)
class Banded:
    """The edges of a case that are banded."""

    length: int
    """Along all of them, in ticks."""
    edges: int
    codes: tuple[str, ...]
    """Of the panels that have them."""


@dataclass(frozen=True, slots=True)
class WorkedCase:
    """Everything about a unit's case that follows from its record."""

    members: tuple[MemberCase, ...]
    panels: tuple[WorkedPanel, ...]
    """Of all members: those that are alike once, with their number."""
    strips: tuple[WorkedStrip, ...]
    held: tuple[HeldResult, ...]
    consequences: tuple[Consequence, ...]
    movements: tuple[Movement, ...]
    rails: WorkedRails | None
    outside: tuple[int, int, int] | None
    old_outside: tuple[int, ...] | None
    missing: tuple[str, ...]
    """Sentences for what stands in the way of the sizes."""
    band: Banded
    """The banded edges of all panels."""

    @property
    def outside_words(self) -> str:
        """Outside, with the change on the old one; empty while it is not known."""
        if self.outside is None:
            return ""
        words = " x ".join(map(mm, self.outside))
        if self.old_outside is None:
            return words
        return (
            words
            + f" ({' / '.join(signed(a - b) for a, b in zip(self.outside, self.old_outside, strict=True))} on the old)"
        )

    @property
    def not_held(self) -> tuple[HeldResult, ...]:
        """Held dimensions that the case loses."""
        return tuple(h for h in self.held if h.holds is False)

    @property
    def wrong(self) -> tuple[Consequence, ...]:
        """Consequences that do not hold."""
        return tuple(c for c in self.consequences if c.holds is False)

    @property
    def differing(self) -> tuple[str, ...]:
        """Codes of panels and strips whose recorded size is not the computed one."""
        return tuple(p.code for p in self.panels if p.differences) + tuple(
            s.record.code for s in self.strips if s.differs
        )


NO_SETTINGS = ShopSettings()


@remembered
def worked_case(unit: Unit, settings: ShopSettings = NO_SETTINGS) -> WorkedCase | None:
    """Everything about a unit's case; None when it has none.

    Args:
        unit: whose case it is.
        settings: of the shop, for the kerf where the case does not say its own.
    """
    if unit.case is None:
        return None
    names = members_of(unit)
    each = tuple(member_case(unit, name) for name in names)
    plan, first = unit.case.plan or CasePlan(), each[0]
    panels = _together([(m.member, m.panels) for m in each])
    moved, unknown = movements(panels, plan)
    kerf = (unit.case.kerf or length_in_use(settings, "kerf")).ticks
    held = _once([m.held for m in each], names)
    found = _once([m.consequences for m in each], names)
    way_out = "Correct the name, or add the species to wood.json."
    said = tuple(Consequence("species", s.partition(":")[0], s.rstrip("."), None, way_out) for s in unknown)
    return WorkedCase(
        members=each,
        panels=panels,
        strips=tuple(_strip(s, first, len(names)) for s in unit.case.strips),
        held=held,
        consequences=(*found, *said),
        movements=moved,
        rails=worked_rails(plan.rails, kerf) if plan.rails is not None else None,
        outside=given_outside(first.case) or first.frame.outside,
        old_outside=old_outside(unit.arrival.size),
        missing=tuple(dict.fromkeys(s for m in each for s in m.frame.missing)),
        band=banded_edges(panels),
    )


def member_case(unit: Unit, member: str = "") -> MemberCase:
    """The case of one member. Raises InputError when the unit has none."""
    drawn, held, frame, panels = _drawn(unit, member)
    case = filled_in(drawn, panels, frame)
    bodies = bodies_in(case, frame, panels)
    stacks = tuple(worked_stack(s, panels) for s in case.stacks if _goes_through(s, panels, unit))
    litres, words = _net_volume(case, frame, panels)
    of_panels = {h.code: panel_of(h, unit) for h in held}
    facts = CaseFacts(case, frame, bodies, stacks, litres, words, of_panels, own_sizes(unit))
    found = consequences(case, frame, panels, stacks, bodies)
    return MemberCase(member, case, frame, panels, held_results(held, facts, member), found, litres)


def _goes_through(stack: StackUp, panels: Sequence[WorkedPanel], unit: Unit) -> bool:
    """Whether a stack is one of this member: its panel is not that of another member alone."""
    if any(stack.panel in (p.code, p.record.mirror_of) for p in panels):
        return True
    recorded = () if unit.case is None else unit.case.panels
    return all(p.code != stack.panel for p in recorded)


def _drawn(unit: Unit, member: str) -> tuple[Case, tuple[HeldDimension, ...], Frame, tuple[WorkedPanel, ...]]:
    """What one member's case is worked out from, its frame, and its panels."""
    drawn, held = case_of(unit, member), (*held_of(unit, member), *held_of_things(unit))
    if drawn is None:
        raise InputError(f"{unit.code} has no case to work out.")
    of_case = [h for h in held if not (panel_of(h, unit) or is_of_another_thing(h, unit))]
    frame = frame_of(drawn, of_case)
    if any(h.litres is not None for h in of_case):
        filled, _ = taken_volume(drawn, frame, ())
        frame = frame_of(drawn, of_case, round(filled * CUBIC_TICKS_PER_LITRE))
    sizes = {Axis.WIDTH: frame.width, Axis.HEIGHT: frame.height}
    drawn = drawn.model_copy(update={"panels": with_places(drawn, of_case, sizes)})
    if unit.case is not None:
        recorded = {p.code: p for p in unit.case.panels}
        in_place = with_places_mirrored(drawn.panels, recorded, frame.width)
        drawn = drawn.model_copy(update={"panels": in_place})
    panels = worked_panels(drawn, frame, own_sizes(unit))
    return drawn, held, frame, panels


def filled_in(case: Case, panels: Sequence[WorkedPanel], frame: Frame) -> Case:
    """The case with every size that is known: recorded where it was written down, else computed."""
    drawn = case.model_copy(update={"panels": tuple(_filled(p) for p in panels)})
    strips = tuple(
        s.model_copy(update={"length": Length.from_ticks(n)})
        if not s.length.ticks and (n := strip_length(drawn, frame, s)) is not None
        else s
        for s in case.strips
    )
    return drawn.model_copy(update={"strips": strips})


def _filled(panel: WorkedPanel) -> Panel:
    leaves = tuple(
        Leaf(
            material=w.material,
            thickness=Length.from_ticks(w.thickness) if r.thickness.ticks != w.thickness else r.thickness,
            size=w.size.record() if w.size is not None else None,
            piece=w.piece,
            show=w.show,
        )
        for r, w in zip(panel.record.leaves, panel.leaves, strict=True)
    )
    sizes = {name: getattr(panel, name) for name in ("finish", "cut", "rough")}
    recorded = {n: s.record() if s is not None else None for n, s in sizes.items()}
    update: dict[str, object] = {
        **recorded,
        "leaves": leaves,
        "joints": panel.joints,
        "role": panel.role,
        "quantity": panel.quantity,
    }
    update["code"] = panel.code
    return panel.record.model_copy(update=update)


@remembered
def completed(unit: Unit) -> Case | None:
    """The case with all sizes filled in and all quantities for every member: what is cut, priced and laid out."""
    if unit.case is None:
        return None
    names = members_of(unit)
    each = [_drawn(unit, name) for name in names]
    together = _together([(name, panels) for name, (_, _, _, panels) in zip(names, each, strict=True)])
    panels = tuple(_filled(p).model_copy(update={"quantity": p.quantity}) for p in together)
    drawn, _, frame, first = each[0]
    strips = filled_in(drawn, first, frame).strips
    more = tuple(s.model_copy(update={"quantity": s.quantity * len(names)}) for s in strips)
    return unit.case.model_copy(update={"panels": panels, "strips": more})


def _together(each: Sequence[tuple[str, Sequence[WorkedPanel]]]) -> tuple[WorkedPanel, ...]:
    """The panels of all members; those that are alike stand once, with how many there are in all."""
    found: dict[int, tuple[WorkedPanel, list[str]]] = {}
    order: list[WorkedPanel] = []
    for member, panels in each:
        for p in panels:
            at = next((i for i, q in enumerate(order) if q == p), None)
            if at is None:
                order.append(p)
                at = len(order) - 1
                found[at] = (p, [])
            found[at][1].append(member)
    many = Counter(p.code for p, _ in found.values())
    return tuple(
        replace(
            p,
            quantity=p.quantity * len(names),
            members=tuple(names),
            own_code=f"{p.code}-{'-'.join(names)}"[:16] if many[p.code] > 1 else "",
        )
        for p, names in found.values()
    )


T = TypeVar("T", HeldResult, Consequence)


def _once(each: Sequence[Sequence[T]], names: Sequence[str]) -> tuple[T, ...]:
    """What was found for every member, once; what holds only for some says for which."""
    found: dict[T, list[str]] = {}
    for name, of in zip(names, each, strict=True):
        for x in of:
            found.setdefault(replace(x, member=""), []).append(name)
    return tuple(
        x if len(of) == len(names) else replace(x, member=", ".join(dict.fromkeys(of))) for x, of in found.items()
    )


def _strip(strip: Strip, member: MemberCase, count: int) -> WorkedStrip:
    computed = strip_length(member.case, member.frame, strip)
    length = strip.length.ticks or computed or 0
    return WorkedStrip(strip, length, computed, strip.quantity * count, _together_with(strip, member))


def _together_with(strip: Strip, member: MemberCase) -> str:
    """A board and the strip behind it."""
    board = next((p for p in member.panels if p.record.code == strip.on), None)
    if board is None or board.thickness is None or strip.thick is None:
        return ""
    both = mm(board.thickness + strip.thick.ticks)
    return f"behind {board.code}: {mm(board.thickness)} + {strip.thick.in_mm()} = {both} thick together"


def _net_volume(case: Case, frame: Frame, panels: Sequence[WorkedPanel]) -> tuple[Fraction | None, str]:
    if frame.width is None or frame.height is None or frame.depth is None:
        return None, "The inside is not known yet."
    taken, unknown = taken_volume(case, frame, panels)
    whole = Fraction(frame.width * frame.height * frame.depth, CUBIC_TICKS_PER_LITRE)
    words = f"{mm(frame.width)} x {mm(frame.height)} x {mm(frame.depth)} less {float(taken):.3f} l of braces and parts"
    if unknown:
        words += f"; not counted, because their room is not known: {', '.join(unknown)}"
    return whole - taken, words


def banded_edges(panels: Iterable[WorkedPanel]) -> Banded:
    """Every edge that is banded: along the finished length of a panel, or across its finished width.

    A panel whose finished size is not known yet counts with its cut or rough size.
    """
    length, edges, codes = 0, 0, []
    for panel in panels:
        size = panel.finish or panel.cut or panel.rough
        if size is None or not panel.record.banded:
            continue
        bare = less_bands(panel.record, panel.role, size, 1)
        across, along = size.length - bare.length, size.width - bare.width
        length += (along * size.length + across * size.width) * panel.quantity
        edges += (along + across) * panel.quantity
        codes.append(panel.code)
    return Banded(length, edges, tuple(codes))
