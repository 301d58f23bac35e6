"""A cabinet for two things one above the other, from an empty book to its sheet on paper.

Held are the width 300, the depth 150, and two clear heights: 120 below the shelf for the one thing and 100 above it for
the other. All is 12 thick, the back 6. Top and bottom stand between the sides, the back lies in a rabbet 6 deep; the
bottom ends at the back, which runs on down over its edge.

    inside    120 + 12 + 100 = 232 high        side     232 + 12 + 12 = 256 x 150 + 6 = 156
    top       300 x 156                        bottom   300 x 150, short of the back
    shelf     300 x 150                        back     300 + 2 x 6 - 1 = 311 x 232 + 12 + 6 - 0.5 = 249.5
    outside   300 + 2 x 12 = 324 x 256 x 156

A foot bolt of 30 goes up through the bottom with a washer of 2, its head 5 deep in a counterbore 14 wide:

    left under the head   12 - 5 = 7           grip     2 + 12 - 5 = 9, leaves 30 - 9 = 21 of 30

The shelf turns out to be 15 thick: the inside becomes 120 + 15 + 100 = 235 high, the sides 259. One z takes that back.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, fill, new_unit, on_paper, pick

MONDAY = "2026-03-02 18:00"


def held_and_planned(hand: Hand) -> None:
    """What is held, how it is joined, six panels."""
    hand.press("6", "case", then="No case to be built yet")
    add(hand, "inside width, 300, plus 0.5, minus 0.5", like="add held size", shown="inside width")
    add(hand, "inside depth, 150", key="=", like="one like it", shown="inside depth")
    add(hand, "lower height, 120, plus 0.5, minus 0.5, between P2; P5", like="add held size", shown="lower height")
    add(hand, "upper height, 100, plus 0.5, minus 0.5, between P5; P1", like="add held size", shown="upper height")
    hand.go_to("No plan yet")
    hand.press("Enter", "all fields", then="front set back")
    hand.go_to_field("bottom")
    hand.press("Enter", "type or open", then="slack")
    fill(hand, "short", "0")
    hand.press("Esc", "back", then="front set back")
    pick(hand, "back", "in a rabbet")
    hand.press("Esc", "back", then="No panel yet")
    hand.go_to("No panel yet")
    add(hand, "top, 12 ply", like="add panel", shown="top")
    for name in ("bottom", "left side", "right side", "shelf"):
        add(hand, name, key="=", like="one like it", shown=name)
    add(hand, "back, 6 ply", like="add panel", shown="back")


def bolted(hand: Hand) -> None:
    """A foot bolt with its head let in: the hole in the bottom, and what goes through it."""
    hand.go_to("P2   bottom")
    hand.press("Enter", "all fields", then="openings")
    hand.go_to_field("openings")
    hand.press("Enter", "type or open", then="No openings yet")
    add(hand, "foot bolt, 150 x 75, diameter 6, counterbore 14 x 5", shown="foot bolt")
    hand.press("Esc", "back", then="layers")
    hand.press("Esc", "back", then="[6 case]")
    hand.go_to("Nothing goes through yet")
    add(hand, "foot bolt, 30, panel P2, parts 2 washer, need 8", like="add through", shown="foot bolt")


def test_two_held_heights_a_bottom_short_of_the_back_and_a_counterbore(
    tmp_path: Path, tell_keys: Callable[..., None]
) -> None:
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        new_unit(hand, "shelf cabinet")
        held_and_planned(hand)
        hand.see("All 4 held dimensions hold. Outside 324 x 256 x 156.")
        for name, size in (
            ("top", "300 x 156"),
            ("bottom", "300 x 150"),
            ("left side", "256 x 156"),
            ("right side", "256 x 156"),
            ("shelf", "300 x 150"),
            ("back", "311 x 249.5"),
        ):
            hand.see_figure(name, size)
        bolted(hand)
        hand.go_to("P5   shelf")
        hand.press("i", "what if", then="becomes")
        hand.answer("15 P5", then="figures change")
        hand.press("Enter", "keep it", then="Outside 324 x 259 x 156.")
        hand.press("z", "Take back the last change", then="Outside 324 x 256 x 156.")
        sheet = " ".join(on_paper(hand, book, "the case sheet", "plain text").read_text().split())
        hand.end()
    tell_keys(hand)
    for words in (
        "H3 lower height 120 (±0.5) 120 0 holds",
        "H4 upper height 100 (±0.5) 100 0 holds",
        "“foot bolt”: a counterbore 5 deep from the outside in 12 leaves 7 under the head",
        "foot bolt: 30 long, grip 2 + 12 - 5 let in = 9; 21 left for the nut, at least 8 wanted",
        "finish 311 x 249.5 x 6",
    ):
        assert words in sheet
