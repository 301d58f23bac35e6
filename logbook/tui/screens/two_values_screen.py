"""Something that joining left to a person: two values side by side to choose from, or a thing to look at."""

from __future__ import annotations

from collections.abc import Callable
from itertools import zip_longest
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import LogbookError
from logbook.joining import values_of
from logbook.model.apart import ToLookAt
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.render.plain import clean, fitted, wrapped
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.rows import Row, Rows

BETWEEN = " | "
LONGEST = 4000


class TwoValuesScreen(BookScreen):
    """One question at a time: what each side says, and a digit for each."""

    TOPIC = "two-copies"
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
        count: str = "",
    ) -> None:
        """Make the screen.

        Args:
            session: the open book.
            record: the unit or the shop, as it was or would be joined.
            look: what is asked.
            answer: told after this screen has gone: True for the first side, False for the second, None for neither.
            count: which question it is of how many; empty when it is the only one.
        """
        super().__init__(session)
        self._record = record
        self._look = look
        self._answer = answer
        self._count = count

    def place(self) -> str:
        """What is asked."""
        what = f"question {self._count}" if self._count else "to look at"
        return f"Bench / joining / {what}"

    def compose_body(self) -> ComposeResult:
        """The question, and both values."""
        yield Static("", id="question", classes="question")
        yield Rows(id="values")

    def first_focus(self) -> str:
        """The values, so that arrows scroll them."""
        return "#values"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002 - as Textual asks
        """Only what answers this question."""
        asks = self._look.asks
        answers = {"first": asks, "second": asks, "later": asks and bool(self._count), "settled": not asks}
        return answers.get(action, True)

    def show_record(self) -> None:
        """Both values side by side."""
        self.query_one("#question", Static).update(plain(self._question(), limit=300))
        lines = wrapped(clean(self._look.what, limit=LONGEST), self.room)
        rows = [Row("what", tuple(lines), "text", selectable=False)]
        if self._look.asks:
            rows += [Row("none", ("",), "text", selectable=False), Row("both", tuple(self._side_by_side()), "text")]
        self.query_one(Rows).show(rows)

    def _question(self) -> str:
        if not self._look.asks:
            return "Look at this, then f takes it off the list."
        later = "; 3 later: the right one stands until then." if self._count else ". The right one stands now."
        return f"Which one holds? 1 left, 2 right{later}"

    def _side_by_side(self) -> list[str]:
        look = self._look
        try:
            values = values_of(self._record, look)
        except LogbookError as error:
            return wrapped(str(error), self.room)
        half = (self.room - len(BETWEEN)) // 2
        sides = [
            [fitted(f"{digit}  {clean(by, limit=80)}", half), *wrapped(clean(words, limit=LONGEST), half)]
            for digit, by, words in ((1, look.first_by, values.first), (2, look.second_by, values.second))
        ]
        return [f"{left:<{half}}{BETWEEN}{right}" for left, right in zip_longest(*sides, fillvalue="")]

    def action_first(self) -> None:
        """The left value holds."""
        self._answered(True)

    def action_second(self) -> None:
        """The right value holds."""
        self._answered(False)

    def action_later(self) -> None:
        """Nothing is chosen yet."""
        self._answered(None)

    def action_settled(self) -> None:
        """It was looked at."""
        self._answered(None)

    def _answered(self, first: bool | None) -> None:
        self.app.pop_screen()
        self._answer(first)
