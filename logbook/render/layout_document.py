"""A layout drawn and in words: the pieces to scale, the cuts in order, what is left, what found no place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from logbook.layout.cut_records import Box, Cut, Layout, Leftover, PartToCut, Piece, Placement, Rules
from logbook.layout.layout_tables import layout_data, mm
from logbook.layout.mirrored_parts import mirror_sentences
from logbook.layout.offcut_rules import SCRAP
from logbook.layout.saw import Saw
from logbook.layout.usable_rectangles import NOT_USABLE, defect_boxes, not_usable, usable_boxes
from logbook.model.unit import Unit
from logbook.model.words import Grain
from logbook.render.drawing import DrawnArea, drawing
from logbook.render.glyphs import FINE
from logbook.render.page import CAUTION, Page

SAFETY = (
    "Guard and riving knife in place; unplugged to change the blade; eyes and ears protected; a push block for what is "
    "narrower than 150 mm or shorter than 300 mm. Write the code on each part before the next cut."
)
"""Stands before the first cut (saw manuals; common practice)."""


_NAMES = {"panels": ("panel", "panels"), "veneer": ("leaf", "leaves"), "strips": ("strip", "strips")}


def parts_words(count: int, kind: str) -> str:
    """So many of a kind: `5 panels`, `1 leaf`."""
    return f"{count} {_NAMES.get(kind, ('part', 'parts'))[count != 1]}"


def layout_sentence(layout: Layout, kind: str) -> str:
    """What the layout comes to, in a sentence: pieces, parts, whether anything must be bought, what is proven."""
    missing = sum(u.quantity for u in layout.unplaced)
    count = len(layout.placements)
    pieces = f"{len(layout.used)} piece{'' if len(layout.used) == 1 else 's'}"
    if not missing:
        words = f"{pieces}, {'all ' if count > 1 else ''}{parts_words(count, kind)} placed, nothing to buy."
    else:
        words = f"{pieces}, {parts_words(count, kind)} placed, NO ROOM for {missing} (w says why and what to buy)."
    if layout.used and layout.fewest_pieces and not missing:
        words += " It cannot be done with fewer pieces."
    elif layout.used and layout.proven and not missing:
        words += " It cannot be done with less."
    return words


def length_left(layout: Layout, piece: Piece) -> int:
    """How much of the length of a piece is left beyond its last part and cut, in ticks."""
    crosscuts = [c.used for c in layout.cuts if c.piece == piece.code and c.axis == "x" and not c.trim]
    ends = [p.x + p.length for p in layout.placements if p.piece == piece.code]
    return piece.length - min(piece.length, max([*crosscuts, *ends], default=0))


def used_words(layout: Layout, piece: Piece) -> str:
    """The running total of a piece: `used 960 of 980`, and which share of it are parts."""
    used = piece.length - length_left(layout, piece)
    area = sum(p.length * p.width for p in layout.placements if p.piece == piece.code)
    share = area / (piece.length * piece.width) * 100 if piece.length and piece.width else 0
    return f"used {mm(used)} of {mm(piece.length)}   {share:.1f} %"


def piece_words(piece: Piece) -> str:
    """`O01 12 ply 11.8   980 x 260`."""
    thick = sorted({mm(t) for t in piece.thickness})
    measured = "-".join((thick[0], thick[-1])) if len(thick) > 1 else "".join(thick) or "?"
    return f"{piece.code} {piece.material} {measured}   {mm(piece.length)} x {mm(piece.width)}"


def draw_laid(saw: Saw, code: str, columns: int, most: int = 9) -> list[str]:
    """One piece to scale: parts with code, size and grain, what is kept dotted, defects hatched, true edge below.

    Of several usable rectangles each is framed, and what lies around them is marked as not usable.
    """
    piece = next(p for p in saw.pieces if p.code == code)
    of_pile = saw.laid(code).piece
    freed, names = saw.freed(), saw.names()
    parts = {p.code: p for p in map(_wanted, saw.kept.parts)}
    rests = [x for x in saw.layout.leftovers if x.piece == code]
    around = not_usable(of_pile)
    areas = [_rest_area(x, names.get((code, Box(x.x, x.y, x.length, x.width)), "")) for x in rests]
    areas += [
        _part_area(p, parts.get(p.part), piece, done=(code, p.box) in freed)
        for p in saw.layout.placements
        if p.piece == code
    ]
    widest = max(around, key=lambda b: b.length, default=None)
    for b in around:
        words = (NOT_USABLE,) if b is widest else ()
        areas.append(DrawnArea(b.x, b.y, b.length, b.width, ":", words, framed=False))
    areas += [DrawnArea(b.x, b.y, b.length, b.width, "") for b in (usable_boxes(of_pile) if around else ())]
    areas += [DrawnArea(d.x, d.y, d.length, d.width, FINE.defect, framed=False) for d in defect_boxes(of_pile)]
    return drawing(piece.length, piece.width, areas, columns, most)


def _wanted(part: Any) -> PartToCut:
    from logbook.layout.kept import part_of

    return part_of(part)


def _rest_area(rest: Leftover, name: str) -> DrawnArea:
    size = f"{mm(rest.length)} x {mm(rest.width)}"
    if rest.keep:
        return DrawnArea(rest.x, rest.y, rest.length, rest.width, ".", (f"{name or 'keep'} {size}", "keep"))
    return DrawnArea(rest.x, rest.y, rest.length, rest.width, " ", (f"{size} bin",))


def _part_area(placed: Placement, part: PartToCut | None, piece: Piece, *, done: bool) -> DrawnArea:
    long, wide = (placed.width, placed.length) if placed.turned else (placed.length, placed.width)
    grain = "" if Grain.FREE in (piece.grain, part.grain if part is not None else Grain.FREE) else _arrow(piece)
    labels = (
        f"{'[x] ' if done else ''}{placed.part} {mm(long)} x {mm(wide)}",
        " ".join(x for x in (grain, "turned" if placed.turned else "") if x),
    )
    return DrawnArea(placed.x, placed.y, placed.length, placed.width, " ", labels)


def _arrow(piece: Piece) -> str:
    return ">grain" if piece.grain is Grain.LENGTH else "^grain"


def setting_words(cut: Cut, *, knife: bool = False) -> str:
    """The fence setting of a cut: `fence 235.4, rip`; with a knife there is no fence."""
    if knife:
        return f"at {mm(cut.fence)}, with the grain" if cut.axis == "y" else f"at {mm(cut.fence)}, across the length"
    if cut.trim:
        return (
            f"trim the long edge true, {mm(cut.fence)} mm off"
            if cut.axis == "y"
            else f"square one end, {mm(cut.fence)} mm off"
        )
    return f"fence {mm(cut.fence)}, rip" if cut.axis == "y" else f"stop {mm(cut.fence)}, crosscut"


def is_knife(piece: Piece) -> bool:
    """Whether it is cut without a kerf."""
    return piece.kerf == 0


def cut_words(cut: Cut) -> str:
    """What to do and what to keep: `O01 strip A: keep P1, then O01 strip B   used 492 of 980`."""
    kept = f" -> {cut.keep}" if cut.keep and cut.keep != cut.cut_from else ""
    rest = f", then {cut.rest}" if cut.rest else ""
    return f"{cut.cut_from}{kept}{rest}   used {mm(cut.used)} of {mm(cut.of)}"


def kept_words(saw: Saw, code: str) -> str:
    """What is kept of a piece: `O02b 655 x 56.6`; empty when all of the rest is waste."""
    names = saw.names()
    kept = [x for x in saw.layout.leftovers if x.piece == code and x.keep]
    return ", ".join(
        f"{names.get((code, Box(x.x, x.y, x.length, x.width)), code)} {mm(x.length)} x {mm(x.width)}" for x in kept
    )


MOST_SCRAP = 3
"""Leftovers for the bin that are named one by one."""


def binned_words(saw: Saw, code: str) -> str:
    """What of a piece the keep rule bins, the largest first, and the rule; empty where nothing worth a word is left.

    `too small for the pile: 120 x 40 (the pile takes 50 x 300 and up, in the settings)`
    """
    piece = next(p for p in saw.pieces if p.code == code)
    return binned_of(saw.layout, piece, saw.rules, ", in the settings")


def binned_of(layout: Layout, piece: Piece, rules: Rules, where: str = "") -> str:
    """The same of any layout.

    Args:
        layout: where everything lies.
        piece: one that is used in it.
        rules: by which leftovers are kept.
        where: what is said of where the rule can be changed.
    """
    rests = [x for x in layout.leftovers if x.piece == piece.code and not x.keep and min(x.length, x.width) >= SCRAP]
    rests.sort(key=lambda x: -x.length * x.width)
    if not rests:
        return ""
    sizes = [f"{mm(x.length)} x {mm(x.width)}" for x in rests[:MOST_SCRAP]]
    sizes += [f"{len(rests) - MOST_SCRAP} more"] if len(rests) > MOST_SCRAP else []
    long, short = rules.kept_from(piece)
    least = f"{mm(short)} x {mm(long)}" if short else f"{mm(long)} long"
    return f"too small for the pile: {', '.join(sizes)} (the pile takes {least} and up{where})"


KEEP_ALL_THE_SAME = "a on the pile writes one down anyway."
"""How a leftover that the rule bins is kept."""


def layout_text(unit: Unit, saws: Sequence[Saw], said: Sequence[str] = (), *, width: int = 80) -> str:
    """The layouts of a unit as text: for each kind of parts the pieces drawn, their cuts, and all fence settings.

    Args:
        unit: whose parts they are.
        saws: a layout for each kind of parts, in the order in which they are cut.
        said: sentences that stand at the top, such as what has no size yet.
        width: columns.
    """
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "LAYOUT AND CUT SHEET")
    page.say("Sizes in mm. The true edge lies to the fence and is drawn below. # is a defect, dots are left over.")
    page.rule()
    page.say(CAUTION)
    page.say(SAFETY)
    for sentence in said:
        page.say(sentence)
    for saw in saws:
        _kind(page, unit, saw, width)
    return page.text()


def _kind(page: Page, unit: Unit, saw: Saw, width: int) -> None:
    page.head(saw.kept.what)
    page.say(layout_sentence(saw.layout, saw.kept.what))
    several_units = bool(saw.kept.with_units)
    for line in mirror_sentences(unit, (p.code for p in saw.kept.parts), several_units=several_units):
        page.say(line)
    for laid in saw.kept.pieces:
        _piece(page, saw, laid.piece.code, width)
    for line in missing_words(saw):
        page.say(line)
    knives = {p.code for p in saw.pieces if is_knife(p)}
    settings = [] if knives else list(_settings(saw.layout.cuts))
    if len(settings) > 1:
        page.blank()
        page.say("Cuts by fence setting")
    for number, (words, cuts) in enumerate(settings if len(settings) > 1 else (), 1):
        page.item(f"  ({number}) ", f"{words}: {', '.join(f'{c.order} {c.piece}' for c in cuts)}")


def _piece(page: Page, saw: Saw, code: str, width: int) -> None:
    piece = next(p for p in saw.pieces if p.code == code)
    laid = saw.laid(code)
    page.blank()
    place = f"   {laid.piece.place}" if laid.piece.place else ""
    page.ends(f"{piece_words(piece)}{place}", used_words(saw.layout, piece))
    for line in draw_laid(saw, code, width, 11):
        page.say(line)
    warned = ""
    for cut in saw.cuts_on(code):
        box = "[x]" if cut.order in saw.kept.done else "[ ]"
        if cut.warning and cut.warning != warned:
            page.item("         WARNING  ", cut.warning)
        warned = cut.warning
        sign = " WARNING as above" if cut.warning else ""
        page.item(f"{box} {cut.order:>3}  ", f"{setting_words(cut, knife=is_knife(piece))}: {cut_words(cut)}{sign}")
    if kept := kept_words(saw, code):
        page.item("keep     ", kept)
    if binned := binned_words(saw, code):
        page.item("bin      ", binned)


def _settings(cuts: Sequence[Cut]) -> Iterator[tuple[str, list[Cut]]]:
    """The cuts that are made without moving the fence, together."""
    for number in dict.fromkeys(c.setting for c in cuts):
        same = [c for c in cuts if c.setting == number]
        yield setting_words(same[0]), same


def missing_words(saw: Saw) -> Iterator[str]:
    """What found no place and why, and the smallest purchase that would do."""
    for u in saw.layout.unplaced:
        times = f" x {u.quantity}" if u.quantity > 1 else ""
        yield f"NO ROOM for {u.part}{times}: {u.why}"
    yield from saw.kept.to_buy


def layouts_data(saws: Sequence[Saw]) -> dict[str, Any]:
    """The layouts of a unit as one answer for machines; the cuts are numbered through."""
    placements: list[Placement] = []
    joined = Layout()
    for saw in saws:
        order, setting = len(joined.cuts), joined.settings
        cuts = [replace(c, order=c.order + order, setting=c.setting + setting) for c in saw.layout.cuts]
        placements += saw.layout.placements
        joined = replace(
            joined,
            unplaced=(*joined.unplaced, *saw.layout.unplaced),
            used=(*joined.used, *saw.layout.used),
            leftovers=(*joined.leftovers, *saw.layout.leftovers),
            cuts=(*joined.cuts, *cuts),
            settings=setting + saw.layout.settings,
            used_area=joined.used_area + saw.layout.used_area,
            part_area=joined.part_area + saw.layout.part_area,
            bound_area=joined.bound_area + (saw.layout.bound_area or saw.layout.part_area),
        )
    return layout_data(replace(joined, placements=tuple(placements)))
