"""Any record as a form, and any list of records as a list: every field can be filled in here.

The fields come from the record itself (`logbook.model.fields`). Each edit is kept at once and can be undone.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import InputError, LogbookError
from logbook.model.base import Frozen
from logbook.model.currency import refuse_foreign
from logbook.model.edits import free_code
from logbook.model.fields import (
    Field,
    FieldKind,
    as_typed,
    fields_of,
    in_a_line,
    made,
    offered_fields,
    shown,
    typed,
)
from logbook.model.paths import Path, added_at, moved_at, put_at, removed_at, value_at, words_of
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.frame import BookScreen
from logbook.tui.plain import plain
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Row, Rows

LABEL_COLUMNS = 20


class RecordScreen(BookScreen):
    """A place inside a unit's record, or inside the shop's when the code is empty."""

    def __init__(self, session: Session, code: str, path: Path) -> None:
        super().__init__(session)
        self.CODE = code
        self.path = path

    def place(self) -> str:
        """The unit and the way into its record."""
        head = f"{self.CODE} {self.session.unit(self.CODE).name}" if self.CODE else "Shop"
        return f"{head} / {words_of(self.path)}" if self.path else head

    def story_of(self) -> str:
        """The unit's story, or the shop's."""
        return self.CODE

    def root(self) -> Unit | Shop:
        """The record this place is inside of."""
        return self.session.unit(self.CODE) if self.CODE else self.session.shop

    def _catch_up(self) -> None:
        try:
            value_at(self.root(), self.path)
        except LogbookError as error:  # undone or taken out meanwhile: there is nothing to show here any more
            self.call_later(self._gone, str(error))
            return
        super()._catch_up()

    def _gone(self, why: str) -> None:
        if self.is_current and len(self.app.screen_stack) > 2:
            self.app.pop_screen()
            if isinstance(self.app.screen, BookScreen):
                self.app.screen.say(why)

    def edit(self, what: str, change: Callable[[Unit | Shop], Unit | Shop]) -> bool:
        """Keep an edit of the unit or of the shop; a refusal is said and nothing is lost."""
        if self.CODE:
            return self.tried(what, partial(self.session.apply, self.CODE, what, change))  # type: ignore[arg-type]
        return self.tried(what, partial(self.session.apply_shop, what, change))  # type: ignore[arg-type]

    def open_field(self, path: Path, field: Field) -> None:
        """Go into a list or into details; details that are not there yet are begun when they can be empty."""
        if field.kind is FieldKind.RECORDS:
            self.app.push_screen(ListScreen(self.session, self.CODE, path))
            return
        if value_at(self.root(), path) is None:
            kind = field.record
            if kind is None or any(f.required for f in fields_of(kind)):
                self.app.push_screen(NewScreen(self.session, self.CODE, path, kind or Frozen))
                return
            if not self.edit(f"{words_of(path)} begun", lambda r: put_at(r, path, kind())):
                return
        self.app.push_screen(FormScreen(self.session, self.CODE, path))


class FormScreen(RecordScreen):
    """The fields of one record. Enter types or opens, `x` clears."""

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("form.edit", "enter", "edit", "type or open", "Type a new value, or open a list", True),
        Act("form.clear", "x", "clear", "clear", "Make the field empty again", True),
    )

    def compose_body(self) -> ComposeResult:
        """The fields, what the one under the cursor means, and the line to type in."""
        yield Rows(id="fields")
        yield Static("", id="help", classes="facts")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The fields."""
        return "#fields"

    def record(self) -> Frozen:
        """The record shown."""
        found = value_at(self.root(), self.path)
        if not isinstance(found, Frozen):
            raise InputError(f"There is no longer anything at {words_of(self.path)}.")
        return found

    def fields(self) -> tuple[Field, ...]:
        """The fields shown here."""
        return offered_fields(type(self.record()))

    def show_record(self) -> None:
        """One row for each field; what was not said is a dot."""
        record = self.record()
        rows = []
        for field in self.fields():
            value = clean(shown(record, field), limit=300)
            sign = "+" if field.kind in (FieldKind.RECORD, FieldKind.RECORDS) else " "
            rows.append(Row(field.name, (f"{field.label[:LABEL_COLUMNS]:<{LABEL_COLUMNS}} {sign} {value or '·'}",)))
        self.query_one("#fields", Rows).show(rows)

    def current_field(self) -> Field | None:
        """The field under the cursor."""
        row = self.query_one("#fields", Rows).current
        return next((f for f in self.fields() if row is not None and f.name == row.key), None)

    @on(Rows.Moved)
    def _say_what_it_means(self) -> None:
        field = self.current_field()
        if field is not None:
            text = field.help or f"{field.label}: {field.kind}"
            self.query_one("#help", Static).update(plain(text, limit=200))

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_edit()

    def action_edit(self) -> None:
        """Type a value, turn a yes to a no, or open what is inside."""
        field = self.current_field()
        if field is None:
            return
        record = self.record()
        if field.name == "code":
            self.say(f"{getattr(record, 'code', '')} stands on labels and in other records; a code does not change.")
        elif field.kind in (FieldKind.RECORD, FieldKind.RECORDS):
            self.open_field((*self.path, field.name), field)
        elif field.kind is FieldKind.FLAG:
            self._keep(field, "no" if getattr(record, field.name) else "yes")
        else:
            typed, how = as_typed(record, field), _how_to_type(field)
            words = field.kind in (FieldKind.TEXT, FieldKind.TEXTS, FieldKind.LENGTHS)  # gone on with, not replaced
            self.query_one(Ask).ask(field.name, field.label, typed, how, replace=not words)

    def action_clear(self) -> None:
        """Make the field empty."""
        if (field := self.current_field()) is not None:
            if field.kind is FieldKind.RECORD:
                self._put(field, lambda r: put_at(r, (*self.path, field.name), None))
            else:
                self._keep(field, "")

    def _keep(self, field: Field, text: str) -> bool:
        return self._put(
            field,
            lambda root: put_at(
                root, (*self.path, field.name), getattr(typed(value_at(root, self.path), field.name, text), field.name)
            ),
        )

    def _put(self, field: Field, change: Callable[[Unit | Shop], Unit | Shop]) -> bool:
        return self.edit(f"{words_of(self.path) or self.CODE}: {field.label}", change)

    @on(Ask.Answered)
    def _typed(self, event: Ask.Answered) -> None:
        ask = self.query_one(Ask)
        field = next((f for f in self.fields() if f.name == event.key), None)
        if field is None:
            ask.close()
            return
        try:
            if field.kind in (FieldKind.MONEY, FieldKind.ESTIMATE):
                refuse_foreign(event.text, self.session.shop.settings.currency)
            typed(self.record(), field.name, event.text)
        except LogbookError as error:
            ask.refuse(str(error))
            return
        if self._keep(field, event.text):
            ask.close()
            self.query_one("#fields", Rows).focus()
        else:
            ask.refuse("It was not kept; it stays here.")

    @on(Ask.Left)
    def _left(self) -> None:
        self.query_one("#fields", Rows).focus()


