"""The bench: every unit in a line, what can be done now in so many minutes, and what must not be forgotten."""

from __future__ import annotations

import os
import re
import shutil
import sys
import time
from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import partial
from typing import ClassVar, NamedTuple

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from logbook.errors import InputError, LogbookError
from logbook.model.document import ShopDocument, UnitDocument
from logbook.model.edits import free_code
from logbook.model.left_by_joining import left_open
from logbook.model.lesson import MARK as LESSON
from logbook.model.measures import hours_and_minutes, parse_minutes
from logbook.model.one_line import made
from logbook.model.plural import counted
from logbook.model.starters import Starter, started
from logbook.model.unit import Unit
from logbook.planning.reminders import reminders
from logbook.planning.what_now import what_now
from logbook.render.overview import Overview, OverviewLine, shown
from logbook.render.plain import clean
from logbook.session import Session
from logbook.session.document_transfer import CodeTakenError, bytes_of_file, read_in, take_in
from logbook.session.unit_photos import picture_of
from logbook.session.unkept_file import is_unkept_text, read_unkept, take_unkept_in
from logbook.teardown.chasing import Reminder, overdue
from logbook.teardown.operations_ready import NowItem
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Span, flow, wrap
from logbook.tui.look.inks import Line as DrawnLine
from logbook.tui.look.units import unit_hues
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.bench_rows import (
    NUMBERED,
    BenchAnswer,
    answer_lines,
    now_entries,
    problem_entry,
    rows_for,
    unit_entry,
    unit_lines,
)
from logbook.tui.sections import TO_PAPER
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, ListEntry, entry
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now
from logbook.tui.widgets.terminal_picture import PictureView

MINUTES = 30
"""Minutes offered at first: a half hour between other things."""
FILL_SECONDS = 0.05
"""How long lines are computed at a stretch before keys are heard again."""
NUMBERS = tuple(range(1, NUMBERED + 1))
"""Places in the list of what can be done now; each is a key."""
MOST_NOW = 6
"""How many of them stand on a high terminal; those behind the numbered ones are chosen with the cursor."""
ROWS_FOR_REASONS = 24
"""Rows of the terminal from which each thing that can be done has its reason on a row of its own."""
ROWS_FOR_PICTURE = 34
"""Rows of the terminal from which the unit's photo is shown."""
FIRST_RUN = (
    "This book is empty. It is for things that are taken apart, kept, and put back together years later: every "
    "step is written down at the bench, and the way back is computed from it, with every screw counted, what it "
    "will still cost, and what can be done in the next half hour.\n\n"
    "Press n to write down the first object."
)
TO_LOOK_AROUND = (
    "\n\nTo learn it in eight short tasks, leave with q and type: {called} lesson\nTo look around first: {called} demo"
)


def called() -> str:
    """How the program is called in this shell, as it was called now."""
    typed = sys.argv[0]
    if os.path.basename(typed) != "logbook" or typed == shutil.which("logbook"):
        return "logbook"
    return typed


class _Known(NamedTuple):
    """A line as it is shown, with what it was worked out from: it holds as long as these are the same."""

    line: OverviewLine
    at: datetime
    """The minute by the shop's clock."""
    overview: Overview


