"""The cuts of a layout as rows, and why it is as it is, for its screen."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.layout.records import Cut
from logbook.layout.saw import Saw
from logbook.layout.tables import mm
from logbook.render.layout import cut_words, is_knife, kept_words, missing_words, piece_words, setting_words
from logbook.render.plain import clean, wrapped
from logbook.tui.widgets.rows import Row


def cut_rows(saw: Saw, code: str, room: int) -> list[Row]:
    """The cuts of one piece in their order, what is kept of it, and what found no place."""
    rows = [*_missing(saw, room), *_caution(saw, code, room), *(_row(saw, c, room) for c in saw.cuts_on(code))]
    if kept := kept_words(saw, code):
        rows += [Row("kept", tuple(wrapped(clean(f"keep  {kept}", limit=300), room)), "text", selectable=False)]
    return rows


CAUTION = (
    "CAUTION  guard and riving knife on; eyes and ears; unplug to change the blade; push block under 150 wide or 300 "
    "long. Code on each part before the next cut."
)


def _caution(saw: Saw, code: str, room: int) -> list[Row]:
    """What to mind before the first cut; nothing for a knife, or once all is cut."""
    sawn = any(not is_knife(p) for p in saw.pieces if p.code == code)
    if not sawn or all(c.order in saw.kept.done for c in saw.cuts_on(code)):
        return []
    return [Row("caution", tuple(wrapped(CAUTION, room)), "warning", selectable=False)]


def all_rows(saw: Saw, room: int) -> list[Row]:
    """Every cut of every piece, under its fence setting."""
    rows, last = _missing(saw, room), 0
    for cut in saw.layout.cuts:
        if cut.setting != last:
            last = cut.setting
            rows.append(Row(f"setting {last}", (f"({last}) {_setting(saw, cut)}",), "head", selectable=False))
        rows.append(_row(saw, cut, room))
    return rows


def _missing(saw: Saw, room: int) -> list[Row]:
    return [
        Row(f"missing {i}", tuple(wrapped(clean(words, limit=600), room)), "warning")
        for i, words in enumerate(missing_words(saw))
    ]


def _setting(saw: Saw, cut: Cut) -> str:
    return setting_words(cut, knife=any(is_knife(p) for p in saw.pieces if p.code == cut.piece))


def _row(saw: Saw, cut: Cut, room: int) -> Row:
    done = cut.order in saw.kept.done
    words = f"{'[x]' if done else '[ ]'} {cut.order:>3}  {_setting(saw, cut)}: {cut_words(cut)}"
    lines = wrapped(clean(words, limit=300), room)
    lines = [lines[0], *(f"         {x}" for x in wrapped(" ".join(lines[1:]), room - 9))] if lines[1:] else lines
    if cut.warning and not done:
        lines += [f"         {x}" for x in wrapped(f"WARNING {cut.warning}", room - 9)]
    return Row(f"cut {cut.order}", tuple(lines), "done" if done else "warning" if cut.warning else "")


def layout_reasons(saw: Saw) -> Iterator[str]:
    """What the layout rests on: rules, what is proven, what found no place, and every piece with what lies on it."""
    kept = saw.kept
    yield (
        f"Kerf {kept.kerf.in_mm()}, squaring trim {kept.trim.in_mm()}, thickness within "
        f"{kept.thickness_tolerance.in_mm()} mm of what a part is drawn for. Wanted in this order: every part placed; "
        "nothing bought; least value of pieces used up; the largest useful leftover; fewest fence settings."
    )
    if kept.proven:
        yield "It is proven that no layout of these parts uses up pieces of less value."
    if kept.fewest_pieces:
        yield "It is proven that it cannot be done with fewer pieces."
    yield "A checker that knows nothing of the search has looked it through: sizes, kerf, grain, thickness, defects."
    yield from missing_words(saw)
    if kept.cut:
        yield f"Cut and good already: {', '.join(f'{p.quantity} {p.code}' for p in kept.cut)}."
    if kept.spoilt:
        yield f"Spoilt on the way: {', '.join(kept.spoilt)}."
    for piece in saw.pieces:
        yield f"# {piece_words(piece)}"
        parts = [p for p in saw.layout.placements if p.piece == piece.code]
        for p in parts:
            turned = ", turned" if p.turned else ""
            yield f"{p.part}: {mm(p.length)} x {mm(p.width)} at {mm(p.x)}, {mm(p.y)}{turned}"
