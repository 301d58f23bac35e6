"""The fronts of a pair of boxes from an empty book: one is drawn, the other one is its mirror image.

Worked by hand, the front 400 long and 200 wide, 12 thick, between sides that are 400 apart:

    left     hole 100 across, its centre 120 from the left and 90 up
    right    the same front, its centre 400 - 120 = 280 from the left and 90 up

While nobody knows how far the sides are apart, the right hole has no place: it is not cut where the left one has it.

The cut list, on the screen and on paper, says of the right one alone of which front it is the mirror image.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, leave_the_bench, new_unit, on_paper

MONDAY = "2026-03-02 18:00"
MIRROR = "mirror of P1 (L)"


def two_fronts(hand: Hand) -> None:
    """The left one with its hole; of the right one only that it mirrors the left."""
    hand.press("6", "case", then="No case to be built yet")
    hand.go_to("No panel yet")
    add(hand, "front, 12 ply, finish 400 x 200, member L, role other", like="add panel", shown="front")
    hand.press("Enter", "all fields", then="openings")
    hand.go_to_field("openings")
    hand.press("Enter", "type or open", then="No openings yet")
    add(hand, "speaker, 120 x 90, diameter 100", shown="speaker")
    hand.press("Esc", "back", then="layers")
    hand.press("Esc", "back", then="[6 case]")
    hand.go_to("P1   front")
    add(hand, "front, member R, mirror of P1", like="add panel", shown="front")


def cut_list(hand: Hand) -> tuple[str, str]:
    """What the cut list on the screen says of the left front, and what of the right one."""
    hand.press("C", "cut list", then="/ cut list")
    hand.see("P1 1 x front", "P2 1 x front", MIRROR)
    hand.see_it_whole()
    left, right = hand.words[hand.words.index("P1 1 x") :].split("P2 1 x")[:2]
    hand.press("Esc", "back", then="[6 case]")
    return left, right


def test_a_front_that_mirrors_the_other_members(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        new_unit(hand, "two speaker boxes")
        hand.press("b", "Go on at the bench", then="line >")
        hand.answer("boxes, pair, unscrewed, each 4 screw 4x20, bag 1", then="kept: boxes")
        leave_the_bench(hand)
        two_fronts(hand)
        before = cut_list(hand)
        hand.go_to("Nothing is held yet")
        add(hand, "inside width, 400", like="add held size", shown="inside width")
        after = cut_list(hand)
        sheet = " ".join(on_paper(hand, book, "the case sheet", "plain text").read_text().split())
        hand.end()
    tell_keys(hand)
    for left, right in (before, after):
        assert "speaker Ø100 at x 120, y 90" in left
        assert MIRROR not in left
        assert "finish 400 x 200 x 12" in right
        assert MIRROR in right
    assert "speaker: as P1, from the right instead of the left" in before[1]
    assert "speaker Ø100 at x 280, y 90" in after[1]
    _, _, on_sheet = sheet.partition("P2 1 x front")
    assert on_sheet.count(f"{MIRROR} speaker Ø100 at x 280, y 90") == 1
