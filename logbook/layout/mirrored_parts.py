"""Which parts of a layout are mirror images: said where they are cut, because a wrong hand shows only when fitted.

The saw cuts an image as its pattern is cut; grooves, joints and openings are worked the other way round on it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from logbook.casework.mirror import mirror_words
from logbook.model.casework_records import Panel
from logbook.model.unit import Unit

_OF_A_PANEL = re.compile(r"(?:\.[0-9]+|[vb][0-9]*)?(?:-[0-9]+)?", re.ASCII)
"""What stands behind the code of a panel in that of its part: a layer, a leaf, and a number where codes meet."""


def mirrored_parts(unit: Unit, parts: Iterable[str], *, several_units: bool) -> dict[str, str]:
    """For each of these parts that is a mirror image, of which panel: `{"P2": "mirror of P1"}`.

    Args:
        unit: whose parts they are.
        parts: their codes in the layout.
        several_units: in such a layout the code of the unit stands before them, `R1/P2`.
    """
    lead = f"{unit.code}/" if several_units else ""
    panels = unit.case.panels if unit.case is not None else ()
    said = [(panel, words) for panel in panels if (words := mirror_words(panel, panels))]
    codes = list(dict.fromkeys(parts))
    return {code: words for panel, words in said for code in _of(panel, codes, lead)}


def _of(panel: Panel, codes: Iterable[str], lead: str) -> Iterator[str]:
    whole = f"{lead}{panel.code}"
    for code in codes:
        if code.startswith(whole) and _OF_A_PANEL.fullmatch(code[len(whole) :]):
            yield code


def mirror_sentences(unit: Unit, parts: Iterable[str], *, several_units: bool) -> Iterator[str]:
    """What is said of the mirror images among parts that are cut: `P2: mirror of P1, worked …`."""
    for code, words in mirrored_parts(unit, parts, several_units=several_units).items():
        yield f"{code}: {words}, worked the other way round."
