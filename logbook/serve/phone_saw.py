"""At the saw with the phone: one piece drawn to scale, its cuts in order, the next one large; Cut and Spoilt."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, Iterator, Mapping
from functools import partial
from typing import Any, NamedTuple
from urllib.parse import quote

from logbook.errors import InputError
from logbook.layout.asked import PartKind, layout_for
from logbook.layout.at_the_saw import AtTheSaw, ticked
from logbook.layout.checker import problems_of
from logbook.layout.cut_records import Cut, Layout, Node, Piece
from logbook.layout.kept import problems_now
from logbook.layout.laying_again import Again, laid_again, to_lay_again
from logbook.layout.layout_search import search
from logbook.layout.saw import Saw
from logbook.render.blocks import Drawing, Shape
from logbook.render.cut_sheet import drawn_piece
from logbook.render.layout_document import SAFETY, cut_words, is_knife, piece_words, setting_words, used_words
from logbook.serve.phone_answer import ASKS, PhoneAnswer, last_of_phone, taken_back
from logbook.serve.phone_form import PhoneForm
from logbook.session import Session
from logbook.session.sent_changes import SentChange, sent_change

COLUMNS = 80
"""Of the drawing in characters, which stands for the picture where none is shown."""
LETTERS = 22
"""A letter of the drawing is so many times smaller than the piece is long."""


class DrawnShape(NamedTuple):
    """A rectangle of the drawing in millimetres from its upper left corner."""

    x: float
    y: float
    length: float
    width: float
    kind: str
    label: str


class DrawnCut(NamedTuple):
    """A cut as a line of the drawing, in the same millimetres."""

    x1: float
    y1: float
    x2: float
    y2: float
    standing: str
    """`done`, `next` or empty."""


class PieceDrawn(NamedTuple):
    """A piece to scale. Its figures are for drawing alone; the record keeps exact lengths."""

    length: float
    width: float
    letter: float
    shapes: tuple[DrawnShape, ...]
    cuts: tuple[DrawnCut, ...]
    in_words: str


class CutHere(NamedTuple):
    """A cut of the list."""

    order: int
    setting: str
    words: str
    warning: str
    standing: str
    """`made`, `next` or `then`."""
    keep: str


class SawHere(NamedTuple):
    """What the page shows."""

    kind: str
    piece: str
    title: str
    used: str
    drawn: PieceDrawn
    cuts: tuple[CutHere, ...]
    next: CutHere | None
    parts: tuple[str, ...]
    """Codes of the parts that can be said to be spoilt."""
    pieces: tuple[tuple[str, str], ...]
    """Code and how far it is, of every piece."""
    made: str


class SawPages:
    """The pages of the kept layouts of a unit."""

    def __init__(self, session: Session, told: Callable[[str], None]) -> None:
        """Make them.

        Args:
            session: the open book.
            told: told in a sentence what the phone kept.
        """
        self._session, self._told = session, told

    def show(self, code: str, query: Mapping[str, str]) -> PhoneAnswer:
        """The piece that the address names, or the one with the next cut."""
        return self._answer(code, query.get("kind", ""), query.get("piece", ""))

    def _answer(self, code: str, kind: str = "", piece: str = "", **more: Any) -> PhoneAnswer:
        unit = self._session.unit(code)
        kinds = [each for each in PartKind if layout_for(unit, each) is not None]
        chosen = next((each for each in kinds if each == kind), kinds[0] if kinds else None)
        values: dict[str, Any] = {
            "code": code,
            "name": unit.name,
            "kinds": tuple(map(str, kinds)),
            "version": self._session.kept(code).version,
            "safety": SAFETY,
            "of": None,
            "wrong": "",
            "sent": last_of_phone(self._session, code),
        }
        if chosen is None:
            return PhoneAnswer("saw", values, **more)
        if wrong := self._wrong(code, chosen):
            return PhoneAnswer("saw", {**values, "wrong": wrong}, **more)
        here = saw_here(Saw.of(unit, self._session.shop, chosen), chosen, piece)
        address = f"/saw/{code}?kind={chosen}&piece={quote(here.piece, safe='')}"
        return PhoneAnswer("saw", {**values, "of": here, "here_at": address}, then=address, **more)

    def _wrong(self, code: str, kind: PartKind) -> str:
        """Why a kept layout does not fit what lies there now; empty when it does."""
        kept = layout_for(self._session.unit(code), kind)
        units = self._session.book().units
        return next(iter(problems_now(kept, self._session.shop, units, code)), "") if kept is not None else ""

    def keep(self, code: str, form: PhoneForm) -> PhoneAnswer | Awaitable[PhoneAnswer]:
        """A cut is made, or a part is spoilt and the rest is laid out again."""
        kind, piece = form.text("kind"), form.text("piece")
        if (sent := sent_change(self._session, code, form.name)) is not None:
            return self._again_kept(code, kind, form, sent)
        try:
            of = PartKind(kind)
            if form.text("do") == "back":
                said = taken_back(self._session, code, form, self._told)
                return self._answer(code, kind, said=said, kept=form.name)
            if form.text("do") == "spoilt":
                return self._spoilt(code, of, form)
            return self._cut(code, of, form)
        except ValueError:
            raise InputError(f"There is no layout of “{kind[:40]}”.") from None
        except InputError as error:
            return self._answer(code, kind, piece, said=str(error), bad=True, status=ASKS)

    def _again_kept(self, code: str, kind: str, form: PhoneForm, sent: SentChange) -> PhoneAnswer:
        return self._answer(code, kind, said=f"Kept already: {sent.what}.", kept=form.name)

    def _cut(self, code: str, kind: PartKind, form: PhoneForm) -> PhoneAnswer:
        typed = form.text("line")
        if not (typed.isascii() and typed.isdigit() and len(typed) < 7):
            raise InputError("Which cut? Load the page again.")
        unit, shop, order = self._session.unit(code), self._session.shop, int(typed)
        if order in Saw.of(unit, shop, kind).kept.done:
            raise InputError(f"Cut {order} is made already.")
        after = ticked(unit, shop, kind, order, self._session.today)
        self._keep(code, after, form)
        return self._answer(code, str(kind), said=f"{after.said}.", kept=form.name)

    def _keep(self, code: str, after: AtTheSaw, form: PhoneForm) -> None:
        what = f"{code}: {after.said}"
        if after.shop is self._session.shop:
            self._session.apply(code, what, lambda _: after.unit, sent_as=form.name)
        else:
            self._session.apply_together(code, what, lambda *_: (after.unit, after.shop), sent_as=form.name)
        self._told(f"From the phone: {after.said}.")

    async def _spoilt(self, code: str, kind: PartKind, form: PhoneForm) -> PhoneAnswer:
        """The rest is laid out again beside the program's loop; what was changed meanwhile comes first."""
        part, session = form.text("part").strip(), self._session
        before = (session.unit(code), session.shop)
        try:
            again = to_lay_again(*before, session.book().units, kind, session.today, spoilt=(part,))
            layout = await asyncio.to_thread(partial(_found, again)) if again.asked.parts else Layout()
            if (sent := sent_change(session, code, form.name)) is not None:
                return self._again_kept(code, str(kind), form, sent)
            if (session.unit(code), session.shop) != before:
                said = "The record changed meanwhile; nothing was laid out again. Press Spoilt once more."
                return self._answer(code, str(kind), form.text("piece"), said=said, bad=True, status=ASKS)
            after = laid_again(again, layout, session.now)
            self._keep(code, after, form)
        except InputError as error:
            return self._answer(code, str(kind), form.text("piece"), said=str(error), bad=True, status=ASKS)
        return self._answer(code, str(kind), said=f"{after.said}.", kept=form.name)


