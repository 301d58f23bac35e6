"""Two random sequences of edits from one state, joined: the same in either order, and nothing of them is lost."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.joining import Side, joined
from logbook.model.document import structure_problems
from logbook.model.unit import Unit
from tests.joining.edits import START, Edit, before, edits, found_in, grown


def side(record: Unit, name: str) -> Side[Unit]:
    return Side(record, name, START, name)


@settings(max_examples=200, deadline=None)
@given(here=edits(), there=edits(), later=st.integers(0, 40))
def test_nothing_of_either_side_is_lost_whichever_is_joined_to_which(
    here: list[Edit], there: list[Edit], later: int
) -> None:
    base = before()
    bench, _ = grown(base, "bench", here, 0)
    desk, _ = grown(base, "desk", there, later)
    result = joined(base, side(bench, "A"), side(desk, "B"))
    assert joined(base, side(desk, "B"), side(bench, "A")) == result
    assert not list(structure_problems(result.record))
    kept = found_in(result)
    for name, record in (("bench", bench), ("desk", desk)):
        said = {words for words in _words(record) if f"{name} wrote" in words}
        assert [words for words in said if words not in kept] == [], f"of the {name}"
    assert _all_steps(bench, desk) <= {s.what for s in result.record.steps} | _gone(base, bench, desk)


@settings(max_examples=100, deadline=None)
@given(made=edits())
def test_one_side_alone_is_taken_as_it_is(made: list[Edit]) -> None:
    base = before()
    bench, _ = grown(base, "bench", made, 0)
    result = joined(base, side(bench, "A"), side(base, "B"))
    assert (result.record, result.to_look_at, result.renumbered) == (bench, (), ())


@settings(max_examples=100, deadline=None)
@given(here=edits(), there=edits())
def test_what_was_joined_joins_again_without_a_question(here: list[Edit], there: list[Edit]) -> None:
    base = before()
    bench, _ = grown(base, "bench", here, 0)
    desk, _ = grown(base, "desk", there, 5)
    once = joined(base, side(bench, "A"), side(desk, "B")).record
    again = joined(base, side(once, "A"), side(once, "B"))
    assert (again.record, again.to_look_at) == (once, ())
    afterwards = joined(desk, side(once, "A"), side(desk, "B"))
    assert (afterwards.record, afterwards.to_look_at) == (once, ())


def _words(record: object) -> set[str]:
    """Every text of a record, all the way down."""
    if isinstance(record, str):
        return {record}
    if isinstance(record, tuple):
        return {words for one in record for words in _words(one)}
    names = getattr(type(record), "model_fields", {})
    return {words for name in names for words in _words(getattr(record, name))}


def _all_steps(*sides: Unit) -> set[str]:
    return {s.what for record in sides for s in record.steps}


def _gone(base: Unit, *sides: Unit) -> set[str]:
    """Steps that a side took out."""
    return {s.what for record in sides for s in base.steps if s.what not in {x.what for x in record.steps}}
