"""A new thing for a list, or new details, from one line of plain words; what is needed besides is asked after it.

What the line says is read in `logbook.model.one_line` and stands below it while it is typed. Nothing is kept before the
last answer, and then all of it is one change.
"""

from __future__ import annotations

from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input

from logbook.errors import LogbookError, StoreError
from logbook.layout.pile_line import piece_or_more
from logbook.model.base import Frozen
from logbook.model.dated_prices import with_price_dated
from logbook.model.fields import Field, FieldKind, in_a_line, offered_fields, shown_value
from logbook.model.numbering import first_code, next_code
from logbook.model.one_line import RecordReading, read_line, value_of
from logbook.model.paths import Path, put_at, value_at, words_of
from logbook.model.record_edits import added
from logbook.model.shelf_line import shelf_reading
from logbook.model.shop import Consumable, Offcut
from logbook.model.step import Fastener
from logbook.model.unit import Unit
from logbook.model.usual_fields import example_of, example_value, leading_fields, usual_fields
from logbook.render.plain import clean, whole_phrases
from logbook.session import Session
from logbook.teardown.new_fastener import fastener_or_more
from logbook.tui.actions import Act
from logbook.tui.look.inks import Line, Span, fit, hanging, line, typed
from logbook.tui.look.told import Told, told_lines
from logbook.tui.screen_frame import BookScreen, MessageLine
from logbook.tui.screens.record_place import TypingScreen
from logbook.tui.widgets.ask import FROM_BEFORE, Ask
from logbook.tui.widgets.entries import ListEntry, entry
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.pick import Pick

LINE = " line"
"""What is asked first; no field is called so."""
LABEL_COLUMNS = 20
LIKE_COLUMNS = 25
HOW = "Commas between. Enter keeps it, Esc cancels."