def _found(again: Again) -> Layout:
    """The layout of what remains, checked. Raises InputError when it does not pass its check."""
    layout = search(*again.asked)
    wrong = problems_of(layout, *again.asked)
    if wrong:
        raise InputError(f"The layout did not pass its check and is not kept: {wrong[0]}")
    return layout


def saw_here(saw: Saw, kind: PartKind, code: str = "") -> SawHere:
    """One piece of a layout as it lies on the saw.

    Args:
        saw: the layout.
        kind: which parts it is of.
        code: of the piece; that with the next cut when it is not in the layout.
    """
    following = saw.next
    wanted = code if any(p.code == code for p in saw.pieces) else following.piece if following is not None else ""
    piece = next((p for p in saw.pieces if p.code == wanted), saw.pieces[0])
    here = next((c for c in saw.cuts_on(piece.code) if c.order not in saw.kept.done), None)
    cuts = tuple(_cut(saw, piece, cut, here) for cut in saw.cuts_on(piece.code))
    return SawHere(
        str(kind),
        piece.code,
        piece_words(piece),
        used_words(saw.layout, piece),
        _drawn(saw, piece, here),
        cuts,
        next((cut for cut in cuts if cut.standing == "next"), None),
        tuple(dict.fromkeys(p.part for p in saw.layout.placements)),
        tuple((p.code, _how_far(saw, p.code)) for p in saw.pieces),
        f"{len(saw.kept.done)} of {len(saw.layout.cuts)} cuts made",
    )


