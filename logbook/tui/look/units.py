"""A unit wherever it is shown: its code as a block of its own hue, and how far its job is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from logbook.model.words import AT_REST, Stage
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import clean
from logbook.tui.look.inks import Line, Span, line
from logbook.tui.look.palette import hue

STAGES = (Stage.ARRIVAL, Stage.TEARDOWN, Stage.REBUILD, Stage.REASSEMBLY, Stage.CLOSED)
"""The stages that a job goes through, one after another."""
_STROKE = 2
"""Columns of one stage in its bar."""
STAGE_COLUMNS = len(STAGES) * (_STROKE + 1) - 1


def unit_hues(codes: Sequence[str]) -> dict[str, str]:
    """The hue of each unit, in the order of the book."""
    return {code: hue(number) for number, code in enumerate(codes)}


def unit_block(code: str, hues: Mapping[str, str]) -> Line:
    """A unit's code as a block of its hue."""
    return (Span(f" {clean(code, limit=12)} ", f"bold ink on-{hues.get(code, 'hue1')}"),)


def stage_bar(stage: Stage, g: Glyphs = FINE) -> Line:
    """A stroke for each stage: heavy up to the present one, which is in brass; one thin line for a unit given up."""
    if stage not in STAGES:
        return (Span(g.track * STAGE_COLUMNS, "rule"),)
    now = STAGES.index(stage)
    strokes = []
    for number in range(len(STAGES)):
        ink = "head" if number < now else "accent" if number == now else "rule"
        strokes.append(Span((g.full if number <= now else g.track) * _STROKE, "good" if stage in AT_REST else ink))
        strokes.append(Span(" "))
    return line(*strokes[:-1])
