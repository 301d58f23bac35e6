"""The dangers in force as entries of a list, and each in full in groups: before, how it is proved safe, what did."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.model.dangers import clauses, is_provable
from logbook.model.templates import hazard_note
from logbook.render.plain import clean, width
from logbook.teardown.beside_the_step import ActiveHazard
from logbook.tui.look.inks import Line, Span, apart, flow, hanging, line, signal, typed, width_of
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.look.told import Told, told_lines
from logbook.tui.widgets.entries import ListEntry, entry

NO_WORDS = "What to do is not written down."
NO_PROOF = "How it is proved safe is not written down."
LAST_DIGIT = 9
INDENT = "   "


def entry_key(danger: ActiveHazard) -> str:
    """What names its entry in the list."""
    return danger.hazard.what


def danger_entries(active: Sequence[ActiveHazard], columns: int, *, alone: bool) -> list[ListEntry]:
    """A danger each, with its digit.

    Args:
        active: in the order of their digits.
        columns: of an entry.
        alone: whether nothing stands beside the list, so that each is said in full in it.
    """
    return [
        entry(entry_key(danger), _rows(number, danger, columns, alone=alone)) for number, danger in enumerate(active, 1)
    ]


def _rows(number: int, danger: ActiveHazard, columns: int, *, alone: bool) -> list[Line]:
    sign = f"{number}" if number <= LAST_DIGIT else " "
    word = str(danger.hazard.signal)
    lead = line(Span(sign, "bold accent"), " ", signal(word, SIGNAL_INKS[danger.hazard.signal]), " ")
    name = clean(danger.hazard.what, limit=600)
    standing = _standing(danger)
    if width_of(lead) + width(name) + 2 + width_of(standing) <= columns:
        rows = [apart(line(lead, Span(name, "bold")), standing, columns)]
    else:
        rows = hanging(lead, name, columns, "bold")
        rows += [line(INDENT, row) for row in flow(standing, columns - len(INDENT))]
    if alone:
        rows += told_lines(_before_and_proof(danger), columns)
        return [row for row in rows if row]
    first = (what_to_do(danger) or [NO_WORDS])[0]
    return [*rows, *hanging(line(INDENT), clean(first, limit=1000), columns)]


def _standing(danger: ActiveHazard) -> Line:
    """How it stands, in words; the ink only goes with them."""
    if danger.safe:
        return line(signal("PROVED", "good"), " ", typed(danger.standing, "good"))
    live = danger.proof is not None and danger.proof.live
    return typed(danger.standing, "bold bad" if live else "wait")


def danger_in_full(danger: ActiveHazard, columns: int) -> list[Line]:
    """The danger under the cursor: its name, how it stands, and each group."""
    rows = flow((Span(clean(danger.hazard.what, limit=600), "bold"),), columns)
    if danger.standing:
        rows += flow(_standing(danger), columns)
    where = Told("Where it comes from", (("", danger.source),))
    return rows + told_lines((*_before_and_proof(danger), where), columns)


def _before_and_proof(danger: ActiveHazard) -> tuple[Told, ...]:
    before = Told("Before you start", tuple(("", words) for words in what_to_do(danger) or [NO_WORDS]))
    if not is_provable(danger.hazard):
        return (before,)
    proof = clauses(danger.hazard.prove) or [NO_PROOF]
    return before, Told("Prove it safe", tuple(("", words) for words in proof))


def what_to_do(danger: ActiveHazard) -> list[str]:
    """What to do before, each thing once, and nothing that the caution above all dangers says already."""
    return clauses(danger.hazard.do, said=clauses(hazard_note()))
