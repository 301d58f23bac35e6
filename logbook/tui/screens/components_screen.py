"""What came out and what becomes of it, and the parts that the refit needs: bought, made or from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.costing import plain_number
from logbook.model.component_state import work_open
from logbook.model.days import day_words
from logbook.model.edits import UnitEdit
from logbook.model.members import whose
from logbook.model.paths import Path, removed_at
from logbook.model.photo_edits import At, Spot
from logbook.model.plural import counted
from logbook.model.unit import Component, Unit
from logbook.model.unit_edits import with_disposition, with_repaired, with_supply
from logbook.model.words import Disposition, Supply
from logbook.model.work import Part
from logbook.render.plain import clean, fitted
from logbook.serve.incoming import Bench
from logbook.tui.actions import Act
from logbook.tui.opening import add_to, open_path
from logbook.tui.plain_content import plain
from logbook.tui.sections import UNIT_ACTS, SectionScreen
from logbook.tui.widgets.pick import Pick
from logbook.tui.widgets.rows import Row, Rows

WORK = (Disposition.CLEAN, Disposition.REPAIR, Disposition.TEST)
"""Dispositions after which something is to be done before it goes back."""


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

    def compose_section(self) -> ComposeResult:
        """The sentence, the things, the line to choose in."""
        yield Static("", id="question", classes="question")
        yield Static("", id="empty", classes="facts")
        yield Rows(id="things")
        yield Pick(id="pick")

    def first_focus(self) -> str:
        """The things."""
        return "#things"

    def show_record(self) -> None:
        """Components, then parts, as they are now."""
        unit, today = self.unit, self.session.today
        self.query_one("#question", Static).update(plain(components_question(unit), limit=300))
        self.query_one("#things", Rows).show(component_rows(unit, today, self.room))
        empty = not unit.components and not unit.parts
        words = (
            "Things worth a name of their own stand here, and what must be got for the refit.\nPress a for the first."
        )
        self.query_one("#empty", Static).update(plain(words, lines=True) if empty else "")
        self.query_one("#empty", Static).display = empty

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
        words.append(f"All {len(unit.components)} components are decided.")
    if to_do:
        words.append(f"Still to clean, repair or test: {_some([c.code for c in to_do])}.")
    if unit.parts:
        words.append(
            f"{len(to_get)} of {counted(len(unit.parts), 'part')} {'is' if len(to_get) == 1 else 'are'} not here."
        )
    return " ".join(words) or "What came out that is worth a name of its own?"


def _some(names: list[str]) -> str:
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if names[4:] else "")


def component_rows(unit: Unit, today: date, columns: int) -> list[Row]:
    """Components in the order of the record, then parts."""
    return [*_component_rows(unit, columns), *_part_rows(unit, today, columns)]


def _component_rows(unit: Unit, columns: int) -> Iterator[Row]:
    name, condition = _widths(columns)
    if unit.components:
        head = f"{'':<8}{'component':<{name}} {'condition':<{condition}} {'becomes':<11} kept"
        yield Row("head components", (head,), "head", selectable=False)
    for c in unit.components:
        line = (
            f"{fitted(c.code, 8)}{_fit(_with_quantity(c), name)} {_fit(c.condition or '?', condition)} "
            f"{_becomes(c):<11} {clean(c.where_kept or '?', limit=60)}"
        )
        yield Row(f"components {c.code}", (line,), _tone_of(c))


def _part_rows(unit: Unit, today: date, columns: int) -> Iterator[Row]:
    name, supply = _widths(columns)
    if unit.parts:
        head = f"{'':<8}{'part for the refit':<{name}} {'supply':<{supply}} {'price':>11} for"
        yield Row("head parts", (head,), "head", selectable=False)
    for p in unit.parts:
        line = (
            f"{fitted(p.code, 8)}{_fit(_part_name(p), name)} {_fit(supply_words(p, today), supply)} "
            f"{_price(p):>11} {', '.join((*p.for_steps, *p.for_components)) or '?'}"
        )
        yield Row(f"parts {p.code}", (line,), "done" if p.supply is Supply.HERE else "")


def _widths(columns: int) -> tuple[int, int]:
    """Columns of the name and of the condition or supply; where it is kept takes what is left."""
    free = max(24, columns - 8 - 11 - 3)
    return free * 2 // 5, free * 3 // 10


def _fit(text: str, columns: int) -> str:
    return fitted(clean(text, limit=200), columns)


def _with_quantity(component: Component) -> str:
    words = component.name if component.quantity == 1 else f"{component.quantity} {component.name}"
    return f"{whose(component.member)}{words}"


def _part_name(part: Part) -> str:
    words = part.name if part.quantity == 1 and not part.unit else f"{_amount(part)} {part.name}"
    words = f"{whose(part.member)}{words}"
    return f"{words} (only if {part.only_if.removeprefix('only if ')})" if part.only_if else words


def _amount(part: Part) -> str:
    return f"{plain_number(part.quantity)} {part.unit}".rstrip()


def _becomes(component: Component) -> str:
    if component.disposition is Disposition.UNDECIDED:
        return "? undecided"
    return f"{component.disposition}" + (" done" if component.repaired else "")


def _tone_of(component: Component) -> str:
    if component.disposition is Disposition.UNDECIDED:
        return "warning"
    return "done" if component.disposition in (Disposition.SCRAP, Disposition.PATTERN) else ""


def supply_words(part: Part, today: date) -> str:
    """How far a part has come: `here`, `ordered, due Fri`, `to buy`."""
    if part.supply is Supply.HERE:
        return "here"
    if part.supply is Supply.NEEDED:
        return str(part.source)
    due = f", due {day_words(part.expected_on, today)}" if part.expected_on else ""
    return f"ordered{due}"


def _price(part: Part) -> str:
    """The likely price; `~` where it is one of three points, both ends where it may be nothing."""
    if part.price is None:
        return "?"
    if part.price.low == part.price.high:
        return f"{part.price.likely}"
    return f"0-{part.price.high}" if not part.price.likely else f"~{part.price.likely}"


def belongs_to(unit: Unit, where: str, code: str) -> str:
    """Where a component came from, or what a part is for, in a sentence."""
    if where == "components":
        component = next(c for c in unit.components if c.code == code)
        steps = dict.fromkeys((component.from_step, *(s.code for s in unit.steps if code in s.components)))
        named = [f"{s.code} {s.what}" for each in steps if (s := unit.step(each)) is not None]
        parts = [f"{p.code} {p.name}" for p in unit.parts if code in p.for_components]
        words = f"{code} came out at {', '.join(named)}." if named else f"{code}: no step says where it came out."
        return words + (f" {', '.join(parts)} takes its place." if parts else "")
    part = next(p for p in unit.parts if p.code == code)
    named = [f"{s.code} {s.what}" for each in part.for_steps if (s := unit.step(each)) is not None]
    renews = f" It renews the fasteners “{part.fastener}”." if part.fastener else ""
    if named:
        return f"The refit of {', '.join(named)} waits for {code}.{renews}"
    return f"No step is named that waits for {code}; Enter says for which steps it is.{renews}"
