"""A wall cabinet from held sizes to the saw: six panels of two layers, a spoilt part, leftovers back on the pile.

What must be kept is the room inside, W x H x D = 300 x 200 x 150, plus or minus 0.5. Each panel is two sheets glued
face to face, 8.8 and 3.2 by calliper: T = 12.0. Top and bottom lie in rabbets of the sides, 6 deep. The front is let
in, 5 behind the front edges, 0.5 clear all round. The back lies in a rabbet 6 deep, its inner face 12 in from the back
edges, and is 1 smaller than its room. Left on until the pressed panel is trued: 3 at each edge.

    outside   300 + 2 x 12 = 324    200 + 2 x 12 = 224    5 + 12 + 150 + 12 = 179

    panel            finish                                  rough, 6 more each way
    top, bottom      300 + 2 x 6 = 312 x 179                 318 x 185
    left, right      200 + 2 x 12 = 224 x 179                230 x 185
    front            300 - 1 = 299 x 199                     305 x 205
    back             300 + 2 x 6 - 1 = 311 x 211             317 x 217

Of each thickness there are three pieces. 5 go off one long edge and one end of each, every cut takes 3:

    660 x 195   5 + 318 + 3 + 318 + 3 = 647 of 660   2 x 318 x 185 / (660 x 195) = 117660 / 128700 = 91.4 %
    480 x 195   5 + 230 + 3 + 230 + 3 = 471 of 480   2 x 230 x 185 / (480 x 195) =  85100 /  93600 = 90.9 %
    650 x 300   5 + 317 + 3 + 305 + 3 = 633 of 650   (317 x 217 + 305 x 205) / (650 x 300) = 131314 / 195000 = 67.3 %
                left in one piece: 650 - 5 = 645 x 300 - 5 - 217 - 3 = 75, more than the 50 x 300 worth keeping

No other division holds all twelve: the front and the back are wider than 190, so both are cut from the 300; of the four
others the 480 holds two only when they are the sides.

The thick layer of the front is spoilt. What is left is 75 wide, so it finds no place until a piece of 400 x 230 comes:
5 + 305 + 3 = 313 of 400, 305 x 205 / (400 x 230) = 62525 / 92000 = 68.0 %, 400 - 5 - 305 - 3 = 87 beside it is nothing
to keep.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, fill, new_unit, on_paper, pick, to_the_bench

MONDAY = "2026-03-02 18:00"
MOST_KEYS_OF_A_CASE = 250
PIECES = ("660 x 195", "480 x 195", "650 x 300")
FINISHED = {
    "top": ("312 x 179", "318 x 185"),
    "bottom": ("312 x 179", "318 x 185"),
    "left side": ("224 x 179", "230 x 185"),
    "right side": ("224 x 179", "230 x 185"),
    "front": ("299 x 199", "305 x 205"),
    "back": ("311 x 211", "317 x 217"),
}
USED = (("O01", "used 647 of 660", "91.4"), ("O02", "used 471 of 480", "90.9"), ("O03", "used 633 of 650", "67.3"))


def planned(hand: Hand) -> None:
    """Held sizes, how it is joined, six panels of two layers, two openings."""
    hand.press("6", "case", then="No case to be built yet")
    add(hand, "width, 300, plus 0.5, minus 0.5", like="add held size", shown="width")
    add(hand, "height, 200", key="=", like="one like it", shown="height")
    add(hand, "depth, 150", key="=", like="one like it", shown="depth")
    hand.go_to("No plan yet")
    hand.press("Enter", "all fields", then="front set back")
    for end in ("top", "bottom"):
        hand.go_to_field(end)
        hand.press("Enter", "type or open", then="slack")
        pick(hand, "kind", "rabbet")
        fill(hand, "depth", "6")
        hand.press("Esc", "back", then="front set back")
    pick(hand, "front", "let in between")
    fill(hand, "front set back", "5")
    pick(hand, "back", "in a rabbet")
    fill(hand, "back set in", "12")
    hand.press("Esc", "back", then="No panel yet")
    hand.go_to("No panel yet")
    add(hand, "top, 9 ply 8.8 + 3 ply 3.2", like="add panel", shown="top")
    for name in list(FINISHED)[1:]:
        add(hand, name, key="=", like="one like it", shown=name)
    hand.go_to("P5   front")
    hand.press("Enter", "all fields", then="openings")
    hand.go_to_field("openings")
    hand.press("Enter", "type or open", then="No openings yet")
    add(hand, "knob, 150 x 60, diameter 10", shown="knob")
    add(hand, "window, 150 x 130, 120 x 40", shown="window")
    hand.press("Esc", "back", then="layers")
    hand.press("Esc", "back", then="[6 case]")


def pile_written(hand: Hand) -> None:
    hand.press("s", "store", then="The store is empty")
    hand.go_to("settings")
    hand.press("Enter", "open", then="kerf")
    fill(hand, "kerf", "3")
    fill(hand, "trim", "5")
    hand.press("Esc", "back", then="The store is empty")
    hand.press("P", "scrap pile", then="The scrap pile is empty")
    for number, (sheet, size) in enumerate(
        ((sheet, size) for sheet in ("9 ply, {}, 8.8", "3 ply, {}, 3.2") for size in PIECES), 1
    ):
        hand.press("a", "add", then="piece")
        hand.answer(sheet.format(size), then=f"O{number:02d} is on the pile")


def test_a_cabinet_from_held_sizes_to_the_saw(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        new_unit(hand, "wall cabinet")
        before = hand.keys - hand.looked_up
        planned(hand)
        keys_of_the_case = hand.keys - hand.looked_up - before
        hand.see("All 3 held dimensions hold. Outside 324 x 224 x 179.")
        for name, sizes in FINISHED.items():
            hand.see_figure(name, *sizes)
        to_the_bench(hand)
        pile_written(hand)
        to_the_bench(hand)
        hand.press("Enter", "open")
        hand.press("6", "case", then="[6 case]")
        laid_out(hand)
        cut_sheet = on_paper(hand, book, "cut sheets", "plain text").read_text()
        sawn(hand)
        hand.end()
    tell_keys(hand)
    for piece, used, share in USED:
        assert f"{piece} 9 ply 8.8" in cut_sheet
        assert f"{used}   {share} %" in cut_sheet
    assert keys_of_the_case <= MOST_KEYS_OF_A_CASE


def laid_out(hand: Hand) -> None:
    """All parts on the pile, as worked by hand, and kept."""
    hand.press("L", "Lay the parts of a unit out", then="6 pieces, all 12 panels placed, nothing to buy")
    hand.see("It cannot be done with fewer pieces.")
    for piece, said in (
        ("O01", "13 mm of the length left over"),  # 660 - 647
        ("O02", "9 mm of the length left over"),  # 480 - 471
        ("O03", "keep O03b 645 x 75"),
    ):
        on_piece(hand, piece)
        hand.see(said)
    hand.press("Enter", "keep it", then="Kept.")
    hand.press("Esc", "back", then="[6 case]")


def on_piece(hand: Hand, piece: str) -> None:
    """Go from piece to piece until this one is drawn; where all are, to a cut of it."""
    if "─ Pieces ─" in hand.screen:
        hand.go_to(piece)
        return
    for _ in range(2 * len(PIECES)):
        drawn = re.search(r"Cuts of (\S+?)─", hand.screen)
        assert drawn is not None, "no piece is drawn"
        if drawn[1] == piece:
            return
        hand.press("Right", "The next piece")
        hand.see_gone(drawn[0])
    raise AssertionError(f"{piece} is not among the pieces.")


def sawn(hand: Hand) -> None:
    """Cut one piece, spoil a part of it, find another piece, and cut all that is left."""
    hand.press("L", "Lay the parts of a unit out", then="Kept.")
    on_piece(hand, "O03")
    hand.press("f", "Every cut of this piece is made", then="O03 is cut; back on the pile: O03b 645 x 75.")
    hand.press("x", "spoilt", then="Its code")
    hand.answer("P5.1", then="NO ROOM for 1")
    hand.see("15 mm too narrow on O01", "130 mm too narrow on O03b")  # 5 + 205 - 195; 205 - 75, one edge is true
    hand.see("at least 310 x 210")
    to_the_bench(hand)
    hand.press("s", "store")
    hand.press("P", "scrap pile", then="/ scrap pile")
    hand.see_figure("O03b", "645 x 75")
    hand.press("a", "add", then="piece")
    hand.answer("9 ply, 400 x 230, 8.8", then="is on the pile")
    hand.press("L", "layout", then="NO ROOM for 1")
    hand.press("L", "Lay out again", then="6 pieces, all 11 panels placed, nothing to buy")
    on_piece(hand, "O07")
    hand.see("87 mm of the length left over")
    for piece in ("O07", "O01", "O02", "O04", "O05", "O06"):
        on_piece(hand, piece)
        hand.press("f", "Every cut of this piece is made", then=f"{piece} is cut")
    hand.see("back on the pile: O06b 645 x 75.")
    hand.press("Esc", "back", then="2 pieces, 0.10 m²")  # 2 x 645 x 75 = 0.09675 m2
    hand.see_figure("O03b", "645 x 75")
    hand.see_figure("O06b", "645 x 75")