def _how_far(saw: Saw, code: str) -> str:
    cuts = saw.cuts_on(code)
    made = sum(cut.order in saw.kept.done for cut in cuts)
    return "cut" if made == len(cuts) else f"{made} of {len(cuts)}"


def _cut(saw: Saw, piece: Piece, cut: Cut, here: Cut | None) -> CutHere:
    standing = "made" if cut.order in saw.kept.done else "next" if cut is here else "then"
    setting = setting_words(cut, knife=is_knife(piece))
    return CutHere(cut.order, setting, cut_words(cut), cut.warning, standing, cut.keep)


def _drawn(saw: Saw, piece: Piece, here: Cut | None) -> PieceDrawn:
    drawing = drawn_piece(saw, piece, COLUMNS)
    shapes = tuple(_shape(drawing, shape) for shape in drawing.shapes)
    cuts = tuple(_line(drawing, saw, cut, node, here) for cut, node in saw.pairs if cut.piece == piece.code)
    length, width = drawing.length / drawing.per_mm, drawing.width / drawing.per_mm
    names = ", ".join(_labelled(shapes))
    return PieceDrawn(length, width, max(length, width) / LETTERS, shapes, cuts, f"{piece_words(piece)}: {names}")


def _labelled(shapes: tuple[DrawnShape, ...]) -> Iterator[str]:
    yield from (shape.label for shape in shapes if shape.label)


def _shape(drawing: Drawing, shape: Shape) -> DrawnShape:
    """A shape with y downwards, as a picture on a screen has it."""
    mm = drawing.per_mm
    top = drawing.width - shape.y - shape.width
    label = shape.labels[0] if shape.labels else ""
    return DrawnShape(shape.x / mm, top / mm, shape.length / mm, shape.width / mm, shape.kind, label)


def _line(drawing: Drawing, saw: Saw, cut: Cut, node: Node, here: Cut | None) -> DrawnCut:
    mm, box = drawing.per_mm, node.box
    is_next = here is not None and cut.order == here.order
    standing = "done" if cut.order in saw.kept.done else "next" if is_next else ""
    left, right = box.x / mm, (box.x + box.length) / mm
    top, bottom = (drawing.width - box.y - box.width) / mm, (drawing.width - box.y) / mm
    if node.axis == "x":
        at = (box.x + node.at) / mm
        return DrawnCut(at, top, at, bottom, standing)
    at = (drawing.width - box.y - node.at) / mm
    return DrawnCut(left, at, right, at, standing)
