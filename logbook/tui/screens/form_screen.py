"""Any record as a form, and any list of records as a list: every field can be filled in here.

The fields come from the record itself (`logbook.model.fields`). Each edit is kept at once and can be undone.
"""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import InputError, LogbookError
from logbook.model.base import Frozen
from logbook.model.dated_prices import with_price_dated
from logbook.model.fields import Field, FieldKind, in_a_line, offered_fields, shown
from logbook.model.one_line import value_of
from logbook.model.paths import Path, can_begin, moved_at, put_at, record_kind, value_at, words_of
from logbook.model.record_edits import removed
from logbook.model.shop_clock import by_clock_of
from logbook.model.typed_values import as_typed
from logbook.model.usual_fields import example_value
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line, flow, line
from logbook.tui.plain_content import plain
from logbook.tui.screens.form_rows import INSIDE, MORE, field_entries, field_in_full, thing_entries
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.screens.record_in_full import record_in_full
from logbook.tui.screens.record_place import RecordScreen, TypingScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Rows

MORE_HELP = "Enter shows the fields that are seldom filled, or hides them."
_NOT_SAID = "not said"
_STILL_COMMANDS = frozenset("?/")
"""Characters that go on doing in a form what they do everywhere."""


class FormScreen(TypingScreen):
    """The fields of one record. Enter types, chooses or opens; a letter starts typing; Delete clears."""

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("form.edit", "enter", "edit", "type or open", "Type, choose, or open what is inside", True),
        Act("form.clear", "delete", "clear", "clear", "Make the field empty again", True),
        Act("back", "escape", "back", "back", "Go one place back", True),
    )

    def __init__(self, session: Session, code: str, path: Path) -> None:
        super().__init__(session, code, path)
        self._shows_all = False

    def compose_body(self) -> ComposeResult:
        """The fields, what the one under the cursor means, and the line or the menu for a new value."""
        yield ListBeside("fields", "Fields", self._in_full, pane_title="The field")
        yield Static("", id="help", classes="facts")
        yield Ask(id="ask")
        yield Pick(id="pick")

    def first_focus(self) -> str:
        """The fields."""
        return "#fields"

    def record(self) -> Frozen:
        """The record shown."""
        found = self.value()
        if not isinstance(found, Frozen):
            raise InputError(f"There is no longer anything at {words_of(self.path)}.")
        return found

    def record_shown(self) -> Frozen:
        """The record with its moments by the shop's clock, as it is shown and typed."""
        return by_clock_of(self.record(), self.session.shop_now)

    def fields(self) -> tuple[Field, ...]:
        """Every field that can be filled here."""
        return offered_fields(type(self.record()))

    def show_record(self) -> None:
        """One row for each field that is usually filled or holds something; the rest stands under “more”."""
        record = self.record_shown()
        self.query_one(ListBeside).show(field_entries(record, list_columns(self.columns), shows_all=self._shows_all))
        self._say_what_it_means()

    def current_field(self) -> Field | None:
        """The field under the cursor."""
        row = self.query_one("#fields", Rows).current
        return next((f for f in self.fields() if row is not None and f.name == row.key), None)

    def go_to(self, name: str) -> None:
        """Put the cursor on a field, also when it stands under “more”."""
        rows = self.query_one("#fields", Rows)
        if not rows.go_to(name):
            self._shows_all = True
            self.show_record()
            rows.go_to(name)

    def keys_now(self) -> list[tuple[str, str, str]]:
        """In the fields every letter types, which the key line says."""
        keys = super().keys_now()
        if isinstance(self.focused, Rows):
            keys.insert(1, ("a-z 0-9", "type", ""))
        return keys

    def help_lines(self) -> list[tuple[str, str]]:
        """What the keys do, with what letters do first."""
        return [("a-z 0-9", "Start typing in the field under the cursor"), *super().help_lines()]

    @on(Rows.Moved)
    def _say_what_it_means(self) -> None:
        """Below the list, where there is no room beside it."""
        below = self.query_one("#help", Static)
        below.display = self.columns < WIDE
        if self.columns >= WIDE:
            return
        field = self.current_field()
        below.update(plain(field.help if field is not None else MORE_HELP, limit=300))

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The field under the cursor: what it means, what stands there, what can be typed."""
        field = self.current_field()
        if field is None:
            return flow(line(MORE_HELP), columns)
        return field_in_full(self.record_shown(), field, columns)

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_edit()

    def on_key(self, event: events.Key) -> None:
        """A letter or a digit starts typing in the field under the cursor; it is never a command here."""
        types = event.is_printable and event.character is not None
        if not types or event.character in _STILL_COMMANDS or not isinstance(self.focused, Rows):
            return
        event.stop()
        event.prevent_default()
        self._start_with(event.character or "")

    def _start_with(self, character: str) -> None:
        field = self.current_field()
        if field is None:
            self.say(MORE_HELP)
        elif self._is_fixed(field):
            return
        elif field.kind in INSIDE:
            self.say(f"“{field.label}” is opened with Enter.")
        elif field.kind is FieldKind.CHOICE or (field.kind is FieldKind.FLAG and field.optional):
            self._ask(field)
        elif field.kind is FieldKind.FLAG:
            self.say(f"“{field.label}” is yes or no: Enter changes it.")
        elif character == " ":
            self._ask(field)
        else:
            self._ask(field)
            self._line(field, character, replace=False)

    def action_edit(self) -> None:
        """Type a value, choose one, turn a yes to a no, or open what is inside."""
        if self.query_one(Ask).is_open:
            self.query_one(Ask).refuse("Enter keeps this, Esc cancels it.")
            return
        row = self.query_one("#fields", Rows).current
        if row is not None and row.key == MORE:
            self._shows_all = not self._shows_all
            self.show_record()
        elif (field := self.current_field()) is not None and not self._is_fixed(field):
            if field.kind in INSIDE:
                self._open(field)
            elif field.kind is FieldKind.FLAG and not field.optional:
                self._keep(field, not getattr(self.record(), field.name))
            else:
                self._ask(field)

    def _is_fixed(self, field: Field) -> bool:
        """Whether a field is the code, which never changes; then that is said."""
        if field.name == "code":
            self.say(f"{getattr(self.record(), 'code', '')} stands on labels and in other records: it does not change.")
        return field.name == "code"

    def _open(self, field: Field) -> None:
        """Go into a list or into details; details that need something said are asked for first."""
        path = (*self.path, field.name)
        if field.kind is FieldKind.RECORDS:
            self.app.push_screen(ListScreen(self.session, self.CODE, path))
        elif getattr(self.record(), field.name) is None and field.record is not None and not can_begin(field.record):
            self.app.push_screen(NewScreen(self.session, self.CODE, path, field.record))
        else:
            self.app.push_screen(FormScreen(self.session, self.CODE, path))

    def _ask(self, field: Field) -> None:
        """Ask for a new value: a numbered menu for a choice, else a line that starts with what stands there."""
        if field.kind in (FieldKind.CHOICE, FieldKind.FLAG):
            value = getattr(self.record(), field.name)
            here = shown(self.record_shown(), field) if value is not None else _NOT_SAID
            self.query_one(Pick).pick(field.name, field.label, _options(field), here)
            return
        goes_on = field.kind in (FieldKind.TEXT, FieldKind.TEXTS, FieldKind.LENGTHS)
        self._line(field, as_typed(self.record_shown(), field), replace=not goes_on)

    def _line(self, field: Field, text: str, *, replace: bool) -> None:
        example = example_value(field)
        self.query_one("#help", Static).update("")  # it stands below the line meanwhile
        self.query_one(Ask).ask(field.name, field.label, text, field.help, replace=replace, example=example)

    def action_clear(self) -> None:
        """Make the field empty, as in a new record."""
        field = self.current_field()
        if field is None or self.query_one(Ask).is_open or self._is_fixed(field):
            return
        if field.required:
            self.say(f"“{field.label}” is needed: type another one instead.")
        elif getattr(self.record(), field.name) == field.default:
            self.say(f"“{field.label}” is empty already.")
        else:
            self._keep(field, field.default)

    def _keep(self, field: Field, value: object) -> bool:
        """Keep a value of a field as one change."""
        changed = by_clock_of(put_at(self.record(), (field.name,), value), self.session.shop_now)
        words = clean(shown(changed, field) or "empty", limit=60)
        where = words_of(self.path) or self.CODE or "shop"
        what = f"{where}: {field.label} {words}"
        return self.edit(what, partial(self._with_value, field, value), f"Kept: {what}")

    def _with_value(self, field: Field, value: object, root: Frozen) -> Frozen:
        """The unit or the shop with the value; a price that is typed is of today."""
        after = put_at(root, (*self.path, field.name), value)
        before, now = value_at(root, self.path), value_at(after, self.path)
        dated = with_price_dated(now, self.session.today, before=before)
        if dated == now:
            return after
        return put_at(after, self.path, dated) if self.path else dated

    def _field_named(self, name: str) -> Field | None:
        return next((f for f in self.fields() if f.name == name), None)

    @on(Ask.Answered)
    def _typed(self, event: Ask.Answered) -> None:
        ask = self.query_one(Ask)
        field = self._field_named(event.key)
        if field is None:
            self._back_to_fields()
            return
        try:
            value = value_of(type(self.record()), field, event.text, self.context())
            put_at(self.record(), (field.name,), value)
        except LogbookError as error:
            ask.refuse(str(error))
            return
        if self._keep(field, value):
            self._back_to_fields()
        else:
            ask.refuse("It was not kept; it stays here.")

    @on(Pick.Picked)
    def _picked(self, event: Pick.Picked) -> None:
        self.query_one("#fields", Rows).focus()
        field = self._field_named(event.key)
        if field is None:
            return
        text = "" if event.value == _NOT_SAID and field.optional else event.value
        self._keep(field, value_of(type(self.record()), field, text, self.context()))

    @on(Ask.Left)
    @on(Pick.Left)
    def _back_to_fields(self) -> None:
        self.query_one(Ask).close()
        self.query_one("#fields", Rows).focus()
        self._say_what_it_means()

    def show_new(self, path: Path) -> None:
        """The cursor goes to the details that were just begun."""
        self.go_to(str(path[-1]))


def _options(field: Field) -> tuple[str, ...]:
    """What a menu offers for a field."""
    words = tuple(str(choice) for choice in field.choices) or ("yes", "no")
    return (*words, _NOT_SAID) if field.optional and _NOT_SAID not in words else words


class ListScreen(RecordScreen):
    """A list of records of one kind: open, add, add one like another, take out, move."""

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("list.open", "enter", "open", "open", "Open it", True),
        Act("list.add", "a", "add", "add", "Add one, in one line", True),
        Act("list.same", "equals_sign", "same", "same again", "Add one like it; only what differs is typed", True),
        Act("list.remove", "x", "remove", "take out", "Take it out of the list (undo brings it back)", True),
        Act("list.up", "minus", "shift(-1)", "up", "Move it up in the list"),
        Act("list.down", "plus", "shift(1)", "down", "Move it down in the list"),
    )

    def compose_body(self) -> ComposeResult:
        """The things, one a line."""
        yield Static("", id="empty", classes="facts")
        yield ListBeside("things", words_of(self.path[-1:]).capitalize(), self._in_full)

    def first_focus(self) -> str:
        """The list."""
        return "#things"

    def things(self) -> tuple[Frozen, ...]:
        """What is in the list."""
        found = self.value()
        return found if isinstance(found, tuple) else ()

    def kind(self) -> type[Frozen]:
        """Which kind of record is listed."""
        return record_kind(self.root(), self.path)

    def show_record(self) -> None:
        """One row for each thing."""
        things = [by_clock_of(thing, self.session.shop_now) for thing in self.things()]
        beside = self.columns >= WIDE
        self.query_one(ListBeside).show(thing_entries(things, self.kind(), list_columns(self.columns), beside=beside))
        name = words_of(self.path[-1:])
        empty = self.query_one("#empty", Static)
        empty.update(plain(f"No {name} yet. Press a to add the first one."))
        empty.display = not things

    def show_new(self, path: Path) -> None:
        """The cursor goes to what was just added."""
        self.query_one("#things", Rows).go_to(str(path[-1]))

    def _path_of_current(self) -> Path | None:
        number = self._number()
        if number is None:
            return None
        code = getattr(self.things()[number], "code", None)
        return (*self.path, code if isinstance(code, str) else number)

    def _number(self) -> int | None:
        """Which of the things is under the cursor; the heads above them are none."""
        rows = self.query_one("#things", Rows)
        if rows.current is None:
            return None
        return sum(row.selectable for row in rows.rows[: rows.cursor])

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """All that is said of the thing under the cursor."""
        number, things = self._number(), self.things()
        if number is None or number >= len(things):
            return [BLANK]
        return record_in_full(things[number], self.session.shop_now, columns)

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_open()

    def action_open(self) -> None:
        """Open the form of the thing under the cursor."""
        if (path := self._path_of_current()) is not None:
            self.app.push_screen(FormScreen(self.session, self.CODE, path))

    def action_add(self) -> None:
        """Ask for a new one in one line."""
        self.app.push_screen(NewScreen(self.session, self.CODE, self.path, self.kind(), of_list=True))

    def action_same(self) -> None:
        """Ask only for what differs from the one under the cursor."""
        if (path := self._path_of_current()) is None:
            self.say("There is nothing here yet that another one could be like. Press a.")
            return
        like = value_at(self.root(), path)
        self.app.push_screen(NewScreen(self.session, self.CODE, self.path, self.kind(), of_list=True, like=like))

    def action_remove(self) -> None:
        """Take the thing out."""
        if (path := self._path_of_current()) is not None:
            name = clean(in_a_line(value_at(self.root(), path)), limit=60)
            self.edit(f"taken out of {words_of(self.path)}: {name}", lambda r: removed(r, path))

    def action_shift(self, by: int) -> None:
        """Move the thing up or down."""
        path = self._path_of_current()
        if path is None or not self.edit(f"order of {words_of(self.path)}", lambda r: moved_at(r, path, by)):
            return
        number = path[-1]
        if isinstance(number, int):  # a thing with a code keeps the cursor by it
            self.query_one("#things", Rows).go_to(str(max(0, min(number + by, len(self.things()) - 1))))
