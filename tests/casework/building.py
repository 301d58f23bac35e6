"""Short ways to write down cases: a box with its held inside, sheets and joints; only what a test is about is said."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from logbook.model.case_plan import CasePlan, CornerJoint, Fitting, Position, Size, StackPart, StackUp
from logbook.model.casework_records import Case, HeldDimension, Layer, Leaf, Opening, Panel
from logbook.model.measures import TICKS_PER_MM, Length
from logbook.model.unit import Unit
from logbook.model.words import Axis, CaseJoint, HeldKind, StackKind
from tests.builders import mm, unit

JOINTS = tuple(CaseJoint)


def ticks(text: str | float) -> int:
    """Millimetres in ticks."""
    return Length.of(f"{text} mm").ticks


def layer(thickness: str, material: str = "12 ply", **more: Any) -> Layer:
    """A core of measured thickness."""
    return Layer(material=material, thickness=mm(thickness), **more)


def leaf(thickness: str = "0.6", material: str = "dark veneer", *, show: bool = True) -> Leaf:
    """A leaf whose size is computed."""
    return Leaf(material=material, thickness=mm(thickness), show=show)


def both_faces(thickness: str = "0.6") -> tuple[Leaf, ...]:
    """A face leaf and its backer."""
    return leaf(thickness), leaf(thickness, "backer", show=False)


def panel(code: str, name: str, thickness: str = "12", material: str = "12 ply", **more: Any) -> Panel:
    """A panel of one sheet."""
    return Panel(code=code, name=name, layers=(layer(thickness, material),), **more)


def corner(kind: str | CaseJoint, depth: str = "", **more: Any) -> CornerJoint:
    """A corner; its depth is assumed when it is not said."""
    lengths = {k: mm(v) for k, v in more.items()}
    return CornerJoint(kind=CaseJoint(kind), depth=mm(depth) if depth else None, **lengths)


def held(code: str, what: str, value: str, **more: Any) -> HeldDimension:
    """A held inside dimension with half a millimetre either way, measured twice."""
    size = mm(value)
    kept: dict[str, Any] = {"plus": mm("0.5"), "minus": mm("0.5"), "readings": (size, size)}
    return HeldDimension(code=code, what=what, value=size, **{**kept, **more})


def inside(width: str = "400", height: str = "300", depth: str = "200") -> tuple[HeldDimension, ...]:
    """The three held inside dimensions."""
    return (
        held("H-W", "inside width", width),
        held("H-H", "inside height", height),
        held("H-D", "inside depth", depth, along=Axis.DEPTH),
    )


def box(
    *extra: Panel,
    plan: CasePlan | None = None,
    sides: str = "12",
    top: str = "12",
    bottom: str = "12",
    dimensions: Iterable[HeldDimension] = (),
    case: dict[str, Any] | None = None,
    **more: Any,
) -> Unit:
    """A unit whose case has two sides, top and bottom of 12 ply unless said, and what is given besides."""
    panels = (
        panel("P1", "top", top),
        panel("P2", "side L", sides),
        panel("P3", "side R", sides, mirror_of="P2"),
        panel("P4", "bottom", bottom),
        *extra,
    )
    made = Case(panels=panels, plan=plan or CasePlan(), **(case or {}))
    return unit(case=made, held_dimensions=tuple(dimensions) or inside(), **more)


def opening(what: str, x: str, y: str, diameter: str = "", size: str = "", **more: Any) -> Opening:
    """An opening by its centre; `size` as `180x70`."""
    long, _, wide = size.partition("x")
    return Opening(
        what=what,
        centre=Position(x=mm(x), y=mm(y)),
        diameter=mm(diameter) if diameter else None,
        size=Size(length=mm(long), width=mm(wide)) if size else None,
        **more,
    )


def fitting(code: str, what: str = "thing", **edges: Any) -> Fitting:
    """Something inside; edges as texts."""
    lengths = {k: mm(v) if type(v) is str else v for k, v in edges.items()}
    return Fitting(code=code, what=what, **lengths)


def stack(kind: str | StackKind, length: str, *parts: str, panel: str = "P4", **more: Any) -> StackUp:
    """A bolt, shaft or screw through the bottom unless said."""
    lengths = {k: mm(v) if isinstance(v, str) else v for k, v in more.items()}
    through = tuple(StackPart(what="part", thickness=mm(p)) for p in parts)
    return StackUp(
        code="G1", what="bolt", kind=StackKind(kind), panel=panel, length=mm(length), parts=through, **lengths
    )


def millimetres(size: tuple[int, ...] | None) -> list[float]:
    """Ticks as millimetres, for comparison with figures worked by hand."""
    assert size is not None
    return [x / TICKS_PER_MM for x in size]


OUTSIDE = HeldKind.OUTSIDE