class ListScreen(RecordScreen):
    """A list of records of one kind: open, add, remove, move."""

    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("list.open", "enter", "open", "open", "Open it", True),
        Act("list.add", "a", "add", "add", "Add one", True),
        Act("list.remove", "x", "remove", "take out", "Take it out of the list (undo brings it back)", True),
        Act("list.up", "minus", "shift(-1)", "up", "Move it up in the list"),
        Act("list.down", "plus", "shift(1)", "down", "Move it down in the list"),
    )

    def compose_body(self) -> ComposeResult:
        """The things, one a line."""
        yield Static("", id="empty", classes="facts")
        yield Rows(id="things")

    def first_focus(self) -> str:
        """The list."""
        return "#things"

    def things(self) -> tuple[Frozen, ...]:
        """What is in the list."""
        found = value_at(self.root(), self.path)
        return found if isinstance(found, tuple) else ()

    def kind(self) -> type[Frozen]:
        """Which kind of record is listed."""
        return record_kind(self.root(), self.path)

    def show_record(self) -> None:
        """One row for each thing."""
        rows = [
            Row(str(getattr(thing, "code", i)), (clean(in_a_line(thing), limit=300) or "(empty)",))
            for i, thing in enumerate(self.things())
        ]
        self.query_one("#things", Rows).show(rows)
        name = words_of(self.path[-1:])
        empty = self.query_one("#empty", Static)
        empty.update(plain(f"No {name} yet. Press a to add one."))
        empty.display = not rows

    def _path_of_current(self) -> Path | None:
        rows = self.query_one("#things", Rows)
        if rows.current is None:
            return None
        thing = self.things()[rows.cursor]
        code = getattr(thing, "code", None)
        return (*self.path, code if isinstance(code, str) else rows.cursor)

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_open()

    def action_open(self) -> None:
        """Open the form of the thing under the cursor."""
        if (path := self._path_of_current()) is not None:
            self.app.push_screen(FormScreen(self.session, self.CODE, path))

    def action_add(self) -> None:
        """Ask for what a new one needs, then open it."""
        self.app.push_screen(NewScreen(self.session, self.CODE, self.path, self.kind(), of_list=True))

    def action_remove(self) -> None:
        """Take the thing out."""
        if (path := self._path_of_current()) is not None:
            name = clean(in_a_line(value_at(self.root(), path)), limit=60)
            self.edit(f"taken out of {words_of(self.path)}: {name}", lambda r: removed_at(r, path))

    def action_shift(self, by: int) -> None:
        """Move the thing up or down."""
        if (path := self._path_of_current()) is not None:
            rows = self.query_one("#things", Rows)
            if self.edit(f"order of {words_of(self.path)}", lambda r: moved_at(r, path, by)):
                rows.cursor = (
                    max(0, min(rows.cursor + by, len(self.things()) - 1)) if isinstance(path[-1], int) else rows.cursor
                )


