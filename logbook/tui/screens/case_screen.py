"""The case to be built: what is held, the panels that follow from it, and whether everything goes together."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical

from logbook.casework import WorkedCase, cut_list, taken_over, worked_case
from logbook.errors import LogbookError
from logbook.model.edits import UnitEdit
from logbook.model.paths import Path, put_at, removed_at, words_of
from logbook.render.case_document import case_answer, cut_facts, sizes_words
from logbook.render.plain import clean
from logbook.tui.actions import Act
from logbook.tui.case_drawing import Arranged, arranged_views, case_views, drawn_views
from logbook.tui.layout_door import TO_THE_LAYOUT, open_layout
from logbook.tui.look.inks import BLANK, Line, Span, flow, hanging, line, signal
from logbook.tui.opening import add_to, open_path
from logbook.tui.screens.case_rows import (
    FITTINGS,
    HELD,
    PANELS,
    PLAN,
    STACKS,
    STRIPS,
    CaseLine,
    case_lines,
    typed_thickness,
)
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.screens.thickness_screen import ThicknessScreen
from logbook.tui.sections import UNIT_ACTS, SectionScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, entry
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

ADDS = {
    HELD[-1:]: "add held size",
    PANELS[-1:]: "add panel",
    STRIPS[-1:]: "add strip",
    FITTINGS[-1:]: "add inside",
    STACKS[-1:]: "add through",
}
"""What `a` is called in the key line, by the list that it adds to."""


class CaseScreen(SectionScreen):
    """Section 6 of a unit."""

    TOPIC = "case"
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

    _arranged: Arranged | None = None
    _arranged_for = (0, 0)
    """Columns and rows that the views are arranged for."""
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    CaseScreen #question { max-height: 4; }
    CaseScreen #body { height: 1fr; layout: vertical; }
    CaseScreen #seen { height: auto; max-height: 70%; }
    CaseScreen #drawing { height: auto; }
    CaseScreen #why { display: none; }
    CaseScreen.-wide #body, CaseScreen.-broad #body { layout: horizontal; }
    CaseScreen.-wide #seen, CaseScreen.-broad #seen { height: 1fr; max-height: 100%; }
    CaseScreen.-wide #drawing, CaseScreen.-broad #drawing { height: 1fr; }
    CaseScreen.-wide #why, CaseScreen.-broad #why { display: block; height: 8; }
    CaseScreen.-wide #lines { width: 56; }
    CaseScreen.-broad #lines { width: 84; }
    CaseScreen #seen.-nothing #drawing { display: none; }
    CaseScreen.-wide #seen.-nothing #why, CaseScreen.-broad #seen.-nothing #why { height: 1fr; }
    """

    def compose_section(self) -> ComposeResult:
        """The answer, the drawing, where the figure under the cursor comes from, the entries, the line to type in."""
        yield Pane(self._answer, id="question", classes="-bare")
        with Horizontal(id="body"):
            with Vertical(id="seen"):
                yield Pane(self._drawing, id="drawing", title="To scale")
                yield Pane(self._why, id="why", title="Why")
            yield Entries(id="lines")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The lines."""
        return "#lines"

    def worked(self) -> WorkedCase | None:
        """The case as it follows from the record now."""
        return worked_case(self.unit, self.session.shop.settings)

    def show_record(self) -> None:
        """Everything computed anew from the record as it is."""
        self._worked = self.worked()
        self._views = case_views(self.unit, self._worked)
        self._arranged_for = (0, 0)
        self._lines = {found.key: found for found in case_lines(self.unit, self._worked, self._list_columns)}
        lines = self.query_one("#lines", Entries)
        lines.border_title = "The case"
        entries = [entry(found.key, found.lines, selectable=not found.head) for found in self._lines.values()]
        lines.show(entries, beside=True)
        small = self.columns < WIDE and not self._drawing(self.columns - 3, 0)
        self.query_one("#seen").set_class(small or not self._views, "-nothing")
        _, change = self._outside()
        self.query_one("#drawing", Pane).entitle(f"To scale; {change} case" if change else "To scale")
        for pane in self.query(Pane):
            pane.update()

    @property
    def _list_columns(self) -> int:
        """Columns for the text of an entry: beside the frame, the cursor's bar and the scroll bar."""
        if self.columns >= BROAD:
            return 84 - BESIDE_THE_TEXT
        return 56 - BESIDE_THE_TEXT if self.columns >= WIDE else self.columns - 3

    def _outside(self) -> tuple[str, str]:
        """The outside as it is said, and the change on the old one."""
        words = self._worked.outside_words if self._worked is not None else ""
        return words, words.partition(" (")[2].rstrip(")")

    def _answer(self, columns: int, _rows: int) -> list[Line]:
        """Whether the case holds; what does not is a signal and whole sentences."""
        outside, _ = self._outside()
        words = case_answer(self._worked).replace(outside, outside.partition(" (")[0]) if outside else ""
        words = clean(words or case_answer(self._worked), limit=400)
        for word in ("NOT HELD",):
            if words.startswith(word):
                return hanging(line(signal(word, "bad"), " "), words.removeprefix(f"{word}: "), columns, "bold")
        first, stop, rest = words.partition(". ")
        ink = "bold good" if first.startswith("All ") else "bold"
        return flow((Span(f"{first}{stop}", ink), Span(rest, "")), columns)

    def _drawing(self, columns: int, rows: int) -> list[Line]:
        """The case from its sides, with the part or held size under the cursor."""
        found = self.current_line()
        room = rows if self.columns >= WIDE else (self.size.height - 6) * 7 // 10 - 1
        if (columns, room) != self._arranged_for:
            self._arranged, self._arranged_for = arranged_views(self._views, columns, room), (columns, room)
        chosen = found.drawn if found is not None else ""
        return drawn_views(self._arranged, columns, chosen, glyphs_now())

    def _why(self, columns: int, rows: int) -> list[Line]:
        """Where the figure under the cursor comes from, as far as there is room; w shows all of it."""
        found = self.current_line()
        said: list[Line] = []
        for sentence in (found.why if found is not None else ()) or (AS_TYPED,):
            said += flow((Span(clean(sentence, limit=500)),), columns) or [BLANK]
        if len(said) > rows:
            return [*said[: rows - 1], line(Span("w shows the rest.", "muted"))]
        return said

    def keys_now(self) -> list[tuple[str, str, str]]:
        """What `a` adds depends on the list in which the cursor is, so the key says it."""
        adds = ADDS.get(self._into()[-1:], "add")
        return [(key, adds if action == "screen.add" else label, action) for key, label, action in super().keys_now()]

    def _into(self) -> Path:
        """The list that the cursor is in; held dimensions are the unit's own, the rest is the case's."""
        found = self.current_line()
        return found.into if found is not None and found.into else HELD

    @on(Rows.Moved, "#lines")
    def _on_another_line(self) -> None:
        self._keys_again()

    @on(Entries.Rested, "#lines")
    def _follow(self) -> None:
        for pane in self.query("#drawing, #why").results(Pane):
            if pane.display:
                pane.update()

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a held dimension or a panel."""
        self.query_one("#lines", Rows).go_to(f"{'held' if kind == 'held dimension' else kind} {code}")

    def current_line(self) -> CaseLine | None:
        """The line under the cursor."""
        return self.query_one("#lines", Rows).current_of(self._lines)

    @on(Rows.Chosen, "#lines")
    def action_open(self) -> None:
        """Open the record behind the line; an empty list is begun, a line without a record says why."""
        found = self.current_line()
        if found is None:
            return
        if found.path is None:
            self.action_why() if found.why else self.action_add()
        else:
            open_path(self, self.CODE, found.path)

    def action_add(self) -> None:
        """Add to the list that the cursor is in."""
        add_to(self, self.CODE, self._into())

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
        found = self.current_line()
        if found is None or found.path is None or found.key.startswith(("follows", "moves")):
            self.say("Only what was written down can be taken out: a held dimension, a panel, a strip.")
        elif found.path == PLAN:
            self._take_out_plan()
        else:
            path: Path = found.path
            self._apply(f"taken out of the case: {words_of(path[-1:])}", lambda u: removed_at(u, path))

    def _take_out_plan(self) -> None:
        if self.unit.case is not None and self.unit.case.plan is not None:
            self._apply("plan of the case taken out", lambda u: put_at(u, PLAN, None))

    def action_computed(self) -> None:
        """Written sizes become the computed ones."""
        self._apply("computed sizes taken over", taken_over)

    def action_why(self) -> None:
        """A page that says where the figure comes from."""
        found = self.current_line()
        if found is not None:
            why = found.why or (AS_TYPED,)
            self.app.push_screen(PageScreen(self.session, self.CODE, "case / why", found.text, lambda: why))

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
        for cut in cut_list(self.unit, self.session.shop_for(self.CODE), worked):
            words += [f"# {cut.code}  {cut.quantity} x {cut.name}", sizes_words(cut), *cut_facts(cut)]
        return words

    def action_what_if(self) -> None:
        """Ask for another thickness of the sheet under the cursor."""
        found = self.current_line()
        sheet = found.sheet if found is not None else None
        if sheet is None:
            self.say("Put the cursor on a panel or on a sheet, then i asks for another thickness.")
            return
        self._sheet = sheet
        label = f"{sheet.material} {sheet.thickness.in_mm()} becomes"
        help_ = f"As measured now, like 12.2. In {', '.join(sheet.codes)}; only some of them: 12.2 {sheet.codes[-1]}"
        self.query_one(Ask).ask("thickness", label, "", help_, begun=self.session.draft(self._draft))

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


AS_TYPED = "It stands in the record as it was typed."
CUTS = "Cut in groups, not all at once: measure the assembly and correct the next group."
