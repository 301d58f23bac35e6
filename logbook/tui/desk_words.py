"""The counts of the teardown record in words: in a sentence, and step by step."""

from __future__ import annotations

from logbook.model.unit import Unit
from logbook.reassembly import Totals, ledger
from logbook.session import Session


def record_sentence(unit: Unit, total: Totals, missing: int) -> str:
    """The answer at the top: how much is written, what was counted, what is still to complete."""
    done = sum(1 for s in unit.steps if not s.planned)
    planned = len(unit.steps) - done
    parts = [_many(done, "step") + (f" and {planned} planned" if planned else "")]
    if total.holes:
        becomes = ((total.reuse, "reuse"), (total.renew, "renew"), (total.scrap, "scrap"), (total.lost, "lost"))
        parts.append(f"holes {total.holes}, found {total.found}")
        parts.append(", ".join(f"{word} {count}" for count, word in becomes if count))
    parts.append(f"to complete {missing}" if missing else "nothing to complete")
    return "; ".join(p for p in parts if p) + "."


def count_paragraphs(session: Session, code: str) -> list[str]:
    """Where the counts come from: each step with its own, then the sum and the bags."""
    unit = session.unit(code)
    account = ledger(unit)
    lines = ["# Step by step"]
    for step in unit.steps:
        of = account.steps.get(step.code)
        if of is not None and of.holes:
            lines.append(f"{step.code} {step.what}: {_totals(of)}.")
    lines += [f"All together: {_totals(account.total)}."]
    lines += [f"The refit needs {account.total.refit}, of which {account.total.new} new.", "# Bags"]
    for bag in account.bags.values():
        kinds = ", ".join(f"{n} {kind}" for kind, n in bag.kinds.items())
        lines.append(f"bag {bag.bag}: {bag.total} ({kinds}), from {' '.join(bag.steps)}.")
    if account.pieces.holes:
        lines.append(f"Loose pieces that are no fasteners, in no sum above: {_totals(account.pieces)}.")
    if account.without_bag:
        lines.append(f"In no bag: {_many(account.without_bag, 'piece')} to be used again.")
    return [*lines, "# Differences", *(d.sentence for d in account.open)] if account.open else lines


def _totals(t: Totals) -> str:
    return f"holes {t.holes}, found {t.found}, reuse {t.reuse}, renew {t.renew}, scrap {t.scrap}" + (
        f", lost {t.lost}" if t.lost else ""
    )


def _many(count: int, word: str) -> str:
    return f"{count} {word}" + ("" if count == 1 else "s")
