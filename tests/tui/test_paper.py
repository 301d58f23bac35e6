"""On paper: documents are made by real keys, into files that are there, and a new unit begins from a starter."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from logbook.model.paths import put_at
from logbook.session import Session
from logbook.tui.screen_names import screen_named
from logbook.tui.screens.bench_screen import BenchScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.paper_screen import PaperScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.widgets.rows import Rows
from tests.builders import steps, unit
from tests.tui.conftest import bad_cells, lines_on, opened, said, text_on, typed, until


@pytest.fixture(autouse=True)
def own_folders(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Own folders for data and small photos."""
    for name in ("DATA", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))


def papers(book: Session) -> list[str]:
    """Files that were made; one that is being written begins with a dot."""
    folder = book.path / "paper"
    return sorted(p.name for p in folder.glob("[!.]*")) if folder.is_dir() else []


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("arrival", "reassembly"),
        ("components", "labels"),
        ("costs", "decision"),
        ("reassembly", "reassembly"),
        ("case", "cuts"),
        ("photos", "record"),
    ],
)
async def test_e_leads_from_every_section_to_its_paper(demo: Session, name: str, first: str) -> None:
    async with opened(demo, screen_named(name, demo, "R1")) as pilot:
        await pilot.press("e")
        assert isinstance(pilot.app.screen, PaperScreen)
        await pilot.pause()
        assert "version 1 of the record" in text_on(pilot)
        row = pilot.app.screen.query_one("#papers", Rows).current
        assert row is not None
        assert row.key == f"make {first}"
        await pilot.press("escape")
        assert not isinstance(pilot.app.screen, PaperScreen)


async def test_the_list_is_made_as_a_pdf_and_the_file_is_named(demo: Session) -> None:
    async with opened(demo, PaperScreen(demo, "R1")) as pilot:
        await pilot.press("enter")
        await until(pilot, lambda: papers(demo), "no file was made")
        await until(pilot, lambda: "Made:" in said(pilot), "it was not said")
        assert papers(demo) == ["R1-reassembly-v1.pdf"]
        assert str(demo.path / "paper" / "R1-reassembly-v1.pdf") in said(pilot)
        assert (demo.path / "paper" / "R1-reassembly-v1.pdf").read_bytes().startswith(b"%PDF")
        await pilot.press("enter")
        await until(pilot, lambda: len(papers(demo)) == 2, "the second one was not made")
        assert papers(demo) == ["R1-reassembly-v1-2.pdf", "R1-reassembly-v1.pdf"]  # nothing is replaced
        assert demo.look_through() == ()  # and the book is as whole as before


async def test_form_and_folder_are_chosen_and_kept(demo: Session, tmp_path: Path) -> None:
    there = tmp_path / "out"
    there.mkdir()
    async with opened(demo, PaperScreen(demo, "R1")) as pilot:
        await pilot.press("1", "2", "3")
        assert "md, Markdown" in text_on(pilot)
        assert "US Letter" in text_on(pilot)
        assert "type large" in text_on(pilot)
        await pilot.press("8", "end", "ctrl+u")
        await typed(pilot, str(tmp_path / "nowhere"))
        await pilot.press("enter")
        assert "There is no such folder" in text_on(pilot)
        await pilot.press("end", "ctrl+u")
        await typed(pilot, str(there))
        await pilot.press("enter", "down", "down", "enter")
        await until(pilot, lambda: list(there.iterdir()), "no file was made")
        await until(pilot, lambda: "Made:" in said(pilot), "it was not said")
        assert [p.name for p in there.iterdir()] == ["R1-bom-v1.md"]
    assert PaperScreen(demo, "R1").wish().paper == "us-letter"
    assert PaperScreen(demo, "C1").folder() == there


async def test_labels_have_their_settings(demo: Session) -> None:
    async with opened(demo, PaperScreen(demo, "R1")) as pilot:
        await pilot.press("4")
        await typed(pilot, "hats")
        await pilot.press("enter")
        assert "no labels for “hats”" in text_on(pilot)
        await pilot.press("end", "ctrl+u")
        await typed(pilot, "wires, card")
        await pilot.press("enter", "6", "end", "ctrl+u")
        await typed(pilot, "22")
        await pilot.press("enter")
        assert "labels 1 to 21" in text_on(pilot)
        await pilot.press("end", "ctrl+u")
        await typed(pilot, "5")
        await pilot.press("enter", "7")
        wish = PaperScreen(demo, "R1").wish()
        assert (wish.kinds, wish.start, wish.outline) == (("wire", "card"), 5, True)
        pilot.app.screen.query_one("#papers", Rows).go_to("make labels")
        await pilot.press("enter")
        await until(pilot, lambda: papers(demo), "no file was made")
        assert papers(demo) == ["R1-labels-v1.pdf"]


async def test_enter_on_a_setting_changes_it(demo: Session) -> None:
    async with opened(demo, PaperScreen(demo, "R1")) as pilot:
        rows = pilot.app.screen.query_one("#papers", Rows)
        rows.go_to("how label sheet")
        before = PaperScreen(demo, "R1").wish().sheet
        await pilot.press("enter")
        assert PaperScreen(demo, "R1").wish().sheet != before
        assert rows.current is not None
        assert rows.current.key == "how label sheet"


async def test_the_store_prints_labels_only(demo: Session) -> None:
    async with opened(demo) as pilot:
        await pilot.press("s", "e")
        assert isinstance(pilot.app.screen, PaperScreen)
        assert "build record" not in text_on(pilot)
        await pilot.press("enter")
        await until(pilot, lambda: papers(demo), "no file was made")
        assert papers(demo) == ["shop-labels-v1.pdf"] or papers(demo)[0].startswith("shop-labels-v")


