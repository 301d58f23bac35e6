"""Every command that writes into a book, small, with what tells that its change is there."""

from __future__ import annotations

import errno
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from logbook.cli.run_command import run
from logbook.model.document import ShopDocument, UnitDocument, write_document
from logbook.model.photo_edits import Placed, at_step, photos_of, with_photos
from logbook.model.step import Photo
from logbook.photos.originals import keep
from logbook.session import Session
from logbook.session.unit_photos import photo_problems
from logbook.session.unkept_file import written_down
from tests.builders import at, offcut, operation, part, screws, shop, step, unit
from tests.cli.conftest import NOW
from tests.photos.pictures import photo
from tests.store.faults import Faults


@dataclass(frozen=True)
class Writing:
    """A command, and whether a book shows that it was carried out."""

    words: tuple[str, ...]
    is_done: Callable[[Session], bool] = lambda _: True
    puts: str = ""
    """The file that it writes beside the book."""


def _has_come(session: Session) -> bool:
    return session.entries("R1")[-1].what == "mains cord: here, paid 4.50"


def _linked(session: Session) -> bool:
    return len(list(photos_of(session.unit("R1")))) == 1 and photo_problems(session, "R1") == ()


def _joined(session: Session) -> bool:
    is_here = session.unit("R1").notes == "of the desk" and "L1" in session.codes()
    return is_here and _linked(session)


WRITING = {
    "import a unit": Writing(("import", "C1.json"), lambda s: "C1" in s.codes()),
    "import the shop": Writing(("import", "shop.json"), lambda s: len(s.shop.offcuts) == 2),
    "take pieces in": Writing(("pile", "--import", "pieces.csv"), lambda s: len(s.shop.offcuts) == 1),
    "keep the plan": Writing(("plan", "--keep"), lambda s: s.entries("")[-1].what == "plan kept"),
    "ticks": Writing(("ticks", "R1", "A01", "--although", "done"), lambda s: bool(s.unit("R1").refit.lines)),
    "what came": Writing(("to-buy", "R1", "--here", "mains cord", "--paid", "4.50"), _has_come),
    "take in what was not kept": Writing(("import", "not-kept.txt"), lambda s: s.unit("R1").name == "tall radio"),
    "join the other copy": Writing(("join", "desk"), _joined),
    "link photos": Writing(("photos", "link", "phone", "--keep", "all", "--no-cards"), _linked),
}
"""By what they do; files are named as they lie in the folder of `prepare`."""

_LIST = ("print", "R1", "reassembly", "--as", "txt", "--to")
PUTTING = {
    "a calendar": Writing(("plan", "--ics", "week.ics"), puts="week.ics"),
    "a print": Writing((*_LIST, "list.txt"), puts="list.txt"),
    "a print in the place of another": Writing((*_LIST, "pieces.csv", "--replace"), puts="pieces.csv"),
}
"""Those that write a file beside the book, and nothing into it."""


def prepare(folder: Path) -> Path:
    """A folder with a book of one unit and all that the commands take in; gives the book."""
    book = folder / "book"
    radio = unit(
        step("T01", "lid", fasteners=[screws(4)], at=at("2026-03-12 19:00"), photo_taken=True),
        operations=[operation("B01", "lay out", 30)],
        parts=[part()],
    )
    with Session.open(book, by="RB", now=lambda: NOW) as session:
        session.add_unit(radio)
        (folder / "not-kept.txt").write_text(_not_kept(session))
    box = unit(step("T01", "lid"), code="C1", name="box")
    document = UnitDocument(logbook="unit", version=1, unit=box)
    (folder / "C1.json").write_bytes(write_document(document))
    pile = shop(offcuts=[offcut("O01"), offcut("O02")])
    (folder / "shop.json").write_bytes(write_document(ShopDocument(logbook="shop", version=1, shop=pile)))
    (folder / "pieces.csv").write_text("code,material,length_mm,width_mm,thickness_mm\nO07,6 ply,620,310,5.5\n")
    _went_its_own_way(book, folder / "desk")
    (folder / "phone").mkdir()
    (folder / "phone/a.jpg").write_bytes(photo(1, time="2026:03:12 19:00:10", offset="+00:00"))
    return book


def _went_its_own_way(book: Path, desk: Path) -> None:
    """A copy of the book with another unit, a picture and a note more."""
    shutil.copytree(book, desk, ignore=shutil.ignore_patterns(".*"))
    raw = photo(2, time="2026:03:12 20:00:10", offset="+00:00")
    with Session.open(desk, by="CD", now=lambda: NOW) as session:
        session.add_unit(unit(step("T01", "hood"), code="L1", name="lamp"))
        kept = keep(desk / "units/R1/photos", raw, ".jpg")
        placed = Placed(at_step("T01"), Photo(file=kept.file, sha256=kept.sha256))
        session.apply("R1", "a picture", lambda u: with_photos(u, [placed]))
        session.apply("R1", "a note", lambda u: u.model_copy(update={"notes": "of the desk"}))


def _not_kept(session: Session) -> str:
    """A change that the disk refused, written down; the book does not have it."""
    with Faults(1, errno.ENOSPC, stays=True).on():
        session.apply("R1", "another name", lambda u: u.model_copy(update={"name": "tall radio"}))
        text = written_down(session.unkept, session.now)
        session.undo("R1")
    assert session.unit("R1").name == "table radio"
    return text


def called(folder: Path, writing: Writing) -> int:
    """Run the command in that folder; its exit code."""
    words = [str(folder / w) if (folder / w).exists() or w == writing.puts else w for w in writing.words]
    return run(["--book", str(folder / "book"), "--by", "RB", *words], now=lambda: NOW)


def is_done(book: Path, writing: Writing) -> bool:
    """Whether the book, opened anew, is whole and shows the change."""
    (book / ".lock").unlink(missing_ok=True)
    with Session.open(book, now=lambda: NOW, create=False) as session:
        said = session.look_through()
        assert said == (), said
        return writing.is_done(session)


def again(made: Path, folder: Path) -> None:
    """Put the prepared folder in the place of one that was used."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(made, folder)
