"""A desk lamp with two arms comes apart, and goes back by a list on paper.

The right arm differs from the left: it has one washer instead of two, and a bag of its own.
Worked by hand, holes / found:

    T01  plug out        -                                                       mains: unplugged, tag in sight
    T02  base cover      4 / 3 screws M4x10                          bag 1       one was missing on arrival
    T03  prove dead      -                                                       hold on the way back: 1 MOhm at least
    T04  cord            2 screws M4x12, 1 clamp, 1 grommet to renew bag 2
    T05  arms            left: 1 bolt, 2 washers, 1 nut              bag 3
                         right: 1 bolt, 1 washer, 1 nut              bag 4
    T06  lamp holders    2 screws M3x8 on each arm                   bag 5

    holes   4 + 4 + 4 + 3 + 4 = 19      found   3 + 4 + 4 + 3 + 4 = 18
    from the bags   bag 1: 3, bag 2: 3, bag 3: 4, bag 4: 3, bag 5: 4 = 17
    new             1 grommet, 1 screw M4x10 = 2
    refitted        17 + 2 = 19
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, new_unit, on_paper, open_seldom

MONDAY = "2026-03-02 18:00"
MOST_KEYS_OF_A_PROOF = 12
"""Besides what is typed."""
STEPS = (
    "plug out, recorded only, hazard mains voltage, photo",
    "base cover, unscrewed, 4/3 screw M4x10, bag 1",
    "prove dead, measured",
    "cord, unscrewed, 2 screw M4x12, 1 clamp, 1 grommet renew, bag 2",
    "arms, unscrewed, each arms, 1 pivot bolt M6x30, 2 washer M6, 1 lock nut M6, bag 3",
    "lamp holders, unscrewed, each arms, 2 screw M3x8, bag 5",
)


def taken_apart(hand: Hand) -> None:
    new_unit(hand, "desk lamp")
    hand.press("c", "hazard class", then="Of which class is it?")
    hand.type("plug", then="anything with a plug")
    hand.press("Enter", "take it", then="mains voltage")
    hand.press("2", "teardown", then="[2 teardown]")
    hand.press("s", "Repeated sets and handed pairs", then="No sets yet")
    add(hand, "arms, handed pair, left; right", shown="arms")
    hand.press("Esc", "back", then="[2 teardown]")
    hand.press("b", "bench mode", then="line >")
    for line in STEPS:
        hand.answer(line, then=f"kept: {line.partition(',')[0]}")
    hand.press("Esc", "leave", then="What must whoever comes back know?")
    hand.press("Esc", "leave", then="[2 teardown]")
    hand.go_to("T05")
    hand.press("Enter", "all fields", then="each of set")
    open_seldom(hand, "differences")
    hand.press("Enter", "type or open", then="No differences yet")
    add(hand, "right, bag 4", shown="right")
    hand.press("Enter", "open", then="differences / 1")
    hand.go_to_field("fasteners")
    hand.press("Enter", "type or open", then="No fasteners yet")
    for line in ("pivot bolt M6x30, 1, 1", "washer M6, 1, 1", "lock nut M6, 1, 1"):
        add(hand, line)
    for place in ("differences / 1", "/ differences", "/ T05", "[2 teardown]"):
        hand.press("Esc", "back", then=place)


def held_back(hand: Hand) -> None:
    """On the way back the insulation is measured before the base is closed."""
    hand.go_to("T03")
    hand.press("Enter", "all fields", then="/ T03")
    open_seldom(hand, "refit")
    hand.press("Enter", "type or open", then="sequence")
    hand.go_to_field("hold")
    hand.press("Enter", "type or open")
    hand.answer("insulation, reading of MOhm, limit at least 1 MOhm", then="Kept: ")
    hand.press("Esc", "back", then="certainty")
    hand.press("Esc", "back", then="[2 teardown]")


def asked_before_a_tick(hand: Hand) -> None:
    """Nothing was proved dead yet: the first line of the list is not ticked by a slip."""
    hand.press("5", "reassembly", then="[5 reassembly]")
    hand.go_to("] A01")
    hand.press("Space", "tick", then="Enter keep")
    hand.see("A01 not proved safe. Why tick it?", "Esc, then D proves it safe.", "Esc cancel")
    hand.press("Esc", "cancel")
    hand.see("] A01")
    hand.press("2", "teardown", then="[2 teardown]")


def proved_dead(hand: Hand) -> None:
    """From the table of steps, not from the bench: what was measured, with what, by whom."""
    before = hand.keys - hand.looked_up
    hand.press("D", "dangers", then="Dangers in force")
    hand.see("mains voltage", "not proved safe")
    hand.press("Enter", "prove safe", then="What was measured?")
    hand.answer("0.3 V", then="With what?")
    hand.answer("meter", then="Initials")
    hand.enter(then="proved safe")
    hand.see("0.3 V")
    hand.see_gone("not proved safe")
    hand.press("Esc", "back", then="[2 teardown]")
    assert hand.keys - hand.looked_up - before <= MOST_KEYS_OF_A_PROOF + len("0.3 V" + "meter")


def fetched(hand: Hand) -> None:
    """The grommet and the screw are bought and here."""
    hand.press("4", "costs", then="[4 costs]")
    hand.press("m", "to buy", then="2 things to get")
    for _ in range(2):
        hand.go_to("[ ]")
        standing = hand.lines[1]
        hand.press("h", "here", then="Enter on an empty line: not known")
        hand.press("Enter", "on an empty line")
        hand.see_gone(standing.strip())
    hand.see("Nothing to buy")
    hand.press("Esc", "back", then="[4 costs]")


def put_back(hand: Hand) -> None:
    """One side after the other on the screen, the rest as ticked on paper, with what was read."""
    hand.press("5", "reassembly", then="[5 reassembly]")
    hand.go_to("] A01")
    hand.press("Space", "tick", then="A01 check: bags counted: ticked")
    hand.go_to("] A02")
    hand.press("Space", "tick", then="[x] left")
    hand.press("Space", "tick", then="[x] right")
    hand.press("t", "Tick lines that were ticked on paper", then="As on the paper")
    hand.answer("A03-A04, A05 (2.4 MOhm), A06-A07", then="ticked from paper")
    hand.see("All 7 lines")


def test_a_lamp_with_two_arms(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        taken_apart(hand)
        hand.see("holes 19, found 18")
        held_back(hand)
        asked_before_a_tick(hand)
        proved_dead(hand)
        hand.press("5", "reassembly", then="[5 reassembly]")
        on_list = on_paper(hand, book, "the list to put it back together", "plain text").read_text()
        fetched(hand)
        put_back(hand)
        hand.end()
    tell_keys(hand)
    assert "17 from the bags and 2 new make 19 refitted; difference 0." in on_list
    for bag, pieces in ((1, 3), (2, 3), (3, 4), (4, 3), (5, 4)):
        assert f"[ ] bag {bag} empty  held {pieces}:" in on_list
    assert "right: its own pieces: 1 pivot bolt M6x30, 1 washer M6 and 1 lock nut" in on_list
    assert "HOLD POINT H1, before A06, A07: insulation" in on_list
    assert on_list.index("WARNING  mains voltage") < on_list.index("[ ] A01")
