"""A record of 100 steps with 100 photos as a PDF, against bare typst on the same content. Run by hand:

    python -m tests.benchmarks.paper_speed

Ours makes the page from the record, the small photos, the values and the PDF. The yardstick is given the same words
and the same small photos as a plain typst file, and only sets them. Each runs in a process of its own.
"""

from __future__ import annotations

import json
import resource
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

STEPS = 100
NOW = datetime(2026, 3, 20, 18, tzinfo=UTC)
ROUNDS = 3


def record() -> object:
    """A unit of 100 steps, each with words, fasteners and a photo."""
    from logbook.model.step import Photo
    from tests.builders import fastener, hazard, screws, step, unit

    words = "Turn it towards the window, hold the lower edge, and look for the mark that was made before."
    made = [
        step(
            f"T{i:02d}" if i < 100 else f"T{i}", f"part number {i}", bag=str(i), note=words,
            fasteners=(screws(4), fastener("plain washer 5", 4)), hazards=(hazard(),) if i % 10 == 0 else (),
            photos=(Photo(file=f"p{i:03d}.jpg", caption=f"part {i} from above"),),
        )
        for i in range(1, STEPS + 1)
    ]  # fmt: skip
    return unit(*made)


def photos(folder: Path, size: tuple[int, int]) -> None:
    """100 photos with texture, so that they compress as real ones do."""
    import random

    from PIL import Image

    folder.mkdir(parents=True, exist_ok=True)
    for i in range(1, STEPS + 1):
        tile = Image.frombytes("RGB", (200, 150), random.Random(i).randbytes(200 * 150 * 3))
        tile.resize(size, Image.Resampling.BICUBIC).save(folder / f"p{i:03d}.jpg", quality=85)


def ours(folder: Path) -> None:
    """The build record as this project makes it."""
    import typst  # noqa: F401 - loaded before the clock starts, here as in the yardstick

    import logbook.costing
    import logbook.reassembly
    import logbook.render.build_record
    import logbook.render.paper_data
    import logbook.render.paper_pictures
    import logbook.render.typeset  # noqa: F401
    from logbook.model.shop import Shop
    from logbook.session.papers import Paper, PaperSource, Wish, make_paper

    unit = record()
    start = (time.perf_counter(), time.process_time())
    made = make_paper(PaperSource("R1", unit, Shop(), 1, NOW, NOW, folder), Wish(Paper.RECORD))  # type: ignore[arg-type]
    told(start, made.raw, folder)


def bare(folder: Path) -> None:
    """The same words and small photos as a plain typst file: an ordinary document, nothing of this project."""
    import typst

    from logbook.render.typeset import _font_folders

    words = json.loads((folder / "words.json").read_text(encoding="utf-8"))
    lines = [
        '#set page(paper: "a4", margin: 12mm, footer: context [page #counter(page).display()])',
        '#set text(font: "Noto Sans", size: 9pt)',
    ]
    for said in words:
        if said.startswith("photo:"):
            lines.append(f'#image("{said[6:]}", height: 44mm)')
        else:
            lines.append("#" + json.dumps(said, ensure_ascii=False) + "\n")
    (folder / "bare.typ").write_text("\n".join(lines), encoding="utf-8")
    start = (time.perf_counter(), time.process_time())
    fonts = typst.Fonts(include_system_fonts=False, font_paths=list(_font_folders(None)))
    raw = typst.compile(
        str(folder / "bare.typ"), root=str(folder), font_paths=fonts, ignore_system_fonts=True, pdf_standards=["a-2b"]
    )
    told(start, raw, folder)


def told(start: tuple[float, float], raw: bytes, folder: Path) -> None:
    """Figures of this process for the one that started it: by the clock, and processor time."""
    seconds, busy = time.perf_counter() - start[0], time.process_time() - start[1]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    (folder / "out.pdf").write_bytes(raw)
    print(json.dumps({"seconds": seconds, "busy": busy, "peak_mb": peak, "pdf_mb": len(raw) / 1e6}))


def measured(what: str, folder: Path, cache: Path) -> dict[str, float]:
    """One run in a process of its own."""
    import os

    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.paper_speed", what, str(folder)],
        capture_output=True, text=True, check=True, env={**os.environ, "XDG_CACHE_HOME": str(cache)},
    )  # fmt: skip
    return dict(json.loads(done.stdout))


def main() -> None:
    """Both, several times, at two sizes of photos."""
    from pypdf import PdfReader

    from logbook.render.paper_pictures import small_jpeg

    with tempfile.TemporaryDirectory() as root:
        folder, cache = Path(root) / "photos", Path(root) / "cache"
        photos(folder, (1600, 1200))
        first = measured("ours", folder, cache)
        text = [line for page in PdfReader(folder / "out.pdf").pages for line in page.extract_text().splitlines()]
        words, number = [], 0
        for line in text:
            words.append(line)
            if line.startswith("Photo:") and number < STEPS:
                number += 1
                (folder / f"s{number:03d}.jpg").write_bytes(small_jpeg(folder / f"p{number:03d}.jpg"))
                words.append(f"photo:s{number:03d}.jpg")
        (folder / "words.json").write_text(json.dumps(words), encoding="utf-8")
        runs = {w: [measured(w, folder, cache) for _ in range(ROUNDS)] for w in ("ours", "bare")}
    best = {w: {k: min(r[k] for r in found) for k in ("seconds", "busy")} for w, found in runs.items()}
    peak = {w: max(r["peak_mb"] for r in found) for w, found in runs.items()}
    shrunk = f"{first['seconds']:.2f} s ({first['busy']:.2f} s of processor), {first['peak_mb']:.0f} MB"
    print(f"first time, {STEPS} photos of 1600 x 1200 made small: {shrunk}")
    for what in runs:
        figures = f"{best[what]['seconds']:.2f} s ({best[what]['busy']:.2f} s of processor), peak {peak[what]:.0f} MB"
        print(f"{what}: {figures}, PDF {runs[what][0]['pdf_mb']:.1f} MB")
    ratio = {k: best["ours"][k] / best["bare"][k] for k in ("seconds", "busy")}
    print(f"ours / bare typst on the same words and photos: {ratio['seconds']:.2f}, processor time {ratio['busy']:.2f}")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        {"ours": ours, "bare": bare}[sys.argv[1]](Path(sys.argv[2]))
    else:
        main()
