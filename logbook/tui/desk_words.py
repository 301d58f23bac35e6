"""The teardown record in lines for the desk: one a step, and the counts in a sentence."""

from __future__ import annotations

from datetime import datetime

from logbook.model.shop_clock import on_clock_of
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import Action
from logbook.reassembly import Totals, ledger
from logbook.render.plain import clean, fitted
from logbook.session import Session
from logbook.teardown.relations import order_words
from logbook.tui.step_words import signs_of

WIDE = 120
"""Columns from which on notes, times and initials stand in the list too."""

Column = tuple[str, int]


def _columns(columns: int) -> tuple[Column, ...]:
    """Name and width of each column; the last one takes the rest."""
    if columns >= WIDE:
        return (("step", 5), ("what came off", 26), ("how", 15), ("found", 8), ("bag", 8), ("when", 13),
                ("watch", 32), ("order, note", 0))  # fmt: skip
    if columns >= 80:
        return (("step", 5), ("what came off", 20), ("how", 11), ("found", 7), ("bag", 5), ("watch, order", 0))
    return (("step", 5), ("what came off", 18), ("how", 9), ("found", 6), ("watch, order", 0))


def _laid_out(cells: dict[str, str], columns: int) -> str:
    layout = _columns(columns)
    parts = [fitted(cells[name], room - 1) for name, room in layout[:-1]]
    rest = columns - 2 - sum(room for _, room in layout[:-1])
    return " ".join([*parts, fitted(cells[layout[-1][0]], rest)])


def head_row(columns: int) -> str:
    """Names of the columns."""
    return " " + _laid_out({name: name for name, _ in _columns(columns)}, columns)


def step_row(unit: Unit, step: Step, columns: int, now: datetime) -> str:
    """A step in one line of exactly that width, less the cursor's column; its time by the clock of `now`."""
    holes, found = sum(f.holes for f in step.fasteners), sum(f.found for f in step.fasteners)
    fasteners = "" if not holes else str(found) if holes == found else f"{found}/{holes}"
    members = unit.set_of(step)
    if fasteners and members is not None:
        fasteners += f" x{len(members.members)}"
    watch, order = signs_of(step), order_words(unit, step.code)
    order_note = "; ".join(clean(p, limit=200) for p in (order, step.note) if p)
    when = f"{on_clock_of(step.at, now):%d %b %H:%M}" if step.at is not None else ""
    cells = {
        "step": step.code,
        "what came off": clean(step.what, limit=100),
        "how": _how(step),
        "found": fasteners,
        "bag": clean(step.bag or (f"box {step.box}" if step.box else ""), limit=20),
        "when": when,
        "watch": clean(watch, limit=200),
        "order, note": f"{order_note} {clean(step.by, limit=20)}".strip(),
        "watch, order": clean("; ".join(p for p in (watch, order) if p), limit=300),
    }
    return _laid_out(cells, columns).rstrip()


def _how(step: Step) -> str:
    """How it came off; a further action stands behind a plus."""
    actions = [a for a in (step.action, *step.also) if a is not Action.UNSAID]
    return "+".join(str(a).removesuffix(" only").removesuffix(" out") for a in actions) or "?"


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
