"""The demo book: four invented units to look at, made once and then a book like any other."""

from __future__ import annotations

import os
import shutil
from datetime import date
from functools import partial
from hashlib import sha256
from pathlib import Path

from logbook.cli.books import CommandCall
from logbook.cli.output import columns, write
from logbook.errors import InputError, StoreError
from logbook.model.photo_edits import Placed, at_step, with_photos
from logbook.model.shop import Shop
from logbook.model.unit import Unit
from logbook.session import Session

MAIN = "R1"
"""The unit that is printed in full."""

PHONE = "phone"
"""Folder in the demo book with pictures that are linked to nothing yet."""

ENDING = ".jpg"
"""All of the demo's pictures are JPEG."""


def demo_session(call: CommandCall) -> Session:
    """The demo book, made first when it is not there, open for the screens."""
    make_demo(call)
    return call.session_for_screens(call.demo_book)


def make_demo(call: CommandCall) -> None:
    """Make the demo book when it is not there.

    It is made beside its place and then moved there, so that one that was cut short is never taken for whole.

    Raises:
        InputError: another book is there, which is left alone.
        StoreError: the disk refuses.
    """
    path = call.demo_book
    if _is_empty(path):
        _build(call, path)
    with Session.open(path, now=call.now, create=False, read_only=True) as session:
        if MAIN not in session.codes():
            held = ", ".join((*session.codes(), *session.broken())) or "no unit"
            raise InputError(
                f"The book in {path} is not the demo book (it holds {held}). "
                "Name another folder with --book, or none, and the demo is made there."
            )


def _is_empty(path: Path) -> bool:
    try:
        return not path.exists() or (path.is_dir() and not any(path.iterdir()))
    except OSError as error:
        raise StoreError(f"{path} cannot be looked at: {error.strerror}.") from error


def _instead(new: Shop, _: Shop) -> Shop:
    return new


def _build(call: CommandCall, path: Path) -> None:
    from logbook.model.document import ShopDocument
    from logbook.model.templates import demo_documents
    from logbook.session.unit_photos import FOLDER_DRAFT

    started = path.with_name(f".{path.name}-{os.getpid()}")
    try:
        with Session.open(started, by=call.by, now=call.now, at_once=True) as session:
            today = session.today
            pictures = _Pictures(today)
            for document in demo_documents(today):
                if isinstance(document, ShopDocument):
                    session.apply_shop("the shop of the demo", partial(_instead, document.shop))
                else:
                    session.add_unit(pictures.within(document.unit))
            pictures.keep(started)
            session.keep_draft(FOLDER_DRAFT, str(path.absolute() / PHONE))
        _put(started, path)
    except OSError as error:
        raise StoreError(f"The demo book could not be put at {path}: {error.strerror}.") from error
    finally:
        shutil.rmtree(started, ignore_errors=True)


class _Pictures:
    """The demo's pictures: their places in the records first, the originals once the units' folders are there."""

    def __init__(self, today: date) -> None:
        from logbook.model.templates import demo_pictures
        from logbook.photos.originals import original_name

        self._originals: list[tuple[str, bytes]] = []
        self._loose: list[tuple[str, bytes]] = []
        self._placed: dict[str, list[Placed]] = {}
        for picture, raw in demo_pictures(today):
            given = picture.photo
            if not picture.unit:
                self._loose.append((given.file, raw))
                continue
            digest = sha256(raw).hexdigest()
            photo = given.model_copy(update={"file": original_name(digest, ENDING), "sha256": digest})
            self._placed.setdefault(picture.unit, []).append(Placed(at_step(picture.step), photo))
            self._originals.append((picture.unit, raw))

    def within(self, unit: Unit) -> Unit:
        """The unit with its pictures at their steps."""
        return with_photos(unit, self._placed.get(unit.code, ()))

    def keep(self, book: Path) -> None:
        """Put the originals into the units' folders, and what is linked to nothing into a folder of its own."""
        from logbook.photos.originals import keep
        from logbook.session.unit_photos import folder_in

        for code, raw in self._originals:
            keep(folder_in(book, code), raw, ENDING)
        (book / PHONE).mkdir(exist_ok=True)
        for name, raw in self._loose:
            (book / PHONE / name).write_bytes(raw)


def _put(started: Path, path: Path) -> None:
    """Move the finished book to its place; into an empty folder that is there, its units last."""
    if not path.exists():
        started.rename(path)
        return
    for item in sorted(started.iterdir(), key=lambda p: p.name == "units"):
        item.rename(path / item.name)


def print_demo(call: CommandCall) -> None:
    """Print the bench and, for the main unit, the reassembly list, the bill of materials and the costs."""
    from logbook.cli.shared import today
    from logbook.costing import bill_of_materials, cost_views, decision, from_shop
    from logbook.reassembly import readiness, refit_list
    from logbook.render.bench_document import bench_text
    from logbook.render.bill_document import bom_text
    from logbook.render.costs_document import cost_text
    from logbook.render.reassembly_list import reassembly_text

    make_demo(call)
    wide = columns()
    with Session.open(call.demo_book, now=call.now, create=False, read_only=True) as session:
        unit, shop, now, day = session.unit(MAIN), session.shop_for(MAIN), session.shop_now, today(session)
        kept, listed = session.kept(MAIN), refit_list(unit, from_shop(unit, shop, day))
        ready, decided = readiness(unit, listed, now), decision(unit, shop, day)
        texts = (
            bench_text(session.lines(), session.whole(), now, width=wide),
            reassembly_text(unit, listed, ready, version=kept.version, kept_at=kept.at, now=now, width=wide),
            bom_text(unit, shop, bill_of_materials(unit, shop, day), now, width=wide),
            cost_text(unit, shop, decided.compared, cost_views(unit, shop, day), now, width=wide, decided=decided),
            f"The demo book is in {session.path}. With a terminal, “logbook demo” opens it.\n",
        )
    write("\n\n".join(texts))
