"""Where lines stand: reversed, with what was loosened tightened late and what is covered tested before."""

from __future__ import annotations

import pytest

from logbook.costing import bill_of_materials, cost_views
from logbook.errors import CircleError, InputError
from logbook.model.shop import Shop
from logbook.model.step import RefitNotes, Remake, Step
from logbook.model.unit import LineState, Refit, Unit
from logbook.model.words import Certainty, Stage
from logbook.reassembly import LineKind, RefitLine, free_of_each_other, ledger, refit_list, tick
from logbook.render.build_record import build_record_page
from tests.builders import at, chain, hold, lump, one_way, operation, relation, setting, step, steps, unit, wire

NOW = at("2026-03-17 18:30")


def build_record_of(of: Unit) -> str:
    shop, today = Shop(), NOW.date()
    return build_record_page(
        of, shop, refit_list(of), ledger(of), bill=bill_of_materials(of, shop, today),
        views=cost_views(of, shop, today), version=1, kept_at=NOW, now=NOW, width=200,
    ).text()  # fmt: skip


def free(*codes: str, **more: object) -> list[Step]:
    """Steps that only stated relations order."""
    return [step(code, f"part {code}", stated=True, **more) for code in codes]


def keys(record: Unit) -> list[str]:
    """The list without its first and last line."""
    return [x.key for x in refit_list(record).lines][1:-1]


def line(record: Unit, key: str) -> RefitLine:
    return refit_list(record).by_key[key]


def test_the_plain_list_is_the_record_backwards_between_check_and_audit() -> None:
    lst = refit_list(unit(*steps(3)))
    assert [(x.number, x.key) for x in lst.lines] == [
        ("A01", "check"),
        ("A02", "T03"),
        ("A03", "T02"),
        ("A04", "T01"),
        ("A05", "audit"),
    ]
    assert [x.must_follow for x in lst.lines] == [(), ("check",), ("T03",), ("T02",), ("T01",)]


def test_an_empty_record_and_one_that_is_only_planned_give_no_line() -> None:
    assert refit_list(unit()).lines == ()
    planned = refit_list(unit(step("T01", planned=True)))
    assert planned.lines == ()
    assert [x.step for x in planned.left_out] == ["T01"]


def test_a_circle_gives_no_list() -> None:
    with pytest.raises(CircleError, match="T01 must come off before T02"):
        refit_list(unit(*free("T01", "T02"), relations=chain("T01", "T02", "T01")))


def test_numbers_keep_their_width_past_a_hundred() -> None:
    lines = refit_list(unit(*steps(120))).lines
    assert (lines[0].number, lines[-1].number) == ("A001", "A122")


def test_a_line_says_why_it_is_here() -> None:
    record = unit(*free("T01", "T02"), relations=[relation("T01", "T02", why="the bolt goes through both")])
    assert line(record, "T01").why_here == (
        "After A02 refit part T02: T01 must come off before T02 (the bolt goes through both).",
    )
    assert line(record, "T02").why_here == ("Nothing has to be in place before it but the opening check.",)


# --- the opening check ------------------------------------------------------------------------------------


def test_what_was_only_recorded_at_the_end_of_the_teardown_joins_the_opening_check() -> None:
    record = unit(step("T01"), step("T02", action="recorded only"), step("T03", action="measured"))
    assert line(record, "check").steps == ("T02", "T03")
    assert keys(record) == ["T01"]


def test_what_was_recorded_before_something_came_off_does_not_join_it() -> None:
    """Its place in the refit is after T02, so it is a line where it stands; a reading is compared there."""
    record = unit(step("T01", action="recorded only", refit=RefitNotes(text="Look at the gap.")), step("T02"))
    assert keys(record) == ["T02", "T01"]
    assert line(record, "T01").kind is LineKind.CHECK
    assert line(record, "check").steps == ()


