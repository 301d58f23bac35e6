"""The program on the screen: themes, settings, the bench as the first place, and news from the session."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any
from weakref import WeakSet

from rich.segment import Segment, Segments
from textual.app import SystemCommand
from textual.css.query import NoMatches
from textual.screen import Screen
from textual.worker import WorkerFailed

from logbook.errors import LogbookError
from logbook.render.plain import clean
from logbook.serve.incoming import NOWHERE, SERVED, Bench, Incoming
from logbook.session import RecordNews, Session
from logbook.tui.keys_in_turn import KeysInTurn
from logbook.tui.places import key_of_action, with_usable_keys
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screen_names import screen_named
from logbook.tui.sections import SECTION_OF_KIND, SECTION_OF_STAGE
from logbook.tui.settings import Settings
from logbook.tui.surviving import Surviving
from logbook.tui.theme import DARK, LIGHT
from logbook.tui.widgets.action_chooser import ActionChooser

if TYPE_CHECKING:
    from logbook.serve.door import Door

PHOTO_SECONDS = 0.4
"""How often pictures from the phone are taken in while its page is open."""

POLL_SECONDS = 1.0
"""How often other programs' changes are looked for and refused changes are tried again."""


class LogbookApp(Surviving, KeysInTurn):
    """The logbook in a terminal. Give it an open session; it closes it on leaving."""

    TITLE = "Logbook"
    ENABLE_COMMAND_PALETTE = True
    COMMAND_PALETTE_BINDING = "f2"
    COMMANDS = set()
    """None beside the one source of each place: of two the order would be another one each time."""
    CSS = """
    Input { border: none; height: 1; padding: 0 1; background: $surface; }
    Input:focus { border: none; background: $surface; }
    Input:ansi:nocolor > .input--cursor { text-style: bold underline; }
    DataTable:ansi:nocolor > .datatable--cursor { text-style: reverse; }
    """

    def __init__(self, session: Session, settings: Settings | None = None, *, phone: str = "") -> None:
        self.settings = settings or Settings()
        # Decides the NO_COLOR filter, so it must be given here and not with the theme.
        super().__init__(ansi_color=True if self.settings.theme.startswith("ansi") else None)
        self.session = session
        self.incoming = Incoming(session.path)
        """Pictures from the phone that wait to be taken in."""
        self._phone = phone
        self.door: Door | None = None
        self._told: set[Path] = set()
        """Pictures from the phone of which it was said that they wait."""
        """The page for the phone, while it is open."""
        self._faults_said: set[str] = set()
        """Where the faults happened that were said since the last key."""
        self._unbuilt: WeakSet[BookScreen] = WeakSet()
        """Places that could not be built."""
        self._stood = False
        """Whether there was ever a screen to go on with."""
        self.register_theme(LIGHT)
        self.register_theme(DARK)
        self.theme = self.settings.theme
        self.set_keymap(self.settings.keys)

    @property
    def keymap(self) -> dict[str, str]:
        """A person's own keys: action id to keys."""
        return self.settings.keys

    def on_mount(self) -> None:
        """Show the bench, listen to the session, look for outside changes now and then."""
        self._unsubscribe = self.session.subscribe(self._record_changed)
        self.set_interval(POLL_SECONDS, self._look_around)
        self.set_interval(PHOTO_SECONDS, self._take_photos)
        parent = os.getppid()
        self.set_interval(2, lambda: self.leave_at_once() if os.getppid() != parent else None)
        bench = screen_named("bench", self.session)
        self.push_screen(bench)
        self._stood = True
        bench.call_after_refresh(self._say_how_it_is, bench)
        if self._phone:
            self.call_after_refresh(self._open_phone)

    def _say_how_it_is(self, bench: BookScreen) -> None:
        """At the start: whether the book can be written, and how much was found that is not as it should be."""
        found = (*self.settings.problems, *self.session.problems)
        if self.session.read_only:
            bench.say("Reading only: ! says who writes, and takes over when it is gone.", "error")
        elif found:
            more = f" (and {len(found) - 1} more)" if found[1:] else ""
            bench.say(f"! shows all{more}: {found[0]}", "error")
        elif joined := self.session.joined_by_itself:
            more = f" {len(joined) - 1} more." if joined[1:] else ""
            bench.say(f"{joined[0]}{more} ! shows all.", "good")

    async def on_unmount(self) -> None:
        """Stop listening, close the page for the phone and let the book go."""
        await self.close_door()
        if hasattr(self, "_unsubscribe"):
            self._unsubscribe()
        self.session.close()

    def _record_changed(self, change: RecordNews) -> None:
        if change.code and change.code not in self.session.codes():
            self._leave_unit(change)
        for screen in self.screen_stack:
            if isinstance(screen, BookScreen):
                screen.record_changed(change)

    def _leave_unit(self, change: RecordNews) -> None:
        """A unit is not in the book any more: its places are left for the bench, which says so."""
        shown = [s for s in self.screen_stack if isinstance(s, BookScreen) and change.code == s.CODE]
        if shown:
            while len(self.screen_stack) > 2:
                self.pop_screen()
            self.call_after_refresh(self._tell, f"{change.code} is not in the book any more: {change.what}.")

    def key_comes(self) -> None:
        """What was said before this key steps back."""
        self._faults_said.clear()
        if self.screen_stack and isinstance(self.screen, BookScreen):
            self.screen.key_comes()

    def was_typed_on(self, text: str) -> None:
        """Say what was held back, so that it can be typed again if it was meant."""
        self._tell(f"“{clean(text, limit=40)}” came at once behind the answer: nothing was done with it.", "error")

    async def run_action(self, *arguments: Any, **more: Any) -> bool:
        """Run what a key, a click or the palette asks for; a refusal that reaches here is said, not thrown."""
        try:
            return await super().run_action(*arguments, **more)
        except LogbookError as error:
            self._tell(str(error).replace("\n", " "), "error")
            return True
        except Exception as fault:  # noqa: BLE001 - a key that fails ends neither the program nor what is typed
            self.survive(fault)
            return True

    def survive(self, fault: Exception) -> None:
        """Go on after a fault of the program: it is said, its details go to a file, and the other screens work.

        One that comes again by itself, as from a timer, is said once until the next key.
        """
        from logbook.session.faults import place_of, written_down

        place = place_of(fault)
        if place not in self._faults_said:
            self._faults_said.add(place)
            self._tell(written_down(fault, self.session.now), "error")

    def _handle_exception(self, error: Exception) -> None:
        """A fault in a timer, a worker, a handler or in drawing: go on while there is a screen to go on with."""
        fault = error.error if isinstance(error, WorkerFailed) else error
        if self._stood and not self.is_running and isinstance(fault, Exception):
            self._write_down(fault)
            return
        if not self.is_running or not self.screen_stack or not isinstance(fault, Exception):
            super()._handle_exception(error)
            return
        if isinstance(self.screen, BookScreen) and not self.screen.is_built:
            self._leave_unbuilt(self.screen, fault)
            return
        if isinstance(fault, LogbookError):  # no fault: the disk refuses what nobody asked for by a key, as a draft
            self._tell(str(fault).replace("\n", " "), "error")
            return
        try:
            self.survive(fault)
        except Exception as second:  # noqa: BLE001 - not even saying it is possible: only the end is left
            super()._handle_exception(second)

    def _write_down(self, fault: Exception) -> None:
        """A fault while the program is being taken down, as in a timer: what is to be kept was asked about before."""
        from logbook.session.faults import written_down

        try:
            written_down(fault, self.session.now)
        except Exception as second:  # noqa: BLE001 - not even writing it down is possible: it is raised
            super()._handle_exception(second)

    def _leave_unbuilt(self, screen: BookScreen, fault: Exception) -> None:
        """A place that could not be built is left for the one before, where it is said; behind the bench is none."""
        if len(self.screen_stack) <= 2:
            super()._handle_exception(fault)
        elif screen not in self._unbuilt:  # a half-built place has one fault after the other
            self._unbuilt.add(screen)
            self.call_later(self._said_behind, screen, fault)

    def _said_behind(self, screen: BookScreen, fault: Exception) -> None:
        if self.screen is screen:
            self.pop_screen()
        self._handle_exception(fault)

    def _look_around(self) -> None:
        was_away = self.session.away
        try:
            changed = self.session.poll()
            all_is_kept = bool(self.session.unkept) and self.session.retry()
        except LogbookError as error:
            self._tell(str(error), "error")
            return
        away, lost = self.session.away, [code for code in changed if code in self.session.lost]
        if away:
            if not was_away:
                self._tell(f"{away} What is shown stays; what is changed waits in memory.", "error")
        elif lost:
            self._tell(f"The folder of {', '.join(lost)} is gone. Put it back to go on; ! says more.", "error")
        elif all_is_kept:
            self._tell("Now everything is kept.", "good")
        elif was_away:
            self._tell("The folder of the book is there again.", "good")
        elif self.session.to_read_again():
            self._tell("The history was changed outside this program: ! says how to go on.", "error")
        elif changed:
            self._tell(f"Changed outside this program: {', '.join(c or 'the shop' for c in changed)}.")

    # Photos from the phone

    def photo_bench(self) -> Bench:
        """What is open at the bench: the topmost place that is about a unit, the page for the phone itself apart."""
        for screen in reversed(self.screen_stack):
            if isinstance(screen, BookScreen) and not screen.FOR_THE_PHONE and screen.CODE:
                try:
                    return screen.photo_bench()
                except NoMatches:
                    continue  # it is being built or taken down, and has no cursor
        return NOWHERE

    async def _open_phone(self) -> None:
        """The page for the phone, opened at the start."""
        screen = screen_named("phone", self.session, "")
        await self.push_screen(screen)
        await screen.run_action(f"screen.open_on('{self._phone}')")

    async def close_door(self, *, for_good: bool = False) -> None:
        """Close the page for the phone, if it is open; for good, its address ends too."""
        door, self.door, self._none_waits = self.door, None, False
        if door is not None:
            await (door.end() if for_good else door.close())

    def _take_photos(self) -> None:
        """Take in pictures that came; where another process serves the page, tell it what is open."""
        if SERVED in os.environ:  # another process serves the page for the phone
            self.incoming.say_bench(self.photo_bench())
        elif self.door is None and self._none_waits:
            return
        if next(self.incoming.waiting(), None) is not None:
            from logbook.serve.taking import take_in

            for sentence, went_well in take_in(self.session, self.incoming, self.photo_bench(), self._told):
                self._tell(sentence, "good" if went_well else "error")
        self._none_waits = next(self.incoming.waiting(), None) is None

    _none_waits = False
    """Whether the pictures that came, also in a run before, are all taken in."""

    def tell(self, text: str) -> None:
        """Say at the bench what the phone did."""
        self._tell(text, "good")

    def _tell(self, text: str, kind: str = "") -> None:
        """Say it on the screen in front; while that one is built or taken down, as at the end, nobody reads it."""
        front = self.screen_stack[-1] if self.screen_stack else None
        if isinstance(front, BookScreen) and front.stands:
            front.say(text, kind)
            front.refresh_frame()

    def go_to(self, code: str, kind: str = "", thing: str = "") -> None:
        """Go to a unit, or to a thing in it; an empty code is the shop."""
        while len(self.screen_stack) > 2:
            self.pop_screen()
        if not code:
            self.open("shop", select=(kind, thing) if thing else None)
            return
        stage = SECTION_OF_STAGE[self.session.unit(code).stage]
        name = stage if kind in ("", "unit") else SECTION_OF_KIND.get(kind, "arrival")
        self.open(name, code, select=(kind, thing) if thing else None)

    def open(
        self, name: str, *given: Any, select: tuple[str, str] | None = None, instead: bool = False, **more: Any
    ) -> None:
        """Show a screen by its name; what the arguments mean stands at `Program.open`."""
        screen = screen_named(name, self.session, *given, **more)
        if instead:
            self.switch_screen(screen)
        else:
            self.push_screen(screen)
        if select is not None:
            screen.call_after_refresh(screen.select, *select)

    def means_elsewhere(self, keys: str, label: str) -> str:
        """What a letter means at other places, where one has another meaning for it; else empty."""
        from logbook.tui.key_letters import elsewhere  # loads every screen, which only the help needs

        return elsewhere(keys, label)

    def key_named(self, action: str) -> str:
        """The first key of an action by its name, as this person has bound it: `bench.new` is `n`."""
        return key_of_action(self.keymap)(action).split()[0]

    def leave(self) -> None:
        """Leave; while something is in memory only, ask first what is to become of it."""
        if self.session.retry():
            self.leave_at_once()
        else:
            self.open("unkept")

    def leave_at_once(self, message: str = "") -> None:
        """Leave without a question, with a message for the terminal; what is lost then is said there."""
        if not message and not self.session.retry():
            lost = "\n".join(f"  {u.code or 'shop'}: {u.what}" for u in self.session.unkept)
            message = f"These changes could not be kept ({self.session.unkept[0].why}):\n{lost}"
        self.exit(message=clean(message, limit=20_000, lines=True) or None, return_code=1 if message else 0)

    def _fatal_error(self) -> None:
        """A fault of the program ends it with a sentence; what was not kept is said, the details go to a file."""
        from logbook.session import unkept_file
        from logbook.session.faults import written_down

        fault = self._exception or RuntimeError("unknown")
        lost = unkept_file.written_down(self.session.unkept, self.session.shop_now) if not self.session.retry() else ""
        said = clean(f"{written_down(fault, self.session.now)}\n{lost}", limit=100_000, lines=True)
        self._exit_renderables.append(Segments([Segment(said)]))
        self._close_messages_no_wait()

    def action_command_palette(self) -> None:
        """The chooser of actions."""
        if not isinstance(self.screen, ActionChooser):
            self.push_screen(ActionChooser())

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:  # noqa: ARG002
        """The palette holds this project's actions, and the two themes."""
        for theme in (LIGHT, DARK):
            yield SystemCommand(f"Theme: {theme.name}", "Use these colours", lambda name=theme.name: self._use(name))

    def _use(self, theme: str) -> None:
        self.theme = theme


WHILE_RUNNING = (10_000, 10, 10)
"""How many new objects there are before Python looks for garbage: seldom enough that no key waits for it."""


def run(session: Session, config: Path | None = None, *, phone: str = "") -> int:
    """Open the program on a session and return what the process leaves behind.

    Args:
        session: the open book.
        config: the settings file; None is the person's own.
        phone: opens the page for the phone at once: `network` or `own`; empty does not.
    """
    from logbook.tui.widgets.terminal_picture import prepare

    settings = with_usable_keys(Settings.load(config))
    prepare(settings.pictures)
    app = LogbookApp(session, settings, phone=phone)
    gc.freeze()  # what was imported stays, and nobody looks through it again
    gc.set_threshold(*WHILE_RUNNING)
    app.run()
    return app.return_code or 0
