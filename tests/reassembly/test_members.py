"""What is true of one member of a set is said of that member only: on the list, on paper, on labels, in the record."""

from __future__ import annotations

from datetime import timedelta

import pytest

from logbook.costing import bill_of_materials, cost_views
from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.members import left_hand_words
from logbook.model.shop import Shop
from logbook.model.step import FastenerDetail, MemberDifference, RefitNotes, Step
from logbook.model.unit import LineState, Refit, Unit
from logbook.model.words import Certainty, RelationKind
from logbook.reassembly import (
    Progress,
    ledger,
    lines_to_look_at_again,
    readiness,
    refit_list,
    tick,
    tick_from_paper,
    write_reading,
)
from logbook.render.build_record import build_record_page
from logbook.render.labels import LabelKind, labels_of
from logbook.render.reassembly_list import reassembly_text
from tests.builders import at, fastener, handed_pair, hold, one_way, relation, screws, step, unit

NOW = at("2026-03-17 18:30")
LEFT_NUT = fastener("nut M12", detail=FastenerDetail(left_hand=True))


def wheel(*differences: MemberDifference, **more: object) -> Step:
    return step("T05", "wheel", fasteners=[fastener("nut M12")], each_of="LR", differences=differences, **more)


def pair(*differences: MemberDifference, **more: object) -> Unit:
    return unit(wheel(*differences, **more), sets=[handed_pair()])


def paper(of: Unit) -> str:
    listed = refit_list(of)
    return reassembly_text(of, listed, readiness(of, listed, NOW), version=1, kept_at=NOW, now=NOW)


def build_record(of: Unit) -> str:
    shop = Shop()
    page = build_record_page(
        of,
        shop,
        refit_list(of),
        ledger(of),
        bill=bill_of_materials(of, shop, NOW.date()),
        views=cost_views(of, shop, NOW.date()),
        version=1,
        kept_at=NOW,
        now=NOW,
        width=200,
    )
    return page.text()


ONLY_LEFT = "LEFT-HAND THREAD at L only: it tightens anticlockwise. At R it tightens clockwise."


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (wheel(), ""),
        (wheel(left_hand=True), "LEFT-HAND THREAD: it tightens anticlockwise."),
        (wheel(MemberDifference(member="L", left_hand=True)), ONLY_LEFT),
        (wheel(MemberDifference(member="R", left_hand=False), left_hand=True), ONLY_LEFT),
        (
            wheel(MemberDifference(member="L", fasteners=(LEFT_NUT,))),
            "LEFT-HAND THREAD at L (nut M12) only: it tightens anticlockwise. At R it tightens clockwise.",
        ),
        (
            wheel(*(MemberDifference(member=m, fasteners=(LEFT_NUT,)) for m in "LR")),
            "LEFT-HAND THREAD (nut M12): it tightens anticlockwise.",
        ),
        (
            wheel(MemberDifference(member="L", left_hand=True), MemberDifference(member="R", fasteners=(LEFT_NUT,))),
            "LEFT-HAND THREAD at L; R (nut M12): it tightens anticlockwise.",
        ),
    ],
)
def test_a_left_hand_thread_is_said_of_the_members_that_have_it(of: Step, said: str) -> None:
    assert left_hand_words(of, ("L", "R")) == said
    line = refit_list(unit(of, sets=[handed_pair()])).by_key["T05"]
    assert [x for x in line.what if "LEFT-HAND" in x] == ([said] if said else [])


def test_paper_the_record_and_the_labels_say_the_thread_hand_of_one_member_only() -> None:
    of = pair(
        MemberDifference(member="L", bag="5", left_hand=True),
        MemberDifference(member="R", bag="6"),
    )
    assert ONLY_LEFT in " ".join(paper(of).split())
    assert build_record(of).count(ONLY_LEFT) == 2, "among the cautions and at its step"
    loud = {label.code: label.loud for label in labels_of(of, Shop(), [LabelKind.BAG])}
    assert loud == {"R1 BAG 5": "LEFT-HAND THREAD", "R1 BAG 6": ""}


def test_a_bag_of_both_says_whose_thread_is_left_hand() -> None:
    of = pair(MemberDifference(member="L", left_hand=True), bag="5")
    assert {label.loud for label in labels_of(of, Shop(), [LabelKind.BAG])} == {"LEFT-HAND THREAD at L only"}