@pytest.mark.parametrize(
    "more",
    [
        {"settings": [setting()]},
        {"connections": [wire()]},
        {"refit": RefitNotes(first=("sleeve",))},
        {"refit": RefitNotes(renew=("felt",))},
    ],
)
def test_what_has_to_be_done_by_hand_never_hides_in_the_opening_check(more: dict[str, object]) -> None:
    made = unit(step("T01"), step("T02", action="recorded only", **more))
    assert [key for key in keys(made) if not key.endswith(":first")] == ["T02", "T01"]


def test_a_part_built_anew_joins_the_opening_check_with_its_operations() -> None:
    anew = one_way("glued", rebuilt_by=("B01", "B02"))
    record = unit(step("T01"), step("T02", "bottom", one_way=anew), operations=[operation("B01"), operation("B02")])
    check = line(record, "check")
    assert check.steps == ("T02",)
    assert check.title == "check: B01, B02 done"
    assert "Built anew by B01, B02, done and cured: bottom (T02)." in check.what


def test_a_part_built_anew_that_goes_in_after_something_keeps_its_own_line() -> None:
    anew = one_way("glued", rebuilt_by=("B01",))
    record = unit(step("T01", "bottom", one_way=anew), step("T02"))
    assert keys(record) == ["T02", "T01"]
    assert "Built anew by B01: check it, then fit it." in line(record, "T01").what


def test_the_hold_point_of_a_part_built_anew_is_met_where_the_part_is_checked() -> None:
    anew = one_way("glued", rebuilt_by=("B01",), remake=Remake(hold=hold("H2", "case square", "")))
    early = unit(step("T01"), step("T02", one_way=anew))
    assert keys(early) == ["T01"]
    assert [h.code for h in line(early, "check").holds] == ["H2"]
    late = unit(step("T01", one_way=anew, refit=RefitNotes(hold=hold("H1"))), step("T02"))
    assert keys(late) == ["T02", "T01"]
    assert [h.code for h in line(late, "T01").holds] == ["H1", "H2"]


def test_two_hold_points_at_the_opening_check_are_read_as_one() -> None:
    record = unit(
        step("T01", action="measured", refit=RefitNotes(hold=hold("H1", "width", "H-W"))),
        step("T02", action="measured", refit=RefitNotes(hold=hold("H2", "height", "H-H", competent=True))),
    )
    check = line(record, "check")
    assert [h.code for h in check.holds] == ["H1", "H2"]
    assert check.hold is not None
    assert (check.hold.code, check.hold.what, check.hold.reading_of, check.hold.competent) == (
        "H1-H2",
        "H1 width; H2 height",
        "H-W; H-H",
        True,
    )


def test_a_step_that_is_left_out_still_passes_on_the_order() -> None:
    record = unit(step("T01"), step("T02", action="recorded only"), step("T03"))
    lst = refit_list(record)
    assert [x.step for x in lst.left_out] == ["T02"]
    assert lst.by_key["T01"].must_follow == ("T03",)


def test_a_guess_and_what_was_wrong_are_listed_before_the_start() -> None:
    record = unit(
        step("T01", certainty=Certainty.GUESS, certainty_note="which shim"),
        step("T02", certainty=Certainty.GUESS, guess_settled="the thin one"),
        step("T03", certainty=Certainty.THINK_SO),
        step("T04", as_found_wrong=True),
    )
    lst = refit_list(record)
    assert [n.step for n in lst.guesses] == ["T01", "T03", "T02"]
    assert lst.guesses[0].sentence == "Not settled: which shim."
    assert lst.as_found_wrong[0].sentence.endswith("How it should be is not written down; settle it first.")
    assert "Settle what is only a guess: T01." in lst.by_key["check"].what


# --- loosened only ----------------------------------------------------------------------------------------


def test_what_was_loosened_is_nipped_in_its_place_and_tightened_last_when_nothing_covers_it() -> None:
    record = unit(*free("T01"), *free("T02", action="loosened only"), *free("T03"))
    assert keys(record) == ["T03", "T02", "T01", "T02:tighten"]
    tighten = line(record, "T02:tighten")
    assert (tighten.kind, tighten.must_follow, tighten.fasteners) == (LineKind.TIGHTEN, ("T02",), ())
    assert "Only nip it now: A05 tightens it." in line(record, "T02").what


