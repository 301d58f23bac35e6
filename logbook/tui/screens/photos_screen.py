"""The photos of a unit: each at its step, component or hold point, with the picture beside the list."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from logbook.model.edits import UnitEdit
from logbook.model.photo_edits import (
    Placed,
    Spot,
    at_step,
    photos_of,
    spots,
    with_photo_changed,
    with_photo_moved,
    without_photo,
)
from logbook.serve.incoming import Bench
from logbook.session import Session
from logbook.session.unit_photos import picture_of
from logbook.tui.actions import Act
from logbook.tui.asking import AskingScreen
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.photo_words import EMPTY, kind_after, photo_words, photos_question, row_key
from logbook.tui.plain_content import plain
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.photo_rows import LACKING, in_record_order, photo_entries, what_it_stands_at
from logbook.tui.screens.picture_screen import PictureScreen
from logbook.tui.sections import UNIT_ACTS
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries
from logbook.tui.widgets.list_beside import BELOW_THE_FRAME
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.terminal_picture import PictureView

BESIDE = 76
"""Columns from which the picture stands beside the list."""
PICTURE_COLUMNS, WIDE_PICTURE_COLUMNS, BROAD_PICTURE_COLUMNS = 34, 60, 84
"""Columns of the picture from there, from `WIDE` and from `BROAD` columns of the terminal."""


class PhotosScreen(AskingScreen):
    """Section 8 of a unit."""

    TOPIC = "photos"
    SECTION = "photos"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("photos.open", "enter", "open", "large", "The photo as large as the terminal allows, and its marks", True),
        Act("photos.link", "a", "link", "link a folder", "Link the pictures of a folder to the steps they show", True),
        Act("photos.caption", "c", "caption", "caption", "Write what is to be seen", True),
        Act("photos.kind", "G", "kind", "kind", "Wide, close, pointing, before or after", True),
        Act("photos.to", "t", "to", "other step", "Put the photo at another step, component or hold point", True),
        Act(
            "photos.out",
            "x",
            "take_out",
            "take out",
            "Take it out of the record; the original stays (undo)",
        ),
        *UNIT_ACTS,
    )
    DEFAULT_CSS = f"""
    PhotosScreen #body {{ height: 1fr; }}
    PhotosScreen #beside {{ display: none; width: {PICTURE_COLUMNS}; }}
    PhotosScreen.-shows-beside #beside {{ display: block; }}
    PhotosScreen.-wide #beside {{ width: {WIDE_PICTURE_COLUMNS}; }}
    PhotosScreen.-broad #beside {{ width: {BROAD_PICTURE_COLUMNS}; }}
    PhotosScreen #picture {{ height: 2fr; }}
    PhotosScreen #in-full {{ display: none; height: 1fr; min-height: 6; }}
    PhotosScreen.-wide #in-full, PhotosScreen.-broad #in-full {{ display: block; }}
    """

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._wanted = ""
        self._placed: dict[str, Placed] = {}
        """Every photo by the key of its entry."""

    def compose_section(self) -> ComposeResult:
        """The sentence, the list with the picture and its step beside it, the line to type in."""
        yield Static("", id="question", classes="question")
        yield Static("", id="empty", classes="facts")
        with Horizontal(id="body"):
            photos = Entries(id="photos")
            photos.border_title = "Photos"
            yield photos
            with Vertical(id="beside"):
                yield PictureView(id="picture")
                yield Pane(self._in_full, id="in-full", title="Where it belongs")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The list."""
        return "#photos"

    def focus_list(self) -> None:
        """Back to the list."""
        self.query_one("#photos", Rows).focus()

    def show_record(self) -> None:
        """The photos as they stand now."""
        unit = self.unit
        self.query_one("#question", Static).update(plain(photos_question(unit), limit=300))
        self._placed = {row_key(placed): placed for placed in in_record_order(unit)}
        empty = self.query_one("#empty", Static)
        empty.update(plain(EMPTY, lines=True))
        empty.display = not self._placed
        entries = photo_entries(unit, self.session.shop_now, self._list_columns())
        shown = self.query_one("#photos", Rows)
        if not shown.rows and not self._wanted:
            self._wanted = next(iter(self._placed), "")
        shown.show(entries)
        if self._wanted:
            shown.go_to(self._wanted)
            self._wanted = ""
        self.set_class(self._has_room_beside and bool(entries), "-shows-beside")
        self._show_beside()

    @property
    def _has_room_beside(self) -> bool:
        """Whether something stands beside the list: from so many columns a picture, from `WIDE` its step as well."""
        return self.columns >= WIDE or (self.columns >= BESIDE and bool(self._placed))

    def _list_columns(self) -> int:
        """Columns for an entry of the list."""
        if not self._has_room_beside:
            return self.columns - BELOW_THE_FRAME
        if self.columns < WIDE:
            return self.columns - PICTURE_COLUMNS - BELOW_THE_FRAME
        beside = BROAD_PICTURE_COLUMNS if self.columns >= BROAD else WIDE_PICTURE_COLUMNS
        return self.columns - beside - BESIDE_THE_TEXT

    def photo_bench(self) -> Bench:
        """Where the photo under the cursor stands; a step that lacks its photo is meant as well."""
        spot = self._spot()
        if spot is None or not spot.code:
            return super().photo_bench()
        return Bench(self.CODE, spot, f"{self.CODE} {spot.code}")

    def current(self) -> Placed | None:
        """The photo under the cursor."""
        return self.query_one("#photos", Rows).current_of(self._placed)

    def _spot(self) -> Spot | None:
        """Where the photo under the cursor belongs, or the step there that lacks one."""
        row, here = self.query_one("#photos", Rows).current, self.current()
        if here is not None:
            return here.spot
        is_lacking = row is not None and row.key.startswith(LACKING)
        return at_step(row.key.split("|")[1]) if row is not None and is_lacking else None

    @on(Entries.Rested, "#photos")
    def _rested(self) -> None:
        self._show_beside()

    def _show_beside(self) -> None:
        """The picture under the cursor, and what it belongs to; where there is none, only what lacks it."""
        view, here = self.query_one("#picture", PictureView), self.current()
        view.display = here is not None or self.columns < WIDE
        self.query_one(Pane).update()
        if not self._has_room_beside:
            return
        if here is None:
            view.show("", None, "")
            return
        key = f"{here.photo.file} {hash(here.photo.marks)}"
        view.show(
            key, picture_of(self.session, self.CODE, here.photo), photo_words(self.unit, here, self.session.shop_now)
        )

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What the photo under the cursor belongs to."""
        spot = self._spot()
        return [BLANK] if spot is None else what_it_stands_at(self.unit, spot, self.session.shop_now, columns)

    def select(self, kind: str, code: str) -> None:  # noqa: ARG002 - every section is called alike
        """Put the cursor on the first photo of a thing."""
        found = next((p for p in photos_of(self.unit) if p.spot.code == code), None)
        if found is not None:
            self.query_one("#photos", Rows).go_to(row_key(found))

    @on(Rows.Chosen, "#photos")
    def action_open(self) -> None:
        """The photo in large."""
        here = self.current()
        if here is None:
            self.say("There is no photo here. Press a to link a folder of pictures.")
            return
        keys = [row_key(p) for p in photos_of(self.unit)]
        self.app.push_screen(PictureScreen(self.session, self.CODE, "photos", keys, row_key(here)))

    def action_link(self) -> None:
        """Link a folder."""
        self.logbook.open("link", self.CODE)

    def action_caption(self) -> None:
        """Ask for the caption."""
        if (here := self.current()) is not None:
            then = partial(self._caption, here)
            self.ask(f"caption/{here.photo.file}", "caption", here.photo.caption, "What is to be seen.", then)

    def _caption(self, here: Placed, text: str) -> None:
        edit = partial(with_photo_changed, spot=here.spot, file=here.photo.file, caption=text.strip())
        self.kept(f"{here.spot.words}: caption of a photo", edit)

    def action_kind(self) -> None:
        """The next kind."""
        if (here := self.current()) is not None:
            kind = kind_after(here.photo.kind)
            edit = partial(with_photo_changed, spot=here.spot, file=here.photo.file, kind=kind)
            self._apply(f"{here.spot.words}: photo is {kind}", edit)

    def action_to(self) -> None:
        """Choose where else it belongs."""
        here = self.current()
        if here is None:
            return
        unit = self.unit
        names = {s.code: s.what for s in unit.steps} | {c.code: c.name for c in unit.components}
        found = {f"{s.at.value}|{s.code}": s for s in spots(unit)}
        rows = [Row(k, (f"{s.code or unit.code:<6} {names.get(s.code, s.at.value)}",)) for k, s in found.items()]

        def take(key: str) -> None:
            to = found[key]
            self._wanted = row_key(Placed(to, here.photo))
            edit = partial(with_photo_moved, spot=here.spot, file=here.photo.file, to=to)
            self._apply(f"photo from {here.spot.words} to {to.words}", edit)

        own = f"{here.spot.at.value}|{here.spot.code}"
        self.app.push_screen(
            ChooseScreen(self.session, self.CODE, "Where does the photo belong?", rows, take=take, here=own)
        )

    def action_take_out(self) -> None:
        """Out of the record."""
        if (here := self.current()) is not None:
            edit = partial(without_photo, spot=here.spot, file=here.photo.file)
            self._apply(f"{here.spot.words}: photo taken out", edit)

    def _apply(self, what: str, edit: UnitEdit) -> None:
        self.tried(f"{what}.", partial(self.session.apply, self.CODE, what, edit))
