"""Areas for glue and finish, measured from the panels of a case and worked by hand beside them.

A box 400 x 300 x 200 inside, all of 12 mm: top and bottom between the sides 400 x 200, sides 324 x 200.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from logbook.costing.measured import measured
from logbook.model.case_plan import CasePlan
from logbook.model.words import CaseJoint, Measure
from tests.casework.building import box, corner

BUTT = CasePlan(top=corner(CaseJoint.BUTT_BETWEEN), bottom=corner(CaseJoint.BUTT_BETWEEN))
RABBET = CasePlan(top=corner(CaseJoint.RABBET, "6"), bottom=corner(CaseJoint.RABBET, "6"))


@pytest.mark.parametrize(
    ("plan", "measure", "amount"),
    [
        # 2 x 400 x 200 + 2 x 324 x 200 = 289,600 mm2
        (BUTT, Measure.ONE_FACE, "0.2896"),
        # (2 x 2 x (400 + 200) + 2 x 2 x (324 + 200)) x 12 = 53,952 mm2
        (BUTT, Measure.ALL_EDGES, "0.05395"),
        # four ends of 12 x 200 = 9,600 mm2
        (BUTT, Measure.JOINT_FACES, "0.0096"),
        # four ends of (12 + 6) x 200 = 14,400 mm2
        (RABBET, Measure.JOINT_FACES, "0.0144"),
    ],
)
def test_areas_follow_from_the_panels(plan: CasePlan, measure: Measure, amount: str) -> None:
    found = measured(box(plan=plan), measure)
    assert found is not None
    assert abs(found.amount - Decimal(amount)) <= Decimal("0.00001")
