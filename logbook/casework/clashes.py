"""Things in a case that meet where they must not, each pair on the face and in the depth where it really lies."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.casework.case_frame import Frame
from logbook.casework.case_room import SolidBody, apart, seen_gap
from logbook.casework.finding import NEAR, Consequence
from logbook.casework.lookup import mm


def clashes(bodies: Sequence[SolidBody], frame: Frame) -> Iterator[Consequence]:
    """Every pair that meets or comes near, and what reaches into the case itself."""
    for i, a in enumerate(bodies):
        for b in bodies[i + 1 :]:
            if not (a.fixed and b.fixed) and a.code != b.code:
                yield from _pair(a, b)
        if not a.fixed:
            yield from _within(a, frame)


def _pair(a: SolidBody, b: SolidBody) -> Iterator[Consequence]:
    gap, wanted = apart(a, b), max(a.wanted, b.wanted)
    place = f"{a.code} {b.code}"
    if gap is None:
        if _may_meet(a, b):
            sentence = f"{a.name} and {b.name}: whether they meet is not known; not all of their edges are written down"
            yield Consequence("clash", place, sentence, None, "Measure and write down the edges that are missing.")
    elif gap < wanted:
        words = f"overlap by {mm(-gap)}" if gap < 0 else f"are {mm(gap)} apart"
        wish = f", {mm(wanted)} wanted" if wanted else ""
        way_out = f"Move one of them by {mm(wanted - gap)}, or make it that much smaller, or leave the strip out there."
        yield Consequence("clash", place, f"{a.name} and {b.name} {words}{wish}", False, way_out)
    elif (seen := seen_gap(a, b)) is not None and 0 < seen <= NEAR and seen == gap:
        yield Consequence(
            "clash", place, f"{a.name} and {b.name}: gap {mm(gap)}", True, borderline=gap == wanted and wanted > 0
        )


def _may_meet(a: SolidBody, b: SolidBody) -> bool:
    """Whether two things overlap as far as is known, with at least two of three directions known."""
    gaps = [a.across.gap(b.across), a.up.gap(b.up), a.back.gap(b.back)]
    return sum(g is not None for g in gaps) >= 2


def _within(body: SolidBody, frame: Frame) -> Iterator[Consequence]:
    """A thing inside the case that reaches beyond its inside."""
    if body.back.high is not None and body.back.high <= 0:
        return
    for extent, size, names in (
        (body.across, frame.width, ("left side", "right side")),
        (body.up, frame.height, ("bottom", "top")),
        (body.back, frame.depth, ("front", "back")),
    ):
        over = [(-extent.low if extent.low is not None else 0, names[0])]
        over.append((extent.high - size if extent.high is not None and size is not None else 0, names[1]))
        for by, name in over:
            if by > 0:
                sentence = f"{body.name} reaches {mm(by)} into the {name}"
                yield Consequence("clash", body.code, sentence, False, f"Give it {mm(by)} more room there.")
