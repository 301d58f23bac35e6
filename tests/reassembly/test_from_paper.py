"""Ticks made on a printed list reach the line they were made at, also when the record has changed since."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import InputError
from logbook.model.edits import drop_step, keep_step
from logbook.model.paths import put_at
from logbook.model.unit import Unit
from logbook.reassembly import (
    Progress,
    lines_to_look_at_again,
    read_paper_ticks,
    refit_list,
    tick_from_paper,
    tick_range,
)
from tests.builders import at, hold, step, steps, unit

NOW = at("2026-03-20 18:00")


@pytest.mark.parametrize(
    ("typed", "lines", "version"),
    [
        ("A01-A07, A09", "A01-A07, A09", None),
        ("1-7,9", "1-7,9", None),
        ("A02-A09 done", "A02-A09", None),
        ("A02-A09 done, v12", "A02-A09", 12),
        ("A02 v12", "A02", 12),
        ("A02, A03 version 3", "A02, A03", 3),
        ("  a2 ; a4 , V7 ", "a2 ; a4", 7),
        ("A01 (452.0; v2), A02 v12", "A01 (452.0; v2), A02", 12),
    ],
)
def test_what_is_typed_from_paper_is_read(typed: str, lines: str, version: int | None) -> None:
    assert read_paper_ticks(typed) == (lines, version)


@pytest.mark.parametrize("typed", ["", "  ", "v12", "done", "done v3", ","])
def test_without_a_line_it_says_how_to_type(typed: str) -> None:
    with pytest.raises(InputError, match="like A01-A07, A09"):
        read_paper_ticks(typed)


def ticked(record: Unit) -> set[str]:
    return {s.line for s in record.refit.lines if s.done}


def test_the_same_record_is_ticked_as_before() -> None:
    record = unit(*steps(4))
    made = tick_from_paper(record, "A01-A03", NOW, "AB")
    assert made.unit == tick_range(record, "A01-A03", NOW, "AB")
    assert [line.number for line in made.lines] == ["A01", "A02", "A03"]
    assert (made.moved, made.changed) == ((), ())


def test_a_line_that_moved_is_found_where_it_is_now() -> None:
    printed = unit(*steps(3))  # the check, T03, T02, T01, the audit
    today = keep_step(printed, step("T04", "part 4"))
    made = tick_from_paper(today, "A01-A02", NOW, "AB", "all the same", printed=printed)
    assert ticked(made.unit) == {"check", "T03"}
    assert made.moved == ("A02 on the paper is A03 now: refit part 3.",)
    assert {s.initials for s in made.unit.refit.lines} == {"AB"}


def test_a_line_whose_step_changed_says_look_again() -> None:
    printed = unit(*steps(3))
    today = put_at(printed, ("steps", "T03", "note"), "the long screw goes left")
    made = tick_from_paper(today, "A01-A03", NOW, "AB", printed=printed)
    assert lines_to_look_at_again(Progress(made.unit, refit_list(made.unit), NOW)) == {"T03"}
    assert len(made.changed) == 1
    assert "part 3" in made.changed[0]
    unchanged = tick_from_paper(today, "A01-A03", NOW, "AB", printed=today)
    assert unchanged.changed == ()


def test_a_line_that_is_gone_is_refused_and_nothing_is_ticked() -> None:
    printed = unit(*steps(3))
    today = drop_step(printed, "T02")
    with pytest.raises(InputError, match=r"A03 on the paper, refit part 2, is not on the list any more"):
        tick_from_paper(today, "A01-A03", NOW, "AB", printed=printed)


def test_a_tick_made_before_keeps_its_mark() -> None:
    printed = unit(*steps(3))
    ticked_before = tick_range(printed, "A01-A02", NOW - timedelta(days=1), "CD")
    today = put_at(ticked_before, ("steps", "T03", "note"), "changed")
    made = tick_from_paper(today, "A01-A03", NOW, "AB", printed=printed)
    first = next(s for s in made.unit.refit.lines if s.line == "T03")
    assert (first.initials, first.at) == ("CD", NOW - timedelta(days=1))


@pytest.mark.parametrize(
    ("typed", "said"),
    [("A99", "not all on the list"), ("A03-A01", "backwards"), ("nonsense", "not a range")],
)
def test_what_is_no_range_on_the_paper_is_refused(typed: str, said: str) -> None:
    printed = unit(*steps(3))
    with pytest.raises(InputError, match=said):
        tick_from_paper(put_at(printed, ("notes",), "x"), typed, NOW, "AB", printed=printed)


def test_a_hold_point_still_wants_its_reading() -> None:
    printed = unit(step("T01", refit={"hold": hold()}), step("T02"))
    today = put_at(printed, ("notes",), "x")
    with pytest.raises(InputError, match="write the reading"):
        tick_from_paper(today, "A01-A03", NOW, "AB", printed=printed)


def test_a_reading_in_brackets_passes_the_hold_point_of_its_line() -> None:
    printed = unit(step("T01", refit={"hold": hold()}), step("T02"))
    for today in (printed, put_at(printed, ("notes",), "x")):
        for typed in ("A01-A02, A03 (452.0, twice)", "A01, A02,a03( 452.0, twice )"):
            made = tick_from_paper(today, typed, NOW, "AB", printed=printed)
            state = next(s for s in made.unit.refit.lines if s.line == "T01")
            assert (state.done, state.reading, state.initials) == (True, "452.0, twice", "AB")
    with pytest.raises(InputError, match="a reading there needs initials"):
        tick_from_paper(printed, "A01-A02, A03 (452.0)", NOW, "", printed=printed)
    with pytest.raises(InputError, match="not a range of lines"):
        tick_from_paper(printed, "A01-A02, A03 (452.0", NOW, "AB", printed=printed)


def test_a_reading_stays_with_its_line_when_that_has_another_number_now() -> None:
    printed = unit(step("T01", refit={"hold": hold()}), step("T02"))
    today = keep_step(printed, step("T03", "part 3"))
    made = tick_from_paper(today, "A03 (452.0)", NOW, "AB", "as on the paper", printed=printed)
    assert [(s.line, s.reading) for s in made.unit.refit.lines] == [("T01", "452.0")]
    assert made.moved


@settings(max_examples=40, deadline=None)
@given(count=st.integers(1, 6), added=st.integers(0, 3), dropped=st.integers(0, 2), chosen=st.data())
def test_exactly_the_lines_of_the_paper_are_ticked(count: int, added: int, dropped: int, chosen: st.DataObject) -> None:
    printed = unit(*steps(count))
    today = printed
    for i in range(added):
        today = keep_step(today, step(f"T{count + 1 + i:02d}", f"new {i}"))
    for code in [s.code for s in printed.steps][: min(dropped, count - 1)]:
        today = drop_step(today, code)
    on_paper = refit_list(printed)
    numbers = chosen.draw(st.sets(st.sampled_from([x.number for x in on_paper.lines]), min_size=1))
    keys = {x.key for x in on_paper.lines if x.number in numbers}
    still = {x.key for x in refit_list(today).lines}
    text = ", ".join(sorted(numbers))
    if keys <= still:
        made = tick_from_paper(today, text, NOW, "AB", "as on the paper", printed=printed)
        assert ticked(made.unit) == keys
    else:
        with pytest.raises(InputError, match="not on the list any more"):
            tick_from_paper(today, text, NOW, "AB", "as on the paper", printed=printed)
