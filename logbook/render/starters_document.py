"""Starters as text: all of them in a line each, or one in full, cautions first."""

from __future__ import annotations

from pathlib import Path

from logbook.model.starters import FOLDER, Starter, Starters
from logbook.render.blocks import Sign, Tone
from logbook.render.page import CAUTION, Page
from logbook.render.reassembly_line_document import hazard_words


def starters_page(found: Starters, own: Path, width: int) -> Page:
    """Every starter, with where a person's own ones are kept."""
    page = Page(width)
    page.ends("Starters", f"{len(found.all)} kinds of object")
    page.rule()
    page.say(CAUTION)
    page.blank()
    rows = [(s.name, s.summary, "your own" if s.name in found.own else "") for s in found.all]
    page.table(rows, widest=1)
    page.blank()
    page.say(
        "A new unit can begin from one: “n” on the bench. “logbook starters NAME” shows one in full. "
        f"Your own ones, as JSON files, belong into {own / FOLDER}."
    )
    return page


def starter_page(starter: Starter, width: int) -> Page:
    """One starter in full."""
    page = Page(width)
    page.ends(starter.name, "STARTER")
    page.rule()
    page.say(CAUTION)
    if starter.summary:
        page.say(starter.summary)
    page.head("Hazards")
    for hazard in starter.all_hazards:
        page.item(f"{hazard.signal}  ", hazard_words(hazard), tone=Tone.HAZARD)
    _list(page, "Questions on arrival", starter.questions)
    _list(page, "Tests before strip", starter.tests)
    if starter.make_or_break:
        page.head("Make-or-break tests")
    for test in starter.make_or_break:
        stop = f" Stop if: {test.stop_if}." if test.stop_if else ""
        page.item((Sign.BOX, " "), f"{test.what}, before {test.before or 'anything else'}.{stop}")
    if starter.steps:
        page.head("First steps, planned")
    for step in starter.steps:
        page.item(f"{step.code}  ", f"{step.what} ({step.action}). {step.note}".strip())
    if starter.holds:
        page.head("Hold points")
    for hold in starter.holds:
        who = " Only by a competent person." if hold.competent else ""
        page.item(f"{hold.code}  ", f"{hold.what}{f'; limit {hold.limit}' if hold.limit else ''}.{who}", tone=Tone.HOLD)
    if starter.components:
        page.head("Likely components")
        rows = [(c.code, c.name, str(c.disposition), c.note) for c in starter.components]
        page.table(rows, widest=3)
    if starter.note:
        page.head("Note")
        page.say(starter.note)
    return page


def _list(page: Page, head: str, lines: tuple[str, ...]) -> None:
    if lines:
        page.head(head)
    for words in lines:
        page.item((Sign.BOX, " "), words)
