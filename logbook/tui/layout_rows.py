"""The cuts of a layout as entries, its parts, and why it is as it is, for its screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from logbook.layout.cut_records import Cut
from logbook.layout.layout_tables import mm
from logbook.layout.mirrored_parts import mirrored_parts
from logbook.layout.misses import CALL_ALIKE
from logbook.layout.saw import Saw
from logbook.model.shop import ShopSettings
from logbook.model.unit import Unit
from logbook.model.usual_lengths import with_usual
from logbook.render.glyphs import Glyphs
from logbook.render.layout_document import (
    KEEP_ALL_THE_SAME,
    binned_words,
    is_knife,
    kept_words,
    missing_words,
    piece_words,
    setting_words,
)
from logbook.render.plain import clean
from logbook.tui.layout_drawing import hues_of
from logbook.tui.look.inks import Line, Span, apart, flow, group, hanging, line, signal, width_of
from logbook.tui.widgets.entries import ListEntry, entry, heading

NO_MIRRORS: Mapping[str, str] = MappingProxyType({})
SAID_FROM = 56
"""From so many columns on an entry says how much of the piece is used up after the cut."""
CAUTION = (
    "guard and riving knife on; eyes and ears; unplug to change the blade; push block under 150 wide or 300 long. "
    "Code on each part before the next cut."
)


def mirrors_of(saw: Saw, units: Sequence[Unit]) -> dict[str, str]:
    """Of which panel each part is the mirror image, by the code that the layout has for it: `mirror of P1`."""
    codes = [part.code for part in saw.kept.parts]
    found: dict[str, str] = {}
    for unit in units:
        found |= mirrored_parts(unit, codes, several_units=len(units) > 1)
    return found


def cut_entries(
    saw: Saw, code: str, columns: int, g: Glyphs, mirrors: Mapping[str, str] = NO_MIRRORS
) -> list[ListEntry]:
    """The cuts in their order under their fence settings: of one piece, or with no code of all of them."""
    cuts = saw.cuts_on(code) if code else saw.layout.cuts
    found = [*_missing(saw, columns), *_caution(saw, cuts, columns)]
    setting, warned = 0, ""
    for cut in cuts:
        if cut.setting != setting:
            setting = cut.setting
            found.append(heading(f"setting {setting}", *flow(group(_setting(saw, cut)), columns)))
        found.append(_entry(saw, cut, columns, g, said=cut.warning == warned, mirrors=mirrors))
        warned = cut.warning
    return [*found, *_kept(saw, code, columns)]


def _caution(saw: Saw, cuts: Sequence[Cut], columns: int) -> Iterator[ListEntry]:
    """What to mind before the first cut; nothing for a knife, or once all is cut."""
    sawn = {piece.code for piece in saw.pieces if not is_knife(piece)}
    if any(cut.piece in sawn and cut.order not in saw.kept.done for cut in cuts):
        yield heading("caution", *flow(line(signal("CAUTION", "wait"), " ", CAUTION), columns))


def _missing(saw: Saw, columns: int) -> Iterator[ListEntry]:
    for number, words in enumerate(missing_words(saw)):
        said = clean(words, limit=600)
        word = next((word for word in ("NO ROOM", "To buy") if said.startswith(word)), "")
        head = line(signal(word, "bad" if word == "NO ROOM" else "wait"), " ") if word else line("")
        yield entry(f"missing {number}", hanging(head, said.removeprefix(word).strip(), columns))


def _kept(saw: Saw, code: str, columns: int) -> Iterator[ListEntry]:
    for piece in saw.pieces:
        kept = kept_words(saw, piece.code)
        if kept and code in ("", piece.code):
            said = clean(kept, limit=300)
            yield heading(f"kept {piece.code}", *hanging(line(Span("keep", "bold good"), "  "), said, columns))
        binned = binned_words(saw, piece.code)
        if binned and code in ("", piece.code):
            said = clean(f"{binned}; {KEEP_ALL_THE_SAME}", limit=300)
            yield heading(f"binned {piece.code}", *hanging(line(Span("bin", "muted"), "   "), said, columns))


def _setting(saw: Saw, cut: Cut) -> str:
    return setting_words(cut, knife=any(is_knife(piece) for piece in saw.pieces if piece.code == cut.piece))


def _entry(saw: Saw, cut: Cut, columns: int, g: Glyphs, *, said: bool, mirrors: Mapping[str, str]) -> ListEntry:
    """One cut: its box, what lies on the saw, what it gives, and its own warning unless the cut before said it."""
    done = cut.order in saw.kept.done
    box = Span("[x]", "good") if done else Span("[ ]")
    head = line(box, Span(f" {cut.order:>3}  ", "muted"))
    parts = line(Span(clean(cut.cut_from, limit=80), "muted" if done else ""), _gives(saw, cut, g, mirrors, done=done))
    used = line(Span(f"used {mm(cut.used)} of {mm(cut.of)}", "muted")) if columns >= SAID_FROM else ()
    if cut.warning and said and not done:
        used = line(Span("WARNING as above", "wait"))
    rows = _hung(head, parts, columns)
    if used and len(rows) == 1 and width_of(rows[0]) + width_of(used) < columns:
        rows = [apart(rows[0], used, columns)]
    elif used:
        rows.append(line(" " * width_of(head), used))
    if cut.warning and not done and not said:
        lead = line(" " * width_of(head), signal("WARNING", "bad"), " ")
        rows += hanging(lead, clean(cut.warning, limit=400), columns)
    return entry(f"cut {cut.order}", rows)


def _gives(saw: Saw, cut: Cut, g: Glyphs, mirrors: Mapping[str, str], *, done: bool) -> Line:
    """What is kept of a cut, and what falls on the other side."""
    kept = cut.keep if cut.keep != cut.cut_from else ""
    ink = "muted" if done else f"bold {hues_of(saw).get(cut.keep, '')}".strip()
    mirror = Span(f" ({mirrors[kept]})" if kept in mirrors else "", "muted" if done else "")
    first = line(Span(f" {g.to} ", "muted"), Span(clean(kept, limit=80), ink), mirror) if kept else ()
    rest = Span(f", then {clean(cut.rest, limit=80)}" if cut.rest else "", "muted")
    return line(first, rest)


def _hung(head: Line, spans: Line, columns: int) -> list[Line]:
    lead = width_of(head)
    first, *rest = flow(spans, columns - lead) or [()]
    return [line(head, first), *(line(" " * lead, row) for row in rest)]


def part_lines(saw: Saw, names: Mapping[str, str], columns: int, mirrors: Mapping[str, str] = NO_MIRRORS) -> list[Line]:
    """Every part with its size, the piece it comes from and whether it is cut."""
    freed, hues = saw.freed(), hues_of(saw)
    lines = []
    for placed in saw.layout.placements:
        long, wide = (placed.width, placed.length) if placed.turned else (placed.length, placed.width)
        done = (placed.piece, placed.box) in freed
        called = (names.get(placed.part, ""), mirrors.get(placed.part, ""))
        name = clean(", ".join(filter(None, called)), limit=60)
        left = line(
            Span("[x] " if done else "[ ] ", "good" if done else ""),
            Span(clean(placed.part, limit=40), f"bold {hues.get(placed.part, '')}"),
            Span(f"  {name}"),
        )
        right = line(f"{mm(long)} x {mm(wide)}", Span(f"  {clean(placed.piece, limit=20):>5}", "muted"))
        lines.append(apart(left, right, columns))
    for unplaced in saw.layout.unplaced:
        times = f" x {unplaced.quantity}" if unplaced.quantity > 1 else ""
        left = line(Span(f"    {clean(unplaced.part, limit=40)}{times}", "bold"))
        lines.append(apart(left, signal("NO ROOM", "bad"), columns))
    return lines


TO_CALL_ALIKE = (
    "To call both alike: s on the bench opens the store, P its scrap pile, Enter there the piece; “material” is what "
    "it is called. Then L here lays out again."
)


def layout_reasons(saw: Saw, settings: ShopSettings) -> Iterator[str]:
    """What the layout rests on: rules, what is proven, what found no place, and every piece with what lies on it."""
    kept = saw.kept
    kerf, trim = with_usual(kept.kerf, settings, "kerf"), with_usual(kept.trim, settings, "trim")
    within = with_usual(kept.thickness_tolerance, settings, "thickness_tolerance")
    yield (
        f"Kerf {kerf}, squaring trim {trim}, thickness within {within} mm of what a part is drawn for. Wanted in this "
        "order: every part placed; nothing bought; least value of pieces used up; the largest useful leftover; fewest "
        "fence settings."
    )
    if kept.proven:
        yield "It is proven that no layout of these parts uses up pieces of less value."
    if kept.fewest_pieces:
        yield "It is proven that it cannot be done with fewer pieces."
    yield "Checked a second time, apart from the search: sizes, kerf, grain, thickness, defects."
    yield from missing_words(saw)
    if any(CALL_ALIKE in unplaced.why for unplaced in saw.layout.unplaced):
        yield TO_CALL_ALIKE
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
