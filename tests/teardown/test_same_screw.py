"""Where a loose screw may belong: ranked by kind, size, what is missing, and how many lie loose."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.model.step import MemberDifference
from logbook.model.templates import demo_documents
from logbook.model.thread_tables import Series, Thread, threads
from logbook.model.unit import BagCount, Refit, Unit
from logbook.teardown.same_screw import ScrewPlace, same_kind
from logbook.teardown.threads import measured
from tests.builders import at, consumable, part_set, renewed, screws, shop, step, unit

M4 = next(t for t in threads() if t.name == "M4")
EIGHT = next(t for t in threads() if t.name == "#8" and t.series is Series.WOOD)


def places(
    of: Unit, thread: Thread = M4, *, diameter: str = "3.95", of_shop: Any = None, **more: str
) -> list[ScrewPlace]:
    return list(same_kind(measured(diameter, **more), thread, of, of_shop if of_shop is not None else shop()))


def steps_of(found: list[ScrewPlace]) -> list[str]:
    return [p.where.split()[0] for p in found]


def three() -> Unit:
    return unit(
        step("T01", "back", fasteners=[screws(4, kind="screw M4x10")], bag="1"),
        step("T02", "foot", fasteners=[screws(2, kind="screw M4x25")], bag="2"),
        step("T03", "lid", fasteners=[screws(2, kind="screw M4x10")], bag="3"),
    )


RANKED = [
    ({}, ["T01", "T02", "T03"]),
    ({"length": "25"}, ["T02", "T01", "T03"]),
    ({"length": "10"}, ["T01", "T03", "T02"]),
    ({"length": "10", "count": "2"}, ["T03", "T01", "T02"]),
    ({"count": "4"}, ["T01", "T02", "T03"]),
    ({"count": "2"}, ["T02", "T03", "T01"]),
]


@pytest.mark.parametrize(("more", "order"), RANKED)
def test_the_likeliest_step_comes_first(more: dict[str, str], order: list[str]) -> None:
    assert steps_of(places(three(), **more)) == order


def test_where_one_is_missing_comes_before_where_the_number_fits() -> None:
    short = unit(
        step("T01", "back", fasteners=[screws(1, kind="screw M4x10")], bag="1"),
        step("T02", "foot", fasteners=[screws(6, 5, kind="screw M4x10")], bag="2"),
    )
    found = places(short, length="10", count="1")
    assert steps_of(found) == ["T02", "T01"]
    assert [(p.missing, p.count_fits) for p in found] == [(1, True), (0, True)]


def test_an_empty_place_that_stays_empty_misses_nothing() -> None:
    made = unit(step("T01", fasteners=[screws(6, 5, kind="screw M4x10", stays_empty=True)], bag="1"))
    assert [p.missing for p in places(made)] == [0]


def counted(n: int, explained: str = "") -> Unit:
    count = BagCount(bag="3", kind="screw M4x10", recorded=2, counted=n, explained=explained, at=at("2026-03-12 20:00"))
    return three().model_copy(update={"refit": Refit(counts=(count,))})


@pytest.mark.parametrize(("n", "missing"), [(1, 1), (0, 2), (2, 0), (3, 0)])
def test_a_bag_that_was_counted_short_misses_them(n: int, missing: int) -> None:
    found = {p.step: p.missing for p in places(counted(n))}
    assert found == {"T01": 0, "T02": 0, "T03": missing}
    if missing:
        assert steps_of(places(counted(n)))[0] == "T03"
    assert places(counted(n, "lost under the bench")) == places(counted(n)), "what was lost may have turned up"


def test_what_only_carries_the_name_of_a_thread_is_no_screw() -> None:
    made = unit(
        step(
            "T01",
            fasteners=[screws(4, kind=kind) for kind in ("shakeproof washer M4", "nut M4", "spacer M4", "screw M4x10")],
            bag="1",
        )
    )
    assert [(p.kind, p.nut) for p in places(made)] == [("screw M4x10", False), ("nut M4", True)]


def test_other_threads_and_wood_screws_of_the_size_are_left_out() -> None:
    made = unit(
        step("T01", fasteners=[screws(1, kind=k) for k in ("screw M5x10", "wood screw 4x30", "screw #8-32")], bag="1")
    )
    assert places(made) == []
    assert [p.kind for p in places(made, EIGHT, diameter="4.1", wood=True)] == ["wood screw 4x30"]  # type: ignore[arg-type]


def test_a_planned_step_has_nothing_loose_yet() -> None:
    assert places(unit(step("T01", fasteners=[screws(4, kind="screw M4x10")], planned=True))) == []


def test_each_member_of_a_set_has_its_own_bag() -> None:
    drawers = part_set("D", 2)
    bags = tuple(MemberDifference(member=m.code, bag=str(i)) for i, m in enumerate(drawers.members, 1))
    made = unit(
        step("T01", "knobs", each_of="D", fasteners=[screws(2, kind="screw M4x25")], differences=bags), sets=[drawers]
    )
    assert [(p.where, p.bag, p.number) for p in places(made)] == [
        ("T01/D1 knobs", "1", "2"),
        ("T01/D2 knobs", "2", "2"),
    ]


def test_the_shelf_comes_last_and_only_with_what_is_in_the_jar() -> None:
    jars = shop(shelf=(consumable("screw M4x10", stock="12"), consumable("screw M4x20", stock="0")))
    found = places(three(), of_shop=jars)
    assert [p.where for p in found][-1] == "shelf"
    assert [(p.kind, p.number) for p in found if not p.step] == [("screw M4x10", "12")]


def test_a_renewed_one_is_named_as_well() -> None:
    made = unit(step("T01", fasteners=[renewed("screw M4x10", 2)]))
    assert [p.kind for p in places(made)] == ["screw M4x10"]


def test_the_left_over_screw_of_the_example_finds_the_speaker_and_the_cloth() -> None:
    radio = next(d.unit for d in demo_documents() if d.logbook == "unit" and d.unit.code == "R1")
    found = places(radio, length="20", count="4")
    assert (found[0].step, found[0].bag, found[0].length_fits, found[0].count_fits) == ("T17", "8", True, True)
    nut = next(p for p in found if p.nut)
    assert found.index(nut) > max(found.index(p) for p in found if p.step and not p.nut)
