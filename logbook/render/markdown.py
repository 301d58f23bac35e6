"""Blocks as Markdown (CommonMark with the tables and tick boxes that most readers know). Typed text is escaped."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import groupby

from logbook.render.blocks import (
    Block,
    Drawing,
    Ends,
    Head,
    Item,
    PageRule,
    Pictures,
    Plot,
    Run,
    Runs,
    Sign,
    Table,
    Tone,
    as_text,
    flat,
)
from logbook.render.plot_text import plot_lines

PLOT_COLUMNS = 76
"""Of a plot, which is drawn with characters."""

_ANYWHERE = re.compile(r"([\\`*_\[\]<>|~&#!])")
_AT_START = re.compile(r"^(\s*)([-+=](?=[-+=\s]|$)|\d{1,9}(?=[.)](?:\s|$)))", re.MULTILINE)
_AT_START_OF_LINK = re.compile(r"(?i)\b(https?|ftp|www)([:.])")
_SIGNS = {Sign.BOX: "[ ]", Sign.TICKED: "[x]"}


def escaped(text: str) -> str:
    """A text in which nothing means anything to a reader of Markdown."""
    text = _ANYWHERE.sub(r"\\\1", text.replace("\u00a0", " "))
    text = _AT_START_OF_LINK.sub(lambda m: f"{m[1]}\\{m[2]}", text)
    return _AT_START.sub(lambda m: f"{m[1]}{m[2]}\\" if m[2].isdigit() else f"{m[1]}\\{m[2]}", text)


def markdown(blocks: Sequence[Block]) -> str:
    """Blocks as Markdown, ending in a newline."""
    return "\n\n".join(p for p in _paragraphs(blocks) if p.strip()) + "\n"


def _paragraphs(blocks: Sequence[Block]) -> Iterator[str]:
    first = True
    for kind, together in groupby(flat(tuple(blocks)), key=_kind):
        if kind:
            lines = [_set_as(kind, b) for b in together if isinstance(b, Item)]
            if kind == Tone.FIXED:
                yield "\n".join(lines)
                continue
            yield ("\n" if kind == "point" else "\n>\n").join(lines)
            continue
        for block in together:
            yield _single(block, first=first)
            first = first and not isinstance(block, Ends)


def _set_as(kind: str, item: Item) -> str:
    if kind == Tone.FIXED:
        return "\n".join(f"    {line}" for line in as_text((*item.mark, *item.words)).split("\n"))
    return _point(item) if kind == "point" else _quoted(item)


def _kind(block: Block) -> str:
    """What stands in one list, or in one quotation."""
    if not isinstance(block, Item):
        return ""
    if block.tone in (Tone.HAZARD, Tone.HOLD, Tone.FIXED):
        return block.tone
    return "point" if block.mark and block.tone in (Tone.PLAIN, Tone.FIRST) else ""


def _single(block: Block, *, first: bool) -> str:
    made = ""
    match block:
        case Ends(left, right, mark):
            sides = " — ".join(s for s in (_words((*mark, *left)), _words(right)) if s.strip())
            made = f"# {sides}" if first else sides
        case PageRule():
            made = "---"
        case Head(words):
            made = f"## {escaped(words)}"
        case Item():
            made = _paragraph(block)
        case Table():
            made = _table(block)
        case Drawing():
            made = "\n".join(f"    {line}" for line in block.lines)
        case Plot():
            made = "\n".join(f"    {line}" for line in plot_lines(block, PLOT_COLUMNS))
        case Pictures(pictures):
            made = "\n\n".join(f"![{escaped(p.caption or p.file)}](<photos/{_path(p.file)}>)" for p in pictures)
    return made


def _point(item: Item) -> str:
    """One point of a list; a box in its mark becomes the box of the list."""
    box = next((_SIGNS[r] for r in item.mark if isinstance(r, Sign) and r in _SIGNS), "")
    mark = as_text(tuple(r for r in item.mark if isinstance(r, str))).strip().lstrip("-").strip()
    lead = f"- {box} " if box else "- "
    named = f"**{escaped(mark)}** " if mark else ""
    return lead + named + _in_a_line(_words(item.words))


def _paragraph(item: Item) -> str:
    """A paragraph that is no point: the title of a line, or plain words."""
    mark, words = _words(item.mark).strip(), _words(item.words)
    if item.tone is Tone.TITLE:
        return f"### {_in_a_line(f'{mark} {words}')}"
    said = f"**{mark}** {words}" if mark else words
    return said.replace("\n", "  \n")


def _quoted(item: Item) -> str:
    mark, words = _words(item.mark).strip(), _words(item.words)
    said = f"**{mark}** {words}" if mark else words
    return "\n".join(f"> {line}" for line in said.split("\n"))


def _words(of: Runs) -> str:
    return "".join(_run(r) for r in of)


def _run(run: Run) -> str:
    if isinstance(run, Sign):
        return "\\_" * 8 if run not in _SIGNS else f"\\{_SIGNS[run][:-1]}\\]"
    return escaped(run)


def _in_a_line(text: str) -> str:
    return text.replace("\n", " ")


def _table(table: Table) -> str:
    rows = [[_in_a_line(escaped(c)) for c in row] for row in table.rows]
    head = rows[0] if table.headed else [""] * len(rows[0])
    line = ["---:" if i in table.right else "---" for i in range(len(head))]
    body = rows[1:] if table.headed else rows
    return "\n".join("| " + " | ".join(row) + " |" for row in (head, line, *body))


def _path(file: str) -> str:
    return re.sub(r"[<>\\\n]", "_", file)
