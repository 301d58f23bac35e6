"""What another thickness of a sheet changes, before it is kept: every figure as it is and as it would be."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from logbook.casework import FigureChange, MeasuredSheet, WorkedCase, changes, with_thickness, worked_case
from logbook.model.measures import Length
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.look.inks import Line, typed
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.entries import ListEntry, entry, heading, titled_entries
from logbook.tui.widgets.list_beside import columns_alone
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

COLUMNS = (Column("figure", least=14), Column("as it is", least=16), Column("as it would be", least=16))


class ThicknessScreen(BookScreen):
    """Before and after, figure by figure. Enter keeps the new thickness, Escape leaves everything as it is."""

    TOPIC = "case"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("thickness.keep", "enter", "keep", "keep it", "Write the new thickness down; all sizes follow", True),
        Act("back", "escape", "back", "cancel", "Leave everything as it is", True),
    )

    def __init__(
        self, session: Session, code: str, sheet: MeasuredSheet, thickness: Length, codes: tuple[str, ...] = ()
    ) -> None:
        """Make the page. Raises InputError when the change cannot be made."""
        super().__init__(session)
        self.CODE = code
        self._edit = partial(with_thickness, sheet=sheet, thickness=thickness, codes=codes)
        self._edit(session.unit(code))
        where = f" in {', '.join(codes)}" if codes else ""
        self._what = f"{sheet.material} {sheet.thickness.in_mm()} becomes {thickness.in_mm()}{where}"

    def place(self) -> str:
        """The unit and what is looked at."""
        return f"{self.CODE} {self.session.unit(self.CODE).name} / case / what if"

    def compose_body(self) -> ComposeResult:
        """The answer and the figures."""
        yield Static("", id="question", classes="question")
        yield titled_entries("changes", "What changes")

    def first_focus(self) -> str:
        """The figures."""
        return "#changes"

    def show_record(self) -> None:
        """Both cases computed from the record as it is."""
        settings, unit = self.session.shop.settings, self.session.unit(self.CODE)
        before, after = worked_case(unit, settings), worked_case(self._edit(unit), settings)
        if before is None or after is None:
            return
        found = changes(before, after)
        self.query_one("#question", Static).update(plain(f"{self._what}: {what_if_answer(found, after)}", limit=400))
        self.query_one("#changes", Rows).show(change_entries(found, columns_alone(self.columns)))

    def on_rows_chosen(self) -> None:
        """Enter keeps it."""
        self.action_keep()

    def action_keep(self) -> None:
        """Write it down and go back."""
        if self.tried(self._what, partial(self.session.apply, self.CODE, self._what, self._edit)):
            said = self._what
            self.app.pop_screen()
            if isinstance(self.app.screen, BookScreen):
                self.app.screen.say(f"{said}; z takes it back.", "good")


def what_if_answer(found: tuple[FigureChange, ...], after: WorkedCase) -> str:
    """What it comes to, in a sentence."""
    if not found:
        return "nothing changes."
    lost = [f"{h.code} {h.given}" for h in after.not_held]
    wrong = [c.place for c in after.wrong]
    just = [c.place for c in after.consequences if c.holds and c.borderline]
    words = f"{len(found)} figures change. "
    words += f"LOST: {', '.join(lost)}. " if lost else "Everything held still holds. "
    words += f"WRONG then: {', '.join(dict.fromkeys(wrong))}." if wrong else "Nothing goes wrong."
    return words + (f" Nothing to spare: {', '.join(just)}." if just else "")


def change_entries(found: tuple[FigureChange, ...], columns: int) -> list[ListEntry]:
    """Each figure as it is and as it would be, in a table; nothing of them is cut."""
    cells = [_cells(change) for change in found]
    table = WrappingTable(COLUMNS, cells, columns)
    entries = [entry(str(number), table.lines(of)) for number, of in enumerate(cells)]
    return [heading("head changes", table.head), *entries] if entries else []


def _cells(change: FigureChange) -> list[Line]:
    """The figure, before and after; what would go wrong or has nothing to spare is in its ink and says so."""
    is_bad = "WRONG" in change.after or "NOT HELD" in change.after
    ink = "bold bad" if is_bad else "wait" if change.after.endswith(" just") else "bold"
    return [
        typed(f"{change.place} {change.what}", "head", limit=100),
        typed(change.before, limit=300),
        typed(change.after, ink, limit=300),
    ]
