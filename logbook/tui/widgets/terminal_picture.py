"""A picture in the terminal: half blocks drawn here, or the terminal's own pictures where it has them.

Half blocks need nothing of the terminal: each cell shows two points, one above the other. The terminal's own
protocols (Kitty, Sixel) are asked for once, before the program starts, because the answers come as keys.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from typing import Any

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual import work
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from logbook.errors import InputError
from logbook.tui.plain_content import plain
from logbook.tui.surviving import Surviving

Maker = Callable[[], Any]
"""Gives the picture, small and upright; it runs beside the screen and may raise InputError."""

_KNOWN = ("kitty", "foot", "mlterm", "ghostty", "wezterm", "contour")
"""Names in `TERM` of terminals that draw pictures themselves."""


def wants_own_pictures(setting: str, environment: Mapping[str, str]) -> bool:
    """Whether the terminal's own pictures are asked for: by the setting, or where its name says that it has them."""
    if setting in ("blocks", "off"):
        return False
    term = environment.get("TERM", "").casefold()
    return setting == "terminal" or any(name in term for name in _KNOWN) or "KITTY_WINDOW_ID" in environment


_OWN: list[type[Widget]] = []
"""The widget that draws with the terminal's own protocol, once `prepare` has found one."""


def prepare(setting: str) -> None:
    """Ask the terminal what it can draw; only before the program starts, never while it reads keys."""
    if not wants_own_pictures(setting, os.environ):
        return
    import logging

    logging.getLogger("textual_image").addHandler(logging.NullHandler())
    try:
        from textual_image.widget import AutoImage
    except ImportError:  # half blocks are always there
        return
    _OWN[:] = [AutoImage]


class HalfBlocks(Surviving, Widget):
    """A picture of half blocks, as large as fits, with a cross where a mark is being placed."""

    DEFAULT_CSS = "HalfBlocks { width: 1fr; height: 1fr; }"

    def __init__(self) -> None:
        super().__init__()
        self.picture: Any = None
        self.cross: tuple[int, int] | None = None
        """In thousandths of the picture, or None."""
        self._strips: list[Strip] = []
        self._drawn_for: tuple[int, ...] = ()

    def show(self, picture: Any) -> None:
        """Show a picture; None shows nothing."""
        self.picture, self._drawn_for = picture, ()
        self.refresh()

    def points(self) -> tuple[int, int]:
        """How many points wide and high the picture is drawn: a cell holds one across and two down."""
        if self.picture is None or not self.size.width or not self.size.height:
            return 0, 0
        wide, high = self.picture.size
        factor = min(self.size.width / wide, self.size.height * 2 / high)
        return max(1, int(wide * factor)), max(2, int(high * factor) // 2 * 2)

    def render_line(self, y: int) -> Strip:
        """One line of cells."""
        wanted = (*self.size, *(self.cross or ()))
        if wanted != self._drawn_for:
            self._strips, self._drawn_for = self._draw(), wanted
        return self._strips[y] if y < len(self._strips) else Strip.blank(self.size.width, self.rich_style)

    def _draw(self) -> list[Strip]:
        wide, high = self.points()
        if not wide:
            return []
        small = self.picture.resize((wide, high))
        if self.cross is not None:
            _draw_cross(small, self.cross)
        raw, style = small.convert("RGB").tobytes(), self.rich_style
        return [Strip(_cells(raw, wide, y)).adjust_cell_length(self.size.width, style) for y in range(0, high, 2)]


def _draw_cross(image: Any, at: tuple[int, int]) -> None:
    x, y = at[0] * (image.width - 1) // 1000, at[1] * (image.height - 1) // 1000
    for dx, dy in ((0, 0), (1, 0), (-1, 0), (0, 1), (0, -1), (2, 0), (-2, 0), (0, 2), (0, -2)):
        if 0 <= x + dx < image.width and 0 <= y + dy < image.height:
            image.putpixel((x + dx, y + dy), (255, 255, 255) if (dx + dy) % 2 else (255, 0, 0))


def _cells(raw: bytes, wide: int, y: int) -> list[Segment]:
    """Two rows of points as one row of cells."""
    cells = []
    for x in range(wide):
        above, below = (y * wide + x) * 3, ((y + 1) * wide + x) * 3
        style = Style(
            color=Color.from_rgb(*raw[above : above + 3]), bgcolor=Color.from_rgb(*raw[below : below + 3])
        )  # fmt: skip
        cells.append(Segment("▀", style))
    return cells


class PictureView(Surviving, Vertical):
    """Shows one picture with a line of words below; loading never holds up a key."""

    DEFAULT_CSS = """
    PictureView { width: 1fr; height: 1fr; padding: 0 1; }
    PictureView > .caption { height: auto; max-height: 3; color: $text-muted; }
    PictureView > .own { width: auto; height: 1fr; }
    """

    class Shown(Message):
        """The picture asked for last stands there, or the words why not."""

    words = ""
    """What stands below the picture, for whoever asks."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - Textual's name
        super().__init__(id=id)
        self._asked = ""
        self._why_not = ""
        """Why the picture that was asked for last cannot be shown."""

    def compose(self) -> ComposeResult:
        """The picture and its words."""
        yield (_OWN[0](classes="own") if _OWN else HalfBlocks())
        yield Static("", classes="caption")

    @property
    def blocks(self) -> HalfBlocks | None:
        """The half blocks, where those are used."""
        return next(iter(self.query(HalfBlocks)), None)

    def show(self, key: str, make: Maker | None, words: str) -> None:
        """Show another picture.

        Args:
            key: names the picture; the same key again changes only the words.
            make: gives the picture, in a thread of its own; None shows words alone.
            words: what to say below.
        """
        if key == self._asked:
            self._say_with_reason(words)
            return
        self._asked, self._why_not = key, ""
        self._say(words)
        if make is None or not self._wanted():
            self.workers.cancel_group(self, "picture")
            self._put(None)
        else:
            self._load(key, make, words)

    def _wanted(self) -> bool:
        """Whether pictures are shown at all; a person can turn them off."""
        settings = getattr(self.app, "settings", None)
        return settings is None or settings.pictures != "off"

    @work(thread=True, exclusive=True, group="picture", exit_on_error=False)
    def _load(self, key: str, make: Maker, words: str) -> None:
        worker = get_current_worker()
        if worker.is_cancelled:
            return
        try:
            image, why_not = make(), ""
        except InputError as error:
            image, why_not = None, str(error)
        if not worker.is_cancelled:
            self.app.call_from_thread(self._loaded, key, image, words, why_not)

    def _loaded(self, key: str, image: Any, words: str, why_not: str) -> None:
        if key == self._asked and self.is_mounted:
            self._why_not = why_not
            self._put(image)
            self._say_with_reason(words)

    def _say_with_reason(self, words: str) -> None:
        self._say(f"{self._why_not} {words}".strip())

    def _put(self, image: Any) -> None:
        if (blocks := self.blocks) is not None:
            blocks.show(image)
        else:
            self.query_one(".own").image = image  # type: ignore[attr-defined]  # the widget's own property
        self.post_message(self.Shown())

    def _say(self, words: str) -> None:
        self.words = words
        self.query_one(".caption", Static).update(plain(words, limit=400))
