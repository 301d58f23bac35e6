# ruff: noqa: SIM102 - of what a rule speaks, and what it asks of it, stand on a line each
"""Rules about what the record holds: bags, old parts, the case and the pile, units at rest, days, and plain words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from logbook.costing.measured import measured
from logbook.model.component_state import NOT_BACK
from logbook.model.measures import Length
from logbook.model.words import Measure, Stage
from tests.agreement.rules import of_book, of_unit
from tests.agreement.views import BookViews, UnitViews

AT_REST = (Stage.CLOSED, Stage.STOPPED)


def same(words: str) -> str:
    """Words as a person compares them."""
    return " ".join(words.split()).casefold()


# Bags and old parts


@of_unit("What does not go back lies in no bag of the list, and is not counted to be used again.")
def gone_is_in_no_bag(unit: UnitViews) -> Iterator[str]:
    at = {code: step.code for step in unit.unit.steps for code in step.components}
    gone: dict[str, set[str]] = {}
    for component in unit.unit.components:
        if component.disposition in NOT_BACK:
            step = component.from_step or at.get(component.code, "")
            gone.setdefault(step, set()).add(same(component.name))
    for line in unit.list["lines"]:
        names = {name for step in line["steps"] for name in gone.get(step, ())}
        for fastener in line["fasteners"]:
            if not fastener["new"] and same(fastener["kind"]) in names:
                yield f"{line['number']}: bag {fastener['bag']} has {fastener['count']} {fastener['kind']}"


@of_unit("A bag has one name in the list, in the account and on its label, however it was written.")
def a_bag_has_one_name(unit: UnitViews) -> Iterator[str]:
    lines = {f["bag"] for line in unit.list["lines"] for f in line["fasteners"] if f["bag"]}
    account = {bag for bag in unit.list["ledger"]["bags"] if bag}
    bags_labelled = [row for row in unit.label_rows if " BAG " in row["code"]]
    scrap = {row["code"].rpartition("BAG ")[2] for row in bags_labelled if "nothing in it goes back" in row["lines"]}
    labels = {row["code"].rpartition("BAG ")[2] for row in bags_labelled} - scrap
    for name, bags in (("list", lines), ("account", account), ("labels", labels)):
        if len({same(bag) for bag in bags}) < len(bags):
            yield f"{name}: {sorted(bags)}"
    if not lines <= account:
        yield f"list {sorted(lines)}, account {sorted(account)}"
    if account != labels:
        yield f"account {sorted(account)}, labels {sorted(labels)}"
    written = {s.bag.strip() for s in unit.unit.steps if s.bag.strip() and not s.planned and not s.each_of}
    found = {s.bag.strip() for s in unit.unit.steps if any(f.found and not f.bag for f in s.fasteners)}
    unlabelled = {same(bag) for bag in written & found} - {same(bag) for bag in labels | scrap}
    if unlabelled:
        yield f"no label for {sorted(unlabelled)}"


@of_unit("A bag that differs in the list differs in the checks, and the other way about.")
def counts_differ_together(unit: UnitViews) -> Iterator[str]:
    told = {same(p.place) for p in unit.problems if p.code in ("count-differs", "bag-record-changed")}
    listed = {same(f"bag {d['bag']}") for d in unit.list["ledger"]["open"] if d["bag"]}
    if told != listed:
        yield f"check {sorted(told)}, list {sorted(listed)}"


@of_unit("Wires that are not all written down are named by the list and the checks together.")
def wires_are_missing_together(unit: UnitViews) -> Iterator[str]:
    told = {p.place for p in unit.problems if p.code == "wires-not-as-counted"}
    listed = {code for d in unit.list["ledger"]["open"] if d["kind"] == "wire" for code in d["steps"]}
    off = {s.code for s in unit.unit.steps if not s.planned}
    if told & off != listed:
        yield f"check {sorted(told)}, list {sorted(listed)}"


@of_unit("A cover that came off after the test under it contradicts nothing.")
def a_cover_may_come_off_later(unit: UnitViews) -> Iterator[str]:
    tests = {f"{r.earlier} {r.later}" for r in unit.unit.relations if str(r.kind) == "test"}
    for problem in unit.problems:
        if problem.check == 2 and problem.place in tests:
            yield problem.sentence


# At rest


@of_unit("Of a unit that is closed or stopped the list says that nothing is to be done now.")
def at_rest_nothing_is_to_do(unit: UnitViews) -> Iterator[str]:
    if unit.unit.stage not in AT_REST:
        return
    if "To be done now" in unit.list_text:
        yield unit.list["standing"]["sentence"]


@of_unit("A unit that is closed with lines open is told by the checks with as many as its list has open.")
def closed_with_open_lines(unit: UnitViews) -> Iterator[str]:
    lines = unit.list["lines"]
    undone = sum(not line["readiness"]["done"] for line in lines)
    told = [p.sentence for p in unit.problems if p.check == 25 and p.place == "reassembly"]
    if unit.unit.stage is not Stage.CLOSED:
        if told:
            yield told[0]
    elif undone and not told:
        yield f"{undone} of {len(lines)} lines are open, the checks say nothing"
    elif told and 0 < undone < len(lines) and f"{undone} of {len(lines)} line" not in told[0]:
        yield f"{undone} of {len(lines)} lines are open: {told[0]}"


# The case and the pile


@of_unit("The case measures the same outside in its panels as in the checks.")
def one_outside(unit: UnitViews) -> Iterator[str]:
    if not unit.panels.get("outside"):
        return
    words = " x ".join(unit.panels["outside"])
    if words not in " ".join(unit.panels_text.split()):
        yield f"printed otherwise than {words}"
    for problem in unit.problems:
        if problem.code == "outside-changes" and f"measures {words}:" not in problem.sentence:
            yield f"panels {words}, check: {problem.sentence}"


@of_unit("The edge band of the panels is what the record offers for the bill; the bill alone says what it adds.")
def one_edge_band(unit: UnitViews) -> Iterator[str]:
    if not unit.panels.get("edge_band"):
        return
    if "more at each end" in " ".join(unit.panels_text.split()):
        yield "the panels add something of their own"
    offered = measured(unit.unit, Measure.BANDED_EDGES)
    millimetres = Fraction(unit.panels["edge_band"])
    if abs((Fraction(offered.amount) if offered is not None else 0) * 1000 - millimetres) > Fraction(1, 20):
        yield f"panels {millimetres} mm, offered {offered}"


@of_unit("No part may come from a piece that is promised to others, in the cut list as on the pile.")
def promises_are_kept(unit: UnitViews) -> Iterator[str]:
    held = {
        piece.code: piece.reserved_for
        for piece in unit.shop.offcuts
        if piece.reserved_for.strip() and unit.code not in re.findall(r"\w+", piece.reserved_for)
    }
    for cut in unit.panels.get("cut_list", ()):
        for source in cut["sources"]:
            if source["fits"] and source["code"] in held and not cut["code"].startswith(("S", "K", "RAIL")):
                yield f"{cut['code']} may come from {source['code']}, which is for {held[source['code']]}"


@of_unit("No part may come from a piece whose sound stretches are all shorter than it.")
def split_boards_are_split(unit: UnitViews) -> Iterator[str]:
    longest = {}
    for piece in unit.shop.offcuts:
        across = [d for d in piece.defects if d.y.ticks <= 0 and d.width.ticks >= piece.width.ticks]
        if across:
            ends = sorted((d.x.ticks, d.x.ticks + d.length.ticks) for d in across)
            whole = (piece.usable_length or piece.length).ticks
            starts, stops = [0, *(b for _, b in ends)], [*(a for a, _ in ends), whole]
            widest = (piece.usable_width or piece.width).ticks
            longest[piece.code] = max(*(b - a for a, b in zip(starts, stops, strict=True)), widest)
    sizes = {p.code: p.rough for p in unit.worked_panels}
    for cut in unit.panels.get("cut_list", ()):
        size = sizes.get(cut["code"])
        for source in cut["sources"] if size is not None else ():
            if source["fits"] and source["code"] in longest and size.length > longest[source["code"]]:
                yield f"{cut['code']} may come from {source['code']}, which is split across"


def taken_by_others(unit: UnitViews) -> dict[str, int | None]:
    """What other units are about to cut of the pile: None for a whole piece, else ticks of a strip."""
    found: dict[str, int | None] = {}
    for other in unit.book.units:
        if other.code == unit.code or other.unit.stage in AT_REST:
            continue
        for kept in other.unit.layouts:
            lengths = {part.code: part.length.ticks for part in kept.parts}
            for laid in (x for x in kept.pieces if not x.finished):
                cut = [lengths[d.part] + laid.kerf.ticks for d in laid.divisions if d.part]
                found[laid.piece.code] = sum(cut) if laid.piece.width.ticks < Length.of("50").ticks else None
    return found


def on_the_pile(unit: UnitViews, material: str) -> Fraction | None:
    """How much of a material the bill says is on the pile, in m2 or m."""
    for line in unit.bill["lines"]:
        said = re.search(r"; ([\d.]+) m2? of it on the pile", line["how"])
        if line["name"].startswith(material) and said:
            return Fraction(said[1])
    return None


@of_unit("What another unit has laid out is offered by no view: not by cut list, layout or bill, nor as not to buy.")
def laid_out_is_taken(unit: UnitViews) -> Iterator[str]:
    taken = taken_by_others(unit)
    whole = {code for code, ticks in taken.items() if ticks is None}
    for cut in unit.panels.get("cut_list", ()):
        yield from (
            f"{cut['code']} may come from {s['code']}, laid out by another"
            for s in cut["sources"]
            if s["fits"] and s["code"] in whole
        )
    for kind, layout in unit.searched.items() if taken else ():
        yield from (f"{kind} on {code}, laid out by another" for code in whole & set(layout.used))
    pile = unit.book.book.shop.offcuts
    for piece in pile if unit.unit.case is not None else ():
        shown = on_the_pile(unit, piece.material)
        if piece.code not in taken or shown is None or any(kept.pieces for kept in unit.unit.layouts):
            continue
        like = [o for o in pile if o.material == piece.material and o.thickness == piece.thickness]
        strip = taken[piece.code] is not None
        lengths = [Fraction(o.length.mm) - Fraction(Length.from_ticks(taken.get(o.code) or 0).mm) for o in like]
        free = [(o, x) for o, x in zip(like, lengths, strict=True) if o.code not in whole]
        most = sum(x / 1000 if strip else x * Fraction(o.width.mm) / 10**6 for o, x in free)
        if shown > most + Fraction(1, 1000):
            yield f"the bill has {float(shown)} of {piece.material} on the pile, {float(most)} is free"


@of_unit("A case that needs more than others leave of a material has it to buy in every view.")
def what_others_take_is_bought(unit: UnitViews) -> Iterator[str]:
    if not taken_by_others(unit) or unit.unit.stage in AT_REST:
        return
    bought = {p["name"] for parcel in unit.to_buy["parcels"] for p in parcel["purchases"]}
    together = {p["name"] for parcel in unit.book.to_buy["parcels"] for p in parcel["purchases"]}
    for line in unit.bill["lines"]:
        said = re.search(r"= ([\d.]+) m2?; ([\d.]+) m2? of it on the pile", line["how"])
        if said is None or line["group"] not in ("panels", "veneer", "strips and blocks"):
            continue
        lacking = Fraction(said[1]) > Fraction(said[2])
        views = {"bill": not line["here"], "to buy": line["name"] in bought, "all to buy": line["name"] in together}
        for name, told in views.items():
            if lacking and not told:
                yield f"{line['name']}: {said[1]} of {said[2]}, and {name} does not lack it"


@of_book("The pile says of a piece that is laid out for whom it is, and so does its label.")
def laid_out_is_labelled(book: BookViews) -> Iterator[str]:
    labels = {row["code"]: row["lines"] for row in book.shop_label_rows}
    for unit in book.units:
        for kept in unit.unit.layouts if unit.unit.stage not in AT_REST else ():
            for code in (laid.piece.code for laid in kept.pieces if not laid.finished):
                if unit.code not in {claim["unit"] for claim in book.pile[code]["claims"]}:
                    yield f"the pile does not say that {code} is for {unit.code}"
                if not re.search(rf"(for|;) {unit.code}\b", labels[code]):
                    yield f"the label of {code} says {labels[code]}"


# Days and labels


@of_book("The label of a jar says the day up to which the checks count it.")
def labels_and_checks_count_one_life(book: BookViews) -> Iterator[str]:
    for row in book.shop_label_rows:
        found = re.search(r"use by (\d{1,2} \w{3} \d{4})", row["lines"])
        for problem in book.problems:
            if found and row["code"] and problem.sentence.startswith(f"{row['code']} on the shelf is past its date, "):
                if found[1] not in problem.sentence:
                    yield f"label {found[1]}, check {problem.sentence}"


# The decision


@of_unit("The decision as a table has every row of the decision, with the same cash.")
def decision_tables_have_all_rows(unit: UnitViews) -> Iterator[str]:
    rows = {row["option"]: row["cash"] for row in unit.cost["decision"]["rows"]}
    of_decision = [row for row in unit.cost_rows if row["section"] == "decision"]
    for name, table in (("cost --csv", of_decision), ("print --as csv", unit.decision_rows)):
        shown = {row.get("option") or row.get("what", ""): row for row in table}
        for option, cash in rows.items():
            if option not in shown:
                yield f"{name} lacks {option}"
                continue
            amount = shown[option].get("cash") or shown[option].get("expected")
            if (cash is None) != (not amount or amount == "?"):
                yield f"{name}: {option} {amount!r}, values {cash}"


@of_unit("Where the rebuild is called dearer, the chance that it is stands beside it, unless it is quite sure.")
def dearer_says_how_sure(unit: UnitViews) -> Iterator[str]:
    chances = unit.cost["decision"]["chances_above"]
    said = " ".join(unit.cost_text.split())
    for each in unit.cost["comparison"]["break_evens"]:
        chance = chances.get(each["code"])
        if chance is None or Fraction(each["gap"]) >= 0 or Fraction(chance) == 1:
            continue
        sentence = re.search(rf"Against “{re.escape(each['kind'])}” the rebuild[^.]*dearer[^.]*\.", said)
        if sentence is None or "the chance that it is" not in sentence[0]:
            yield f"{each['kind']}: {sentence[0] if sentence else 'nothing'} ({chance})"


@of_unit("The machine time under the bill is that of the bill as values.")
def one_machine_time(unit: UnitViews) -> Iterator[str]:
    minutes = unit.bill["machine_minutes"]
    found = re.search(r"Machine time of what is still to be made: ([^.]+)\.", " ".join(unit.bill_text.split()))
    if bool(found) != bool(minutes):
        yield f"values {minutes}, text {found}"
    if found and found[1] != (f"{minutes} min" if minutes < 60 else f"{minutes // 60}:{minutes % 60:02} h"):
        yield f"values {minutes} min, text {found[1]}"


# Plain words

_ONE_OF_MANY = re.compile(
    r"(?<![\w.,:/+-])(?<!\bof )(?<!\d )1 (lines|cuts|holes|steps|pieces|units|members|things|bags|days|nails|screws)\b"
)
_TWO_STOPS = re.compile(r"(?<=[\w)”])\.\.(?![\w.])")


@of_unit("Nobody says “1 lines” or ends a sentence twice.", every=3)
def one_is_one(unit: UnitViews) -> Iterator[str]:
    views = {
        "list": unit.list_text, "bill": unit.bill_text, "costs": unit.cost_text, "to buy": unit.to_buy_text,
        "panels": unit.panels_text, "checks": "\n".join(p.sentence for p in unit.problems),
    }  # fmt: skip
    for name, text in views.items():
        said = " ".join(text.split())
        for wrong in (_ONE_OF_MANY.search(said), _TWO_STOPS.search(said)):
            if wrong is not None:
                yield f"{name}: …{said[max(0, wrong.start() - 40) : wrong.end() + 20]}…"


@of_book("Nobody says “1 lines” or ends a sentence twice over the whole book.", every=3)
def one_is_one_in_the_book(book: BookViews) -> Iterator[str]:
    for name, text in (("bench", book.bench_text), ("now", book.now_text), ("plan", book.plan_text)):
        said = " ".join(text.split())
        for wrong in (_ONE_OF_MANY.search(said), _TWO_STOPS.search(said)):
            if wrong is not None:
                yield f"{name}: …{said[max(0, wrong.start() - 40) : wrong.end() + 20]}…"


@of_unit("What is left of the stop line in words is the amount of the values, in the custom of the reader.")
def stop_line_in_words(unit: UnitViews) -> Iterator[str]:
    stop = unit.cost["comparison"]["stop"]
    if stop is not None and f"{Decimal(stop['amount']):,.2f}" not in stop["sentence"]:
        yield stop["sentence"]
