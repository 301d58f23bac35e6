"""A table lamp whose earth is to be measured before the base goes on: said at the bench, met on the way back.

Worked by hand. It comes apart

    T01  plug          T02  base plate, 4 screws M4x10, bag 1      T03  earth wire
    T04  lamp holder, to be measured before T02                    T05  tube, 1 nut M10, bag 2

and goes back the other way round, the measuring right before the base plate, when the wire is soldered:

    A01 check   A02 tube   A03 lamp holder   A04 earth wire   A05 test: ohm and initials   A06 base plate   A07 plug
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import new_unit, on_paper

LINES = (
    "plug, unplugged",
    "base plate, unscrewed, 4 screw M4x10, bag 1",
    "earth wire, unsoldered, W1 green: base plate to holder",
)
HOLD = "lamp holder, unscrewed, hold earth continuity read ohm before "
AFTER_IT = "tube, unscrewed, 1 nut M10, bag 2"


def taken_apart(hand: Hand) -> None:
    new_unit(hand, "table lamp")
    hand.press("2", "teardown", then="[2 teardown]")
    hand.press("b", "bench mode", then="line >")
    for line in LINES:
        hand.answer(line, then=f"kept: {line.partition(',')[0]}")
    hand.type(f"{HOLD}closing", then="Which step closes it?")
    for _ in "closing":
        hand.press("Backspace")
    hand.answer("T02", then="kept: lamp holder")
    hand.answer(AFTER_IT, then="kept: tube")
    hand.press("Esc", "leave", then="What must whoever comes back know?")
    hand.press("Esc", "leave", then="[2 teardown]")


def put_back_as_far_as_it_goes(hand: Hand) -> None:
    """The base plate is not ticked before the earth is read."""
    for line in ("A01", "A02", "A03", "A04"):
        hand.go_to(f"] {line}")
        hand.press("Space", "tick", then=f"{line} ")
    hand.go_to("] A06")
    hand.press("Space", "tick", then="Why tick it?")
    hand.see("A05")
    hand.press("Esc", "cancel")


def measured(hand: Hand) -> None:
    hand.go_to(") A05")
    hand.press("r", "reading", then="ohm")
    hand.answer("0.2", then="A05")


def test_the_earth_is_measured_before_the_base_goes_on(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "book"
    with Hand(book, "2026-03-02 18:00") as hand:
        taken_apart(hand)
        hand.press("5", "reassembly", then="[5 reassembly]")
        put_back_as_far_as_it_goes(hand)
        measured(hand)
        on_list = on_paper(hand, book, "the list to put it back together", "plain text").read_text()
        hand.end()
    tell_keys(hand)
    places = [on_list.index(title) for title in ("A02 tube", "A04 earth wire", "A05", "A06", "A07")]
    assert places == sorted(places)
    assert "HOLD POINT H1, before A06, A07: earth continuity" in on_list
