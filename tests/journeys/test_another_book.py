"""Everything given out and taken into a second book: a stool and a clock go to a friend's bench, with the scrap pile.

Worked by hand:

    stool   seat       8 screws 4x30, bag 1                     8 holes
            stretcher  2 bolts, 2 washers, bag 2, 2 nuts new    6 holes
            14 holes; 8 + 2 + 2 = 12 from the bags and 2 new make 14 refitted
    clock   back       4 holes, 3 screws found, bag 1
            3 from the bags and 1 new (missing on arrival) make 4 refitted
    prices  both nuts 1.60 and glue 6.00 / 8.00 / 12.00, both from the counter, fetched for 0.00:
            low 1.60 + 6.00 = 7.60, likely 9.60, high 13.60, expected (7.60 + 4 x 9.60 + 13.60) / 6 = 9.9333
    pile    600 x 400 mm of 12 ply = 0.24 m2, measured 11.8, 11.9, 11.8: middle 11.8

The friend's book must say all of it again, and its reassembly lists must be the same letter by letter.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, leave_the_bench, new_unit, on_paper, to_the_bench

MONDAY = "2026-03-02 18:00"
STOOL = (
    "seat, unscrewed, 8 screw 4x30, bag 1",
    "stretcher, unscrewed, 2 bolt M6x40, 2 washer M6, 2 nut M6 renew, bag 2",
)
CLOCK = ("back, unscrewed, 4/3 screw 3x12, bag 1",)


def taken_apart(hand: Hand, name: str, steps: tuple[str, ...]) -> None:
    new_unit(hand, name)
    hand.press("b", "Go on at the bench", then="line >")
    for line in steps:
        hand.answer(line, then=f"kept: {line.partition(',')[0]}")
    leave_the_bench(hand)


def priced(hand: Hand) -> None:
    """What the stool takes has a seller and prices."""
    hand.press("s", "store", then="The store is empty")
    hand.go_to("sellers")
    add(hand, "counter, 0, 0 days", shown="counter 0")
    to_the_bench(hand)
    hand.go_to("folding stool")
    hand.press("Enter", "open")
    hand.press("3", "components", then="[3 components]")
    add(hand, "hide glue, 1, 6 / 8 / 12, seller counter", key="A", like="part", shown="hide glue")
    add(hand, "nuts, 2, 1.60, fastener nut M6, seller counter", key="A", like="part", shown="nuts")
    hand.press("4", "costs", then="[4 costs]")
    hand.press("m", "to buy", then="likely $9.60 together")
    to_the_bench(hand)


def list_of(paper: Path) -> list[str]:
    """The list without the two lines that count the versions of a record, which each book does for itself."""
    return [line for line in paper.read_text().split("\n") if "version" not in line]


def given_out(hand: Hand, book: Path) -> list[Path]:
    """The documents of the store and of both units, and nothing else on the way."""
    documents = []
    hand.press("s", "store", then="scrap pile")
    documents.append(on_paper(hand, book, "document", key_help="Print labels"))
    to_the_bench(hand)
    for name in ("folding stool", "wall clock"):
        hand.go_to(name)
        documents.append(on_paper(hand, book, "document"))
    return documents


def counted(hand: Hand, name: str, *figures: str) -> None:
    hand.go_to(name)
    hand.press("Enter", "open")
    hand.press("5", "reassembly", then="[5 reassembly]")
    hand.go_to("audit: every bag empty")
    hand.see(*figures)


def figures(hand: Hand, book: Path) -> list[list[str]]:
    """What was worked by hand stands on the screens; the two lists on paper."""
    lists: list[list[str]] = []
    for name, sum_up in (
        ("folding stool", "12 from the bags and 2 new make 14"),
        ("wall clock", "3 from the bags and 1 new make 4"),
    ):
        counted(hand, name, sum_up)
        if name == "folding stool":
            hand.press("4", "costs", then="[4 costs]")
            hand.see_figure("rebuild", "9.93")
            hand.see_figure("cash", "7.60", "9.60", "13.60", "9.93")
            hand.press("5", "reassembly", then="[5 reassembly]")
        lists.append(list_of(on_paper(hand, book, "the list to put it back together", "plain text")))
        to_the_bench(hand)
    hand.press("s", "store", then="scrap pile")
    hand.press("P", "scrap pile", then="/ scrap pile")
    hand.see("1 piece, 0.24 m²")
    hand.press("w", "Everything about the piece", then="thickness 11.8-11.9")
    to_the_bench(hand)
    return lists


def test_a_second_book_says_the_same(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    first, second = tmp_path / "first" / "book", tmp_path / "second" / "book"
    with Hand(first, MONDAY) as hand:
        taken_apart(hand, "folding stool", STOOL)
        to_the_bench(hand)
        taken_apart(hand, "wall clock", CLOCK)
        to_the_bench(hand)
        priced(hand)
        hand.press("s", "store", then="scrap pile")
        hand.press("P", "scrap pile", then="/ scrap pile")
        hand.press("a", "add", then="Esc")
        hand.answer("12 ply, 600 x 400, 11.8 11.9 11.8, shelf 2", then="O01")
        to_the_bench(hand)
        lists = figures(hand, first)
        documents = given_out(hand, first)
        hand.end()
    with Hand(second, MONDAY) as friend:
        friend.see("This book is empty")
        for document, said in zip(documents, ("the shop", "folding stool", "wall clock"), strict=True):
            friend.press("F", "Take in a unit or the store", then="Which document?")
            friend.answer(str(document), then="Taken in: ")
            friend.see(said)
        assert figures(friend, second) == lists
        friend.end()
    tell_keys(hand, friend)
