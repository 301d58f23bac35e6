"""Linking a folder of pictures: where each would go and how sure that is, looked over with single keys, then kept."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static
from textual.worker import get_current_worker

from logbook.errors import InputError, LogbookError
from logbook.model.photo_edits import spots
from logbook.photos.camera_clock import from_picture, from_words
from logbook.photos.linking import LinkCertainty
from logbook.render.plain import clean
from logbook.session import Session
from logbook.session.looked_over import Choice, Inbox, LookedOver
from logbook.session.unit_photos import (
    FOLDER_DRAFT,
    Copied,
    Looked,
    PictureWanted,
    copy_originals,
    known_photos,
    link_copied,
    look_through,
    picture_in,
    pictures_in,
)
from logbook.tui.actions import Act
from logbook.tui.look.inks import Span, fit, flow, hanging, line, typed
from logbook.tui.photo_words import taken_words
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import ListEntry, entry, heading, titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Row, Rows
from logbook.tui.widgets.terminal_picture import PictureView

SIGNS = {LinkCertainty.CERTAIN: "certain", LinkCertainty.LIKELY: "likely", LinkCertainty.UNSURE: "unsure"}
SIGN_INKS = {LinkCertainty.CERTAIN: "good", LinkCertainty.LIKELY: "", LinkCertainty.UNSURE: "bold wait"}
SIGN_COLUMNS = 8
HOW = "Each picture is proposed for the step at which it was taken. Look them over here; K links those that are ticked."
BESIDE = 76
"""Columns from which the picture stands beside the list."""

PICTURE_COLUMNS = 34
LOOK_AGAIN = 5.0
"""Seconds after which the folder is looked at for new pictures."""


class LinkScreen(BookScreen):
    """A folder's pictures with the places they are proposed for; nothing is changed until they are linked."""

    TOPIC = "photos"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("link.take", "space", "take", "take or not", "Link this picture, or leave it out", True),
        Act("link.all", "A", "take_all", "take all", "Link all that have a step, unsure ones too; again: as at first"),
        Act("link.to", "t", "to", "other step", "Put it at another step, by hand", True),
        Act("link.keep", "K", "keep", "link them", "Link all that are ticked", True),
        Act("link.clock", "E", "clock", "clock", "Say how far the camera's clock was fast or slow", True),
        Act(
            "link.shown",
            "equals_sign",
            "clock_shown",
            "a clock",
            "The picture under the cursor shows a clock that is right",
        ),
        Act("link.folder", "a", "folder", "folder", "Name the folder, or look at it again", True),
        Act("link.why", "w", "why", "not taken", "Which files were not taken, and why"),
    )
    DEFAULT_CSS = """
    LinkScreen #body { height: 1fr; }
    LinkScreen #pictures { width: 1fr; }
    LinkScreen #picture { width: 34; }
    """
    # The width above is PICTURE_COLUMNS.

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._folder = ""
        self._over = LookedOver(session)
        self._inbox = Inbox(Path())
        self._busy = False
        """The folder is looked at for the first time, or originals are being copied."""
        self._more = False
        """Pictures that came later are being looked at."""

    def place(self) -> str:
        """The unit, and what is done."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / photos / link a folder"

    def compose_body(self) -> ComposeResult:
        """The sentence, the pictures, the line to type in."""
        yield Static("", id="question", classes="question")
        with Horizontal(id="body"):
            yield titled_entries("pictures", "Pictures of the folder")
            yield PictureView(id="picture")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The list."""
        return "#pictures"

    def on_mount(self) -> None:
        """Ask for the folder at once, and look now and then whether more pictures came."""
        super().on_mount()
        self.set_interval(LOOK_AGAIN, self._look_again)
        self.call_after_refresh(self.action_folder)

    # The folder

    def action_folder(self) -> None:
        """Ask for the folder; the one named last stands there."""
        last = self._folder or self.session.draft(FOLDER_DRAFT)
        self.query_one(Ask).ask(
            "folder", "folder", last, "Folder with the phone's pictures. It is not changed.", replace=True
        )

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        ask = self.query_one(Ask)
        try:
            if event.key == "clock":
                self._set_clock(event.text)
            elif event.key == "shown":
                self._set_shown(event.text)
            else:
                self._begin(event.text)
        except LogbookError as error:
            ask.refuse(str(error).replace("\n", " "))
            return
        ask.close()
        self.query_one("#pictures", Rows).focus()

    @on(Ask.Left)
    def _left_alone(self) -> None:
        self.query_one("#pictures", Rows).focus()

    def _begin(self, text: str) -> None:
        folder = Path(text.strip()).expanduser() if text.strip() else None
        if folder is None:
            raise InputError("Name a folder, such as ~/phone. The pictures in it stay as they are.")
        paths = pictures_in(folder)
        self._folder = text.strip()
        self.session.keep_draft(FOLDER_DRAFT, self._folder)
        self._inbox = Inbox(folder, paths)
        self._busy, self._more = True, False
        self._look(tuple(paths), known_photos(self.session))
        self.show_record()

    @work(thread=True, exclusive=True, group="look", exit_on_error=False)
    def _look(self, paths: tuple[Path, ...], known: dict[str, str]) -> None:
        worker = get_current_worker()

        def tell(done: int, of: int) -> None:
            if worker.is_cancelled:
                raise InputError("Stopped.")
            if done % 5 == 0:
                self.app.call_from_thread(self._tell_progress, done, of)

        try:
            looked = look_through(paths, known, zone=self.session.zone, progress=tell)
        except InputError as error:
            looked = Looked((), (str(error),))
        if not worker.is_cancelled:
            self.app.call_from_thread(self._looked_at, looked)

    def _tell_progress(self, done: int, of: int) -> None:
        self.query_one("#question", Static).update(plain(f"Looked at {done} of {of} pictures; keys work meanwhile."))

    def _looked_at(self, looked: Looked) -> None:
        self._busy = False
        self._over.begin(looked)
        self.show_record()

    def _look_again(self) -> None:
        """Look beside the screen at pictures that came into the folder."""
        if self._folder and not self._busy and not self._more:
            self._more = True
            self._look_at_more(self._inbox, known_photos(self.session))

    @work(thread=True, exclusive=True, group="look", exit_on_error=False)
    def _look_at_more(self, inbox: Inbox, known: dict[str, str]) -> None:
        worker = get_current_worker()
        try:
            came = inbox.came()
            looked = look_through(came, known, zone=self.session.zone) if came else Looked((), ())
        except InputError:  # the phone was unplugged; what was looked at still stands
            looked = Looked((), ())
        if not worker.is_cancelled:
            self.app.call_from_thread(self._looked_at_more, looked)

    def _looked_at_more(self, looked: Looked) -> None:
        self._more = False
        if not looked.found and not looked.problems:
            return
        new = self._over.add(looked)
        self.show_record()
        if new:
            came = "1 more picture came; it stands" if new == 1 else f"{new} more pictures came; they stand"
            self.say(f"{came} in the list now.")

    # The proposal

    def show_record(self) -> None:
        """The pictures as they are proposed now; what undo took out of the record is offered again."""
        if not self._busy:
            self._over.refresh()
            self.query_one("#question", Static).update(plain(self._sentence(), limit=400))
        self.query_one("#picture").display = self.columns >= 76 and bool(self._over.choices)
        entries = [self._entry(n, c) for n, c in self._over.choices.items()]
        if not self._folder:
            entries = [heading("how", *flow((Span(HOW, "muted"),), columns_alone(self.columns)))]
        self.query_one("#pictures", Rows).show(entries)
        self._show_picture()

    def _sentence(self) -> str:
        if not self._folder:
            return "Pictures of a folder go to the steps at which they were taken. Name the folder."
        return self._over.sentence()

    def _entry(self, name: str, choice: Choice) -> ListEntry:
        """Whether it is taken, how sure its place is, the place, when it was taken; below it why there."""
        where = f"{choice.unit} {choice.spot.code}".strip() if choice.spot is not None else "no step"
        sign = Span(SIGNS[choice.certainty], SIGN_INKS[choice.certainty]) if choice.certainty is not None else Span("")
        at = taken_words(choice.found.taken.at, self.session.shop_now)
        beside = self.columns >= BESIDE
        file = "" if beside else f"  {choice.found.path.name}"
        columns = columns_alone(self.columns) - (PICTURE_COLUMNS if beside else 0)
        said = line(
            Span("[x] " if choice.take else "[ ] ", "bold" if choice.take else ""),
            fit(line(sign), SIGN_COLUMNS),
            fit(typed(where, "bold accent" if choice.spot is not None else "muted"), 10),
            fit(typed(at), 12),
            typed(file, "muted"),
        )
        return entry(name, [said, *hanging(line("    "), clean(choice.why, limit=400), columns, "muted")])

    def current(self) -> tuple[str, Choice] | None:
        """The picture under the cursor."""
        row = self.query_one("#pictures", Rows).current
        return (row.key, self._over.choices[row.key]) if row is not None and row.key in self._over.choices else None

    @on(Rows.Moved, "#pictures")
    def _moved(self) -> None:
        self._show_picture()

    def _show_picture(self) -> None:
        view, here = self.query_one("#picture", PictureView), self.current()
        if here is None or not view.display:
            view.show("", None, "")
            return
        found = here[1].found
        view.show(here[0], partial(picture_in, found), clean(found.path.name))

    # Keys

    @on(Rows.Chosen, "#pictures")
    def action_take(self) -> None:
        """Take it, or leave it out."""
        here = self.current()
        if here is None:
            return
        name, choice = here
        if choice.spot is None:
            self.say("It belongs to no step yet. Press t to say where.")
            return
        self._over.turn({name})
        self.show_record()

    def action_take_all(self) -> None:
        """All that have a step; when all are taken already, only what was ticked at first."""
        self._over.take_all()
        self.show_record()

    def action_to(self) -> None:
        """Choose a place over all units, those of this one first."""
        here = self.current()
        if here is None:
            return
        codes = (self.CODE, *(c for c in self.session.codes() if c != self.CODE))
        places = {f"{code}|{s.at.value}|{s.code}": (code, s) for code in codes for s in spots(self.session.unit(code))}
        names = {
            (code, thing.code): name
            for code in codes
            for things in (self.session.unit(code).steps, self.session.unit(code).components)
            for thing in things
            for name in (getattr(thing, "what", "") or getattr(thing, "name", ""),)
        }
        rows = [
            Row(key, (f"{code:<5} {s.code or '':<5} {names.get((code, s.code), s.at.value)}",))
            for key, (code, s) in places.items()
        ]

        def take(key: str) -> None:
            self._over.put(here[0], *places[key])
            self.show_record()

        self.app.push_screen(ChooseScreen(self.session, self.CODE, "What does the picture show?", rows, take=take))

    def action_clock(self) -> None:
        """Ask how far the camera's clock was off."""
        here = self.current()
        camera = here[1].found.taken.camera if here is not None else ""
        clock = self._over.clocks.get(camera)
        seconds = round(clock.ahead.total_seconds()) if clock is not None else 0
        value = f"{'-' if seconds < 0 else '+'}{abs(seconds) // 60}:{abs(seconds) % 60:02d}"
        of = f" of {camera}" if camera else ""
        why = f" Now {value}, {clock.why}." if clock is not None else ""
        help_ = f"How far the clock{of} was fast: +3:20 is 3 min 20 s fast, -0:45 slow.{why}"
        self.query_one(Ask).ask("clock", "clock fast by", value, help_, replace=True)

    def _set_clock(self, text: str) -> None:
        clock = from_words(text)
        here = self.current()
        cameras = {f.taken.camera for f in self._over.looked.found} if here is None else {here[1].found.taken.camera}
        self._over.set_clock(cameras, clock)
        self.show_record()

    def action_clock_shown(self) -> None:
        """Ask what the clock shows that was photographed."""
        here = self.current()
        if here is None or here[1].found.taken.at is None:
            self.say("Put the cursor on a picture of a clock that says when it was taken.")
            return
        help_ = "What the clock in this picture shows, such as 21:04:10. It was right; the camera's may not be."
        self.query_one(Ask).ask("shown", "it shows", "", help_)

    def _set_shown(self, text: str) -> None:
        here = self.current()
        taken = here[1].found.taken if here is not None else None
        if here is None or taken is None or taken.at is None:
            raise InputError("The picture of the clock is not there any more.")
        clock = from_picture(taken.at, text, self.session.on_shop_clock(taken.at))
        self._over.set_clock({taken.camera}, clock._replace(why=f"set by hand {clock.why}"), of=here[0])
        self.show_record()

    def action_why(self) -> None:
        """Which files were not taken."""
        said = self._over.looked.problems or ("Every file in the folder is a picture.",)
        self.logbook.open("page", self.CODE, "photos / not taken", "Not taken", lambda: said)

    def action_keep(self) -> None:
        """Link what is ticked: the originals are copied beside the screen, then the record is changed."""
        wanted = self._over.wanted()
        if self.session.read_only:
            self.say(f"Nothing was linked. {self.session.why_read_only}", "error")
        elif not wanted:
            self.say("Nothing is ticked. Space ticks the picture under the cursor.")
        elif not self._busy:
            self._busy = True
            self.query_one("#question", Static).update(plain(f"Copying {len(wanted)} originals; keys work meanwhile."))
            self._copy(wanted)

    @work(thread=True, exclusive=True, group="copy", exit_on_error=False)
    def _copy(self, wanted: list[PictureWanted]) -> None:
        try:
            copied: Copied | LogbookError = copy_originals(self.session.path, wanted)
        except LogbookError as error:
            copied = error
        self.app.call_from_thread(self._copied, copied)

    def _copied(self, copied: Copied | LogbookError) -> None:
        self._busy = False
        said: list[str] = []
        done: Callable[[], Any]
        if isinstance(copied, LogbookError):
            error = copied

            def done() -> None:
                raise error
        else:
            done = lambda: said.append(link_copied(self.session, copied))  # noqa: E731 - one word of one line
        went_well = self.tried("", done)
        self.show_record()
        if went_well:
            self.say(f"{said[0]} z takes it back, unit by unit.", "good")
