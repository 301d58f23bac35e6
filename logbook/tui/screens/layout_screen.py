"""The layout of a unit's parts on the scrap pile: pieces drawn to scale, their cuts to tick, what is spoilt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Vertical

from logbook.errors import InputError, LogbookError
from logbook.layout.asked import PartKind, laid_out_with, layout_for, parts_together, pieces_of, rules_of, without_size
from logbook.layout.at_the_saw import AtTheSaw, finished, reserved_by, ticked, with_layout, without_layout
from logbook.layout.cut_records import Layout
from logbook.layout.kept import Asked, kept_of, problems_now
from logbook.layout.laying_again import Again, laid_again, to_lay_again
from logbook.layout.reservations import conflicts
from logbook.layout.saw import Saw
from logbook.model.layout_records import KeptLayout
from logbook.model.unit import Unit
from logbook.render.layout_document import layout_sentence, layout_text
from logbook.render.plain import clean
from logbook.session import Session
from logbook.tui.actions import Act
from logbook.tui.asking import AskingPlace
from logbook.tui.layout_drawing import Shown, all_pieces, one_piece, part_names
from logbook.tui.layout_rows import cut_entries, layout_reasons, mirrors_of, part_lines
from logbook.tui.layout_worker import SearchingPlace
from logbook.tui.look.bars import progress
from logbook.tui.look.inks import Line, Span, flow, hanging, line, signal, width_of
from logbook.tui.plain_content import plain
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.entries import Entries, ListEntry, entry
from logbook.tui.widgets.pane import BREAKPOINTS, BROAD, WIDE, Pane
from logbook.tui.widgets.rows import Rows
from logbook.tui.widgets.signs import glyphs_now

NOTHING = (
    "has no {kind} to lay out yet: they stand in its case (section 6), with a size and a measured thickness. "
    "v shows the other parts."
)


class LayoutScreen(AskingPlace, SearchingPlace):
    """Where the parts lie on the pieces, and how they are cut."""

    TOPIC = "pile-and-saw"
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
        Act("layout.reserve", "K", "reserve", "reserve", "Keep it, and reserve its pieces", True),
        Act("layout.kind", "v", "kind", "veneer, strips", "Panels, veneer and strips in turn", True),
        Act("layout.all", "g", "all_cuts", "by fence", "All cuts by fence setting, or those of this piece"),
        Act("layout.sheet", "e", "sheet", "cut sheet", "The cut sheet as a page of text", True),
        Act("layout.why", "w", "why", "why", "What it rests on, what found no room, what to buy", True),
        Act("layout.again", "L", "again", "lay out again", "Lay out again what is not cut, on the pile as it is now"),
        Act("layout.units", "A", "units", "together", "Lay the parts of several units out together"),
        Act("layout.drop", "X", "drop", "give up", "Give the kept layout up, while nothing is cut by it"),
    )
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    LayoutScreen #question { max-height: 4; }
    LayoutScreen #body { height: 1fr; layout: vertical; }
    LayoutScreen #pieces { height: auto; max-height: 60%; }
    LayoutScreen #beside { height: 1fr; }
    LayoutScreen #parts { display: none; }
    LayoutScreen.-wide #body, LayoutScreen.-broad #body { layout: horizontal; }
    LayoutScreen.-wide #pieces, LayoutScreen.-broad #pieces { height: 1fr; max-height: 100%; }
    LayoutScreen.-wide #beside { width: 48; }
    LayoutScreen.-broad #beside { width: 68; }
    LayoutScreen.-broad #parts { display: block; height: auto; max-height: 40%; }
    """

    def __init__(self, session: Session, code: str, kind: PartKind = PartKind.PANELS) -> None:
        super().__init__(session)
        self.CODE = code
        self._kind = kind
        self._titled = ""
        """What stands over the cuts."""
        self._with: tuple[str, ...] = ()
        self._found: tuple[Asked, KeptLayout] | None = None
        self._anew = False
        """What was found counts in the place of what is kept."""
        self._seed = 1
        self._at = 0
        self._by_fence: bool | None = None
        """All cuts, or those of one piece; None: all where there is room for all pieces."""
        self._saw: Saw | None = None
        self._wrong: tuple[str, ...] = ()
        self._top = 0
        """Row of the drawing where the piece that is worked on begins."""

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
        """The answer, the pieces, their cuts, the parts, and a line to type in."""
        yield Pane(self._answer, id="question", classes="-bare")
        with Vertical(id="body"):
            yield Pane(self._pieces, id="pieces", title="Pieces")
            with Vertical(id="beside"):
                yield Entries(id="cuts")
                yield Pane(self._parts, id="parts", title="Parts")
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
        if saw is not None and saw.pieces:
            self._at = max(0, min(self._at, len(saw.pieces) - 1))
        cuts = self.query_one("#cuts", Entries)
        cuts.show(self._entries())
        drawn = saw is not None and bool(saw.pieces)
        self.query_one("#pieces", Pane).display = drawn
        parts = self.query_one("#parts", Pane)
        parts.set_class(not drawn, "-none")
        for pane in self.query(Pane):
            pane.update()
        self._entitle()
        self._follow()

    def _entitle(self) -> None:
        saw = self._saw
        cuts = self.query_one("#cuts", Entries)
        if saw is None or not saw.pieces:
            self._titled = cuts.border_title = "Layout"
            cuts.border_subtitle = ""
            return
        one = saw.pieces[self._at].code
        title = "Cuts, in order" if self._shows_all else f"Cuts of {clean(one, limit=40)}"
        if self._titled != title:
            self._titled = title
            cuts.border_title = plain(title)
        here = f"Piece {self._at + 1} of {len(saw.pieces)}" if self.columns < WIDE else "Pieces"
        self.query_one("#pieces", Pane).entitle(here)

    @property
    def _shows_all(self) -> bool:
        """Whether the cuts of all pieces are listed."""
        return self.columns >= WIDE if self._by_fence is None else self._by_fence

    @property
    def _list_columns(self) -> int:
        """Columns for the text of a cut: beside the frame, the cursor's bar and the scroll bar."""
        if self.columns >= BROAD:
            return 68 - 5
        return 48 - 5 if self.columns >= WIDE else self.columns - 3

    def _entries(self) -> list[ListEntry]:
        saw, columns = self._saw, self._list_columns
        if saw is None:
            more = enumerate(self._wrong[1:], 1)  # the first stands above
            return [entry(f"wrong {number}", flow((Span(clean(words), "bad"),), columns)) for number, words in more]
        code = "" if self._shows_all or not saw.pieces else saw.pieces[self._at].code
        return cut_entries(saw, code, columns, glyphs_now(), mirrors_of(saw, self._units_laid_out()))

    # What is drawn

    def _names(self) -> dict[str, str]:
        """What each part is called."""
        return part_names(self._units_laid_out())

    def _units_laid_out(self) -> list[Unit]:
        """This unit, and those whose parts are cut with its own."""
        units = self.session.book().units
        others = self._saw.kept.with_units if self._saw is not None else ()
        return [units[code] for code in (self.CODE, *others) if code in units]

    def _shown(self, saw: Saw) -> Shown:
        row = self.query_one("#cuts", Entries).current
        under = next((c for c in saw.layout.cuts if row is not None and row.key == f"cut {c.order}"), None)
        here = saw.pieces[self._at].code
        return Shown(saw, self._names(), here, under.keep if under is not None else "", glyphs_now())

    def _pieces(self, columns: int, rows: int) -> list[Line]:
        """All pieces where there is room, else the one that is worked on."""
        saw = self._saw
        if saw is None or not saw.pieces:
            return []
        shown = self._shown(saw)
        if self.columns >= WIDE:
            lines, self._top = all_pieces(shown, columns, rows)
            return lines
        self._top = 0
        return one_piece(shown, saw.pieces[self._at], columns, max(6, (self.size.height - 5) * 6 // 10 - 1))

    def _parts(self, columns: int, _rows: int) -> list[Line]:
        if self._saw is None:
            return []
        return part_lines(self._saw, self._names(), columns, mirrors_of(self._saw, self._units_laid_out()))

    @on(Entries.Rested, "#cuts")
    def _follow(self) -> None:
        """The drawing follows the cut under the cursor."""
        saw = self._saw
        if saw is None or not saw.pieces:
            return
        row = self.query_one("#cuts", Entries).current
        cut = next((c for c in saw.layout.cuts if row is not None and row.key == f"cut {c.order}"), None)
        codes = [piece.code for piece in saw.pieces]
        if cut is not None and cut.piece in codes:
            self._at = codes.index(cut.piece)
        pane = self.query_one("#pieces", Pane)
        pane.update()
        pane.scroll_to(y=self._top, animate=False)
        self._entitle()

    def _answer(self, columns: int, _rows: int) -> list[Line]:
        """What the layout comes to, and how far it is cut."""
        saw = self._saw
        if saw is None:
            words = self._nothing()
            if self._wrong:
                return hanging(line(signal("NOT AS LAID OUT", "bad"), " "), words, columns, "bold")
            return flow((Span(words, "bold"),), columns)
        first, _, proven = layout_sentence(saw.layout, self._kind).partition(". ")
        made, of = len(saw.kept.done), len(saw.layout.cuts)
        how = f"{made} of {of} cuts made." if made else "Kept." if self._is_kept else "Enter keeps it."
        said = f"{first.rstrip('.')}."
        rows = flow((Span(said, "bold"), Span(f" {proven} Checked.", "muted"), Span(f" {how}")), columns)
        room = min(24, columns - width_of(rows[-1]) - 2)
        if made and room >= 8:
            rows[-1] = line(rows[-1], "  ", self._bar(saw, room))
        return [*rows, *self._not_yet(saw, columns)]

    def _bar(self, saw: Saw, columns: int) -> Line:
        """Cuts made, the next ones that can be made, and those behind them."""
        made = len(saw.kept.done)
        open_ = [cut for cut in saw.layout.cuts if cut.order not in saw.kept.done]
        before = [saw.before(cut.order) for cut in open_]
        ready = sum(cut is None or cut.order in saw.kept.done for cut in before)
        parts = ((made, "good"), (ready, "accent"), (len(open_) - ready, "rule"))
        return progress(parts, columns, glyphs_now())

    def _not_yet(self, saw: Saw, columns: int) -> list[Line]:
        """What two layouts want, and what has no size."""
        pieces, units = set(saw.layout.used), self.session.book().units.values()
        twice = [c.sentence for c in conflicts(self.session.shop, units) if c.piece in pieces]
        sizes = without_size(self.unit) if self._kind is PartKind.PANELS else ()
        rows = hanging(line(signal("CONFLICT", "bad"), " "), clean(twice[0]), columns) if twice else []
        if sizes:
            rows += hanging(
                line(signal("NO SIZE", "wait"), " "), f"{', '.join(sizes)}: measure, then lay out.", columns
            )
        return rows

    def _nothing(self) -> str:
        """Why there is no layout."""
        if self._wrong:
            return f"{self._wrong[0]} L lays out again what is not cut."
        if self.searching:
            return "Laying out on the scrap pile."
        if other := self._elsewhere():
            return f"The {self._kind} of {self.CODE} lie in the layout of {other}. Open that one."
        return f"{self.CODE} {NOTHING.format(kind=self._kind)}"

    @property
    def _is_kept(self) -> bool:
        return not self._anew and layout_for(self.unit, self._kind) is not None

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what is not kept can be kept."""
        if action == "keep" and self.is_mounted and self._is_kept:
            return False
        return super().check_action(action, parameters)

    def action_piece(self, by: int) -> None:
        """To another piece, and in the list of all cuts to its first one that is not made."""
        saw = self._saw
        if saw is None or not saw.pieces:
            return
        self._at = (self._at + by) % len(saw.pieces)
        if self._shows_all:
            on_it = saw.cuts_on(saw.pieces[self._at].code)
            open_ = [cut for cut in on_it if cut.order not in saw.kept.done]
            if first := next(iter((*open_, *on_it)), None):
                self.query_one("#cuts", Entries).go_to(f"cut {first.order}")
        self._show()

    def action_kind(self) -> None:
        """To the next kind of parts."""
        kinds = list(PartKind)
        self._kind = kinds[(kinds.index(self._kind) + 1) % len(kinds)]
        self._forget()

    def _forget(self) -> None:
        self._found, self._anew, self._at, self._by_fence, self._seed = None, False, 0, None, 1
        self.stop_search()
        self.searching = False
        self.show_record()
        self.refresh_frame()

    def action_all_cuts(self) -> None:
        """All cuts, or those of the piece."""
        self._by_fence = not self._shows_all
        self._show()

    def action_back(self) -> None:
        """Stop the search; else leave what was laid out anew; else go back."""
        if self.searching:
            self.stop_search()
            self.say("Stopping: the best so far is put together.")
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
            self.say(self._nothing())
            return
        said = partial(lambda saw: list(layout_reasons(saw, self.session.shop.settings)), self._saw)
        self.app.push_screen(
            PageScreen(self.session, self.CODE, "layout / why", layout_sentence(self._saw.layout, self._kind), said)
        )

    def action_sheet(self) -> None:
        """The cut sheet."""
        if self._saw is None:
            self.say(self._nothing())
            return
        page = PageScreen(
            self.session, self.CODE, "cut sheet", "As it goes to the saw.", partial(self._lines, self._saw)
        )
        self.app.push_screen(page)

    def _lines(self, saw: Saw) -> list[str]:
        text = layout_text(self.unit, [replace(saw)], width=self.room)
        return ["\u00a0" * (len(x) - len(x.lstrip())) + x.lstrip() for x in text.splitlines()]
