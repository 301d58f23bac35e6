"""On paper: which document, in which form, and where it goes. The file is made beside the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import InputError, LogbookError, StoreError
from logbook.model.guide_pages import TOPICS, guide_page
from logbook.model.label_sheets import label_sheets, sheet_named
from logbook.render.labels import LabelKind
from logbook.render.plain import clean
from logbook.session import Session
from logbook.session.document_transfer import document_name, document_of
from logbook.session.guide_paper import make_guide
from logbook.session.opened import SHOP
from logbook.session.papers import (
    FORM_WORDS,
    PAPER_WORDS,
    Form,
    MadePaper,
    Paper,
    Wish,
    free_place,
    make_paper,
    own_folder,
    put_paper,
    source_of,
)
from logbook.tui.actions import Act
from logbook.tui.key_letters import page_of
from logbook.tui.look.inks import BLANK, Line, flow, group, line, typed
from logbook.tui.look.told import Told, told_lines
from logbook.tui.look.wrapping_table import Column, WrappingTable
from logbook.tui.places import key_of_action
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import entry, heading
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows

PAPERS = ("a4", "us-letter")
DOCUMENT = "document"
"""Beside the papers: the record itself, which the bench of another book takes in."""
PAGE, WHOLE = "page", "whole guide"
"""Of the guide: the page that one comes from, and all of them."""
SETTINGS = ("form", "paper", "type", "labels for", "label sheet", "first free", "outlines", "folder")
"""How it is made, each by the digit of its place."""
LABEL_SETTINGS = frozenset({"labels for", "label sheet", "first free", "outlines"})
"""What only labels are made by."""

FOR_A_PAPER = ("paper.make", "paper.form", "paper.size", "paper.type", "paper.folder")
FOR_LABELS = ("paper.make", "paper.kinds", "paper.sheet", "paper.start", "paper.outline", "paper.form")
FOR_A_DOCUMENT = ("paper.make", "paper.folder")
"""Which keys matter at what can be made; at a setting only that which changes it does."""


class PaperScreen(BookScreen):
    """What can be printed of a unit, or the labels of what all units share."""

    TOPIC = "paper"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "paper.make", "enter", "make", "make it", "Make the document under the cursor, or change the setting", True
        ),
        Act("paper.form", "1", "turn('form')", "form", "The next form: PDF, text, Markdown, web page, table", True),
        Act("paper.size", "2", "turn('paper')", "paper size", "A4 or US Letter", True),
        Act("paper.type", "3", "turn('large')", "large type", "Large type, to be read at the bench", True),
        Act("paper.kinds", "4", "ask_kinds", "labels for", "What the labels are for: bags, boxes, wires, parts"),
        Act("paper.sheet", "5", "turn('sheet')", "label sheet", "The next label sheet"),
        Act("paper.start", "6", "ask_start", "first free", "The first free label of a used sheet"),
        Act("paper.outline", "7", "turn('outline')", "outlines", "Draw the edges of labels, to cut plain paper"),
        Act("paper.folder", "8", "ask_folder", "where to", "The folder that documents go into", True),
    )

    def __init__(self, session: Session, code: str, *, first: str = "", guide: str = "") -> None:
        """Make the place.

        Args:
            session: the open book.
            code: the unit; empty for what all units share.
            first: the document under the cursor; empty: the first of all.
            guide: a page of the guide, to be printed instead.
        """
        super().__init__(session)
        self.CODE = code
        self._first = first
        self._guide = guide
        self._asked: dict[str, Callable[[str], None]] = {
            "kinds": self._take_kinds,
            "start": self._take_start,
            "folder": self._take_folder,
        }

    def place(self) -> str:
        """The unit, and that it goes onto paper."""
        if self._guide:
            return "Guide / on paper"
        return f"{self.CODE} {self.session.unit(self.CODE).name} / on paper" if self.CODE else "Store / on paper"

    def compose_body(self) -> ComposeResult:
        """What is printed, the documents and settings, the line to type in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("papers", "On paper", self._in_full, pane_title="What will be made")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The documents."""
        return "#papers"

    # What is shown

    def show_record(self) -> None:
        """The documents, then how they are made."""
        wish, columns = self.wish(), list_columns(self.columns)
        made = {f"make {name}": (typed(name, "bold"), typed(words)) for name, words in self._offered().items()}
        how = {f"how {key}": self._setting_cells(key, words) for key, words in self._how(wish).items()}
        table = WrappingTable((Column(), Column(least=20)), (*made.values(), *how.values()), columns)
        self.query_one(ListBeside).show(
            [
                heading("head papers", group("Make")),
                *(entry(key, table.lines(of)) for key, of in made.items()),
                heading("head how", BLANK, group("How", "the digit changes it")),
                *(entry(key, table.lines(of)) for key, of in how.items()),
            ]
        )
        if self._first:
            self.query_one("#papers", Rows).go_to(f"make {self._first}")
            self._first = ""
        carries = "" if self._guide else f" It will carry version {self.session.kept(self.CODE).version} of the record."
        self.query_one("#question", Static).update(plain(f"What goes onto paper?{carries} Enter makes it.", limit=300))

    @staticmethod
    def _setting_cells(key: str, words: str) -> tuple[Line, Line]:
        digit = SETTINGS.index(key) + 1
        return line(typed(f"{digit}", "bold accent"), " ", typed(key, "head")), typed(words)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The document under the cursor and how it will be made; of a setting what it is about."""
        row = self.query_one("#papers", Rows).current
        what, _, name = row.key.partition(" ") if row is not None else ("", "", "")
        how = self._how(self.wish())
        if what == "how":
            act = next(act for act in self.ACTS if act.keys == str(SETTINGS.index(name) + 1))
            return [*flow(typed(name, "bold"), columns), BLANK, *flow(typed(act.help), columns)]
        if name not in self._offered():
            return [BLANK]
        rows = [*flow(typed(name, "bold"), columns), BLANK, *flow(typed(self._offered()[name]), columns)]
        for_it = {key: words for key, words in how.items() if key not in LABEL_SETTINGS or name == Paper.LABELS}
        if name == DOCUMENT:
            for_it = {"folder": how["folder"]}
        return [*rows, *told_lines([Told("How", tuple(for_it.items()))], columns)]

    def _offered(self) -> dict[str, str]:
        """Every document that can be made here, with what it is."""
        if self._guide:
            return {PAGE: f"this page: {guide_page(self._guide).title}", WHOLE: f"all {len(TOPICS)} pages"}
        papers = list(Paper) if self.CODE else [Paper.LABELS]
        return {**{str(p): PAPER_WORDS[p] for p in papers}, DOCUMENT: self._document_words()}

    def _document_words(self) -> str:
        if self.CODE:
            return "the whole record as one file for another book; photos stay here"
        return "all that units share as one file for another book"

    def _how(self, wish: Wish) -> dict[str, str]:
        """Every setting in words."""
        kinds = ", ".join(wish.kinds) or ("offcuts, jars" if not self.CODE else "bag, box")
        labels = {
            "labels for": kinds,
            "label sheet": self._sheet_words(wish.sheet),
            "first free": f"label {wish.start} of the sheet",
            "outlines": "drawn, for plain paper" if wish.outline else "not drawn",
        }
        return {
            "form": f"{wish.form}, {FORM_WORDS[wish.form]}",
            "paper": {"a4": "A4", "us-letter": "US Letter"}[wish.paper],
            "type": "large" if wish.large else "normal",
            **({} if self._guide else labels),
            "folder": str(self.folder()),
        }

    def acts(self) -> tuple[Act, ...]:
        """In the key line stands what matters at the cursor."""
        wanted, is_setting = self._keys_at_cursor()
        own = {act.id for act in self.ACTS}
        acts = [act._replace(foot=act.id in wanted) if act.id in own else act for act in super().acts()]
        return tuple(act._replace(label="change") if is_setting and act.id == "paper.make" else act for act in acts)

    def _keys_at_cursor(self) -> tuple[Sequence[str], bool]:
        """Names of the keys, and whether the cursor is on a setting."""
        row = self.query_one("#papers", Rows).current if self.is_built else None
        what, _, name = row.key.partition(" ") if row is not None else ("", "", "")
        if what == "how":
            return ("paper.make",), True
        if name == DOCUMENT:
            return FOR_A_DOCUMENT, False
        return (FOR_LABELS if name == Paper.LABELS else FOR_A_PAPER), False

    @on(Rows.Moved, "#papers")
    def _keys_of_another(self) -> None:
        self._keys_again()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """The guide has no labels."""
        is_of_labels = action in ("ask_kinds", "ask_start") or parameters in (("sheet",), ("outline",))
        return not (self._guide and is_of_labels)

    @staticmethod
    def _sheet_words(name: str) -> str:
        try:
            sheet = sheet_named(name, own_folder())
        except InputError as error:
            return str(error)
        return f"{sheet.name}: {sheet.columns} x {sheet.rows} of {sheet.width} x {sheet.height} mm on {sheet.paper}"

    # The settings, kept between two starts of the program

    def kept_setting(self, name: str, default: str) -> str:
        """A setting as it was left."""
        return self.session.draft(f"paper/{name}") or default

    def keep_setting(self, name: str, value: str) -> None:
        """Keep a setting; when the disk refuses, it is said and nothing else suffers."""
        try:
            self.session.keep_draft(f"paper/{name}", value)
        except StoreError as error:
            self.say(str(error), "error")
        self.show_record()

    def wish(self, what: Paper = Paper.REASSEMBLY) -> Wish:
        """What would be made now; a setting that has become unusable is passed over."""
        form, paper = self.kept_setting("form", Form.PDF), self.kept_setting("paper", "a4")
        kinds = [w for w in self.kept_setting("kinds", "").split(",") if w in [*LabelKind]]
        start = self.kept_setting("start", "1")
        return Wish(
            what,
            Form(form) if form in [*Form] else Form.PDF,
            paper if paper in PAPERS else "a4",
            self.kept_setting("large", "no") == "yes",
            tuple(LabelKind(k) for k in kinds),
            self.kept_setting("sheet", "a4-3x7"),
            int(start) if start.isascii() and start.isdigit() else 1,
            self.kept_setting("outline", "no") == "yes",
        )

    def folder(self) -> Path:
        """Where documents go: the folder `paper` of the book, unless another one was named."""
        named = self.kept_setting("folder", "")
        return Path(named).expanduser() if named else self.session.path / "paper"

    def action_turn(self, name: str) -> None:
        """The next value of a setting."""
        try:
            values = {
                "form": [*map(str, Form)],
                "paper": [*PAPERS],
                "large": ["no", "yes"],
                "outline": ["no", "yes"],
                "sheet": [s.name for s in label_sheets(own_folder())],
            }[name]
        except InputError as error:
            self.say(str(error), "error")
            return
        wish = self.wish()
        now = {"form": str(wish.form), "paper": wish.paper, "sheet": wish.sheet}.get(name)
        if now is None:
            now = "yes" if getattr(wish, name) else "no"
        after = values[(values.index(now) + 1) % len(values)] if now in values else values[0]
        self.keep_setting(name, after)

    def action_ask_kinds(self) -> None:
        """Ask what the labels are for."""
        help_text = f"With commas between: {', '.join(LabelKind)}. Empty: what it has by itself."
        self.query_one(Ask).ask("kinds", "Labels for", ", ".join(self.wish().kinds), help_text)

    def _take_kinds(self, text: str) -> None:
        words = [w.strip().lower() for w in text.split(",") if w.strip()]
        wrong = next((w for w in words if w.removesuffix("s") not in [*LabelKind]), None)
        if wrong is not None:
            raise InputError(f"There are no labels for “{wrong}”. There are: {', '.join(LabelKind)}.")
        self.keep_setting("kinds", ",".join(w.removesuffix("s") for w in words))

    def action_ask_start(self) -> None:
        """Ask for the first free label of a used sheet."""
        help_text = "Counted along the rows from the left upper corner; 1 is a fresh sheet."
        self.query_one(Ask).ask("start", "First free label", str(self.wish().start), help_text, replace=True)

    def _take_start(self, text: str) -> None:
        sheet = sheet_named(self.wish().sheet, own_folder())
        words = text.strip()
        if not (words.isascii() and words.isdigit() and 1 <= int(words[:9]) <= sheet.count):
            raise InputError(f"The sheet “{sheet.name}” has the labels 1 to {sheet.count}.")
        self.keep_setting("start", words)

    def action_ask_folder(self) -> None:
        """Ask for the folder that documents go into."""
        help_text = "A folder that is there. Empty: the folder “paper” of the book."
        self.query_one(Ask).ask("folder", "Into which folder", str(self.folder()), help_text)

    def _take_folder(self, text: str) -> None:
        words = text.strip()
        if words and words != str(self.session.path / "paper"):
            if "\0" in words or not Path(words).expanduser().is_dir():
                raise InputError("There is no such folder. Make it first, or leave this empty.")
            words = str(Path(words).expanduser().resolve())
        else:
            words = ""
        self.keep_setting("folder", words)

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        try:
            self._asked[event.key](event.text)
        except LogbookError as error:
            self.query_one(Ask).refuse(str(error))
            return
        self.query_one(Ask).close()
        self.query_one("#papers", Rows).focus()

    @on(Ask.Left)
    def _left(self) -> None:
        self.query_one("#papers", Rows).focus()

    # Making it

    @on(Rows.Chosen, "#papers")
    def action_make(self) -> None:
        """Make the document under the cursor; on a setting, change it."""
        row = self.query_one("#papers", Rows).current
        group, _, name = row.key.partition(" ") if row is not None else ("", "", "")
        if group == "make":
            self.say(f"Making {name} …")
            self._make(name)
        elif group == "how":
            changes: dict[str, Callable[[], None]] = {
                "form": partial(self.action_turn, "form"),
                "paper": partial(self.action_turn, "paper"),
                "type": partial(self.action_turn, "large"),
                "labels for": self.action_ask_kinds,
                "label sheet": partial(self.action_turn, "sheet"),
                "first free": self.action_ask_start,
                "outlines": partial(self.action_turn, "outline"),
                "folder": self.action_ask_folder,
            }
            changes[name]()

    def _make(self, name: str) -> None:
        try:
            make = self._maker(name)
            folder = self.folder()
            if not folder.exists():
                folder.mkdir(parents=True)
        except LogbookError as error:
            self.say(str(error), "error")
            return
        except OSError as error:
            self.say(f"The folder {self.folder()} cannot be made: {error.strerror}.", "error")
            return
        self._work(make, folder)

    def _maker(self, name: str) -> Callable[[], MadePaper]:
        """Makes the document of that name."""
        if self._guide:
            pages = tuple(map(page_of, TOPICS)) if name == WHOLE else (page_of(self._guide),)
            return partial(make_guide, pages, self.wish(), key_of_action(self.logbook.keymap))
        return self._document() if name == DOCUMENT else self._paper(Paper(name))

    def _paper(self, what: Paper) -> Callable[[], MadePaper]:
        """Makes a paper of the record as it is now."""
        return partial(make_paper, source_of(self.session, self.CODE or SHOP, what), self.wish(what))

    def _document(self) -> Callable[[], MadePaper]:
        """Makes the document of the record as it is now."""
        code = self.CODE or SHOP
        return partial(MadePaper, document_of(self.session, code), document_name(self.session, code))

    @work(thread=True, exclusive=True, exit_on_error=False)
    def _work(self, make: Callable[[], MadePaper], folder: Path) -> None:
        """Make the document while the screen stays alive."""
        try:
            made = make()
            path = put_paper(made, free_place(folder, made.name))
        except LogbookError as error:
            self.app.call_from_thread(self.say, str(error).replace("\n", " "), "error")
            return
        words = f"Made: {path}" + (f". {' '.join(made.notes)}" if made.notes else "")
        self.app.call_from_thread(self.say, clean(words, limit=900), "error" if made.notes else "")
