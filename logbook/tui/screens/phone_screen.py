"""The page for the phone: open it, point the phone at the code, and what it takes lands on what is open here."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from logbook.errors import LogbookError
from logbook.serve.address import KeptAddress
from logbook.serve.door import Door, local_address
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.square_code import SquareCode

CLOSED = """\
The page is closed. Opened, it lets whoever has its address send \
pictures, say lines, tick what goes back and what was bought, and \
read what it needs for that.

 n  open it on the local network, for a phone in the same network
 o  open it on this machine alone

Nothing is encrypted: whoever is in the network can read along and \
use the address. Use a network you trust.
The address stays the same, also after leaving the program, until \
x ends it here; what waits on the phone is sent when it is open again."""


def _in_the_open(address: str) -> str:
    """What is to be known of a page that others in the network can reach."""
    return "" if address.startswith("http://127.0.0.1") else " Nothing is encrypted: use a network you trust."


class PhoneScreen(BookScreen):
    """Opens and closes the door for the phone, and shows its address as a code."""

    TOPIC = "phone"
    FOR_THE_PHONE = True
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("phone.network", "n", "open_on('network')", "on the network", "Open the page on the local network", True),
        Act("phone.own", "o", "open_on('own')", "this machine", "Open the page on this machine alone", True),
        Act("phone.close", "x", "close_door", "close the page", "Close the page; its address ends", True),
    )
    DEFAULT_CSS = """
    PhoneScreen #pair { height: 1fr; }
    PhoneScreen #words { width: 1fr; padding: 1 2; }
    """

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code

    def place(self) -> str:
        """The unit, and that the phone is meant."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / photos from the phone" if self.CODE else "Phone"

    def compose_body(self) -> ComposeResult:
        """The sentence, the code, the words beside it."""
        yield Static("", id="question", classes="question")
        with Horizontal(id="pair"):
            yield SquareCode(id="code")
            yield Static("", id="words")

    def show_record(self) -> None:
        """Whether the page is open, and where its pictures go."""
        door = self.logbook.door
        question, code = self.query_one("#question", Static), self.query_one(SquareCode)
        code.show(door.address if door is not None else "")
        code.display = door is not None
        if door is None:
            question.update("Say lines, tick, and take photos with the phone, straight into this book.")
            said = CLOSED
        else:
            question.update(plain(f"Photos go to {self.logbook.photo_bench().words}."))
            said = (
                f"Point the phone's camera at the code, or open\n\n{door.address}\n\n"
                f"{door.taken} picture{'' if door.taken == 1 else 's'} came so far.{_in_the_open(door.address)}\n\n"
                "Go on working: Esc goes back, the page stays open and a photo goes to what is open then. x closes it."
            )
        self.query_one("#words", Static).update(plain(said, lines=True))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what can be done now."""
        is_open = self.logbook.door is not None
        if action == "open_on":
            return not is_open
        if action == "close_door":
            return is_open
        return super().check_action(action, parameters)

    async def action_open_on(self, where: str) -> None:
        """Open the door."""
        if self.session.read_only:
            self.say(f"Nothing can be kept here. {self.session.why_read_only}", "error")
            return
        address = KeptAddress(self.session.path)
        door = Door(
            self.logbook.incoming,
            self.logbook.photo_bench,
            address=address,
            session=self.session,
            told=self.logbook.tell,
        )
        try:
            self.logbook.incoming.begin()
            await door.open(local_address() if where == "network" else "127.0.0.1")
        except LogbookError as error:
            self.say(str(error), "error")
            return
        self.logbook.door = door
        self._catch_up()

    async def action_close_door(self) -> None:
        """Close it."""
        await self.logbook.close_door(for_good=True)
        self._catch_up()
        self.say("The page is closed; its address does not hold any more.", "good")
