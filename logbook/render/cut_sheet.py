"""Cut sheets: the cut list, then one piece to a page as it lies on the saw, with its cuts to tick in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from logbook.layout.cut_records import Box, Cut, Piece
from logbook.layout.layout_tables import mm
from logbook.layout.mirrored_parts import mirror_sentences
from logbook.layout.saw import Saw
from logbook.layout.usable_rectangles import NOT_USABLE, defect_boxes, not_usable, usable_boxes
from logbook.model.measures import TICKS_PER_MM
from logbook.model.unit import Unit
from logbook.model.words import Grain
from logbook.render.blocks import Drawing, Shape, Sign, Tone
from logbook.render.layout_document import (
    SAFETY,
    binned_words,
    cut_words,
    draw_laid,
    is_knife,
    kept_words,
    layout_sentence,
    missing_words,
    piece_words,
    setting_words,
    used_words,
)
from logbook.render.page import CAUTION, Page, moment_words
from logbook.render.plain import clean


def cut_sheet_page(
    unit: Unit,
    saws: Sequence[Saw],
    said: Sequence[str],
    *,
    version: int,
    kept_at: datetime | None,
    now: datetime,
    width: int = 80,
) -> Page:
    """The cut sheets of a unit.

    Args:
        unit: whose parts they are.
        saws: a layout for each kind of parts, in the order in which they are cut.
        said: sentences that stand at the top, such as what has no size yet.
        version: number of the last change of the record.
        kept_at: when that change was kept.
        now: when this is printed.
        width: columns of plain text.
    """
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "CUT SHEETS")
    page.ends(f"record version {version}, kept {moment_words(kept_at, now)}", f"printed {moment_words(now)}")
    page.rule()
    page.item("WARNING  ", f"the saw. {SAFETY}", tone=Tone.HAZARD)
    page.say(CAUTION)
    for sentence in said:
        page.say(sentence)
    for saw in saws:
        page.head(saw.kept.what)
        page.say(layout_sentence(saw.layout, saw.kept.what))
        for line in missing_words(saw):
            page.say(line)
        page.table([_HEAD, *_part_rows(saw)], right=(1, 2, 3), widest=4, headed=True)
        for sentence in mirror_sentences(unit, (p.code for p in saw.kept.parts), several_units=_several(saw)):
            page.say(sentence, tone=Tone.NOTE)
        _by_setting(page, saw)
    for saw in saws:
        for laid in saw.kept.pieces:
            page.new_page()
            _piece(page, unit, saw, laid.piece.code, width)
    return page


def _several(saw: Saw) -> bool:
    """Whether the parts of other units are cut with those of this one, so that codes carry the unit's."""
    return bool(saw.kept.with_units)


_HEAD = ("part", "how many", "size to cut", "thick", "material", "from")


def _part_rows(saw: Saw) -> Iterator[tuple[str, ...]]:
    """The cut list: every part with the size at which it leaves the saw, and the piece it comes from."""
    for p in saw.kept.parts:
        places = dict.fromkeys(x.piece for x in saw.layout.placements if x.part == p.code)
        size = f"{mm(p.length.ticks)} x {mm(p.width.ticks)}"
        yield p.code, f"{p.quantity}", size, mm(p.thickness.ticks), p.material, ", ".join(places) or "NO ROOM"


def _by_setting(page: Page, saw: Saw) -> None:
    """All cuts of one fence setting together, so that the fence is moved seldom."""
    if any(is_knife(p) for p in saw.pieces):
        return
    settings: dict[int, list[Cut]] = {}
    for cut in saw.layout.cuts:
        settings.setdefault(cut.setting, []).append(cut)
    if len(settings) > 1:
        page.say("Cuts by fence setting:")
    for number, cuts in enumerate(settings.values() if len(settings) > 1 else (), 1):
        page.item(f"({number}) ", f"{setting_words(cuts[0])}: {', '.join(f'{c.order} {c.piece}' for c in cuts)}", 2)


