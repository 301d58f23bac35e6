"""A line of plain words cut into phrases, and phrases into words.

Phrases are parted by commas, semicolons or line ends. A comma between two digits is part of the number
(`3,5x16`), because half the world writes decimals so. A word that starts with a double quote and ends
with one is text taken as it stands, whatever is in it; a quote after a digit is an inch mark. From the
second phrase on, `note` takes the rest of the line.

Cutting takes time in proportion to the length of the text.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_LONE_SURROGATE = re.compile("[\ud800-\udfff]")
_TOKEN = re.compile(
    r"""(?P<separator>[;\n]|,(?!(?<=[0-9],)[0-9]))
        |(?P<blank>[^\S\n]+)
        |(?P<word>(?:[^\s,;]|(?<=[0-9]),(?=[0-9]))+)""",
    re.VERBOSE,
)
_QUOTED = re.compile(r'"((?:[^"\\]|\\.|"(?![\s,;]|\Z))*)"(?=[\s,;]|\Z)', re.DOTALL)
_NOTE = re.compile(r"notes?(?=[\s,;:]|\Z)[\s,;:]*", re.IGNORECASE)
_ESCAPE = re.compile(r"\\(?:([\"\\nrt])|u([0-9a-fA-F]{4}))")
_ESCAPED = {"n": "\n", "r": "\r", "t": "\t", '"': '"', "\\": "\\"}
_MARKS = {"\n": "\\n", "\r": "\\r", "\t": "\\t", '"': '\\"', "\\": "\\\\"}

UNPRINTED = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
"""Control characters, line ends and marks that turn the reading direction: a printed line has none of them."""


class Word(NamedTuple):
    """One word of a phrase."""

    text: str
    """As meant: without quotes and their escapes."""
    folded: str
    """For comparing, whatever the capitals; empty when it was quoted, because a quoted word is never a keyword."""
    start: int
    end: int
    quoted: bool


class PhraseText(NamedTuple):
    """One phrase as it stands in the text, not yet understood."""

    start: int
    end: int
    words: tuple[Word, ...]
    note: str | None = None
    """What `note` took, when this phrase is one."""


def sound(text: str) -> str:
    """Text of the same length that can be written as UTF-8: a lone surrogate becomes U+FFFD."""
    return _LONE_SURROGATE.sub("\ufffd", text)


def joined(words: tuple[Word, ...]) -> str:
    """The words as text, blanks between them made single."""
    return " ".join(w.text for w in words)


def folded(words: tuple[Word, ...]) -> str:
    """The words for comparing; a quoted word makes it differ from every keyword."""
    return " ".join(w.folded if not w.quoted else '"' for w in words)


def quote(text: str) -> str:
    """The text in quotes, on one printable line; `unquoted` brings it back exactly."""
    escaped = "".join(_MARKS.get(c, c) for c in text)
    return '"' + UNPRINTED.sub(lambda m: f"\\u{ord(m[0]):04x}", escaped) + '"'


def unquoted(inside: str) -> str:
    """What stands between quotes, its escapes resolved; an unknown escape stays as it is."""
    return _ESCAPE.sub(lambda m: _ESCAPED[m[1]] if m[1] else sound(chr(int(m[2], 16))), inside)


def split(text: str) -> list[PhraseText]:
    """The phrases of a line in order. The first one is there even when it is empty; later empty ones are not.

    Args:
        text: any text without lone surrogates (see `sound`).
    """
    pieces: list[PhraseText] = []
    words: list[Word] = []
    place, phrase_start, closable = 0, 0, True
    while place < len(text):
        if pieces and not words and (note := _NOTE.match(text, place)):
            pieces.append(_note_piece(text, place, note.end()))
            return pieces
        if text[place] == '"' and closable:
            if quoted := _QUOTED.match(text, place):
                words.append(Word(unquoted(quoted[1]), "", place, quoted.end(), quoted=True))
                place = quoted.end()
                continue
            # Where one quote finds no end, a later one finds none either: the search is not repeated.
            closable = False
        token = _TOKEN.match(text, place)
        if token is None:  # pragma: no cover - every character is a separator, a blank or part of a word
            raise AssertionError(f"no token at {place}")
        if token.lastgroup == "separator":
            if words or not pieces:
                pieces.append(_piece(words, phrase_start))
            words, phrase_start = [], token.end()
        elif token.lastgroup == "word":
            words.append(Word(token[0], token[0].casefold(), place, token.end(), quoted=False))
        place = token.end()
    if words or not pieces:
        pieces.append(_piece(words, phrase_start))
    return pieces


def _piece(words: list[Word], start: int) -> PhraseText:
    return PhraseText(words[0].start, words[-1].end, tuple(words)) if words else PhraseText(start, start, ())


def _note_piece(text: str, start: int, body_start: int) -> PhraseText:
    body = text[body_start:].strip()
    whole = _QUOTED.fullmatch(body)
    end = len(text.rstrip())
    return PhraseText(start, end, (), note=unquoted(whole[1]) if whole else " ".join(body.split()))
