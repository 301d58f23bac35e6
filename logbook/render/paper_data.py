"""Blocks as plain values for a template: what `templates/paper/sheet.typ` and `page.html` are given."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import partial
from itertools import groupby, zip_longest
from typing import Any

from logbook.render.blocks import (
    Block,
    Drawing,
    Ends,
    Group,
    Head,
    Item,
    NewPage,
    PageRule,
    Pictures,
    Plot,
    PlotMark,
    Runs,
    Sign,
    Table,
    Tone,
    as_text,
    flat,
)

LONGEST_WORD = 24
"""Characters after which a word may break, so that none leaves the paper."""
MOST_KEPT = 1_100
"""Characters that are kept together on one page; a longer group may break."""
_LONG = re.compile(rf"\S{{{LONGEST_WORD}}}(?=\S)")
_FRAMED = (Tone.HAZARD, Tone.HOLD)
_WRITTEN = (Sign.BLANK, Sign.LONG_BLANK, Sign.REST)
POINT = "- "
"""The mark of one point of a list."""
MOST_LINE = 80
"""Characters of a row above which one column of a table takes the rest of the width and is wrapped."""

PathOf = Callable[[str], str | None]
"""Where a photo lies for the template; None when it is not to be shown."""


def breaking(text: str) -> str:
    """A text with unseen places to break in words that are longer than a line could be."""
    return _LONG.sub(lambda m: f"{m[0]}\u200b", text)


def block_values(blocks: Sequence[Block], path_of: PathOf, *, pair: int = 0) -> list[dict[str, Any]]:
    """Every block as a dictionary with its kind under `k`; hazards and hold points stand in frames.

    Args:
        blocks: `Page.blocks`.
        path_of: see `PathOf`.
        pair: two short things of a list stand side by side when neither is longer than so many characters.
    """
    made, first = [], True
    for kind, run in groupby(blocks, key=partial(_kind, pair)):
        if kind in _FRAMED:
            items = _with_initials([_value(b, path_of, pair) for b in run])
            made.append({"k": "frame", "tone": str(kind), "blocks": items})
            continue
        values = [_value(b, path_of, pair) for b in run]
        if kind.startswith("short") and len(values) > 1:
            made.append({"k": "pairs", "items": values})
            continue
        for value in values:
            if value["k"] == "ends":
                value["first"], first = first, False
            made.append(value)
    return made


def _kind(pair: int, block: Block) -> str:
    """What keeps neighbours together: the tone of a frame, or that they are short things of one kind."""
    if not isinstance(block, Item):
        return ""
    if block.tone in _FRAMED:
        return block.tone
    plain = block.tone is Tone.PLAIN and block.indent and not any(r in _WRITTEN for r in block.words)
    if not plain or len(as_text(block.mark)) + len(as_text(block.words)) > pair:
        return ""
    return "short point" if block.mark == (POINT,) else "short"


def _with_initials(items: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Items with a place for initials that stands alone set at the end of what it is for."""
    made: list[dict[str, Any]] = []
    for item in items:
        if made and item["tone"] == Tone.HAZARD and not item["mark"] and item["written"]:
            last = made[-1]
            made[-1] = {**last, "words": [*last["words"], "   ", *item["words"]], "written": True}
        else:
            made.append(item)
    return made


def _value(block: Block, path_of: PathOf, pair: int) -> dict[str, Any]:
    made: dict[str, Any] = {"k": "gap"}
    match block:
        case Ends(left, right, mark):
            made = {
                "k": "ends", "left": _runs(left), "right": _runs(right), "mark": _runs(mark),
                "columns": len(as_text(mark)), "first": False,
            }  # fmt: skip
        case PageRule():
            made = {"k": "rule"}
        case Head(words):
            made = {"k": "head", "words": breaking(words.upper())}
        case Item():
            made = _item(block)
        case Table():
            made = _table(block)
        case Drawing():
            made = _drawing(block)
        case Plot():
            made = _plot(block)
        case NewPage():
            made = {"k": "new page"}
        case Pictures(pictures, beside):
            shown = [{"path": path_of(p.file), "words": f"Photo: {p.caption or p.file}"} for p in pictures]
            made = {"k": "pictures", "pictures": shown, "beside": beside}
        case Group(inner):
            made = {"k": "group", "keep": _size(inner) <= MOST_KEPT, "blocks": block_values(inner, path_of, pair=pair)}
    return made


