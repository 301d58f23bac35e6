"""The sections of a unit, one key apart: digits or the left and right arrows go from one to the next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.content import Content
from textual.style import Style
from textual.widgets import Static

from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.actions import SECTIONS, Act
from logbook.tui.screen_frame import BookScreen
from logbook.tui.surviving import Surviving

PLACES = ("arrival", "teardown", "components", "costs", "reassembly", "case", "work", "photos")
"""The sections in their order, as `screen_names` calls them."""

PAPER_OF = {"components": "labels", "costs": "decision", "case": "cuts", "work": "record", "photos": "record"}
"""The document that a section is printed as; of the others the reassembly list is offered first."""

BETWEEN = (
    Act("section.next", "right", "beside(1)", "next section", "The next section of this unit"),
    Act("section.previous", "left", "beside(-1)", "section before", "The section before this one"),
)

TO_THE_BENCH = Act("unit.bench", "b", "bench_mode", "bench mode", "Go on at the bench, one step at a time")
"""From every section of a unit to where its steps are written down."""

WHICH_SCREW = Act(
    "unit.screw", "I", "which_screw", "which screw", "Tell the thread of a loose screw, and where it belongs"
)
"""From every section of a unit, and from the bench, to what a loose screw can be."""

TO_PAPER = Act(
    "unit.paper", "e", "on_paper", "on paper", "Print a list, labels or the build record, or write them to a file"
)
"""From every section of a unit to what can be printed of it."""

PHONE = Act("unit.phone", "P", "phone", "phone", "With the phone: say lines, tick, take photos of what is open")
"""From every section of a unit, and from the bench, to the page for the phone."""

DANGERS = Act("unit.dangers", "D", "dangers", "dangers", "Every danger in force; a digit there proves one safe")
"""From every section of a unit to its dangers."""

LEFT_AS = Act("unit.left_as", "M", "left_as", "as it was left", "How it was left half apart, to be read and put right")
"""From every section of a unit, and from the bench, to how it was left."""

UNIT_ACTS = (*SECTIONS, *BETWEEN, TO_THE_BENCH, DANGERS, LEFT_AS, WHICH_SCREW, TO_PAPER, PHONE)
"""What every section of a unit offers; a section's own `ACTS` start or end with these."""


def strip_names(names: Sequence[tuple[str, str]], here: str, columns: int) -> tuple[str, ...]:
    """The sections as they stand in one line: apart, close together, or the others cut short; never over the width.

    Args:
        names: key and name of each section.
        here: the section shown, never cut.
        columns: how wide the line may be.
    """

    def line(most: int, pad: str) -> tuple[str, ...]:
        return tuple(
            f"[{key} {name}]" if name == here else f"{pad}{key} {name[:most]}".rstrip() + pad for key, name in names
        )

    longest = max((len(name) for _, name in names), default=0)
    for most, pad in ((longest, " "), *((most, "") for most in range(longest, 0, -1))):
        words = line(most, pad)
        if len(" ".join(words)) <= columns:
            return words
    return tuple(f"[{key}]" if name == here else key for key, name in names)


class SectionStrip(Surviving, Static):
    """The names of the sections with their keys; the one shown stands in brackets."""

    DEFAULT_CSS = """
    SectionStrip { height: 1; width: 1fr; padding: 0 0 0 1; background: $surface; }
    SectionStrip { link-style: none; link-style-hover: underline; }
    """

    def set_here(self, here: str) -> None:
        """Mark the section shown."""
        self._here = here
        self._draw()

    _here = ""

    def _draw(self) -> None:
        """All names in one line; gaps give way first, then the ends of the names."""
        columns = self.size.width or self.app.size.width - 1
        names = strip_names([(act.keys, act.label) for act in SECTIONS], self._here, columns)
        content = Content("")
        for act, words in zip(SECTIONS, names, strict=True):
            click = Style.from_meta({"@click": f"screen.{act.action}"})
            shown = Content.styled(words, "bold $text-accent" if act.label == self._here else "").stylize(click)
            content = content + Content(" " if content else "") + shown
        self.update(content, layout=False)

    def on_resize(self) -> None:
        """Gaps for another width."""
        self._draw()


class SectionScreen(BookScreen):
    """One section of a unit. Subclasses give `SECTION`, `compose_section` and `show_record`."""

    ACTS: ClassVar[tuple[Act, ...]] = UNIT_ACTS
    SECTION = ""
    IN_A_UNIT = True

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session)
        self.CODE = code

    @property
    def unit(self) -> Unit:
        """The record shown."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit and the section."""
        return f"{self.CODE} {self.unit.name} / {self.SECTION}"

    def compose_body(self) -> ComposeResult:
        """The strip of sections above the section itself."""
        yield SectionStrip(id="sections")
        yield from self.compose_section()

    def compose_section(self) -> ComposeResult:
        """The widgets of this section."""
        yield from ()

    def on_mount(self) -> None:
        """Mark the section in the strip, where there is one."""
        for strip in self.query(SectionStrip):
            strip.set_here(self.SECTION)

    def action_section(self, name: str) -> None:
        """Go to another section of the same unit."""
        if name != self.SECTION:
            self.logbook.open(name, self.CODE, instead=True)

    def action_bench_mode(self) -> None:
        """Take the unit apart, step by step."""
        self.logbook.open("bench_mode", self.CODE)

    def action_dangers(self) -> None:
        """The dangers in force, each to be proved safe."""
        self.logbook.open("dangers", self.CODE, **self.danger_here())

    def danger_here(self) -> dict[str, Any]:
        """What the cursor says about the danger that is meant: `step`, `own` and `here` of the place of dangers."""
        return {}

    def action_left_as(self) -> None:
        """How it was left, to be put right."""
        self.logbook.open("left_as", self.CODE)

    def action_which_screw(self) -> None:
        """What a loose screw can be, and where it belongs."""
        self.logbook.open("loose_screw", self.CODE)

    def action_on_paper(self) -> None:
        """What can be printed of this unit."""
        self.logbook.open("paper", self.CODE, first=PAPER_OF.get(self.SECTION, ""))

    def action_beside(self, by: int) -> None:
        """Go to the section beside this one."""
        self.action_section(PLACES[(PLACES.index(self.SECTION) + by) % len(PLACES)])


SECTION_OF_STAGE = {
    "arrival": "arrival",
    "teardown": "teardown",
    "rebuild": "reassembly",
    "reassembly": "reassembly",
    "closed": "arrival",
    "stopped": "components",
}
"""Which section a unit opens at, by its stage."""

SECTION_OF_KIND = {
    "step": "teardown",
    "line": "reassembly",
    "connection": "teardown",
    "bag": "teardown",
    "fastener": "teardown",
    "component": "components",
    "operation": "work",
    "proposed": "work",
    "part": "components",
    "cost": "costs",
    "consumable": "costs",
    "photo": "photos",
    "held dimension": "case",
    "panel": "case",
}
"""Which section holds a thing that was found; everything else is at the arrival."""
