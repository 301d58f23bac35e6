"""The first and the last line of the reassembly list: the opening check and the audit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.model.dangers import each_danger
from logbook.model.members import guesses_of, wrong_of
from logbook.model.new_fasteners import places
from logbook.model.step import Step
from logbook.model.words import Certainty, Then
from logbook.reassembly.counting import step_totals
from logbook.reassembly.index import RefitIndex
from logbook.reassembly.refit_records import (
    BagContents,
    LineKind,
    RefitLine,
    Sentence,
    SentenceGroup,
    Totals,
    with_holds,
)
from logbook.reassembly.reversal import REVERSALS
from logbook.reassembly.sequence import AUDIT, CHECK
from logbook.reassembly.wording import (
    bag_order,
    detail_sentences,
    full_stop,
    held_sentence,
    holds_of,
    listed,
    many,
    ranged,
    said_of,
    warnings,
)


def check_line(index: RefitIndex, checked: Sequence[str]) -> RefitLine:
    """The opening check: what was built anew is done, held dimensions agree, bags are counted."""
    steps = [index.steps[code] for code in checked]
    operations = rebuilding_operations(steps)
    held = index.unit.held_dimensions
    bags = _bags(index)
    about = [
        ranged(operations) + " done" if operations else "",
        "held dimensions" if held else "",
        "bags counted" if bags else "",
    ]
    holds = tuple(h for s in steps for h in holds_of(s))
    hazards = [h for h in (*index.unit.hazards, *(h for s in steps for h in s.hazards)) if not h.gone_at_refit]
    return RefitLine(
        number="",
        key=CHECK,
        kind=LineKind.CHECK,
        title=f"check: {', '.join(filter(None, about)) or 'look over what goes back'}",
        steps=tuple(checked),
        said=(
            *said_of(SentenceGroup.DO, _built_anew(steps, operations)),
            *said_of(SentenceGroup.COMPARE, (held_sentence(h) for h in held)),
            *(sentence for s in steps for sentence in _compared(s, index.sets.members(s))),
            *said_of(SentenceGroup.TAKE, _counted(bags)),
            *said_of(SentenceGroup.MIND, _open_questions(index)),
        ),
        hazards=tuple(sorted(each_danger(hazards), key=lambda h: h.signal.rank)),
        **with_holds(holds),
        why_here=("Everything after it builds on what is checked here.",),
    )


def audit_line(index: RefitIndex) -> RefitLine:
    """The audit: every bag empty, difference 0."""
    total = Totals.of_all(step_totals(index.sets, s) for s in index.unit.steps)
    bags = _bags(index)
    what = [
        f"Every bag is empty: {ranged(bags)}." if bags else "",
        f"{total.reuse} from the bags and {total.new} new make {total.refit} refitted; difference 0."
        if total.refit
        else "Nothing is left over.",
        _pieces(index),
    ]
    return RefitLine(
        number="",
        key=AUDIT,
        kind=LineKind.AUDIT,
        title="audit: every bag empty, difference 0" if bags else "audit: nothing left over",
        said=tuple(said_of(SentenceGroup.DO, filter(None, what))),
        why_here=("It comes last, when everything is back.",),
    )


def _pieces(index: RefitIndex) -> str:
    """What goes back besides the fasteners, counted by kind; empty when nothing does."""
    kinds: dict[str, int] = {}
    for _, apart in index.sets.came_apart:
        for f in (f for _, fasteners, _ in apart for f in fasteners if f.piece and f.then is not Then.SCRAP):
            kind = f.renew_as or f.kind
            kinds[kind] = kinds.get(kind, 0) + places(f)
    counted = listed([f"{count} {kind}" for kind, count in kinds.items() if count])
    return f"Loose pieces that go back as well: {counted}." if counted else ""


def rebuilding_operations(steps: Sequence[Step]) -> tuple[str, ...]:
    """Codes of the operations that build parts of these steps anew, each once, sorted."""
    return tuple(sorted({code for s in steps if s.one_way is not None for code in s.one_way.rebuilt_by}))


def _bags(index: RefitIndex) -> dict[str, BagContents]:
    bags = index.bags
    return {bag: bags[bag] for bag in sorted(bags, key=bag_order) if bag}


def _built_anew(steps: Sequence[Step], operations: Sequence[str]) -> Iterator[str]:
    anew = [s for s in steps if s.one_way is not None and s.one_way.rebuilt_by]
    if anew:
        parts = listed([f"{s.what} ({s.code})" for s in anew])
        yield f"Built anew by {ranged(operations)}, done and cured: {full_stop(parts)}"


def _compared(step: Step, members: Sequence[str]) -> Iterator[Sentence]:
    """What a step of the opening check asks to be compared."""
    if step.refit.text.strip():
        yield Sentence(SentenceGroup.DO, f"{step.code}: {full_stop(step.refit.text)}")
    elif step.one_way is None or not step.one_way.rebuilt_by:
        does = REVERSALS[step.action].does
        yield Sentence(SentenceGroup.DO, f"{step.code} {step.what}: {does[0].lower()}{does[1:]}")
    for sentence in (*said_of(SentenceGroup.MIND, warnings(step, members)), *detail_sentences(step, members)):
        yield Sentence(sentence.group, f"{step.code}: {sentence.text}")


def _counted(bags: dict[str, BagContents]) -> Iterator[str]:
    if bags:
        contents = ", ".join(f"bag {bag}: {c.total}" for bag, c in bags.items())
        yield f"Count every bag against the record: {contents}."


def _open_questions(index: RefitIndex) -> Iterator[str]:
    unsure: list[str] = []
    wrong: list[str] = []
    for step in index.unit.steps:
        members = index.sets.members(step)
        guesses = [g for g in guesses_of(step, members) if not g.settled]
        if any(g.certainty is Certainty.GUESS for g in guesses):
            unsure.append(step.code)
        if wrong_of(step, members):
            wrong.append(step.code)
    if unsure:
        yield f"Settle what is only a guess: {listed(unsure)}."
    if wrong:
        yield f"As found was wrong at {listed(wrong)}; read how it should be before starting."
    loose = index.bags.get("")
    if loose is not None:
        yield f"{many(loose.total, 'piece')} to be used again {'lies' if loose.total == 1 else 'lie'} in no bag."
