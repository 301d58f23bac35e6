"""The scrap pile as text and as values for JSON, and one piece of it drawn to scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from logbook.layout.cut_records import Box
from logbook.layout.layout_tables import mm
from logbook.layout.offcut_rules import keep_rule, kind_of
from logbook.layout.pile_view import Look, age_words, in_order, pile_sentence
from logbook.layout.reservations import Claim, conflict_of, shared_words
from logbook.layout.usable_rectangles import true_defects, usable_boxes
from logbook.model.dates_in_words import day_and_year
from logbook.model.measures import Length
from logbook.model.shop import Defect, Offcut
from logbook.model.words import Grain, PieceKind
from logbook.render.page import Page

GRAIN_WORDS = {Grain.LENGTH: "grain >", Grain.WIDTH: "grain ^", Grain.FREE: "no grain"}
"""Which way the grain runs, as it is drawn."""


def thickness_words(piece: Offcut) -> str:
    """What the calliper said: `11.8`, `11.8-11.9` when the readings differ, `?` when nobody measured."""
    readings = sorted(piece.thickness, key=lambda t: t.ticks)
    if not readings:
        return "?"
    low, high = readings[0].in_mm(), readings[-1].in_mm()
    return low if low == high else f"{low}-{high}"


def usable_words(piece: Offcut) -> str:
    """The usable rectangle: `980 x 260`; of several the largest, and how many more there are: `600 x 260 +1`."""
    boxes = usable_boxes(piece)
    largest = max(boxes, key=lambda b: b.length * b.width, default=None)
    if largest is None:
        return "0"
    return _size_words(largest) + (f" +{len(boxes) - 1}" if len(boxes) > 1 else "")


def _size_words(box: Box) -> str:
    return f"{mm(box.length)} x {mm(box.width)}"


def _each_usable(piece: Offcut) -> str:
    """Every usable rectangle, and where it lies unless at the corner: `600 x 260 and 330 x 120 at 650, 0`."""
    boxes = usable_boxes(piece)
    said = [_size_words(b) + (f" at {mm(b.x)}, {mm(b.y)}" if b.x or b.y else "") for b in boxes]
    return " and ".join(said) or "nothing"


def _box_of(defect: Defect) -> str:
    size = f"{defect.length.in_mm()} x {defect.width.in_mm()}"
    return f"{size} at {defect.x.in_mm()}, {defect.y.in_mm()}"


def piece_facts(piece: Offcut, claims: Sequence[Claim], look: Look) -> Iterator[str]:
    """What is known of a piece, in sentences; what is not known is said as such."""
    settings = look.shop.settings
    full = f"{piece.length.in_mm()} x {piece.width.in_mm()}"
    value = f"worth {settings.currency}{piece.value}" if piece.value is not None else "worth ?"
    since = day_and_year(piece.since) if piece.since is not None else "?"
    yield (
        f"{piece.code} {piece.material}, {kind_of(piece)}: full {full}, usable {_each_usable(piece)}, thickness "
        f"{thickness_words(piece)}, {value}, place {piece.place or '?'}, on the pile since {since}."
    )
    if not piece.thickness:
        yield "Not measured: take its thickness by calliper at three places. Nothing is cut from it until then."
    elif len(piece.thickness) < 3:
        yield f"Measured at {len(piece.thickness)} of three places."
    for d in true_defects(piece):
        yield f"Defect {d.what or 'unnamed'}: {_box_of(d)}."
    edges = ("No true edge: one long edge and one end are squared first.", "The long edge is true; one end is squared.")
    if kind_of(piece) in (PieceKind.SHEET, PieceKind.SOLID):
        yield (*edges, "Long edge and end are true already.")[min(piece.true_edges, 2)]
    if piece.damp:
        yield "DAMP: let it dry before it is measured and cut."
    if piece.origin:
        yield f"It is from {piece.origin}."
    yield from _claim_words(piece, claims)
    rule = keep_rule(piece, settings)
    short = f"{Length.from_ticks(rule.short).in_mm()} x " if rule.short else ""
    least = f"{short}{Length.from_ticks(rule.long).in_mm()} mm"
    yield f"A leftover of it goes back on the pile from {least} up (settings, keep rule)."
    if piece.note:
        yield f"Note: {piece.note}"


def _claim_words(piece: Offcut, claims: Sequence[Claim]) -> Iterator[str]:
    conflict = conflict_of(piece, claims)
    if conflict is not None:
        yield f"CONFLICT: {conflict.sentence}"
    elif shared := shared_words(piece, claims):
        yield f"Shared, and it fits: {shared}."
    elif claims:
        yield f"Wanted by {' and '.join(str(c) for c in claims)}."


def for_words(piece: Offcut, claims: Sequence[Claim]) -> str:
    """For whom a piece is, for a column; `TWICE` stands before what two want."""
    names = "; ".join(" ".join(x for x in (c.unit, c.what) if x) for c in claims)
    return f"TWICE {names}" if conflict_of(piece, claims) is not None else names


def pile_text(look: Look, *, by: str = "number", width: int = 80) -> str:
    """The scrap pile as text."""
    page = Page(width)
    page.ends("SCRAP PILE", f"amounts in {look.shop.settings.currency}, sizes in mm")
    page.rule()
    page.say(pile_sentence(look))
    pile = in_order(look.shop.offcuts, by)
    if pile:
        page.blank()
        head: list[Sequence[str]] = [("no.", "material", "measured", "usable", "value", "age", "place", "for")]
        page.table([*head, *(_row(o, look) for o in pile)], right=(2, 3, 4), widest=7)
    _list(page, "reservations", [(o.code, s) for o in pile for s in _claim_words(o, look.claims.get(o.code, ()))])
    _list(page, "usable rectangles", [(o.code, _each_usable(o)) for o in pile if len(usable_boxes(o)) > 1])
    _list(page, "defects", [(o.code, _defect_words(o)) for o in pile if true_defects(o)])
    _list(page, "notes", [(o.code, o.note) for o in pile if o.note])
    return page.text()


def _list(page: Page, head: str, said: Sequence[tuple[str, str]]) -> None:
    if said:
        page.head(head)
    for code, sentence in said:
        page.item(f"{code:<6}", sentence)


def _defect_words(o: Offcut) -> str:
    return "; ".join(f"{d.what or 'unnamed'} {_box_of(d)}" for d in true_defects(o))


def _row(o: Offcut, look: Look) -> tuple[str, ...]:
    value = "?" if o.value is None else str(o.value)
    claims = look.claims.get(o.code, ())
    units = ", ".join(dict.fromkeys(c.unit or c.what for c in claims))
    wanted = f"TWICE {units}" if conflict_of(o, claims) is not None else units
    return o.code, o.material, thickness_words(o), usable_words(o), value, age_words(o, look), o.place or "?", wanted


def pile_data(look: Look) -> dict[str, Any]:
    """The same as values for JSON."""
    return {
        "currency": look.shop.settings.currency,
        "pieces": [
            {
                **o.model_dump(mode="json"),
                "kind": str(kind_of(o)),
                "claims": [{"unit": c.unit, "what": c.what, "how": c.how} for c in look.claims.get(o.code, ())],
                "conflict": conflict.sentence
                if (conflict := conflict_of(o, look.claims.get(o.code, ()))) is not None
                else None,
            }
            for o in look.shop.offcuts
        ],
    }
