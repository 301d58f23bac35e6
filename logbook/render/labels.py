"""Labels for bags, boxes, wires, parts, offcuts and jars, and cards that lie in a picture.

A bag without a label is a puzzle: each label says the unit, the step, what it is, how many and since when, and
carries a square code that the camera reads (ISO/IEC 18004), with the words `LOGBOOK:R1/T11`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from logbook.errors import InputError
from logbook.layout.reservations import Claim, claims_on, firm_claims, held_words
from logbook.model.card_text import reusable_card, step_card
from logbook.model.dangers import each_danger
from logbook.model.dates import use_by
from logbook.model.dates_in_words import day_and_year
from logbook.model.label_sheets import LabelSheet
from logbook.model.members import LEFT_HAND, bag_of_member, left_handed, whose
from logbook.model.same_words import same_words
from logbook.model.shop import Consumable, Offcut, Shop
from logbook.model.shop_clock import by_clock_of_shop
from logbook.model.step import Connection, Fastener, Hazard, MemberDifference, Step
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Then
from logbook.reassembly import BagContents, ledger
from logbook.reassembly.counting import Sets
from logbook.reassembly.wording import bag_order
from logbook.render.page import Page
from logbook.render.paper_data import breaking
from logbook.render.plain import clean

CARDS = 24
"""How many cards there are in a set that is used again and again."""
_LOUD = ("fragile", "heavy", "this way up", "keep level", "keep upright")
"""Words of a step that a box must say loudly."""


class LabelKind(StrEnum):
    """What a label is for."""

    BAG = "bag"
    BOX = "box"
    WIRE = "wire"
    PART = "part"
    OFFCUT = "offcut"
    JAR = "jar"
    CARD = "card"
    """Lies in the picture at the start of a step."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label."""

    kind: LabelKind
    code: str
    """What it says in big letters."""
    title: str
    lines: tuple[str, ...] = ()
    loud: str = ""
    """A warning, in capitals."""
    square: str = ""
    """The words of its square code; empty for none."""


def labels_of(unit: Unit, shop: Shop, kinds: Iterable[LabelKind] = (LabelKind.BAG, LabelKind.BOX)) -> tuple[Label, ...]:
    """The labels of a unit, kind after kind.

    A bag has two: one goes inside, because ink rubs off. A wire has two: one for each end. Days are the shop's.
    """
    unit = by_clock_of_shop(unit, shop)
    makers: Mapping[LabelKind, Callable[[], Iterator[Label]]] = {
        LabelKind.BAG: lambda: _bags(unit),
        LabelKind.BOX: lambda: _boxes(unit),
        LabelKind.WIRE: lambda: _wires(unit),
        LabelKind.PART: lambda: (_part(unit, c) for c in unit.components if c.disposition is not Disposition.SCRAP),
        LabelKind.OFFCUT: lambda: _own_offcuts(unit, shop),
        LabelKind.JAR: lambda: (_jar(c) for c in shop.shelf if c.name in {u.consumable for u in unit.consumables}),
        LabelKind.CARD: lambda: (_card(unit, s) for s in unit.steps),
    }
    return tuple(label for kind in kinds for label in makers[kind]())


def shop_labels(
    shop: Shop, kinds: Iterable[LabelKind] = (LabelKind.OFFCUT, LabelKind.JAR), units: Iterable[Unit] = ()
) -> tuple[Label, ...]:
    """The labels of what all units share: offcuts with whom each is kept for, jars, and a set of cards."""
    claims = claims_on(shop, units)
    makers: Mapping[LabelKind, Callable[[], Iterator[Label]]] = {
        LabelKind.OFFCUT: lambda: (_offcut(o, claims.get(o.code, ())) for o in shop.offcuts),
        LabelKind.JAR: lambda: (_jar(c) for c in shop.shelf),
        LabelKind.CARD: _set_of_cards,
    }
    return tuple(label for kind in kinds if kind in makers for label in makers[kind]())


