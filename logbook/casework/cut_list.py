"""The cut list: every part with finish, cut and rough size, what it is cut from, and all that is marked on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from logbook.casework.lookup import mm, ticks
from logbook.casework.mirror import mirror_words, openings_without_a_place
from logbook.casework.opening_words import opening_words
from logbook.casework.panels import WorkedPanel
from logbook.casework.sizes import Flat
from logbook.casework.worked import WorkedCase, WorkedStrip
from logbook.model.casework_records import Groove, PanelJoint
from logbook.model.material_names import same_material
from logbook.model.measures import Length
from logbook.model.promises import free_for
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import Grain

TOLERANCE = Length.of("0.2 mm").ticks
"""How far the thickness of a piece may be off when the shop has no limit of its own (common practice)."""
SHORT_CROSSCUT = Length.of("150 mm").ticks
SHORT_RIP = Length.of("300 mm").ticks
"""Parts shorter than this are not ripped, and shorter than 150 not crosscut, at the table saw (saw manuals)."""


@dataclass(frozen=True, slots=True)
class SourcePiece:
    """A piece of the scrap pile that a part could come from, or why it could not."""

    code: str
    fits: bool
    why: str


@dataclass(frozen=True, slots=True)
class CutLine:
    """One part as the cut list shows it; sizes in ticks."""

    mark: str
    """What is written on the part."""
    code: str
    name: str
    quantity: int
    finish: Flat | None
    thickness: int | None
    cut: Flat | None
    rough: Flat | None
    material: str
    """Cores with the thickness range they must have, then leaves."""
    grain: Grain
    show_face: str
    hand: str
    bands: tuple[str, ...]
    joints: tuple[str, ...]
    openings: tuple[str, ...]
    sources: tuple[SourcePiece, ...]
    warnings: tuple[str, ...]
    note: str


def cut_list(unit: Unit, shop: Shop, worked: WorkedCase) -> tuple[CutLine, ...]:
    """The cut list of a unit: its panels, then its strips and blocks, then its hanging rails."""
    tolerance = thickness_tolerance(shop)
    panels = (_panel_line(unit, shop, p, tolerance) for p in worked.panels)
    strips = (_strip_line(unit, s) for s in worked.strips)
    return (*panels, *strips, *_rail_lines(unit, worked))


def thickness_tolerance(shop: Shop) -> int:
    """How far a thickness may be off, in ticks."""
    limit = shop.settings.thickness_tolerance
    return TOLERANCE if limit is None else limit.ticks


def _panel_line(unit: Unit, shop: Shop, panel: WorkedPanel, tolerance: int) -> CutLine:
    record = panel.record
    cores = [
        f"{x.material} {mm(x.thickness.ticks - tolerance)} to {mm(x.thickness.ticks + tolerance)}"
        for x in record.layers
    ]
    leaves = [f"{x.material} {x.thickness.in_mm()} {'face' if x.show else 'behind'}" for x in record.leaves]
    recorded = unit.case.panels if unit.case is not None else ()
    mirror = mirror_words(record, recorded)
    unplaced = openings_without_a_place(record, {p.code: p for p in recorded})
    members = f" {', '.join(panel.members)}" if panel.members != ("",) else f" {record.member}".rstrip()
    return CutLine(
        mark=f"{unit.code} {panel.code} {panel.name}{members}",
        code=panel.code,
        name=panel.name,
        quantity=panel.quantity,
        finish=panel.finish,
        thickness=panel.thickness,
        cut=panel.cut,
        rough=panel.rough,
        material="; ".join([*cores, *leaves]) or "?",
        grain=panel.grain,
        show_face=record.show_face,
        hand=", ".join(filter(None, (panel.hand and f"{panel.hand} hand", mirror))),
        bands=record.banded,
        joints=(*map(joint_words, panel.joints), *map(groove_words, record.grooves)),
        openings=(*(opening_words(o, panel) for o in record.openings), *filter(None, (unplaced,))),
        sources=sources_of(unit, shop, panel, tolerance),
        warnings=_short(panel.rough.length if panel.rough else None, panel.rough.width if panel.rough else None),
        note=record.note,
    )


def joint_words(joint: PanelJoint) -> str:
    """A joint in words: `bottom: rabbet 11.8 wide, 6.5 deep, inside`."""
    sizes = [f"{joint.width.in_mm()} wide" if joint.width else "", f"{joint.depth.in_mm()} deep" if joint.depth else ""]
    if joint.slack is not None:
        sizes.append(f"slack {joint.slack.in_mm()}")
    return f"{joint.end}: {joint.kind} {', '.join(x for x in (*sizes, joint.face) if x)}".rstrip()


def groove_words(groove: Groove) -> str:
    """A groove in words: `groove 6 deep, 8 in, for the back`."""
    sizes = [
        f"{size.in_mm()} {word}"
        for size, word in ((groove.width, "wide"), (groove.depth, "deep"), (groove.set_in, "in"))
        if size is not None
    ]
    kind = "rabbet" if groove.rabbet else "groove"
    return f"{kind} {', '.join([*sizes, f'for the {groove.takes}'])}"


def sources_of(unit: Unit, shop: Shop, panel: WorkedPanel, tolerance: int) -> tuple[SourcePiece, ...]:
    """The pieces of the same material that each layer could come from, those that fit first, with why not."""
    found = [
        _source(piece, unit, panel, layer.thickness.ticks, tolerance)
        for layer in panel.record.layers
        for piece in shop.offcuts
        if same_material(piece.material, (t.ticks for t in piece.thickness), layer.material, (layer.thickness.ticks,))
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda s: not s.fits))


def _source(piece: Offcut, unit: Unit, panel: WorkedPanel, thickness: int, tolerance: int) -> SourcePiece:
    off = [t.ticks for t in piece.thickness if abs(t.ticks - thickness) > tolerance]
    why = ""
    if not piece.thickness:
        why = "not measured"
    elif off:
        why = f"{mm(off[0])} thick, wanted is {mm(thickness)} to within {mm(tolerance)}"
    elif not free_for(piece.reserved_for, (unit.code,)):
        why = f"reserved for {piece.reserved_for}"
    elif panel.rough is not None:
        why = _too_small(piece, panel.rough, panel.grain)
    return SourcePiece(piece.code, not why, why)


def _too_small(piece: Offcut, size: Flat, grain: Grain) -> str:
    long = (piece.usable_length or piece.length).ticks
    wide = (piece.usable_width or piece.width).ticks
    ways = [(size.length, size.width)]
    if grain is Grain.FREE or piece.grain is Grain.FREE:
        ways.append((size.width, size.length))
    elif grain is not piece.grain:
        ways = [(size.width, size.length)]
    short = [(max(0, a - long), max(0, b - wide)) for a, b in ways]
    best = min(short, key=sum)
    if not sum(best):
        sound = any(has_sound_place(piece, long, wide, a, b) for a, b in ways)
        return "" if sound else "no sound place of that size beside its defects"
    parts = [f"{mm(b)} too {n}" for b, n in zip(best, ("short", "narrow"), strict=True) if b]
    return " and ".join(parts)


def has_sound_place(piece: Offcut, long: int, wide: int, length: int, width: int) -> bool:
    """Whether a part fits on a piece beside its defects; sizes in ticks.

    A part that fits anywhere can be pushed down and left until it touches an edge or a defect both ways, so only such
    places are tried.
    """
    bad = [(d.x.ticks, d.y.ticks, d.x.ticks + d.length.ticks, d.y.ticks + d.width.ticks) for d in piece.defects]
    for x in (0, *(right for _, _, right, _ in bad)):
        for y in (0, *(upper for _, _, _, upper in bad)):
            if x + length > long or y + width > wide:
                continue
            if all(
                x + length <= left or right <= x or y + width <= low or upper <= y for left, low, right, upper in bad
            ):
                return True
    return False


def _short(length: int | None, width: int | None) -> tuple[str, ...]:
    """What must not be cut at a table saw because of its size, with the safer way."""
    if length is None:
        return ()
    said = []
    if length < SHORT_CROSSCUT:
        said.append(f"Too short to crosscut at the saw ({mm(length)} mm): hand saw and bench hook, or a sled")
    elif length < SHORT_RIP and width is not None:
        said.append(f"Too short to rip safely ({mm(length)} mm): rip longer, then crosscut")
    return tuple(said)


def _strip_line(unit: Unit, strip: WorkedStrip) -> CutLine:
    r = strip.record
    section = f"{r.wide.in_mm()} x {r.thick.in_mm()}" if r.wide is not None and r.thick is not None else ""
    size = Flat(strip.length, ticks(r.wide)) if r.wide is not None else Flat(strip.length, 0)
    return CutLine(
        mark=f"{unit.code} {r.code}", code=r.code, name=r.name, quantity=strip.quantity, finish=size,
        thickness=None if r.thick is None else r.thick.ticks, cut=size, rough=size,
        material=r.material + (f", {section}" if section and section.replace(" ", "") not in r.material else ""),
        grain=Grain.LENGTH, show_face="", hand="", bands=(), joints=(), openings=(),
        sources=(SourcePiece(r.piece, True, ""),) if r.piece else (), warnings=_short(strip.length, None),
        note="; ".join(x for x in (strip.behind, r.note) if x),
    )  # fmt: skip


def _rail_lines(unit: Unit, worked: WorkedCase) -> Iterator[CutLine]:
    rails = unit.case.plan.rails if unit.case is not None and unit.case.plan is not None else None
    if rails is None or worked.rails is None:
        return
    size = Flat(ticks(rails.length), worked.rails.long_face)
    note = (
        f"Rip one board {rails.board.in_mm()} wide at 45 degrees: long face {mm(worked.rails.long_face)}, short face "
        f"{mm(worked.rails.short_face)} each. Leave {mm(worked.rails.lift)} free above to hook it on; spacer at the "
        f"bottom {mm(worked.rails.spacer)} thick. The one on the wall a little shorter, screwed into solid ground."
    )
    yield CutLine(
        mark=f"{unit.code} RAIL", code="RAIL", name="hanging rail", quantity=2 * len(worked.members), finish=size,
        thickness=rails.thickness.ticks, cut=size, rough=size, material=rails.material or "?", grain=Grain.LENGTH,
        show_face="", hand="", bands=(), joints=("along one edge: 45 degrees",), openings=(),
        sources=(SourcePiece(rails.piece, True, ""),) if rails.piece else (), warnings=(), note=note,
    )  # fmt: skip
