"""How long 200 units take to be joined, and what is written for units that did not differ.

`python -m tests.benchmarks.join_speed [UNITS [APART]]`: a book of so many units and a copy of it, in which so many of
them were changed on both sides. Seconds of the processor stand behind those of the clock: others may use the machine.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from logbook.model.edits import keep_step, next_step_code
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.session.joining import keep, propose
from tests.builders import screws, step, unit

NOON = datetime(2026, 3, 12, 12, tzinfo=UTC)
STEPS = 40


class Clock:
    """Each look at it is a second later."""

    def __init__(self, hours: int) -> None:
        self._at = NOON + timedelta(hours=hours)

    def __call__(self) -> datetime:
        self._at += timedelta(seconds=1)
        return self._at


def codes(count: int) -> list[str]:
    return [f"U{number:03d}" for number in range(1, count + 1)]


def begun(book: Path, count: int) -> None:
    with Session.open(book, by="AB", now=Clock(0)) as session:
        for code in codes(count):
            made = [step(f"T{n:02d}", f"part {n}", fasteners=[screws(4)], bag=str(n)) for n in range(1, STEPS + 1)]
            session.add_unit(unit(*made, code=code))


def went_on(book: Path, by: str, hours: int, count: int) -> None:
    with Session.open(book, by=by, now=Clock(hours)) as session:
        for code in codes(count):
            for number in range(3):

                def one_more(record: Unit, number: int = number) -> Unit:
                    return keep_step(record, step(next_step_code(record), f"{by} {number}", at=session.now))

                session.apply(code, f"{by} wrote", one_more)


def stamps(book: Path, apart: int) -> dict[Path, int]:
    """When the files of the units that did not differ were last written."""
    changed = set(codes(apart))
    return {p: p.stat().st_mtime_ns for p in (book / "units").rglob("*") if not changed & set(p.parts)}


def since(start: tuple[float, float]) -> str:
    """Seconds of the clock and of the processor."""
    return f"{time.perf_counter() - start[0]:.1f} s ({time.process_time() - start[1]:.1f} s)"


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    apart = int(sys.argv[2]) if len(sys.argv) > 2 else count
    folder = Path(tempfile.mkdtemp())
    try:
        bench, desk = folder / "bench", folder / "desk"
        begun(bench, count)
        shutil.copytree(bench, desk)
        went_on(bench, "AB", 10, apart)
        went_on(desk, "CD", 20, apart)
        before = stamps(bench, apart)
        with Session.open(bench, by="AB", now=Clock(30)) as session:
            start = time.perf_counter(), time.process_time()
            proposal = propose(session, desk)
            looked = since(start)
            report = keep(session, proposal)
            done = since(start)
        print(f"{count} units of {STEPS} steps, {len(report.records)} joined: looked at in {looked}, joined in {done}")
        written = "nothing" if stamps(bench, apart) == before else "SOMETHING"
        print(f"of the other {count - apart} {written} was written")
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