def _bags(unit: Unit) -> Iterator[Label]:
    for bag in sorted(ledger(unit).bags.values(), key=lambda b: bag_order(b.bag)):
        steps = [s for code in bag.steps if (s := unit.step(code)) is not None]
        code = f"{unit.code} BAG {bag.bag}"
        first = steps[0] if steps else None
        words = (*_contents(bag), " ".join(filter(None, [", ".join(bag.steps), _day(first.at if first else None)])))
        members = dict.fromkeys(d.member for s in steps for d in _differing_in(s, bag.bag))
        title = whose(", ".join(members)) + ", ".join(dict.fromkeys(s.what for s in steps))
        words = (*_of_members(steps, bag.bag), *words)
        square = step_card(unit.code, bag.steps[0]) if bag.steps else ""
        loud = _left_hand_in(unit, steps, bag.bag)
        yield Label(LabelKind.BAG, code, title, words, loud, square)
        yield Label(LabelKind.BAG, code, title, (*words, "lies inside the bag"), loud, square)
    yield from _bags_of_scrap(unit)


def _bags_of_scrap(unit: Unit) -> Iterator[Label]:
    """Bags out of which nothing goes back: they lie with the others, and nobody looks for what is in them."""
    sets, known = Sets(unit), {same_words(bag) for bag in ledger(unit).bags}
    found: dict[str, list[tuple[Step, Fastener]]] = {}
    members: dict[str, dict[str, None]] = {}
    for step, apart in sets.came_apart:
        for member, fasteners, bag in apart:
            for fastener in fasteners:
                place = fastener.bag or bag
                is_in_it = fastener.found and fastener.then is not Then.LOST
                if is_in_it and place and same_words(place) not in known:
                    found.setdefault(place, []).append((step, fastener))
                    members.setdefault(place, {})[member] = None
    for bag, inside in sorted(found.items(), key=lambda pair: bag_order(pair[0])):
        kinds: dict[str, int] = {}
        for _, fastener in inside:
            kinds[f"{fastener.kind} ({fastener.then})"] = (
                kinds.get(f"{fastener.kind} ({fastener.then})", 0) + fastener.found
            )
        steps = list(dict.fromkeys(step.code for step, _ in inside))
        contents = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
        one = len(members[bag]) == 1
        title = whose(next(iter(members[bag])) if one else "") + ", ".join(dict.fromkeys(s.what for s, _ in inside))
        lines = ("nothing in it goes back", contents, " ".join(filter(None, [", ".join(steps), _day(inside[0][0].at)])))
        yield Label(LabelKind.BAG, f"{unit.code} BAG {bag}", title, lines, "", step_card(unit.code, steps[0]))


def _of_members(steps: Sequence[Step], bag: str) -> Iterator[str]:
    """What is different at the member of a set whose bag it is, such as where its shim goes."""
    for step in steps:
        yield from (f"{d.member}: {d.note}" for d in _differing_in(step, bag) if d.note.strip())


def _differing_in(step: Step, bag: str) -> Sequence[MemberDifference]:
    """What is different at members of a set, of those whose things lie in one bag."""
    return [d for d in step.differences if same_words(d.bag) == same_words(bag)]


def _left_hand_in(unit: Unit, steps: Sequence[Step], bag: str) -> str:
    """The warning for a bag in which something with a left-hand thread lies, with whose it is in a bag of several."""
    for step in steps:
        of = unit.set_of(step)
        members = tuple(m.code for m in of.members) if of is not None else ()
        of_bag = tuple(m for m in members if same_words(bag_of_member(step, m)) == same_words(bag)) or members
        left = left_handed(step, of_bag)
        if left and 0 < len(left) < len(of_bag):
            return f"{LEFT_HAND} at {' and '.join(left)} only"
        if left:
            return LEFT_HAND
    return ""


