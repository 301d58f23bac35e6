"""The lesson from its first task to its last, by the keys that its line names, and what it leaves behind.

T01  base cover   4 holes, 3 screws M4x10 found     bag 1
T02  cord         1 grommet, to be new              bag 2     W1 brown from the cord to the switch
T03  switch       2 screws M3x8                     bag 3

holes   4 + 1 + 2 = 7      from the bags   3 + 2 = 5      new   1 screw + 1 grommet = 2      5 + 2 = 7
lines   the bags counted, switch, cord, base cover, the audit = 5
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import on_paper, to_the_bench

MONDAY = "2026-03-02 18:00"
SMALL = {"rows": 20, "columns": 60}
"""Its first half; the second has the usual size of a terminal."""


def an_object_comes_in(hand: Hand) -> None:
    hand.see("LESSON 1 of 8")
    hand.press("n", "a new object", then="What is it?")
    hand.answer("desk lamp", then="Its code")
    hand.enter(then="From what does it begin?")
    hand.see("Type “empty”, Enter: an empty record.")
    hand.type("empty", then="an empty record")
    hand.enter(then="[1 arrival]")
    hand.see("LESSON 2 of 8")
    hand.press("c", "the class of object", then="Of which class is it?")
    hand.type("plug", then="anything with a plug")
    hand.press("Enter", "take it", then="LESSON 3 of 8")


def it_comes_apart(hand: Hand) -> None:
    hand.press("b", "opens bench mode", then="line >")
    hand.see("“base cover, unscrewed, 4/3 screw M4x10, bag 1”, Enter.")
    hand.answer("base cover, unscrewed, 4/3 screw M4x10, bag 1", then="LESSON 4 of 8")
    hand.see("“cord, unscrewed, W1 brown: cord to switch 1, 1 grommet renew, bag 2”, Enter.")
    hand.answer("cord, unscrewed, W1 brown: cord to switch 1, 1 grommet renew, bag 2", then="LESSON 5 of 8")


def gone_on_with(hand: Hand) -> None:
    """Another evening: the task that was left is the one that is asked for."""
    hand.see("LESSON 5 of 8")
    hand.press("b", "opens bench mode", then="line >")
    hand.answer("switch, two screws, unscrewed, 2 screw M3x8, bag 3", then="LESSON 6 of 8")
    hand.press("Esc", "leaves the bench", then="It is left half done.")
    hand.press("Esc", "leave", then="1 unit")
    hand.press("Enter", "opens the lamp", then="[2")
    hand.press("D", "shows the dangers", then="mains voltage")
    hand.see("not proved safe")
    hand.press("Enter", "prove it safe", then="What was measured?")
    hand.answer("0.3 V", then="With what?")
    hand.answer("meter", then="Initials")
    hand.enter(then="LESSON 7 of 8")


def it_goes_back(hand: Hand) -> None:
    hand.press("Esc", "goes back", then="[2")
    hand.press("4", "goes to the costs", then="[4")
    hand.press("m", "shows what is to buy", then="2 things to get")
    hand.see_under_the_cursor("grommet")
    hand.press("h", "the grommet is here", then="not known")
    hand.enter(then="LESSON 8 of 8")
    hand.press("Esc", "goes back", then="[4")
    hand.press("5", "is the list that puts it back together", then="The same steps in reverse.")
    hand.press("Space", "ticks the first line", then="LESSON DONE")


def test_the_lesson_from_start_to_end(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "lesson"
    with Hand(book, MONDAY, command="lesson", **SMALL) as hand:
        an_object_comes_in(hand)
        it_comes_apart(hand)
        hand.press("Esc", "leave", then="It is left half done.")
        hand.press("Esc", "leave", then="[1")
        hand.end()
    with Hand(book, "2026-03-03 18:00", command="lesson") as other:
        gone_on_with(other)
        it_goes_back(other)
        other.see("1 of 5 done")
        on_list = on_paper(other, book, "the list to put it back together", "plain text").read_text()
        to_the_bench(other)
        other.end()
    tell_keys(hand, other)
    assert "5 from the bags and 2 new make 7 refitted; difference 0." in on_list


def test_it_never_writes_into_another_book(tmp_path: Path) -> None:
    """A book that was not begun as a lesson is left as it is, and shows no task."""
    own = tmp_path / "own"
    with Hand(own, MONDAY) as hand:
        hand.see("Press n to write down the first object", "lesson")
        hand.see_gone("LESSON")
        hand.press("n", "to write down", then="What is it?")
        hand.answer("clock", then="Its code")
        hand.enter(then="From what does it begin?")
        hand.type("empty", then="an empty record")
        hand.enter(then="[1 arrival]")
        hand.end()
    before = {path: path.read_bytes() for path in own.rglob("*") if path.is_file()}
    with Hand(own, MONDAY, command="lesson") as hand:
        hand.see("is not that of the lesson (it holds C1), and is left alone.")
    assert {path: path.read_bytes() for path in own.rglob("*") if path.is_file()} == before
