"""Results that are kept for the same records."""

from __future__ import annotations

import pytest

from logbook.model.remembered import MOST, remembered
from logbook.model.unit import Unit
from tests.builders import unit


def test_the_same_record_is_worked_through_once_and_another_one_anew() -> None:
    asked: list[Unit] = []

    @remembered
    def worked(of: Unit, times: int = 1) -> int:
        asked.append(of)
        return len(of.code) * times

    one = unit()
    changed = one.model_copy(update={"name": "another"})
    assert [worked(one), worked(one), worked(one, times=2), worked(changed), worked(one)] == [2, 2, 4, 2, 2]
    assert asked == [one, one, changed]


def test_only_the_last_results_are_kept() -> None:
    asked: list[Unit] = []

    @remembered
    def worked(of: Unit) -> str:
        asked.append(of)
        return of.code

    first = unit()
    for of in (first, *(unit() for _ in range(MOST)), first):
        assert worked(of) == of.code
    assert asked[-1] is first, "it was asked for so long ago that it is worked through again"


def test_another_custom_of_writing_amounts_is_another_result(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    @remembered
    def worked(of: Unit) -> None:
        asked.append(of)

    one = unit()
    for custom in ("en_US.UTF-8", "de_DE.UTF-8", "de_DE.UTF-8"):
        monkeypatch.setenv("LC_ALL", custom)
        worked(one)
    assert len(asked) == 2