def test_it_is_tightened_before_the_first_thing_that_covers_it_and_not_sooner() -> None:
    """T02 was in the way of T04 and came off before it; T01 and T03 have nothing to do with it."""
    record = unit(
        *free("T01", "T02", "T03"), *free("T04", action="loosened only"), *free("T05"),
        relations=[relation("T02", "T04")],
    )  # fmt: skip
    assert keys(record) == ["T05", "T04", "T03", "T04:tighten", "T02", "T01"]
    assert line(record, "T02").must_follow == ("T04:tighten",)
    assert "before A06 refit part T02 covers it" in line(record, "T04:tighten").why_here[0]


@pytest.mark.parametrize("between", [("T03",), ("T03", "T04"), ("T03", "T04", "T05")])
def test_a_cover_that_waits_through_steps_left_out_is_a_cover_all_the_same(between: tuple[str, ...]) -> None:
    record = unit(
        *free("T01", "T02"), *free(*between, action="recorded only"), *free("T09", action="loosened only"),
        relations=chain("T02", *between, "T09"),
    )  # fmt: skip
    assert keys(record) == ["T09", "T09:tighten", "T02", "T01"]


def test_in_a_proven_record_the_next_line_may_cover_it_so_it_is_tightened_at_once() -> None:
    assert keys(unit(step("T01"), step("T02", action="loosened only"), step("T03"))) == [
        "T03",
        "T02",
        "T02:tighten",
        "T01",
    ]


def test_loosen_first_remove_later_is_nipped_when_it_goes_on_and_tightened_where_it_was_loosened() -> None:
    """A wheel: nuts loosened (T01), jacked up (T02), nuts and wheel off (T03)."""
    from tests.builders import screws

    nuts = screws(4, kind="wheel nut")
    record = unit(
        step("T01", "wheel nuts", "loosened only"), step("T02", "jack"), step("T03", "wheel", fasteners=[nuts]),
        relations=[relation("T01", "T03", "loosen")],
    )  # fmt: skip
    lst = refit_list(record)
    assert [x.key for x in lst.lines][1:-1] == ["T03", "T02", "T01", "T01:tighten"]
    assert lst.by_key["T03"].tighten == ""
    assert "Only nip it now: A05 tightens it." in lst.by_key["T03"].what
    assert "1-3-2-4" in lst.by_key["T01:tighten"].tighten


# --- test before covering ---------------------------------------------------------------------------------


def test_a_test_stands_before_the_first_of_its_covers() -> None:
    record = unit(
        *free("T01", "T02", "T03", "T04"),
        relations=[relation("T02", "T04", "test", why="continuity"), relation("T01", "T04", "test")],
    )
    assert keys(record) == ["T04", "T03", "T04:test", "T02", "T01"]
    test = line(record, "T04:test")
    assert (test.kind, test.what, test.must_follow) == (LineKind.TEST, ("continuity.",), ("T04",))
    assert line(record, "T02").must_follow == ("T04:test",)
    assert line(record, "T01").must_follow == ("T04:test",)


def test_what_is_tested_is_tightened_first() -> None:
    record = unit(*free("T01"), *free("T02", action="loosened only"), relations=[relation("T01", "T02", "test")])
    assert keys(record) == ["T02", "T02:tighten", "T02:test", "T01"]
    assert line(record, "T02:test").must_follow == ("T02:tighten",)


def test_a_test_that_nothing_would_hide_belongs_to_the_line_itself() -> None:
    record = unit(step("T01", refit=RefitNotes(test="turns freely")))
    assert keys(record) == ["T01"]
    assert "Test before going on: turns freely." in line(record, "T01").what


