"""What every journey begins with and passes through."""

from __future__ import annotations

from pathlib import Path

from tests.journeys.hand import Hand

MOST_FORMS = 6


def new_unit(hand: Hand, name: str) -> None:
    """Write down a new object with an empty record; it stands open at its arrival."""
    if "This book is empty" in hand.words or not hand.words:
        hand.see("Press n to write down the first object")
    hand.press("n", "to write down" if "This book is empty" in hand.words else "new unit", then="What is it?")
    hand.answer(name, then="Its code")
    hand.enter(then="From what does it begin?")
    hand.type("empty", then="an empty record")
    hand.enter(then="[1 arrival]")


def leave_the_bench(hand: Hand) -> None:
    """From bench mode to the section before; what must whoever comes back know is left unanswered."""
    hand.press("Esc", "leave", then="What must whoever comes back know?")
    hand.press("Esc", "leave", then="[1 arrival]")


def to_the_bench(hand: Hand) -> None:
    """One place back after another, to all units."""
    while not hand.place.startswith("Bench"):
        before = hand.place
        hand.press("Esc", "back")
        hand.see_other_place(before)


FORM_ROW = " form      "
"""How the row begins that says the form; the key line has the word as well, and is drawn first."""


def on_paper(hand: Hand, book: Path, document: str, form: str = "", *, key_help: str = "Print a list") -> Path:
    """Make a document of what is open, in that form where it has several; the file."""
    folder = book / "paper"
    before = set(folder.glob("*")) if folder.is_dir() else set()
    hand.press("e", key_help, then="What goes onto paper?")
    hand.go_to(document)
    hand.see_it_whole()
    for _ in range(MOST_FORMS):
        if form in hand.line_with(FORM_ROW):
            break
        standing = hand.line_with(FORM_ROW)
        hand.press("1", "form")
        hand.see_other_row(FORM_ROW, standing)
    hand.press("Enter", "make it", then="Made: ")
    (made,) = set(folder.glob("*")) - before
    hand.press("Esc", "back")
    hand.see_gone("What goes onto paper?")
    return made


def add(hand: Hand, line: str, *, key: str = "a", like: str = "add", shown: str = "") -> None:
    """Add something to the list under the cursor in one line; it must stand there afterwards, under the cursor."""
    hand.press(key, like, then="Enter keep")
    hand.answer(line, then="Kept: ")
    if shown:
        hand.see_under_the_cursor(shown)


def fill(hand: Hand, field: str, text: str, *, shown: str = "") -> None:
    """Type into a field of the form that is open; it stands there as typed, or as `shown`."""
    hand.go_to_field(field)
    hand.type(text)
    hand.enter(then="Kept: ")
    hand.see_under_the_cursor(shown or text)


def pick(hand: Hand, field: str, option: str) -> None:
    """Choose in a field of the form that is open."""
    hand.go_to_field(field)
    hand.press("Enter", "type or open", then="digit choose")
    hand.choose(option, then="Kept: ")
    hand.see_under_the_cursor(option)


def open_seldom(hand: Hand, field: str) -> None:
    """Put the cursor on a field that is seldom filled and stands under “more”."""
    hand.go_to("more (")
    hand.press("Enter", "type or open")
    hand.see_under_the_cursor("less")
    hand.go_to_field(field)
