"""Every rule over the demo book and its variants."""

from __future__ import annotations

import pytest

from tests.agreement import (
    rules_of_money,
    rules_of_sense,
    rules_of_the_record,
    rules_of_time,
    rules_of_wants,
    rules_of_work,
)
from tests.agreement.met import MET, PLACES
from tests.agreement.rules import RULES
from tests.agreement.variants import COUNT, cases
from tests.agreement.views import BookViews

PARTS = 12
"""Groups of variants, so that they can be spread over processors."""
RULE_FILES = (rules_of_money, rules_of_sense, rules_of_the_record, rules_of_time, rules_of_wants, rules_of_work)
SHOWN = 12


OFTEN = 1
"""In how many ways each change that is made alone is looked at, besides the witnesses."""


def others() -> list[BookViews]:
    """The demo and its variants but for the witnesses, which every rule is asked of below."""
    found = cases()
    alone = {views.name for views in found[COUNT + 1 :] if int(views.name.rpartition(" ")[2]) >= OFTEN}
    return [views for views in found if views.name not in alone | WITNESSES]


@pytest.mark.parametrize("part", range(PARTS))
def test_views_agree(part: int) -> None:
    broken = [
        f"{rule.sentence}\n    [{views.name}] {said}"
        for views in others()[part::PARTS]
        for rule in RULES
        for said in rule.broken(views)
    ]
    assert not broken, "\n".join([f"{len(broken)} contradictions", *broken[:SHOWN]])


def test_there_are_rules_and_variants_enough() -> None:
    assert len(RULES) >= 60
    assert COUNT >= 200
    assert len(others()) + len(WITNESSES) >= COUNT
    assert len({rule.sentence for rule in RULES}) == len(RULES)


WITNESSES: frozenset[str] = frozenset(
    {
        "100: a_unit_is_at",
        "139: steps_are_planned, ready_lines_are_ticked",
        "14: a_piece_is_promised",
        "1: no_free_time, an_operation_waits_for_nobody_knows_what",
        "20: an_operation_is_done_with_a_window",
        "26: a_part_is_paid_and_not_here, nothing_is_estimated, a_component_is_done",
        "39: a_part_is_needed_by_chance, a_part_is_taken_out, steps_are_planned",
        "63: a_part_is_made_of_sheet, ready_lines_are_ticked",
        "a_closed_unit_has_open_lines 2",
        "a_finish_has_no_typed_wait 2",
        "a_finish_has_no_typed_wait 3",
        "a_joint_is_made_anew 2",
        "a_kept_layout_has_no_room 0",
        "another_unit_has_laid_out 0",
        "everything_is_done 0",
        "it_goes_back_together 0",
        "it_goes_back_together 2",
        "nothing_goes_back_yet 0",
        "some_members_of_a_joint_are_made 0",
        "some_members_of_a_joint_are_made 2",
        "some_work_is_not_estimated 0",
        "some_work_is_not_estimated 1",
        "somebody_writes_down_what_follows 3",
        "the_old_case_is_scrap 0",
        "the_next_is_behind_a_failed_test 0",
        "the_next_is_behind_a_failed_test 2",
        "the_next_is_behind_a_failed_test 3",
        "the_stop_line_is_below_everything 0",
        "the_typed_next_is_past 0",
    }
)
"""Variants that together bring every place of every rule that can complain to be asked; the survey prints them."""


def test_every_place_that_can_complain_is_asked() -> None:
    """A rule whose condition no variant meets is a check that cannot fail."""
    seen = [views for views in cases() if views.name in WITNESSES]
    assert len(seen) == len(WITNESSES)
    MET.clear()
    for views in seen:
        for rule in RULES:
            assert not list(rule.broken(views))
    never = [place for place in PLACES if not MET[place]]
    assert never == [], "no variant asks them: add one to variants.py, then `python -m tests.agreement.survey`"
