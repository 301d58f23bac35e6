"""A unit on paper and in files: which documents there are, in which forms, and how each is made from the book."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.errors import InputError
from logbook.model.photo_edits import photos_of
from logbook.model.shop import Shop
from logbook.model.shop_clock import by_clock_of
from logbook.model.unit import Unit
from logbook.render.blocks import Block
from logbook.render.labels import LabelKind
from logbook.render.page import Page, moment_words
from logbook.render.plain import clean
from logbook.session.file_out import put_file
from logbook.session.opened import SHOP, OpenBook

if TYPE_CHECKING:
    from logbook.layout.saw import Saw
    from logbook.render.paper_pictures import SmallPhotos

APPLICATION = "restorers-logbook"
PAIR = 56
"""Characters up to which two short points stand side by side on paper."""


class Paper(StrEnum):
    """What can be printed of a unit."""

    REASSEMBLY = "reassembly"
    DECISION = "decision"
    BOM = "bom"
    LABELS = "labels"
    RECORD = "record"
    CUTS = "cuts"
    CASE = "case"


PAPER_WORDS = {
    Paper.REASSEMBLY: "the list to put it back together, to tick at the bench",
    Paper.DECISION: "costs, ranges, what could be done instead, and the stop line",
    Paper.BOM: "the bill of materials",
    Paper.LABELS: "labels for bags, boxes, wires, parts, offcuts and jars",
    Paper.CUTS: "cut sheets: one piece to a page, to scale, cuts in order by fence setting",
    Paper.RECORD: "the build record: what it was, what was done, cautions for the next person",
    Paper.CASE: "the case sheet: what is held, panels, what follows, and the cut list",
}
"""What each is, in a few words."""


class Form(StrEnum):
    """In which form; the value is the ending of the file."""

    PDF = "pdf"
    MARKDOWN = "md"
    TEXT = "txt"
    HTML = "html"
    CSV = "csv"


FORM_WORDS = {
    Form.PDF: "to print",
    Form.TEXT: "plain text",
    Form.MARKDOWN: "Markdown",
    Form.HTML: "one web page with everything inside",
    Form.CSV: "a table for a spreadsheet",
}


@dataclass(frozen=True, slots=True)
class Wish:
    """What is asked for."""

    what: Paper
    form: Form = Form.PDF
    paper: str = "a4"
    """`a4` or `us-letter`."""
    large: bool = False
    """Large type, for reading at the bench."""
    kinds: tuple[LabelKind, ...] = ()
    """Which labels; empty for those that the thing has by default."""
    sheet: str = "a4-3x7"
    """Name of the label sheet."""
    start: int = 1
    """First free place of a used label sheet."""
    outline: bool = False
    """Draw the edges of labels, for cutting plain paper."""
    width: int = 80
    """Columns of plain text."""


@dataclass(frozen=True, slots=True)
class MadePaper:
    """A document that was made."""

    raw: bytes
    name: str
    """What its file is called: `R1-reassembly-v12.pdf`."""
    notes: tuple[str, ...] = ()
    """What could not be shown, in sentences."""


@dataclass(frozen=True, slots=True)
class PaperSource:
    """What a document is made from: values that stay as they are, so that it can be made beside the screen."""

    code: str
    """Code of the unit; `SHOP` for what all units share."""
    unit: Unit | None
    shop: Shop
    version: int
    kept_at: datetime | None
    now: datetime
    """When it is printed, in local time."""
    photos: Path
    """The folder of the unit's photos."""
    units: Mapping[str, Unit] = field(default_factory=dict)
    """Units that hold something of the scrap pile, for cut sheets and labels; for cut sheets every one that can be
    read."""


def source_of(book: OpenBook, code: str, what: Paper = Paper.REASSEMBLY) -> PaperSource:
    """The source of a document of a unit, or of the shop. Raises as `OpenBook.unit`."""
    unit = None if code == SHOP else book.unit(code)
    kept = book.kept(code)
    now, photos = book.shop_now, photo_folder(book, code)
    units = {c: book.unit(c) for c in book.codes()} if what is Paper.CUTS else {u.code: u for u in book.holders()}
    shop = book.shop if unit is None or what is Paper.CUTS else book.shop_for(code)
    return PaperSource(code, unit, shop, kept.version, kept.at, now, photos, units)


