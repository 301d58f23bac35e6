"""The reassembly list: the teardown record turned round, with every step on a line or left out for a reason."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.model.members import guesses_of, wrong_of
from logbook.model.unit import PartSet, Unit
from logbook.reassembly.availability import may_ask
from logbook.reassembly.counting import Sets
from logbook.reassembly.index import NOTHING_OF_SHOP, RefitIndex
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.refit_lines import LineWriter
from logbook.reassembly.refit_records import FromShop, InsideList, Notice, RefitLine
from logbook.reassembly.sequence import sequence
from logbook.reassembly.wording import guess_notice, set_sentence, wrong_notice


def refit_list(unit: Unit, of_shop: FromShop = NOTHING_OF_SHOP) -> RefitList:
    """The reassembly list of a unit. Every step is on a line or left out with a reason.

    Args:
        unit: the record.
        of_shop: what lies on the shelf, and usual waits (`costing.from_shop`).

    Raises:
        CircleError: the relations go round in a circle, so no order exists.
    """
    sets = Sets(unit)
    index = RefitIndex(unit, sets, of_shop)
    arrangement = sequence(unit, sets)
    writer = LineWriter(index, arrangement)
    lines = tuple(writer.line(slot) for slot in arrangement.slots)
    return RefitList(
        lines=lines,
        left_out=arrangement.left_out,
        guesses=tuple(_guesses(index)),
        as_found_wrong=tuple(_found_wrong(index)),
        inside=tuple(_inside(index, lines)),
        sets=tuple(set_sentence(of) for of in _sets_on(index, lines)),
        gone=tuple(_gone(unit, lines)),
        prefers=arrangement.prefers,
        asking=frozenset(line.key for line in lines if may_ask(index, line)),
        index=index,
    )


def _sets_on(index: RefitIndex, lines: Sequence[RefitLine]) -> list[PartSet]:
    """The sets whose members have ticks of their own on the list."""
    steps = [index.steps[code] for line in lines if line.members for code in line.steps]
    found = {of.code: of for step in steps if (of := index.sets.of(step)) is not None}
    return list(found.values())


def _guesses(index: RefitIndex) -> Iterator[Notice]:
    """What somebody was not sure of, open ones first."""
    found = [(step, g) for step in index.unit.steps for g in guesses_of(step, index.sets.members(step))]
    for step, guess in sorted(found, key=lambda pair: bool(pair[1].settled)):
        yield Notice(step.code, guess_notice(step, guess))


def _found_wrong(index: RefitIndex) -> Iterator[Notice]:
    """What was wrong as found, and how it should be."""
    for step in index.unit.steps:
        for wrong in wrong_of(step, index.sets.members(step)):
            yield Notice(step.code, wrong_notice(step, wrong))


def _inside(index: RefitIndex, lines: Sequence[RefitLine]) -> Iterator[InsideList]:
    keys: dict[str, list[str]] = {}
    for line in lines:
        if line.inside:
            keys.setdefault(line.inside, []).append(line.key)
    for lump in index.sub_assemblies.values():
        yield InsideList(lump.code, lump.name, lump.came_out_at, tuple(keys.get(lump.code, ())))


def _gone(unit: Unit, lines: Sequence[RefitLine]) -> Iterator[Notice]:
    """What was ticked or written at lines that the record no longer has."""
    there = {key for line in lines for key in (line.key, *line.tick_keys)}
    for state in unit.refit.lines:
        if state.line in there:
            continue
        said = [
            state.done and "it was ticked",
            state.reading and f"read {state.reading}",
            state.differs and f"differs: {state.differs}",
        ]
        words = "; ".join(s for s in said if s)
        if words:
            yield Notice(state.line, f"{state.line} is no longer in the record, but {words}. Look again.")
