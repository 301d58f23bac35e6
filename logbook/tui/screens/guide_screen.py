"""The guide: the page about the place that one comes from, the pages beside it, and the list of all."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.widgets import Static

from logbook.model.guide_pages import TOPICS, BlockKind, guide, guide_page
from logbook.render.guide_document import block_lines
from logbook.render.plain import clean, under, wrapped
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.key_letters import page_of
from logbook.tui.look.inks import BLANK, Line, group, line, typed
from logbook.tui.places import key_of_action
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.entries import BESIDE_THE_TEXT, Entries, entry, heading
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

_TOPIC_COLUMNS = 20
_WIDEST_KEY = 20
"""So many columns at most stand before what a key does."""


def _inked(kind: BlockKind, lines: Sequence[str]) -> list[Line]:
    """Examples set off from the text, keys as they stand in the key line, words plain."""
    if kind is BlockKind.EXAMPLE:
        return [line(typed("  │ ", "rule"), typed(words.removeprefix("    "), "head")) for words in lines]
    if kind is BlockKind.ITEM:
        return _item(lines)
    return [typed(words) for words in lines]


def _item(lines: Sequence[str]) -> list[Line]:
    """What stands before the first wide gap is the key or the name; the rest says what it does."""
    first, *rest = lines
    key, gap, does = first.partition("  ")
    if not gap or len(key) > _WIDEST_KEY:
        return [typed(words) for words in lines]
    return [line(typed(key, "bold accent"), f"{gap}", typed(does)), *(typed(words) for words in rest)]


class GuideScreen(BookScreen):
    """One page of the guide; without a topic the list of all pages."""

    TOPIC = "paper"
    EXPLAINS = True
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("guide.next", "right", "beside(1)", "next page", "The next page of the guide", True),
        Act("guide.previous", "left", "beside(-1)", "page before", "The page before this one"),
        Act("guide.pages", "enter", "pages", "all pages", "The list of all pages; there: open the one named", True),
        Act("guide.paper", "e", "on_paper", "on paper", "Print this page, or the whole guide", True),
        Act("guide", "f1", "pages", "all pages", "The list of all pages of the guide"),
        Act("keys", "question_mark", "keys", "keys", "Show every key of the place that you come from", True),
        Act("back", "escape", "back", "back", "Go back to where you were", True),
    )

    def __init__(self, session: Session, topic: str, *, said: str = "") -> None:
        """Make the place.

        Args:
            session: the open book.
            topic: the page; empty for the list of all.
            said: the message that stood where one comes from, to be read whole.
        """
        super().__init__(session)
        self._topic = topic
        self._said = said

    def place(self) -> str:
        """Which page this is."""
        return f"Guide / {guide_page(self._topic).title}" if self._topic else "Guide"

    def compose_body(self) -> ComposeResult:
        """What the page is for, and the page."""
        yield Static("", id="question", classes="question")
        yield Entries(id="page")

    def first_focus(self) -> str:
        """The text, so that arrows scroll it."""
        return "#page"

    def show_record(self) -> None:
        """The page, or the list of pages."""
        if self._topic:
            self._show_page()
        else:
            self._show_topics()

    def _show_page(self) -> None:
        page = page_of(self._topic)
        key_of = key_of_action(self.logbook.keymap)
        said = wrapped(clean(f"Said before: {self._said}", limit=500), self.room) if self._said else []
        rows = [entry("said", [typed(words, "wait") for words in said])] if said else []
        before = BlockKind.HEAD
        for number, (block, lines) in enumerate(block_lines(page, key_of, self.columns - BESIDE_THE_TEXT)):
            begins = block.kind is not before or block.kind is BlockKind.WORDS
            if rows and begins and before is not BlockKind.HEAD:
                rows.append(heading(f"gap {number}", BLANK))
            if block.kind is BlockKind.HEAD:
                rows.append(heading(f"{number}", *(group(words) for words in lines)))
            else:
                rows.append(entry(f"{number}", _inked(block.kind, lines)))
            before = block.kind
        self.query_one("#question", Static).update(plain(page.about, limit=400))
        self.query_one("#page", Rows).show(rows)

    def _show_topics(self) -> None:
        columns = self.columns - BESIDE_THE_TEXT
        rows = [entry(p.topic, _item(under(f"{p.topic:<{_TOPIC_COLUMNS}}", p.about, columns))) for p in guide()]
        self.query_one("#question", Static).update(plain("Which page? Enter opens the one under the cursor."))
        self.query_one("#page", Rows).show(rows)

    def on_rows_chosen(self) -> None:
        """Enter opens a page, and from a page the list."""
        self.action_pages()

    def action_pages(self) -> None:
        """From the list to the page under the cursor, from a page to the list."""
        rows = self.query_one("#page", Rows)
        if not self._topic:
            if rows.current is not None:
                self._turn_to(rows.current.key)
            return
        before = self._topic
        self._turn_to("")
        rows.go_to(before)

    def action_beside(self, by: int) -> None:
        """The page beside this one."""
        at = TOPICS.index(self._topic) if self._topic else -min(by, 0) - 1
        self._turn_to(TOPICS[(at + by) % len(TOPICS)])

    def _turn_to(self, topic: str) -> None:
        self._topic, self._said = topic, ""
        self.query_one("#page", Rows).show(())
        self.show_record()
        self.refresh_frame()

    def action_keys(self) -> None:
        """The keys of the place below; of the guide itself, its key line shows all."""
        if (place := self.place_explained()) is not None:
            place.action_keys()

    def action_on_paper(self) -> None:
        """Onto paper: this page, or all."""
        self.logbook.open("paper", "", guide=self._topic or TOPICS[0])

    def text_to_copy(self) -> str:
        """The paragraph under the cursor; in the list, the sentence about a page."""
        row = self.query_one("#page", Rows).current
        return " ".join(line.strip() for line in row.lines) if row is not None else ""