def own_folder() -> Path:
    """A person's own data folder, whose templates, fonts and label sheets come first."""
    from platformdirs import user_data_path

    return user_data_path(APPLICATION)


def make_paper(source: PaperSource, wish: Wish) -> MadePaper:
    """Make a document of a unit, or of what all units share (`SHOP`, labels only).

    Raises:
        InputError: there is no such unit or form, something that it needs is not installed, or a template
            cannot be used.
    """
    if wish.what is Paper.LABELS:
        return _labels(source, wish)
    unit = source.unit
    if unit is None:
        raise InputError("Of the shop only labels can be printed.")
    if wish.form is Form.CSV:
        return _made(source, wish, _table(source, unit, wish.what))
    page = _page(source, unit, wish)
    if wish.form is Form.TEXT:
        return _made(source, wish, page.text())
    if wish.form is Form.MARKDOWN:
        from logbook.render.markdown import markdown

        return _made(source, wish, markdown(page.blocks))
    return _with_photos(source, unit, wish, page.blocks)


def _made(source: PaperSource, wish: Wish, made: str | bytes, notes: tuple[str, ...] = ()) -> MadePaper:
    raw = made.encode("utf-8") if isinstance(made, str) else made
    name = f"{source.code or 'shop'}-{wish.what}-v{source.version}.{wish.form}"
    return MadePaper(raw, name, notes)


def _page(source: PaperSource, unit: Unit, wish: Wish) -> Page:
    """The blocks of a document."""
    from logbook.costing import bill_of_materials, cost_views, decision, from_shop, own_material
    from logbook.reassembly import ledger, readiness, refit_list

    now, shop, today = source.now, source.shop, source.now.date()
    stand: dict[str, Any] = {
        "version": source.version, "kept_at": source.kept_at, "now": now, "width": wish.width,
    }  # fmt: skip
    if wish.what is Paper.REASSEMBLY:
        from logbook.render.reassembly_list import reassembly_page

        listed = refit_list(unit, from_shop(unit, source.shop, source.now.date()))
        return reassembly_page(unit, listed, readiness(unit, listed, now), photos=True, **stand)
    if wish.what is Paper.CUTS:
        from logbook.render.cut_sheet import cut_sheet_page

        return cut_sheet_page(unit, *_saws(source, unit), **stand)
    if wish.what is Paper.CASE:
        from logbook.casework import worked_case
        from logbook.render.case_document import case_page

        return case_page(unit, shop, worked_case(unit, shop.settings), now, width=wish.width)
    if wish.what is Paper.DECISION:
        from logbook.render.costs_document import cost_page

        decided, views = decision(unit, shop, today), cost_views(unit, shop, today)
        return cost_page(unit, shop, decided.compared, views, now, width=wish.width, decided=decided)
    bill = bill_of_materials(unit, shop, today)
    if wish.what is Paper.BOM:
        from logbook.render.bill_document import bom_page

        return bom_page(unit, shop, bill, now, width=wish.width, own=own_material(unit, shop))
    from logbook.render.build_record import build_record_page

    views, listed = cost_views(unit, shop, today), refit_list(unit, from_shop(unit, shop, today))
    return build_record_page(unit, shop, listed, ledger(unit), bill=bill, views=views, **stand)


SEARCH_SECONDS = 4.0
"""How long a layout is searched for a cut sheet when none was chosen."""


