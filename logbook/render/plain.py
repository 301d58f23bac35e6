"""User text made safe to show: nothing in it moves, hides, colours or runs anything.

The record keeps what was typed; only screens, terminals and files get the cleaned text.
"""

from __future__ import annotations

import re

_BIDI = "\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069"
_UNSEEN = (
    "\u00ad\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b\u2060-\u2065\u206a-\u206f\u3164\ufeff\uffa0"
    "\ufff0-\ufffb\ufe00-\ufe0f\U0001f3fb-\U0001f3ff\U000e0000-\U000e0fff"
)
_DROP = re.compile(f"[{_BIDI}{_UNSEEN}]")
_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_EMOJI_JOIN = re.compile("(?<=[\u2190-\u2bff\U0001f000-\U0001faff])\u200d")
_LOOSE_JOIN = re.compile(r"(?<!\S)\u200d|\u200d(?!\w)")
"""A joiner that joins no letters would take the blank beside it into one cell."""
_FLAG_LETTER = re.compile("[\U0001f1e6-\U0001f1ff]")
_MARK = "\u0300-\u036f\u0483-\u0489\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff\ufe20-\ufe2f"
_PILED_MARKS = re.compile(f"([{_MARK}]{{3}})[{_MARK}]+")
_LINE_ENDS = re.compile("\r\n?|[\x0b\x0c\x85\u2028\u2029]")


def clean(text: str, *, limit: int = 2000, lines: bool = False) -> str:
    """The text as it can be shown.

    Control characters become visible signs, directions and unseen characters go, emoji are simplified so
    that terminals agree on their width.

    Args:
        text: anything a person or a file said.
        limit: characters shown at most; what is cut is counted in the text.
        lines: keep line ends; otherwise each becomes ` ⏎ `.
    """
    cut = len(text) - limit
    if cut <= 0 and text.isascii() and text.isprintable():
        return text
    if cut > 0:
        text = text[:limit]
    text = _LINE_ENDS.sub("\n", text).replace("\t", "    ")
    if not lines:
        text = text.replace("\n", " ⏎ ")
    text = _CONTROL.sub(lambda m: chr(0x2400 + ord(m[0])) if ord(m[0]) < 32 else "\ufffd", text)
    text = _DROP.sub("", text)
    text = _LOOSE_JOIN.sub("", _EMOJI_JOIN.sub("", text))
    text = _FLAG_LETTER.sub(lambda m: chr(ord(m[0]) - 0x1F1E6 + 65), text)
    return _PILED_MARKS.sub(r"\1", text) + (f"… (+{cut:,} characters)" if cut > 0 else "")


def width(text: str) -> int:
    """Columns that a cleaned text takes in a terminal: wide characters take two, combining marks none."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len  # the same widths as the screen uses; ASCII needs none

    return cell_len(text)


def fitted(text: str, columns: int) -> str:
    """A cleaned text cut or filled to exactly so many columns; `…` stands where something was cut."""
    if columns <= 0:
        return ""
    taken = width(text)
    if taken <= columns:
        return text + " " * (columns - taken)
    kept, used = [], 0
    for char in text:
        step = width(char)
        if used + step > columns - 1:
            break
        kept.append(char)
        used += step
    return "".join(kept) + "…" + " " * (columns - 1 - used)


def whole_phrases(text: str, columns: int) -> str:
    """A cleaned text in at most so many columns, without the phrases at its end for which there is no room.

    Phrases stand between commas; only where the first one is too long by itself it is cut, at a `…`.
    """
    phrases = text.split(", ")
    while len(phrases) > 1 and width(", ".join(phrases)) > columns:
        phrases.pop()
    return fitted(", ".join(phrases), columns).rstrip()


def under(lead: str, text: str, columns: int, most: int = 0) -> tuple[str, ...]:
    """A cleaned text behind a lead, such as a label; what finds no room stands below, under its beginning.

    With `most` it takes at most so many rows, and `…` stands where the rest is cut.
    """
    room = max(4, columns - width(lead))
    rows = wrapped(text, room)
    if most and len(rows) > most:
        rows = [*rows[: most - 1], fitted(" ".join(rows[most - 1 :]), room).rstrip()]
    return (f"{lead}{rows[0]}", *(" " * width(lead) + row for row in rows[1:]))


def wrapped(text: str, columns: int, indent: str = "") -> list[str]:
    """A cleaned text in lines of at most so many columns; words longer than a line are broken."""
    room = max(4, columns - width(indent))
    rows: list[str] = []
    for paragraph in text.split("\n"):
        row = ""
        for word in paragraph.split(" "):
            piece = word
            if row and width(row) + 1 + width(piece) > room:
                rows.append(row)
                row = ""
            while width(piece) > room:
                head = fitted(piece, room + 1)[:-1].rstrip("…") or piece[:1]
                if row:
                    rows.append(row)
                    row = ""
                rows.append(head)
                piece = piece[len(head) :]
            row = f"{row} {piece}" if row else piece
        rows.append(row)
    return [indent + r for r in rows]