def test_the_words_of_a_test_with_a_line_of_its_own_are_said_there_only() -> None:
    record = unit(
        *free("T01"), *free("T02", refit=RefitNotes(test="turns freely")), relations=[relation("T01", "T02", "test")]
    )
    assert line(record, "T02:test").what == ("turns freely.",)
    assert not any("turns freely" in s for s in line(record, "T02").what)


def test_the_hold_point_of_a_cure_is_a_line_after_its_wait_before_everything_on_it() -> None:
    glued = one_way("glued", remake=Remake(method="hide glue", clamp=240, cure=1440, hold=hold("H5", "cured", "")))
    record = unit(*free("T01", "T02"), *free("T03", one_way=glued), relations=[relation("T02", "T03")])
    assert keys(record) == ["T03", "T03:test", "T02", "T01"]
    test = line(record, "T03:test")
    assert test.hold is not None
    assert test.hold.code == "H5"
    assert line(record, "T03").hold is None
    assert line(record, "T02").must_follow == ("T03:test",)


# --- together ---------------------------------------------------------------------------------------------


def test_what_came_out_together_goes_back_together() -> None:
    record = unit(*free("T01", "T02", "T03", "T04"), relations=[relation("T01", "T04", "together")])
    assert keys(record) == ["T03", "T02", "T04", "T01"]
    assert line(record, "T01").together == ("T04", "T01")
    assert line(record, "T02").together == ()


def test_no_inserted_line_splits_a_lump_it_has_nothing_to_do_with() -> None:
    """T02 and T03 go back as one; T04 is tightened before T02 covers it, so before T03 as well."""
    record = unit(
        *free("T01", "T02", "T03"), *free("T04", action="loosened only"),
        relations=[relation("T02", "T03", "together"), relation("T02", "T04")],
    )  # fmt: skip
    assert keys(record) == ["T04", "T04:tighten", "T03", "T02", "T01"]


def test_a_test_between_two_of_a_lump_belongs_to_the_lump() -> None:
    record = unit(*free("T01", "T02"), relations=[relation("T01", "T02", "together"), relation("T01", "T02", "test")])
    assert keys(record) == ["T02", "T02:test", "T01"]
    assert line(record, "T02:test").together == ("T02", "T02:test", "T01")


# --- threaded on before -----------------------------------------------------------------------------------


def test_what_must_be_threaded_on_comes_first_at_the_joint_and_is_named_where_it_came_off() -> None:
    record = unit(*steps(2), relations=[relation("T01", "T02", "threaded", items="P-clip")])
    assert keys(record) == ["T02:first", "T02", "T01"]
    assert line(record, "T02:first").first == ("P-clip (of T01) threaded on or in place.",)
    assert line(record, "T02:first").number == "A01a"
    assert line(record, "T02").must_follow == ("T02:first",)
    assert "Went on first at A01a: P-clip." in line(record, "T01").what


def test_what_goes_on_first_is_ticked_before_the_joint_and_stands_in_the_build_record() -> None:
    record = unit(step("T01", "clip"), step("T02", "cord", refit=RefitNotes(first=("entry bush",))))
    record = tick(record, "check", at=NOW)
    with pytest.raises(
        InputError, match="A02 refit cord is not ready: A01a first: entry bush, before cord is not done"
    ):
        tick(record, "T02", at=NOW)
    record = tick(record, "T02:first", at=NOW, initials="AB")
    record = tick(record, "T02", at=NOW, initials="AB")
    assert "A01a  first: entry bush, before cord" in build_record_of(record)


def test_a_unit_that_was_closed_without_such_lines_stays_closed() -> None:
    done = [LineState(line=key, done=True, at=NOW) for key in ("check", "T02", "audit")]
    cord = step("T02", "cord", refit=RefitNotes(first=("entry bush",)))
    for stage, there in ((Stage.CLOSED, False), (Stage.REASSEMBLY, True)):
        record = unit(cord, stage=stage, refit=Refit(lines=tuple(done)))
        assert ("T02:first" in keys(record)) is there