def _saws(source: PaperSource, unit: Unit) -> tuple[list[Saw], list[str]]:
    """The layouts of a unit, those that were chosen first of all, and what is to be said about them."""
    from logbook.layout.asked import PartKind, layout_for, parts_of, pieces_of, rules_of, without_size
    from logbook.layout.at_the_saw import with_layout
    from logbook.layout.checker import problems_of
    from logbook.layout.kept import Asked, kept_of, problems_now
    from logbook.layout.layout_search import search
    from logbook.layout.saw import Saw

    shop, units = source.shop, {**source.units, unit.code: unit}
    missing = without_size(unit)
    saws, said = [], [f"No size or thickness yet, so not laid out: {', '.join(missing)}."] if missing else []
    for kind in PartKind:
        kept, parts = layout_for(unit, kind), parts_of(unit, kind)
        if kept is not None:
            wrong = problems_now(kept, shop, units, unit.code)
            said += [f"NOT AS LAID OUT, {kind}: {' '.join(wrong[:3])} Lay it out anew before cutting."] if wrong else []
            saws.append(Saw.of(unit, shop, kind))
        elif parts:
            rules = rules_of(shop, unit.code, kerf=unit.case.kerf if unit.case is not None else None)
            asked = Asked(parts, pieces_of(shop, rules, units.values(), kind), replace(rules, seconds=SEARCH_SECONDS))
            layout = search(*asked)
            if wrong := problems_of(layout, *asked):
                raise InputError(f"The layout did not pass its check and is not printed: {wrong[0]}")
            laid = with_layout(unit, kept_of(layout, asked, shop, kind, source.now))
            saws.append(Saw.of(laid, shop, kind))
            said.append(f"The layout of the {kind} was searched for this sheet and is not chosen yet.")
    if not saws:
        said.append(f"{unit.code} has no parts to cut yet: panels, leaves and strips stand in its case.")
    return saws, said


def _table(source: PaperSource, unit: Unit, what: Paper) -> str:
    """The document as CSV."""
    from logbook.costing import bill_of_materials, decision, from_shop
    from logbook.reassembly import readiness, refit_list
    from logbook.render import paper_tables as tables
    from logbook.render.table_file import csv_text

    now = source.now
    if what is Paper.REASSEMBLY:
        listed = refit_list(unit, from_shop(unit, source.shop, source.now.date()))
        return csv_text(tables.reassembly_rows(unit, listed, readiness(unit, listed, now)))
    if what is Paper.CUTS:
        from logbook.render.cut_sheet import cut_rows

        return csv_text(cut_rows(_saws(source, unit)[0]))
    if what is Paper.CASE:
        from logbook.casework import worked_case
        from logbook.render.case_document import panels_csv

        return panels_csv(unit, source.shop, worked_case(unit, source.shop.settings))
    if what is Paper.BOM:
        return csv_text(tables.bom_rows(bill_of_materials(unit, source.shop, now.date())))
    if what is Paper.DECISION:
        return csv_text(tables.decision_rows(decision(unit, source.shop, now.date())))
    return csv_text(tables.step_rows(by_clock_of(unit, now)))


def stand_words(source: PaperSource) -> str:
    """Which record a paper comes from: unit, version, when it was kept, when it was printed."""
    of = f"{source.code} {clean(source.unit.name, limit=60)}" if source.unit is not None else "shop"
    kept = f"record version {source.version}, kept {moment_words(source.kept_at, source.now)}"
    return f"{of} · {kept} · printed {moment_words(source.now)}"


def photo_folder(book: OpenBook, code: str) -> Path:
    """The folder of a unit's photos."""
    return book.path / "units" / code / "photos"


def _with_photos(source: PaperSource, unit: Unit, wish: Wish, blocks: Sequence[Block]) -> MadePaper:
    """A document that shows photos: PDF or HTML."""
    from platformdirs import user_cache_path

    from logbook.render.paper_pictures import place_for_small_photos

    title, footer = f"{unit.code} {clean(unit.name, limit=100)}: {wish.what}", stand_words(source)
    with place_for_small_photos(user_cache_path(APPLICATION) / "small-photos") as keep:
        photos = _small_photos(unit, source.photos, keep)
        photos.prepare(blocks)
        if wish.form is Form.HTML:
            from logbook.render.web import web_page

            page = web_page(blocks, title=title, footer=footer, picture=photos.address, own=own_folder())
            return _made(source, wish, page, photos.notes)
        from logbook.render.paper_data import block_values
        from logbook.render.typeset import typeset

        large = wish.large or wish.what is Paper.CUTS  # read at the saw
        values = {
            "title": title, "footer": footer, "paper": wish.paper, "large": large,
            "blocks": block_values(blocks, photos.names.get, pair=0 if large else PAIR),
        }  # fmt: skip
        done = typeset("sheet.typ", values, own=own_folder(), root=keep)
    return _made(source, wish, done.pdf, (*photos.notes, *done.notes))


