"""What the checks found, as text and as values for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from logbook.checks import CheckProblem, Severity
from logbook.render.page import Page
from logbook.render.values import plain_values


def check_text(where: str, found: Sequence[CheckProblem], damage: Sequence[str], *, width: int = 80) -> str:
    """What was found, the worst first.

    Args:
        where: what was checked: a unit's code, or “the whole book”.
        found: problems of the records.
        damage: sentences about the book itself: files that were damaged, foreign or gone.
        width: columns.
    """
    page = Page(width)
    page.say(check_sentence(where, found, damage))
    if damage:
        page.head("The book itself")
    for sentence in damage:
        page.item("- ", sentence)
    for severity in Severity:
        of = [p for p in found if p.severity is severity]
        if of:
            page.head(str(severity))
        for problem in of:
            page.item(f"{problem.unit or 'book':<4} ", _placed(problem))
    return page.text()


def _placed(problem: CheckProblem) -> str:
    """The sentence, with its place before it when that is a code which the sentence does not name itself."""
    is_code = any(char.isdigit() or char.isupper() for char in problem.place)
    if not is_code or problem.place.lower() in problem.sentence.lower():
        return problem.sentence
    return f"{problem.place}: {problem.sentence}"


def check_sentence(where: str, found: Sequence[CheckProblem], damage: Sequence[str]) -> str:
    """How it stands, in a sentence."""
    counts = {s: sum(1 for p in found if p.severity is s) for s in Severity}
    parts = [f"{len(damage)} about the book itself"] if damage else []
    words = {s: "to look at" if s is Severity.LOOK else str(s) for s in Severity}
    parts += [f"{count} {words[severity]}" for severity, count in counts.items() if count]
    return f"{where}: {', '.join(parts)}." if parts else f"{where}: nothing found."


def check_data(where: str, found: Sequence[CheckProblem], damage: Sequence[str]) -> dict[str, Any]:
    """The same as values for JSON."""
    return {"checked": where, "problems": plain_values(list(found)), "damage": list(damage)}
