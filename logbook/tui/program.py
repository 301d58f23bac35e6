"""What a screen asks of the program it is shown in: other screens by their name, keys, the page for the phone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from logbook.serve.incoming import Bench, Incoming
from logbook.tui.settings import Settings

if TYPE_CHECKING:
    from logbook.serve.door import Door


class Program(Protocol):
    """The program as a screen knows it. `LogbookApp` is the only one that shows these screens."""

    settings: Settings
    incoming: Incoming
    """Pictures from the phone that wait to be taken in."""
    door: Door | None
    """The page for the phone, while it is open."""

    @property
    def keymap(self) -> dict[str, str]:
        """A person's own keys: action id to keys."""

    def open(
        self, name: str, *given: Any, select: tuple[str, str] | None = None, instead: bool = False, **more: Any
    ) -> None:
        """Show a screen of the table `screen_names`, made from the session and what is given.

        Args:
            name: as in that table.
            given: what the screen takes after the session.
            select: kind and code of the thing that the cursor goes to.
            instead: it takes the place of the one that is shown.
            more: what the screen takes by name.
        """

    def go_to(self, code: str, kind: str = "", thing: str = "") -> None:
        """Go to a unit, or to a thing in it; an empty code is the shop."""

    def means_elsewhere(self, keys: str, label: str) -> str:
        """What a letter means at other places, where this one has another meaning for it; else empty."""

    def key_named(self, action: str) -> str:
        """The first key of an action by its name, as this person has bound it: `bench.new` is `n`."""

    def photo_bench(self) -> Bench:
        """What is open at the bench, for a picture that comes from the phone."""

    def tell(self, text: str) -> None:
        """Say at the bench what the phone did."""

    async def close_door(self, *, for_good: bool = False) -> None:
        """Close the page for the phone; for good, its address ends too."""

    def goes_on_as_text(self, at: float) -> bool:
        """Whether a key that came at this time is the beginning of a text, of which the next letter waits already."""

    async def act_first(self, key: str, character: str | None) -> None:
        """Let a key act before any that is held back."""

    def survive(self, fault: Exception) -> None:
        """Go on after a fault of the program."""

    def leave(self) -> None:
        """Leave; while something is in memory only, ask first what is to become of it."""

    def leave_at_once(self, message: str = "") -> None:
        """Leave without a question."""