def _small_photos(unit: Unit, folder: Path, keep: Path) -> SmallPhotos:
    """The photos of a unit, small and with the marks that were drawn over them."""
    from logbook.render.paper_pictures import SmallPhotos, small_jpeg

    marked = {placed.photo.file: placed.photo for placed in photos_of(unit) if placed.photo.marks}

    def draw(path: Path) -> bytes:
        photo = marked.get(path.name)
        if photo is None:
            return small_jpeg(path)
        from io import BytesIO

        from logbook.photos.shown import marked as with_marks
        from logbook.photos.shown import small_picture

        out = BytesIO()
        with_marks(small_picture(folder, photo), photo.marks).convert("RGB").save(out, "JPEG", quality=82)
        return out.getvalue()

    def drawn(file: str) -> str:
        photo = marked.get(file)
        return "" if photo is None else repr(photo.marks)

    return SmallPhotos(folder, keep, draw, drawn)


def _labels(source: PaperSource, wish: Wish) -> MadePaper:
    """Labels of a unit or of the shop."""
    from logbook.model.label_sheets import sheet_named
    from logbook.render import labels as of

    code, unit, shop = source.code, source.unit, source.shop
    kinds = wish.kinds or ((LabelKind.OFFCUT, LabelKind.JAR) if unit is None else (LabelKind.BAG, LabelKind.BOX))
    made = of.shop_labels(shop, kinds, source.units.values()) if unit is None else of.labels_of(unit, shop, kinds)
    head = stand_words(source)
    if wish.form is Form.CSV:
        from logbook.render.table_file import csv_text

        return _made(source, wish, csv_text(of.label_rows(made)))
    if wish.form is Form.PDF:
        from logbook.render.typeset import typeset

        sheet = sheet_named(wish.sheet, own_folder())
        values = of.label_values(made, sheet, start=wish.start, outline=wish.outline, head=head)
        done = typeset("labels.typ", {**values, "title": f"{code or 'shop'}: labels"}, own=own_folder())
        nothing = () if made else ("There is nothing to label by the record so far.",)
        return _made(source, wish, done.pdf, (*nothing, *done.notes))
    page = of.labels_page(head, made, width=wish.width)
    if wish.form is Form.TEXT:
        return _made(source, wish, page.text())
    if wish.form is Form.MARKDOWN:
        from logbook.render.markdown import markdown

        return _made(source, wish, markdown(page.blocks))
    from logbook.render.web import web_page

    shown = web_page(page.blocks, title=f"{code or 'shop'}: labels", footer=head, picture=_no_photo, own=own_folder())
    return _made(source, wish, shown)


def _no_photo(_: str) -> None:
    return None


def free_place(folder: Path, name: str) -> Path:
    """A place in a folder for a file of that name, or of the next number when one is there: nothing is replaced."""
    stem, dot, ending = name.rpartition(".")
    place, number = folder / name, 2
    while place.exists():
        place, number = folder / f"{stem}-{number}{dot}{ending}", number + 1
    return place


def put_paper(made: MadePaper, path: Path, *, replace: bool = False) -> Path:
    """Write a document to a file, or into a folder under its own name; the file is there whole or not at all.

    Args:
        made: the document.
        path: a file, or a folder that is there.
        replace: whether a file that is there may be replaced.

    Raises:
        InputError: a file is there already, or the disk refuses; nothing was changed.
    """
    return put_file(path, made.raw, name=made.name, replace=replace)
