"""The demo book as records, with counts taken from the records alone and by nothing of the program."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from decimal import Decimal

from logbook.model.casework_records import Panel
from logbook.model.document import ShopDocument, UnitDocument
from logbook.model.shop import Shop
from logbook.model.step import Fastener, Step
from logbook.model.templates import demo_documents
from logbook.model.unit import Unit
from logbook.model.words import (
    RelationKind,
    Then,
)

READ = demo_documents()
UNITS = {d.unit.code: d.unit for d in READ if isinstance(d, UnitDocument)}
SHOP: Shop = next(d.shop for d in READ if isinstance(d, ShopDocument))
R1, G1, C1, L1 = (UNITS[code] for code in ("R1", "G1", "C1", "L1"))


def each(unit: Unit, step: Step) -> Iterable[tuple[str, Fastener]]:
    """Every kind of fastener of a step with its bag, once for each member of its set."""
    of = unit.set_of(step)
    own = {d.member: d for d in step.differences}
    for member in (m.code for m in of.members) if of else ("",):
        different = own.get(member)
        pattern = step.fasteners if different is None or different.fasteners is None else different.fasteners
        yield from ((f.bag or (different.bag if different else "") or step.bag, f) for f in pattern)


def taken_off(unit: Unit) -> list[tuple[Step, str, Fastener]]:
    """Every kind of fastener that came off, with its step and bag; loose pieces are not among them."""
    return [(s, bag, f) for s in unit.steps if not s.planned for bag, f in each(unit, s) if not f.piece]


def bags(unit: Unit) -> dict[str, int]:
    """Pieces to reuse in each bag."""
    counted: Counter[str] = Counter()
    for _, bag, f in taken_off(unit):
        if f.then is Then.REUSE:
            counted[bag] += f.found
    return dict(counted)


def built_up(panel: Panel) -> list[tuple[str, Decimal]]:
    """Material and measured thickness of everything a panel is glued up from."""
    return [(x.material, x.thickness.mm) for x in panel.layers] + [(x.material, x.thickness.mm) for x in panel.leaves]


def must(unit: Unit) -> dict[str, set[str]]:
    """What must come off before each step."""
    before: defaultdict[str, set[str]] = defaultdict(set)
    for r in unit.relations:
        if r.kind is RelationKind.MUST:
            before[r.later].add(r.earlier)
    return before
