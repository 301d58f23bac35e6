"""Every key that works at a place, made from the same table as the keys themselves."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult

from logbook.model.guide_pages import BlockKind
from logbook.render.guide_document import block_lines
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import EVERYWHERE, Act
from logbook.tui.key_letters import page_of
from logbook.tui.look.inks import BLANK, Line, Span, flow, group, hanging, typed
from logbook.tui.places import key_of_action
from logbook.tui.screen_frame import BookScreen
from logbook.tui.sections import UNIT_ACTS
from logbook.tui.widgets.entries import ListEntry, entry, heading
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS

KEY_COLUMNS = 12
NOT_NOW = "(not now)"
"""Behind what cannot be done at this moment."""


def key_lines(keys: str, words: str, columns: int) -> list[Line]:
    """Keys and what they do; the words go on below themselves."""
    not_now = words.endswith(NOT_NOW)
    head = (Span(f"{keys:<{KEY_COLUMNS}}", "muted" if not_now else "bold accent"),)
    return hanging(head, clean(words), columns, "muted" if not_now else "")


class HelpScreen(BookScreen):
    """The keys of the place below; any of Esc, ? or Enter goes back."""

    EXPLAINS = True
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("back", "escape,enter", "back", "back", "Go back", True),
        Act("keys", "question_mark", "back", "back", "Go back"),
    )

    def __init__(self, session: Session, of: str, lines: list[tuple[str, str]]) -> None:
        super().__init__(session)
        self._of = of
        self._lines = lines

    def place(self) -> str:
        """Of which place these are the keys."""
        return f"Keys at: {self._of}"

    def topic(self) -> str:
        """The page of the guide about the place below."""
        below = self.place_explained()
        return below.topic() if below is not None else self.TOPIC

    def compose_body(self) -> ComposeResult:
        """The list of keys, and beside it the page of the guide about the place."""
        yield ListBeside("help", "Keys", self._guide_page, pane_title="The guide about it (F1)")

    def first_focus(self) -> str:
        """The list, so that arrows scroll it."""
        return "#help"

    def show_record(self) -> None:
        """One entry for each key, those of this place first; long explanations wrap."""
        columns = list_columns(self.columns)
        entries: list[ListEntry] = []
        for title, lines in self._groups():
            if not lines:
                continue
            entries.append(heading(f"head {title}", *([BLANK] if entries else []), group(title)))
            begun = len(entries)
            entries += [entry(f"{begun + n}", key_lines(*each, columns)) for n, each in enumerate(lines)]
        self.query_one(ListBeside).show(entries)

    def _groups(self) -> list[tuple[str, list[tuple[str, str]]]]:
        """The keys of this place alone, those of a unit, and those that are the same at every place."""
        of_unit, everywhere = tuple(act.help for act in UNIT_ACTS), tuple(act.help for act in EVERYWHERE)
        groups: dict[str, list[tuple[str, str]]] = {"Here": [], "In a unit": [], "Everywhere": []}
        for keys, words in self._lines:
            common = "In a unit" if words.startswith(of_unit) else "Everywhere"
            groups[common if words.startswith((*of_unit, *everywhere)) else "Here"].append((keys, words))
        return list(groups.items())

    def _guide_page(self, columns: int, _rows: int) -> list[Line]:
        """The page of the guide about the place below."""
        page = page_of(self.topic())
        rows = [*flow(typed(page.title, "bold"), columns), *flow(typed(page.about, "muted"), columns)]
        for block, lines in block_lines(page, key_of_action(self.logbook.keymap), columns):
            is_head = block.kind is BlockKind.HEAD
            rows += [BLANK] if is_head or block.kind is BlockKind.WORDS else []
            rows += [group(words) if is_head else typed(words) for words in lines]
        return rows

    def on_rows_chosen(self) -> None:
        """Enter goes back."""
        self.action_back()