SCALES = (1, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 40, 50, 100)
"""Scales that a drawing is made at: 1 to so much."""
ROOM = (182, 92)
"""Millimetres on paper for a drawing, along and across."""
LEAST = 9
"""A strip is drawn at least so many millimetres wide on paper, and it is said when that is not to scale."""


def _drawing(of: Drawing) -> dict[str, Any]:
    """A drawing in millimetres on paper."""
    long, wide = of.length / of.per_mm, of.width / of.per_mm
    along = next((n for n in SCALES if long / n <= ROOM[0] and wide / n <= ROOM[1]), SCALES[-1])
    across = along
    if wide / along < LEAST:
        across = next((n for n in reversed(SCALES) if n < along and wide / n >= LEAST), SCALES[0])
    said = f"scale 1 : {along:g}" + (f" along, 1 : {across:g} across" if across != along else "")
    shapes = [
        {
            "x": s.x / of.per_mm / along, "y": s.y / of.per_mm / across, "w": s.length / of.per_mm / along,
            "h": s.width / of.per_mm / across, "kind": s.kind, "labels": list(s.labels), "grain": s.grain,
        }
        for s in of.shapes
    ]  # fmt: skip
    size = {"w": long / along, "h": wide / across}
    return {"k": "drawing", **size, "shapes": shapes, "words": said, "lines": list(of.lines)}


IN_PRINT = {
    PlotMark.SOLID: "Dark",
    PlotMark.GREY: "Light",
    PlotMark.OPEN: "Open",
    PlotMark.RANGE: "The line",
    PlotMark.POINT: "The mark",
    PlotMark.LIMIT: "The heavy line",
    PlotMark.NOUGHT: "The dotted line",
}
"""How each mark of a plot is called where it is drawn as a shape."""


def _plot_words(of: Plot) -> str:
    """What its marks mean, then its caption."""
    said = [f"{IN_PRINT[mark]}: {words}." for mark, words in of.meanings]
    return " ".join([*said, of.caption]).strip()


def _plot(of: Plot) -> dict[str, Any]:
    """A plot in hundredths of its width."""

    def hundredths(share: float) -> float:
        return round(100 * min(1.0, max(0.0, share)), 2)

    rows = [
        {
            "name": breaking(row.name),
            "figure": row.figure,
            "bars": [
                {"x": hundredths(bar.begin), "w": hundredths(bar.end - bar.begin), "mark": str(bar.mark)}
                for bar in row.bars
            ],
        }
        for row in of.rows
    ]
    limit = None if of.limit is None else hundredths(of.limit)
    nought = None if of.nought is None else hundredths(of.nought)
    return {"k": "plot", "rows": rows, "words": breaking(_plot_words(of)), "limit": limit, "nought": nought}


def _item(item: Item) -> dict[str, Any]:
    mark = as_text(item.mark)
    return {
        "k": "item", "mark": _runs(item.mark), "words": _runs(item.words), "indent": item.indent,
        "tone": str(item.tone), "columns": len(mark) if mark.endswith("   ") else 0,
        "written": any(r in _WRITTEN for r in item.words),
    }  # fmt: skip


def _table(table: Table) -> dict[str, Any]:
    cells = [[breaking(c) for c in row] for row in table.rows]
    widths = [max(len(row[i]) for row in table.rows) for i in range(len(table.rows[0]))]
    return {
        "k": "table", "rows": cells, "right": list(table.right), "widest": table.widest, "headed": table.headed,
        "wide": sum(widths) > MOST_LINE, "keep": max(widths) < MOST_KEPT // 2,
    }  # fmt: skip


def _runs(of: Runs) -> list[str | dict[str, str]]:
    made: list[str | dict[str, str]] = []
    for run, after in zip_longest(of, of[1:], fillvalue=""):
        if isinstance(run, Sign):
            made.append({"sign": run.name})
        elif run:  # the last blank before a sign holds it to its word
            text = run[:-1] + "\u00a0" if run.endswith(" ") and isinstance(after, Sign) else run
            made.append(breaking(text))
    return made


def _size(blocks: tuple[Block, ...]) -> int:
    """About how much room blocks take, in characters."""
    size = 0
    for block in flat(blocks):
        match block:
            case Item(mark, words):
                size += 80 * (1 + (len(as_text(mark)) + len(as_text(words))) // 90)
            case Pictures():
                size += 700
            case Plot(plotted):
                size += 80 * (1 + len(plotted))
            case Table(rows):
                size += sum(80 * (1 + sum(map(len, row)) // 80) for row in rows)
            case _:
                size += 80
    return size
