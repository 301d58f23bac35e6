"""Photos on the screen: a folder linked by keys, the picture beside the list, marks, other steps, undo."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from logbook.model.photo_edits import photos_of
from logbook.model.words import LinkBasis, MarkKind, PhotoKind
from logbook.session import Session
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.link_photos_screen import LinkScreen
from logbook.tui.screens.photos_screen import PhotosScreen
from logbook.tui.screens.picture_screen import PictureScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.terminal_picture import HalfBlocks, PictureView, wants_own_pictures
from tests.builders import at, step, unit
from tests.photos.pictures import photo
from tests.tui.conftest import HOSTILE, bad_cells, lines_on, opened, said, text_on, typed, until

RADIO = unit(
    step("T01", "plug", at=at("2026-03-12 19:00"), photo_taken=True),
    step("T02", "back panel", at=at("2026-03-12 19:06")),
    step("T03", "pointer", at=at("2026-03-12 19:15"), photo_taken=True),
)


@pytest.fixture
def phone(tmp_path: Path) -> Path:
    folder = tmp_path / "phone"
    folder.mkdir()
    for n, moment in enumerate(("19:03:00", "19:10:00", "21:00:00"), 1):
        raw = photo(n, time=f"2026:03:12 {moment}", offset="+00:00", camera="phone")
        (folder / f"IMG{n}.jpg").write_bytes(raw)
    (folder / "notes.jpg").write_bytes(b"no picture")
    return folder


async def linked(pilot: Pilot[Any], folder: Path, *, clock: str = "+0:00") -> None:
    """Name the folder and set the clock on the screen for linking."""
    await pilot.pause()
    await typed(pilot, str(folder))
    await pilot.press("enter")
    await until(pilot, lambda: "IMG1" in text_on(pilot) or "ticked" in text_on(pilot))
    if clock:
        await pilot.press("E")
        await typed(pilot, clock)
        await pilot.press("enter")
        await pilot.pause()


async def test_a_folder_is_looked_over_linked_and_taken_back(book: Session, phone: Path) -> None:
    async with opened(book, LinkScreen(book, "R1"), unit(code="R1")) as pilot:
        book.apply("R1", "steps", lambda u: u.model_copy(update={"steps": RADIO.steps}))
        await linked(pilot, phone)
        shown = text_on(pilot)
        assert "2 of 3 pictures ticked" in shown
        assert "1 at no step" in shown
        assert "1 not taken" in shown
        await pilot.press("space")
        assert "1 of 3 pictures ticked" in text_on(pilot)
        await pilot.press("K")
        await until(pilot, lambda: said(pilot).startswith("Linked"))
        assert [(p.spot.code, p.photo.linked) for p in photos_of(book.unit("R1"))] == [("T03", LinkBasis.TIME)]
        assert len(list((book.path / "units" / "R1" / "photos").iterdir())) == 1
        assert "1 in the record already" in text_on(pilot)
        await pilot.press("z")
        await pilot.pause()
        assert list(photos_of(book.unit("R1"))) == []
        assert "in the record already" not in text_on(pilot)
        assert "1 of 3 pictures ticked" in text_on(pilot)
        await pilot.press("K")
        await until(pilot, lambda: said(pilot).startswith("Linked"))
        assert [p.spot.code for p in photos_of(book.unit("R1"))] == ["T03"]


async def test_an_orphan_is_put_at_a_step_by_hand(book: Session, phone: Path) -> None:
    async with opened(book, LinkScreen(book, "R1"), RADIO) as pilot:
        await linked(pilot, phone)
        await pilot.press("end", "t")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await typed(pilot, "plug")
        await pilot.press("enter")
        await pilot.pause()
        assert "3 of 3 pictures ticked" in text_on(pilot)
        await pilot.press("K")
        await until(pilot, lambda: said(pilot).startswith("Linked"))
        (by_hand,) = [p for p in photos_of(book.unit("R1")) if p.photo.linked is LinkBasis.HAND]
        assert by_hand.spot.code == "T01"
        assert "All 3 pictures of that folder are in the record already" in text_on(pilot)


async def test_without_a_word_of_the_clock_nothing_near_an_entry_is_ticked(book: Session, phone: Path) -> None:
    raw = photo(7, time="2026:03:12 19:05:30", offset="+00:00", camera="phone")
    (phone / "IMG7.jpg").write_bytes(raw)
    async with opened(book, LinkScreen(book, "R1"), RADIO) as pilot:
        await linked(pilot, phone, clock="")
        assert "1 unsure" in text_on(pilot)
        assert "sets the camera's clock" in text_on(pilot)
        await pilot.press("A")
        assert "3 of 4 pictures ticked" in text_on(pilot)
        await pilot.press("A")
        assert "2 of 4 pictures ticked" in text_on(pilot)
        assert any(line.lstrip(" >").startswith("[ ] unsure") for line in lines_on(pilot))


async def test_a_picture_of_a_clock_sets_the_cameras_clock_and_is_no_photo_of_a_step(
    book: Session, phone: Path
) -> None:
    raw = photo(8, time="2026:03:12 18:58:20", offset="+00:00", camera="phone")
    (phone / "IMG0.jpg").write_bytes(raw)
    async with opened(book, LinkScreen(book, "R1"), RADIO) as pilot:
        await linked(pilot, phone, clock="")
        await pilot.press("home", "equals_sign")
        await typed(pilot, "noon")
        await pilot.press("enter")
        assert "is no time of day" in text_on(pilot)
        await pilot.press("ctrl+u")
        await typed(pilot, "18:56:20")
        await pilot.press("enter")
        await pilot.pause()
        assert "a picture of a clock" in text_on(pilot)
        assert "2 of 4 pictures ticked" in text_on(pilot)
        await pilot.press("down", "E")
        assert "Now +2:00" in text_on(pilot)


@pytest.mark.parametrize("wrong", ["/nowhere/at/all", "   ", *HOSTILE[:3]])
async def test_a_folder_that_is_none_is_refused_where_it_was_typed(book: Session, wrong: str) -> None:
    async with opened(book, LinkScreen(book, "R1"), RADIO) as pilot:
        await pilot.pause()
        await typed(pilot, wrong)
        await pilot.press("enter")
        await pilot.pause()
        assert "folder" in text_on(pilot)
        assert pilot.app.screen.query_one("Ask").has_class("-refused")
        assert not bad_cells(pilot)


async def with_photos(book: Session, phone: Path) -> None:
    """R1 with a photo at T02 and one at T03."""
    from logbook.session.unit_photos import keep_pictures, known_photos, look_through, pictures_in, proposal, wanted_of

    looked = look_through(pictures_in(phone), known_photos(book), zone=at("2026-03-12").tzinfo)  # type: ignore[arg-type]
    keep_pictures(book, wanted_of(proposal(book, looked, ["R1"], {}), looked, {}))


async def test_the_picture_stands_beside_the_list(book: Session, phone: Path) -> None:
    book.add_unit(RADIO)
    await with_photos(book, phone)
    async with opened(book, PhotosScreen(book, "R1")) as pilot:
        blocks = pilot.app.screen.query_one(HalfBlocks)
        await until(pilot, lambda: blocks.picture is not None)
        assert sum(line.count("▀") for line in lines_on(pilot)) > 200
        assert "2 photos at 2 steps; 1 step lacks its photo" in text_on(pilot)
        await pilot.resize_terminal(60, 24)
        await pilot.pause()
        assert sum(line.count("▀") for line in lines_on(pilot)) == 0
        assert not bad_cells(pilot)


async def test_caption_kind_other_step_take_out_and_undo(book: Session, phone: Path) -> None:
    book.add_unit(RADIO)
    await with_photos(book, phone)
    async with opened(book, PhotosScreen(book, "R1")) as pilot:
        await pilot.press("c")
        await typed(pilot, "[bold]which screw was short[/] \x1b[31m")
        await pilot.press("enter", "G")
        first = book.unit("R1").steps[1].photos[0]
        assert first.caption.startswith("[bold]which screw")
        assert first.kind is PhotoKind.POINTING
        assert not bad_cells(pilot)
        await pilot.press("t")
        await until(pilot, lambda: isinstance(pilot.app.screen, ChooseScreen))
        await typed(pilot, "T01")
        await pilot.press("enter")
        await pilot.pause()
        assert [p.spot.code for p in photos_of(book.unit("R1"))] == ["T01", "T03"]
        assert pilot.app.screen.query_one("#photos", Rows).current.key.startswith("step|T01")  # type: ignore[union-attr]
        await pilot.press("x")
        assert [p.spot.code for p in photos_of(book.unit("R1"))] == ["T03"]
        await pilot.press("z")
        assert [p.spot.code for p in photos_of(book.unit("R1"))] == ["T01", "T03"]


async def test_marks_are_placed_by_keys_and_the_original_stays(book: Session, phone: Path) -> None:
    book.add_unit(RADIO)
    await with_photos(book, phone)
    file = book.path / "units" / "R1" / "photos" / book.unit("R1").steps[1].photos[0].file
    before = file.read_bytes()
    async with opened(book, PhotosScreen(book, "R1")) as pilot:
        await pilot.press("enter")
        await until(pilot, lambda: isinstance(pilot.app.screen, PictureScreen))
        await pilot.press("A", "left", "left", "up", "enter")
        (ring,) = book.unit("R1").steps[1].photos[0].marks
        assert (ring.kind, ring.x, ring.y) == (MarkKind.RING, 450, 475)
        await pilot.press("n")
        await typed(pilot, "7")
        await pilot.press("enter", "down", "enter")
        assert book.unit("R1").steps[1].photos[0].marks[1].kind is MarkKind.NUMBER
        await pilot.press("x")
        assert len(book.unit("R1").steps[1].photos[0].marks) == 1
        await pilot.press("a", "escape")
        assert isinstance(pilot.app.screen, PictureScreen)
        assert len(book.unit("R1").steps[1].photos[0].marks) == 1
        await pilot.press("right")
        assert "2 of 2" in text_on(pilot)
    assert file.read_bytes() == before


async def test_a_lost_original_is_said_in_words(book: Session, phone: Path) -> None:
    book.add_unit(RADIO)
    await with_photos(book, phone)
    for file in (book.path / "units" / "R1" / "photos").iterdir():
        file.unlink()
    async with opened(book, PhotosScreen(book, "R1")) as pilot:
        view = pilot.app.screen.query_one("#picture", PictureView)
        await until(pilot, lambda: "is not in its folder" in view.words)
        await pilot.press("enter", "v")
        await pilot.pause()
        assert "is not in" in said(pilot)


async def test_the_photos_of_a_line_are_one_key_away_and_stand_beside_now(book: Session, phone: Path) -> None:
    book.add_unit(RADIO)
    await with_photos(book, phone)
    async with opened(book, ReassemblyScreen(book, "R1")) as pilot:
        await pilot.press("home", "down", "p")
        await until(pilot, lambda: isinstance(pilot.app.screen, PictureScreen))
        await pilot.press("b")
        await pilot.pause()
        assert "As found, and as it is now" in text_on(pilot)
        assert "No photo now" in text_on(pilot)
        await pilot.press("escape", "end", "p")
        await pilot.pause()
        assert "No photo is linked to this line" in said(pilot)


@pytest.mark.parametrize(
    ("setting", "environment", "asked"),
    [
        ("auto", {"TERM": "xterm-256color"}, False),
        ("auto", {"TERM": "xterm-kitty"}, True),
        ("auto", {"TERM": "foot"}, True),
        ("terminal", {"TERM": "xterm"}, True),
        ("blocks", {"TERM": "xterm-kitty"}, False),
        ("off", {"KITTY_WINDOW_ID": "1"}, False),
    ],
)
def test_whether_the_terminal_is_asked(setting: str, environment: dict[str, str], asked: bool) -> None:
    assert wants_own_pictures(setting, environment) is asked


def test_half_blocks_show_two_points_in_a_cell() -> None:
    from PIL import Image

    from logbook.tui.widgets.terminal_picture import _cells

    image = Image.new("RGB", (2, 2))
    image.putdata([(1, 2, 3), (4, 5, 6), (7, 8, 9), (10, 11, 12)])
    first, second = _cells(image.tobytes(), 2, 0)
    assert first.text == second.text == "▀"
    assert first.style is not None
    assert second.style is not None
    assert first.style.color is not None
    assert tuple(first.style.color.triplet or ()) == (1, 2, 3)
    assert second.style.bgcolor is not None
    assert tuple(second.style.bgcolor.triplet or ()) == (10, 11, 12)


def test_no_viewer_over_a_remote_line(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from logbook.errors import InputError
    from logbook.tui.system_opener import open_outside

    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(os, "name", "posix")
    with pytest.raises(InputError, match="no viewer"):
        open_outside(tmp_path / "x.jpg")


async def test_pictures_that_come_later_are_proposed_by_themselves_and_kept_by_nobody(
    book: Session, phone: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logbook.tui.screens.link_photos_screen.LOOK_AGAIN", 0.05)
    async with opened(book, LinkScreen(book, "R1"), RADIO) as pilot:
        await linked(pilot, phone)
        await pilot.press("down", "space")
        assert "1 of 3 pictures ticked" in text_on(pilot)
        raw = photo(9, time="2026:03:12 19:11:00", offset="+00:00", camera="phone")
        (phone / "IMG9.jpg").write_bytes(raw)
        await until(pilot, lambda: "1 more picture came" in said(pilot))
        shown = text_on(pilot)
        assert "2 of 4 pictures ticked" in shown
        assert "IMG2" in pilot.app.screen.current()[0]  # type: ignore[attr-defined]
        assert list(photos_of(book.unit("R1"))) == []


async def test_asking_where_a_photo_belongs_says_nothing_over_what_was_said(book: Session) -> None:
    async with opened(book, ReassemblyScreen(book, "R1"), RADIO) as pilot:
        pilot.app.screen.query_one("#lines", Rows).go_to("audit")
        pilot.app.screen.say("just said")
        assert pilot.app.photo_bench().unit == "R1"
        assert said(pilot) == "just said"


async def test_a_screen_that_is_being_taken_down_is_no_place_for_a_photo(book: Session) -> None:
    async with opened(book, ReassemblyScreen(book, "R1"), RADIO) as pilot:
        assert pilot.app.photo_bench().unit == "R1"
        await pilot.app.screen.query_one("#lines").remove()
        assert pilot.app.photo_bench().unit == ""
