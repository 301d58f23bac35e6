"""A standard lamp is taken apart at the bench, and at the desk on a copy of the book; both become one record again.

Both copies begin with T01 plug out and T02 base plate. Then, on the evening of 2 March 2026:

    bench   T03 .. T14   twelve steps, at 18:10, 18:20, ... 20:00     bags 11 .. 22
    desk    T03 .. T08   six steps,    at 18:15, 18:35, ... 19:55     bags 31 .. 36

Six numbers, T03 .. T08, were given twice. The bench parted first, so its steps keep them, and those of the desk get the
next free ones, T15 .. T20. By time, a step of the desk stands behind the first bench step of each 20 minutes:

    T01 T02 T03 T15 T04 T05 T16 T06 T07 T17 T08 T09 T18 T10 T11 T19 T12 T13 T20 T14

2 + 12 + 6 = 20 steps. The bag of T02 was changed on both sides, to 4 and to 5: one question. To look at: six numbers on
bags.

A chair, of which both sides began bag 5, and whose bags were counted and ticked before the copies met:

    both    arm,  2 screws, bag 1     seat, 2 screws, bag 2
    bench   back, 4 screws, bag 5     A01 "bags counted" ticked
    desk    foot, 4 screws, bag 5

Told apart, the foot goes into bag 6: 2 + 2 + 4 + 4 = 12 screws in bags 1, 2, 5 and 6, and A01 is to be looked at again.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

from logbook.model.unit import Unit
from logbook.session import Session
from tests.journeys.hand import Hand
from tests.journeys.usual import fill, new_unit, to_the_bench

DAY = "2026-03-02"
BENCH = [*(f"18:{minute}" for minute in range(10, 60, 10)), *(f"19:{n}0" for n in range(6)), "20:00"]
DESK = ["18:15", "18:35", "18:55", "19:15", "19:35", "19:55"]
BY_TIME = [1, 2, 3, 15, 4, 5, 16, 6, 7, 17, 8, 9, 18, 10, 11, 19, 12, 13, 20, 14]
"""Numbers of the steps, T01 and so on."""


def begun(book: Path) -> None:
    """What both copies have in common."""
    with Hand(book, f"{DAY} 17:00") as hand:
        new_unit(hand, "standard lamp")
        hand.press("2", "teardown", then="[2 teardown]")
        hand.press("b", "bench mode", then="line >")
        for line in ("plug out, recorded only", "base plate, unscrewed, 3 screw M4x10"):
            hand.answer(line, then=f"kept: {line.partition(',')[0]}")
        hand.press("Esc", "leave", then="What must whoever comes back know?")
        hand.press("Esc", "leave", then="[2 teardown]")
        hand.end()


def went_on(book: Path, side: str, clock: Iterable[str], first_bag: int, bag_of_base: str) -> None:
    """One side alone: so many steps, and another bag for the base plate."""
    with Hand(book, f"{DAY} 18:00") as hand:
        hand.press("Enter", "open", then="[2 teardown]")
        hand.press("b", "bench mode", then="line >")
        for number, at in enumerate(clock):
            hand.set_clock(f"{DAY} {at}")
            hand.answer(
                f"{side} piece {number}, unscrewed, bag {first_bag + number}", then=f"kept: {side} piece {number}"
            )
        hand.press("Esc", "leave", then="What must whoever comes back know?")
        hand.press("Esc", "leave", then="[2 teardown]")
        hand.go_to("T02")
        hand.press("Enter", "all fields", then="/ T02")
        fill(hand, "bag", bag_of_base)
        hand.press("Esc", "back", then="[2 teardown]")
        hand.end()


def record_of(book: Path) -> Unit:
    with Session.open(book, now=lambda: datetime(2026, 3, 3, tzinfo=UTC), read_only=True) as session:
        (code,) = session.codes()
        return session.unit(code)


def is_whole(record: Unit) -> None:
    """Every step of both sides, by time, each with its own bag."""
    assert [step.code for step in record.steps] == [f"T{number:02d}" for number in BY_TIME]
    bags = {f"bench piece {n}": str(11 + n) for n in range(12)} | {f"desk piece {n}": str(31 + n) for n in range(6)}
    assert {step.what: step.bag for step in record.steps[2:]} == bags


def test_two_copies_apart_are_joined_by_keyboard(tmp_path: Path) -> None:
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    begun(bench)
    shutil.copytree(bench, desk)
    went_on(bench, "bench", BENCH, 11, "4")
    went_on(desk, "desk", DESK, 31, "5")
    before = record_of(bench)
    with Hand(bench, f"{DAY} 21:00") as hand:
        hand.press("!", "What the disk refused", then="Everything is kept")
        hand.press("J", "join", then="Join with")
        hand.type(str(desk))
        hand.enter(then="Joining with desk would change 1 record. Nothing was changed yet.")
        hand.see("NEW NUMBERS", "T03 desk piece 0 is T15 now: write it on bag 31.")
        hand.press("Enter", "join", then="question 1 of 1")
        assert " │ " in hand.line_with("1  here: AB")
        hand.press("1", "left", then="Joined with desk: 1 record.")
        joined = record_of(bench)
        is_whole(joined)
        assert joined.steps[1].bag == "4", "as it was chosen"
        hand.see("The number T03 was given twice. T03 desk piece 0 is T15 now: write it on")
        hand.go_to("The number T03")
        hand.press("Enter", "open", then="Look at this, then f takes it off the list.")
        hand.press("f", "finished", then="Settled; z takes it back.")
        hand.see_gone("The number T03 was given twice")
        hand.press("z", "Take back the last change", then="The number T03 was given twice")
        hand.press("z", "Take back the last change")
        hand.see_gone("The number T03 was given twice")
        assert record_of(bench) == before
        to_the_bench(hand)
        hand.end()


def git(folder: Path, *words: str) -> None:
    who = ["-c", "user.name=AB", "-c", "user.email=ab@example.org"]
    subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True)


def test_two_copies_apart_come_together_through_version_control(tmp_path: Path) -> None:
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    begun(bench)
    git(bench, "init", "-q", "-b", "main")
    git(bench, "add", "-A")
    git(bench, "commit", "-q", "-m", "begun")
    git(tmp_path, "clone", "-q", str(bench), str(desk))
    went_on(bench, "bench", BENCH, 11, "4")
    went_on(desk, "desk", DESK, 31, "5")
    for book in (bench, desk):
        git(book, "add", "-A")
        git(book, "commit", "-q", "-m", "an evening")
    git(bench, "pull", "-q", "--no-rebase", str(desk), "main")
    with Hand(bench, f"{DAY} 21:00") as hand:
        hand.see("L1 is joined with its other copy, 7 things to look at. ! shows all.")
        hand.press("!", "shows all", then="To look at after joining")
        is_whole(record_of(bench))
        hand.go_to("step T02, its bag")
        hand.press("Enter", "open", then="Which one holds?")
        hand.press("1", "left", then="Settled; z takes it back.")
        assert record_of(bench).steps[1].bag == "4"
        to_the_bench(hand)
        hand.end()


def bench_mode(hand: Hand, *lines: str) -> None:
    """From the teardown into bench mode, some steps, and out again."""
    hand.press("b", "bench mode", then="line >")
    for line in lines:
        hand.answer(line, then=f"kept: {line.partition(',')[0]}")
    hand.press("Esc", "leave", then="What must whoever comes back know?")
    hand.press("Esc", "leave", then="[2 teardown]")


def chair_begun(book: Path) -> None:
    with Hand(book, f"{DAY} 17:00") as hand:
        new_unit(hand, "garden chair")
        hand.press("2", "teardown", then="[2 teardown]")
        bench_mode(hand, "arm, unscrewed, 2 screw M6x40, bag 1", "seat, unscrewed, 2 screw M6x30, bag 2")
        hand.end()


def chair_went_on(book: Path, at: str, line: str, *, counted: bool = False) -> None:
    with Hand(book, f"{DAY} {at}") as hand:
        hand.press("Enter", "open", then="[2 teardown]")
        bench_mode(hand, line)
        if counted:
            hand.press("5", "reassembly", then="[5 reassembly]")
            hand.go_to("] A01")
            hand.press("Space", "tick", then="A01 check: bags counted: ticked")
        hand.end()


def test_a_bag_that_both_began_is_told_apart_and_a_tick_is_looked_at_again(tmp_path: Path) -> None:
    bench, desk = tmp_path / "bench", tmp_path / "desk"
    chair_begun(bench)
    shutil.copytree(bench, desk)
    chair_went_on(bench, "18:10", "back, unscrewed, 4 screw M6x20, bag 5", counted=True)
    chair_went_on(desk, "19:10", "foot, unscrewed, 4 screw M6x20, bag 5")
    with Hand(bench, f"{DAY} 21:00") as hand:
        hand.press("!", "What the disk refused", then="Everything is kept")
        hand.press("J", "join", then="Join with")
        hand.type(str(desk))
        hand.enter(then="Joining with desk would change 1 record. Nothing was changed yet.")
        hand.press("Enter", "join", then="Joined with desk: 1 record.")
        hand.go_to("Bag 5 was begun on both sides")
        hand.press("Enter", "open", then="One bag or two?")
        hand.press("2", "right", then="Enter keep")
        hand.enter(then="Two bags: 5 and 6. Write 6 on it.")
        hand.see("T03 foot is T04 now: write it on bag 6.")
        hand.press("Esc", "back")
        hand.see("LOOK AGAIN")
        hand.press("Enter", "open", then="[2 teardown]")
        hand.press("5", "reassembly", then="[5 reassembly]")
        hand.go_to("A01")
        hand.see("LOOK AGAIN", "changed since it was ticked: the pieces")
        hand.press("Space", "tick", then="looked at again")
        hand.see_gone("LOOK AGAIN")
        hand.end()
    steps = record_of(bench).steps
    assert [step.bag for step in steps] == ["1", "2", "5", "6"]
    assert sum(fastener.found or 0 for step in steps for fastener in step.fasteners) == 12
