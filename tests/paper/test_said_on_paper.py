"""What was said at the bench stands on the screen, in print and in the build record as in the text."""

from __future__ import annotations

import pytest

from logbook.model.holds import open_holds
from logbook.model.unit import PartSet, Unit
from logbook.model.words import Stage
from logbook.reassembly import RefitLine, refit_list
from logbook.session.refit_view import view_anew
from logbook.teardown.bench_line import read_line
from logbook.teardown.hold_answers import with_hold_answered
from logbook.teardown.step_keeping import kept_from_line, line_of
from logbook.tui.look.inks import text_of
from logbook.tui.screens.reassembly_rows import DrawnList
from logbook.tui.screens.refit_card import refit_card
from tests.builders import at, unit
from tests.paper.reading import letters, made, pages
from tests.teardown.test_said_as_it_is import DRAWERS, LINES, PAIR

NOW = at("2026-03-17 18:30")
GROUPS = {"for one": (), "for a pair": (PAIR,), "for drawers": (DRAWERS,)}


def said_together(sets: tuple[PartSet, ...]) -> Unit:
    """One unit in which every line of the table for these sets was typed, one after the other."""
    of = unit(sets=sets, stage=Stage.TEARDOWN)
    for line, needs, _ in LINES:
        if needs == sets:
            for waiting in open_holds(of):
                for _ in waiting.open_holds:
                    of = with_hold_answered(of, waiting.code, "because not now", NOW)
            of = kept_from_line(of, read_line(line, of), at=NOW, by="AB")
    return of


def facts_of(line: RefitLine) -> list[str]:
    """What a line of the list says that is its own."""
    said = [line.title, *line.what, *line.first, *(note.text for note in line.member_notes)]
    return [*said, *(made.sentence for made in line.connections), *(setting.value for setting in line.settings)]


@pytest.mark.parametrize("sets", GROUPS.values(), ids=GROUPS)
def test_list_and_build_record_say_it_in_print_word_for_word(sets: tuple[PartSet, ...]) -> None:
    of = said_together(sets)
    for what in ("reassembly", "record"):
        paper = letters("\n".join(pages(made(of, what).raw)))
        for head in ("codewhatconditionwhatbecameofit", "whathowmuchfromprice"):  # again on the next page
            paper = paper.replace(head, "")
        text = letters(made(of, what, "txt", width=200).raw.decode())
        for head in ("codewhatconditionwhatbecameofit", "whathowmuchfromprice"):
            text = text.replace(head, "")
        assert paper == text
    paper = letters("\n".join(pages(made(of, "reassembly").raw)))
    for line in refit_list(of).lines:
        for fact in facts_of(line):
            assert letters(fact) in paper, (line.number, fact)


@pytest.mark.parametrize("sets", GROUPS.values(), ids=GROUPS)
def test_the_screen_says_it_as_well(sets: tuple[PartSet, ...]) -> None:
    of = said_together(sets)
    view = view_anew(of, NOW)
    rows = letters("\n".join(words for row in DrawnList().rows(view, None, 400) for words in row.lines))
    for line in view.listed.lines:
        if line.key in ("check", "audit"):
            continue
        shown = rows + letters("\n".join(text_of(spans) for spans in refit_card(view, line.key, 400)))
        for fact in (line.title, *line.what, *line.first, *(s.value for s in line.settings)):
            below_its_head = fact.partition(": ")[2] or fact  # the head of its group says the rest
            assert letters(fact) in shown or letters(below_its_head) in shown, (line.number, fact)


@pytest.mark.parametrize("sets", GROUPS.values(), ids=GROUPS)
def test_each_line_among_the_others_is_read_back_as_the_same(sets: tuple[PartSet, ...]) -> None:
    of = said_together(sets)
    for step in of.steps:
        assert read_line(line_of(of, step), of, base=step).step == step
