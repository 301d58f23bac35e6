"""What a line says: why the stop question was skipped, places of one kind, pairs, and what is free of a line."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from logbook.errors import CircleError
from logbook.model.step import MapPosition, OneWay
from logbook.model.words import SetKind
from logbook.reassembly import RefitLine, free_of, refit_list
from tests.builders import at, one_way, part, part_set, screws, step, unit
from tests.reassembly.random_records import record

NOW = at("2026-03-12 20:00")


def line_of(made: object, **more: object) -> RefitLine:
    return refit_list(unit(made, **more)).by_key["T01"]  # type: ignore[arg-type]


SKIPPED = "The stop question was skipped: the panel was rotten."
JOINTS = [
    (one_way("glued", measured=True), "To go by: measured.", False),
    (one_way("glued", measured=True, skipped_because="the panel was rotten"), "To go by: measured. " + SKIPPED, True),
    (
        one_way("glued", measured=False, skipped_because="the panel was rotten"),
        f"Nothing says that it was measured, traced or photographed before it came apart. {SKIPPED}",
        True,
    ),
    (
        one_way("glued", measured=False),
        "Nothing says that it was measured, traced or photographed before it came apart.",
        False,
    ),
]


@pytest.mark.parametrize(("joint", "sentence", "skipped"), JOINTS)
def test_the_reason_for_a_skipped_stop_question_stands_at_the_refit(
    joint: OneWay, sentence: str, skipped: bool
) -> None:
    what = line_of(step("T01", "panel", one_way=joint)).what
    assert sentence in what
    assert any("skipped" in words for words in what) is skipped


def test_places_that_hold_the_same_name_it_once() -> None:
    places = [MapPosition(number=i, where=where, kind="screw M4x10") for i, where in ((1, "left"), (2, "right"))]
    what = line_of(step("T01", fasteners=[screws(2, kind="screw M4x10")], positions=places)).what
    assert "Places, numbered clockwise from the top left, each a screw M4x10: 1 left; 2 right." in what
    mixed = [places[0], MapPosition(number=2, where="right", kind="dowel")]
    what = line_of(step("T01", fasteners=[screws(1, kind="screw M4x10")], positions=mixed)).what
    assert "Places, numbered clockwise from the top left: 1 screw M4x10 left; 2 dowel right." in what


@pytest.mark.parametrize(
    ("interchangeable", "words"), [(False, "not changed about"), (True, "interchangeable although")]
)
def test_a_handed_pair_is_changed_about_only_when_that_is_stated(interchangeable: bool, words: str) -> None:
    pair = part_set("P", ("L", "R"), kind=SetKind.HANDED, interchangeable=interchangeable)
    made = unit(
        step("T01", "guards", each_of="P", fasteners=[screws(2)]), step("T02", "covers", each_of="P"), sets=[pair]
    )
    listed = refit_list(made)
    assert all(listed.by_key[key].mirrored for key in ("T01", "T02"))
    assert sum("handed pair" in sentence and words in sentence for sentence in listed.sets) == 1


@pytest.mark.parametrize(
    ("what", "action", "title"),
    [
        ("motor in its cradle", "unscrewed", "refit motor in its cradle"),
        ("Motor slid out", "slid", "slide the motor on"),
        ("panels split", "unscrewed", "refit panels"),
        ("spring unhooked", "unhooked", "hook the spring on"),
        ("the spring", "unhooked", "hook the spring on"),
        ("speaker", "unscrewed", "refit speaker"),
        ("valves V1-V5", "unplugged", "valves V1-V5 plugged in"),
    ],
)
def test_the_way_back_is_said_as_a_fitter_says_it(what: str, action: str, title: str) -> None:
    assert line_of(step("T01", what, action)).title == title


def test_bags_are_listed_as_they_are_numbered() -> None:
    bags = ("10", "9", "2", "tin")
    made = unit(*(step(f"T0{i}", f"part {i}", fasteners=[screws(1)], bag=bag) for i, bag in enumerate(bags, 1)))
    counted = next(s for s in refit_list(made).by_key["check"].what if s.startswith("Count every bag"))
    assert counted == "Count every bag against the record: bag 2: 1, bag 9: 1, bag 10: 1, bag tin: 1."


def test_when_no_one_thing_would_free_a_line_that_is_said() -> None:
    from logbook.reassembly import standing

    made = unit(step("T01"), parts=[part("N1", "cord", for_steps=("T01",)), part("N2", "plug", for_steps=("T01",))])
    said = standing(made, refit_list(made), NOW).sentence
    assert said == "1 of 3 lines is in reach. Several things are missing, first at A02: new cord not here (to buy)."


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 16), st.data())
def test_what_is_free_of_a_line_is_neither_before_nor_after_it(seed: int, n: int, data: st.DataObject) -> None:
    try:
        lst = refit_list(record(seed, n))
    except CircleError:
        assume(False)
        raise
    assume(lst.lines)
    key = data.draw(st.sampled_from(sorted(lst.by_key)))
    g = nx.DiGraph()
    g.add_nodes_from(lst.by_key)
    g.add_edges_from((before, x.key) for x in lst.lines for before in x.must_follow)
    bound = nx.ancestors(g, key) | nx.descendants(g, key) | {key}
    assert [x.key for x in free_of(lst, key)] == [x.key for x in lst.lines if x.key not in bound]
