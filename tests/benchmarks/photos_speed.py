"""Linking and making small pictures of 500 photos of 12 megapixels, against Pillow's own reduced decoding.

    python -m tests.benchmarks.photos_speed [COUNT]

The yardstick, in the same run and on the same files: Pillow opens each file, decodes it reduced (`draft`), turns
it upright and makes a picture of the same size. The logbook does that, reads the camera's time, computes the
checksum, proposes the step, and keeps the small picture. Looking for cards is said apart, because the yardstick
has nothing like it. Then a list of 5,000 photos is scrolled, key by key.
"""

from __future__ import annotations

import asyncio
import os
import shutil
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PIL import Image, ImageOps

from logbook.model.step import Photo
from logbook.photos.shown import BOX, cache_folder
from logbook.session import Session
from logbook.session.pictures import keep_pictures, known_photos, look_through, pictures_in, proposal, wanted_of
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


def yardstick(paths: list[Path]) -> float:
    """Seconds of Pillow alone."""
    started = time.perf_counter()
    for path in paths:
        with Image.open(path) as image:
            image.draft("RGB", BOX)
            small = ImageOps.exif_transpose(image)
            small.thumbnail(BOX)
            small.convert("RGB").load()
    return time.perf_counter() - started


def linking(paths: list[Path], session: Session, *, cards: bool) -> float:
    """Seconds of looking through, proposing and making the small pictures, from the files as they lie."""
    shutil.rmtree(cache_folder(), ignore_errors=True)
    started = time.perf_counter()
    looked = look_through(paths, known_photos(session), zone=UTC, cards=cards)
    proposal(session, looked, ["R1"], {})
    return time.perf_counter() - started


async def scrolling(session: Session) -> tuple[float, float]:
    """Milliseconds of processor time of one key down in a list of 5,000 photos: median and 95 of 100."""
    from logbook.tui.app import LogbookApp
    from logbook.tui.screens.photos import PhotosScreen

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
            base = yardstick(paths)
            alone = linking(paths, session, cards=False)
            with_cards = linking(paths, session, cards=True)
            print(f"{count} photos of 12 megapixels, {sum(p.stat().st_size for p in paths) / count / 1e6:.1f} MB each")
            print(f"Pillow, reduced and upright           {base:7.2f} s   1.00")
            print(f"linked, with small pictures           {alone:7.2f} s   {alone / base:.2f}   (wanted: at most 1.20)")
            print(f"the same, and looked at for cards     {with_cards:7.2f} s   {with_cards / base:.2f}")
            looked = look_through(paths[:20], {}, zone=UTC, cards=False)
            keep_pictures(session, wanted_of(proposal(session, looked, ["R1"], {}), looked, {}))
            median, late = asyncio.run(scrolling(session))
            print(f"one key in a list of 5,000 photos     {median:7.1f} ms median, {late:.1f} ms at 95 of 100")


if __name__ == "__main__":
    main()
