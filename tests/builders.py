"""Short ways to write down records for tests: only what the case is about is said, the rest has a default.

radio = unit(
    step("T01", "plug out"),
    step("T02", "back panel", fasteners=[screws(6, found=5)], bag="1"),
    relations=[relation("T01", "T02")],
)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import pairwise
from typing import Any

from logbook.model.measures import Effort, Estimate, Length
from logbook.model.shop import Consumable, Offcut, Pack, Shop, ShopSettings
from logbook.model.step import Connection, Fastener, Hazard, HoldPoint, NewFastener, OneWay, Relation, Setting, Step
from logbook.model.unit import Book, Component, Member, PartSet, SubAssembly, Unit
from logbook.model.words import Action, JointFound, OrderBasis, RelationKind, SetKind, Source, Supply, Then
from logbook.model.work import ConsumableUse, Needs, Operation, Part, UseTerm, Wait
from logbook.reassembly import RefitLine, tick


def at(text: str) -> datetime:
    """`at("2026-03-12 20:41")`: that moment in UTC."""
    moment = datetime.fromisoformat(text)
    return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


def day(text: str) -> date:
    """`day("2026-03-12")`."""
    return date.fromisoformat(text)


def mm(text: str) -> Length:
    """A length as typed: `mm("12.5")`, `mm("3/4 in")`."""
    return Length.of(text)


def estimate(low: str, likely: str | None = None, high: str | None = None) -> Estimate:
    """Three amounts of money; one alone is all three."""
    return Estimate.of(low, likely, high)


def effort(low: int, likely: int | None = None, high: int | None = None) -> Effort:
    """Three lengths of busy time in minutes; one alone is all three."""
    likely = low if likely is None else likely
    return Effort(low=low, likely=likely, high=likely if high is None else high)


def fastener(
    kind: str, holes: int = 1, found: int | None = None, then: str | Then = Then.REUSE, **more: Any
) -> Fastener:
    """So many of one kind; found is as many as there are holes unless said."""
    return Fastener(kind=kind, holes=holes, found=holes if found is None else found, then=Then(then), **more)


def screws(holes: int = 4, found: int | None = None, kind: str = "rh wood screw 3.5x16", **more: Any) -> Fastener:
    """Screws to reuse."""
    return fastener(kind, holes, found, **more)


def renewed(kind: str, holes: int = 1, found: int | None = None, **more: Any) -> Fastener:
    """Fasteners that are renewed at the refit."""
    return fastener(kind, holes, found, Then.RENEW, **more)


def scrapped(kind: str, holes: int = 1, found: int | None = None, **more: Any) -> Fastener:
    """Fasteners that do not go back."""
    return fastener(kind, holes, found, Then.SCRAP, **more)


def new_fasteners(kind: str, count: int, **more: Any) -> NewFastener:
    """Fasteners that the refit needs and the teardown did not have."""
    return NewFastener(kind=kind, count=count, **more)


def wire(
    code: str = "W1", start: str = "switch tag 2", end: str = "terminal 1", labels: int = 2, **more: Any
) -> Connection:
    """A wire with both ends and labels."""
    return Connection(code=code, start=start, end=end, labels=labels, **more)


def hazard(what: str = "mains voltage", do: str = "unplug", prove: str = "prove dead", **more: Any) -> Hazard:
    """A WARNING unless said otherwise."""
    return Hazard(what=what, do=do, prove=prove, **more)


def setting(what: str = "pointer at the low stop", value: str = "12 mm from the left end", **more: Any) -> Setting:
    """An adjustment as found."""
    return Setting(what=what, value=value, **more)


def hold(code: str = "H1", what: str = "inside sizes agree", reading_of: str = "H-W", **more: Any) -> HoldPoint:
    """A hold point that wants a reading and initials."""
    return HoldPoint(code=code, what=what, reading_of=reading_of, **more)


def one_way(joint: str | JointFound | None = JointFound.GLUED, **more: Any) -> OneWay:
    """A one-way joint whose stop question was answered by measuring, unless answers are given."""
    return OneWay(joint=None if joint is None else JointFound(joint), **(more or {"measured": True}))


def step(code: str = "T01", what: str = "back panel", action: str | Action = Action.UNSCREWED, **more: Any) -> Step:
    """A step; lists may be given for tuples. `stated=True` means that only stated relations order it."""
    if more.pop("stated", False):
        more["order"] = OrderBasis.STATED
    return Step(code=code, what=what, action=Action(action), **_tuples(more))


def steps(count: int, letter: str = "T", **more: Any) -> tuple[Step, ...]:
    """`T01`, `T02`, … each with a name of its own."""
    return tuple(step(f"{letter}{i:02d}", f"part {i}", **more) for i in range(1, count + 1))


_KINDS = {
    "must": RelationKind.MUST,
    "better": RelationKind.BETTER,
    "together": RelationKind.TOGETHER,
    "loosen": RelationKind.LOOSEN,
    "threaded": RelationKind.THREADED,
    "test": RelationKind.TEST,
}


def relation(earlier: str, later: str, kind: str | RelationKind = "must", **more: Any) -> Relation:
    """`earlier` came off before `later`; the kind by its first word: must, better, together, loosen, threaded, test."""
    return Relation(kind=_KINDS.get(kind) or RelationKind(kind), earlier=earlier, later=later, **more)


def chain(*codes: str, kind: str | RelationKind = "must") -> tuple[Relation, ...]:
    """Each code before the next."""
    return tuple(relation(a, b, kind) for a, b in pairwise(codes))


def part_set(code: str = "D", members: int | Sequence[str] = 4, name: str = "drawers", **more: Any) -> PartSet:
    """A repeated set `D1`, `D2`, …, or one of the member codes given."""
    codes = [f"{code}{i}" for i in range(1, members + 1)] if isinstance(members, int) else members
    return PartSet(code=code, name=name, members=tuple(Member(code=c) for c in codes), **more)


def handed_pair(code: str = "LR", name: str = "left and right side", **more: Any) -> PartSet:
    """A handed pair with the members L and R."""
    return part_set(code, ("L", "R"), name, kind=SetKind.HANDED, **more)


def lump(code: str, came_out_at: str, name: str = "chassis") -> SubAssembly:
    """A sub-assembly that came out at a step."""
    return SubAssembly(code=code, name=name, came_out_at=came_out_at)


def component(code: str = "SP", name: str = "speaker", **more: Any) -> Component:
    """A component, undecided."""
    return Component(code=code, name=name, **_tuples(more))


def part(code: str = "N1", name: str = "mains cord", quantity: str | int = 1, **more: Any) -> Part:
    """A part still to buy, unpriced."""
    for field, words in (("source", Source), ("supply", Supply)):
        if field in more:
            more[field] = words(more[field])
    return Part(code=code, name=name, quantity=Decimal(quantity), **_tuples(more))


def operation(code: str = "B01", name: str = "lay out", minutes: Effort | int | None = 30, **more: Any) -> Operation:
    """An operation to do; minutes as one number or an `effort`. `wait` and `needs` may be given as dictionaries."""
    if isinstance(more.get("wait"), dict):
        more["wait"] = Wait(**_tuples(more["wait"]))
    if isinstance(more.get("needs"), dict):
        more["needs"] = Needs(**_tuples(more["needs"]))
    return Operation(
        code=code, name=name, effort=effort(minutes) if isinstance(minutes, int) else minutes, **_tuples(more)
    )


def use(consumable: str = "PVA glue", amount: str | int = 1, unit: str = "", **more: Any) -> ConsumableUse:
    """A need of one term: `rate`, `coverage`, `times` and `per` belong to the term, the rest to the need."""
    term = {k: more.pop(k) for k in ("rate", "coverage", "times", "per") if k in more}
    term = {k: Decimal(v) if k in ("rate", "coverage") else v for k, v in term.items()}
    more.setdefault("terms", (UseTerm(amount=Decimal(amount), **term),))
    return ConsumableUse(code=more.pop("code", "U1"), consumable=consumable, unit=unit, **_tuples(more))


def consumable(
    name: str = "PVA glue", stock: str | int = 0, pack: tuple[str, str] | None = None, **more: Any
) -> Consumable:
    """Something on the shelf; `pack` is size and price."""
    held = None if pack is None else Pack(size=Decimal(pack[0]), price=Decimal(pack[1]))
    return Consumable(name=name, stock=Decimal(stock), pack=held, **more)


def offcut(
    code: str = "O01", size: str = "1020x260", thickness: str = "11.8", material: str = "12 ply", **more: Any
) -> Offcut:
    """A piece of the pile; the size in millimetres as `length x width`."""
    length, width = size.split("x")
    measured = (mm(thickness),) if thickness else ()
    return Offcut(code=code, material=material, thickness=measured, length=mm(length), width=mm(width), **_tuples(more))


def unit(*of_steps: Step, code: str = "R1", name: str = "table radio", **more: Any) -> Unit:
    """A unit with these steps; lists may be given for tuples."""
    return Unit(code=code, name=name, steps=of_steps, **_tuples(more))


def shop(**more: Any) -> Shop:
    """The shop; `settings` may be given as a dictionary."""
    if isinstance(more.get("settings"), dict):
        more["settings"] = ShopSettings(**more["settings"])
    return Shop(**_tuples(more))


def book(*units: Unit, of_shop: Shop | None = None) -> Book:
    """A book of these units."""
    return Book(shop=of_shop or Shop(), units={u.code: u for u in units})


def codes(things: Iterable[Any]) -> list[str]:
    """Their codes, in order."""
    return [t.code for t in things]


def _tuples(fields: dict[str, Any]) -> dict[str, Any]:
    return {name: tuple(value) if isinstance(value, list) else value for name, value in fields.items()}


def tick_line(record: Unit, line: RefitLine, at: datetime, **more: Any) -> Unit:
    """The record with a line ticked: each member of a set by itself, because each has its own reading."""
    for key in line.tick_keys:
        record = tick(record, key, at=at, **more)
    return record
