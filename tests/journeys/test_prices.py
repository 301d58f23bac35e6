"""Is a table fan worth its bearings: prices, something to compare with, a stop line, the parcel, what was paid.

Worked by hand (low / likely / high; expected = (low + 4 x likely + high) / 6):

    mains cord           6.00 /  8.00 / 12.00    ( 6 + 32 + 12) / 6 =  8.3333
    bearings, both       8.00 / 10.00 / 18.00    ( 8 + 40 + 18) / 6 = 11.0000
    one parcel           4.95                                          4.95
    cash to come        18.95 / 22.95 / 34.95    expected             24.2833, shown 24.28
    hours                1.00 /  1.50 /  2.50    ( 1 +  6 + 2.5) / 6 = 1.5833

    a new one           45.00 + 5.00 delivery = 50.00
    gap                 50.00 - 24.2833 = 25.7167, shown 25.72
    per hour            25.7167 / 1.5833 = 16.24
    the stop line of 30.00 is passed by the high case alone: 34.95

The parcel comes three days later, the bearings cost 11.20 by then: 8.00 + 11.20 + 4.95 = 24.15 paid, nothing to come.
The work took 1:20: 80 of 95 minutes expected = 0.84. The decision goes onto paper before anything is ordered.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, new_unit, on_paper, to_the_bench

MONDAY, THURSDAY = "2026-03-02 18:00", "2026-03-05 18:00"
MOST_KEYS_OF_A_SELLER = 30


def seller_written(hand: Hand) -> None:
    """A seller with what a parcel costs and how long it takes."""
    before = hand.keys - hand.looked_up
    hand.press("s", "store", then="The store is empty")
    hand.go_to("sellers")
    add(hand, "post, 4.95, 3 days", shown="post 4.95")
    assert hand.keys - hand.looked_up - before <= MOST_KEYS_OF_A_SELLER
    to_the_bench(hand)


def weighed(hand: Hand) -> None:
    """Parts with prices, the work, what else could be done, how far it may go."""
    new_unit(hand, "table fan")
    hand.press("3", "components", then="[3 components]")
    add(hand, "mains cord, 1, 6 / 8 / 12, seller post", key="A", like="part", shown="mains cord")
    add(hand, "bearing, 2, 8 / 10 / 18, seller post", key="A", like="part", shown="bearing")
    hand.press("7", "work", then="[7 work]")
    add(hand, "fit cord and bearings, 60 / 90 / 150", shown="fit cord")
    hand.press("4", "costs", then="[4 costs]")
    hand.go_to("What does a new or used one cost")
    hand.press("Enter", "line", then="No comparators yet")
    add(hand, "buy new, 45, delivery 5", shown="buy new")
    hand.press("Esc", "back", then="[4 costs]")
    hand.press("l", "stop line", then="The most that may still be spent")
    hand.answer("30", then="stop line 30.00")
    hand.see("COULD PASS")
    hand.see("likely and expected are under it, the high case is over by 4.95")
    hand.see("Against “buy new”: 25.72 cheaper in cash, 16.24 per hour of work.")
    hand.see_figure("rebuild", "24.28")
    hand.go_to("1.58")
    hand.see_figure("hours", "1.00", "1.50", "2.50", "1.58")
    hand.see_figure("cash", "18.95", "22.95", "34.95", "24.28")
    add(hand, "shipping, 4.95, seller post, parcel", like="Add a cost", shown="shipping")
    hand.go_to("18.95")
    hand.see_figure("cash", "18.95", "22.95", "34.95", "24.28")  # the same parcel is not counted twice


def test_the_bearings_of_a_fan(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        hand.see("This book is empty")
        seller_written(hand)
        weighed(hand)
        decision = on_paper(hand, book, "costs, ranges", "plain text").read_text()
        bought(hand)
        hand.end()
    tell_keys(hand)
    for figure in ("24.28", "18.95", "34.95", "50.00", "25.72", "16.24", "30.00"):
        assert figure in decision


def bought(hand: Hand) -> None:
    """Ordered on Monday; on Thursday the bearings cost more, and the parcel is here."""
    hand.press("m", "to buy", then="2 things to get, likely $22.95 together.")
    hand.go_to("post, 3 days")
    hand.press("O", "ordered", then="2 of them ordered")
    hand.set_clock(THURSDAY)
    hand.go_to("bearing")
    hand.press("$", "price", then="price")
    hand.answer("11.20", then="likely $24.15 together")
    hand.go_to("post, 3 days")
    hand.press("h", "here", then="Enter takes the likely price")
    hand.press("Enter", "takes the likely price", then="Nothing to buy")
    hand.press("Esc", "back", then="[4 costs]")
    hand.go_to("rebuild  ")
    hand.see_figure("rebuild", "0.00")
    hand.go_to("already spent")
    hand.see_figure("already spent", "24.15")
    hand.press("t", "What was paid and how long it took", then="24.15 paid where 24.15 was likely.")
    hand.go_to("B01 fit cord")
    hand.press("Enter", "paid / took", then="took, minutes")
    hand.answer("1:20", then="1:20 h")
    hand.see("took 0.84 times its expected time")  # 80 / 95 minutes
