"""Paid and taken: what each line really cost and each operation took, against the estimate, and what that suggests."""

from __future__ import annotations

from functools import partial
from typing import ClassVar, NamedTuple

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import Suggestion, actuals, corrections, suggestions
from logbook.errors import InputError
from logbook.model.measures import hours_and_minutes, parse_minutes, parse_money
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.model.unit_edits import with_effort, with_paid, with_taken
from logbook.render.money import estimate_words, figure, money
from logbook.render.plain import clean
from logbook.render.weighing import SUGGESTION, effort_words, suggestion_words
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.asking import AskingScreen
from logbook.tui.look.inks import BLANK, Line, Span, group, line
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.opening import open_path
from logbook.tui.plain_content import plain
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.sections import UNIT_ACTS
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.list_beside import ListBeside, list_columns, paragraphs_in_full
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

COLUMNS = (
    Column("", least=30),
    Column("estimate", right=True),
    Column("really", right=True),
    Column("", least=16, below=True),
)
"""Of both tables: what, low / likely / high, what it took or cost, and what that says."""


class TakenLine(NamedTuple):
    """One line that costs money, or one operation."""

    key: str
    path: Path
    name: str
    work: bool
    estimate: str
    really: str = ""
    """What it took or cost; empty as long as nobody said."""
    says: str = ""
    """What that says of the estimate, or what past times say of it."""
    suggestion: Suggestion | None = None

    @property
    def cells(self) -> list[Line]:
        """What, estimate, real figure and what it says."""
        ink = "muted" if self.really else ""
        said = (self.name, ink), (self.estimate, ink), (self.really, "bold"), (self.says, _ink_of(self))
        return [line(Span(clean(words, limit=200), each)) for words, each in said]


def _ink_of(taken: TakenLine) -> str:
    return "good" if taken.suggestion is not None else "muted"


