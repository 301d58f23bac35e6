"""A layout as text without a drawing: what lies where, the cuts in order, what is left, what found no place."""

from __future__ import annotations

from collections.abc import Iterator

from logbook.layout.cut_records import Cut, Layout, Piece, Rules
from logbook.layout.layout_tables import mm
from logbook.model.plural import counted
from logbook.render.layout_document import binned_of
from logbook.render.plain import clean


def layout_list(layout: Layout, pieces: tuple[Piece, ...], rules: Rules, width: int = 80) -> str:
    """The layout as lines.

    Args:
        layout: what was found.
        pieces: the pile it was found on.
        rules: kerf, trims, and from which size leftovers are kept.
        width: columns; longer lines are broken between words.
    """
    lines = list(_lines(layout, {p.code: p for p in pieces}, rules))
    return "".join(f"{part}\n" for line in lines for part in _broken(clean(line, limit=2000), width))


def _lines(layout: Layout, pieces: dict[str, Piece], rules: Rules) -> Iterator[str]:
    count = len(layout.placements)
    missing = sum(u.quantity for u in layout.unplaced)
    placed = (
        ("the one part placed" if count == 1 else f"all {counted(count, 'part')} placed")
        if not missing
        else f"{counted(count, 'part')} placed, no room for {missing}"
    )
    yield f"{len(layout.used)} piece{'' if len(layout.used) == 1 else 's'}, {placed}"
    if layout.used and layout.proven:
        yield "It cannot be done with pieces of less value." if layout.used_value else "It cannot be done with less."
    if layout.used and layout.fewest_pieces:
        yield "It cannot be done with fewer pieces."
    for code in layout.used:
        piece = pieces[code]
        parts = [p for p in layout.placements if p.piece == code]
        share = 100 * sum(p.length * p.width for p in parts) / (piece.length * piece.width)
        yield ""
        thick = f" {mm(piece.thickness[0])}" if piece.thickness else ""
        yield f"{code}  {piece.material}{thick}  {mm(piece.length)} x {mm(piece.width)}  parts {share:.1f} %"
        for p in parts:
            turned = "  turned" if p.turned else ""
            yield f"  {p.part}  {mm(p.length)} x {mm(p.width)}  at {mm(p.x)}, {mm(p.y)}{turned}"
        for x in layout.leftovers:
            if x.piece == code and x.keep:
                yield f"  keep  {mm(x.length)} x {mm(x.width)}  at {mm(x.x)}, {mm(x.y)}"
        if binned := binned_of(layout, piece, rules):
            yield f"  bin   {binned}"
    yield from _cut_lines(layout.cuts)
    yield from _missing_lines(layout)


def _cut_lines(cuts: tuple[Cut, ...]) -> Iterator[str]:
    last = 0
    for cut in cuts:
        if not last:
            yield ""
            yield "Cuts, grouped by fence setting"
        if cut.setting != last:
            yield f"  {_setting(cut)}"
            last = cut.setting
        kept = f" -> {cut.keep}" if cut.keep and not cut.trim else ""
        rest = f", then {cut.rest}" if cut.rest else ""
        yield f"    {cut.order}. {cut.cut_from}{kept}{rest}   used {mm(cut.used)} of {mm(cut.of)}"
        if cut.warning:
            yield f"       WARNING: {cut.warning}"


def _setting(cut: Cut) -> str:
    if cut.trim:
        return (
            f"trim the long edge true, {mm(cut.fence)} mm off"
            if cut.axis == "y"
            else f"square one end, {mm(cut.fence)} mm off"
        )
    return f"fence {mm(cut.fence)}, rip" if cut.axis == "y" else f"stop {mm(cut.fence)}, crosscut"


def _missing_lines(layout: Layout) -> Iterator[str]:
    if not layout.unplaced:
        return
    yield ""
    yield "No room for"
    for u in layout.unplaced:
        times = f" x {u.quantity}" if u.quantity > 1 else ""
        yield f"  {u.part}{times}: {u.why}"
    for bought in layout.purchases:
        grain = "" if bought.grain == "free" else ", grain along the length"
        yield (
            f"  To buy for {', '.join(bought.parts)}: {bought.material} {mm(bought.thickness)}, at least "
            f"{mm(bought.length)} x {mm(bought.width)}{grain}"
        )


def _broken(line: str, width: int) -> list[str]:
    import textwrap

    indent = len(line) - len(line.lstrip())
    return textwrap.wrap(line, width, subsequent_indent=" " * (indent + 4), break_on_hyphens=False) or [""]
