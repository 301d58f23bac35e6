"""A pair of hanging rails, ripped from one board at 45 degrees.

Common practice; the rule is plain geometry: the cut is one kerf wide, 1.414 kerfs measured along the face, and each
rail gets half of what is left of the board, its long face longer than its short one by the thickness.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isqrt

from logbook.casework.lookup import ticks
from logbook.model.case_plan import HangingRails

LIFT_FREE = "3 mm"
"""What must be free above beyond the thickness, to hook the upper rail on."""


@dataclass(frozen=True, slots=True)
class WorkedRails:
    """The two rails, alike; in ticks."""

    long_face: int
    short_face: int
    lift: int
    """Free height needed above to hook it on."""
    spacer: int
    """Thickness of the spacer at the bottom, so that it hangs plumb."""
    depth: int
    """Depth that a rail let in takes from the case; 0 when it is not let in."""


def worked_rails(rails: HangingRails, kerf: int) -> WorkedRails:
    """Long and short face of both rails: (board + thickness - 1.414 kerf) / 2, and the thickness less.

    Args:
        rails: the board that is ripped.
        kerf: of the saw, in ticks.
    """
    thick = rails.thickness.ticks
    along = isqrt(2 * kerf * kerf)
    long_face = (rails.board.ticks + thick - along) // 2
    return WorkedRails(
        long_face, long_face - thick, thick + ticks(None, LIFT_FREE), thick, thick if rails.let_in else 0
    )
