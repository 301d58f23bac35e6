"""Something that joining left to a person: two values side by side to choose from, or a thing to look at."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import LogbookError
from logbook.joining import values_of
from logbook.joining.report import with_sides
from logbook.model.apart import ToLookAt
from logbook.model.left_by_joining import free_bag
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line, Span, beside, flow, hanging, line, typed, wrap
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import entry, heading, titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

LONGEST = 4000
GAP = 3
"""Columns between the two sides."""


class TwoValuesScreen(BookScreen):
    """One question at a time: what each side says, and a digit for each."""

    TOPIC = "two-copies"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("values.first", "1", "first", "left", "Take the value on the left", True),
        Act("values.second", "2", "second", "right", "Take the value on the right", True),
        Act("values.later", "3", "later", "later", "Decide later: the value on the right stands until then", True),
        Act("values.done", "f", "settled", "finished", "It was looked at; it leaves the list", True),
    )

    def __init__(
        self,
        session: Session,
        record: Unit | Shop,
        look: ToLookAt,
        *,
        answer: Callable[[bool | None], None],
        apart: Callable[[bool, str], None] | None = None,
        sides: tuple[str, str] = ("", ""),
        count: str = "",
    ) -> None:
        """Make the screen.

        Args:
            session: the open book.
            record: the unit or the shop, as it was or would be joined.
            look: what is asked.
            answer: told after this screen has gone: True for the first side, False for the second, None for neither.
            apart: puts the pieces of the first side (True) or of the second into another bag; None where none is
                in doubt. Raises InputError when that bag cannot be.
            sides: what stands before each side's name: “here”, “the other copy”.
            count: which question it is of how many; empty when it is the only one.
        """
        super().__init__(session)
        self._record = record
        self._look = look
        self._answer = answer
        self._apart = apart
        self._sides = sides
        self._first_moves = False
        """Whose pieces go into another bag, while its number is asked for."""
        self._count = count

    def place(self) -> str:
        """What is asked."""
        what = f"question {self._count}" if self._count else "to look at"
        return f"Bench / joining / {what}"

    def compose_body(self) -> ComposeResult:
        """The question, and both values."""
        yield Static("", id="question", classes="question")
        yield titled_entries("values", "What each side says")
        yield Ask()

    def first_focus(self) -> str:
        """The values, so that arrows scroll them."""
        return "#values"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002 - as Textual asks
        """Only what answers this question."""
        asks, is_bag = self._look.asks, bool(self._look.bag)
        one_of_two = asks or is_bag
        answers = {"first": one_of_two, "second": one_of_two, "later": asks and bool(self._count), "settled": not asks}
        return answers.get(action, True)

    def show_record(self) -> None:
        """Both values side by side."""
        self.query_one("#question", Static).update(plain(self._question(), limit=300))
        said = flow(typed(self._with_sides(self._look.what), "muted", limit=LONGEST), columns_alone(self.columns))
        rows = [heading("what", *said, BLANK)]
        if self._look.bag:
            rows.append(entry("both", self._two_bags()))
        if self._look.asks:
            rows.append(entry("both", self._side_by_side()))
        self.query_one(Rows).show(rows)

    def _with_sides(self, said: str) -> str:
        """A sentence that names both sides, with which is here and which the other copy."""
        first, second = self._sides
        return with_sides(said, (self._look.first_by, first), (self._look.second_by, second))

    def _question(self) -> str:
        if self._look.bag:
            return "One bag or two? f: one, all in it belongs together. 1 or 2: that side's gets another number."
        if not self._look.asks:
            return "Look at this, then f takes it off the list."
        later = "; 3 later: the right one stands until then." if self._count else ". The right one stands now."
        return f"Which one holds? 1 left, 2 right{later}"

    def _side_by_side(self) -> list[Line]:
        look = self._look
        try:
            values = values_of(self._record, look)
        except LogbookError as error:
            return wrap(str(error), columns_alone(self.columns))
        return self._beside_each_other(values.first, values.second)

    def _two_bags(self) -> list[Line]:
        """The steps whose pieces each side put into the bag."""
        steps = self._record.steps if isinstance(self._record, Unit) else ()
        named = {step.code: f"{step.code} {step.what}" for step in steps}
        look = self._look
        return self._beside_each_other(
            *(", ".join(named.get(code, code) for code in codes) for codes in (look.first_steps, look.second_steps))
        )

    def _beside_each_other(self, first: str, second: str) -> list[Line]:
        """What each side says, under who wrote it, with a line between the two."""
        half = (columns_alone(self.columns) - GAP) // 2
        # as short as a column is narrow
        first_side, second_side = (side.removeprefix("the ") for side in self._sides)
        left = _side("1", first_side, self._look.first_by, first, half)
        right = _side("2", second_side, self._look.second_by, second, half)
        between = [(Span(glyphs_now().upright, "rule"),)] * max(len(left), len(right))
        return beside(left, beside(between, right, 1, gap=1), half, gap=1)

    def action_first(self) -> None:
        """The left value holds."""
        self._one_side(first=True)

    def action_second(self) -> None:
        """The right value holds."""
        self._one_side(first=False)

    def action_later(self) -> None:
        """Nothing is chosen yet."""
        self._answered(None)

    def action_settled(self) -> None:
        """It was looked at."""
        self._answered(None)

    def action_health(self) -> None:
        """This question is asked first."""
        self.say("Answer this first, or leave it with Esc.")

    def _one_side(self, *, first: bool) -> None:
        """The value of a side holds; of a bag that may be two, the pieces of that side get another one."""
        if not self._look.bag or not isinstance(self._record, Unit):
            self._answered(first)
            return
        self._first_moves = first
        codes = self._look.first_steps if first else self._look.second_steps
        hint = "The number that you write on it. It was free when this was asked."
        self.query_one(Ask).ask("bag", f"Bag for {', '.join(codes)}", free_bag(self._record), hint)

    @on(Ask.Answered)
    def _bag_named(self, event: Ask.Answered) -> None:
        if self._apart is None:
            self.query_one(Ask).close()
            return
        try:
            self._apart(self._first_moves, event.text.strip())
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        self.app.pop_screen()

    @on(Ask.Left)
    def _no_bag(self) -> None:
        self.query_one(Rows).focus()

    def _answered(self, first: bool | None) -> None:
        self.app.pop_screen()
        self._answer(first)


def _side(digit: str, side: str, by: str, said: str, columns: int) -> list[Line]:
    """One of the two: the digit that takes it, whose it is, and what it says."""
    whose = f"{side}{': ' if side else ''}{by}"
    head = hanging(line(Span(digit, "bold accent"), "  "), clean(whose, limit=80), columns, "head")
    return [
        *head,
        BLANK,
        *flow(typed(said or "nothing", "bold" if said else "muted", limit=LONGEST), columns),
    ]
