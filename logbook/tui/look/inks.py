"""A line of a screen as spans of text in inks.

An ink is words: a name of the palette (`muted`), `bold`, `under`, `invert`, and a ground after `on-` (`on-hue1`).
It says what something means, never which colour that is. What a person typed becomes a line by `typed`, or passes
`clean` before it comes here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from logbook.render.plain import clean, fitted, width, wrapped


class Span(NamedTuple):
    """Text in one ink; no ink is that of plain text."""

    text: str
    ink: str = ""


Line = tuple[Span, ...]
Part = str | Span | Sequence[Span]
"""What a line is put together from: words, a span, or a line."""

BLANK: Line = ()
"""An empty row."""


def line(*parts: Part) -> Line:
    """Spans in a row. Words alone have the ink of plain text, lines may stand among them."""
    return tuple(span for part in parts for span in _spans(part) if span.text)


def typed(words: str, ink: str = "", *, limit: int = 400) -> Line:
    """What somebody typed as a line, harmless on a terminal; of more letters than `limit` their number is said."""
    return line(Span(clean(words, limit=limit), ink))


def _spans(part: Part) -> Iterator[Span]:
    if isinstance(part, str):
        yield Span(part)
    elif isinstance(part, Span):
        yield part
    else:
        yield from part


def text_of(spans: Iterable[Span]) -> str:
    """The letters alone."""
    return "".join(span.text for span in spans)


def width_of(spans: Iterable[Span]) -> int:
    """Columns taken; wide letters count two."""
    return sum(width(span.text) for span in spans)


def fit(spans: Line, columns: int) -> Line:
    """Exactly so many columns: filled with blanks, or cut, and then `…` is the last sign."""
    if columns <= 0:
        return BLANK
    taken = width_of(spans)
    if taken == columns:
        return spans
    if taken < columns:
        return (*spans, Span(" " * (columns - taken)))
    return tuple(_cut(spans, columns))


def clipped(lines: Iterable[Line], columns: int) -> list[Line]:
    """Lines as they are, but for those over so many columns, which are cut as `fit` cuts."""
    return [fit(each, columns) if width_of(each) > columns else each for each in lines]


def _cut(spans: Line, columns: int) -> Iterator[Span]:
    room = columns
    for span in spans:
        size = width(span.text)
        if size >= room:
            yield Span(fitted(span.text + "…" if size == room else span.text, room), span.ink)
            return
        yield span
        room -= size


def apart(left: Line, right: Line, columns: int) -> Line:
    """One line at the left edge, one at the right; the left one gives way where they meet."""
    if not right:
        return fit(left, columns)
    right = right if width_of(right) <= columns else fit(right, columns)
    room = columns - width_of(right)
    return line(fit(left, room - 1), " ", right) if room > 1 else line(" " * room, right)


def beside(left: Sequence[Line], right: Sequence[Line], columns: int, gap: int = 2) -> list[Line]:
    """Two blocks side by side, the left one in so many columns."""
    rows = []
    for number in range(max(len(left), len(right))):
        first = left[number] if number < len(left) else BLANK
        second = right[number] if number < len(right) else BLANK
        rows.append(line(fit(first, columns), " " * gap, second))
    return rows


def wrap(words: str, columns: int, ink: str = "") -> list[Line]:
    """A sentence over as many rows as it needs; nothing of it is cut."""
    return [(Span(row, ink),) for row in wrapped(words, max(4, columns)) if row]


def flow(spans: Iterable[Span], columns: int) -> list[Line]:
    """Words of several inks over as many rows as they need; nothing of them is cut.

    Where one span ends and the next begins without a blank, no row ends either.
    """
    room = max(4, columns)
    rows: list[list[Span]] = [[]]
    used = 0
    for word in _words(spans, room):
        size = width_of(word)
        if used and used + 1 + size > room:
            rows.append([])
            used = 0
        if used:
            same = rows[-1][-1].ink == word[0].ink
            rows[-1].append(Span(" ", word[0].ink if same else ""))
            used += 1
        rows[-1] += word
        used += size
    return [joined(row) for row in rows if row]


def _words(spans: Iterable[Span], room: int) -> Iterator[Line]:
    """Words, each with its inks; what is longer than a row is broken."""
    word: list[Span] = []
    for span in spans:
        for number, text in enumerate(span.text.split(" ")):
            if number and word:
                yield from _broken(word, room)
                word = []
            if text:
                word.append(Span(text, span.ink))
    if word:
        yield from _broken(word, room)


def _broken(word: list[Span], room: int) -> Iterator[Line]:
    if width_of(word) <= room:
        yield tuple(word)
        return
    for span in word:
        for piece in wrapped(span.text, room):
            yield (Span(piece, span.ink),)


def hanging(head: Line, words: str, columns: int, ink: str = "") -> list[Line]:
    """A sentence beside its head, its later rows below its own beginning; nothing of it is cut."""
    lead = width_of(head)
    rows = wrap(words, columns - lead, ink) or [BLANK]
    return [line(head, rows[0]), *(line(" " * lead, row) for row in rows[1:])]


def cells(words: str, ink: str = "") -> list[Span]:
    """One span for each cell: a wide letter is followed by an empty one, a mark joins the letter before it."""
    found: list[Span] = []
    for char in words:
        size = width(char)
        if size == 0:
            if found:
                found[-1] = Span(found[-1].text + char, found[-1].ink)
            continue
        found.append(Span(char, ink))
        found += [Span("", ink)] * (size - 1)
    return found


def cells_in(words: str, columns: int, ink: str = "") -> list[Span]:
    """The same in exactly so many cells: filled with blanks, or cut without half a wide letter."""
    found = cells(words, ink)
    if len(found) > columns:
        found = found[:columns]
        if found and width(found[-1].text) > 1:
            found[-1] = Span(" ", ink)
    return found + [Span(" ", ink)] * (columns - len(found))


def joined(spans: Iterable[Span]) -> Line:
    """Neighbours of one ink as one span: fewer changes of style go to the terminal."""
    found: list[Span] = []
    for span in spans:
        if found and found[-1].ink == span.ink:
            found[-1] = Span(found[-1].text + span.text, span.ink)
        else:
            found.append(span)
    return tuple(span for span in found if span.text)


def group(title: str, said: str = "") -> Line:
    """The head of a group, with what is said beside it."""
    return line(Span("▎", "head"), Span(title, "bold head"), Span(f"  {said}" if said else "", "muted"))


def signal(word: str, ink: str) -> Line:
    """A signal word as a block; `ink` is what it means: `bad`, `wait`, `good`, `hold` or `head`."""
    return (Span(f" {word} ", f"bold ink on-{ink}"),)
