"""The order of steps by real key presses: stated, taken back, refused when it would go round."""

from __future__ import annotations

from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.reassembly import refit_list
from logbook.session import Session
from logbook.tui.order_words import KINDS
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.order_screen import OrderScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Rows
from tests.builders import chain, relation, step, steps, unit
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed


def radio(**more: Any) -> Unit:
    return unit(*steps(6, stated=True), relations=more.pop("relations", chain("T01", "T02", "T03")), **more)


def order(pilot: Pilot[Any]) -> OrderScreen:
    top = pilot.app.screen
    assert isinstance(top, OrderScreen)
    return top


def relations(book: Session) -> list[tuple[str, str, str]]:
    return [(r.earlier, str(r.kind), r.later) for r in book.unit("R1").relations]


def under_cursor(pilot: Pilot[Any]) -> str:
    row = order(pilot).query_one(Rows).current
    return row.lines[0] if row is not None else ""


async def test_the_sentence_counts_before_waiting_and_free(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T02"), radio()) as pilot:
        assert "T02 part 2: 1 comes off before it, 1 waits for it, 3 are free of it." in text_on(pilot)
        assert "Free of it, in any order: T04 T05 T06" in text_on(pilot)
        assert "T01 part 1 must come off before" in under_cursor_words(pilot)


def under_cursor_words(pilot: Pilot[Any]) -> str:
    return " ".join(under_cursor(pilot).split())


async def test_nothing_stated_says_so_and_asks_the_two_questions(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T01"), unit(step("T01"))) as pilot:
        assert "nothing comes off before it, nothing waits for it, nothing is free of it." in text_on(pilot)
        assert "what holds it? what is in the way?" in text_on(pilot)


@pytest.mark.parametrize(
    ("digit", "kind"), [(str(i), kind) for i, kind in enumerate(KINDS, 1)], ids=[str(k) for k in KINDS]
)
async def test_each_digit_states_its_kind(book: Session, digit: str, kind: RelationKind) -> None:
    async with opened(book, OrderScreen(book, "R1", "T05"), radio(relations=())) as pilot:
        await pilot.press(digit)
        await typed(pilot, "t4 6" if kind is RelationKind.BETTER else "4")
        await pilot.press("enter")
        wanted = [("T04", str(kind), "T05")] + ([("T06", str(kind), "T05")] if kind is RelationKind.BETTER else [])
        assert relations(book) == wanted
        assert order(pilot).query_one(Rows).has_focus


async def test_the_other_way_round_is_said_with_before(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T04"), radio()) as pilot:
        await pilot.press("1")
        await typed(pilot, "before T01")
        await pilot.press("enter")
        assert relations(book)[-1] == ("T04", "must come off before", "T01")
        assert said(pilot) == "stated: T04 must come off before T01"


async def test_a_circle_is_refused_with_the_circle_in_words_and_nothing_changes(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T01"), radio()) as pilot:
        version = book.kept("R1").version
        await pilot.press("1")
        await typed(pilot, "T03")
        await pilot.press("enter")
        shown = text_on(pilot)
        assert "These relations go round in a circle:" in shown
        for way in ("T01 must come off before T02", "T02 must come off before T03", "T03 must come off before T01"):
            assert way in shown
        assert order(pilot).query_one(Ask).is_open
        assert relations(book) == [(r.earlier, str(r.kind), r.later) for r in radio().relations]
        assert book.kept("R1").version == version


@pytest.mark.parametrize(("text", "why"), [("", "Type the code"), ("T77", "no step T77"), ("T01", "already stated")])
async def test_what_cannot_be_stated_is_refused_and_stays(book: Session, text: str, why: str) -> None:
    async with opened(book, OrderScreen(book, "R1", "T02"), radio()) as pilot:
        await pilot.press("1")
        await typed(pilot, text)
        await pilot.press("enter")
        assert why in text_on(pilot)
        await pilot.press("escape")
        assert order(pilot).query_one(Rows).has_focus
        assert len(relations(book)) == 2


async def test_several_at_once_are_one_edit(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T06"), radio()) as pilot:
        await pilot.press("1")
        await typed(pilot, "T04 T05")
        await pilot.press("enter", "z")
        assert len(relations(book)) == 2


async def test_a_relation_is_taken_back_from_either_end(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T02"), radio()) as pilot:
        await pilot.press("x")
        assert relations(book) == [("T02", "must come off before", "T03")]
        await pilot.press("x")
        assert relations(book) == []
        await pilot.press("x")
        assert "Put the cursor on a stated relation" in said(pilot)


async def test_free_and_proven_take_turns(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T04"), unit(*steps(6))) as pilot:
        assert "Its place is proven" in text_on(pilot)
        assert "3 come off before it" in text_on(pilot)
        assert "recorded order" in text_on(pilot)
        await pilot.press("f")
        assert book.unit("R1").steps[3].order is OrderBasis.STATED
        assert "Only what is stated holds it" in text_on(pilot)
        assert "nothing comes off before it" in text_on(pilot)
        await pilot.press("f")
        assert book.unit("R1").steps[3].order is OrderBasis.PROVEN


async def test_better_before_says_whether_it_still_protects(book: Session) -> None:
    of = radio(relations=[relation("T01", "T02", "better"), relation("T03", "T02")])
    async with opened(book, OrderScreen(book, "R1", "T02"), of) as pilot:
        await pilot.press("t")
        assert not book.unit("R1").relations[0].still_protects
        assert "protects nothing now" in text_on(pilot)
        await pilot.press("down", "t")
        assert said(pilot) == "Only “better before” protects something."


async def test_items_are_named_for_what_is_threaded_on(book: Session) -> None:
    of = radio(relations=[relation("T01", "T02", "threaded"), relation("T03", "T02")])
    async with opened(book, OrderScreen(book, "R1", "T02"), of) as pilot:
        await pilot.press("i")
        await typed(pilot, "sleeve, cap")
        await pilot.press("enter")
        assert book.unit("R1").relations[0].items == "sleeve, cap"
        assert "(sleeve, cap)" in text_on(pilot)
        await pilot.press("down", "i")
        assert "Only “threaded on before”" in said(pilot)


async def test_what_others_say_already_is_hidden_until_asked_for(book: Session) -> None:
    of = radio(relations=[*chain("T01", "T02", "T03"), relation("T01", "T03")])
    async with opened(book, OrderScreen(book, "R1", "T03"), of) as pilot:
        assert "1 said already by others, hidden (h)." in text_on(pilot)
        assert "said by others too" not in text_on(pilot)
        await pilot.press("h")
        assert "must come off before (said by others too)" in text_on(pilot)


async def test_why_a_step_stands_there_is_said(book: Session) -> None:
    of = unit(*steps(3), relations=[relation("T01", "T03", why="it holds the bracket")])
    of = of.model_copy(update={"steps": (*of.steps[:2], of.steps[2].model_copy(update={"order": OrderBasis.PROVEN}))})
    async with opened(book, OrderScreen(book, "R1", "T03"), of) as pilot:
        await pilot.press("w")
        assert said(pilot) == "T01 must come off before T03: it holds the bracket"
        await pilot.press("down", "w")
        assert "Nobody stated it" in said(pilot)


async def test_enter_and_arrows_look_from_another_step(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T02"), radio()) as pilot:
        await pilot.press("enter")
        assert "order of T01" in lines_on(pilot)[0]
        await pilot.press("left")
        assert "order of T06" in lines_on(pilot)[0]
        await pilot.press("right", "right")
        assert "order of T02" in lines_on(pilot)[0]
        await pilot.press("E")
        assert isinstance(pilot.app.screen, FormScreen)
        assert pilot.app.screen.path == ("relations", 0)


async def test_the_whole_order_shows_groups_free_of_each_other(book: Session) -> None:
    of = radio(relations=[relation("T01", "T02"), relation("T01", "T03"), relation("T05", "T06", "together")])
    async with opened(book, OrderScreen(book, "R1", ""), of) as pilot:
        shown = text_on(pilot)
        assert "6 steps, 3 relations; 2 groups free of each other." in shown
        assert "after T01 free of each other T02 part 2 after T01 T03 part 3 after T01" in shown.replace("▌ ", "")
        assert "T06 part 6 with T05 with T05" in shown
        for key in ("1", "f", "x", "t"):
            await pilot.press(key)
        assert len(relations(book)) == 3
        await pilot.press("enter")
        assert "order of T01" in lines_on(pilot)[0]
        await pilot.press("g")
        assert "whole order" in lines_on(pilot)[0]


async def test_a_circle_in_the_record_is_shown_and_can_be_opened(book: Session) -> None:
    of = radio().model_copy(update={"relations": tuple(chain("T01", "T02", "T03", "T01"))})
    async with opened(book, None, radio()) as pilot:
        book.apply("R1", "as imported", lambda u: u.model_copy(update={"relations": of.relations}))
        for code in ("T02", ""):
            await pilot.app.push_screen(OrderScreen(book, "R1", code))
            await pilot.pause()
            assert "These relations go round in a circle:" in text_on(pilot)
            shown = [r.lines[0] for r in order(pilot).query_one(Rows).rows if r.key.startswith("circle ")]
            assert [" ".join(x.split()) for x in shown] == [
                "T01 must come off before T02",
                "T02 must come off before T03",
                "T03 must come off before T01",
            ]
        await pilot.press("down", "x")
        assert relations(book) == [("T01", "must come off before", "T02"), ("T03", "must come off before", "T01")]
        assert "6 steps, 2 relations" in text_on(pilot)


async def test_better_before_binds_nothing_and_is_not_counted(book: Session) -> None:
    of = radio(relations=[relation("T01", "T02", "better"), relation("T02", "T03", "threaded")])
    async with opened(book, OrderScreen(book, "R1", "T02"), of) as pilot:
        assert "nothing comes off before it, nothing waits for it, 5 are free of it." in text_on(pilot)
        assert "better before" in text_on(pilot)


async def test_an_empty_record_says_where_to_begin(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", ""), unit()) as pilot:
        assert "There are no steps yet" in text_on(pilot)
        await pilot.press("right", "enter", "g")
        assert "There are no steps yet" in text_on(pilot)


async def test_a_step_that_went_away_gives_way_to_the_whole(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T06"), radio()) as pilot:
        book.apply("R1", "x", lambda u: u.model_copy(update={"steps": u.steps[:5]}))
        await pilot.pause()
        assert "whole order" in lines_on(pilot)[0]


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (130, 40)])
async def test_hostile_text_breaks_nothing(book: Session, size: tuple[int, int]) -> None:
    every = [step(f"T{i:02d}", t, stated=True) for i, t in enumerate(HOSTILE, 1)]
    of = unit(*every, relations=[relation("T01", "T02", "threaded", items=HOSTILE[1], why=HOSTILE[2])])
    async with opened(book, OrderScreen(book, "R1", "T02"), of, size=size) as pilot:
        assert not bad_cells(pilot)
        await pilot.press("w")
        assert not bad_cells(pilot)
        await pilot.press("g")
        assert not bad_cells(pilot)
        await pilot.press("g", "1")
        await typed(pilot, HOSTILE[1])
        await pilot.press("enter")
        assert not bad_cells(pilot)


async def test_an_order_of_the_way_back_alone_is_stated_by_its_digit_and_seen_apart(book: Session) -> None:
    async with opened(book, OrderScreen(book, "R1", "T05"), radio(relations=())) as pilot:
        await pilot.press("7")
        assert "T05 goes back before which?" in text_on(pilot)
        await typed(pilot, "before T03")
        await pilot.press("enter")
        assert relations(book) == [("T03", "goes back after", "T05")]
        assert said(pilot) == "stated: T05 goes back before T03"
        assert "On the way back alone, T05" in text_on(pilot)
        assert "goes back before it" in text_on(pilot)
        await pilot.press("7")
        await typed(pilot, "after T02")
        await pilot.press("enter")
        assert relations(book)[-1] == ("T05", "goes back after", "T02")
        lines = [line.key for line in refit_list(book.unit("R1")).lines]
        assert lines.index("T02") < lines.index("T05") < lines.index("T03")


async def test_at_60_columns_no_digit_is_parted_from_its_word(demo: Session) -> None:
    async with opened(demo, OrderScreen(demo, "R1", "T11"), size=(60, 20)) as pilot:
        lines = lines_on(pilot)
        assert any(line.strip() == "6 test   7 back" for line in lines), lines
