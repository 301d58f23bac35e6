"""Which entry a few typed words mean."""

from __future__ import annotations

import pytest

from logbook.model.best_match import how_far_off
from logbook.model.starters import starters


@pytest.mark.parametrize(
    ("words", "lines", "off"),
    [
        ("motor", ("small motor appliance", "A mixer, a fan."), (0,)),
        ("mot", ("small motor appliance",), (1,)),
        ("oto", ("small motor appliance",), (2,)),
        ("motor", ("bench grinder", "A grinder: motor, two wheels."), (3,)),
        ("MOTOR wheel", ("bench grinder", "A grinder: motor, two wheels."), (4, 3)),
        ("lamp", ("bench grinder", "A grinder: motor, two wheels."), None),
        ("motor lamp", ("bench grinder", "motor"), None),
        ("straße", ("Straße",), (0,)),
    ],
)
def test_the_nearer_the_plainer_it_is_said(words: str, lines: tuple[str, ...], off: tuple[int, ...] | None) -> None:
    assert how_far_off(words.split(), lines) == off


def test_each_starter_is_nearest_to_a_word_of_its_own_name() -> None:
    found = starters(None).all
    for word, name in (("motor", "small motor appliance"), ("lamp", "mains lamp"), ("clock", "mantel clock")):
        near = min(found, key=lambda s: how_far_off([word], (s.name, s.summary)) or (9,))
        assert near.name == name