class NewScreen(RecordScreen):
    """Asks for what a new record cannot do without, one line after another, then keeps it and opens its form."""

    ACTS: ClassVar[tuple[Act, ...]] = ()

    def __init__(self, session: Session, code: str, path: Path, kind: type[Frozen], *, of_list: bool = False) -> None:
        super().__init__(session, code, path)
        self.kind = kind
        self.of_list = of_list
        self.answers: dict[str, str] = {}
        self.needed = [f for f in fields_of(kind) if f.required]
        self._kept = False

    def place(self) -> str:
        """What is being added."""
        return f"{super().place()} / new"

    def compose_body(self) -> ComposeResult:
        """What was answered so far, and the question."""
        yield Rows(id="answers")
        yield Ask(id="ask")

    def show_record(self) -> None:
        """The answers so far."""
        rows = [
            Row(f.name, (f"{f.label[:LABEL_COLUMNS]:<{LABEL_COLUMNS}}   {clean(self.answers.get(f.name, '·'))}",))
            for f in self.needed
        ]
        self.query_one("#answers", Rows).show(rows)
        if not self._kept and not self.query_one(Ask).is_open:  # keeping it is itself news to this screen
            self._ask_next()

    def _ask_next(self, start: int = 0) -> None:
        for field in self.needed[start:]:
            if field.name not in self.answers:
                value = self._offered_code() if field.name == "code" and self.of_list else ""
                how = field.help or _how_to_type(field)
                if value and not how:
                    how = "Its short code, as it is written on a tag. Enter takes the one offered."
                self.query_one(Ask).ask(field.name, field.label, value, how, replace=bool(value))
                return
        self._finish()

    def _offered_code(self) -> str:
        taken = [str(getattr(t, "code", "")) for t in value_at(self.root(), self.path)]
        prefix = next((c.rstrip("0123456789") for c in taken if c[-1:].isdigit()), self.kind.__name__[:1])
        return free_code(prefix or "X", taken)

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        field = next(f for f in self.needed if f.name == event.key)
        if not event.text.strip():
            self.query_one(Ask).refuse(f"“{field.label}” is needed. Type it, or press Esc to cancel.")
            return
        self.answers[field.name] = event.text
        try:
            if field.kind in (FieldKind.MONEY, FieldKind.ESTIMATE):
                refuse_foreign(event.text, self.session.shop.settings.currency)
            made(self.kind, {f.name: self.answers.get(f.name) or _stand_in(f) for f in self.needed})
        except LogbookError as error:
            del self.answers[field.name]
            self.query_one(Ask).refuse(str(error))
            return
        self.query_one(Ask).close()
        self.show_record()

    def _finish(self) -> None:
        self._kept = True
        if not self._keep():
            self._kept = False
            last = self.needed[0]
            refused = self.answers.pop(last.name, "")
            self.query_one(Ask).ask(last.name, last.label, refused, last.help)

    def _keep(self) -> bool:
        item = made(self.kind, self.answers)
        name = clean(in_a_line(item), limit=60)
        if self.of_list:
            done = self.edit(f"{words_of(self.path)}: added {name}", lambda r: added_at(r, self.path, item))
            code = getattr(item, "code", None)
            where: Path = (*self.path, code if isinstance(code, str) else len(value_at(self.root(), self.path)) - 1)
        else:
            done = self.edit(f"{words_of(self.path)}: {name}", lambda r: put_at(r, self.path, item))
            where = self.path
        if done:
            self.app.switch_screen(FormScreen(self.session, self.CODE, where))
        return done

    @on(Ask.Left)
    def _left(self) -> None:
        self.action_back()


