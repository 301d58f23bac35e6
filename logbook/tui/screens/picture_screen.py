"""One photo as large as the terminal allows, the ones beside it an arrow away, marks drawn over it by keys."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from logbook.model.photo_edits import Placed, photos_of, with_photo_changed
from logbook.model.step import Photo, PictureMark
from logbook.model.unit import Unit
from logbook.model.words import MarkKind
from logbook.session import Session
from logbook.session.unit_photos import original_of, picture_of
from logbook.tui.actions import Act
from logbook.tui.photo_words import found_and_now, photo_words, row_key
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.system_opener import open_outside
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.terminal_picture import PictureView

STEP = 25
"""How far one key moves the cross, in thousandths of the picture."""


class PictureScreen(BookScreen):
    """Photos of a unit one by one, or as found beside now."""

    TOPIC = "photos"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("picture.next", "right,space", "other(1)", "next", "The next photo; while a mark is placed: move it", True),
        Act("picture.previous", "left", "other(-1)", "previous", "The photo before"),
        Act("picture.up", "up", "move(0,-1)", "up", "While a mark is placed: move it up"),
        Act("picture.down", "down", "move(0,1)", "down", "While a mark is placed: move it down"),
        Act("picture.arrow", "a", "mark('arrow')", "arrow", "Draw an arrow: move it with the arrow keys", True),
        Act("picture.ring", "A", "mark('ring')", "ring", "Draw a ring", True),
        Act("picture.words", "n", "mark('text')", "note on it", "Write words or a number onto it", True),
        Act("picture.place", "enter", "place", "place", "Place the mark where the cross is"),
        Act("picture.unmark", "x", "unmark", "last mark off", "Take the newest mark away (undo brings it back)"),
        Act("picture.beside", "b", "beside", "beside", "As found beside as it is now", True),
        Act("picture.outside", "v", "outside", "viewer", "Open the original in the system's viewer"),
    )
    DEFAULT_CSS = "PictureScreen #pair { height: 1fr; }"

    def __init__(self, session: Session, code: str, of: str, photos: Sequence[str], here: str = "") -> None:
        """Make the screen.

        Args:
            session: the open book.
            code: of the unit.
            of: what the photos are of, for the title.
            photos: keys of the photos in the order in which they are shown; see `row_key`.
            here: key of the one to begin with.
        """
        super().__init__(session)
        self.CODE = code
        self._of = of
        self._keys = tuple(photos)
        self._at = self._keys.index(here) if here in self._keys else 0
        self._cross: tuple[int, int] | None = None
        self._kind = MarkKind.ARROW
        self._text = ""
        self._beside = False

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit, and of what the photos are."""
        return f"{self.CODE} {self.unit.name} / {self._of}"

    def compose_body(self) -> ComposeResult:
        """The sentence, the picture, or two of them, and the line for words on it."""
        yield Static("", id="question", classes="question")
        with Horizontal(id="pair"):
            yield PictureView(id="first")
            yield PictureView(id="second")
        yield Ask(id="ask")

    def photos(self) -> list[Placed]:
        """The photos that are still in the record, in their order."""
        by_key = {row_key(p): p for p in photos_of(self.unit)}
        return [by_key[k] for k in self._keys if k in by_key]

    def current(self) -> Placed | None:
        """The photo shown."""
        photos = self.photos()
        return photos[min(self._at, len(photos) - 1)] if photos else None

    def show_record(self) -> None:
        """The photo as it is now."""
        photos, here = self.photos(), self.current()
        second = self.query_one("#second", PictureView)
        second.display = self._beside
        if here is None:
            self.query_one("#question", Static).update("There is no photo here any more. Esc goes back.")
            return
        if self._beside:
            self._show_pair(photos)
            return
        words = f"{min(self._at, len(photos) - 1) + 1} of {len(photos)}"
        if self._cross is not None:
            what = {MarkKind.TEXT: "the words", MarkKind.ARROW: "an arrow"}.get(self._kind, f"a {self._kind}")
            words = f"Placing {what}: the arrow keys move it, Enter places it, Esc leaves it."
        self.query_one("#question", Static).update(plain(words))
        self._show(
            self.query_one("#first", PictureView), here.photo, photo_words(self.unit, here, self.session.shop_now)
        )

    def _show(self, view: PictureView, photo: Photo, words: str) -> None:
        key = f"{photo.file} {hash(photo.marks)}"
        view.show(key, picture_of(self.session, self.CODE, photo), words)
        if view.blocks is not None:
            view.blocks.cross = self._cross
            view.blocks.refresh()

    def _show_pair(self, photos: Sequence[Placed]) -> None:
        self.query_one("#question", Static).update("As found, and as it is now. b goes back to one.")
        for name, photo, words in zip(
            ("#first", "#second"), found_and_now(photos), ("as found", "now"), strict=True
        ):  # fmt: skip
            view = self.query_one(name, PictureView)
            if photo is None:
                view.show(f"none {name}", None, f"No photo {words}. Kind “after” is what is now.")
            else:
                self._show(view, photo, f"{words}: {photo.caption or photo.kind}")

    def action_other(self, by: int) -> None:
        """The next photo, or the one before; while a mark is placed, the cross moves."""
        if self._cross is not None:
            self.action_move(by, 0)
            return
        count = len(self.photos())
        if count:
            self._at = (min(self._at, count - 1) + by) % count
            self.show_record()

    def action_move(self, across: int, down: int) -> None:
        """Move the cross."""
        if self._cross is not None:
            x, y = self._cross
            self._cross = (min(1000, max(0, x + across * STEP)), min(1000, max(0, y + down * STEP)))
            self.show_record()

    def action_mark(self, kind: str) -> None:
        """Begin to place a mark; words are asked for first."""
        if self.current() is None or self._beside:
            self.say("Show one photo first: b goes back to one.")
            return
        self._kind, self._text = MarkKind(kind), ""
        if self._kind is MarkKind.TEXT:
            self.query_one(Ask).ask("words", "words or number", "", "What stands on the picture. Then place it.")
        else:
            self._cross = (500, 500)
            self.show_record()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        if not event.text.strip():
            self.query_one(Ask).refuse("Write at least one letter or number.")
            return
        self._text = event.text.strip()
        self._kind = MarkKind.NUMBER if self._text.isdigit() else MarkKind.TEXT
        self.query_one(Ask).close()
        self.set_focus(None)
        self._cross = (500, 500)
        self.show_record()

    @on(Ask.Left)
    def _left(self) -> None:
        self.set_focus(None)

    def action_place(self) -> None:
        """Keep the mark where the cross is."""
        here, cross = self.current(), self._cross
        if here is None or cross is None:
            return
        mark = PictureMark(kind=self._kind, x=cross[0], y=cross[1], text=self._text)
        self._cross = None
        self._change(here, (*here.photo.marks, mark), f"{here.spot.words}: {self._kind} on a photo")
        self.show_record()

    def action_unmark(self) -> None:
        """Take the newest mark away."""
        here = self.current()
        if here is None or not here.photo.marks:
            self.say("There is no mark on this photo.")
            return
        self._change(here, here.photo.marks[:-1], f"{here.spot.words}: the newest mark taken off a photo")

    def _change(self, here: Placed, marks: tuple[PictureMark, ...], what: str) -> None:
        edit = partial(with_photo_changed, spot=here.spot, file=here.photo.file, marks=marks)
        self.tried(f"{what}.", partial(self.session.apply, self.CODE, what, edit))

    def action_beside(self) -> None:
        """As found beside now, and back."""
        self._beside, self._cross = not self._beside, None
        self.show_record()

    def action_outside(self) -> None:
        """The original in the system's viewer."""
        here = self.current()
        if here is not None:
            self.tried("Opened in the system's viewer.", partial(self._open, here.photo))

    def _open(self, photo: Photo) -> None:
        open_outside(original_of(self.session, self.CODE, photo))

    def action_back(self) -> None:
        """Leave the mark alone, or go back."""
        if self._cross is not None:
            self._cross = None
            self.show_record()
        else:
            super().action_back()