async def test_a_missing_engine_is_a_sentence_and_the_rest_works(
    demo: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    import sys

    from logbook.render import typeset

    typeset._engine.cache_clear()
    monkeypatch.setitem(sys.modules, "typst", None)
    async with opened(demo, PaperScreen(demo, "R1")) as pilot:
        await pilot.press("enter")
        await until(pilot, lambda: "pip install" in said(pilot), "it was not said")
        await pilot.press("1", "enter")
        await until(pilot, lambda: papers(demo), "no file was made")
        assert papers(demo) == ["R1-reassembly-v1.md"]
    typeset._engine.cache_clear()


@pytest.mark.parametrize("size", [(60, 24), (80, 24), (120, 40)])
async def test_it_fits_every_width(demo: Session, size: tuple[int, int]) -> None:
    async with opened(demo, PaperScreen(demo, "R1"), size=size) as pilot:
        await pilot.press("end", "home", "down")
        assert bad_cells(pilot) == []


# Ticks that come back


async def test_ticks_of_an_older_paper_reach_their_lines_and_say_what_changed(book: Session) -> None:
    book.add_unit(unit(*steps(3)))
    book.apply("R1", "T03: note", lambda u: put_at(u, ("steps", "T03", "note"), "left first"))
    async with opened(book, ReassemblyScreen(book, "R1")) as pilot:
        await pilot.press("t")
        await typed(pilot, "A01-A02 done, v1")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PageScreen)
        assert "Look at it again" in text_on(pilot)
        assert "T03: note" in text_on(pilot)
        assert {s.line for s in book.unit("R1").refit.lines if s.done} == {"check", "T03"}
        await pilot.press("escape", "z")
        assert book.unit("R1").refit.lines == ()


async def test_a_version_that_never_was_stays_in_the_line_with_a_sentence(book: Session) -> None:
    book.add_unit(unit(*steps(3)))
    async with opened(book, ReassemblyScreen(book, "R1")) as pilot:
        await pilot.press("t")
        await typed(pilot, "A01 v40")
        await pilot.press("enter")
        assert "40 is none of them" in text_on(pilot)
        assert book.unit("R1").refit.lines == ()


# Starters


async def test_a_new_unit_begins_from_the_starter_that_its_name_suggests(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "kitchen radio")
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert "Local codes and licensed practice come first" in text_on(pilot)
        await pilot.press("enter")
        await pilot.pause()
        made = book.unit("R1")
        assert made.arrival.object_class == "valve radio"
        assert [s.what for s in made.steps] == ["plug out, tagged", "back panel", "filter capacitors bled"]
        pilot.app.screen.query_one(Rows).go_to("question 0")
        await pilot.pause()
        assert f"Questions on arrival 0 of {len(made.arrival.questions)} answered" in text_on(pilot)
        assert "When did it last play?" in text_on(pilot)


async def test_leaving_the_choice_makes_nothing_and_keeps_the_name(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "kitchen radio")
        await pilot.press("enter", "enter")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, BenchScreen)
        assert book.codes() == ()
        assert book.draft("bench/new") == "kitchen radio"


async def test_typed_words_bring_the_starter_that_is_called_so_to_the_top(book: Session) -> None:
    """A grinder has a motor too, but it is not called one."""
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "old thing")
        await pilot.press("enter", "enter")
        await typed(pilot, "motor")
        rows = pilot.app.screen.query_one(Rows)
        assert [row.key for row in rows.rows] == ["small motor appliance", "bench grinder"]
        await pilot.press("enter")
        assert "carbon brushes" in str(book.unit("T1")), "a grinder has none"


async def test_words_that_fit_two_take_neither_until_asked_again(book: Session) -> None:
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "old thing")
        await pilot.press("enter", "enter")
        await typed(pilot, "ch")
        await pilot.press("enter")
        assert book.codes() == (), "chest of drawers, or chair"
        assert "Enter again takes chest of drawers; Up and Down go to another" in said(pilot)
        await pilot.press("down", "enter")
        assert next(c.name for c in book.unit("T1").components) == "back legs"


async def test_own_starters_are_offered_and_broken_ones_are_named(book: Session, tmp_path: Path) -> None:
    own = tmp_path / "data" / "restorers-logbook" / "starters"
    own.mkdir(parents=True)
    (own / "box.json").write_text(json.dumps({"name": "music box", "questions": ["Does it play?"]}), encoding="utf-8")
    (own / "bad.json").write_text("{", encoding="utf-8")
    async with opened(book) as pilot:
        await pilot.press("n")
        await typed(pilot, "small box")
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert "music box (your own)" in text_on(pilot)
        await typed(pilot, "music")
        await pilot.press("enter")
        await pilot.pause()
        assert [q.what for q in book.unit("B1").arrival.questions] == ["Does it play?"]


@pytest.mark.parametrize(
    ("at", "named", "not_named"),
    [
        ("make reassembly", ("Enter make it", "1 form", "8 where to"), ("4 labels for",)),
        ("make labels", ("Enter make it", "4 labels for", "6 first free"), ("3 large type",)),
        ("make document", ("Enter make it", "8 where to"), ("1 form", "2 paper size")),
        ("how type", ("Enter change",), ("make it", "1 form")),
    ],
)
async def test_the_key_line_says_what_matters_at_the_cursor(
    demo: Session, at: str, named: tuple[str, ...], not_named: tuple[str, ...]
) -> None:
    async with opened(demo, PaperScreen(demo, "R1"), size=(120, 40)) as pilot:
        pilot.app.screen.query_one("#papers", Rows).go_to(at)
        await until(pilot, lambda: not any(words in lines_on(pilot)[-1] for words in not_named))
        assert all(words in lines_on(pilot)[-1] for words in named)
