"""What journeys share."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.journeys.hand import Hand


@pytest.fixture
def tell_keys(capsys: pytest.CaptureFixture[str]) -> Callable[..., None]:
    """Say how many keys each of some hands pressed, also where the test is green."""

    def tell(*hands: Hand) -> None:
        with capsys.disabled():
            for hand in hands:
                print(f"\nkeys: {hand.keys - hand.looked_up}, and {hand.looked_up} to look keys up in the help")

    return tell
