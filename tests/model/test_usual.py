"""The list of usual consumption: every entry sound, every number with where it comes from, mistakes named."""

from __future__ import annotations

import json

import pytest

from logbook.errors import InputError
from logbook.model.templates import template_bytes
from logbook.model.usual_consumption import read_usual, usual_consumption

RAW = template_bytes("consumption.json")


def test_every_number_says_where_it_comes_from() -> None:
    listed = usual_consumption()
    assert len(listed.usual) >= 18
    assert "The label on the tin" in listed.note
    for entry in listed.usual:
        assert "no source" in entry.source or "common practice" in entry.source or "(" in entry.source, entry.name


@pytest.mark.parametrize(
    ("name", "rate", "coverage"),
    [
        # start values of the trade (common practice, no source), as they stand in the file
        ("PVA glue on faces, one side of each glue line", 200, None),
        ("PVA glue in joints", 250, None),
        ("clear finish by wiping, four coats", None, 12),
        ("stain", None, 14),
        ("shellac sealer", None, 10),
    ],
)
def test_the_values_behind_the_figures_of_the_radio(name: str, rate: int | None, coverage: int | None) -> None:
    entry = next(u for u in usual_consumption().usual if u.name == name)
    assert (entry.rate, entry.coverage) == (rate, coverage)


def test_the_film_behind_the_glue() -> None:
    """6 mil of wet film are 6 x 0.0254 mm, at 1.1 g/ml 168 g/m2; the start value lies in 150 to 200 g/m2."""
    assert round(6 * 0.0254 * 1000 * 1.1) == 168


def _changed(**more: object) -> bytes:
    listed = json.loads(RAW)
    listed["usual"][0].update(more)
    return json.dumps(
        {**listed, "usual": [{k: v for k, v in u.items() if v is not None} for u in listed["usual"]]}
    ).encode()


@pytest.mark.parametrize(
    ("raw", "says"),
    [
        (_changed(coverage="3"), "needs a rate or a coverage, one of them"),
        (_changed(rate=None), "needs a rate or a coverage, one of them"),
        (_changed(rate="0"), "not above zero"),
        (_changed(rate="-3"), "not above zero"),
        (_changed(name="stain"), "has “stain” twice"),
        (_changed(source=None), "source"),
        (_changed(parts="3"), "is a mix only with its own parts"),
        (_changed(measure="the moon"), "measure"),
        (b"{", "consumption.json"),
    ],
)
def test_a_mistake_in_the_file_is_named(raw: bytes, says: str) -> None:
    with pytest.raises(InputError) as refused:
        read_usual(raw)
    assert says in str(refused.value)
