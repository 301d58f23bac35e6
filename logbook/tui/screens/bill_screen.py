"""The whole bill of a unit: where each thing comes from, whether it is here, and what is used up of the shelf."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import BillGroup, BillLine, bill_of_materials, own_material
from logbook.costing.amounts import plain_number
from logbook.costing.from_the_jar import with_taken_from_the_jar
from logbook.costing.measured import Measured, measured, with_usual
from logbook.costing.stock import with_used
from logbook.errors import LogbookError
from logbook.model.fields import FieldKind
from logbook.model.typed_values import parsed
from logbook.model.usual_consumption import UsualUse, usual_consumption
from logbook.model.words import Source
from logbook.render.bill_document import bill_question
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.opening import open_path
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.bill_rows import bill_entries, bill_line_in_full, bill_why, lines_by_key, record_behind
from logbook.tui.screens.choose_screen import ChooseScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.rows import Row, Rows


class BillScreen(BookScreen):
    """The bill of materials, group by group."""

    TOPIC = "costs"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("bill.open", "enter", "open", "open", "Open the record behind the line", True),
        Act("bill.add", "a", "add", "add", "Add what glue, finish or abrasive usually take, from the list", True),
        Act("bill.used", "u", "used", "used up", "It is used up, or out of the jar: it goes off the shelf", True),
        Act("bill.buy", "m", "to_buy", "to buy", "What is still to get for this unit", True),
        Act("bill.why", "w", "why", "why", "How the line was computed", True),
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._lines: dict[str, BillLine] = {}
        self._usual: UsualUse | None = None
        self._measured: Measured | None = None

    def place(self) -> str:
        """The unit and that this is its bill."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / bill"

    def compose_body(self) -> ComposeResult:
        """The sentence, the lines, and the line to type an amount in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("bill", "What it takes", self._in_full)
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The lines."""
        return "#bill"

    def show_record(self) -> None:
        """The bill as it is now."""
        today = self.session.today
        unit, shop = self.session.unit(self.CODE), self.session.shop_for(self.CODE)
        bill = bill_of_materials(unit, shop, today)
        self._lines = lines_by_key(bill)
        own = own_material(unit, shop)
        entries = bill_entries(bill, own, list_columns(self.columns), beside=self.columns >= WIDE)
        question = bill_question(bill) + ("" if entries else " Press a to add glue, finish, abrasive and the like.")
        self.query_one("#question", Static).update(plain(question, limit=300))
        self.query_one(ListBeside).show(entries)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The line under the cursor, and how it was computed."""
        of = self.current()
        return [BLANK] if of is None else bill_line_in_full(of, columns)

    def current(self) -> BillLine | None:
        """The line under the cursor."""
        return self.query_one("#bill", Rows).current_of(self._lines)

    @on(Rows.Chosen, "#bill")
    def action_open(self) -> None:
        """Open the record behind the line."""
        line = self.current()
        path = record_behind(self.session.unit(self.CODE), line) if line is not None else None
        if path is not None:
            open_path(self, self.CODE, path)
        else:
            self.action_why()

    def action_why(self) -> None:
        """How the line was computed."""
        if (line := self.current()) is not None:
            why = bill_why(line)
            self.app.push_screen(PageScreen(self.session, self.CODE, "bill / why", line.name, lambda: why))

    def action_to_buy(self) -> None:
        """What is still to get for this unit."""
        self.logbook.open("to_buy", self.CODE)

    def action_used(self) -> None:
        """The consumable under the cursor is used up, or its new fasteners are taken out of the jar."""
        line, on = self.current(), self.session.today
        codes = [u.code for u in self.session.unit(self.CODE).consumables]
        if line is not None and line.code in codes:
            what = f"{line.name}: used up"
            edit = partial(with_used, code=line.code, on=on)
        elif line is not None and line.group is BillGroup.FASTENER and line.source is Source.SHELF and not line.code:
            what = f"{plain_number(line.quantity or 0)} {line.name}: taken from the jar"
            edit = partial(with_taken_from_the_jar, kind=line.name, on=on)
        else:
            self.say("Put the cursor on a consumable or on fasteners from a jar: they go off the shelf.")
            return
        self.tried(what, partial(self.session.apply_together, self.CODE, what, edit))

    def action_add(self) -> None:
        """Choose from the usual consumption."""
        try:
            usual = usual_consumption().usual
        except LogbookError as error:
            self.say(str(error), "error")
            return
        rows = [Row(u.name, usual_lines(u)) for u in usual]
        question = "What is it for? These are start values; the label on the tin and a test piece win."
        self.app.push_screen(ChooseScreen(self.session, self.CODE, question, rows, take=self._chosen))

    def _chosen(self, name: str) -> None:
        self._usual = usual = next(u for u in usual_consumption().usual if u.name == name)
        unit = self.session.unit(self.CODE)
        self._measured = found = measured(unit, usual.measure) if usual.measure is not None else None
        hint = f"In {usual.per or 'pieces'}: {found.words}." if found else f"In {usual.per or 'pieces'}. {usual.note}"
        value = plain_number(found.amount, 5) if found else ""
        self.call_after_refresh(self.query_one(Ask).ask, "amount", "How much?", value, hint)

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        usual, found = self._usual, self._measured
        if usual is None:
            self._to_list()
            return
        try:
            amount = parsed(FieldKind.NUMBER, "amount", event.text)
            same = found is not None and found.amount == amount
            what = found.words if same and found is not None else usual.name
            edit = partial(
                with_usual, usual=usual, amount=amount, what=what, pieces=found.pieces if same and found else 0
            )
            edit(self.session.unit(self.CODE))
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        said = f"{usual.consumable}: {usual.name}"
        if self.tried(said, partial(self.session.apply, self.CODE, said, edit)):
            self._to_list()

    @on(Ask.Left)
    def _to_list(self) -> None:
        self.query_one(Ask).close()
        self.query_one("#bill", Rows).focus()


def usual_lines(usual: UsualUse) -> tuple[str, str]:
    """An entry of the list: what for and how much, and below it where the number comes from."""
    if usual.rate is not None:
        takes = f"{plain_number(usual.rate)} {usual.unit} for 1 {usual.per}".replace("  ", " ")
    else:
        takes = f"{plain_number(usual.coverage or 0)} {usual.per} for 1 {usual.unit or 'piece'}"
    coats = f" x {usual.times}" if usual.times != 1 else ""
    if usual.mixed_with:
        takes += f" of the mix {plain_number(usual.parts or 0)} : "
        takes += " : ".join(f"{plain_number(m.parts)} {m.consumable}" for m in usual.mixed_with)
    waste = f", + {plain_number(usual.waste_percent)} %" if usual.waste_percent else ""
    return f"{usual.name}: {takes}{coats}{waste}", f"    {usual.range or 'start value'}; {usual.source}"