def _piece(page: Page, unit: Unit, saw: Saw, code: str, width: int) -> None:
    piece = next(p for p in saw.pieces if p.code == code)
    laid = saw.laid(code)
    page.say(piece_words(piece), tone=Tone.LARGE)
    page.say(f"{used_words(saw.layout, piece)}{f'   kept at {laid.piece.place}' if laid.piece.place else ''}")
    page.drawing(drawn_piece(saw, piece, width))
    page.say("Write the code on each part at once, before the next cut.", tone=Tone.FIRST)
    here = (x.part for x in saw.layout.placements if x.piece == code)
    for sentence in mirror_sentences(unit, here, several_units=_several(saw)):
        page.say(sentence, tone=Tone.FIRST)
    warned = ""
    for cut in saw.cuts_on(code):
        if cut.warning and cut.warning != warned:
            page.item("WARNING  ", cut.warning, tone=Tone.HAZARD)
        warned = cut.warning
        sign = "  WARNING as above" if cut.warning else ""
        box = Sign.TICKED if cut.order in saw.kept.done else Sign.BOX
        words = f"{setting_words(cut, knife=is_knife(piece))}: {cut_words(cut)}{sign}"
        page.item((box, f" {cut.order:>3}  "), words)
    if kept := kept_words(saw, code):
        page.item("keep  ", kept)
    if binned := binned_words(saw, code):
        page.item("bin   ", binned)


def drawn_piece(saw: Saw, piece: Piece, width: int) -> Drawing:
    """The piece as it lies: parts, what is kept, what is not usable, defects."""
    names, of_pile = saw.names(), saw.laid(piece.code).piece
    around = not_usable(of_pile)
    shapes = [Shape(b.x, b.y, b.length, b.width, "usable") for b in (usable_boxes(of_pile) if around else ())]
    for rest in saw.layout.leftovers:
        if rest.piece == piece.code:
            name = names.get((piece.code, Box(rest.x, rest.y, rest.length, rest.width)), "")
            size = f"{mm(rest.length)} x {mm(rest.width)}"
            words = (f"keep {name}".strip(), size) if rest.keep else ()
            kind = "keep" if rest.keep else "waste"
            shapes.append(Shape(rest.x, rest.y, rest.length, rest.width, kind, words))
    free = {p.code for p in saw.kept.parts if p.grain is Grain.FREE}
    grain = {Grain.LENGTH: "x", Grain.WIDTH: "y"}.get(piece.grain, "")
    for placed in saw.layout.placements:
        if placed.piece == piece.code:
            long, wide = (placed.width, placed.length) if placed.turned else (placed.length, placed.width)
            words = (clean(placed.part, limit=40), f"{mm(long)} x {mm(wide)}")
            arrow = "" if placed.part in free else grain
            shapes.append(Shape(placed.x, placed.y, placed.length, placed.width, "part", words, arrow))
    shapes += [Shape(b.x, b.y, b.length, b.width, "around", (NOT_USABLE,)) for b in around]
    shapes += [Shape(d.x, d.y, d.length, d.width, "defect") for d in defect_boxes(of_pile)]
    lines = tuple(clean(line, limit=400) for line in draw_laid(saw, piece.code, width, 11))
    return Drawing(piece.length, piece.width, TICKS_PER_MM, tuple(shapes), lines)


def cut_rows(saws: Sequence[Saw]) -> list[tuple[str, ...]]:
    """Every cut as a row of a table."""
    rows: list[tuple[str, ...]] = [
        ("parts", "cut", "piece", "fence setting", "fence_mm", "way", "cut from", "keep", "rest", "used_mm", "of_mm",
         "made", "warning")
    ]  # fmt: skip
    for saw in saws:
        for c in saw.layout.cuts:
            way = "rip" if c.axis == "y" else "crosscut"
            made = "yes" if c.order in saw.kept.done else "no"
            rows.append(
                (saw.kept.what, f"{c.order}", c.piece, f"{c.setting}", mm(c.fence), f"trim, {way}" if c.trim else way,
                 c.cut_from, c.keep, c.rest, mm(c.used), mm(c.of), made, c.warning)
            )  # fmt: skip
    return rows
