"""What a screen shows after a change is what it would show if it were opened anew."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.model.edits import change_step, with_changes
from logbook.model.words import Certainty
from logbook.reassembly import count_bag, tick, untick
from logbook.session.refit_view import RefitView, view_after, view_anew
from logbook.tui.screens.reassembly_rows import DrawnList, know_first
from tests.builders import at, part_set, screws, step, unit

NOW = at("2026-03-12 20:00")
DEEDS = ("tick check", "tick T03", "tick T02/D1", "tick T02", "untick T03", "untick T02", "count", "edit", "wider")


def chest() -> object:
    return unit(
        step("T01", "top", fasteners=[screws(4, kind="screw M4x10")], bag="1"),
        step("T02", "runners", each_of="D", fasteners=[screws(2)], bag="2"),
        step("T03", "back", certainty=Certainty.GUESS),
        sets=[part_set("D", 3)],
    )


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(DEEDS), min_size=1, max_size=8))
def test_rows_after_any_deeds_are_those_of_a_screen_opened_anew(deeds: list[str]) -> None:
    made, columns, drawn = chest(), 80, DrawnList()
    view = view_anew(made, NOW)  # type: ignore[arg-type]
    drawn.rows(view, None, columns)
    for i, deed in enumerate(deeds):
        word, _, key = deed.partition(" ")
        now = NOW + timedelta(minutes=i)
        ticked = {x.line for x in made.refit.lines if x.done}  # type: ignore[attr-defined]
        if word == "tick":
            made = tick(made, key, at=now, initials="AB", override="so", over=view.progress)  # type: ignore[arg-type]
        elif word == "untick" and any(k == key or k.startswith(f"{key}/") for k in ticked):
            made = untick(made, key)  # type: ignore[arg-type]
        elif word == "count":
            made = count_bag(made, "1", "screw M4x10", 3 + i % 2, at=now)  # type: ignore[arg-type]
        elif word == "edit":
            back = made.step("T03")  # type: ignore[attr-defined]
            made = change_step(made, with_changes(back, note=f"looked at {i}"))  # type: ignore[arg-type]
        else:
            columns = 60 if columns == 80 else 80
        view = view_after(view, made, now)  # type: ignore[arg-type]
        anew = view_anew(made, now)  # type: ignore[arg-type]
        assert (view.changed, view.standing, dict(view.ready)) == (anew.changed, anew.standing, dict(anew.ready))
        assert drawn.rows(view, None, columns) == DrawnList().rows(anew, None, columns)


def counted(n: int) -> RefitView:
    return view_anew(count_bag(chest(), "1", "screw M4x10", n, at=NOW), NOW)  # type: ignore[arg-type]


def test_what_is_to_be_read_first_is_counted() -> None:
    assert know_first(counted(4)) == " Read first, above (Home): 1 guess."
    assert know_first(counted(3)) == " Read first, above (Home): 1 guess, 1 count that differs."
    rows = DrawnList().rows(counted(3), None, 80)
    assert any(line.startswith(" COUNT DIFFERS  bag 1: 1 screw M4x10 short") for row in rows for line in row.lines)


def test_only_the_rows_that_a_tick_bears_on_are_made_anew() -> None:
    made = unit(*(step(f"T{i:02d}", stated=True) for i in range(1, 20)))
    ready = tick(made, "check", at=NOW)
    before, drawn = view_anew(ready, NOW), DrawnList()
    old = {row.key: row for row in drawn.rows(before, None, 80)}
    after = view_after(before, tick(ready, "T05", at=NOW, over=before.progress), NOW)
    new = {row.key: row for row in drawn.rows(after, None, 80)}
    assert new["T05"] is not old["T05"]
    assert new["T05"].lines[0].lstrip().startswith("[x]")
    assert {k for k in new if new[k] is not old[k]} <= {"T05", "audit"}