def _contents(bag: BagContents) -> Iterator[str]:
    """What is in the bag: how many in all, and of which kind."""
    yield f"{bag.total} in all: " + ", ".join(f"{count} {kind}" for kind, count in bag.kinds.items())


def _boxes(unit: Unit) -> Iterator[Label]:
    boxes: dict[str, list[Step]] = {}
    for step in unit.steps:
        if step.box.strip():
            boxes.setdefault(step.box.strip(), []).append(step)
    for number, (box, steps) in enumerate(boxes.items(), 1):
        bags = list(dict.fromkeys(s.bag for s in steps if s.bag))
        said = " ".join(f"{s.support} {s.note} {s.orientation}" for s in steps).casefold()
        dangers = _dangers(h for c in unit.components if c.from_step in {s.code for s in steps} for h in c.hazards)
        loud = ", ".join([w.upper() for w in _LOUD if w in said] + dangers)
        lines = [f"box {number} of {len(boxes)}", f"bags {bags[0]} to {bags[-1]}" if bags else ""]
        lines.append(" ".join(filter(None, [", ".join(s.code for s in steps), _day(steps[0].at)])))
        square = step_card(unit.code, steps[0].code)
        title = ", ".join(dict.fromkeys(s.what for s in steps))
        yield Label(LabelKind.BOX, f"{unit.code} BOX {box}", title, tuple(filter(None, lines)), loud, square)


def _wires(unit: Unit) -> Iterator[Label]:
    for step in unit.steps:
        for wire in step.connections:
            for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
                yield _wire_end(unit, step, wire, here, there)


def _wire_end(unit: Unit, step: Step, wire: Connection, here: str, there: str) -> Label:
    lines = (
        f"other end: {there or '?'}",
        " ".join(filter(None, [step.code, wire.colour, wire.function, _day(step.at)])),
    )
    square = step_card(unit.code, step.code)
    return Label(LabelKind.WIRE, f"{unit.code} {wire.code}", f"{whose(wire.member)}to {here or '?'}", lines, "", square)


def _part(unit: Unit, part: Component) -> Label:
    count = f"{part.quantity} x " if part.quantity != 1 else ""
    lines = [f"{part.disposition}{f'; {part.condition}' if part.condition else ''}"]
    lines.append(" ".join(filter(None, [part.from_step, f"place: {part.where_kept}" if part.where_kept else ""])))
    loud = ", ".join(_dangers(part.hazards))
    square = step_card(unit.code, part.from_step)
    code = f"{unit.code} {part.code}"
    return Label(
        LabelKind.PART, code, f"{whose(part.member)}{count}{part.name}", tuple(filter(None, lines)), loud, square
    )


def _dangers(hazards: Iterable[Hazard]) -> list[str]:
    return [f"{h.signal}: {h.what}" for h in each_danger(hazards)]


def _own_offcuts(unit: Unit, shop: Shop) -> Iterator[Label]:
    """The pieces that are promised to a unit, or laid out for it."""
    claims = claims_on(shop, [unit])
    for piece in shop.offcuts:
        firm = firm_claims(claims.get(piece.code, ()))
        if any(claim.unit == unit.code for claim in firm):
            yield _offcut(piece, firm)


def _offcut(piece: Offcut, claims: Sequence[Claim]) -> Label:
    thick = " / ".join(t.in_mm() for t in piece.thickness) or "?"
    size = f"{piece.length.in_mm()} x {piece.width.in_mm()}"
    usable = [x.in_mm() for x in (piece.usable_length or piece.length, piece.usable_width or piece.width)]
    grain = {"length": "grain along the length", "width": "grain across the width"}.get(piece.grain, "grain free")
    lines = [f"{size}, usable {usable[0]} x {usable[1]}", grain]
    held = held_words(claims)
    lines += [f"from {piece.origin}" if piece.origin else "", f"for {held}" if held else ""]
    square = f"PILE:{piece.code}"
    title = f"{piece.material}, measured {thick} mm"
    return Label(LabelKind.OFFCUT, piece.code, title, tuple(filter(None, lines)), "", square)


