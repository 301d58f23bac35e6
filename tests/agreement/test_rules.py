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
from tests.agreement.rules import RULES
from tests.agreement.variants import COUNT, cases

PARTS = 12
"""Groups of variants, so that they can be spread over processors."""
RULE_FILES = (rules_of_money, rules_of_sense, rules_of_the_record, rules_of_time, rules_of_wants, rules_of_work)
SHOWN = 12


@pytest.mark.parametrize("part", range(PARTS))
def test_views_agree(part: int) -> None:
    broken = [
        f"{rule.sentence}\n    [{views.name}] {said}"
        for views in cases()[part::PARTS]
        for rule in RULES
        for said in rule.broken(views)
    ]
    assert not broken, "\n".join([f"{len(broken)} contradictions", *broken[:SHOWN]])


def test_there_are_rules_and_variants_enough() -> None:
    assert len(RULES) >= 60
    assert COUNT >= 200
    assert len({rule.sentence for rule in RULES}) == len(RULES)
