"""A mantel clock comes apart and goes back with both hands dirty: all that is written is said to the phone.

The laptop stands a metre away and is touched to begin and to look. Worked by hand, holes / found:

    T01  back cover   4 / 4 screws 3.5x16   bag 1
    T02  dial         6 / 5 nuts M3         bag 2     one was missing on arrival
    T03  movement     2 / 2 washers M4      bag 3

A felt ring that was said to be cut is taken back, so nothing of it is on the list.

    holes   4 + 6 + 2 = 12      found   4 + 5 + 2 = 11
    from the bags   4 + 5 + 2 = 11      new   1 nut M3, bought for 0.40
    refitted        11 + 1 = 12
    list            the check, movement, dial, back cover, the last count: 5 lines
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from logbook.serve.address import KeptAddress
from tests.journeys.hand import Hand
from tests.journeys.usual import new_unit, on_paper
from tests.serve.browsing import HERE_IS_A_BROWSER, press, type_in, words_on
from tests.serve.conftest import browser  # noqa: F401 - a fixture

pytestmark = pytest.mark.skipif(not HERE_IS_A_BROWSER, reason="no browser here; .ci/run installs one")

MONDAY = "2026-03-02 18:00"
SPOKEN = (
    (
        "Back cover. Unscrewed. Four screws three point five by sixteen. Bag one.",
        "4 screws 3.5x16, reuse",
        "back cover",
    ),
    ("Dial, unscrewed, five out of six nuts M three, bag to", "6 places, 5 found: nuts M3", "dial"),
    ("Movement comma lifted out comma two washers M four comma bag number three", "2 washers M4, reuse", "movement"),
)
"""As dictation writes it, how it reads below, and what came off."""
LONGEST_SECONDS = 60.0


class Thumb:
    """What is done on the phone: only what the page shows is pressed, and every wait is for words."""

    def __init__(self, browser: Any, hand: Hand, address: str) -> None:  # noqa: F811 - the browser of the phone
        self._browser, self._hand, self._address = browser, hand, address

    def open(self, place: str) -> None:
        """One of the places at the top of the page."""
        if not self._browser.current_url.startswith(self._address):
            self._browser.get(self._address)
        press(self._browser, place)

    def see(self, pattern: str) -> str:
        """Wait until the page says it; the program's own screen is read meanwhile."""
        end = time.monotonic() + LONGEST_SECONDS
        while not re.search(pattern, shown := words_on(self._browser), re.DOTALL):
            assert time.monotonic() < end, f"{pattern} is not on the page:\n{shown}"
            self._hand.terminal.read()
        return shown

    def say(self, line: str) -> None:
        """Dictate into the field."""
        type_in(self._browser, "line", line)

    def type(self, field: str, text: str) -> None:
        """Type into a field."""
        type_in(self._browser, field, text)

    def press(self, words: str) -> None:
        """Press what is called so."""
        press(self._browser, words)


def said_to_the_phone(thumb: Thumb, hand: Hand) -> None:
    """Three steps; each is a row at the bench as soon as it is kept."""
    thumb.open("Apart")
    for line, reading, what in SPOKEN:
        thumb.say(line)
        thumb.see(re.escape(reading))
        thumb.press("Keep")
        thumb.see(f"kept: {what}")
        hand.see(f"kept: {what}")


def thought_again(thumb: Thumb, hand: Hand) -> None:
    """The felt ring is cut on the page only: the stop question made somebody look, and it stays on after all."""
    thumb.say("Felt ring cut")
    thumb.press("Keep")
    thumb.see("STOP: felt ring cannot be undone")
    thumb.press("Is it measured?")
    thumb.press("Keep")
    thumb.see("T04 kept: felt ring")
    hand.see("kept: felt ring")
    thumb.press("Take back step T04")
    thumb.see("Taken back: step T04.*came off: felt ring")
    thumb.say("")
    hand.see("taken back: step T04")


def bought(thumb: Thumb) -> None:
    """The nut that was missing."""
    thumb.open("Buy")
    thumb.see("1 thing to get.*nuts? M3")
    thumb.type("paid-1-1", "0.40")
    thumb.press("Got it")
    thumb.see("here, paid 0.40.*Nothing to buy")


def put_back(thumb: Thumb) -> None:
    """Line after line as the phone offers them."""
    thumb.open("Back")
    for number, what in enumerate(("check", "movement", "dial", "back cover"), 1):
        thumb.see(rf"A0{number} [^\n]*{what}.*READY")
        thumb.press("Done")
        thumb.see(rf"A0{number} [^\n]*ticked")
    thumb.see("A05")
    thumb.press("Done")
    thumb.see("A05 [^\n]*ticked")


def test_a_clock_is_said_and_ticked_with_the_phone(
    tmp_path: Path,
    browser: Any,  # noqa: F811 - the fixture
    monkeypatch: pytest.MonkeyPatch,
    tell_keys: Callable[..., None],
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    book = tmp_path / "book"
    with Hand(book, MONDAY) as hand:
        new_unit(hand, "mantel clock")
        hand.press("b", "Go on at the bench", then="line >")
        hand.press("Tab", "single keys", then="keys")
        hand.press("P", "With the phone", then="open it on this machine alone")
        hand.press("2", "this machine", then="Point the phone")
        kept = KeptAddress(book)
        hand.press("Esc", "back")
        thumb = Thumb(browser, hand, f"http://127.0.0.1:{kept.port}/{kept.token}")
        said_to_the_phone(thumb, hand)
        thought_again(thumb, hand)
        hand.press("Tab", "typing", then="line >")
        hand.press("Esc", "leave", then="[1 arrival]")
        hand.press("2", "teardown", then="holes 12, found 11")
        hand.press("5", "reassembly", then="[5 reassembly]")
        on_list = on_paper(hand, book, "the list to put it back together", "plain text").read_text()
        bought(thumb)
        put_back(thumb)
        hand.see("All 5 lines")
        hand.end()
    tell_keys(hand)
    assert "11 from the bags and 1 new make 12 refitted; difference 0." in on_list
    for bag, pieces in ((1, 4), (2, 5), (3, 2)):
        assert f"[ ] bag {bag} empty  held {pieces}:" in on_list