def _jar(jar: Consumable) -> Label:
    opened = f"opened {day_and_year(jar.opened_on)}" if jar.opened_on else "opened: ________"
    lines = [opened, f"place: {jar.place}" if jar.place else "", jar.note]
    until = use_by(jar)
    if until is not None:
        lines.insert(1, f"use by {day_and_year(until)}")
    return Label(LabelKind.JAR, jar.name, "", tuple(filter(None, lines)))


def _card(unit: Unit, step: Step) -> Label:
    return Label(LabelKind.CARD, f"{unit.code} {step.code}", step.what, (), "", step_card(unit.code, step.code))


def _set_of_cards() -> Iterator[Label]:
    """Cards without a step, for the picture: which step it was is said when the photos are linked."""
    for i in range(1, CARDS + 1):
        yield Label(LabelKind.CARD, f"CARD {i}", "lay it into the picture", (), "", reusable_card(i))


def _day(moment: datetime | None) -> str:
    return day_and_year(moment) if moment is not None else ""


# Labels as text, as a table, and for print


def labels_page(of: str, labels: Sequence[Label], *, width: int = 80) -> Page:
    """Labels one below the other, for text: to write by hand with a pen that survives decades."""
    page = Page(width)
    page.ends(of, "LABELS")
    page.rule()
    if not labels:
        page.say("There is nothing to label by the record so far.")
    for label in labels:
        page.blank()
        page.item(f"{label.code}  ", label.title)
        for words in filter(None, (label.loud, *label.lines, label.square)):
            page.say(words, 4)
    return page


def label_rows(labels: Sequence[Label]) -> list[tuple[str, ...]]:
    """Labels as rows of a table, the first one naming the columns."""
    head = ("kind", "code", "title", "warning", "lines", "square code")
    body = ((str(x.kind), x.code, x.title, x.loud, "; ".join(x.lines), x.square) for x in labels)
    return [head, *body]


def label_values(
    labels: Sequence[Label], sheet: LabelSheet, *, start: int = 1, outline: bool = False, head: str = ""
) -> dict[str, Any]:
    """Labels placed on sheets, as plain values for `templates/paper/labels.typ`.

    Args:
        labels: what is printed.
        sheet: its dimensions.
        start: the first free place of a used sheet, from 1, counted along the rows.
        outline: draw the edge of each label, for cutting plain paper.
        head: what stands in the upper margin, where there is room for it.

    Raises:
        InputError: the sheet has no such place.
    """
    if not 1 <= start <= sheet.count:
        raise InputError(f"The sheet “{sheet.name}” has the places 1 to {sheet.count}; {start} is none of them.")
    pages: list[list[dict[str, Any]]] = []
    for number, label in enumerate(labels, start - 1):
        page, place = divmod(number, sheet.count)
        if page == len(pages):
            pages.append([])
        x, y = sheet.corner(place)
        pages[page].append({"x": float(x), "y": float(y), **_label_value(label)})
    return {
        "paper": sheet.paper, "width": float(sheet.width), "height": float(sheet.height), "outline": outline,
        "head": head if sheet.top >= 8 else "", "pages": pages or [[]],
    }  # fmt: skip


def _label_value(label: Label) -> dict[str, Any]:
    def shown(text: str) -> str:
        return breaking(clean(text, limit=400))

    return {
        "code": shown(label.code), "title": shown(label.title), "loud": shown(label.loud),
        "lines": [shown(line) for line in label.lines], "square": square_picture(label.square),
    }  # fmt: skip


def square_picture(words: str) -> str | None:
    """The square code of some words as an SVG picture with its quiet zone; None for no words."""
    if not words:
        return None
    import segno

    return str(segno.make(words, error="m", micro=False).svg_inline(border=4))
