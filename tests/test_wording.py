"""Wordings that were not understood, each with the better one: none of them comes back, anywhere.

`python -m tests.texts` lists every text; the second table holds the same rule where a number changes the words.
"""

from __future__ import annotations

import re
from functools import cache

import pytest

from tests.texts import Text, texts

NOT_UNDERSTOOD = {
    r"\bleave it$": "cancel",
    r"Empty while it is open": "Leave empty until answered.",
    r"^open: ": "NOT TESTED: armature ... sound?",
    r"^tested  ": "to test",
    r"blue core broken at the plug, no$": "FAILED: blue core broken at the plug",
    r"What must nobody do": "DO NOT ...? (turn it over, switch it on)",
    r"What holds it now\?": "What is it standing on or clamped in?",
    r"Enter goes on, with or without an answer": "Question 1 of 4. Enter: next, blank is fine. Esc: skip all.",
    r": (?:list of words|whole number|choice|list)$": "an example, or nothing",
    r"None while nobody": "Empty if unknown.",
    r"the next may follow without sanding": "Next coat within this time needs no sanding.",
    r"not said, its name tells": "If empty, read from the name.",
    r"one of: butt": "a numbered menu",
    r"^It: ": "Code: letters and digits only, like N1.",
    r"is said already; this stands in the note": "Shelf already given; what is different stands in the note.",
    r"has no place for a price": "Add it as a part first, then a price.",
    r"^no place$": "not planned",
    r"stops a stranger|without a stop": "! = somebody else could not go on here. First gap: T10.",
    r"(?i)without a place\b": "NO ROOM for P3: 104 mm short on O01.",
    r"true the long edge, \{\} off": "trim the long edge true, 5 mm off",
    r"is under \{\}: rip": "Too short to rip safely (264 mm): rip longer, then crosscut.",
    r"^\{\} in$": "refit motor",
    r"done all the same": "done anyway",
    r"pieces are to be reused, but no bag is written down": "has no bag number",
    r"but \{\} have no price": "1 item has no price",
    r"something else is missing": "Other things are still missing after this parcel.",
    r"is stood for by|least low to their greatest high": "An unknown price is guessed from similar ones.",
    r"cleverest first": "best first",
    r"nobody said how long\.?$": "4 more have no time estimate.",
    r"At most \{\}? ?% from the best|from the best there is": "A better plan may save up to 32 %.",
    r"no price here": "nobody has priced what is missing",
    r"letter choose": "digit choose",
    r"It will carry record version": "It will carry version 480 of the record.",
}
"""A pattern, and what is said instead."""
NOT_SHOWN = ("logbook/planning/", "logbook/store/", "logbook/model/layout_records.py")
"""Where “a part without a place” is said of the code, in documentation that no form shows."""


@cache
def all_texts() -> tuple[Text, ...]:
    """Every text of the program, read by the first test that asks and not by everybody who only lists the tests."""
    return tuple(texts())


def test_there_are_texts_of_every_kind() -> None:
    places = {text.where.partition(":")[0] for text in all_texts()}
    for place in ("logbook/tui/screens/bench_screen.py", "logbook/cli/arguments.py", "templates/hazards.json"):
        assert place in places
    assert any(text.words == "Take back the last change and say what it was" for text in all_texts())


@pytest.mark.parametrize(("pattern", "better"), NOT_UNDERSTOOD.items())
def test_a_wording_that_was_not_understood_does_not_come_back(pattern: str, better: str) -> None:
    found = [t for t in all_texts() if re.search(pattern, t.words) and not t.where.startswith(NOT_SHOWN)]
    assert found == [], f"say instead: {better}"


def one_and_plural(text: Text) -> bool:
    """Whether a number stands before a plural that would be wrong for one."""
    return (
        re.search(r"\{\} (?:pieces|lines|things|steps|parts|items|units|days|hours|minutes)\b", text.words) is not None
    )


if __name__ == "__main__":
    for text in all_texts():
        if one_and_plural(text):
            print(f"{text.where}: {text.words}")
