"""Amounts that the record itself gives for a consumable: faces, edges, strips and joints of the case and its wires."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from logbook.casework import completed, worked_case
from logbook.casework.lookup import joint_between, panels_of, role_of, sides_of, thickness_of, ticks
from logbook.casework.spans import end_depth
from logbook.costing.amounts import rounded
from logbook.errors import InputError
from logbook.model.case_plan import Size
from logbook.model.casework_records import Opening, Panel
from logbook.model.edits import free_code, replaced, with_changes
from logbook.model.measures import TICKS_PER_MM
from logbook.model.members import is_wire
from logbook.model.unit import Unit
from logbook.model.usual_consumption import UsualUse
from logbook.model.words import Action, CaseJoint, Measure, PanelRole
from logbook.model.work import ConsumableUse, UseTerm

SMALL_HOLE = 20
"""Holes of a diameter below so many millimetres are not taken off a face: they take as much finish as they save."""
_PI = Fraction(355, 113)
_SQUARE_MM = Fraction(1_000_000)


@dataclass(frozen=True, slots=True)
class Measured:
    """How much of something the record says there is."""

    amount: Decimal
    """In m2 or m to four places, or a count."""
    pieces: int
    """Of how many pieces it is the sum."""
    words: str
    """What was added up: `both faces of P1, P2, P3, P5, rough`."""


def measured(unit: Unit, measure: Measure) -> Measured | None:
    """What the record of a unit says about one measure; None when it says nothing.

    - veneered faces: both faces of every panel with leaves, rough, because glue is spread before truing;
    - show faces: the face of every panel with a show leaf, finish size, less openings but small holes;
    - bare faces: both faces of panels without leaves, finish size;
    - one face of each panel: finish size, less openings but small holes;
    - all edges: the four edges of every panel, finish size, as an area;
    - joint faces: where top and bottom meet the sides, and the ends of shelves and dividers whose joint is written
      down (one without lies loose), one of the two faces that are glued, as an area;
    - banded edges: the edges that are banded, finish size;
    - strips: their lengths; soldered ends: one for each connection that was unsoldered or cut.
    """
    case = completed(unit)
    panels = case.panels if case else ()
    found = {
        Measure.VENEERED_FACES: lambda: _faces([p for p in panels if p.leaves], 2, "rough"),
        Measure.SHOW_FACES: lambda: _faces([p for p in panels if any(x.show for x in p.leaves)], 1, "finish"),
        Measure.BARE_FACES: lambda: _faces([p for p in panels if not p.leaves], 2, "finish"),
        Measure.ONE_FACE: lambda: _faces(panels, 1, "finish", "one face"),
        Measure.ALL_EDGES: lambda: _edge_faces(panels),
        Measure.JOINT_FACES: lambda: _joint_faces(unit, panels),
        Measure.BANDED_EDGES: lambda: _edges(unit),
        Measure.STRIPS: lambda: _strips(unit),
        Measure.SOLDERED_ENDS: lambda: _soldered(unit),
    }[measure]()
    return found if found is not None and found.amount > 0 else None


_LENGTHS = frozenset({Measure.BANDED_EDGES, Measure.STRIPS})


def per_of(measure: Measure) -> str:
    """In what a measure is counted: `m2`, `m`, or nothing for pieces."""
    if measure is Measure.SOLDERED_ENDS:
        return ""
    return "m" if measure in _LENGTHS else "m2"


def _faces(panels: Iterable[Panel], faces: int, which: str, one_called: str = "show faces") -> Measured | None:
    area, codes = Fraction(0), list[str]()
    for p in panels:
        size = p.rough if which == "rough" else None
        size = size or p.finish or p.cut
        if size is None:
            continue
        one = _area(size) * faces
        if which == "finish" and faces == 1:
            one -= sum((_open_area(o) for o in p.openings), Fraction(0))
        area += one * p.quantity
        codes.append(p.code)
    words = f"{'both faces' if faces == 2 else one_called} of {', '.join(codes)}, {which}"
    words += ", less openings" if faces == 1 else ""
    return Measured(rounded(area / _SQUARE_MM, 5), len(codes), words) if codes else None


def _area(size: Size) -> Fraction:
    return Fraction(size.length.mm) * Fraction(size.width.mm)


def _open_area(opening: Opening) -> Fraction:
    if opening.recess is not None and opening.counterbore is None:
        return Fraction(0)  # its bottom is glued or finished like the face around it
    if opening.size is not None:
        return _area(opening.size)
    if opening.diameter is None or opening.diameter.mm < SMALL_HOLE:
        return Fraction(0)
    return _PI * Fraction(opening.diameter.mm) ** 2 / 4


def _edges(unit: Unit) -> Measured | None:
    """The banded edges of the case, as its own section counts them."""
    worked = worked_case(unit)
    if worked is None or not worked.band.edges:
        return None
    band = worked.band
    metres = Fraction(band.length, 1000 * TICKS_PER_MM)
    return Measured(rounded(metres, 4), band.edges, f"banded edges of {', '.join(band.codes)}")


def _edge_faces(panels: Iterable[Panel]) -> Measured | None:
    """Twice length and width, times the thickness of each panel."""
    area, codes = Fraction(0), []
    for p in panels:
        thick = thickness_of(p)
        if p.finish is None or thick is None:
            continue
        around = 2 * (Fraction(p.finish.length.mm) + Fraction(p.finish.width.mm))
        area += around * Fraction(thick, TICKS_PER_MM) * p.quantity
        codes.append(p.code)
    return Measured(rounded(area / _SQUARE_MM, 5), 4 * len(codes), f"edges of {', '.join(codes)}") if codes else None


_ROOT_OF_TWO = Fraction(99, 70)
"""For the slope of a mitre: off by less than a ten-thousandth."""


def _joint_faces(unit: Unit, panels: Iterable[Panel]) -> Measured | None:
    """The glued face at each end of a part: how deep it meets the other one, times what of it lies against that.

    Butt: its thickness; rabbet: thickness and depth; dado: thickness and twice the depth; mitre: its slope.
    """
    panels = tuple(panels)
    area, pieces, codes = Fraction(0), 0, []
    for role, end in ((PanelRole.TOP, "top"), (PanelRole.BOTTOM, "bottom")):
        for part in panels_of(panels, role):
            thick = thickness_of(part)
            for side in sides_of(panels):
                joint = joint_between([side], part, end)
                if joint is None or thick is None or side.finish is None:
                    continue
                against = _against(joint.kind, thick, ticks(joint.depth))
                ends = 2 if role_of(side) is PanelRole.SIDES else 1
                deep_together = (
                    side.finish.width
                    if part.finish is None
                    else min(side.finish.width, part.finish.width, key=lambda width: width.ticks)
                )
                area += against * Fraction(deep_together.mm) * ends
                pieces += ends
                codes.append(f"{part.code} with {side.code}")
    for part, face in _glued_ends(unit, panels):
        area += face * 2 * part.quantity
        pieces += 2 * part.quantity
        codes.append(f"{part.code} at both ends")
    return Measured(rounded(area / _SQUARE_MM, 5), pieces, f"joints of {', '.join(codes)}") if codes else None


def _glued_ends(unit: Unit, panels: Iterable[Panel]) -> Iterator[tuple[Panel, Fraction]]:
    """Shelves and dividers whose joint is written down, and the glued face at one end of each, in mm2."""
    worked = worked_case(unit)
    for part in panels:
        role, thick = role_of(part), thickness_of(part)
        if worked is None or role not in (PanelRole.SHELF, PanelRole.DIVIDER) or not part.joints:
            continue
        if thick is not None and part.finish is not None:
            depth = end_depth(worked.members[0].frame, part, role)
            yield part, _against(part.joints[0].kind, thick, depth) * Fraction(part.finish.width.mm)


def _against(kind: CaseJoint, thick: int, depth: int) -> Fraction:
    """How much of the end of a part lies against the other one, in mm; thickness and depth in ticks."""
    lies = Fraction(thick + _DEPTHS.get(kind, 0) * depth, TICKS_PER_MM)
    return lies * _ROOT_OF_TWO if kind is CaseJoint.MITRE else lies


_DEPTHS = {CaseJoint.RABBET: 1, CaseJoint.DADO: 2}
"""How often the depth of a joint is glued besides the thickness of the part."""


def _strips(unit: Unit) -> Measured | None:
    case = completed(unit)
    strips = case.strips if case else ()
    length = sum((Fraction(s.length.mm) * s.quantity for s in strips), Fraction(0))
    codes = ", ".join(s.code for s in strips)
    return Measured(rounded(length / 1000, 4), sum(s.quantity for s in strips), f"strips {codes}")


def _soldered(unit: Unit) -> Measured | None:
    undone = {Action.UNSOLDERED, Action.CUT}
    steps = [s for s in unit.steps if not undone.isdisjoint((s.action, *s.also)) and any(map(is_wire, s.connections))]
    count = 0
    for s in steps:
        of = unit.set_of(s)
        members = len(of.members) if of is not None else 1
        wires = list(filter(is_wire, s.connections))
        count += sum(1 if c.member else members for c in wires)
    return Measured(Decimal(count), count, f"connections taken off at {', '.join(s.code for s in steps)}")


def with_usual(unit: Unit, usual: UsualUse, amount: Decimal, what: str, pieces: int = 0) -> Unit:
    """The unit with a use of the usual consumption: a term more of the same consumable, or a new one.

    Raises:
        InputError: the amount is not above zero.
    """
    if amount <= 0:
        raise InputError(f"{usual.name}: an amount above zero is wanted, in {usual.per or 'pieces'}.")
    terms = [
        UseTerm(
            what=what,
            amount=amount,
            per=usual.per,
            rate=usual.rate,
            coverage=usual.coverage,
            times=usual.times,
            source=usual.source,
        )
    ]
    if usual.for_each_piece is not None and pieces:
        source = f"{usual.name}: {usual.range}"
        more = f"{usual.for_each_piece} {usual.unit} more for each piece"
        terms.append(UseTerm(what=more, amount=Decimal(pieces), per="piece", rate=usual.for_each_piece, source=source))
    same = next((u for u in unit.consumables if _takes(u, usual)), None)
    if same is not None:
        grown = with_changes(same, terms=(*same.terms, *terms))
        return with_changes(unit, consumables=replaced(unit.consumables, grown, f"{unit.code} has no"))
    code = free_code("U", [u.code for u in unit.consumables])
    use = ConsumableUse(
        code=code, consumable=usual.consumable, unit=usual.unit, terms=tuple(terms), waste_percent=usual.waste_percent,
        parts=usual.parts, mixed_with=usual.mixed_with, parts_by=usual.parts_by, note=usual.note,
    )  # fmt: skip
    return with_changes(unit, consumables=(*unit.consumables, use))


def _takes(use: ConsumableUse, usual: UsualUse) -> bool:
    """Whether a use can take one more term: the same thing, unit, waste and mix, and not used up."""
    return (
        use.consumable == usual.consumable
        and use.unit == usual.unit
        and use.waste_percent == usual.waste_percent
        and use.used_on is None
        and (use.parts, use.mixed_with, use.parts_by) == (usual.parts, usual.mixed_with, usual.parts_by)
    )
