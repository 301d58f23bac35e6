"""Check 11: the pieces a case is cut from are as thick as it was drawn, and as its joints are wide."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from logbook.casework.cut_list import thickness_tolerance
from logbook.casework.lookup import is_at, joint_between, mm, panels_of, role_of, sides_of, thickness_of
from logbook.casework.mirror import written_out
from logbook.checks.check_problem import CheckProblem, Severity
from logbook.model.casework_records import Case, Panel
from logbook.model.material_names import same_material
from logbook.model.shop import Offcut, Shop
from logbook.model.unit import Unit
from logbook.model.words import CaseJoint, PanelRole

_ENDS = {PanelRole.TOP: "top", PanelRole.BOTTOM: "bottom"}


def pieces_fit(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 11: the piece a panel is cut from is as thick as the panel was drawn, within the tolerance."""
    allowed = thickness_tolerance(shop)
    pieces = {o.code: o for o in shop.offcuts}
    for panel in written_out(unit.case) if unit.case is not None else ():
        if not panel.layers:
            sentence = f"{panel.code} {panel.name} has no thickness. Measure the sheet before any size is worked out."
            yield CheckProblem(10, "no-thickness", unit.code, panel.code, sentence, Severity.LOOK)
    for panel in unit.case.panels if unit.case is not None else ():
        for layer in panel.layers:
            piece = pieces.get(layer.piece) if layer.piece else None
            if piece is None:
                continue
            place = f"{panel.code} {piece.code}"
            if not piece.thickness:
                sentence = (
                    f"{panel.code} {panel.name} is to be cut from {piece.code}, which was never measured. Take its "
                    f"thickness by calliper; the panel is drawn for {layer.thickness.in_mm()}."
                )
                yield CheckProblem(11, "piece-not-measured", unit.code, place, sentence, Severity.LOOK)
            elif off := _off(piece, layer.thickness.ticks, allowed):
                sentence = (
                    f"{piece.code} measures {off} and {panel.code} {panel.name} is drawn for "
                    f"{layer.thickness.in_mm()}{_joint_words(unit.case, panel)}; {mm(allowed)} is allowed. "
                    "Take another piece, or draw the panel and its joints anew."
                )
                yield CheckProblem(11, "piece-does-not-fit", unit.code, place, sentence, Severity.WRONG)


def joints_fit(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 11: a rabbet or dado is as wide as the part that sits in it is thick, within the tolerance."""
    if unit.case is None:
        return
    for side in sides_of(unit.case.panels):
        for joint in side.joints:
            if joint.width is None or joint.kind not in (CaseJoint.RABBET, CaseJoint.DADO):
                continue
            for part in (p for r, end in _ENDS.items() if is_at(joint, end) for p in panels_of(unit.case.panels, r)):
                thick = thickness_of(part)
                if thick is not None and abs(thick - joint.width.ticks) > thickness_tolerance(shop):
                    sentence = (
                        f"{side.code} has a {joint.kind} {joint.width.in_mm()} wide for {part.code} {part.name}, which "
                        f"is {mm(thick)} thick; {mm(thickness_tolerance(shop))} is allowed."
                    )
                    yield CheckProblem(
                        11, "joint-width", unit.code, f"{side.code} {part.code}", sentence, Severity.WRONG
                    )


def pieces_to_leave(unit: Unit, shop: Shop, _now: datetime) -> Iterator[CheckProblem]:
    """Check 11: pieces of the right material and size whose thickness is wrong for panels not yet allotted."""
    allowed = thickness_tolerance(shop)
    open_layers = [
        (panel, layer)
        for panel in (unit.case.panels if unit.case is not None else ())
        for layer in panel.layers
        if not layer.piece
    ]
    for piece in shop.offcuts:
        refused: dict[str, list[str]] = {}
        for panel, layer in open_layers:
            measured = (t.ticks for t in piece.thickness)
            same = same_material(layer.material, (layer.thickness.ticks,), piece.material, measured)
            wanted = same and _large_enough(piece, panel)
            if wanted and _off(piece, layer.thickness.ticks, allowed):
                refused.setdefault(layer.thickness.in_mm(), []).append(panel.code)
        if refused:
            drawn = "; ".join(f"{', '.join(dict.fromkeys(c))} drawn for {t}" for t, c in refused.items())
            sentence = (
                f"{piece.code} ({piece.material}) would be large enough, but it measures {_measured(piece)} and is "
                f"not for {drawn}; {mm(allowed)} is allowed. Leave it for something else."
            )
            yield CheckProblem(11, "piece-to-leave", unit.code, piece.code, sentence, Severity.NOTE)


def _off(piece: Offcut, drawn: int, allowed: int) -> str:
    """What a piece measures, when any of its readings is off by more than is allowed; empty when it fits."""
    return _measured(piece) if any(abs(t.ticks - drawn) > allowed for t in piece.thickness) else ""


def _measured(piece: Offcut) -> str:
    readings = sorted({t.ticks for t in piece.thickness})
    return mm(readings[0]) if len(readings) == 1 else f"{mm(readings[0])} to {mm(readings[-1])}"


def _joint_words(case: Case | None, panel: Panel) -> str:
    """The rabbet or dado a panel sits in, when the sides have one for it."""
    end = _ENDS.get(role_of(panel))
    joint = joint_between(sides_of(case.panels), panel, end) if case is not None and end is not None else None
    if joint is not None and joint.width is not None:
        return f", to sit in a {joint.kind} {joint.width.in_mm()} wide"
    return ""


def _large_enough(piece: Offcut, panel: Panel) -> bool:
    """Whether the usable part of a piece could hold the panel, either way round."""
    size = panel.rough or panel.cut or panel.finish
    if size is None:
        return False
    long = (piece.usable_length or piece.length).ticks
    wide = (piece.usable_width or piece.width).ticks
    a, b = size.length.ticks, size.width.ticks
    return (a <= long and b <= wide) or (b <= long and a <= wide)
