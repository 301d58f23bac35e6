"""The flat parts of a case at their rough size, ready to be laid out on the scrap pile."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from logbook.casework.panels import WorkedPanel
from logbook.casework.worked import WorkedCase
from logbook.model.words import Grain, PanelRole


@dataclass(frozen=True, slots=True)
class RoughPart:
    """One flat part to be cut from the pile, at its rough size; sizes in ticks."""

    code: str
    panel: str
    quantity: int
    length: int
    width: int
    material: str
    thickness: int
    grain: Grain
    together: str
    """Parts with the same words here come from one piece, in the order of the list; empty for any other."""


def rough_parts(worked: WorkedCase) -> tuple[RoughPart, ...]:
    """Every flat part at its rough size: cores, then leaves. Parts without a size are left out."""
    cores = [part for p in worked.panels for part in _cores(p)]
    return (*cores, *(part for p in _in_wrap(worked.panels) for part in _leaves(p)))


def _cores(panel: WorkedPanel) -> Iterator[RoughPart]:
    many = len(panel.record.layers) > 1
    for i, layer in enumerate(panel.record.layers, 1):
        if panel.rough is not None:
            code = f"{panel.code}.{i}" if many else panel.code
            yield RoughPart(
                code, panel.code, panel.quantity, *panel.rough, layer.material, layer.thickness.ticks, panel.grain, ""
            )


def _leaves(panel: WorkedPanel) -> Iterator[RoughPart]:
    for leaf in panel.leaves:
        if leaf.size is not None:
            code = f"{panel.code}-{'face' if leaf.show else 'back'}"
            yield RoughPart(
                code, panel.code, panel.quantity, *leaf.size, leaf.material, leaf.thickness, panel.grain,
                panel.record.wrap if leaf.show else "",
            )  # fmt: skip


_AROUND = (PanelRole.LEFT, PanelRole.SIDES, PanelRole.TOP, PanelRole.RIGHT, PanelRole.BOTTOM)


def _in_wrap(panels: Sequence[WorkedPanel]) -> list[WorkedPanel]:
    """Panels whose grain wraps in the order around the case, up the left and down the right; then the others."""
    wrapped = sorted((p for p in panels if p.record.wrap and p.role in _AROUND), key=lambda p: _AROUND.index(p.role))
    return [*wrapped, *(p for p in panels if p not in wrapped)]
