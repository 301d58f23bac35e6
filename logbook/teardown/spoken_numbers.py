"""Numbers as they are spoken, in digits: `three point five`, `a hundred and twenty`, `three and a half`."""

from __future__ import annotations

from collections.abc import Sequence

_ONES = {
    "zero": 0,
    "nought": 0,
    "oh": 0,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "eleven": 11,
    "twelve": 12,
    "thirteen": 13,
    "fourteen": 14,
    "fifteen": 15,
    "sixteen": 16,
    "seventeen": 17,
    "eighteen": 18,
    "nineteen": 19,
}
_TENS = {
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}
_PARTS = {"half": "5", "quarter": "25", "quarters": "75"}


def number_at(words: Sequence[str]) -> tuple[int, str]:
    """The number that the words begin with: how many words it takes, and its digits.

    Zero words and no digits when they begin with none. Digits that stand there already count as one word, so that
    `3 point 5` is read as well.
    """
    folded = [word.casefold() for word in words]
    used, whole = _whole(folded)
    if folded[:1] == ["point"] and len(folded) > 1 and _digits(folded[1:])[0]:
        used, whole = 0, "0"
    elif not used:
        return 0, ""
    rest = folded[used:]
    if rest[:1] == ["point"]:
        count, digits = _digits(rest[1:])
        if count:
            return used + 1 + count, f"{whole}.{digits}"
    if rest[:2] == ["and", "a"] and rest[2:3] and rest[2] in _PARTS:
        return used + 3, f"{whole}.{_PARTS[rest[2]]}"
    return (0, "") if used == 1 and folded[0] in ("oh",) else (used, whole)


def _whole(words: Sequence[str]) -> tuple[int, str]:
    """A whole number: `sixteen`, `twenty-five`, `a hundred and twenty`, `16`."""
    if not words:
        return 0, ""
    first = words[0]
    if first.isascii() and first.isdigit():
        return (1, first) if len(words) > 1 and words[1] in ("point", "and") else (0, "")
    if words[:2] in (["a", "hundred"], ["one", "hundred"]):
        return _after_hundred(words, 100, 2)
    used, number = _below_hundred(words)
    if used and words[used : used + 1] == ["hundred"] and 0 < number < 10:
        return _after_hundred(words, number * 100, used + 1)
    return used, str(number) if used else ""


def _after_hundred(words: Sequence[str], hundreds: int, used: int) -> tuple[int, str]:
    links = 1 if words[used : used + 1] == ["and"] else 0
    more, number = _below_hundred(words[used + links :])
    return (used + links + more, str(hundreds + number)) if more else (used, str(hundreds))


def _below_hundred(words: Sequence[str]) -> tuple[int, int]:
    if not words:
        return 0, 0
    first = words[0]
    if first in _ONES:
        return 1, _ONES[first]
    tens, _, ones = first.partition("-")
    if tens in _TENS and ones in _ONES and 0 < _ONES[ones] < 10:
        return 1, _TENS[tens] + _ONES[ones]
    if first not in _TENS:
        return 0, 0
    if len(words) > 1 and 0 < _ONES.get(words[1], 0) < 10:
        return 2, _TENS[first] + _ONES[words[1]]
    return 1, _TENS[first]


def _digits(words: Sequence[str]) -> tuple[int, str]:
    """What is said behind “point”, digit by digit or as a number: `two five` and `twenty five` are 25."""
    digits = ""
    for count, word in enumerate(words):
        if word in _ONES and _ONES[word] < 10:
            digits += str(_ONES[word])
        elif word.isascii() and word.isdigit() and not digits:
            return 1, word
        elif not digits:
            used, number = _below_hundred(words[count:])
            return used, str(number) if used else ""
        else:
            return count, digits
    return len(words), digits
