"""What every screen has: a line that says where you are and whether it is kept, one for messages, one for keys.

A screen gives its place in words, its body and its actions. It is told when the record changed, and
catches up when it comes to the front again.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import datetime
from functools import partial
from typing import Any, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.events import Event, ScreenResume
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Input, Static

from logbook.errors import LogbookError
from logbook.model.dates_in_words import day_from_today
from logbook.model.guide_pages import with_keys
from logbook.model.lesson import MARK, lesson_standing, lesson_words
from logbook.model.paths import Path
from logbook.model.photo_edits import WHOLE_UNIT
from logbook.model.shop_clock import on_clock_of
from logbook.render.plain import clean
from logbook.serve.incoming import NOWHERE, Bench
from logbook.session import RecordNews, Session
from logbook.tui.actions import EVERYWHERE, Act
from logbook.tui.body import Body
from logbook.tui.plain_content import plain
from logbook.tui.program import Program
from logbook.tui.sign_meanings import signs_at
from logbook.tui.surviving import Surviving
from logbook.tui.widgets.frame_lines import KeyLine, MessageLine, TitleLine
from logbook.tui.widgets.lesson_line import LessonLine
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.signs import glyphs_now

__all__ = ["BookScreen", "KeyLine", "MessageLine", "Rule", "TitleLine"]


class ActProvider(Provider):
    """The palette's one source: the same table of actions, and last what the program itself offers."""

    def _live(self) -> list[tuple[Act, Callable[[], Awaitable[None]]]]:
        screen = self.screen
        if not isinstance(screen, BookScreen):
            return []
        return [
            (act, partial(screen.run_action, act.action))
            for act in screen.acts()
            if act.id != "palette" and screen.check_action(act.action.partition("(")[0], ())
        ]

    async def discover(self) -> Hits:
        """Everything that can be done here, before anything is typed."""
        for act, run in self._live():
            yield DiscoveryHit(f"{act.label}  ({act.key})", run, act.label, act.help)
        for command in self.app.get_system_commands(self.screen):
            yield DiscoveryHit(command.title, command.callback, command.title, command.help)

    async def search(self, query: str) -> Hits:
        """What matches the typed words."""
        match = self.matcher(query)
        for act, run in self._live():
            text = f"{act.label}: {act.help}"
            if (score := match.match(text)) > 0:
                yield Hit(score, match.highlight(text), run, text=act.label)
        for command in self.app.get_system_commands(self.screen):
            if (score := match.match(command.title)) > 0:
                yield Hit(score, match.highlight(command.title), command.callback, help=command.help)