class TakenScreen(AskingScreen):
    """What was paid and taken on one unit."""

    TOPIC = "costs"
    SECTION = "costs"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("taken.type", "enter", "type", "paid / took", "Write down what was paid, or how long it took", True),
        Act("taken.use", "u", "use", "use it", "Take the suggested time over as the estimate", True),
        Act("taken.fields", "E", "fields", "all fields", "Every field of the line under the cursor", True),
        Act("taken.why", "w", "why", "why", "What the suggestion rests on", True),
        *UNIT_ACTS,
    )

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._lines: dict[str, TakenLine] = {}

    def place(self) -> str:
        """The unit and what is shown."""
        return f"{self.CODE} {self.unit.name} / costs / paid and taken"

    def compose_section(self) -> ComposeResult:
        """The answer, the lines, the line to type in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("lines", "Estimate, and what it was", self._in_full, pane_title="Why")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The lines."""
        return "#lines"

    def focus_list(self) -> None:
        """Back to the lines."""
        self.query_one("#lines", Rows).focus()

    def show_record(self) -> None:
        """Every operation and every line that costs money, with what is known of both."""
        unit = self.unit
        offered = {s.code: s for s in suggestions(unit, corrections(readable_units(self.session)))}
        work, cash = operation_lines(unit, offered), paid_lines(unit)
        self._lines = {x.key: x for x in (*work, *cash)}
        entries: list[ListEntry] = []
        for head, lines in (("Time", work), ("Money", cash)):
            if lines:
                table = WrappingTable(COLUMNS, [x.cells for x in lines], list_columns(self.columns))
                entries.append(heading(f"head {head}", group(head), table.head))
                entries += [entry(x.key, table.lines(x.cells)) for x in lines]
        self.query_one("#question", Static).update(plain(taken_question(unit, len(offered)), limit=300))
        self.query_one(ListBeside).show(entries)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What the suggestion under the cursor rests on."""
        of = self.current_line()
        return [BLANK] if of is None else paragraphs_in_full(of.name, why_of_taken(of), columns)

    def current_line(self) -> TakenLine | None:
        """The line under the cursor."""
        return self.query_one("#lines", Rows).current_of(self._lines)

    @on(Rows.Chosen, "#lines")
    def action_type(self) -> None:
        """Ask what it took or cost."""
        line = self.current_line()
        if line is None:
            return
        how = "It is done then; “35 so far” when it goes on." if line.work else "Empty: it was not paid after all."
        label = "took, minutes" if line.work else "paid"
        self.ask(f"taken {line.key}", label, "", f"{line.name}. {how}", partial(self._typed, line))

    def _typed(self, line: TakenLine, text: str) -> None:
        code = str(line.path[1])
        if not line.work:
            amount = parse_money(text) if text.strip() else None
            if amount is not None and amount < 0:
                raise InputError("What was paid is an amount from 0 up.")
            what = f"{line.name}: paid {money(amount)}" if amount is not None else f"{line.name}: not paid"
            day = self.session.today if amount is not None else None
            self.kept(what, partial(with_paid, path=line.path, amount=amount, on=day))
            return
        words = text.strip()
        so_far = words.endswith("so far")
        minutes = parse_minutes(words.removesuffix("so far"))
        what = f"{line.name}: took {hours_and_minutes(minutes)}" + " so far" * so_far
        self.kept(what, partial(with_taken, code=code, minutes=minutes, at=self.session.now, done=not so_far))

    def action_use(self) -> None:
        """Take the suggestion over."""
        line = self.current_line()
        if line is None or line.suggestion is None:
            self.say("There is no suggestion here: no work of this kind was done and timed before.")
            return
        made = line.suggestion
        what = f"{line.name}: estimate {effort_words(made.suggested)}, from past times"
        self.tried(
            f"{what}.",
            partial(self.session.apply, self.CODE, what, partial(with_effort, code=made.code, effort=made.suggested)),
        )

    def action_fields(self) -> None:
        """Every field of the record."""
        if (line := self.current_line()) is not None:
            open_path(self, self.CODE, line.path)

    def action_why(self) -> None:
        """What the suggestion rests on."""
        line = self.current_line()
        if line is None:
            return
        why = why_of_taken(line)
        self.app.push_screen(PageScreen(self.session, self.CODE, "costs / why", line.name, lambda: why))


def readable_units(session: Session) -> list[Unit]:
    """Every unit that can be worked out; what cannot is told in the health of the book."""
    return list(session.book().units.values())


def taken_question(unit: Unit, offered: int) -> str:
    """How far estimates held, in a sentence."""
    found = actuals(unit)
    words = []
    if found.ratio is not None:
        words.append(f"What is done took {figure(found.ratio, 2)} times its expected time.")
    if found.paid:
        words.append(f"{money(found.paid_sum)} paid where {money(found.likely_of_paid)} was likely.")
    if offered:
        words.append(f"Past times suggest something for {offered} operation{'' if offered == 1 else 's'} (u uses it).")
    return " ".join(words) or "Nothing was paid or taken yet. Enter writes down what it cost or how long it took."


def why_of_taken(of: TakenLine) -> tuple[str, ...]:
    """What the suggestion for a line rests on, or what becomes of what was paid."""
    if not of.work:
        return ("What is paid is spent: it is in no figure of what is to come.",)
    if of.suggestion is None:
        return ("No work of this kind was done and timed before.", SUGGESTION)
    return (suggestion_words(of.suggestion), SUGGESTION)


def operation_lines(unit: Unit, offered: dict[str, Suggestion]) -> list[TakenLine]:
    """The operations."""
    ratios = {x.code: x for x in actuals(unit).taken}
    lines = []
    for o in unit.operations:
        found, made = ratios.get(o.code), offered.get(o.code)
        really = says = ""
        if found is not None:
            really = hours_and_minutes(found.taken)
            times = f"× {figure(found.ratio, 2)}, " if found.ratio is not None else ""
            says = f"{times}{found.verdict}"
        elif made is not None:
            says = f"past times say × {made.correction.factor:.2f}: {hours_and_minutes(made.suggested.likely)}"
        key, path, name = f"work {o.code}", ("operations", o.code), f"{o.code} {o.name}"
        lines.append(
            TakenLine(
                key, path, name, work=True, estimate=effort_words(o.effort), really=really, says=says, suggestion=made
            )
        )
    return lines


def paid_lines(unit: Unit) -> list[TakenLine]:
    """The lines that cost money."""
    priced = [
        *((("consumables", c.code), c.consumable, c.price, c.paid) for c in unit.consumables),
        *((("parts", p.code), p.name, p.price, p.paid) for p in unit.parts),
        *((("cost_lines", c.code), c.name, c.price, c.paid) for c in unit.cost_lines),
    ]
    verdicts = {(x.code, x.name): x.verdict for x in actuals(unit).paid}
    lines = []
    for path, name, price, paid in priced:
        really = "" if paid is None else money(paid)
        says = "" if paid is None else verdicts[path[1], name]
        lines.append(
            TakenLine(" ".join(path), path, name, work=False, estimate=estimate_words(price), really=really, says=says)
        )
    return lines
