"""Every list and every form of a book, gone through by keys: what is found follows from the records themselves.

A record, a list or a field that is added tomorrow is gone through as well. For each entry the history, the record, the
place and the cursor are compared with what they must be. `python -m tests.tui.every_form` goes through all of it and
says how much of it was right.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Collection, Iterator, Sequence
from pathlib import Path as FilePath
from typing import Any, NamedTuple

from textual.pilot import Pilot
from textual.widgets import Static

from logbook.errors import InputError
from logbook.model.base import Frozen
from logbook.model.fields import Field, FieldKind, offered_fields
from logbook.model.holds import open_holds
from logbook.model.numbering import next_code
from logbook.model.one_line import read_line, value_of
from logbook.model.paths import Path, begun, can_begin, put_at, record_kind, value_at
from logbook.model.shop import Shop
from logbook.model.typed_values import Context
from logbook.model.unit import Unit
from logbook.model.usual_fields import example_of, example_value, leading_fields
from logbook.session import Session
from logbook.tui.opening import open_path
from logbook.tui.screens.form_rows import MORE
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.new_thing_screen import NewScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.pick import DIGITS, PAGE, Pick
from logbook.tui.widgets.rows import Rows
from tests.builders import unit
from tests.demo_book import demo_copy
from tests.tui.conftest import NOW, lines_on, opened, said, text_on, typed, until
from tests.tui.quick_loop import run_quickly

EMPTY = "E1"
"""Code of the unit about which nothing is known but its name."""
NONSENSE = "?? §§ %% zzz"
_NAMES_OTHERS = frozenset({"each_of", "inside", "member", "after", "earlier", "later", "came_out_at"})
"""Fields that name other things of the unit: what does not exist there is refused."""
_HELD_BY_A_RULE = frozenset({"amount", "why", "set_at", "currency"})
"""Fields of a stop line that was set, and the currency of a book that counts in one: they stay, and that is said."""
_WITH_SUCH_RULES = frozenset({"StopLine", "ShopSettings"})
_REFUSE_A_LETTER = frozenset(FieldKind) - {FieldKind.TEXT, FieldKind.TEXTS}
"""Kinds of typed fields that no single letter fits."""


class Spot(NamedTuple):
    """A list or details that can be reached from the root of a record, by the names of fields on the way."""

    root: type[Frozen]
    names: tuple[str, ...]
    kind: type[Frozen]
    is_list: bool

    def __str__(self) -> str:
        return "/".join((self.root.__name__, *self.names))


def spots(root: type[Frozen], kind: type[Frozen] | None = None, names: tuple[str, ...] = ()) -> Iterator[Spot]:
    """Every list and all details of a kind of record, at any depth, and the record itself."""
    if kind is None:
        yield Spot(root, (), root, is_list=False)
    for field in offered_fields(kind or root):
        if field.record is not None:
            way = (*names, field.name)
            yield Spot(root, way, field.record, is_list=field.kind is FieldKind.RECORDS)
            yield from spots(root, field.record, way)


SPOTS = (*spots(Unit), *spots(Shop))
FIRST_PLACES = frozenset({spot.kind: spot for spot in reversed(SPOTS)}.values())
"""One place for each kind of record."""


def reached(root: Frozen, names: Sequence[str]) -> tuple[Frozen, Path]:
    """The record with things on the way to a list or details, and the path to it; what is there already is taken."""
    path: Path = ()
    for i, name in enumerate(names):
        path = (*path, name)
        if i == len(names) - 1:
            break
        value = value_at(begun(root, path), path)
        if isinstance(value, tuple):
            root, path = _into_list(root, path, tuple(names[i + 1 :]))
        elif value is None and not can_begin(record_kind(root, path)):
            root = put_at(begun(root, path), path, _example(root, record_kind(root, path)))
    return root, path


def _into_list(root: Frozen, path: Path, rest: tuple[str, ...]) -> tuple[Frozen, Path]:
    """The path to a thing of a list, one that has what comes next where there is one; an empty list gets one."""
    things = value_at(begun(root, path), path)
    if not things:
        root = put_at(begun(root, path), path, (_example(root, record_kind(root, path)),))
        things = value_at(root, path)
    at = next((i for i, thing in enumerate(things) if rest and getattr(thing, rest[0], None)), 0)
    code = getattr(things[at], "code", None)
    return root, (*path, code if isinstance(code, str) else at)


def _example(root: Frozen, kind: type[Frozen]) -> Frozen:
    code = next_code(root, kind) if "code" in kind.model_fields else ""
    return read_line(kind, example_of(kind), Context(NOW), code=code).record()


def demo_book(folder: FilePath) -> Session:
    """A book with the demo records and a unit about which nothing is known."""
    session = demo_copy(folder / "book", "AB", lambda: NOW)
    session.add_unit(unit(code=EMPTY, name="old clock"))
    return session


def empty_book(folder: FilePath) -> Session:
    """A book with nothing but that unit."""
    session = Session.open(folder / "book", by="AB", now=lambda: NOW)
    session.add_unit(unit(code=EMPTY, name="old clock"))
    return session


class Walker:
    """Goes through lists and forms by keys and counts what was right."""

    def __init__(self, pilot: Pilot[Any], book: Session, forms: Collection[Spot]) -> None:
        self.pilot = pilot
        self.book = book
        self.forms = forms
        """Where the fields of the form are gone through, too."""
        self._left: set[str] = set()
        self.code = ""
        self.spot = ""
        self._goes_through_fields = False
        self.right = 0
        self.wrong: list[str] = []

    # What is seen

    @property
    def screen(self) -> Any:
        """The place on top."""
        return self.pilot.app.screen

    @property
    def root(self) -> Unit | Shop:
        """The record that is walked."""
        return self.book.unit(self.code) if self.code else self.book.shop

    @property
    def lines(self) -> int:
        """How many entries the history of the record has."""
        return len(self.book.entries(self.code))

    @property
    def ask(self) -> Ask:
        """The line of the place on top."""
        found: Ask = self.screen.query_one(Ask)
        return found

    @property
    def cursor(self) -> str:
        """Key of the row under the cursor."""
        row = self.screen.query_one(Rows).current
        return row.key if row is not None else ""

    def check(self, what: str, *, holds: bool) -> None:
        """Count one thing that must be so."""
        if holds:
            self.right += 1
        else:
            shown = "\n".join(line.rstrip() for line in lines_on(self.pilot) if line.strip())
            self.wrong.append(f"{self.spot}: {what}\n{shown}")

    # Going to places

    async def go_through(self, spot: Spot, code: str) -> None:
        """Everything that can be done at one list or in one form."""
        self.code, self.spot = code, f"{code or 'shop'} {spot}"
        self._goes_through_fields = spot in self.forms
        root, path = reached(self.root, spot.names)
        if root != self.root:
            self._put(root)
        await self.pilot.pause()
        open_path(self.pilot.app.screen, code, path)  # type: ignore[arg-type]
        if spot.is_list:
            await until(self.pilot, lambda: isinstance(self.screen, ListScreen), self.spot)
            await self._list(path, spot.kind)
        else:
            await self._details(path, spot.kind)
        await self._to_the_bench()

    def _put(self, root: Frozen) -> None:
        if isinstance(root, Unit):
            self.book.apply(self.code, "what is on the way", lambda _: root)
        elif isinstance(root, Shop):
            self.book.apply_shop("what is on the way", lambda _: root)

    async def _to_the_bench(self) -> None:
        while len(self.pilot.app.screen_stack) > 2:
            await self.pilot.press("escape")
        await self.pilot.pause()

    # A list

    def _things(self, path: Path) -> tuple[Any, ...]:
        found: tuple[Any, ...] = value_at(begun(self.root, path), path)
        return found

    async def _list(self, path: Path, kind: type[Frozen]) -> None:
        await self._left_half_way(path, kind)
        await self._with_enter_only(path)
        await self._with_nonsense(path)
        if await self._with_answers(path, kind):
            await self._opened_and_left(path)

    async def _ask_for_one(self) -> None:
        await self.pilot.press("a")
        await until(self.pilot, lambda: isinstance(self.screen, NewScreen) and self.ask.is_open, self.spot)

    async def _back_in_list(self) -> bool:
        for _ in range(20):
            if isinstance(self.screen, ListScreen):
                return True
            await self.pilot.pause()
        return False

    async def _left_half_way(self, path: Path, kind: type[Frozen]) -> None:
        lines, things = self.lines, self._things(path)
        await self._ask_for_one()
        await typed(self.pilot, example_of(kind)[:5])
        await self.pilot.press("escape")
        self.check("Escape half way goes back", holds=await self._back_in_list())
        self.check("Escape half way leaves nothing", holds=(lines, things) == (self.lines, self._things(path)))

    async def _with_enter_only(self, path: Path) -> None:
        lines, things = self.lines, self._things(path)
        await self._ask_for_one()
        await self.pilot.press("ctrl+u", "enter")
        await self.pilot.pause()
        if isinstance(self.screen, NewScreen):
            words = str(self.ask.query_one("#ask-help", Static).content)
            self.check("Enter alone says what is needed", holds="needed. Type it, or press Esc" in words)
            await self.pilot.press("escape")
            await self._back_in_list()
            self.check("nothing was kept", holds=(lines, things) == (self.lines, self._things(path)))
        else:  # nothing but a code is needed, and that numbers itself
            self.check("Enter alone keeps one", holds=self.lines == lines + 1)
            await self._taken_back(path, things)

    async def _with_nonsense(self, path: Path) -> None:
        lines, things = self.lines, self._things(path)
        await self._ask_for_one()
        await self.pilot.press("ctrl+u")
        await typed(self.pilot, f"{NONSENSE}, {NONSENSE}")
        await self.pilot.press("enter")
        await self.pilot.pause()
        if isinstance(self.screen, NewScreen):  # refused, or something else is still to be said
            self.check("nothing is kept yet", holds=(lines, things) == (self.lines, self._things(path)))
            await self.pilot.press("escape")
            await self._back_in_list()
            self.check("nothing was kept", holds=(lines, things) == (self.lines, self._things(path)))
        else:  # words are good enough for a name and a note
            self.check("one was kept", holds=self.lines == lines + 1)
            await self._taken_back(path, things)

    async def _taken_back(self, path: Path, things: tuple[Any, ...]) -> None:
        await self._back_in_list()
        await self.pilot.press("z")
        await self.pilot.pause()
        self.check("z takes it back in one step", holds=self._things(path) == things)

    async def _with_answers(self, path: Path, kind: type[Frozen]) -> bool:
        """Add one with what is needed; whether it was kept."""
        lines, things = self.lines, self._things(path)
        await self._ask_for_one()
        await self.pilot.press("ctrl+u")
        await typed(self.pilot, self._answers(path, kind))
        await self.pilot.press("enter")
        await self.pilot.pause()
        if isinstance(self.screen, NewScreen):
            names = any(f.name in _NAMES_OTHERS for f in leading_fields(kind))
            taken = "There is already one called" in text_on(self.pilot)  # by the code of the example
            self.check(
                "refused only because it names what is not there, or by a code that is taken",
                holds=(names or taken) and self.lines == lines,
            )
            await self.pilot.press("escape")
            await self._back_in_list()
            return False
        await self._back_in_list()
        self.check("one more is kept", holds=len(self._things(path)) == len(things) + 1)
        self.check("as one change", holds=self.lines == lines + 1)
        last = self._things(path)[-1]
        self.check("the cursor is on it", holds=self.cursor == str(getattr(last, "code", len(things))))
        self.check("it is said to be kept", holds=said(self.pilot).startswith("Kept: "))
        return True

    def _answers(self, path: Path, kind: type[Frozen]) -> str:
        """The example, with another name where the list has it already."""
        line = example_of(kind)
        listed = {getattr(thing, "code", None) for thing in self._things(path)}
        lead = leading_fields(kind)[0]
        if lead.name == "code" and example_value(lead) in listed:
            line = f"{example_value(lead)}x"
        return line

    async def _opened_and_left(self, path: Path) -> None:
        """Enter opens the new one; its form is gone through; Escape comes back with the cursor on it."""
        here = self.cursor
        await self.pilot.press("enter")
        await until(self.pilot, lambda: isinstance(self.screen, FormScreen), self.spot)
        await self._form(self.screen.path)
        await self.pilot.press("escape")
        self.check("Escape leads back to the list", holds=await self._back_in_list())
        self.check("with the cursor where it was", holds=self.cursor == here)
        things = self._things(path)
        await self.pilot.press("x")
        await self.pilot.pause()
        gone = len(self._things(path)) == len(things) - 1
        self.check("x takes it out, or says why not", holds=gone or bool(said(self.pilot)))

    # Details

    async def _details(self, path: Path, kind: type[Frozen]) -> None:
        await self.pilot.pause()
        if isinstance(self.screen, NewScreen):
            lines = self.lines
            await until(self.pilot, lambda: self.ask.is_open, self.spot)
            await self.pilot.press("enter")
            await self.pilot.pause()
            self.check("Enter alone waits", holds=isinstance(self.screen, NewScreen) and self.lines == lines)
            await typed(self.pilot, example_of(kind))
            await self.pilot.press("enter")
            await until(self.pilot, lambda: not isinstance(self.screen, NewScreen), self.spot)
            self.check("kept as one change", holds=self.lines == lines + 1)
            open_path(self.pilot.app.screen, self.code, path)  # type: ignore[arg-type]
        await until(self.pilot, lambda: isinstance(self.screen, FormScreen), self.spot)
        await self._form(path)

    # A form

    async def _form(self, path: Path) -> None:
        form = self.screen
        await until(self.pilot, lambda: [x for x in form.query(Rows) if x.rows], self.spot)
        if form.query_one("#fields", Rows).go_to(MORE):
            await self.pilot.press("enter")
        shown = [row.key for row in form.query_one("#fields", Rows).rows if row.key != MORE]
        offered = offered_fields(type(form.record()))
        self.check("every field is shown", holds=sorted(shown) == sorted(f.name for f in offered))
        self._left = set()
        for field in offered if self._goes_through_fields else ():
            form.go_to(field.name)
            await self._field(form, path, field)
            self.check(f"{field.name}: the form stays", holds=self.screen is form and self.cursor == field.name)

    async def _field(self, form: FormScreen, path: Path, field: Field) -> None:
        self.check(f"{field.name} has help", holds=bool(field.help))
        if field.name == "code":
            await self._nothing_happens(form, ("enter", "w", "delete"), field)
        elif field.record is not None:
            await self._inside(form, field)
        elif field.kind is FieldKind.CHOICE or (field.kind is FieldKind.FLAG and field.optional):
            await self._choice(form, field)
        elif field.kind is FieldKind.FLAG:
            await self._flag(form, field)
        else:
            await self._typed(form, field)
        if field.name != "code" and field.record is None:
            await self._cleared(form, field)

    def _value(self, form: FormScreen, field: Field) -> Any:
        return getattr(form.record(), field.name)

    async def _nothing_happens(self, form: FormScreen, keys: Sequence[str], field: Field) -> None:
        lines, record = self.lines, form.record()
        for key in keys:
            await self.pilot.press(key)
        await self.pilot.pause()
        self.check(f"{field.name}: said why not", holds=bool(said(self.pilot)))
        self.check(f"{field.name}: nothing changes", holds=(lines, record) == (self.lines, form.record()))

    async def _inside(self, form: FormScreen, field: Field) -> None:
        """A letter is refused; Enter goes inside or asks; Escape comes back to it; nothing is written."""
        await self._nothing_happens(form, ("w",), field)
        lines = self.lines
        await self.pilot.press("enter")
        await until(self.pilot, lambda: self.screen is not form, f"{self.spot} {field.name}")
        await self.pilot.pause()
        await self.pilot.press("escape")
        await until(self.pilot, lambda: self.screen is form, f"{self.spot} {field.name}")
        self.check(f"{field.name}: looking writes nothing", holds=self.lines == lines)

    async def _choice(self, form: FormScreen, field: Field) -> None:
        lines, before = self.lines, self._value(form, field)
        await self.pilot.press("b")
        menu = form.query_one(Pick)
        self.check(f"{field.name}: a letter opens the menu", holds=menu.is_open and self.lines == lines)
        if self._not_left_yet("choice"):
            await self.pilot.press("escape")
            left = not menu.is_open and (lines, before) == (self.lines, self._value(form, field))
            self.check(f"{field.name}: Escape leaves it", holds=left)
            await self.pilot.press("enter")
        options: tuple[Any, ...] = field.choices or (True, False)
        first = 0
        if len(options) + field.optional > len(DIGITS) and before in options:
            first = options.index(before) // PAGE * PAGE  # the menu shows the page of what holds now
        wanted = options[min(first + 1, len(options) - 1)]
        await self.pilot.press("2")
        await self.pilot.pause()
        self.check(f"{field.name}: a digit chooses", holds=self._value(form, field) == wanted)
        self.check(f"{field.name}: as one change", holds=self.lines == lines + (wanted != before))

    def _not_left_yet(self, what: str) -> bool:
        """Whether leaving with Escape is still to be tried in this form."""
        first = what not in self._left
        self._left.add(what)
        return first

    async def _flag(self, form: FormScreen, field: Field) -> None:
        await self._nothing_happens(form, ("w",), field)
        lines, before = self.lines, self._value(form, field)
        await self.pilot.press("enter")
        await self.pilot.pause()
        turned = (self._value(form, field), self.lines) == (not before, lines + 1)
        self.check(f"{field.name}: Enter turns it", holds=turned)

    async def _typed(self, form: FormScreen, field: Field) -> None:
        """A letter that is a command elsewhere starts typing; what does not do stays; what does is kept."""
        lines, before = self.lines, self._value(form, field)
        await self.pilot.press("z")
        self.check(f"{field.name}: a letter types", holds=self.ask.is_open and self.ask.text == "z")
        if self._not_left_yet("line"):
            await self.pilot.press("escape")
            await self.pilot.pause()
            self.check(f"{field.name}: Escape leaves it", holds=not self.ask.is_open and self.lines == lines)
            await self.pilot.press("z")
        if field.required and field.kind not in _REFUSE_A_LETTER:
            await self.pilot.press("ctrl+u")
        if field.required or field.kind in _REFUSE_A_LETTER:
            stands = self.ask.text
            await self.pilot.press("enter")
            await self.pilot.pause()
            waits = self.ask.is_open and self.ask.has_class("-refused") and self.ask.text == stands
            self.check(f"{field.name}: “{stands}” is refused and stays", holds=waits)
            same = (lines, before) == (self.lines, self._value(form, field))
            self.check(f"{field.name}: nothing changes", holds=same)
        await self._typed_right(form, field)

    async def _typed_right(self, form: FormScreen, field: Field) -> None:
        lines, before = self.lines, self._value(form, field)
        text = example_value(field)
        await self.pilot.press("ctrl+u")
        await typed(self.pilot, text)
        await self.pilot.press("enter")
        await self.pilot.pause()
        if self.ask.is_open:
            may_be = field.name in _NAMES_OTHERS or _is_held(form, field)
            refused = may_be and (lines, before) == (self.lines, self._value(form, field))
            self.check(f"{field.name}: refused only because it names what is not there", holds=refused)
            await self.pilot.press("escape")
            await self.pilot.pause()
            return
        wanted = value_of(type(form.record()), field, text, form.context())
        self.check(f"{field.name}: kept as typed", holds=self._value(form, field) == wanted)
        self.check(f"{field.name}: as one change", holds=self.lines == lines + (wanted != before))

    async def _cleared(self, form: FormScreen, field: Field) -> None:
        lines, before = self.lines, self._value(form, field)
        await self.pilot.press("delete")
        await self.pilot.pause()
        if _is_held(form, field) and before != field.default:
            stays = (lines, before) == (self.lines, self._value(form, field))
            self.check(f"{field.name}: stays, and that is said", holds=stays and bool(said(self.pilot)))
        elif field.required:
            self.check(f"{field.name}: needed", holds=self.lines == lines and "needed" in said(self.pilot))
        else:
            self.check(f"{field.name}: empty again", holds=self._value(form, field) == field.default)
            self.check(f"{field.name}: as one change", holds=self.lines == lines + (before != field.default))


def _is_held(form: FormScreen, field: Field) -> bool:
    kind = type(form.record()).__name__
    if kind == "MemberDifference" and field.name == "done":
        return bool(open_holds(form.session.unit(form.CODE)))  # nothing comes off past an open hold point
    return kind in _WITH_SUCH_RULES and field.name in _HELD_BY_A_RULE


def unit_of(spot: Spot, book: Session) -> str:
    """The unit of the book that has most on the way to a list or details; empty for the shop."""
    if spot.root is Shop:
        return ""
    best, depth = EMPTY, -1
    for code in book.codes():
        found = _depth(book.unit(code), spot.names)
        if code != EMPTY and found > depth:
            best, depth = code, found
    return best


def _depth(record: Frozen, names: Sequence[str]) -> int:
    """How far a way leads through what is there."""
    things: list[Any] = [record]
    for i, name in enumerate(names):
        following: list[Any] = []
        for thing in things:
            value = getattr(thing, name, None)
            following += value if isinstance(value, tuple) else [] if value is None else [value]
        if not following:
            return i
        things = following
    return len(names)


async def walked(book: Session, of: Sequence[Spot], *, on_demo: bool, forms: Collection[Spot]) -> Walker:
    """Go through these lists and forms: of the demo's units, or of the empty one and the shop as it is.

    Args:
        book: as made by `demo_book` or `empty_book`.
        of: the lists and forms.
        on_demo: whether units of the demo are taken, or the empty one.
        forms: at which of them every field of the form is tried.
    """
    async with opened(book, size=(60, 20)) as pilot:
        walker = Walker(pilot, book, forms)
        for spot in of:
            code = "" if spot.root is Shop else unit_of(spot, book) if on_demo else EMPTY
            try:
                with pilot.app.batch_update():  # nobody looks: what is drawn is tried elsewhere
                    await walker.go_through(spot, code)
            except (AssertionError, InputError) as error:
                walker.wrong.append(f"{walker.spot}: {error}")
                await pilot.pause()
                break
        return walker


def _all() -> int:
    """Go through everything and say how much was right."""
    right = 0
    wrong: list[str] = []
    for on_demo in (False, True):
        for i in range(0, len(SPOTS), 10):
            with tempfile.TemporaryDirectory() as folder:
                book = (demo_book if on_demo else empty_book)(FilePath(folder))
                walker = run_quickly(walked(book, SPOTS[i : i + 10], on_demo=on_demo, forms=SPOTS))
                right += walker.right
                wrong += walker.wrong
    for words in wrong:
        print(words, file=sys.stderr)
    print(
        f"{len(SPOTS)} lists and forms, each on an empty record and on the demo: {right} of {right + len(wrong)} right"
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(_all())
