"""The chooser of actions: every action of a place by its name, narrowed by the words that are typed."""

from __future__ import annotations

from textual.command import CommandPalette

from logbook.tui.plain_content import plain
from logbook.tui.widgets.signs import glyphs_now

ID = "--command-palette"
"""By which the library knows that it is open."""


class ActionChooser(CommandPalette):
    """In a frame like everything else, with a question of our own above it."""

    SCOPED_CSS = False
    DEFAULT_CSS = """
    ActionChooser { background: $background 40%; }
    ActionChooser > Vertical { margin: 1 2; background: $background; }
    ActionChooser #--input { border: round $accent; border-title-color: $accent; border-title-style: bold;
                             background: $background; padding: 0 1; }
    ActionChooser #--input.--list-visible { border-bottom: none; }
    ActionChooser #--input SearchIcon { display: none; }
    ActionChooser CommandList, ActionChooser CommandList:focus, ActionChooser CommandList.--populating {
        border: round $accent; border-top: none; background: $background; }
    ActionChooser CommandList { scrollbar-size: 1 1; }
    ActionChooser.-bare-signs #--input { border: ascii $accent; }
    ActionChooser.-bare-signs #--input.--list-visible { border-bottom: none; }
    ActionChooser.-bare-signs CommandList, ActionChooser.-bare-signs CommandList:focus,
    ActionChooser.-bare-signs CommandList.--populating { border: ascii $accent; border-top: none; }
    ActionChooser LoadingIndicator { display: none; }
    """

    def __init__(self) -> None:
        super().__init__(placeholder="a word of it; Up and Down move, Enter does it, Esc leaves it", id=ID)

    def on_mount(self) -> None:
        """The question stands in the frame, which is of plain signs where the terminal has no fine ones."""
        self.set_class(not glyphs_now().fine, "-bare-signs")
        self.query_one("#--input").border_title = plain("What do you want to do?")
