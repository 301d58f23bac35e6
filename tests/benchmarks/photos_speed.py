"""Linking and making small pictures of 500 photos of 12 megapixels, against Pillow's own reduced decoding.

    python -m tests.benchmarks.photos_speed [COUNT]

The yardstick, in the same run and on the same files: Pillow opens each file, decodes it reduced (`draft`), turns
it upright and makes a picture of the same size. The logbook does that, reads the camera's time, computes the
checksum, looks for cards, proposes the step, and keeps the small picture; what it costs without looking for cards
is said apart. The yardstick uses one core, the logbook all: processor time is compared too. Then a list of 5,000
photos is scrolled, key by key.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import NamedTuple

from PIL import Image, ImageOps

from logbook.model.step import Photo
from logbook.photos.shown import BOX, cache_folder
from logbook.session import Session
from logbook.session.unit_photos import keep_pictures, known_photos, look_through, pictures_in, proposal, wanted_of
from tests.builders import step, unit
from tests.photos.pictures import encoded

START = datetime(2026, 3, 12, 18, 0, tzinfo=UTC)
DIFFERENT = 12
"""So many different pictures are encoded; the rest differ in their last bytes, which costs nothing to make."""


def make(folder: Path, count: int) -> None:
    """Photos of 4000 x 3000 points, a minute apart."""
    noise = Image.effect_noise((1000, 750), 60).resize((4000, 3000)).convert("RGB")
    made = []
    for n in range(DIFFERENT):
        at = START + timedelta(minutes=n)
        time_words = f"{at:%Y:%m:%d %H:%M:%S}"
        tinted = Image.blend(noise, Image.new("RGB", noise.size, (n * 20, 120, 250 - n * 20)), 0.5)
        made.append(encoded(tinted, orientation=1 + n % 8, time=time_words, offset="+00:00", camera="phone"))
    for n in range(count):
        (folder / f"IMG{n:04}.jpg").write_bytes(made[n % DIFFERENT] + n.to_bytes(4, "big"))


class Spent(NamedTuple):
    """Seconds by the clock on the wall and of all processors together."""

    wall: float
    processor: float

    def words(self, base: Spent) -> str:
        """Both, and as multiples of the yardstick."""
        wall, processor = self.wall / base.wall, self.processor / base.processor
        return f"{self.wall:7.2f} s {wall:5.2f}   processor {self.processor:7.2f} s {processor:5.2f}"


@contextmanager
def spending(into: list[Spent]) -> Iterator[None]:
    """Measure what is done within."""
    wall, processor = time.perf_counter(), time.process_time()
    yield
    into.append(Spent(time.perf_counter() - wall, time.process_time() - processor))


def yardstick(paths: list[Path]) -> None:
    """Pillow alone."""
    for path in paths:
        with Image.open(path) as image:
            image.draft("RGB", BOX)
            small = ImageOps.exif_transpose(image)
            small.thumbnail(BOX)
            small.convert("RGB").load()


def linking(paths: list[Path], session: Session, *, cards: bool) -> None:
    """Look through, propose and make the small pictures, from the files as they lie."""
    shutil.rmtree(cache_folder(), ignore_errors=True)
    looked = look_through(paths, known_photos(session), zone=UTC, cards=cards)
    proposal(session, looked, ["R1"], {})


async def scrolling(session: Session) -> tuple[float, float]:
    """Milliseconds of processor time of one key down in a list of 5,000 photos: median and 95 of 100."""
    from logbook.tui.app import LogbookApp
    from logbook.tui.screens.photos_screen import PhotosScreen

    photos = tuple(Photo(file=f"{n:024x}.jpg", sha256=f"{n:064x}", caption=f"photo {n}") for n in range(5000))
    session.apply("R1", "photos", lambda u: u.model_copy(update={"photos": photos}))
    app = LogbookApp(session)
    took = []
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(PhotosScreen(session, "R1"))
        await pilot.pause()
        for _ in range(100):
            started = time.process_time()
            await pilot.press("down")
            took.append((time.process_time() - started) * 1000)
    return statistics.median(took), sorted(took)[94]


def main() -> None:
    """Print the ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    with tempfile.TemporaryDirectory() as name:
        os.environ["XDG_CACHE_HOME"] = name
        folder, book = Path(name, "phone"), Path(name, "book")
        folder.mkdir()
        make(folder, count)
        paths = pictures_in(folder)
        with Session.open(book) as session:
            steps = [step(f"T{n:02}", f"part {n}", at=START + timedelta(minutes=n)) for n in range(1, 20)]
            session.add_unit(unit(*steps))
            spent: list[Spent] = []
            for run in (
                partial(yardstick, paths),
                partial(linking, paths, session, cards=True),
                partial(linking, paths, session, cards=False),
            ):
                with spending(spent):
                    run()
            base, linked, plain = spent
            print(f"{count} photos of 12 megapixels, {sum(p.stat().st_size for p in paths) / count / 1e6:.1f} MB each")
            print(f"Pillow, reduced and upright          {base.words(base)}")
            print(f"looked through, linked, made small   {linked.words(base)}   (wanted: at most 1.20)")
            print(f"the same without looking for cards   {plain.words(base)}")
            looked = look_through(paths[:20], {}, zone=UTC, cards=False)
            keep_pictures(session, wanted_of(proposal(session, looked, ["R1"], {}), looked, {}))
            median, late = asyncio.run(scrolling(session))
            print(f"one key in a list of 5,000 photos     {median:7.1f} ms median, {late:.1f} ms at 95 of 100")


if __name__ == "__main__":
    main()
