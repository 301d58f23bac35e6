"""The layout of a unit's parts on the scrap pile: a piece drawn to scale, its cuts to tick, what is spoilt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import InputError, LogbookError
from logbook.layout.asked import PartKind, laid_out_with, layout_for, parts_together, pieces_of, rules_of, without_size
from logbook.layout.at_the_saw import AtTheSaw, finished, reserved_by, ticked, with_layout, without_layout
from logbook.layout.kept import Asked, kept_of, problems_now
from logbook.layout.laying_again import Again, laid_again, to_lay_again
from logbook.layout.records import Layout, Piece
from logbook.layout.reservations import conflicts
from logbook.layout.saw import Saw
from logbook.model.layout_records import KeptLayout, LaidPiece
from logbook.model.unit import Unit
from logbook.render.layout import draw_laid, layout_sentence, layout_text, piece_words, used_words
from logbook.render.plain import clean, fitted, width
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.asking import AskingPlace
from logbook.tui.layout_rows import all_rows, cut_rows, layout_reasons
from logbook.tui.plain import plain
from logbook.tui.screens.page import PageScreen
from logbook.tui.searching import SearchingPlace
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.rows import Row, Rows

NOTHING = (
    "has no {kind} to lay out yet: they stand in its case (section 6), with a size and a measured thickness. "
    "v shows the other parts."
)


class LayoutScreen(AskingPlace, SearchingPlace):
    """Where the parts lie on the pieces, and how they are cut."""

    DRAFTS = "layout"
    ACTS: ClassVar[tuple[Act, ...]] = (
        Act(
            "layout.keep",
            "enter",
            "keep",
            "keep it",
            "Keep this layout with the unit; its pieces are then wanted",
            True,
        ),
        Act("layout.next", "right", "piece(1)", "next piece", "The next piece"),
        Act("layout.previous", "left", "piece(-1)", "piece before", "The piece before"),
        Act("layout.tick", "space", "tick", "cut done", "The cut under the cursor is made; again: it is not", True),
        Act("layout.spoilt", "x", "spoilt", "spoilt", "A part is spoilt: the rest is laid out on what is left", True),
        Act("layout.finish", "f", "finish", "piece done", "Every cut of this piece is made; leftovers go to the pile"),
        Act("layout.reserve", "r", "reserve", "reserve", "Keep it, and write the promise on its pieces", True),
        Act("layout.kind", "v", "kind", "veneer, strips", "Panels, veneer and strips in turn", True),
        Act("layout.all", "g", "all_cuts", "by fence", "All cuts by fence setting, or those of this piece"),
        Act("layout.sheet", "e", "sheet", "cut sheet", "The cut sheet as a page of text", True),
        Act("layout.why", "w", "why", "why", "What it rests on, what found no place, what to buy", True),
        Act("layout.again", "L", "again", "lay out again", "Lay out again what is not cut, on the pile as it is now"),
        Act("layout.units", "u", "units", "together", "Lay the parts of several units out together"),
        Act("layout.drop", "X", "drop", "give up", "Give the kept layout up, while nothing is cut by it"),
    )
    DEFAULT_CSS = """
    LayoutScreen #head { height: 1; padding: 0 1; text-style: bold; }
    LayoutScreen #drawn { height: auto; padding: 0 1; }
    """

    def __init__(self, session: Session, code: str, kind: PartKind = PartKind.PANELS) -> None:
        super().__init__(session)
        self.CODE = code
        self._kind = kind
        self._with: tuple[str, ...] = ()
        self._found: tuple[Asked, KeptLayout] | None = None
        self._anew = False
        """What was found counts in the place of what is kept."""
        self._seed = 1
        self._at = 0
        self._by_fence = False
        self._saw: Saw | None = None
        self._wrong: tuple[str, ...] = ()

    # What is shown

    @property
    def unit(self) -> Unit:
        """The unit whose parts are laid out."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit and which of its parts."""
        kept = layout_for(self.unit, self._kind)
        others = self._with or (kept.with_units if kept is not None else ())
        together = f" with {', '.join(others)}" if others else ""
        return f"{self.CODE} {self.unit.name} / layout of {self._kind}{together}"

    def compose_body(self) -> ComposeResult:
        """The sentence, the piece, its cuts, and a line to type in."""
        yield Static("", id="question", classes="question")
        yield Static("", id="head")
        yield Static("", id="drawn")
        yield Rows(id="cuts")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The cuts."""
        return "#cuts"

    def focus_list(self) -> None:
        """Back to the cuts."""
        self.query_one("#cuts", Rows).focus()

    def show_record(self) -> None:
        """The layout kept, else one that was found, else it is searched."""
        kept = None if self._anew else layout_for(self.unit, self._kind)
        self._saw, self._wrong = None, ()
        if kept is not None:
            self._wrong = problems_now(kept, self.session.shop, self.session.book().units, self.CODE)
            self._saw = None if self._wrong else Saw.of(self.unit, self.session.shop, self._kind)
        elif self._elsewhere():
            self._found = None
        elif self._found is not None and self._found[0] == self._asked():
            self._saw = Saw.of(with_layout(self.unit, self._found[1]), self.session.shop, self._kind)
        elif not self.searching:
            self._lay_out()
        self._show()

    def _elsewhere(self) -> str:
        """The unit in whose layout these parts lie already."""
        return laid_out_with(self.session.book().units.values(), self.CODE, self._kind)

    def _asked(self) -> Asked:
        units, shop = self.session.book().units, self.session.shop
        kerf = self.unit.case.kerf if self.unit.case is not None else None
        rules = rules_of(shop, self.CODE, kerf=kerf, seed=self._seed)
        parts = parts_together([units[c] for c in (self.CODE, *self._with)], self._kind)
        return Asked(parts, pieces_of(shop, rules, units.values(), self._kind), rules)

    def _lay_out(self) -> None:
        asked = self._asked()
        if asked.parts:
            self.search_for(asked, partial(self._found_one, asked))

    def _found_one(self, asked: Asked, layout: Layout) -> None:
        if asked != self._asked():  # the record changed while it was searched
            self._lay_out()
            return
        kept = kept_of(layout, asked, self.session.shop, self._kind, self.session.now, with_units=self._with)
        self._found = (asked, kept)
        self.show_record()
        self.refresh_frame()

    def _show(self) -> None:
        saw = self._saw
        self.query_one("#question", Static).update(plain(self._question(), limit=500))
        rows = self.query_one("#cuts", Rows)
        if saw is None or not saw.pieces:
            self.query_one("#head", Static).update("")
            self.query_one("#drawn", Static).update("")
            rows.show(cut_rows(saw, "", self.room) if saw is not None else self._sorry())
            return
        self._at = max(0, min(self._at, len(saw.pieces) - 1))
        piece = saw.pieces[self._at]
        laid = saw.laid(piece.code)
        room = self.columns - 2
        self.query_one("#head", Static).update(plain(self._head(saw, piece, laid, room)))
        most = max(4, min(self.size.height // 2, self.size.height - 15))
        self.query_one("#drawn", Static).update(plain("\n".join(draw_laid(saw, piece.code, room, most)), lines=True))
        rows.show(all_rows(saw, self.room) if self._by_fence else cut_rows(saw, piece.code, self.room))

    def _head(self, saw: Saw, piece: Piece, laid: LaidPiece, room: int) -> str:
        """The piece and how much of it is used; where it lies gives way first."""
        used = f"{'CUT ' if laid.finished else ''}{used_words(saw.layout, piece)}"
        words = clean(f"{self._at + 1}/{len(saw.pieces)}  {piece_words(piece)}", limit=200)
        place = clean(f"  {laid.piece.place}", limit=100)
        if width(words) + width(place) + 2 + width(used) <= room:
            words += place
        left = max(10, room - width(used) - 2)
        return f"{fitted(words, left)}  {used}"

    def _sorry(self) -> list[Row]:
        return [Row(f"wrong {i}", (clean(w, limit=300),), "warning") for i, w in enumerate(self._wrong)]

    def _question(self) -> str:
        if self._wrong:
            return f"NOT AS LAID OUT: {self._wrong[0]} L lays out again what is not cut."
        if self._saw is None:
            if self.searching:
                return "Laying out on the scrap pile."
            if other := self._elsewhere():
                return f"The {self._kind} of {self.CODE} lie in the layout of {other}. Open that one."
            return f"{self.CODE} {NOTHING.format(kind=self._kind)}"
        saw, pieces = self._saw, set(self._saw.layout.used)
        words = f"{layout_sentence(saw.layout, self._kind)} Checked."
        made, of = len(saw.kept.done), len(saw.layout.cuts)
        words += f" {made} of {of} cuts made." if made else " Kept." if self._is_kept else " Enter keeps it."
        twice = [
            c.sentence for c in conflicts(self.session.shop, self.session.book().units.values()) if c.piece in pieces
        ]
        sizes = without_size(self.unit)
        words += f" CONFLICT: {twice[0]}" if twice else ""
        return words + (f" No size yet: {', '.join(sizes)}." if sizes and self._kind is PartKind.PANELS else "")

    @property
    def _is_kept(self) -> bool:
        return not self._anew and layout_for(self.unit, self._kind) is not None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what is not kept can be kept."""
        if action == "keep" and self.is_mounted and self._is_kept:
            return False
        return super().check_action(action, parameters)

    def action_piece(self, by: int) -> None:
        """To another piece."""
        if self._saw is not None and self._saw.pieces:
            self._at = (self._at + by) % len(self._saw.pieces)
            self._show()

    def action_kind(self) -> None:
        """To the next kind of parts."""
        kinds = list(PartKind)
        self._kind = kinds[(kinds.index(self._kind) + 1) % len(kinds)]
        self._forget()

    def _forget(self) -> None:
        self._found, self._anew, self._at, self._by_fence, self._seed = None, False, 0, False, 1
        self.stop_search()
        self.searching = False
        self.show_record()
        self.refresh_frame()

    def action_all_cuts(self) -> None:
        """All cuts, or those of the piece."""
        self._by_fence = not self._by_fence
        self._show()

    def action_back(self) -> None:
        """Stop the search; else leave what was laid out anew; else go back."""
        if self.searching:
            self.stop_search()
        elif self._anew:
            self._forget()
            self.say("The layout that was kept is shown again.")
        else:
            super().action_back()

    # At the saw

    def _shown_unit(self) -> Unit:
        """The unit with the layout that is shown."""
        if self._saw is None:
            raise InputError("There is no layout here. L lays out again.")
        return self.unit if self._is_kept else with_layout(self.unit, self._saw.kept)

    def _do(self, act: Callable[[], AtTheSaw]) -> bool:
        """Do something at the saw: unit and pile change as one."""
        try:
            after = act()
        except LogbookError as error:
            self.say(str(error), "error")
            return False
        self._anew = False
        return self._keep(after)

    def _keep(self, after: AtTheSaw) -> bool:
        what = f"{self.CODE}: {after.said}"
        if after.shop is self.session.shop:
            return self.tried(f"{after.said}.", partial(self.session.apply, self.CODE, what, lambda _: after.unit))
        both = partial(self.session.apply_together, self.CODE, what, lambda *_: (after.unit, after.shop))
        return self.tried(f"{after.said}.", both)

    @on(Rows.Chosen, "#cuts")
    def action_keep(self) -> None:
        """Keep the layout."""
        if self._is_kept:
            self.say("It is kept. Space ticks the cut under the cursor.")
        else:
            kept = f"layout of its {self._kind} kept"
            self._do(lambda: AtTheSaw(self._shown_unit(), self.session.shop, kept))

    def action_reserve(self) -> None:
        """Keep it and promise its pieces."""
        self._do(lambda: reserved_by(self._shown_unit(), self.session.shop, self._kind))

    def action_tick(self) -> None:
        """The cut is made, or not."""
        row = self.query_one("#cuts", Rows).current
        if row is None or not row.key.startswith("cut "):
            self.say("Put the cursor on a cut.", "error")
            return
        order = int(row.key.removeprefix("cut "))
        was = self._saw is not None and order in self._saw.kept.done
        today = self.session.today
        if self._do(lambda: ticked(self._shown_unit(), self.session.shop, self._kind, order, today)) and not was:
            self._to_next(order)

    def _to_next(self, order: int) -> None:
        """The cursor goes on to the next cut that is listed here and not made."""
        if self._saw is None:
            return
        rows = self.query_one("#cuts", Rows)
        listed = [int(r.key[4:]) for r in rows.rows if r.key.startswith("cut ")]
        following = next((n for n in listed if n > order and n not in self._saw.kept.done), None)
        if following is not None:
            rows.go_to(f"cut {following}")

    def action_finish(self) -> None:
        """The piece is cut."""
        if self._saw is not None and self._saw.pieces:
            code, today = self._saw.pieces[self._at].code, self.session.today
            self._do(lambda: finished(self._shown_unit(), self.session.shop, self._kind, code, today))

    def action_drop(self) -> None:
        """Give the layout up."""
        given_up = f"layout of its {self._kind} given up"
        self._do(lambda: AtTheSaw(without_layout(self.unit, self._kind), self.session.shop, given_up))

    # Laying out again

    def action_spoilt(self) -> None:
        """Ask which part."""
        if self._saw is None:
            return
        row = self.query_one("#cuts", Rows).current
        here = next((c for c in self._saw.layout.cuts if row is not None and row.key == f"cut {c.order}"), None)
        parts = [p.part for p in self._saw.layout.placements]
        value = here.keep if here is not None and here.keep in parts else ""
        how = f"Its code: {', '.join(dict.fromkeys(parts))}. Several with blanks between."
        self.ask("spoilt", "spoilt part", value, how, self._spoil, replace=True)

    def _spoil(self, text: str) -> None:
        codes = text.replace(",", " ").split()
        if not codes:
            raise InputError("Type the code of the part that is spoilt, or leave with Esc.")
        self._again(codes)

    def action_again(self) -> None:
        """Lay out again."""
        kept = layout_for(self.unit, self._kind)
        if kept is not None and (kept.done or kept.cut):
            self._again(())
            return
        self._anew = kept is not None
        self._seed = self._seed + 1 if self._found is not None else self._seed
        self._found = None
        self.show_record()

    def _again(self, spoilt: tuple[str, ...] | list[str]) -> None:
        units, shop, unit = self.session.book().units, self.session.shop, self._shown_or_kept()
        today = self.session.today
        again = to_lay_again(unit, shop, units, self._kind, today, spoilt=spoilt)
        before = (self.unit, shop)
        if again.asked.parts:
            self.search_for(again.asked, partial(self._laid_again, again, before))
        else:
            self._do(lambda: laid_again(again, Layout(), self.session.now))

    def _shown_or_kept(self) -> Unit:
        return self.unit if self._wrong else self._shown_unit()

    def _laid_again(self, again: Again, before: tuple[Unit, object], layout: Layout) -> None:
        if (self.unit, self.session.shop) != before:
            self.say("The record changed meanwhile; nothing was laid out again.", "error")
            return
        self._at = 0
        self._do(lambda: laid_again(again, layout, self.session.now))

    def action_units(self) -> None:
        """Ask which units."""
        others = [c for c in self.session.codes() if c != self.CODE]
        how = f"Codes of other units, with blanks between: {' '.join(others[:12])}. Empty: {self.CODE} alone."
        self.ask("units", "together with", " ".join(self._with), how, self._together, replace=True)

    def _together(self, text: str) -> None:
        codes = tuple(dict.fromkeys(c.upper() for c in text.replace(",", " ").split() if c.upper() != self.CODE))
        unknown = next((c for c in codes if c not in self.session.codes()), None)
        if unknown is not None:
            raise InputError(f"There is no unit {unknown} in this book.")
        kept = layout_for(self.unit, self._kind)
        if kept is not None:
            raise InputError("A layout is kept here. X gives it up first, while nothing is cut.")
        self._with = codes
        self._forget()

    # Pages

    def action_why(self) -> None:
        """What it rests on."""
        if self._saw is None:
            self.say(self._question())
            return
        said = partial(lambda saw: list(layout_reasons(saw)), self._saw)
        self.app.push_screen(PageScreen(self.session, self.CODE, "layout / why", self._question(), said))

    def action_sheet(self) -> None:
        """The cut sheet."""
        if self._saw is None:
            self.say(self._question())
            return
        page = PageScreen(
            self.session, self.CODE, "cut sheet", "As it goes to the saw.", partial(self._lines, self._saw)
        )
        self.app.push_screen(page)

    def _lines(self, saw: Saw) -> list[str]:
        text = layout_text(self.unit, [replace(saw)], width=self.room)
        return ["\u00a0" * (len(x) - len(x.lstrip())) + x.lstrip() for x in text.splitlines()]
