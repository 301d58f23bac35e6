"""Lengths and money: what people type, what is refused and how, and that nothing is lost on the way."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from logbook.errors import InputError
from logbook.model.measures import (
    MM_PER_INCH,
    TICKS_PER_MM,
    Length,
    Money,
    Number,
    hours_and_minutes,
    parse_length,
    parse_minutes,
)

MONEY: TypeAdapter[Decimal] = TypeAdapter(Money)
NUMBER: TypeAdapter[Decimal] = TypeAdapter(Number)

TYPED = [
    # typed, exact millimetres
    ("12", "12"),
    ("12.5", "12.5"),
    ("12,5", "12.5"),
    ("12.5mm", "12.5"),
    ("  12.5   mm ", "12.5"),
    ("12.5\tMM\n", "12.5"),
    ("0", "0"),
    ("-0 mm", "0"),
    ("007", "7"),
    ("0.01", "0.01"),
    ("0.0000125", "0.0000125"),
    ("-3", "-3"),
    ("- 3", "-3"),
    ("−3 mm", "-3"),
    ("1 m", "1000"),
    ("2,5 cm", "25"),
    ("1/2 mm", "0.5"),
    ("12 1/2 mm", "12.5"),
    ("1½ mm", "1.5"),
    ("3/4", "19.05"),
    ("3/4 in", "19.05"),
    ('3/4"', "19.05"),
    ("23 5/16 in", "592.1375"),
    ("23 5/16", "592.1375"),
    ("12-1/2", "317.5"),
    ("1½", "38.1"),
    ('1 ½ "', "38.1"),
    ("⅛ in", "3.175"),
    ("¼", "6.35"),
    ("⅜", "9.525"),
    ("⅝", "15.875"),
    ("¾", "19.05"),
    ("7⅞", "200.025"),
    ("1\u20442", "12.7"),
    ("1/128", "0.1984375"),
    ("0.001 in", "0.0254"),
    ("12 inch", "304.8"),
    ("12 INCHES", "304.8"),
    ("12″", "304.8"),
    ("12”", "304.8"),
    ("1'", "304.8"),
    ("2 ft", "609.6"),
    ("2 feet", "609.6"),
    ("1 foot 3 in", "381"),
    ("1' 2-1/2\"", "368.3"),
    ("5'-0 1/2\"", "1536.7"),
    ("1′ 2″", "355.6"),
    ("3’ 4”", "1016"),
    ("1' ½", "317.5"),
    ("999999 m", "999999000"),
]

REFUSED = [
    # typed, what the sentence says
    ("", "is not a length"),
    ("   ", "is not a length"),
    ("-", "is not a length"),
    ("mm", "is not a length"),
    ("twelve", "is not a length"),
    ("12.", "is not a length"),
    (".5", "is not a length"),
    ("12 mmm", "is not a length"),
    ("12 mm 3", "is not a length"),
    ("12..5", "is not a length"),
    ("1,234.5", "is not a length"),
    ("1e3", "is not a length"),
    ("0x10", "is not a length"),
    ("+3", "is not a length"),
    ("--3", "is not a length"),
    ("1/2/3", "is not a length"),
    ("12 1/2 1/2", "is not a length"),
    ("12.5 1/2", "is not a length"),
    ("12,5-1/2 in", "is not a length"),
    ("1 /2", "is not a length"),
    ("/2", "is not a length"),
    ("٣", "is not a length"),
    ("\uff11\uff12", "is not a length"),
    ("9999999999", "is not a length"),
    ("[b]12[/b]", "is not a length"),
    ("3/0", "divides by zero"),
    ("5 3/000 in", "divides by zero"),
    ("1' 2 mm", "mixes feet with mm"),
    ("1/3", "finer than can be kept"),
    ("1/7 in", "finer than can be kept"),
    ("1/256 in", "finer than can be kept"),
    ("0.000001", "finer than can be kept"),
    ("999999999 m", "longer than 1,000 km"),
    ("-999999999 in", "longer than 1,000 km"),
]


@pytest.mark.parametrize(("typed", "millimetres"), TYPED)
def test_length_as_typed(typed: str, millimetres: str) -> None:
    length = Length.of(typed)
    assert length.mm == Decimal(millimetres)
    assert format(length.mm, "f") == millimetres, "as plain digits, no exponent and no needless zero"
    assert length.typed == typed.strip()
    assert parse_length(typed) == Fraction(millimetres)


@pytest.mark.parametrize(("typed", "says"), REFUSED)
def test_length_refused_with_a_sentence(typed: str, says: str) -> None:
    with pytest.raises(InputError, match=says) as caught:
        Length.of(typed)
    assert typed in str(caught.value)
    assert str(caught.value).endswith(".")


def test_refused_length_is_quoted_short() -> None:
    with pytest.raises(InputError) as caught:
        parse_length("x" * 10_000)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize(
    ("typed", "default", "millimetres"),
    [("2", "mm", "2"), ("2", "in", "50.8"), ("2 mm", "in", "2"), ("2 in", "mm", "50.8"), ("1/2", "mm", "12.7")],
)
def test_unit_said_wins_over_the_unit_of_the_book(typed: str, default: str, millimetres: str) -> None:
    assert Length.of(typed, "in" if default == "in" else "mm").mm == Decimal(millimetres)


# The inch is 25.4 mm exactly: international yard and pound agreement of 1959 (yard = 0.9144 m exactly).
# The foot of 0.3048 m and the inch of 2.54 cm stand so, in bold for exact, in NIST SP 811 (2008), appendix B.
@pytest.mark.parametrize(
    ("typed", "millimetres"), [("1 in", "25.4"), ("1 ft", "304.8"), ("36 in", "914.4"), ("3 ft", "914.4")]
)
def test_inch_by_the_agreement_of_1959(typed: str, millimetres: str) -> None:
    assert Length.of(typed).mm == Decimal(millimetres)
    assert Fraction(9144, 10) / 36 == MM_PER_INCH


# Major diameters of unified threads in inches, ASME B1.1 (number sizes are 0.060 + 0.013 n in), against the
# millimetres that public thread tables print to two places.
@pytest.mark.parametrize(
    ("inches", "printed"),
    [
        ("0.086 in", "2.18"),
        ("0.112 in", "2.84"),
        ("0.138 in", "3.51"),
        ("0.164 in", "4.17"),
        ("0.190 in", "4.83"),
        ("1/4 in", "6.35"),
        ("5/16 in", "7.94"),
        ("3/8 in", "9.52"),
        ("1/2 in", "12.7"),
    ],
)
def test_thread_diameters_as_printed_in_tables(inches: str, printed: str) -> None:
    assert abs(Length.of(inches).mm - Decimal(printed)) <= Decimal("0.005")
    assert Length.of(inches).in_mm() in (printed, str(Decimal(printed) + Decimal("0.01")))


# Fractional drill sizes with the millimetres that drill tables (ASME B94.11M) print to four places; from memory.
@pytest.mark.parametrize(
    ("inches", "printed"),
    [("1/64", "0.3969"), ("7/64", "2.7781"), ("1/8", "3.1750"), ("27/64", "10.7156"), ("63/64", "25.0031")],
)
def test_drill_sizes_as_printed_in_tables(inches: str, printed: str) -> None:
    assert round(Length.of(inches).mm, 4) == Decimal(printed)


def test_thirty_two_thirty_seconds_are_an_inch() -> None:
    assert sum(Length.of("1/32").ticks for _ in range(32)) == Length.of("25.40 mm").ticks == Length.of("1 in").ticks


def test_smallest_steps_are_whole_ticks() -> None:
    assert [Length.of(t).ticks for t in ("0.01", "1/128", "0.001 in")] == [800, 15_875, 2_032]


SHOWN = [
    # as typed, millimetres to 0.01 mm
    ("12.5", "12.5"),
    ("11.80", "11.8"),
    ("19.05", "19.05"),
    ("592.1375", "592.14"),
    ("25.4", "25.4"),
    ("-25.4", "-25.4"),
    ("-19.05", "-19.05"),
    ("0", "0"),
    ("0.001", "0"),
    ("-0.001", "0"),
    ("100", "100"),
    ("1000000", "1000000"),
]


@pytest.mark.parametrize(("typed", "in_mm"), SHOWN)
def test_length_shown(typed: str, in_mm: str) -> None:
    assert Length.of(typed).in_mm() == in_mm


TICKS = st.integers(-(10**9) * TICKS_PER_MM + 1, 10**9 * TICKS_PER_MM - 1)


@given(TICKS)
@example(1)
@example(-1)
@example(10**9 * TICKS_PER_MM - 1)
def test_no_tick_is_lost_through_json(ticks: int) -> None:
    length = Length.from_ticks(ticks)
    assert length.ticks == ticks
    again = Length.model_validate_json(length.model_dump_json())
    assert again == length
    assert again.ticks == ticks
    assert "E" not in length.model_dump_json().upper().replace("TYPED", "")


@given(TICKS)
def test_millimetres_printed_and_typed_again_are_the_same(ticks: int) -> None:
    length = Length.from_ticks(ticks)
    assert Length.of(format(length.mm, "f")).ticks == ticks


@given(
    st.integers(0, 10**6), st.integers(0, 127), st.sampled_from(["in", '"', " inch", ""]), st.sampled_from([" ", "-"])
)
def test_inches_with_fractions_are_exact(whole: int, part: int, unit: str, between: str) -> None:
    typed = f"{whole}{between}{part}/128{unit}"
    assert Length.of(typed).ticks == (whole * 128 + part) * 15_875


@given(TICKS)
def test_shown_millimetres_are_the_nearest(ticks: int) -> None:
    length = Length.from_ticks(ticks)
    assert abs(Decimal(length.in_mm()) - length.mm) <= Decimal("0.005")


@given(st.text(max_size=60) | st.text(alphabet="0123456789 /.,-'\"inmft½⅛", max_size=20))
def test_any_text_is_a_length_or_a_sentence(text: str) -> None:
    try:
        length = Length.of(text)
    except InputError:
        return
    assert Length.model_validate_json(length.model_dump_json()) == length
    assert length.ticks == parse_length(text) * TICKS_PER_MM


def test_a_length_in_a_document_may_be_plain_text() -> None:
    assert Length.model_validate_json('"3/4 in"') == Length.of("3/4 in")
    assert json.loads(Length.of("3/4").model_dump_json()) == {"mm": "19.05", "typed": "3/4"}
    assert json.loads(Length.from_ticks(800).model_dump_json()) == {"mm": "0.01"}


@pytest.mark.parametrize(
    "document",
    [
        "12.5",
        "12",
        "null",
        "[]",
        '"12.5 elbows"',
        "{}",
        '{"mm": 12.5}',
        '{"mm": "twelve"}',
        '{"mm": "1e3"}',
        '{"mm": "1E-999999999"}',
        '{"mm": "NaN"}',
        '{"mm": "Infinity"}',
        '{"mm": "0.00001"}',
        '{"mm": "9999999999"}',
        '{"mm": "12", "inches": "1"}',
    ],
)
def test_bad_length_in_a_document(document: str) -> None:
    with pytest.raises(ValidationError):
        Length.model_validate_json(document)


@pytest.mark.parametrize("value", ["1E-999999999", "1E+999999999", "NaN", "sNaN", "-Infinity", "0.00000001", "1E+9"])
def test_a_computed_length_out_of_reach_is_refused_at_once(value: str) -> None:
    with pytest.raises(ValidationError):
        Length(mm=Decimal(value))


def test_a_page_of_mixed_lengths_adds_up_without_rounding() -> None:
    page = [("12.7", "mm"), ("1/2", "mm"), ("3/64", "in"), ("0.01", "mm"), ("1' 0-1/8\"", "mm"), ("2", "in")]
    ticks = sum(Length.of(typed, "in" if unit == "in" else "mm").ticks for typed, unit in page)
    assert Length.from_ticks(ticks).mm == Decimal("385.375625")


@given(st.integers(0, 10_000_000))
def test_a_time_as_it_is_shown_is_read_again(minutes: int) -> None:
    assert parse_minutes(hours_and_minutes(minutes)) == minutes
