"""A tea tray is glued and varnished in the evenings of a week; one evening is lost, and the plan moves.

There is time from Monday to Friday, 18:00 to 20:00. Worked by hand, from Monday 17:00:

    glue         30 min, then 24 h            Mon 18:00-18:30, free on Tue 18:30
    first coat   20 min, then 8 to 24 h       Tue 18:30-18:50, next from Wed 02:50 to Wed 18:50
    second coat  20 min, then 8 to 24 h       Wed 18:00-18:20, next from Thu 02:20 to Thu 18:20
    third coat   20 min                       Thu 18:00-18:20

On Monday nothing is done. On Tuesday at 17:00 everything is a day later: glue Tue 18:00, coats Wed 18:30, Thu 18:00 and
Fri 18:00. Then the glue is done from 18:00 to 18:35: 35 minutes of 30, and the first coat waits until Wed 18:35.

Two of the four pins of the handles are missing. The jar has 20: 20 - 2 = 18. Glue in joints takes 250 g for a square
metre and 15 % waste: 0.1 x 250 x 1.15 = 28.75 of the 250 g on the shelf, 221.25 are left. So nothing is to be bought.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tests.journeys.hand import Hand
from tests.journeys.usual import add, fill, new_unit, open_seldom, to_the_bench

MONDAY, TUESDAY = "2026-03-02 17:00", "2026-03-03 17:00"
MOST_KEYS_OF_A_WEEK = 60


def free_week(hand: Hand) -> None:
    """When there is time."""
    before = hand.keys - hand.looked_up
    hand.press("s", "store", then="The store is empty")
    hand.go_to("free hours")
    hand.press("Enter", "open", then="free time")
    add(hand, "Mon 18:00 2 h")
    for day in ("Tue", "Wed", "Thu", "Fri"):
        add(hand, day, key="=", like="one like it")
    assert hand.keys - hand.looked_up - before <= MOST_KEYS_OF_A_WEEK


def shelf_written(hand: Hand) -> None:
    """A jar of pins and a bottle of glue."""
    hand.press("s", "store", then="The store is empty")
    hand.go_to("Nothing yet. Glue")
    add(hand, "escutcheon pin 15, 20, jar 1", shown="escutcheon pin")
    add(hand, "PVA glue, 250 g, shelf 2", shown="PVA glue")
    to_the_bench(hand)


def taken_from_the_jar(hand: Hand) -> None:
    """What was missing comes from the jar, the glue from the shelf, and nothing is to be bought."""
    hand.press("b", "Go on at the bench", then="line >")
    hand.answer("handles, prised, 4/2 escutcheon pin 15, bag 1", then="kept: handles")
    hand.press("Esc", "leave", then="What must whoever comes back know?")
    hand.press("Esc", "leave", then="/ costs / paid and taken")
    hand.press("Esc", "back", then="[4 costs]")
    hand.press("m", "to buy", then="Nothing to buy")
    hand.press("Esc", "back", then="[4 costs]")
    hand.press("B", "The whole bill", then="bill")
    hand.go_to("escutcheon pin 15")
    hand.press("u", "used up", then="2 escutcheon pin 15: taken from the jar")
    hand.press("a", "add", then="What is it for?")
    hand.type("PVA glue in joints", then="PVA glue in joints")
    hand.press("Enter", "take it", then="How much?")
    hand.answer("0.1", then="28.8 g")
    hand.go_to("PVA glue")
    hand.press("u", "used up", then="PVA glue: used up")
    to_the_bench(hand)
    hand.press("s", "store", then="shelf")
    hand.see_figure("escutcheon pin 15", "18")
    hand.see_figure("PVA glue", "221.25")
    to_the_bench(hand)


def work_written(hand: Hand) -> None:
    """Glue with its wait, three coats with their windows."""
    new_unit(hand, "tea tray")
    hand.press("7", "work", then="[7 work]")
    add(hand, "glue the tray, 30", shown="glue the tray")
    hand.press("Enter", "open", then="/ B01")
    hand.go_to_field("wait")
    hand.press("Enter", "type or open", then="clamped")
    fill(hand, "earliest", "24 h", shown="24:00 h")
    hand.press("Esc", "back", then="effort")
    hand.press("Esc", "back", then="[7 work]")
    add(hand, "varnish coat, 60, times 3, after B01", shown="varnish coat")
    hand.press("Enter", "open", then="/ B02")
    open_seldom(hand, "between")
    hand.press("Enter", "type or open", then="clamped")
    fill(hand, "earliest", "8 h", shown="8:00 h")
    fill(hand, "latest", "24 h", shown="24:00 h")
    hand.press("Esc", "back", then="effort")
    hand.press("Esc", "back", then="[7 work]")


def test_a_week_and_a_day_later(tmp_path: Path, tell_keys: Callable[..., None]) -> None:
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        hand.see("This book is empty")
        free_week(hand)
        to_the_bench(hand)
        shelf_written(hand)
        work_written(hand)
        hand.see("Ends Thu 5 Mar")
        planned(
            hand,
            ("waits until Tue 3 Mar 18:30", "next from Wed 4 Mar 02:50, window closes Wed 4 Mar 18:50"),
            ("glue the tray", "18:00", "18:30"),
            ("varnish coat, 1 of 3", "18:30", "18:50"),
            ("varnish coat, 2 of 3", "18:00", "18:20"),
            ("varnish coat, 3 of 3", "18:00", "18:20"),
        )
        hand.end()
    with Hand(book, TUESDAY) as later:
        later.press("Enter", "open")
        later.press("7", "work", then="Ends Fri 6 Mar")
        later.see_figure("glue the tray", "Tue 3 Mar 18:00")
        later.see_figure("varnish coat", "Wed 4 Mar 18:30")
        glued(later)
        taken_from_the_jar(later)
        later.end()
    tell_keys(hand, later)


def glued(hand: Hand) -> None:
    """The glue takes five minutes longer than was planned."""
    hand.set_clock("2026-03-03 18:00")
    hand.go_to("B01")
    hand.press("Space", "start, stop", then="B01 started")
    hand.set_clock("2026-03-03 18:35")
    hand.press("f", "finished", then="B01 finished")
    hand.see_figure("glue the tray", "35")
    hand.see_figure("varnish coat", "Wed 4 Mar 18:35")
    hand.press("4", "costs", then="[4 costs]")
    hand.press("t", "What was paid and how long it took", then="B01 glue the tray")
    hand.see_figure("B01 glue the tray", "30", "35")


def planned(hand: Hand, said: tuple[str, ...], *work: tuple[str, ...]) -> None:
    """The plan of the week, from the bench: what is said, and when each piece of work begins and ends."""
    to_the_bench(hand)
    hand.press("p", "plan", then="week of 2 Mar 2026")
    hand.see(*said)
    for name, begins, ends in work:
        hand.go_to(name)
        hand.see_figure(name, begins, ends)