def test_the_build_record_has_each_member_with_what_is_its_own() -> None:
    of = pair(
        MemberDifference(member="L", bag="5", note="shim 0.8 under the rear foot", certainty=Certainty.GUESS),
        MemberDifference(
            member="R",
            bag="6",
            fasteners=(screws(3, 2, "screw M6x20"),),
            as_found_wrong=True,
            as_found="washer inside",
            should_be="washer outside",
        ),
        one_way=one_way("riveted", measured=True, traced=True),
        certainty=Certainty.THINK_SO,
        certainty_note="which way round",
    )
    said = build_record(of)
    found = said[said.upper().index("WHAT WAS FOUND") :]
    for words in (
        "for each of L, R (left and right side); the numbers are for each",
        "L: 1 nut M12, reuse",
        "L: bag 5",
        "L: shim 0.8 under the rear foot",
        "R: 3 holes, 2 found: screw M6x20, reuse, bag 6",
        "one-way (riveted); stop question: measured, traced",
        "R: as found WRONG: washer inside. It should be: washer outside",
        "think so: which way round",
        "L: guess: wheel",
    ):
        assert words in found, words


def test_the_build_record_says_what_the_way_back_alone_asks_for() -> None:
    of = unit(
        step("T01", "grommet", "lifted out"),
        step("T02", "cord", refit=RefitNotes(first=("strain relief",))),
        step("T03", "lamp"),
        relations=[relation("T01", "T02", RelationKind.THREADED), relation("T02", "T03", RelationKind.REFIT)],
    )
    said = build_record(of)
    for words in (
        "goes on first: strain relief",
        "goes on first: grommet (of T01)",
        "goes back after T03",
        "goes back before T02",
    ):
        assert words in said, words


def test_a_guess_at_one_member_is_listed_before_the_start_and_keeps_its_line_back() -> None:
    of = pair(MemberDifference(member="R", certainty=Certainty.GUESS, certainty_note="which hole"), bag="5")
    listed = refit_list(of)
    assert [n.sentence for n in listed.guesses] == ["R: Not settled: which hole."]
    assert readiness(of, listed, NOW)["T05"].missing == ("T05/R is a guess: which hole.",)


def held_pair() -> Unit:
    return pair(bag="5", refit=RefitNotes(hold=hold("H2", "runs free", "run-out")))


def test_each_member_of_a_pair_has_its_own_reading_and_initials_on_paper() -> None:
    of = held_pair()
    said = paper(of)
    assert "L  run-out: reading ____" in said
    assert "R  run-out: reading ____" in said
    read = write_reading(of, "T05/L", "0.04", "AB", NOW)
    said = paper(read)
    assert "L  reading 0.04   initials AB" in said
    assert "R  run-out: reading ____" in said


def test_one_reading_is_no_reading_of_both() -> None:
    of = tick(held_pair(), "check", at=NOW)
    for attempt in (
        lambda: write_reading(of, "T05", "0.04", "AB", NOW),
        lambda: tick(of, "T05", at=NOW, reading="0.04", initials="AB"),
        lambda: tick_from_paper(of, "A02 (0.04)", NOW, "AB"),
    ):
        with pytest.raises(InputError, match=r"A02 is hold point H2 for L and R: write the reading of each"):
            attempt()
    with pytest.raises(InputError, match="write the reading of run-out first"):
        tick_from_paper(of, "A02/L (0.04)", NOW, "AB")
    both = tick_from_paper(of, "A02/L (0.04), A02/R (0.05)", NOW + timedelta(hours=1), "AB").unit
    assert {s.line: s.reading for s in both.refit.lines if s.reading} == {"T05/L": "0.04", "T05/R": "0.05"}
    assert all(s.done for s in both.refit.lines)


def test_a_tick_of_a_book_that_knew_less_of_members_keeps_its_mark() -> None:
    marked = tuple(LineState(line=f"T05/{m}", done=True, at=NOW, step_seen="1631d139d2dd") for m in "LR")
    for left_hand, again in ((None, set()), (True, {"T05"})):
        of = pair(MemberDifference(member="L", bag="5", note="shim", left_hand=left_hand))
        of = with_changes(of, refit=Refit(lines=marked))
        assert lines_to_look_at_again(Progress(of, refit_list(of), NOW)) == again, "as version 1 was marked"
