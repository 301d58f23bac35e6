"""Random records with everything in them that the reassembly list has to deal with."""

from __future__ import annotations

from random import Random
from typing import Any

from logbook.model.step import Fastener, MemberDifference, NewFastener, OneWay, RefitNotes, Relation, Remake, Step
from logbook.model.unit import LineState, PartSet, Refit, Unit
from logbook.model.words import (
    Action,
    Certainty,
    JointFound,
    OrderBasis,
    RelationKind,
    SetKind,
    Supply,
    Then,
    WorkState,
)
from tests.builders import hold, lump, operation, part, part_set, setting, step, unit, wire

SETS = (part_set("D", 3), part_set("P", ("L", "R"), kind=SetKind.HANDED))
KINDS = ("screw M4x10", "nut M4", "washer", "shim", "clip")
RELATIONS = (*[RelationKind.MUST] * 4, *RelationKind)


def record(seed: int, n: int, *, circles: bool = False) -> Unit:
    """A unit of `n` steps. Relations point forward in the record, so that there is an order, unless `circles`."""
    chance = Random(seed)
    codes = [f"T{i:03d}" for i in range(1, n + 1)]
    proven = chance.random()
    lumps = [lump(f"S{i}", c) for i, c in enumerate(chance.sample(codes, min(n, chance.randrange(3))))]
    made = [_step(chance, code, proven, [s.code for s in lumps if s.came_out_at < code]) for code in codes]
    relations = [_relation(chance, codes, circles) for _ in range(chance.randrange(2 * n)) if n > 1]
    return unit(
        *made,
        relations=relations,
        sets=list(SETS),
        sub_assemblies=lumps,
        operations=[operation("B1"), operation("B2", state=WorkState.DONE)],
        parts=[
            part(f"N{i}", for_steps=(chance.choice(codes),), supply=chance.choice(list(Supply)))
            for i in range(chance.randrange(4))
        ],
        refit=_refit(chance, codes),
    )


def _relation(chance: Random, codes: list[str], circles: bool) -> Relation:
    a = chance.randrange(len(codes))
    b = (a + 1 + chance.randrange(min(12, len(codes) - 1))) % len(codes)
    kind = chance.choice(RELATIONS)
    if kind is RelationKind.TOGETHER and not circles:
        # Neighbours in the record, so that most lumps can exist.
        a, b = max(0, a - 1), max(0, a - 1) + 1
    elif not circles:
        a, b = min(a, b), max(a, b)
    return Relation(kind=kind, earlier=codes[a], later=codes[b], items=chance.choice(("", "sleeve")))


def _step(chance: Random, code: str, proven: float, lumps: list[str]) -> Step:
    often, some, rare = chance.random() < 0.6, chance.random() < 0.2, chance.random() < 0.06
    of = chance.choice(SETS) if chance.random() < 0.15 else None
    more: dict[str, Any] = {
        "action": chance.choice([*[Action.UNSCREWED] * 4, *Action]),
        "order": OrderBasis.PROVEN if chance.random() < proven else OrderBasis.STATED,
        "bag": chance.choice(("", "1", "2", code)),
        "fasteners": tuple(_fastener(chance) for _ in range(chance.randrange(3))) if often else (),
        "connections": tuple(
            wire(f"W{code[1:]}{i}", stays_on=chance.random() < 0.3) for i in range(chance.randrange(3) if some else 0)
        ),
        "settings": (setting(),) if rare else (),
        "planned": chance.random() < 0.05,
        "certainty": chance.choice([*[Certainty.SURE] * 8, *Certainty]),
        "inside": chance.choice(lumps) if lumps and chance.random() < 0.2 else "",
        "refit": _notes(chance),
        "one_way": _one_way(chance) if chance.random() < 0.15 else None,
    }
    if of is not None:
        more.update(each_of=of.code, differences=_differences(chance, of))
    return step(code, f"part {code} off", **more)


def _fastener(chance: Random) -> Fastener:
    holes = chance.randrange(9)
    kind = chance.choice(KINDS)
    return Fastener(
        kind=kind,
        piece=kind == "shim",
        holes=holes,
        found=chance.randrange(holes + 1),
        then=chance.choice(list(Then)),
        bag=chance.choice(("", "", "3")),
        stays_empty=chance.random() < 0.1,
        renewed_here=chance.random() < 0.5,
    )


def _differences(chance: Random, of: PartSet) -> tuple[MemberDifference, ...]:
    return tuple(
        MemberDifference(
            member=m.code,
            bag=chance.choice(("", m.code)),
            fasteners=None if chance.random() < 0.5 else tuple(_fastener(chance) for _ in range(chance.randrange(3))),
            done=chance.random() < 0.8,
        )
        for m in of.members
        if chance.random() < 0.4
    )


def _notes(chance: Random) -> RefitNotes:
    return RefitNotes(
        first=("upper bushes",) if chance.random() < 0.06 else (),
        new_fasteners=(NewFastener(kind="screw 3.5x20", count=chance.randrange(9)),) if chance.random() < 0.1 else (),
        hold=hold() if chance.random() < 0.06 else None,
        test="turns freely" if chance.random() < 0.06 else "",
    )


def _one_way(chance: Random) -> OneWay:
    remake = Remake(cure=60, hold=hold("H9") if chance.random() < 0.3 else None)
    return OneWay(
        joint=chance.choice(list(JointFound)),
        measured=True,
        rebuilt_by=("B1", "B2") if chance.random() < 0.5 else (),
        remake=remake if chance.random() < 0.5 else None,
    )


def _refit(chance: Random, codes: list[str]) -> Refit:
    endings = ("", "", ":first", ":tighten", ":test", "/L", "/D1")
    keys = {f"{chance.choice(codes)}{chance.choice(endings)}": None for _ in range(chance.randrange(4))}
    return Refit(lines=tuple(LineState(line=key, done=True) for key in keys))
