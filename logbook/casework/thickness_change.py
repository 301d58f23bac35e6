"""One changed thickness: the record with it, and what becomes of every size, before and after."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from logbook.casework.lookup import members_of, mm
from logbook.casework.sizes import Flat, flat, size_words
from logbook.casework.worked import WorkedCase, member_case
from logbook.errors import InputError
from logbook.model.casework_records import Case, Layer, Leaf, Panel, PanelJoint
from logbook.model.material_names import bare_material
from logbook.model.measures import Length
from logbook.model.unit import Unit


class MeasuredSheet(NamedTuple):
    """A material at a measured thickness, and the panels that it is in."""

    material: str
    thickness: Length
    codes: tuple[str, ...]
    leaf: bool
    """A veneer leaf, no core."""


class FigureChange(NamedTuple):
    """One figure before and after."""

    place: str
    what: str
    before: str
    after: str


def sheets_of(case: Case) -> tuple[MeasuredSheet, ...]:
    """Every material at its measured thickness: cores first, then leaves, in the order of the panels."""
    found: dict[tuple[bool, str, int], list[tuple[str, Layer | Leaf]]] = {}
    for panel in case.panels:
        both: tuple[Layer | Leaf, ...] = (*panel.layers, *panel.leaves)
        for x in both:
            key = (isinstance(x, Leaf), _name(x), x.thickness.ticks)
            found.setdefault(key, []).append((panel.code, x))
    sheets = [
        MeasuredSheet(of[0][1].material, of[0][1].thickness, tuple(dict.fromkeys(code for code, _ in of)), leaf)
        for (leaf, _, _), of in found.items()
    ]
    return tuple(sorted(sheets, key=lambda s: s.leaf))


def with_thickness(unit: Unit, sheet: MeasuredSheet, thickness: Length, codes: Sequence[str] = ()) -> Unit:
    """The unit with a sheet measured anew; recorded sizes that followed from it before follow again.

    Args:
        unit: whose case it is.
        sheet: the material at its thickness so far.
        thickness: as measured now.
        codes: only these panels; empty for all that are cut from it.

    Raises:
        InputError: there is no case, a code is no panel of that sheet, or the thickness is nothing.
    """
    case = unit.case
    if case is None:
        raise InputError(f"{unit.code} has no case yet.")
    if thickness.ticks <= 0:
        raise InputError("A thickness must be more than 0.")
    strange = [c for c in codes if c not in sheet.codes]
    if strange:
        raise InputError(
            f"{strange[0]} is not of {sheet.material} {sheet.thickness.in_mm()}: {', '.join(sheet.codes)}."
        )
    chosen = set(codes or sheet.codes)
    panels = tuple(_measured(p, sheet, thickness) if p.code in chosen else p for p in case.panels)
    changed = unit.model_copy(update={"case": case.model_copy(update={"panels": panels})})
    return followed(unit, changed)


def _measured(panel: Panel, sheet: MeasuredSheet, thickness: Length) -> Panel:
    update = {
        name: tuple(
            x.model_copy(update={"thickness": thickness})
            if (_name(x), x.thickness.ticks) == (_name(sheet), sheet.thickness.ticks)
            else x
            for x in getattr(panel, name)
        )
        for name in ("leaves" if sheet.leaf else "layers",)
    }
    return panel.model_copy(update=update)


def followed(before: Unit, after: Unit) -> Unit:
    """The later unit with the recorded sizes that were the computed ones before set to those of now."""
    return _rewritten(after, _bare_sizes(before), _bare_sizes(after), every=False)


def taken_over(unit: Unit) -> Unit:
    """The unit with every recorded size set to the computed one. Raises InputError when nothing differs."""
    now = _bare_sizes(unit)
    changed = _rewritten(unit, now, now, every=True)
    if changed.case == unit.case:
        raise InputError("Every recorded size is the computed one already.")
    return changed


class _Sizes(NamedTuple):
    """What the plan gives for one panel."""

    sizes: Mapping[str, Flat | None]
    leaf: Flat | None
    widths: Mapping[str, int]
    """Width of the joint at each end."""


def _bare_sizes(unit: Unit) -> Mapping[str, _Sizes]:
    """The sizes of all panels by the plan alone, by code."""
    if unit.case is None:
        return {}
    panels = tuple(_bare(p) for p in unit.case.panels)
    bare = unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})
    found: dict[str, _Sizes] = {}
    for name in members_of(unit):
        member = member_case(bare, name)
        for p in member.panels:
            sizes = {"finish": p.finish, "cut": p.cut, "rough": p.rough}
            widths = {j.end: j.width.ticks for j in p.joints if j.width is not None}
            found.setdefault(p.code, _Sizes(sizes, p.leaves[0].size if p.leaves else None, widths))
    return found


def _bare(panel: Panel) -> Panel:
    """A panel without written sizes, so that everything is computed."""
    leaves = tuple(x.model_copy(update={"size": None}) for x in panel.leaves)
    joints = tuple(j for j in panel.joints if j.width is None)
    return panel.model_copy(update={"finish": None, "cut": None, "rough": None, "leaves": leaves, "joints": joints})


def _rewritten(unit: Unit, old: Mapping[str, _Sizes], new: Mapping[str, _Sizes], *, every: bool) -> Unit:
    if unit.case is None:
        return unit
    panels = tuple(_rewrite(p, old.get(p.code), new.get(p.code), every=every) for p in unit.case.panels)
    return unit.model_copy(update={"case": unit.case.model_copy(update={"panels": panels})})


def _rewrite(panel: Panel, old: _Sizes | None, new: _Sizes | None, *, every: bool) -> Panel:
    if old is None or new is None:
        return panel
    update: dict[str, object] = {}
    for name, size in new.sizes.items():
        said = flat(getattr(panel, name))
        if said is not None and size is not None and said != size and (every or said == old.sizes[name]):
            update[name] = size.record()
    leaves = tuple(
        x.model_copy(update={"size": new.leaf.record()})
        if x.size is not None
        and new.leaf is not None
        and (every or flat(x.size) == old.leaf)
        and flat(x.size) != new.leaf
        else x
        for x in panel.leaves
    )
    joints = tuple(_joint(j, old, new, every=every) for j in panel.joints)
    return panel.model_copy(update={**update, "leaves": leaves, "joints": joints})


def _joint(joint: PanelJoint, old: _Sizes, new: _Sizes, *, every: bool) -> PanelJoint:
    width = new.widths.get(joint.end)
    if joint.width is None or width is None or joint.width.ticks == width:
        return joint
    if every or joint.width.ticks == old.widths.get(joint.end):
        return joint.model_copy(update={"width": Length.from_ticks(width)})
    return joint


def changes(before: WorkedCase, after: WorkedCase) -> tuple[FigureChange, ...]:
    """Every figure that is another one: outside, panels, strips, held dimensions, consequences."""
    return tuple(c for c in _all(before, after) if c.before != c.after)


def _all(before: WorkedCase, after: WorkedCase) -> Iterator[FigureChange]:
    yield FigureChange("case", "outside", before.outside_words or "?", after.outside_words or "?")
    then = {p.code: p for p in before.panels}
    for p in after.panels:
        was = then.get(p.code)
        if was is None:
            continue
        yield FigureChange(p.code, "thickness", _one(was.thickness), _one(p.thickness))
        for name in ("finish", "cut", "rough"):
            yield FigureChange(p.code, name, size_words(getattr(was, name)), size_words(getattr(p, name)))
        for a, b in zip(was.leaves, p.leaves, strict=False):
            yield FigureChange(p.code, f"leaf {b.material}", size_words(a.size), size_words(b.size))
        for j, k in zip(was.joints, p.joints, strict=False):
            yield FigureChange(p.code, f"{k.kind} {k.end}", _joint_size(j), _joint_size(k))
    lengths = {s.record.code: s.length for s in before.strips}
    for s in after.strips:
        yield FigureChange(s.record.code, "length", _one(lengths.get(s.record.code)), _one(s.length))
    yield FigureChange("case", "edge band", mm(before.band.length), mm(after.band.length))
    held = {(h.code, h.member): h for h in before.held}
    for h in after.held:
        old = held.get((h.code, h.member))
        yield FigureChange(h.code, h.what, "?" if old is None else f"{old.given} {old.sign}", f"{h.given} {h.sign}")
    yield from _consequences(before, after)


def _consequences(before: WorkedCase, after: WorkedCase) -> Iterator[FigureChange]:
    then = {(c.code, c.place, c.member): f"{c.sentence} {c.sign}" for c in before.consequences}
    now = {(c.code, c.place, c.member): f"{c.sentence} {c.sign}" for c in after.consequences}
    for key in dict.fromkeys((*then, *now)):
        yield FigureChange(key[1], key[0], then.get(key, "-"), now.get(key, "-"))


def _one(size: int | None) -> str:
    return "?" if size is None else mm(size)


def _joint_size(joint: PanelJoint) -> str:
    wide, deep = (x.in_mm() if x is not None else "-" for x in (joint.width, joint.depth))
    return f"{wide} wide, {deep} deep"


def _name(of: Layer | Leaf | MeasuredSheet) -> str:
    return bare_material(of.material, (of.thickness.ticks,))
