"""A handed pair from an empty book: what is true of the left door is never said of the right one.

Worked by hand:

    doors   each 2 hinge screws = 4 holes; right 1 lost at the bench
            left: 2 found from bag 5, left-hand thread, shim 0.5 below
            right: 2 found, 1 of them lost: 1 from bag 6 and 1 new
            4 holes, 4 found = 3 to use again + 1 lost; the refit takes 4, 3 old and 1 new
    plate   2 screws, bag 7
    arms    earth read at each: left 0.1 ohm by AB; right not read, nothing more comes off, then passed without for a
            reason; on the way back the right one is to be read before what covers it, the left one is told as read
    links   play read at each, both left open, then answered in one: left 0.3, right 0.4 by AB
    cord    the entry bush goes on first, as a line of its own before the cord
"""

from __future__ import annotations

from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import leave_the_bench, new_unit, on_paper

DOORS = (
    "doors, pair, unscrewed, each 2 hinge screw 3x16, bags 5 (left) and 6 (right), right 1 lost, "
    "left left-hand thread, left note shim 0.5 below"
)
ARMS = "arms, unscrewed, each LR, left hold earth read ohm reading 0.1 by AB, right hold earth read ohm, no fasteners"
PLATE = "plate, unscrewed, 2 screw 4x20, bag 7, hold proved dead read voltage reading 0.4 V by AB"
LINKS = "links, unscrewed, each hold play read mm, no fasteners"
CORD = "cord, unsoldered, wire W1 from tag 2 to plug, first on entry bush"
ONLY_LEFT = "LEFT-HAND THREAD at L only: it tightens anticlockwise. At R it tightens clockwise."


def test_a_handed_pair_is_said_as_it_is_on_every_paper(tmp_path: Path) -> None:
    book = tmp_path / "book"
    with Hand(book, "2026-03-02 18:00") as hand:
        new_unit(hand, "pair of doors")
        hand.press("b", "Go on at the bench", then="line >")
        hand.answer(DOORS, then="kept: doors")
        hand.answer(ARMS, then="HOLD H2 for R is open: earth")
        hand.answer(PLATE, then="HOLD H2 for R at T02")
        hand.answer("because the meter is away", then="kept: plate")
        hand.answer(LINKS, then="HOLD H4 for L is open: play")
        hand.answer(CORD, then="HOLD H4 for L at T04")
        hand.answer("left 0.3, right 0.4 by AB", then="kept: cord")
        leave_the_bench(hand)
        listed = " ".join(on_paper(hand, book, "reassembly    the list", "text").read_text().split())
        record = " ".join(on_paper(hand, book, "record        the build", "text").read_text().split())
        labels = on_paper(hand, book, "labels        labels", "text").read_text()
        hand.end()
    assert ONLY_LEFT in listed
    assert "[ ] L [ ] R" in listed
    assert "1 hinge screw 3x16 (lost at the bench, for R) NOT HERE" in listed
    assert "Fasteners: 6 holes, 6 found = 5 to use again + 0 to renew + 0 scrap + 1 lost." in listed
    assert ONLY_LEFT in record
    for words in (
        "L: bag 5",
        "L: shim 0.5 below",
        "R: 1 hinge screw 3x16, reuse, bag 6",
        "R: 1 hinge screw 3x16, lost",
    ):
        assert words in record, words
    assert "HOLD H1 for L of the teardown: earth, read 0.1, initials AB. It is worth reading again here." in listed
    assert "HOLD H2 for R of the teardown: earth. It was passed by then, because the meter is away." in listed
    assert "HOLD POINT H2 for R, before" in listed, "the reason for going on is no reading"
    for words in ("H4 for L of the teardown: play, read 0.3", "H5 for R of the teardown: play, read 0.4"):
        assert words in listed, words
    assert "first: entry bush, before cord (T05)" in listed
    for words in ("L: hold point earth: read 0.1, by AB", "R: hold point earth: gone on without, because the meter"):
        assert words in record, words
    assert "hold point proved dead: read 0.4 V, by AB" in record
    bag_5, bag_6 = labels[labels.index("BAG 5") :].split("BAG 6")[:2]
    assert "LEFT-HAND THREAD" in bag_5
    assert "LEFT-HAND THREAD" not in bag_6.split("BAG 7")[0]
