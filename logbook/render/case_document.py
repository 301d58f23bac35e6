"""The case of a unit as text, as values for JSON, and its cut list as CSV."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from logbook.casework import (
    Consequence,
    CutLine,
    Flat,
    RoughPart,
    WorkedCase,
    cut_list,
    mm,
    rough_parts,
    show_area,
    size_words,
)
from logbook.casework.material import areas_of, strip_stock
from logbook.casework.movement import Movement
from logbook.model.shop import Shop
from logbook.model.shop_clock import shop_time
from logbook.model.unit import Unit
from logbook.reassembly.wording import full_stop
from logbook.render.csv_tables import Cell, csv_text
from logbook.render.page import Page, moment_words

UNKNOWN = "?"
TABLE = 76
"""From so many columns on sizes stand in tables, below in sentences."""
NO_CASE = "No case to be built yet. It begins with what is held: the sizes that must not change, each measured twice."


def case_answer(worked: WorkedCase | None) -> str:
    """Whether the case holds, in a sentence or two."""
    if worked is None:
        return NO_CASE
    if worked.missing:
        return worked.missing[0]
    lost, open_ = worked.not_held, [h for h in worked.held if h.holds is None]
    if not worked.held:
        said = "Nothing is held yet: measure what must not change, twice."
    elif lost:
        said = "NOT HELD: " + "; ".join(f"{h.code} {h.what} {h.given}, {h.wanted} wanted" for h in lost) + "."
    elif open_:
        said = f"{len(worked.held) - len(open_)} of {len(worked.held)} held dimensions hold; not known: "
        said += ", ".join(h.code for h in open_) + "."
    else:
        said = f"All {len(worked.held)} held dimensions hold."
    if worked.wrong:
        said += f" {len(worked.wrong)} consequence{'s are' if len(worked.wrong) > 1 else ' is'} wrong."
    if worked.differing:
        said += f" Written sizes differ from the computed ones: {', '.join(worked.differing)}."
    return said + (f" Outside {worked.outside_words}." if worked.outside_words else "")


def panels_text(unit: Unit, shop: Shop, worked: WorkedCase | None, now: datetime, *, width: int = 80) -> str:
    """The case of a unit as text.

    Args:
        unit: whose case it is.
        shop: for the scrap pile and the thickness tolerance.
        worked: `worked_case(unit, shop.settings)`.
        now: when this is printed.
        width: columns.
    """
    return case_page(unit, shop, worked, now, width=width).text()


def case_page(unit: Unit, shop: Shop, worked: WorkedCase | None, now: datetime, *, width: int = 80) -> Page:
    """The same as a page, for paper. Arguments as those of `panels_text`."""
    page = Page(width)
    page.ends(f"{unit.code} {unit.name}", "CASE")
    page.ends("sizes in mm", f"printed {moment_words(shop_time(now, shop))}")
    page.rule()
    page.say(case_answer(worked))
    if worked is None:
        return page
    for sentence in worked.missing[1:]:
        page.say(sentence)
    _held(page, worked)
    _panels(page, worked)
    _consequences(page, worked)
    page.head("Cut list")
    page.say("Cut in groups, not all at once: measure the assembly and correct the next group.")
    for line in cut_list(unit, shop, worked):
        _cut(page, line)
    _material(page, unit, shop, worked)
    return page


def _held(page: Page, worked: WorkedCase) -> None:
    if worked.held:
        page.head("Held dimensions")
    if worked.held and page.columns < TABLE:
        for h in worked.held:
            page.item(f"{_of(h.code, h.member)}  ", f"{h.what} {h.wanted}: gives {h.given}, {h.sign}")
    elif worked.held:
        rows = [("", "what", "held", "gives", "off", "")]
        rows += [(_of(h.code, h.member), h.what, h.wanted, h.given, h.difference, h.sign) for h in worked.held]
        page.table(rows, right=(3, 4), widest=1)
    for h in worked.held:
        if not h.holds:
            page.item(f"{h.code}  ", f"{full_stop(h.why)} {h.way_out}".strip(), 2)
        if not h.twice:
            page.item(f"{h.code}  ", "measured once only; measure it again.", 2)


def _of(code: str, member: str) -> str:
    return f"{code} {member}".rstrip()


def _panels(page: Page, worked: WorkedCase) -> None:
    if not worked.panels:
        return
    page.head("Panels")
    if page.columns < TABLE:
        for p in worked.panels:
            page.item(f"{p.code}  ", f"{p.quantity} x {p.name}, grain {p.grain}")
            page.say(f"finish {size_words(p.finish)}; cut {size_words(p.cut)}; rough {size_words(p.rough)}", 4)
        _differences(page, worked)
        return
    rows = [("", "panel", "no.", "finish L x W", "T", "cut", "rough", "grain")]
    for p in worked.panels:
        thick = UNKNOWN if p.thickness is None else mm(p.thickness)
        sizes = (size_words(p.finish), thick, size_words(p.cut), size_words(p.rough))
        code = _of(p.code, "" if p.members == ("",) or len(p.members) == len(worked.members) else "/".join(p.members))
        rows.append((code, p.name, str(p.quantity), *sizes, str(p.grain)))
    page.table(rows, right=(2, 4), widest=1)
    _differences(page, worked)


def _differences(page: Page, worked: WorkedCase) -> None:
    for p in worked.panels:
        for d in p.differences:
            page.say(f"{p.code} {d.what}: written down {size_words(d.recorded)}, computed {size_words(d.computed)}.", 2)
    for s in worked.strips:
        if s.differs and s.computed is not None:
            page.say(f"{s.record.code} length: written down {mm(s.length)}, computed {mm(s.computed)}.", 2)


def consequence_words(c: Consequence) -> str:
    """A consequence in one paragraph, with the way out where it does not hold."""
    member = f" ({c.member})" if c.member else ""
    known = c.sentence.startswith(c.place.split(" ")[0])
    head = member.strip() + (": " if member else "") if known else f"{c.place}{member}: "
    return f"{head}{c.sentence}." + (f" {c.way_out}" if c.way_out and not c.holds else "")


def _consequences(page: Page, worked: WorkedCase) -> None:
    if worked.consequences or worked.movements:
        page.head("What follows from it")
    for c in sorted(worked.consequences, key=lambda c: (c.holds is not False, c.holds is not None)):
        page.item(f"{c.sign:<6}", consequence_words(c))
    for m in worked.movements:
        page.item(
            f"{'moves':<6}", m.sentence + (" (beyond 6 to 14 percent: a rough figure)" if m.outside_range else "") + "."
        )


def movement_words(m: Movement) -> str:
    """How much a solid part moves."""
    return m.sentence + (" (beyond 6 to 14 percent: a rough figure)" if m.outside_range else "") + "."


def _cut(page: Page, line: CutLine) -> None:
    page.blank()
    page.ends(f"{line.code}  {line.quantity} x {line.name}", f"write “{line.mark}” on it")
    page.say(sizes_words(line), 4)
    for words in cut_facts(line):
        page.say(words, 4)


def sizes_words(line: CutLine) -> str:
    """Finished, cut and rough size of a part in a line."""
    thick = UNKNOWN if line.thickness is None else mm(line.thickness)
    return f"finish {_one_size(line.finish)} x {thick}   cut {_one_size(line.cut)}   rough {_one_size(line.rough)}"


def _one_size(size: Flat | None) -> str:
    return mm(size.length) if size is not None and not size.width else size_words(size)


def cut_facts(line: CutLine) -> Iterator[str]:
    """What the cut list says about a part besides its sizes, a line each."""
    seen = f", show face: {line.show_face}" if line.show_face else ""
    yield (
        f"of {line.material}; grain along the {line.grain}{seen}"
        if line.grain != "free"
        else f"of {line.material}{seen}"
    )
    if line.hand:
        yield line.hand
    if line.bands:
        yield f"banded: {', '.join(line.bands)}"
    if line.joints:
        yield "; ".join(line.joints)
    yield from line.openings
    fits = [s.code for s in line.sources if s.fits]
    if line.sources:
        yield f"may come from {', '.join(fits)}" if fits else "no piece of the pile fits"
    refused = [f"{s.code} ({s.why})" for s in line.sources if not s.fits]
    if refused:
        yield f"not from {'; '.join(refused)}"
    yield from line.warnings
    if line.note:
        yield line.note


def _material(page: Page, unit: Unit, shop: Shop, worked: WorkedCase) -> None:
    page.head("Material")
    for area in areas_of(worked):
        page.say(
            f"{area.material} {mm(area.thickness)}: {_square(area.square_metres)} m2 rough ({', '.join(area.codes)})"
        )
    for stock in strip_stock(unit, shop, worked):
        page.say(stock.sentence)
    whole, clear = show_area(worked)
    if whole:
        page.say(f"To be finished: {_square(whole)} m2, less openings {_square(whole - clear)} = {_square(clear)} m2.")
    if worked.band.edges:
        edges = "1 banded edge" if worked.band.edges == 1 else f"{worked.band.edges} banded edges"
        page.say(f"Edge band: {mm(worked.band.length)} along {edges}; what each takes more to trim stands in the bill.")


def _square(area: Fraction) -> str:
    return f"{Decimal(round(area * 10000)).scaleb(-4):.4f}"


def panels_data(unit: Unit, shop: Shop, worked: WorkedCase | None) -> dict[str, Any]:
    """The same as values for JSON; lengths are millimetres as text."""
    head = {"unit": {"code": unit.code, "name": unit.name}, "answer": case_answer(worked)}
    if worked is None:
        return {**head, "panels": [], "held": [], "consequences": [], "cut_list": []}
    whole, clear = show_area(worked)
    return {
        **head,
        "missing": list(worked.missing),
        "outside": [mm(x) for x in worked.outside] if worked.outside is not None else None,
        "old_outside": [mm(x) for x in worked.old_outside] if worked.old_outside is not None else None,
        "held": [_fields(h) for h in worked.held],
        "panels": [_panel_data(p) for p in worked.panels],
        "consequences": [{**_fields(c), "state": c.sign} for c in worked.consequences],
        "movements": [_movement_data(m) for m in worked.movements],
        "cut_list": [_cut_data(line) for line in cut_list(unit, shop, worked)],
        "parts": [_part_data(p) for p in rough_parts(worked)],
        "areas_m2": {f"{a.material} {mm(a.thickness)}": _square(a.square_metres) for a in areas_of(worked)},
        "show_area_m2": {"whole": _square(whole), "less_openings": _square(clear)},
        "edge_band": mm(worked.band.length),
    }  # fmt: skip


def _part_data(p: RoughPart) -> dict[str, Any]:
    return {
        "code": p.code, "panel": p.panel, "quantity": p.quantity, "length_mm": mm(p.length), "width_mm": mm(p.width),
        "material": p.material, "thickness_mm": mm(p.thickness), "grain": str(p.grain), "together": p.together,
    }  # fmt: skip


def _movement_data(m: Movement) -> dict[str, Any]:
    figures = {name: mm(getattr(m, name)) for name in ("across", "grows", "shrinks")}
    return {"panel": m.panel, "species": m.species, **figures, "outside_range": m.outside_range}


def _fields(record: Any) -> dict[str, Any]:
    from dataclasses import asdict

    return asdict(record)


def _pair(size: Flat | None) -> list[str] | None:
    return None if size is None else [mm(size.length), mm(size.width)]


def _panel_data(p: Any) -> dict[str, Any]:
    return {
        "code": p.code, "name": p.name, "role": str(p.role), "quantity": p.quantity,
        "thickness": None if p.thickness is None else mm(p.thickness), "computed": _pair(p.computed),
        "finish": _pair(p.finish), "cut": _pair(p.cut), "rough": _pair(p.rough),
        "short_points": None if p.short is None else mm(p.short), "members": [m for m in p.members if m],
        "leaves": [{"material": x.material, "size": _pair(x.size), "show": x.show} for x in p.leaves],
        "differs": [
            {"what": d.what, "recorded": _pair(d.recorded), "computed": _pair(d.computed)} for d in p.differences
        ],
    }  # fmt: skip


def _cut_data(line: CutLine) -> dict[str, Any]:
    sizes = {name: _pair(getattr(line, name)) for name in ("finish", "cut", "rough")}
    thick = None if line.thickness is None else mm(line.thickness)
    return {**_fields(line), **sizes, "thickness": thick, "grain": str(line.grain)}


CSV_HEAD = (
    "code", "name", "quantity", "finish_length_mm", "finish_width_mm", "thickness_mm", "cut_length_mm", "cut_width_mm",
    "rough_length_mm", "rough_width_mm", "material", "grain", "show_face", "hand", "bands", "joints", "openings",
    "may_come_from", "mark", "warnings", "note",
)  # fmt: skip


def panels_csv(unit: Unit, shop: Shop, worked: WorkedCase | None) -> str:
    """The cut list as CSV with a head; a size that is not known is an empty cell."""
    lines = cut_list(unit, shop, worked) if worked is not None else ()
    return csv_text(CSV_HEAD, (_csv_row(line) for line in lines))


def _csv_row(line: CutLine) -> list[Cell]:
    sizes: list[Cell] = []
    for size in (line.finish, line.cut, line.rough):
        sizes += [None, None] if size is None else [_number(size.length), _number(size.width)]
    sizes.insert(2, None if line.thickness is None else _number(line.thickness))
    fits = "; ".join(s.code for s in line.sources if s.fits)
    return [
        line.code, line.name, line.quantity, *sizes, line.material, str(line.grain), line.show_face, line.hand,
        "; ".join(line.bands), "; ".join(line.joints), "; ".join(line.openings), fits, line.mark,
        "; ".join(line.warnings), line.note,
    ]  # fmt: skip


def _number(ticks: int) -> Decimal:
    return Decimal(mm(ticks))
