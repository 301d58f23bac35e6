"""What came out and what becomes of it, and the parts that the refit needs: bought, made or from elsewhere."""

from __future__ import annotations

from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.model.component_state import work_open
from logbook.model.edits import UnitEdit
from logbook.model.paths import Path, removed_at
from logbook.model.photo_edits import At, Spot
from logbook.model.plural import counted
from logbook.model.unit import Unit
from logbook.model.unit_edits import with_disposition, with_repaired, with_supply
from logbook.model.words import Disposition, Supply
from logbook.serve.incoming import Bench
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.opening import add_to, open_path
from logbook.tui.plain_content import plain
from logbook.tui.screens.component_rows import belongs_to, component_entries, thing_in_full
from logbook.tui.sections import UNIT_ACTS, SectionScreen
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Rows


class ComponentsScreen(SectionScreen):
    """Section 3 of a unit."""

    TOPIC = "to-buy"
    SECTION = "components"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("components.open", "enter", "open", "all fields", "Every field of what is under the cursor", True),
        Act("components.add", "a", "add('components')", "component", "Add a component that came out", True),
        Act("components.part", "A", "add('parts')", "part", "Add a part to renew, make or buy", True),
        Act("components.becomes", "d", "becomes", "becomes", "What becomes of it, or how far a part has come", True),
        Act(
            "components.here", "h,space", "here", "here, done", "A part is here, or a repair is done; again: not", True
        ),
        Act("components.out", "x", "take_out", "take out", "Take it out of the record (undo brings it back)"),
        Act("components.why", "w", "why", "why", "Which steps and lines it belongs to"),
        *UNIT_ACTS,
    )

    HORIZONTAL_BREAKPOINTS = BREAKPOINTS

    def compose_section(self) -> ComposeResult:
        """The sentence, the things, the line to choose in."""
        yield Static("", id="question", classes="question")
        yield Static("", id="empty", classes="facts")
        yield ListBeside("things", "What came out, and what goes in", self._in_full)
        yield Pick(id="pick")

    def first_focus(self) -> str:
        """The things."""
        return "#things"

    def show_record(self) -> None:
        """Components, then parts, as they are now."""
        unit, today = self.unit, self.session.today
        self.query_one("#question", Static).update(plain(components_question(unit), limit=300))
        beside = self.columns >= WIDE
        self.query_one(ListBeside).show(component_entries(unit, today, list_columns(self.columns), beside=beside))
        empty = not unit.components and not unit.parts
        words = (
            "Things worth a name of their own stand here, and what must be got for the refit.\nPress a for the first."
        )
        self.query_one("#empty", Static).update(plain(words, lines=True) if empty else "")
        self.query_one("#empty", Static).display = empty

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """What is under the cursor, with all that is known about it and what is still open."""
        here = self.current()
        return [BLANK] if here is None else thing_in_full(self.unit, *here, self.session.today, columns)

    def select(self, kind: str, code: str) -> None:
        """Put the cursor on a component or a part."""
        self.query_one("#things", Rows).go_to(f"{'parts' if kind == 'part' else 'components'} {code}")

    def show_new(self, path: Path) -> None:
        """The cursor goes to what was just written down."""
        self.query_one("#things", Rows).go_to(f"{path[0]} {path[-1]}")

    def photo_bench(self) -> Bench:
        """The component under the cursor."""
        here = self.current()
        if here is None or here[0] != "components":
            return super().photo_bench()
        return Bench(self.CODE, Spot(At.COMPONENT, here[1]), f"{self.CODE} {here[1]}")

    def current(self) -> tuple[str, str] | None:
        """The list and the code of what is under the cursor."""
        row = self.query_one("#things", Rows).current
        if row is None:
            return None
        where, _, code = row.key.partition(" ")
        return where, code

    @on(Rows.Chosen, "#things")
    def action_open(self) -> None:
        """Every field of it."""
        if (here := self.current()) is not None:
            open_path(self, self.CODE, here)

    def action_add(self, where: str) -> None:
        """Add to one of the two lists."""
        add_to(self, self.CODE, (where,))

    def action_becomes(self) -> None:
        """Pick what becomes of a component, or how far a part has come."""
        unit, here = self.unit, self.current()
        if here is None:
            self.say("There is nothing under the cursor yet.")
        elif here[0] == "components":
            now = next(c.disposition for c in unit.components if c.code == here[1])
            self.query_one(Pick).pick(here[1], f"{here[1]} becomes", tuple(Disposition), now)
        else:
            supply = next(p.supply for p in unit.parts if p.code == here[1])
            self.query_one(Pick).pick(here[1], f"{here[1]} is", tuple(Supply), supply)

    @on(Pick.Left)
    def _to_things(self) -> None:
        self.query_one("#things", Rows).focus()

    @on(Pick.Picked)
    def _picked(self, event: Pick.Picked) -> None:
        self._to_things()
        if event.value in tuple(Supply):
            self._supply(event.key, Supply(event.value))
        else:
            disposition = Disposition(event.value)
            self._apply(f"{event.key}: {disposition}", lambda u: with_disposition(u, event.key, disposition))

    def action_here(self) -> None:
        """The part is here, or the repair is done; pressed again, not."""
        here = self.current()
        if here is None:
            return
        where, code = here
        if where == "parts":
            supply = next(p.supply for p in self.unit.parts if p.code == code)
            self._supply(code, Supply.NEEDED if supply is Supply.HERE else Supply.HERE)
        else:
            at = self.session.now
            done = not next(c.repaired for c in self.unit.components if c.code == code)
            self._apply(
                f"{code}: {'done' if done else 'not done yet'}", lambda u: with_repaired(u, code, repaired=done, at=at)
            )

    def _supply(self, code: str, supply: Supply) -> None:
        today = self.session.today
        self._apply(f"{code}: {supply}", lambda u: with_supply(u, code, supply, today))

    def action_take_out(self) -> None:
        """Take it out of the record."""
        if (here := self.current()) is not None:
            self._apply(f"{here[1]} taken out of the {here[0]}", lambda u: removed_at(u, here))

    def action_why(self) -> None:
        """Which steps it belongs to."""
        if (here := self.current()) is not None:
            self.say(belongs_to(self.unit, *here))

    def _apply(self, what: str, edit: UnitEdit) -> bool:
        return self.tried(what, partial(self.session.apply, self.CODE, what, edit))


def components_question(unit: Unit) -> str:
    """What is not decided, and what must still be got, in a sentence."""
    undecided = [c for c in unit.components if c.disposition is Disposition.UNDECIDED]
    to_do = [c for c in unit.components if work_open(unit, c)]
    to_get = [p for p in unit.parts if p.supply is not Supply.HERE]
    words = []
    if undecided:
        words.append(f"Not decided yet: {_some([f'{c.code} {c.name}' for c in undecided])}.")
    elif unit.components:
        count = len(unit.components)
        words.append("The component is decided." if count == 1 else f"All {count} components are decided.")
    if to_do:
        words.append(f"Still to clean, repair or test: {_some([c.code for c in to_do])}.")
    if unit.parts:
        words.append(
            f"{len(to_get)} of {counted(len(unit.parts), 'part')} {'is' if len(to_get) == 1 else 'are'} not here."
        )
    return " ".join(words) or "What came out that is worth a name of its own?"


def _some(names: list[str]) -> str:
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if names[4:] else "")