class BookScreen(Surviving, Screen[None]):
    """A place in the book. Subclasses give `ACTS`, `compose_body` and `show_record`."""

    ACTS: ClassVar[tuple[Act, ...]] = ()
    """What can be done here, besides what can be done everywhere."""
    BINDINGS: ClassVar[list[BindingType]] = []
    COMMANDS = {ActProvider}
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    BookScreen { layout: vertical; overflow: hidden; background: $background; }
    BookScreen .rule { height: 1; color: $text-muted; }
    BookScreen .question { height: auto; max-height: 3; padding: 0 1; text-style: bold; }
    BookScreen .facts { height: auto; padding: 0 1; }
    """
    CODE = ""
    """Code of the unit shown here; empty for the bench and the shop."""
    TOPIC: ClassVar[str] = "keys"
    """The page of the guide about this place."""
    FOR_THE_PHONE: ClassVar[bool] = False
    """Whether it is the place that opens the page for the phone, which is about what lies below it."""
    EXPLAINS: ClassVar[bool] = False
    """Whether it is about the place below, as its keys and the guide are."""

    IN_A_UNIT: ClassVar[bool] = False
    """Whether the sections of a unit are one key away."""

    def __init_subclass__(cls, **kwargs: Any) -> None:
        """Make the bindings from the table of actions."""
        if "ACTS" in cls.__dict__:
            cls.BINDINGS = [a.binding() for a in cls.all_acts()]
        super().__init_subclass__(**kwargs)

    @classmethod
    def all_acts(cls) -> tuple[Act, ...]:
        """Every action of this kind of place, its own first; its own may take the place of a common one."""
        own = {a.id for a in cls.ACTS}
        return (*cls.ACTS, *(a for a in EVERYWHERE if a.id not in own))

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self._stale = True
        self._drawn_for = 0
        self._built = False
        self._was_in_front = False
        self._to_say = ("", "")
        """A message that came before there was a line for it."""
        self._taken = (True, 0, "")
        """Whether changes were taken back last or done again, how many in a row, and what was said of it."""

    # What a subclass fills in

    def place(self) -> str:
        """Where this is, for the title: “R1 table radio / teardown”."""
        return "Bench"

    def compose_body(self) -> ComposeResult:
        """The widgets between the title and the message line."""
        yield from ()

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a thing of this place, when it has it."""

    def show_record(self) -> None:
        """Show the record as it is now. Called at first, after changes and on coming back."""

    def photo_bench(self) -> Bench:
        """What a photo that comes from the phone now would belong to; a place without a unit passes it on."""
        return Bench(self.CODE, WHOLE_UNIT, self.CODE) if self.CODE else NOWHERE

    def first_focus(self) -> str:
        """Selector of what has the focus at first; empty for nothing."""
        return ""

    # The frame

    def compose(self) -> ComposeResult:
        """Title, body, message line, key line."""
        self._take_width_and_height()
        yield TitleLine(id="title")
        with Body(id="body-of-screen"):
            yield from self.compose_body()
            yield MessageLine(id="message")
        if self.session.draft(MARK):
            yield LessonLine(id="lesson")
        yield KeyLine(id="keys")

    def _take_width_and_height(self) -> None:
        """The classes of this width and height, before anything is drawn: else it is drawn twice."""
        width, height = self.app.size
        for columns_or_rows, breakpoints in (
            (width, self.HORIZONTAL_BREAKPOINTS or []),
            (height, self.VERTICAL_BREAKPOINTS or []),
        ):
            reached = [name for least, name in sorted(breakpoints) if columns_or_rows >= least]
            self.add_class(*reached[-1:])

    def on_mount(self) -> None:
        """Show the record and put the focus where it belongs."""
        self._built = bool(self.query(MessageLine))
        if not self._built:
            return  # making its widgets failed, and the place is being left
        if selector := self.first_focus():
            self.query_one(selector).focus()
        self._catch_up()
        if self._to_say[0]:
            self.say(*self._to_say)

    @property
    def is_built(self) -> bool:
        """Whether all its widgets were made; a place where that failed is none."""
        return self._built

    @property
    def stands(self) -> bool:
        """Whether all its widgets are there: not while it is built, and not while it is taken down."""
        return self._built and self.is_attached and not self._pruning

    def check_message_enabled(self, message: Message) -> bool:
        """News from widgets of a screen that is being built or taken down concern nobody."""
        from_widget = not isinstance(message, Event) and not type(message).__module__.startswith("textual.messages")
        if from_widget and not self.stands:
            return False
        return super().check_message_enabled(message)

    def on_resize(self) -> None:
        """Lines that were fitted to the old width are fitted to the new one."""
        if self.stands and self.columns != self._drawn_for:
            self._catch_up()

    @property
    def columns(self) -> int:
        """How wide the terminal is."""
        return self.size.width or self.app.size.width or 80

    @property
    def room(self) -> int:
        """Columns for the text of a line in a list, beside the mark and the scroll bar."""
        return max(20, self.columns - 2)

    async def on_event(self, event: Event) -> None:
        """Let no place that is new be styled twice: its widgets have their styles from when they were made."""
        if isinstance(event, ScreenResume) and not self._was_in_front:
            event.refresh_styles = False
            self._was_in_front = True
        await super().on_event(event)

    def on_screen_resume(self) -> None:
        """Coming back: catch up with what changed meanwhile."""
        if not self.stands or self.app.screen is not self:
            return  # it is only passed on the way back to another one
        if self._stale:
            self._catch_up()
        else:
            self.refresh_frame()

    def came_back_with(self, path: Path, words: str, kind: str) -> None:
        """Back from writing down something new: the cursor goes to it, and the message says that it is kept."""
        self._catch_up()
        self.show_new(path)
        self.say(words, kind)

    def show_new(self, path: Path) -> None:
        """Put the cursor on what is new at this path of the record; a place that shows no such thing leaves it."""

    def record_changed(self, change: RecordNews) -> None:  # noqa: ARG002 - for subclasses
        """News from the session: show it, or remember to when this comes to the front again."""
        if self.stands and self.app.screen is self:  # `is_current` holds for the screen below as well
            self._catch_up()
        else:
            self._stale = True

    def _catch_up(self) -> None:
        self._stale = False
        self._drawn_for = self.columns
        try:
            self.session.over_all(self.show_record)
        except LogbookError as error:
            self.say(str(error), "error")
        except Exception as fault:  # noqa: BLE001 - what cannot be worked out on one screen ends no other
            self.logbook.survive(fault)
        self.refresh_frame()

    def refresh_frame(self) -> None:
        """Title and key line as they are now."""
        try:
            place, kept = self.place(), self.kept_words()
        except LogbookError:  # the record itself cannot be read any more, and the message line says so
            place, kept = self.CODE or "Bench", "NOT READABLE"
        is_in_danger = bool(self.session.unkept or self.session.away)
        self.query_one("#title", TitleLine).set_words(place, kept, unkept=is_in_danger)
        self.query_one("#keys", KeyLine).show_keys(self.keys_now())
        for lesson in self.query(LessonLine):
            self._show_lesson(lesson)

    def _show_lesson(self, lesson: LessonLine) -> None:
        """The next task of the lesson, in words for this place."""
        standing = lesson_standing(self.session.book())
        words = lesson_words(standing, type(self).__name__, in_a_unit=self.IN_A_UNIT)
        lesson.set_words(standing, with_keys(words, self.logbook.key_named))

    def kept_words(self) -> str:
        """Whether what is shown is on disk; where keys or the guide are read, what lies below them."""
        below = self.place_explained() if self.EXPLAINS else None
        if below is not None:
            return below.kept_words()
        if self.session.unkept:
            count = len(self.session.unkept)
            return f"NOT KEPT: {count} change{'s' if count > 1 else ''}"
        if self.session.away:
            return "BOOK NOT THERE"
        if self.CODE in self.session.lost:
            return "FOLDER GONE"
        if self.session.read_only:
            return "reading only"
        kept = self.session.kept(self.CODE).at if self.CODE else self.session.last_kept()
        phone = "phone page open  " if self.logbook.door is not None else ""
        return f"{phone}kept {_when_kept(kept, self.session.shop_now)}" if kept is not None else phone.strip()

    def acts(self) -> tuple[Act, ...]:
        """Every action of this place, its own first."""
        return self.all_acts()

    def keys_now(self) -> list[tuple[str, str, str]]:
        """(key, label, action) for the key line: own keys first, `?` last."""
        if isinstance(self.focused, Input):
            return [("Enter", "keep", ""), ("Esc", "cancel", "screen.back")]
        if isinstance(self.focused, Pick):
            return list(Pick.KEYS)
        keymap = self.logbook.keymap
        shown = [
            (Act(a.id, keymap.get(a.id, a.keys), a.action, a.label, a.help).key, a.label, f"screen.{a.action}")
            for a in self.acts()
            if a.foot and a.id != "keys" and self.check_action(a.action.partition("(")[0], ())
        ]
        return [*shown, ("?", "keys", "screen.keys")]

    def on_descendant_focus(self) -> None:
        """The keys that matter depend on what has the focus."""
        self._keys_again()

    def on_descendant_blur(self) -> None:
        """The keys that matter depend on what has the focus."""
        self._keys_again()

    def _keys_again(self) -> None:
        if self.stands:
            self.query_one("#keys", KeyLine).show_keys(self.keys_now())

    @property
    def logbook(self) -> Program:
        """The program, as a screen knows it."""
        return cast("Program", self.app)

    def say(self, text: str, kind: str = "") -> None:
        """Show a message on this screen; one that comes while it is built is shown as soon as it stands.

        While something is in memory only, nothing is said to have gone well: that is said instead.
        """
        if kind == "good" and (unkept := self.session.unkept):
            text, kind = f"NOT KEPT YET, tried again: {unkept[0].why}", "error"
        if self.stands:
            self.query_one("#message", MessageLine).say(text, kind)
        elif not self._built:
            self._to_say = (text, kind)

    def key_comes(self) -> None:
        """A key is pressed: what was said before it steps back."""
        if self.stands:
            self.query_one("#message", MessageLine).pass_by()

    def on_screen_suspend(self) -> None:
        """Another place comes to the front: what was said here is not said again on coming back."""
        if self.stands:
            self.say("")

    def tried(self, what: str, action: Callable[[], object]) -> bool:
        """Run an edit; a refusal becomes a message and False. `what` is said when it went well.

        An edit that passes the stop line says so instead.
        """
        self.session.warning = ""
        try:
            action()
        except LogbookError as error:
            self.say(str(error).replace("\n", " "), "error")
            return False
        if self.session.warning and not self.session.unkept:
            self.say(self.session.warning, "error")
        elif what or self.session.unkept:
            self.say(what, "good")
        return True

    # What works everywhere

    def action_back(self) -> None:
        """One place back; from the bench nothing is behind."""
        if len(self.app.screen_stack) > 2:
            self.app.pop_screen()
        else:
            self.say("This is the bench. Press q to leave; everything is kept.")

    def action_undo(self) -> None:
        """Take back the last change of this unit, or of the whole book on the bench."""
        self._back_or_forth(back=True)

    def action_redo(self) -> None:
        """Do again what was taken back."""
        self._back_or_forth(back=False)

    def _back_or_forth(self, *, back: bool) -> None:
        scope = self.CODE or None
        try:
            what = self.session.undo(scope) if back else self.session.redo(scope)
        except LogbookError as error:
            self.say(str(error), "error")
            return
        if what is None:
            self.say("Nothing left to undo." if back else "Nothing left to redo.")
        else:
            self.say(self._in_a_row(back, what), "good")

    def _in_a_row(self, back: bool, what: str) -> str:
        """What was taken back or done again; from the second in a row on with how many, because two may look alike."""
        verb = "undone" if back else "done again"
        before, count, said = self._taken
        still_there = before is back and said == self.query_one("#message", MessageLine).text
        count = count + 1 if still_there else 1
        said = f"{verb.capitalize()}: {what}" if count == 1 else f"{count} {verb}, the last: {what}"
        self._taken = (back, count, said)
        return said

    def action_health(self) -> None:
        """Is everything kept and whole, and what did joining leave; about this unit first."""
        self.logbook.open("health", about=self.CODE)

    def action_keys(self) -> None:
        """The help screen of this place."""
        said = self.query_one("#message", MessageLine).words()
        lines = [("said", said)] if said else []
        signs = signs_at(type(self).__name__, glyphs_now())
        self.logbook.open("help", self.place(), [*lines, *self.help_lines(), *signs])

    def place_explained(self) -> BookScreen | None:
        """The place that keys and guide are about: the nearest one below that explains no other."""
        below = (s for s in reversed(self.app.screen_stack) if isinstance(s, BookScreen) and not s.EXPLAINS)
        return next(below, None)

    def topic(self) -> str:
        """The page of the guide about where one stands."""
        return self.TOPIC

    def action_guide(self) -> None:
        """The guide, at the page about this place; a message that stood here can be read whole there."""
        said = self.query_one("#message", MessageLine).words()
        self.logbook.open("guide", self.topic(), said=said)

    def action_palette(self) -> None:
        """The palette."""
        self.app.action_command_palette()

    def action_find(self) -> None:
        """Find anything in the book."""
        self.logbook.open("find")

    def action_copy(self) -> None:
        """Copy what the cursor is on, or else the last message."""
        text = self.text_to_copy() or self.query_one("#message", MessageLine).text
        if text:
            self.app.copy_to_clipboard(clean(text, limit=100_000, lines=True))
            self.say(f"Copied: {text}")
        else:
            self.say("There is nothing here to copy.")

    def text_to_copy(self) -> str:
        """What `y` copies here; empty for nothing."""
        from logbook.tui.widgets.rows import Rows

        focused = self.focused
        if isinstance(focused, Rows) and focused.current is not None:
            return "\n".join(focused.current.lines)
        return ""

    def story_of(self) -> str | None:
        """Whose story `H` tells here: a unit's code, empty for the shop, None when the place is nobody's."""
        return self.CODE or None

    def action_history(self) -> None:
        """The story of the record shown here."""
        code = self.story_of()
        if code is None:
            self.say("Go to a unit first: its story is told there.")
        else:
            self.logbook.open("history", code)

    def action_phone(self) -> None:
        """The page for the phone."""
        self.logbook.open("phone", self.CODE)

    def action_leave(self) -> None:
        """Leave the program. Every entry is on disk already."""
        self.logbook.leave()

    def help_lines(self) -> list[tuple[str, str]]:
        """(key, what it does) as bound now, with what cannot be done marked."""
        named = {a.id: a for a in self.acts()}
        keymap = self.logbook.keymap
        lines = []
        for act in named.values():
            keys = " ".join(Act(act.id, k, "", "", "").key for k in keymap.get(act.id, act.keys).split(","))
            can = self.check_action(act.action.partition("(")[0], ())
            said = act.help + self.logbook.means_elsewhere(keymap.get(act.id, act.keys), act.label)
            lines.append((keys, said + ("" if can else "  (not now)")))
        return lines


def _when_kept(at: datetime, now: datetime) -> str:
    """The time by the clock of the shop, with the day when it was another one: `21:04`, `12 Mar 21:04`."""
    at = on_clock_of(at, now)
    day = "" if at.date() == now.date() else f"{day_from_today(at.date(), now.date())} "
    return f"{day}{at:%H:%M}"


class Rule(Surviving, Static):
    """A thin line between parts of a screen."""

    DEFAULT_CSS = "Rule { height: 1; width: 1fr; color: $text-muted; }"

    def on_resize(self) -> None:
        """As wide as the screen."""
        self.update(plain("─" * self.size.width))
