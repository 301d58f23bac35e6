"""Which screw is this: look-alikes told apart where measures can, and said to be alike where they cannot."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.thread_tables import Series, Thread, threads
from logbook.teardown.threads import (
    DIAMETER_TOLERANCE,
    NEAR_DIAMETER,
    NEAR_PITCH,
    PITCH_TOLERANCE,
    Screw,
    identify,
    measured,
    wood_or_machine,
)

MACHINE = [t for t in threads() if t.series is not Series.WOOD]


def fitting(diameter: str, pitch: str = "", *, wood: bool | None = False) -> list[str]:
    """Names of the threads that fit, the likeliest first."""
    answer = identify(measured(diameter, pitch, wood=wood), limit=99)
    return [c.thread.name for c in answer.candidates if c.fits]


# What is measured, and what fits, the likeliest first. The limits are those of the published tables.
LOOK_ALIKES = [
    # M5 and #10-32 differ by 0.006 mm in pitch, so the diameter alone tells them: 4.826-4.976 against 4.651-4.803.
    ("4.95", "0.8", ["M5"]),
    ("4.95", "32 tpi", ["M5"]),
    ("4.9", "0.8", ["M5"]),
    ("4.70", "32 tpi", ["#10-32"]),
    ("4.70", "0.8", ["#10-32"]),
    ("4.81", "0.8", ["M5", "#10-32"]),
    ("4.81", "32 tpi", ["#10-32", "M5"]),
    ("4.95", "24 tpi", []),
    ("4.75", "24 tpi", ["#10-24"]),
    # M4 and #8-32: 3.838-3.978 at 0.7 against 3.990-4.143 at 0.794.
    ("3.95", "0.7", ["M4"]),
    ("4.10", "32", ["#8-32"]),
    ("3.98", "36", ["M4", "#8-36"]),
    # M3.5 and #6: the pitch tells.
    ("3.45", "0.6", ["M3.5"]),
    ("3.45", "32 tpi", ["#6-32"]),
    ("3.45", "40 tpi", ["#6-40"]),
    # M8 coarse and fine, and 5/16.
    ("7.85", "1.25", ["M8"]),
    ("7.85", "1", ["M8x1"]),
    ("7.85", "18 tpi", ["5/16-18"]),
    ("7.85", "24 tpi", ["5/16-24"]),
    # M2.5 and #3-56 overlap in both: nothing but a nut tells.
    ("2.45", "0.45", ["M2.5", "#3-56"]),
    # 1/4-20 typed in inches.
    ("0.246 in", "20", ["1/4-20"]),
    ("1/4", "28 tpi", ["1/4-28"]),
]


@pytest.mark.parametrize(("diameter", "pitch", "names"), LOOK_ALIKES)
def test_look_alikes_are_told_apart_or_named_together(diameter: str, pitch: str, names: list[str]) -> None:
    assert fitting(diameter, pitch) == names


def test_without_a_pitch_everything_of_that_size_fits() -> None:
    assert fitting("3.45", wood=None) == ["M3.5", "M3.5x0.35", "#6-32", "#6-40", "#6"]
    assert fitting("3.45", wood=True) == ["#6"]


def test_a_wood_screw_is_found_by_gauge() -> None:
    assert fitting("4.2", "15 tpi", wood=True) == ["#8"]
    assert fitting("4.2", "15 tpi", wood=None) == ["#8"]
    assert fitting("4.2", "15 tpi", wood=False) == []


SENTENCES = [
    ("4.95", "0.8", "Likely M5 (ISO metric, coarse; pitch 0.8 mm)."),
    ("4.70", "32 tpi", "Likely #10-32 (UNF; 32 threads per inch)."),
    (
        "4.81",
        "0.8",
        "M5 and #10-32 both fit what was measured. A sound #10-32 measures at most 4.8 mm, M5 at least 4.83",
    ),
    ("2.45", "0.45", "cannot tell them apart: try a nut of known thread by hand, the whole way, never with force."),
    ("3.45", "", "all fit what was measured. The pitch may tell: count the threads along 10 mm, or along an inch."),
    ("12.5", "12 tpi", "Nothing fits; the nearest is 1/2-13"),
    ("12.5", "12 tpi", "Whitworth and BA are not in them"),
    ("25", "", "No thread is near 25 mm."),
    ("25", "2.5", "No thread is near 25 mm with a pitch of 2.5 mm."),
]


@pytest.mark.parametrize(("diameter", "pitch", "said"), SENTENCES)
def test_the_answer_is_a_sentence(diameter: str, pitch: str, said: str) -> None:
    assert said in identify(measured(diameter, pitch, wood=False)).sentence


def test_wood_and_machine_that_both_fit_are_told_by_the_point() -> None:
    assert identify(measured("4.7")).sentence.endswith("A wood screw tapers to a point.")
    assert "point" not in identify(measured("4.7", wood=False)).sentence


DIFFERENCES = [
    ("4.95", "0.8", "M5", "inside 4.83 to 4.98 mm; pitch exact"),
    ("4.95", "0.8", "#10-32", "0.15 mm over 4.8 mm; pitch 0.006 mm more"),
    ("4.75", "32", "M5", "0.08 mm under 4.83 mm; pitch 0.006 mm less"),
    ("4.81", "", "#10-32", "0.007 mm over 4.8 mm; pitch not measured"),
    ("7.85", "24 tpi", "M8x1", "inside 7.79 to 7.97 mm; pitch 0.06 mm more"),
]


@pytest.mark.parametrize(("diameter", "pitch", "name", "said"), DIFFERENCES)
def test_each_candidate_says_how_far_off_it_is(diameter: str, pitch: str, name: str, said: str) -> None:
    found = identify(measured(diameter, pitch, wood=False), limit=99).candidates
    assert [c.difference for c in found if c.thread.name == name] == [said]


def mm_in(text: str) -> Fraction:
    return Fraction(254, 10) / Fraction(text)


TYPED = [
    ("0.8", Fraction("0.8")),
    ("0,8", Fraction("0.8")),
    (".8", Fraction("0.8")),
    (" ,8 mm", Fraction("0.8")),
    ("0.8 mm", Fraction("0.8")),
    ("1", Fraction(1)),
    ("3.5", Fraction("3.5")),
    ("32", mm_in("32")),
    ("32 tpi", mm_in("32")),
    ("32tpi", mm_in("32")),
    ("32/in", mm_in("32")),
    ("20 per inch", mm_in("20")),
    ("11.5 tpi", mm_in("11.5")),
    ("3 tpi", mm_in("3")),
    ("1/32 in", Fraction(254, 320)),
    ("", None),
    ("  ", None),
]


@pytest.mark.parametrize(("text", "pitch"), TYPED)
def test_a_pitch_is_typed_in_mm_or_threads_per_inch(text: str, pitch: Fraction | None) -> None:
    assert measured("5", text).pitch == pitch


REFUSED = [
    ("", "", "", "is not a length"),
    ("x", "", "", "is not a length"),
    ("0", "", "", "no diameter of a screw"),
    ("-5", "", "", "no diameter of a screw"),
    ("4 m", "", "", "no diameter of a screw"),
    ("5", "fine", "", "is no pitch; type it like 0.8, or like 32 tpi"),
    ("5", "0 tpi", "", "no pitch of a screw"),
    ("5", "999 tpi", "", "no pitch of a screw"),
    ("5", "1 tpi", "", "no pitch of a screw"),
    ("5", "-1", "", "no pitch of a screw"),
    ("5", "0.8", "long", "is not a length"),
    ("5", "0.8", "0", "no length of a screw"),
    ("5", "0.8", "3 m", "no length of a screw"),
]


@pytest.mark.parametrize(("diameter", "pitch", "length", "said"), REFUSED)
def test_what_is_no_measure_of_a_screw_is_refused_with_a_sentence(
    diameter: str, pitch: str, length: str, said: str
) -> None:
    with pytest.raises(InputError, match=said):
        measured(diameter, pitch, length)


@pytest.mark.parametrize(
    ("text", "wood"),
    [
        ("", None),
        ("wood", True),
        ("W", True),
        ("wood screw", True),
        ("machine", False),
        ("m", False),
        (" Machine ", False),
    ],
)
def test_wood_or_machine_may_be_typed_short(text: str, wood: bool | None) -> None:
    assert wood_or_machine(text) is wood


def test_another_kind_of_screw_is_refused() -> None:
    with pytest.raises(InputError, match="type wood or machine"):
        wood_or_machine("sheet metal")


@given(st.sampled_from(threads()), st.fractions(0, 1), st.booleans())
@settings(deadline=None)
def test_a_sound_screw_is_always_among_what_fits(t: Thread, where: Fraction, with_pitch: bool) -> None:
    diameter = t.smallest + (t.largest - t.smallest) * where
    screw = Screw(diameter, t.pitch if with_pitch else None, t.series is Series.WOOD)
    found = identify(screw, limit=99).candidates
    own = next(c for c in found if c.thread == t)
    assert own.fits
    assert own.score == 0
    # Nothing that fits worse stands before it.
    assert all(c.score == 0 for c in found[: found.index(own)])


@given(
    st.fractions(Fraction(1, 2), 15), st.none() | st.fractions(Fraction(1, 5), 3), st.sampled_from((True, False, None))
)
@settings(deadline=None)
def test_candidates_are_ranked_within_bounds_and_say_the_truth(
    diameter: Fraction, pitch: Fraction | None, wood: bool | None
) -> None:
    answer = identify(Screw(diameter, pitch, wood), limit=99)
    found = answer.candidates
    assert [c.fits for c in found] == sorted((c.fits for c in found), reverse=True)
    for group in (True, False):
        scores = [c.score for c in found if c.fits is group]
        assert scores == sorted(scores)
    for c in found:
        low, high = c.thread.smallest, c.thread.largest
        assert abs(c.off) <= NEAR_DIAMETER
        assert diameter - c.off == min(max(diameter, low), high)
        off = abs(pitch - c.thread.pitch) if pitch is not None else 0
        assert off <= NEAR_PITCH * c.thread.pitch
        assert c.fits == (abs(c.off) <= DIAMETER_TOLERANCE and off <= PITCH_TOLERANCE * c.thread.pitch)
        assert wood is None or wood == (c.thread.series is Series.WOOD)
    asked = [t for t in threads() if wood is None or wood == (t.series is Series.WOOD)]
    for t in (t for t in asked if t not in [c.thread for c in found]):
        beyond = diameter > t.largest + NEAR_DIAMETER or diameter < t.smallest - NEAR_DIAMETER
        assert beyond or (pitch is not None and abs(pitch - t.pitch) > NEAR_PITCH * t.pitch)
    assert answer.sentence.strip()


def test_no_more_are_named_than_asked_for() -> None:
    assert len(identify(measured("4.7"), limit=2).candidates) == 2


@given(st.text(max_size=12), st.text(max_size=12), st.text(max_size=12))
def test_any_text_is_a_measure_or_refused(diameter: str, pitch: str, length: str) -> None:
    try:
        screw = measured(diameter, pitch, length)
    except InputError as error:
        said = str(error)
    else:
        said = "taken." if Fraction(1, 2) <= screw.diameter <= 40 else ""
    assert said.endswith((".", '"'))
