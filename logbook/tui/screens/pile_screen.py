"""The scrap pile: every piece a line, the one under the cursor drawn, and a new one from one line of words."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Input, Static

from logbook.errors import InputError
from logbook.layout.pile_line import add_piece, read_piece, reading_words
from logbook.layout.pile_view import ORDERS, Look, in_order, passes, pile_sentence
from logbook.layout.reservations import claims_on
from logbook.model.paths import put_at, removed_at
from logbook.model.shop import Offcut, Shop
from logbook.model.usual_fields import example_of
from logbook.render.pile_document import piece_facts
from logbook.render.plain import clean, wrapped
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.asking import AskingPlace
from logbook.tui.layout_door import TO_THE_LAYOUT, open_layout
from logbook.tui.look.inks import BLANK, Line, text_of
from logbook.tui.pile_drawing import piece_lines
from logbook.tui.pile_rows import piece_in_full, pile_entries
from logbook.tui.plain_content import plain
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

HOW = (
    "What it is, size, thickness by calliper at three places, then in any order: "
    f"{example_of(Offcut)}, value 4, shelf 2, end 40 split, true 1, for R1 top"
)
DRAWN = 8
"""Lines below the list for the piece under the cursor."""


class PileScreen(AskingPlace):
    """The pieces to cut from."""

    TOPIC = "pile-and-saw"
    DRAFTS = "pile"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act("pile.add", "a", "add", "add", "Write a piece down in one line of words", True),
        Act("pile.open", "enter", "open", "all fields", "All fields of the piece under the cursor, defects too", True),
        Act("pile.reserve", "K", "reserve", "reserve", "Promise the piece to a unit, or free it again", True),
        Act("pile.order", "o", "order", "order", "By number, material, size, age, value, place in turn", True),
        Act("pile.narrow", "f", "narrow", "narrow", "Only pieces with these words, or that hold a size", True),
        TO_THE_LAYOUT,
        Act("pile.why", "w", "why", "why", "Everything about the piece: defects, who it is reserved for, keep rule"),
        Act("pile.measure", "t", "measure", "thickness", "Type the thickness by calliper, at up to three places"),
        Act("pile.out", "x", "out", "take out", "Take the piece off the pile (undo brings it back)"),
    )
    DEFAULT_CSS = f"""
    PileScreen #drawn {{ height: {DRAWN}; padding: 0 1; }}
    """

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._by = ORDERS[0]
        self._words = ""
        self._wanted = ""

    def place(self) -> str:
        """The place, how it is narrowed and in which order it stands."""
        narrowed = f", only {self._words}" if self._words else ""
        return f"Store / scrap pile by {self._by}{narrowed}"

    def story_of(self) -> str:
        """The shop's story."""
        return ""

    def compose_body(self) -> ComposeResult:
        """The sentence, the pieces, the one under the cursor, and the line to type in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("pile", "Pieces", self._in_full)
        yield Static("", id="drawn")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The pieces."""
        return "#pile"

    def focus_list(self) -> None:
        """Back to the pieces."""
        self.query_one("#pile", Rows).focus()
        self._show_piece()

    def look(self) -> Look:
        """The pile with who wants what of it today."""
        book = self.session.book()
        return Look(book.shop, claims_on(book.shop, book.units.values()), self.session.today)

    def show_record(self) -> None:
        """The pieces that pass, in the order chosen."""
        look, rows = self.look(), self.query_one("#pile", Rows)
        pieces = [o for o in in_order(look.shop.offcuts, self._by) if passes(o, self._words, look)]
        shown = f" Shown: {len(pieces)}." if self._words else ""
        self.query_one("#question", Static).update(plain(f"{pile_sentence(look)}{shown}", limit=400))
        self.query_one(ListBeside).show(pile_entries(pieces, look, list_columns(self.columns)))
        if self._wanted:
            rows.go_to(self._wanted)
            self._wanted = ""
        self._show_piece()

    def select(self, kind: str, code: str) -> None:  # noqa: ARG002 - as every place has it
        """Put the cursor on a piece."""
        self.query_one("#pile", Rows).go_to(code)

    def piece(self) -> Offcut | None:
        """The piece under the cursor."""
        row = self.query_one("#pile", Rows).current
        return next((o for o in self.session.shop.offcuts if row is not None and o.code == row.key), None)

    @on(Rows.Moved)
    def _moved(self) -> None:
        self._show_piece()

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The piece under the cursor, drawn and in words."""
        piece = self.piece()
        return [BLANK] if piece is None else piece_in_full(piece, self.look(), columns)

    def _show_piece(self) -> None:
        """The piece under the cursor drawn below the list, unless it stands beside it or a line is typed."""
        if self.query_one(Ask).is_open:
            self.query_one("#drawn").display = True
            return
        piece = self.piece()
        is_beside = self.columns >= WIDE and piece is not None
        self.query_one("#drawn").display = not is_beside
        if is_beside:
            return
        if piece is None:
            nothing = f"No piece has “{self._words}”. f narrows by other words; empty shows all." if self._words else ""
            self._draw_below([clean(nothing)])
            return
        look = self.look()
        facts = list(piece_facts(piece, look.claims.get(piece.code, ()), look))
        said = next((f for f in facts if f.startswith(("CONFLICT", "Shared", "Not measured", "DAMP"))), "")
        lines = self._drawn(piece, DRAWN - bool(said))
        self._draw_below([*lines, clean(said, limit=400)])

    def _draw_below(self, lines: list[str]) -> None:
        self.query_one("#drawn", Static).update(plain("\n".join(lines[:DRAWN]), lines=True))

    # A line of words

    def action_add(self) -> None:
        """Ask for a piece in a line."""
        self.ask("line", "piece", "", HOW, self._keep_line)
        self._show_piece()

    @on(Input.Changed, "#ask-line")
    def _typing(self, event: Input.Changed) -> None:
        ask = self.query_one(Ask)
        if not ask.is_open or ask.key != "line":
            return
        reading = read_piece(event.value, self.session.shop, self.session.today)
        words = wrapped(clean(f"reads: {reading_words(reading)}", limit=900), self.columns - 2)
        doubts = [line for p in reading.problems for line in wrapped(clean(f"! {p}", limit=200), self.columns - 2)]
        above = [*words, *doubts][: DRAWN if reading.piece is None else DRAWN - 3]
        drawn = self._drawn(reading.piece, DRAWN - len(above)) if reading.piece is not None else []
        self._draw_below([*above, *drawn])

    def _drawn(self, piece: Offcut, rows: int) -> list[str]:
        """The piece as large as so many rows below the list allow."""
        return [text_of(row) for row in piece_lines(piece, self.columns - 2, rows, glyphs_now())]

    def _keep_line(self, text: str) -> None:
        reading = read_piece(text, self.session.shop, self.session.today)
        piece = reading.piece
        if piece is None:
            why = f" {reading.problems[0]}" if reading.problems else ""
            raise InputError(f"Still to say: {', '.join(reading.missing)}.{why}")
        self._wanted = piece.code
        self._kept(f"{piece.code} {piece.material} onto the pile", partial(add_piece, piece=piece))
        mark = "write its number on two faces"
        self.say(
            f"{piece.code} is on the pile; {mark}." + (f" {reading.problems[0]}" if reading.problems else ""), "good"
        )

    def _kept(self, what: str, edit: Callable[[Shop], Shop]) -> None:
        """Keep an edit that answers a question. Raises InputError when it is refused or not kept."""
        if not self.tried(what, partial(self.session.apply_shop, clean(what, limit=200), edit)):
            raise InputError("It was not kept; it stays here.")

    # The piece under the cursor

    def _needed(self) -> Offcut | None:
        piece = self.piece()
        if piece is None:
            self.say("There is no piece under the cursor: a writes one down.", "error")
        return piece

    @on(Rows.Chosen, "#pile")
    def action_open(self) -> None:
        """All fields."""
        if (piece := self._needed()) is not None:
            self.app.push_screen(FormScreen(self.session, "", ("offcuts", piece.code)))

    def action_why(self) -> None:
        """Everything about it."""
        if (piece := self._needed()) is None:
            return
        code = piece.code

        def facts() -> list[str]:
            look = self.look()
            found = next((o for o in look.shop.offcuts if o.code == code), None)
            return list(piece_facts(found, look.claims.get(code, ()), look)) if found else ["It left the pile."]

        self.app.push_screen(PageScreen(self.session, "", f"scrap pile / {code}", f"What is known of {code}", facts))

    def action_reserve(self) -> None:
        """Ask for whom."""
        if (piece := self._needed()) is not None:
            how = f"A unit and what for, such as {next(iter(self.session.codes()), 'R1')} top; empty frees the piece"
            then = partial(self._reserve, piece.code)
            self.ask(f"for {piece.code}", f"{piece.code} for", piece.reserved_for, how, then)

    def _reserve(self, code: str, text: str) -> None:
        words = " ".join(text.split())
        what = f"{code} reserved for {words}" if words else f"{code} free again"
        self._kept(what, lambda shop: put_at(shop, ("offcuts", code, "reserved_for"), words))
        look = self.look()
        claims = look.claims.get(code, ())
        twice = next((f for o in look.shop.offcuts if o.code == code for f in piece_facts(o, claims, look)
                      if f.startswith("CONFLICT")), "")  # fmt: skip
        self.say(twice or f"{what}.", "error" if twice else "good")

    def action_measure(self) -> None:
        """Ask for the thickness."""
        if (piece := self._needed()) is not None:
            value = " ".join(t.typed or t.in_mm() for t in piece.thickness)
            how = "By calliper at up to three places, with blanks between: 11.8 11.9 11.8"
            then = partial(self._measure, piece.code)
            self.ask(f"thick {piece.code}", f"{piece.code} measures", value, how, then, replace=True)

    def _measure(self, code: str, text: str) -> None:
        if not text.strip():
            self.say(f"Nothing typed: the thickness of {code} stays as it was. Enter opens all fields, to clear it.")
            return
        reading = read_piece(f"x, 1 x 1, thick {text}", self.session.shop, self.session.today)
        readings = reading.piece.thickness if reading.piece is not None else ()
        if not readings:
            raise InputError("Type one to three thicknesses, like 11.8 11.9 11.8.")
        self._kept(f"{code} measured: {text.strip()}", lambda s: put_at(s, ("offcuts", code, "thickness"), readings))

    def action_out(self) -> None:
        """Off the pile."""
        if (piece := self._needed()) is not None:
            what = f"{piece.code} {clean(piece.material, limit=60)} off the pile"
            self.tried(
                f"{what}; z brings it back.",
                partial(self.session.apply_shop, what, lambda s: removed_at(s, ("offcuts", piece.code))),
            )

    # How the pile is looked at

    def action_order(self) -> None:
        """The next order."""
        self._by = ORDERS[(ORDERS.index(self._by) + 1) % len(ORDERS)]
        self.show_record()
        self.refresh_frame()
        self.say(f"By {self._by}." if self._by != "number" else "By number.")

    def action_narrow(self) -> None:
        """Ask for words."""
        how = (
            "Words of the piece, a unit, a size it must hold (484x235), a kind (sheet solid strip veneer), or: free "
            "reserved twice old unmeasured damp"
        )
        self.ask("narrow", "only", self._words, how, self._narrow, replace=True)

    def _narrow(self, text: str) -> None:
        self._words = " ".join(text.split())
        self.show_record()
        self.refresh_frame()

    def action_layout(self) -> None:
        """The parts of a unit on the pile."""
        open_layout(self)