def record_kind(root: Frozen, path: Path) -> type[Frozen]:
    """The kind of record in the list, or of the details, at `path`, by following the fields of the record."""
    kind: type[Frozen] = type(root)
    for part in path:
        field = next((f for f in fields_of(kind) if f.name == part), None) if isinstance(part, str) else None
        if field is not None and field.record is not None:
            kind = field.record
    return kind


_STAND_INS = {
    FieldKind.COUNT: "1",
    FieldKind.MINUTES: "1",
    FieldKind.MONEY: "1",
    FieldKind.NUMBER: "1",
    FieldKind.LENGTH: "1 mm",
    FieldKind.DATE: "2000-01-01",
    FieldKind.MOMENT: "2000-01-01 00:00",
}


def _stand_in(field: Field) -> str:
    """Something valid for a field that was not asked yet, so that the answered ones can be checked."""
    if field.choices:
        return str(field.choices[0])
    if field.record is not None:
        return ", ".join(_stand_in(f) for f in fields_of(field.record) if f.required)
    return _STAND_INS.get(field.kind, "T1" if "code" in field.name or field.name in _STEP_FIELDS else "x")


_STEP_FIELDS = frozenset({"earlier", "later", "came_out_at", "member"})


def _how_to_type(field: Field) -> str:
    ways = {
        FieldKind.LENGTH: "12, 12.5 mm, 3/4, 23 5/16 in, 1' 2-1/2\"",
        FieldKind.LENGTHS: "lengths with ; between them: 11.8; 11.9; 11.8",
        FieldKind.MINUTES: "minutes, or 1:30, or 1.5 h",
        FieldKind.MONEY: "an amount like 12.50",
        FieldKind.NUMBER: "a number like 0.75",
        FieldKind.ESTIMATE: "one amount, or low / likely / high like 6 / 8.40 / 12",
        FieldKind.EFFORT: "one time, or low / likely / high like 30 / 45 / 1:15",
        FieldKind.MOMENT: "date and time like 2026-03-12 20:41",
        FieldKind.DATE: "a date like 2026-03-12",
        FieldKind.TEXTS: "several with ; between them",
        FieldKind.COUNT: "a whole number",
    }
    if field.choices:
        return "one of: " + ", ".join(field.choices)
    return ways.get(field.kind, field.help)
