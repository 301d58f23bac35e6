"""Areas for glue and finish, measured from the panels of a case and worked by hand beside them.

A box 400 x 300 x 200 inside, all of 12 mm: top and bottom between the sides 400 x 200, sides 324 x 200.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.casework import worked_case
from logbook.costing import consumption
from logbook.costing.measured import measured
from logbook.model.case_plan import CasePlan
from logbook.model.casework_records import Panel, PanelJoint
from logbook.model.measures import TICKS_PER_MM
from logbook.model.one_line import read_line
from logbook.model.shop import Shop
from logbook.model.words import CaseJoint, Measure
from logbook.model.work import UseTerm
from tests.builders import mm, use
from tests.casework.building import box, corner, inside, panel

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


SHELF = PanelJoint(end="both ends", kind=CaseJoint.DADO, depth=mm("4"))


@pytest.mark.parametrize(
    ("inner", "more"),
    [
        # two ends of (12 + 2 x 4) x 200 = 8,000 mm2
        (panel("P5", "shelf", joints=(SHELF,)), "0.008"),
        # a dado not said deep is a third of 12: the same; three of them
        (panel("P5", "shelf", joints=(PanelJoint(end="both ends", kind=CaseJoint.DADO),), quantity=3), "0.024"),
        # set back 50: two ends of 12 x 150 = 3,600 mm2
        (
            panel(
                "P5",
                "divider",
                joints=(PanelJoint(end="both ends", kind=CaseJoint.BUTT_BETWEEN),),
                set_back=mm("50"),
            ),
            "0.0036",
        ),
        # no joint is written down: it lies loose
        (panel("P5", "shelf"), "0"),
    ],
)
def test_the_ends_of_shelves_and_dividers_are_glued_where_their_joint_is_written_down(inner: Panel, more: str) -> None:
    found = measured(box(inner, plan=BUTT), Measure.JOINT_FACES)
    assert found is not None
    assert abs(found.amount - Decimal("0.0096") - Decimal(more)) <= Decimal("0.00001")
    assert found.pieces == 4 + (2 * inner.quantity if inner.joints else 0)
    assert ("P5 at both ends" in found.words) is bool(inner.joints)


@pytest.mark.parametrize(
    ("line", "need", "how"),
    [
        # 0.0096 m2 at 250 g = 2.4 g
        ("1, joint faces, rate 250", "2.4", "joints of P1 with P2, P1 with P3, P4 with P2, P4 with P3 0.0096 m2"),
        # both faces: 2 x 0.2896 = 0.5792 m2 at 200 g = 115.84 g
        (
            "2, one face of each panel, rate 200",
            "115.84",
            "one face of P1, P2, P3, P4, finish, less openings 0.5792 m2",
        ),
        # 0.05395 m2 at 100 g = 5.395 g
        ("1, all edges, rate 100", "5.395", "edges of P1, P2, P3, P4 0.05395 m2 × 100"),
    ],
)
def test_what_is_measured_is_not_typed(line: str, need: str, how: str) -> None:
    term = read_line(UseTerm, line).record()
    (found,) = consumption(box(plan=BUTT, consumables=(use(unit="g", terms=(term,)),)), Shop())
    assert found.need == Fraction(need)
    assert how in found.how


def test_while_the_case_gives_nothing_the_need_is_not_known() -> None:
    term = read_line(UseTerm, "1, banded edges, rate 250").record()
    (found,) = consumption(box(plan=BUTT, consumables=(use(unit="g", terms=(term,)),)), Shop())
    assert found.need is None
    assert found.problems == ("The need of PVA glue is not known: the case gives no banded edges yet.",)


@given(st.integers(50, 400), st.integers(50, 400), st.integers(50, 400), st.sampled_from([BUTT, RABBET]))
@settings(max_examples=30, deadline=None)
def test_areas_add_up_over_the_panels_whatever_the_case(wide: int, high: int, deep: int, plan: CasePlan) -> None:
    of_unit = box(plan=plan, dimensions=inside(str(wide), str(high), str(deep)))
    worked = worked_case(of_unit)
    assert worked is not None
    faces = edges = Fraction(0)
    for p in worked.panels:
        assert p.finish is not None and p.thickness is not None  # noqa: PT018
        length, width, thick = (Fraction(n, TICKS_PER_MM) for n in (*p.finish, p.thickness))
        faces += length * width
        edges += 2 * (length + width) * thick
    for measure, area in ((Measure.ONE_FACE, faces), (Measure.ALL_EDGES, edges)):
        found = measured(of_unit, measure)
        assert found is not None
        assert abs(Fraction(found.amount) - area / 1_000_000) <= Fraction(1, 100_000)