class NewScreen(TypingScreen):
    """Asks for a new thing and goes back to where it was asked from, with the cursor on it."""

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = ()

    def __init__(
        self,
        session: Session,
        code: str,
        path: Path,
        kind: type[Frozen],
        *,
        of_list: bool = False,
        like: Frozen | None = None,
    ) -> None:
        super().__init__(session, code, path)
        self.kind = kind
        self.of_list = of_list
        self.like = like
        self.reading: RecordReading | None = None
        """What was said in the line, once it was taken; then only single fields are asked."""
        self._line_text = ""
        self._begun = ""
        """A line that was left half typed the last time and stands there again."""
        self._kept = False

    def place(self) -> str:
        """What is being added."""
        return f"{super().place()} / new"

    def compose_body(self) -> ComposeResult:
        """The line or the menu, and below it how it is read."""
        yield Ask(id="ask")
        yield Pick(id="pick")
        yield ListBeside("answers", "How it is read", self._in_full, pane_title="What can be said")

    def show_record(self) -> None:
        """How what was typed is read; the line is asked when nothing is asked yet."""
        if not self._kept and not self.query_one(Ask).is_open and not self.menu_is_open():
            self._ask_on()
        self._show_reading(self._reading_now())

    # The line

    def _offered_code(self) -> str:
        if "code" not in self.kind.model_fields or leading_fields(self.kind)[0].name == "code":
            return ""
        if not self.of_list:
            return first_code(self.kind)
        listed = tuple(str(getattr(thing, "code", "")) for thing in self._listed())
        return next_code(self.root(), self.kind, listed)

    def _listed(self) -> tuple[Frozen, ...]:
        found = self.value()
        return found if isinstance(found, tuple) else ()

    def _reading_now(self) -> RecordReading:
        if self.reading is not None:
            return self.reading
        text = self.query_one(Ask).text
        if self.kind is Offcut:
            like = self.like if isinstance(self.like, Offcut) else None
            return piece_or_more(text, self.session.shop, self.session.today, like=like)
        root = self.root()
        if self.kind is Fastener and isinstance(root, Unit):
            of = self.like if isinstance(self.like, Fastener) else None
            return fastener_or_more(text, root, self.context(), like=of)
        if self.kind is Consumable:
            shelved = self.like if isinstance(self.like, Consumable) else None
            return shelf_reading(text, self.context(), like=shelved)
        return read_line(self.kind, text, self.context(), code=self._offered_code(), like=self.like)

    def _show_reading(self, reading: RecordReading) -> None:
        """A row for each field that is usually filled, or was said."""
        usual = usual_fields(self.kind)
        said = [f for f in offered_fields(self.kind) if f.name in reading.said and f not in usual]
        columns = list_columns(self.columns)
        self.query_one(ListBeside).show([_answer_entry(field, reading, columns) for field in (*usual, *said)])

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """A line as it could be typed, and what each field means that is usually filled."""
        meanings = tuple((field.label, field.help) for field in usual_fields(self.kind) if field.help)
        example = (("", example_of(self.kind)),) if example_of(self.kind) else ()
        return told_lines([Told("Such as", example), Told("What each means", meanings)], columns)[1:]

    @on(Input.Changed)
    def _read_along(self) -> None:
        ask = self.query_one(Ask)
        if self._kept or not ask.is_open or ask.key != LINE:
            return
        reading = self._reading_now()
        self._show_reading(reading)
        ask.explain(_said_below(reading, begun=bool(self._begun) and ask.text == self._begun))

    def _ask_on(self) -> None:
        """Ask for the line, or for the next field that is needed; keep the thing when nothing is missing."""
        if self.reading is None:
            self._ask_for_line()
        elif self.reading.missing:
            self._ask_for(self.reading.missing[0])
        else:
            self._finish()

    def _ask_for_line(self, refused: str = "") -> None:
        self._begun = "" if refused else self.session.draft(self._draft_key)
        begun = refused or self._begun
        label, example = f"new in {words_of(self.path[-1:])}", example_of(self.kind)
        if self.like is not None:
            label, example = f"like {whole_phrases(clean(in_a_line(self.like)), LIKE_COLUMNS)}", "what differs"
        elif not self.of_list:
            label = f"new {words_of(self.path[-1:])}"
        how = FROM_BEFORE if self._begun else HOW
        self.query_one(Ask).ask(LINE, label, begun, how, replace=not refused, example=example)

    @property
    def _draft_key(self) -> str:
        same = "same" if self.like is not None else "new"
        return f"{self.CODE or 'shop'}/{same}/{'/'.join(map(str, self.path))}"

    def _ask_for(self, field: Field, typed: str = "") -> None:
        """Ask for one field: a numbered menu for a choice, else a line."""
        ask = self.query_one(Ask)
        if field.kind is FieldKind.CHOICE:
            ask.close()
            narrowed = self.reading.narrowed if self.reading is not None else {}
            offered = narrowed.get(field.name, field.choices)
            self.query_one(Pick).pick(field.name, field.label, [str(choice) for choice in offered])
        else:
            ask.ask(field.name, field.label, typed, field.help, example=example_value(field))

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        if event.key == LINE:
            self._line_answered(event.text)
        elif self.reading is not None:
            self._field_answered(event.key, event.text)

    def _line_answered(self, text: str) -> None:
        reading = self._reading_now()
        needs = leading_fields(self.kind)
        if reading.problem:
            self.query_one(Ask).refuse(reading.problem)
        elif not text.strip() and self.like is None and any(f.required for f in needs):
            wanted = " and ".join(f"“{f.label}”" for f in needs if f.required)
            is_are = "are" if " and " in wanted else "is"
            self.query_one(Ask).refuse(f"{wanted} {is_are} needed. Type it, or press Esc to cancel.")
        else:
            self.reading, self._line_text = reading, text
            self._ask_on()
            self._show_reading(self._reading_now())

    def _field_answered(self, name: str, text: str) -> None:
        field = next(f for f in offered_fields(self.kind) if f.name == name)
        if not text.strip():
            self.query_one(Ask).refuse(f"“{field.label}” is needed. Type it, or press Esc to cancel.")
            return
        try:
            value = value_of(self.kind, field, text, self.context())
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        self._say(name, value)

    @on(Pick.Picked)
    def _picked(self, event: Pick.Picked) -> None:
        field = next(f for f in offered_fields(self.kind) if f.name == event.key)
        self._say(event.key, value_of(self.kind, field, event.value, self.context()))

    def _say(self, name: str, value: object) -> None:
        if self.reading is not None:
            self.reading = self.reading.with_value(name, value)
            self._ask_on()
            self._show_reading(self._reading_now())

    # Keeping it

    def _finish(self) -> None:
        """Keep the new thing as one change and go back to where it was asked from."""
        if self.reading is None:
            return
        ask = self.query_one(Ask)
        try:
            item = with_price_dated(self.reading.record(), self.session.today, before=self.like)
        except LogbookError as error:
            self._ask_again(str(error))
            return
        name = clean(in_a_line(item), limit=60)
        self._kept = True  # keeping it is itself news to this screen
        if self.of_list:
            where = f"{words_of(self.path)}: added {name}"
            done = self.edit(where, lambda root: added(root, self.path, item), "")
        else:
            done = self.edit(f"{words_of(self.path)}: {name}", lambda root: put_at(root, self.path, item), "")
        message = self.query_one("#message", MessageLine)
        if not done:
            self._kept = False
            self._ask_again(message.text)
            return
        ask.close()
        self._keep_draft("")
        self._leave(item, name, message)

    def _ask_again(self, why: str) -> None:
        """The whole was refused: it stays in the line to be corrected."""
        self.reading = None
        self._ask_for_line(self._line_text)
        self.query_one(Ask).refuse(why)
        self.say("")

    def _leave(self, item: Frozen, name: str, message: MessageLine) -> None:
        path = self.path
        if self.of_list:
            code = getattr(item, "code", None)
            count = len(value_at(self.root(), self.path))
            path = (*self.path, code if isinstance(code, str) else count - 1)
        self.app.pop_screen()
        below = self.app.screen
        if not isinstance(below, BookScreen):
            return
        doubts = self.reading.doubts if self.reading is not None else ()
        if message.text:  # a stop line was passed, or the disk refused
            below.came_back_with(path, message.text, "error")
        else:
            words = _kept_words(name, below)
            below.came_back_with(path, f"{words} {doubts[0]}" if doubts else words, "good")

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        self._keep_draft(event.text if event.key == LINE else self._line_text)
        self.action_back()

    @on(Pick.Left)
    def _left_menu(self) -> None:
        self._keep_draft(self._line_text)
        self.action_back()

    def _keep_draft(self, text: str) -> None:
        try:
            self.session.keep_draft(self._draft_key, text)
        except StoreError as error:
            self.say(str(error), "error")