class BenchScreen(BookScreen):
    """All units. The first place; nothing is behind it."""

    TOPIC = "start"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("bench.open", "enter", "open", "open", "Open the unit under the cursor", True),
        Act("bench.new", "n", "new", "new unit", "Write down a new object", True),
        Act("bench.mode", "b", "bench_mode", "bench mode", "Take the unit under the cursor apart, step by step", True),
        Act("bench.store", "s", "store", "store", "Scrap pile, shelf, to buy, settings", True),
        Act("bench.minutes", "t", "minutes", "minutes", "Say how many minutes there are now", True),
        Act("bench.buy", "m", "to_buy", "to buy", "What is to buy over all units, by seller"),
        Act("bench.plan", "p", "plan", "plan", "The plan over all units: who is worked on when, when each ends", True),
        Act("bench.all", "N", "all_now", "what now", "All that can be done now, waits and windows, units at rest"),
        Act("bench.turn", "tab", "turn", "other list", "Between the units and what can be done now"),
        Act("bench.join", "J", "join", "join", "Join with another copy of the book, or of a unit"),
        TO_PAPER,
        Act(
            "bench.take_in",
            "F",
            "take_in",
            "take in",
            "Take in a unit or the store from a document, or what could not be kept from its file",
        ),
        Act("bench.out", "x", "take_out", "take out", "Take the unit out of the book (undo puts it back)"),
        *(
            Act(f"bench.now{i}", f"{i}", f"now({i})", f"now {i}", f"Go to number {i} of what can be done")
            for i in NUMBERS
        ),
    )
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    BenchScreen #question { max-height: 3; padding: 0 1; }
    BenchScreen #body { height: 1fr; min-height: 6; }
    BenchScreen #units { height: auto; min-height: 4; max-height: 65%; }
    BenchScreen #now { height: 1fr; min-height: 4; }
    BenchScreen #beside { display: none; width: 49; border: round $foreground-muted 60%;
                          border-title-color: $primary; border-title-style: bold; }
    BenchScreen.-wide #beside { display: block; }
    BenchScreen.-broad #beside { display: block; width: 62; }
    BenchScreen #picture { height: 12; display: none; }
    BenchScreen #picture.-shown { display: block; }
    BenchScreen #unit, BenchScreen.-narrow #unit, BenchScreen.-normal #unit { border: none; }
    BenchScreen #first { height: auto; padding: 1 2; display: none; }
    BenchScreen.-empty #first { display: block; }
    BenchScreen.-empty #now, BenchScreen.-empty #beside { display: none; }
    .-bare-signs BenchScreen #beside { border: ascii $foreground-muted 60%; }
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._known: dict[str, _Known] = {}
        self._refused: dict[str, str] = {}
        """Units whose record does not fit, each with a sentence."""
        self._drawn: dict[str, tuple[tuple[object, ...], ListEntry]] = {}
        """The entry of each unit, with what it was drawn from."""
        self._hues: dict[str, str] = {}
        self._doable: tuple[NowItem, ...] = ()
        """What can be done now, the cleverest first; the first few have a number."""
        self._reminders: tuple[Reminder, ...] = ()
        self._new_name = ""
        self._answered_with = BenchAnswer((), (), MINUTES, 0)
        self._going = ""
        """What goes on before everything is known, in words."""

    def place(self) -> str:
        """The place, and which book."""
        return f"Bench / {self.session.path.name}"

    def compose_body(self) -> ComposeResult:
        """What now, the units and what can be done below them, the unit under the cursor beside them."""
        yield Pane(self._answer, id="question", classes="-bare")
        beside = "" if self.session.draft(LESSON) else TO_LOOK_AROUND.format(called=called())
        yield Static(plain(FIRST_RUN + beside, lines=True), id="first")
        with Horizontal(id="body"):
            with Vertical():
                yield Entries(id="units")
                yield Entries(id="now", quiet=True)
            with Vertical(id="beside"):
                yield PictureView(id="picture")
                yield Pane(self._unit, id="unit")
        yield Ask(id="ask")

    def on_mount(self) -> None:
        """Windows count down by themselves."""
        self.set_interval(60, self._minute)

    def _minute(self) -> None:
        if self.app.screen is self and not self.query_one(Ask).is_open:
            self.show_record()

    def first_focus(self) -> str:
        """The units."""
        return "#units"

    # What is shown

    def show_record(self) -> None:
        """Every unit with how it stands; what was not computed yet follows at once, a stretch at a time."""
        known = self.session.left_out(of_read=True)
        lines = self._lines([code for code in self.session.codes() if code not in known])
        broken, left_out = self.session.broken(), self._left_out()
        codes = [code for code in self.session.codes() if code not in left_out]
        self.set_class(not (codes or broken or left_out), "-empty")
        self._hues = unit_hues(self.session.codes())
        self._show_units(codes, lines, left_out)
        if len(lines) == len(codes) and self._is_known_where_they_stand(codes):
            self.session.over_all(partial(self._show_now, lines))
            if self._left_out() != left_out:
                self.show_record()  # one of them cannot be worked out after all
                return
        else:
            self._going = f"Reading {len(codes)} units …"
            self.set_timer(0.01, self._fill_on)
        self.query_one("#question", Pane).update()
        self._show_unit()

    def _show_units(self, codes: Sequence[str], lines: Mapping[str, Overview], left_out: Mapping[str, str]) -> None:
        """The list of units; those that cannot be shown stand last, each with why."""
        columns = self._list_columns
        rows = rows_for(len(codes), self._list_rows)
        shown = [self._unit_entry(code, lines.get(code), columns, rows) for code in codes]
        shown += [problem_entry(code, "CANNOT BE READ", why, columns) for code, why in self.session.broken().items()]
        shown += [problem_entry(code, "LEFT OUT", why, columns) for code, why in left_out.items()]
        units = self.query_one("#units", Entries)
        units.border_title = counted(len(shown), "unit")
        units.show(shown)

    @property
    def _list_columns(self) -> int:
        """Columns for the text of an entry: beside the pane of the unit, the frame, the bar and the scroll bar."""
        if self.columns >= BROAD:
            return self.columns - 62 - BESIDE_THE_TEXT
        return self.columns - 49 - BESIDE_THE_TEXT if self.columns >= WIDE else self.columns - 3

    @property
    def _list_rows(self) -> int:
        """Rows for units: what frame, answer, messages and keys leave, less those of what can be done now."""
        return self.size.height - 8 - self.size.height * 35 // 100

    def _left_out(self) -> dict[str, str]:
        """Units that cannot be worked out, as far as they were looked at; all of them once every line is there."""
        return {**self._refused, **self.session.left_out(of_read=True)}

    def _unit_entry(self, code: str, overview: Overview | None, columns: int, rows: int) -> ListEntry:
        """The entry of a unit; the same one as long as nothing in it changed."""
        if overview is None:
            return entry(code, [(Span(code, "muted"),), *[BLANK] * (rows - 1)])
        drawn_from = (overview, self._hues.get(code), columns, rows)
        drawn = self._drawn.get(code)
        if drawn is None or drawn[0] != drawn_from:
            drawn = self._drawn[code] = (drawn_from, unit_entry(overview, self._hues, columns, rows, glyphs_now()))
        return drawn[1]

    def _fill_on(self) -> None:
        if self.is_current:
            self.show_record()
            self.refresh_frame()

    def _lines(self, codes: Sequence[str]) -> dict[str, Overview]:
        """The lines that are at hand, and as many more as there is time for now."""
        overviews, until = self.session.overviews, time.monotonic() + FILL_SECONDS
        now = self.session.shop_now.replace(second=0, microsecond=0)
        lines: dict[str, Overview] = {}
        self._refused = {}
        for code in codes:
            if not overviews.is_at_hand(code) and time.monotonic() >= until:
                continue
            try:
                line, known = overviews.line(code), self._known.get(code)
            except LogbookError as error:
                self._refused[code] = str(error)
                continue
            except Exception as fault:  # noqa: BLE001 - one unit takes no other with it
                self.session.set_aside(code, fault)
                continue
            if known is None or known.line is not line or known.at != now:
                made = shown(line, now)
                same = known is not None and known.overview == made
                known = self._known[code] = _Known(line, now, known.overview if known and same else made)
            lines[code] = known.overview
        self._known = {c: k for c, k in self._known.items() if c in lines}
        self._drawn = {c: d for c, d in self._drawn.items() if c in lines}
        return lines

    def _is_known_where_they_stand(self, codes: Sequence[str]) -> bool:
        """Whether all are at hand that what now is worked out from, after as many more as there is time for now."""
        overviews, until = self.session.overviews, time.monotonic() + FILL_SECONDS
        for code in codes:
            if not overviews.is_at_hand(code, standing=True):
                if time.monotonic() >= until:
                    return False
                try:
                    overviews.standing(code)
                except LogbookError:
                    raise
                except Exception as fault:  # noqa: BLE001 - one unit takes no other with it
                    self.session.set_aside(code, fault)
                    return False
        return True

    def _show_now(self, lines: dict[str, Overview]) -> None:
        whole, now = self.session.whole(), self.session.now
        self._doable = what_now(whole, self.minutes, now)
        self._reminders = reminders(whole, now)
        late = len(overdue(whole.book, self.session.today))
        left = len(left_open(self.session.shop)) + sum(each.left_by_joining for each in lines.values())
        self._answered_with = BenchAnswer(tuple(lines.values()), self._doable, self.minutes, late, left)
        self._going = ""
        below = self.query_one("#now", Entries)
        below.border_title = f"Now, {hours_and_minutes(self.minutes)}, with what is here"
        first = self._doable[: len(NUMBERS) if self.size.height < ROWS_FOR_PICTURE else MOST_NOW]
        short = self.size.height < ROWS_FOR_REASONS
        below.show(now_entries(first, self._reminders, self._hues, self._list_columns, short=short))

    def _answer(self, columns: int, _rows: int) -> list[DrawnLine]:
        """What now, in a line."""
        if self._going:
            return flow((Span(self._going, "muted"),), columns)
        out = self.session.out_of_the_book()
        how = wrap(f"{clean(out, limit=200)}; z puts it back.", columns, "wait") if out else []
        return [*answer_lines(self._answered_with, self._hues, columns), *how]

    @property
    def minutes(self) -> int:
        """How many minutes there are, as last said."""
        kept = self.session.draft("bench/minutes")
        return int(kept) if kept.isascii() and kept.isdigit() and len(kept) < 6 else MINUTES

    @on(Entries.Rested, "#units")
    def _show_unit(self) -> None:
        """The unit under the cursor in full, where there is a pane for it."""
        if self.columns < WIDE:
            return
        overview = self._overview()
        beside = self.query_one("#beside", Vertical)
        beside.border_title = plain("" if overview is None else f"{overview.code}  {overview.name}", limit=200)
        self.query_one("#unit", Pane).update()
        view = self.query_one("#picture", PictureView)
        photo = None if overview is None else overview.photo
        view.set_class(photo is not None and self.size.height >= ROWS_FOR_PICTURE, "-shown")
        if overview is not None and photo is not None:
            view.show(f"{overview.code} {photo.file}", picture_of(self.session, overview.code, photo), photo.caption)

    def _overview(self) -> Overview | None:
        known = self._known.get(self.current_unit() or "")
        return None if known is None else known.overview

    def _unit(self, columns: int, _rows: int) -> list[DrawnLine]:
        """What the pane says of the unit under the cursor."""
        overview = self._overview()
        if overview is None:
            return []
        own = [item for item in self._doable if item.unit == overview.code]
        return unit_lines(overview, own, columns, glyphs_now())

    def current_unit(self) -> str | None:
        """Code of the unit under the cursor."""
        row = self.query_one("#units", Rows).current
        return row.key if row is not None else None

    def story_of(self) -> str | None:
        """The story of the unit under the cursor."""
        return self.current_unit()

    # What can be done

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """In an empty book only what makes sense there is offered."""
        needs_units = ("open", "minutes", "bench_mode", "turn", "take_out", "now")
        if action in needs_units and self.has_class("-empty"):
            return None
        return super().check_action(action, parameters)

    @on(Rows.Chosen, "#units")
    def action_open(self) -> None:
        """Open the unit, or what the cursor is on in the list below."""
        if self.query_one("#now", Rows).has_focus:
            self._open_below()
        elif (code := self.current_unit()) is not None:
            self._go_to(code)

    @on(Rows.Chosen, "#now")
    def _open_below(self) -> None:
        row = self.query_one("#now", Rows).current
        kind, _, at = row.key.partition(" ") if row is not None else ("", "", "")
        if kind == "now":
            self._go_now(self._doable[int(at)])
        elif kind == "forget":
            self._go_to(self._reminders[int(at)].unit)

    def _go_to(self, code: str, kind: str = "", thing: str = "") -> None:
        if code in self.session.broken():
            self.say(self.session.broken()[code], "error")
        elif code in self.session.codes():
            self.logbook.go_to(code, kind, thing)

    def action_now(self, number: int) -> None:
        """Go to what can be done now."""
        if number > min(len(self._doable), len(NUMBERS)):
            self.say(f"There is no number {number} in what can be done now.")
            return
        self._go_now(self._doable[number - 1])

    def _go_now(self, item: NowItem) -> None:
        kind = "component" if item.kind == "test" and item.code else item.kind
        self._go_to(item.unit, kind, item.code)

    def action_turn(self) -> None:
        """From one list to the other."""
        below = self.query_one("#now", Rows)
        (self.query_one("#units", Rows) if below.has_focus else below).focus()

    def action_bench_mode(self) -> None:
        """The teardown at the bench, of the unit under the cursor."""
        code = self.current_unit()
        if code in self.session.codes() and code is not None:
            self.logbook.open("bench_mode", code)
        else:
            self.say("There is no unit under the cursor. Press n for a new one.")

    def action_on_paper(self) -> None:
        """What can be printed of the unit under the cursor."""
        code = self.current_unit()
        if code in self.session.codes() and code is not None:
            self.logbook.open("paper", code)
        else:
            self.say("There is no unit under the cursor. Press n for a new one.")

    def action_join(self) -> None:
        """Name the other copy that this book is to be joined with."""
        self.logbook.open("health", joining=True)

    def action_plan(self) -> None:
        """The plan over all units."""
        self.logbook.open("week")

    def action_all_now(self) -> None:
        """Everything that can be done now."""
        self.logbook.open("now", self.minutes)

    def action_store(self) -> None:
        """The store."""
        self.logbook.go_to("")

    def action_to_buy(self) -> None:
        """What is to buy over all units."""
        self.logbook.open("to_buy")

    def action_take_out(self) -> None:
        """Take the unit out of the book; its folder is moved aside and undo puts it back."""
        code = self.current_unit()
        if code is not None and code in self.session.codes():
            name = self.session.unit(code).name
            self.tried(f"{code} {name} taken out of the book. z puts it back.", partial(self.session.remove_unit, code))

    def action_take_in(self) -> None:
        """Ask for a document that another book gave out."""
        self._ask(
            "document",
            "Which document?",
            "",
            "Its file, such as ~/R1-document-v12.json. The other book makes it under e, on paper.",
            begun=self.session.draft("bench/document"),
        )

    def action_minutes(self) -> None:
        """Ask how many minutes there are."""
        self._ask("minutes", "How long have you got?", str(self.minutes), "minutes, or 1:30, or 1.5 h")

    def action_new(self) -> None:
        """Ask what the new object is."""
        help_text = "In a few words: table radio, bench grinder, brass lamp."
        self._ask("name", "What is it?", "", help_text, begun=self.session.draft("bench/new"))

    def _ask(self, key: str, label: str, value: str, help_text: str, begun: str = "") -> None:
        self.query_one(Ask).ask(key, label, value, help_text, begun=begun, replace=True)

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        if event.key in ("name", "code"):
            self.session.keep_draft("bench/new", event.text if event.key == "name" else self._new_name)
        elif event.key == "document":
            self.session.keep_draft("bench/document", event.text)
        self.query_one("#units", Rows).focus()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        takes = {
            "minutes": self._take_minutes,
            "name": self._take_name,
            "code": self._take_code,
            "document": self._take_document,
            "document-as": self._take_document_as,
        }
        try:
            takes[event.key](event.text)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))

    def _take_minutes(self, text: str) -> None:
        minutes = parse_minutes(text)
        self.session.keep_draft("bench/minutes", str(minutes))
        self._done()
        self.show_record()

    def _take_document(self, text: str) -> None:
        name = text.strip()
        if not name:
            raise InputError("Name the file of the document.")
        raw = bytes_of_file(name)
        if is_unkept_text(raw):
            said = take_unkept_in(self.session, read_unkept(raw, name))
            self._done()
            self.tried(said, lambda: None)
            return
        document = read_in(raw, name)
        self.session.keep_draft("bench/document", name)
        try:
            self._taken_in(document, name)
        except CodeTakenError as taken:
            self._ask("document-as", "Under which code?", "", f"{taken} Give this one another code, such as R2.")

    def _take_document_as(self, text: str) -> None:
        name = self.session.draft("bench/document")
        if not text.strip():
            raise InputError("Type another code, or press Esc to leave the document where it is.")
        self._taken_in(read_in(bytes_of_file(name), name, as_code=text), name)

    def _taken_in(self, document: UnitDocument | ShopDocument, name: str) -> None:
        said = take_in(self.session, document, name)
        self.session.keep_draft("bench/document", "")
        self._done()
        self.tried(f"{said} z takes it back.", lambda: None)

    def _take_name(self, text: str) -> None:
        if not text.strip():
            raise InputError("Say what it is, in a word or two.")
        self._new_name = text.strip()
        code = offered_code(self._new_name, (*self.session.codes(), *self.session.broken()))
        self._ask(
            "code", "Its code", code, "It goes on every bag and box: a letter and a number, up to 8. Enter takes it."
        )

    def _take_code(self, text: str) -> None:
        unit = new_unit(text, self._new_name, self.session.now)
        if unit.code in (*self.session.codes(), *self.session.broken()):
            raise InputError(f"There is already a unit {unit.code} in this book; give the new one another code.")
        self.session.keep_draft("bench/new", self._new_name)  # it is there again when the choice is left
        self._done()
        from logbook.tui.screens.begin_screen import begin_from

        begin_from(self, self._new_name, partial(self._begin, unit))

    def _begin(self, unit: Unit, starter: Starter | None) -> None:
        """Take the new unit in, empty or from a starter, and open it."""
        what = "" if starter is None else f"{unit.code} {unit.name} arrived, from the starter “{starter.name}”"
        new = unit if starter is None else started(unit, starter)
        if self.tried("", lambda: self.session.add_unit(new, what)):
            self.session.keep_draft("bench/new", "")
            self.logbook.go_to(unit.code)

    def _done(self) -> None:
        self.query_one(Ask).close()
        self.query_one("#units", Rows).focus()


def new_unit(code: str, name: str, now: datetime) -> Unit:
    """A unit as it arrives. Raises InputError when the code cannot be one."""
    unit = made(Unit, {"code": code.strip().upper(), "name": name})
    return unit.model_copy(update={"arrival": unit.arrival.model_copy(update={"arrived_at": now}), "touched": now})


def offered_code(name: str, taken: Sequence[str]) -> str:
    """A free code for an object: the first letter of its last word before a comma, and the next number.

    What stands behind a comma or in brackets describes the thing (“scales, enamelled”) and does not name it.
    """
    thing = re.split(r"[,;(:]", name, maxsplit=1)[0]
    letters = [word[0].upper() for word in thing.split() if word[:1].isascii() and word[:1].isalpha()]
    return free_code(letters[-1] if letters else "U", taken)