def test_what_was_noted_by_hand_is_not_said_twice() -> None:
    noted = step("T02", refit=RefitNotes(first=("upper bushes and tubes in place",)))
    record = unit(step("T01"), noted, relations=[relation("T01", "T02", "threaded", items="upper bushes and tubes")])
    assert line(record, "T02:first").first == ("upper bushes and tubes in place.",)


def test_something_to_thread_on_is_never_lost_with_a_step_that_drops_out() -> None:
    record = unit(
        *free("T01"), *free("T02", action="recorded only"), *free("T03"),
        relations=[relation("T01", "T02", "threaded", items="sleeve"), relation("T02", "T03")],
    )  # fmt: skip
    assert line(record, "T02:first").first == ("sleeve (of T01) threaded on or in place.",)


# --- sub-assemblies ---------------------------------------------------------------------------------------


def chassis() -> Unit:
    return unit(
        step("T01"),
        step("T02", "chassis", "lifted out"),
        step("T03"),
        step("T04", inside="CH"),
        step("T05", inside="CH"),
        sub_assemblies=[lump("CH", "T02")],
    )


def test_the_inside_list_is_finished_before_the_lump_goes_back() -> None:
    lst = refit_list(chassis())
    assert keys(chassis()) == ["T03", "T05", "T04", "T02", "T01"]
    (inside,) = lst.inside
    assert (inside.code, inside.came_out_at, inside.keys) == ("CH", "T02", ("T05", "T04"))
    assert set(lst.by_key["T02"].must_follow) == {"T03", "T04", "T05"}
    assert any("inside list is finished first" in s for s in lst.by_key["T02"].what)
    assert [x.inside for x in lst.lines] == ["", "", "CH", "CH", "", "", ""]


def test_a_test_inside_a_sub_assembly_may_come_once_it_is_back_when_its_cover_does() -> None:
    """Nothing hides the valve before the back panel does, and there it can be tried with everything connected."""
    record = unit(
        step("T01", "back panel"),
        step("T02", "chassis", "lifted out"),
        step("T03", "valve", inside="CH"),
        step("T04", "lamp", "loosened only", inside="CH"),
        sub_assemblies=[lump("CH", "T02")],
        relations=[relation("T01", "T03", "test")],
    )
    lst = refit_list(record)
    assert keys(record) == ["T04", "T04:tighten", "T03", "T02", "T03:test", "T01"]
    assert lst.inside[0].keys == ("T04", "T04:tighten", "T03")
    assert lst.by_key["T03:test"].inside == ""


# --- ticked lines never vanish ----------------------------------------------------------------------------


def ticked(*line_keys: str) -> Refit:
    return Refit(lines=tuple(LineState(line=k, done=True) for k in line_keys))


def test_a_ticked_step_that_would_drop_out_keeps_its_line() -> None:
    before = unit(step("T01", action="recorded only"), step("T02"), step("T03", action="recorded only"))
    assert keys(before) == ["T02"]
    assert keys(before.model_copy(update={"refit": ticked("T01", "T03")})) == ["T03", "T02", "T01"]


def test_a_ticked_tightening_or_test_stays_when_its_relation_is_taken_back() -> None:
    record = unit(*free("T01", "T02"), refit=ticked("T02:tighten", "T01:test"))
    assert set(keys(record)) == {"T01", "T01:test", "T02", "T02:tighten"}


def test_what_was_ticked_at_a_line_that_is_gone_is_said() -> None:
    record = unit(*steps(1), refit=ticked("T01", "T09", "T01/L"))
    assert [n.step for n in refit_list(record).gone] == ["T09", "T01/L"]
    assert "it was ticked" in refit_list(record).gone[0].sentence


# --- how free ---------------------------------------------------------------------------------------------


def test_lines_of_one_depth_are_free_of_each_other() -> None:
    record = unit(*free("T01", "T02", "T03", "T04"), relations=[relation("T01", "T03"), relation("T02", "T03")])
    assert free_of_each_other(record) == (("T04", "T03"), ("T02", "T01"))
    assert free_of_each_other(unit(*steps(4))) == ()