def _said_below(reading: RecordReading, *, begun: bool) -> str:
    """What stands below the line while it is typed: what is wrong, what should be seen, else how it is typed."""
    if reading.problem:
        return f"Not understood yet: {reading.problem}"
    if begun:
        return FROM_BEFORE
    return f"{reading.doubts[0]} {HOW}" if reading.doubts and reading.said else HOW


def _kept_words(name: str, below: BookScreen) -> str:
    """That it is kept, and what the next keys do there."""
    keys = ["Enter details"]
    if hasattr(below, "action_same"):
        keys.append("= one like it")
    keys.append("z undo")
    hint = ", ".join(keys)
    return f"Kept: {whole_phrases(name, max(10, below.columns - len(hint) - 12))}. {hint}."


def _answer_entry(field: Field, reading: RecordReading, columns: int) -> ListEntry:
    """A field with what was read for it; nothing of it is cut."""
    words = clean(shown_value(reading.values.get(field.name), field.kind), limit=300)
    ink = "bold"
    if not words:
        is_needed = field.required and field.name not in reading.values
        words, ink = ("needed", "wait") if is_needed else ("·", "muted")
    label = fit(typed(field.label, "head"), LABEL_COLUMNS)
    return entry(field.name, hanging(line(label, Span("   ")), words, columns, ink))
