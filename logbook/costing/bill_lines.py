"""What is wanted for everything but fasteners: a line of the bill made from one thing of the record."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from logbook.costing.amounts import ZERO, plain_number, quantity_in_words, rounded
from logbook.costing.bill_records import BillGroup, BillLine
from logbook.costing.chance import ByChance, price_by_chance
from logbook.costing.consumption import NO_CASH, ConsumableNeed
from logbook.costing.made_parts import MadePart
from logbook.costing.material_need import MaterialNeed
from logbook.model.amount_words import number_words
from logbook.model.component_state import work_open
from logbook.model.measures import Estimate
from logbook.model.replacements import unlisted_renewals, without_part
from logbook.model.unit import Component, Unit
from logbook.model.words import Disposition, Source, Supply
from logbook.model.work import CostLine, Part


def component_of(unit: Unit, code: str) -> Component | None:
    """The component of that code, or None."""
    return next((c for c in unit.components if c.code == code), None)


def component_lines(unit: Unit) -> Iterator[BillLine]:
    """Components to repair, and those in whose place something new has to come that no part stands for."""
    missing = {c.code for c in without_part(unit)}
    for component in unit.components:
        if component.disposition is Disposition.REPAIR:
            yield _to_repair(unit, component)
        elif component.code in missing:
            yield _to_replace(component)
    for step, what, count, member in unlisted_renewals(unit):
        yield BillLine(
            group=BillGroup.COMPONENT,
            code="",
            name=what,
            quantity=Decimal(count),
            unit="",
            source=Source.BUY,
            here=False,
            price=None,
            used_in=(step.code,),
            how=f"renewed at {step.code}; no part is listed for it",
            member=member,
        )


def _to_repair(unit: Unit, component: Component) -> BillLine:
    to_repair = work_open(unit, component)
    how = f"{component.quantity} {'to repair' if to_repair else 'repaired'}"
    return replace(_component_line(component, here=True, how=how), to_repair=to_repair)


def _to_replace(component: Component) -> BillLine:
    if component.disposition is Disposition.RENEW:
        why = f"{component.quantity} to renew"
    else:
        why = f"the old one does not go back ({component.disposition})"
    how = f"{why}; no part is listed for it, the price is what it costs to replace"
    line = _component_line(component, here=False, how=how)
    return replace(line, source=Source.BUY, price=component.price_to_replace)


def _component_line(component: Component, *, here: bool, how: str) -> BillLine:
    return BillLine(
        group=BillGroup.COMPONENT,
        code=component.code,
        name=component.name,
        quantity=Decimal(component.quantity),
        unit="",
        source=None,
        here=here,
        price=None,
        used_in=(component.from_step,) if component.from_step else (),
        how=how,
    )


def material_line(need: MaterialNeed) -> BillLine:
    """Own material is charged at zero; what it would cost to replace stands in `own_material`."""
    cut_from = f"; cut from {', '.join(need.pieces)}" if need.pieces else ""
    bought_as = f"; bought as {need.bought_as}" if need.bought_as else ""
    return BillLine(
        group=BillGroup(str(need.kind)),
        code="",
        name=need.name,
        quantity=need.quantity,
        unit=need.unit,
        source=Source.PILE if need.enough else Source.BUY,
        here=need.enough,
        price=NO_CASH if need.enough or need.bought_as else None,
        used_in=need.used_in,
        how=need.how + cut_from + bought_as,
    )


def consumable_line(need: ConsumableNeed) -> BillLine:
    """What is used up, with both truths: whole packs as the price, and the share that this job uses."""
    return BillLine(
        group=BillGroup.CONSUMABLE,
        code=need.code,
        name=need.consumable,
        quantity=None if need.need is None else rounded(need.need, 4),
        unit=need.unit,
        source=Source.SHELF if need.on_hand else Source.BUY,
        here=need.on_hand,
        price=need.cash,
        price_on=need.price_on,
        seller=need.seller,
        pack=_pack_in_words(need),
        how=" ".join((need.how, *need.problems)).strip(),
        used_up=need.used_up,
        used_before=need.used_on is not None,
        share=need.share,
        rest=rest_in_words(need),
    )


def rest_in_words(need: ConsumableNeed) -> str:
    """What is left of the packs and becomes stock, and how long it keeps; empty when nothing is."""
    if not need.rest:
        return ""
    keeps = f", good for {need.keeps_months} months once opened" if need.keeps_months is not None else ""
    return f"{quantity_in_words(need.rest, need.unit)} left over for the shelf{keeps}"


def _pack_in_words(need: ConsumableNeed) -> str:
    if need.pack is None:
        return ""
    return f"{plain_number(need.pack.size)} {need.unit}".rstrip() + f" at {number_words(need.pack.price)}"


def part_line(part: Part, made: MadePart | None = None) -> BillLine:
    """A part that is bought, made or taken from elsewhere, with what is still to be paid for it.

    What was paid is not to come. A part from the pile, the shelf, another unit or salvage costs nothing unless a
    price is given. One that is newly made and has no price costs its machine time; its material has its own line.
    """
    priced = _to_pay(part, made)
    words = [*_part_words(part), *_price_words(part, priced)]
    if made is not None and part.price is None:
        words.append(made.how)
    return BillLine(
        group=BillGroup.MADE if part.source is Source.MAKE else BillGroup.PART,
        code=part.code,
        name=part.name,
        quantity=part.quantity,
        unit=part.unit,
        source=part.source,
        here=part.supply is Supply.HERE,
        supply=part.supply,
        price=priced.price,
        price_on=part.price_on,
        seller=part.seller,
        pack=part.pack,
        used_in=(*part.for_steps, *part.for_components),
        how="; ".join(words),
        conditional=part.only_if,
        used_up=made.cost if made is not None and part.price is None else None,
        chance=priced.chance,
        when_needed=priced.when_needed,
    )


def _to_pay(part: Part, made: MadePart | None) -> ByChance:
    """What a part still costs, as it stands in the sums; what is here keeps the price that was written down."""
    if part.supply is Supply.HERE:
        return ByChance(part.price)
    if part.paid is not None:
        return ByChance(NO_CASH)
    if part.price is not None:
        return price_by_chance(part)
    if part.source not in (Source.BUY, Source.MAKE):
        return ByChance(NO_CASH)
    if made is None or made.material_cost is None:
        return ByChance(None)
    cost = made.machine_cost or ZERO  # without a rate machine time is not counted, and its words say so
    return ByChance(Estimate(low=cost, likely=cost, high=cost))


def _part_words(part: Part) -> Iterator[str]:
    """How much of it, and where it comes from."""
    words = [f"{plain_number(part.quantity)} {part.unit}".rstrip() + " as listed"]
    if part.member:
        words.append(f"for {part.member} only")
    if part.spare_of:
        words.append(f"taken from {part.spare_of}")
    if part.made_from:
        words.append(f"made from {part.made_from}")
    if part.mass_g is not None:
        words.append(f"{plain_number(part.mass_g)} g each")
    if part.machine is not None:
        words.append(f"{part.machine} machine minutes each")
    yield ", ".join(words)


def _price_words(of: Part | CostLine, priced: ByChance) -> Iterator[str]:
    """What was paid; and beside a price with a chance the whole price."""
    if of.paid is not None:
        yield f"paid {number_words(of.paid)}"
    elif priced.when_needed is not None and priced.chance is not None:
        needed = priced.when_needed
        points = " / ".join(number_words(x) for x in (needed.low, needed.likely, needed.high))
        yield f"{points} if it is needed, {plain_number(priced.chance * 100, 1)} %"


def other_line(line: CostLine) -> BillLine:
    """Cash that is neither part nor consumable."""
    priced = ByChance(NO_CASH) if line.paid is not None else price_by_chance(line)
    return BillLine(
        group=BillGroup.OTHER,
        code=line.code,
        name=line.name,
        quantity=Decimal(1),
        unit="",
        source=Source.BUY,
        here=line.paid is not None,
        price=priced.price,
        price_on=line.price_on,
        seller=line.seller,
        how="; ".join(_price_words(line, priced)) or "as listed",
        conditional=line.only_if,
        chance=priced.chance,
        when_needed=priced.when_needed,
    )
