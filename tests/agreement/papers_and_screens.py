"""What a person is shown beside the texts of the commands: cut sheets, Markdown, web page, print, layout, screens.

Each is asked as a person asks it, over a book in a folder in which the layouts of the radio are kept, so that nothing
has to be searched for. They take long, so there are a few of each.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from pypdf import PdfReader

from logbook.layout.asked import PartKind
from logbook.model.unit import Book
from logbook.session import Session
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.layout_screen import LayoutScreen
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from tests.agreement.commands import said
from tests.agreement.variants import demo, laid_out
from tests.tui.conftest import lines_on, opened

CODE = "R1"
PAPERS = (("cuts", "txt"), ("cuts", "md"), ("bom", "html"))
"""Papers that `asked()` does not have, and their forms; those that are printed are read back below."""
PRINTED = ("cuts",)
SCREENS: tuple[Callable[[Session], BookScreen] | None, ...] = (
    None,
    lambda session: ReassemblyScreen(session, CODE),
    lambda session: LayoutScreen(session, CODE),
)
"""The bench, and two places of a unit."""
WORD = re.compile(r"[^\W_][\w.,:/%-]*")
FOOT = re.compile(r"^[^\n]*·[^\n]*record version.*?page\s+\d+\s+of\s+\d+", re.MULTILINE | re.DOTALL)
"""The foot of a page; an edit that is taken back is a change, too, and each has a version of its own."""
KEPT_AT = re.compile(r"kept \d\d:\d\d")


@cache
def laid_out_demo() -> Book:
    """The demo with all layouts of the radio kept."""
    book = demo()
    for kind in PartKind:
        book = laid_out(book, CODE, kind)
    return book


async def shown(folder: Path, now: datetime) -> dict[str, str]:
    """Every one of these views of a book in a folder, by its name."""
    found = {"layout": said(folder, ("layout", CODE), now)}
    for paper, form in PAPERS:
        words = ("print", CODE, paper, "--as", form, "--to", "-")
        found[" ".join(words)] = said(folder, words, now)
    with TemporaryDirectory() as place:
        for paper in PRINTED:
            printed = Path(place) / f"{paper}.pdf"
            said(folder, ("print", CODE, paper, "--as", "pdf", "--to", str(printed)), now)
            found[f"{paper} as print"] = FOOT.sub("", "\n".join(_pages(printed)))
    return found | await screens(folder, now)


def _pages(printed: Path) -> list[str]:
    """The text of each page with its foot, whose lines break where the number of the version is longer."""
    return [page.extract_text() for page in PdfReader(io.BytesIO(printed.read_bytes())).pages]


async def screens(folder: Path, now: datetime) -> dict[str, str]:
    """What stands on the screens in words, without when the record was kept; frames take the room that there is."""
    found = {}
    with Session.open(folder, now=lambda: now, by="AB", read_only=True) as session:
        async with opened(session, size=(100, 40)) as pilot:
            for make in SCREENS:
                if make is not None:
                    await pilot.app.push_screen(make(session))
                await pilot.app.workers.wait_for_complete()
                await pilot.pause()
                words = [" ".join(WORD.findall(KEPT_AT.sub("kept", line))) for line in lines_on(pilot)]
                found[type(pilot.app.screen).__name__] = "\n".join(filter(None, words))
                if make is not None:
                    await pilot.app.pop_screen()
    return found
