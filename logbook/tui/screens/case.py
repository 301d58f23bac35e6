"""The case to be built: what is held, the panels that follow from it, and whether everything goes together."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.casework import WorkedCase, cut_list, taken_over, worked_case
from logbook.errors import LogbookError
from logbook.model.edits import UnitEdit
from logbook.model.paths import Path, put_at, removed_at, words_of
from logbook.render.casework import case_answer, cut_facts, sizes_words
from logbook.render.plain import clean
from logbook.tui.actions import Act
from logbook.tui.layout_door import TO_THE_LAYOUT, open_layout
from logbook.tui.opening import add_to, open_path
from logbook.tui.plain import plain
from logbook.tui.screens.case_rows import HELD, PLAN, CaseLine, case_lines, typed_thickness
from logbook.tui.screens.page import PageScreen
from logbook.tui.screens.thickness import ThicknessScreen
from logbook.tui.sections import UNIT_ACTS, SectionScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Row, Rows


class CaseScreen(SectionScreen):
    """Section 6 of a unit."""

    SECTION = "case"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("case.open", "enter", "open", "all fields", "Every field of what is under the cursor", True),
        Act("case.add", "a", "add", "add", "Add one to the list under the cursor: held, panel, strip, inside", True),
        Act("case.same", "equals_sign", "same", "same again", "Add one like it; only what differs is typed"),
        Act("case.what_if", "i", "what_if", "what if", "What another thickness of this sheet would change", True),
        Act("case.cuts", "C", "cuts", "cut list", "Every part with its sizes, joints, marks and source", True),
        TO_THE_LAYOUT,
        Act("case.why", "w", "why", "why", "Where the figure under the cursor comes from", True),
        Act("case.computed", "t", "computed", "take computed", "Set written sizes that differ to the computed ones"),
        Act("case.out", "x", "take_out", "take out", "Take it out of the record (undo brings it back)"),
        *UNIT_ACTS,
    )

    def compose_section(self) -> ComposeResult:
        """The answer, the lines, the line to type in."""
        yield Static("", id="question", classes="question")
        yield Rows(id="lines")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The lines."""
        return "#lines"

    def worked(self) -> WorkedCase | None:
        """The case as it follows from the record now."""
        return worked_case(self.unit, self.session.shop.settings)

    def show_record(self) -> None:
        """Everything computed anew from the record as it is."""
        worked = self.worked()
        self._lines = {line.key: line for line in case_lines(self.unit, worked, self.room)}
        self.query_one("#question", Static).update(plain(case_answer(worked), limit=300))
        rows = [Row(x.key, (clean(x.text),), x.tone or "head" * x.head, not x.head) for x in self._lines.values()]
        self.query_one("#lines", Rows).show(rows)

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a held dimension or a panel."""
        self.query_one("#lines", Rows).go_to(f"{'held' if kind == 'held dimension' else kind} {code}")

    def current_line(self) -> CaseLine | None:
        """The line under the cursor."""
        return self.query_one("#lines", Rows).current_of(self._lines)

    @on(Rows.Chosen, "#lines")
    def action_open(self) -> None:
        """Open the record behind the line; an empty list is begun, a line without a record says why."""
        line = self.current_line()
        if line is None:
            return
        if line.path is None:
            self.action_why() if line.why else self.action_add()
        else:
            open_path(self, self.CODE, line.path)

    def action_add(self) -> None:
        """Add to the list that the cursor is in; held dimensions are the unit's own, the rest is the case's."""
        line = self.current_line()
        into = line.into if line is not None and line.into else HELD
        add_to(self, self.CODE, into)

    def action_same(self) -> None:
        """Add one like what is under the cursor; only what differs is typed."""
        line = self.current_line()
        if line is None or line.path is None or not line.into:
            self.say("Put the cursor on a panel, a strip, a size or a thing inside; the new one is like it.")
        else:
            add_to(self, self.CODE, line.into, like=line.path)

    def show_new(self, path: Path) -> None:
        """The cursor goes to what was just written down."""
        key = next((line.key for line in self._lines.values() if line.path == path), None)
        if key is not None:
            self.query_one("#lines", Rows).go_to(key)

    def action_take_out(self) -> None:
        """Take what is under the cursor out of the record."""
        line = self.current_line()
        if line is None or line.path is None or line.key.startswith(("follows", "moves")):
            self.say("Only what was written down can be taken out: a held dimension, a panel, a strip.")
        elif line.path == PLAN:
            self._take_out_plan()
        else:
            path: Path = line.path
            self._apply(f"taken out of the case: {words_of(path[-1:])}", lambda u: removed_at(u, path))

    def _take_out_plan(self) -> None:
        if self.unit.case is not None and self.unit.case.plan is not None:
            self._apply("plan of the case taken out", lambda u: put_at(u, PLAN, None))

    def action_computed(self) -> None:
        """Written sizes become the computed ones."""
        self._apply("computed sizes taken over", taken_over)

    def action_why(self) -> None:
        """A page that says where the figure comes from."""
        line = self.current_line()
        if line is not None:
            why = line.why or ("It stands in the record as it was typed.",)
            self.app.push_screen(PageScreen(self.session, self.CODE, "case / why", line.text.strip(), lambda: why))

    def action_layout(self) -> None:
        """Its parts on the scrap pile."""
        open_layout(self, self.CODE)

    def action_cuts(self) -> None:
        """The cut list as a page."""
        self.app.push_screen(PageScreen(self.session, self.CODE, "case / cut list", CUTS, self._cut_words))

    def _cut_words(self) -> list[str]:
        worked = self.worked()
        if worked is None:
            return ["There is nothing to cut yet."]
        words = []
        for line in cut_list(self.unit, self.session.shop, worked):
            words += [f"# {line.code}  {line.quantity} x {line.name}", sizes_words(line), *cut_facts(line)]
        return words

    def action_what_if(self) -> None:
        """Ask for another thickness of the sheet under the cursor."""
        line = self.current_line()
        sheet = line.sheet if line is not None else None
        if sheet is None:
            self.say("Put the cursor on a panel or on a sheet, then i asks for another thickness.")
            return
        self._sheet = sheet
        label = f"{sheet.material} {sheet.thickness.in_mm()} becomes"
        help_ = f"As measured now, like 12.2. In {', '.join(sheet.codes)}; only some of them: 12.2 {sheet.codes[-1]}"
        self.query_one(Ask).ask("thickness", label, self.session.draft(self._draft), help_)

    @property
    def _draft(self) -> str:
        return f"{self.CODE}/case/thickness"

    @on(Ask.Left)
    def _left(self, event: Ask.Left) -> None:
        self.session.keep_draft(self._draft, event.text)
        self.query_one("#lines", Rows).focus()

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        try:
            thickness, codes = typed_thickness(event.text, self._sheet)
            screen = ThicknessScreen(self.session, self.CODE, self._sheet, thickness, codes)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        self.session.keep_draft(self._draft, "")
        self.query_one(Ask).close()
        self.query_one("#lines", Rows).focus()
        self.app.push_screen(screen)

    def _apply(self, what: str, edit: UnitEdit) -> bool:
        return self.tried(what, partial(self.session.apply, self.CODE, what, edit))


CUTS = "Cut in groups, not all at once: measure the assembly and correct the next group."
