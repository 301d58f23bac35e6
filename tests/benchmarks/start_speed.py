"""What the first screen, the first command and the first opening of each section cost, each beside a yardstick.

Run by hand: `python -m tests.benchmarks.start_speed [FOLDER] [ROUNDS]`. The books are made in FOLDER and kept there for
the next run; without one they are made anew each time, which takes some minutes. Everything runs in processes of its
own, on a pseudo-terminal of 80 x 24 where it draws; processor time is counted, yardstick and thing measured take turns,
medians are compared.

- First screen: until the bench has drawn its units, from the start of the process; against a bare Textual program with
  a table of 20 rows and a footer. “Later” is two seconds after, when what follows in the background has run.
- Commands: the whole process, against `import pydantic, tinydb`.
- Books: the example radio twice and 200 times, lengthened to 100 steps; and 5,000 units of 10 of its steps.
- Sections: from the key to the section drawn, in the program itself, the unit being open at another section.
- Edit: one durable edit of a field, in 2 and in 200 units, against the store's own change of the same document.
- Keys while something works: the longest time that a key waited while plan, layout and photos were at work.
"""

from __future__ import annotations

import asyncio
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from logbook.model.unit import Unit

NOW = datetime(2026, 3, 20, 18, tzinfo=UTC)
ROUNDS = 5
SIZES = {"two": 2, "rich": 200, "many": 5000}
MODULE = "tests.benchmarks.start_speed"


class Wanted(NamedTuple):
    """A ratio that must not be passed."""

    what: str
    thing: str
    yardstick: str
    field: str
    most: float


SCREENS = (
    Wanted("first screen, 2 units", "screen two", "bare screen", "seconds", 1.8),
    Wanted("   memory", "screen two", "bare screen", "memory", 1.6),
    Wanted("first screen, 200 units of 100 steps", "screen rich", "bare screen", "seconds", 2.0),
    Wanted("   two seconds later", "screen rich", "bare screen", "later", 2.5),
    Wanted("   memory", "screen rich", "bare screen", "memory", 1.8),
    Wanted("first screen, 5,000 units of 10 steps", "screen many", "bare screen", "seconds", 4.0),
    Wanted("logbook --version", "version", "imports", "seconds", 1.0),
    Wanted("logbook bench, 2 units", "bench two", "imports", "seconds", 3.0),
    Wanted("logbook bench, 200 units", "bench rich", "imports", "seconds", 5.0),
)


# Books


def lengthened(unit: Unit, steps: int) -> Unit:
    """The unit with its steps written down again and again under further codes, until there are so many."""
    from logbook.model.step import Relation, Step

    made: list[Step] = list(unit.steps)
    related: list[Relation] = list(unit.relations)
    while len(made) < steps:
        names = {s.code: f"T{len(made) + i:02d}" for i, s in enumerate(unit.steps, 1)}
        made += [s.model_copy(update={"code": names[s.code]}) for s in unit.steps]
        for relation in unit.relations:
            if relation.earlier in names and relation.later in names:
                codes = {"earlier": names[relation.earlier], "later": names[relation.later]}
                related.append(relation.model_copy(update=codes))
    kept = {s.code for s in made[:steps]}
    within = tuple(r for r in related if r.earlier in kept and r.later in kept)
    return unit.model_copy(update={"steps": tuple(made[:steps]), "relations": within})


def shortened(unit: Unit, steps: int) -> Unit:
    """The unit with its first steps, and of the rest what belongs to them."""
    kept = {s.code for s in unit.steps[:steps]}
    changes: dict[str, Any] = {
        "steps": unit.steps[:steps],
        "relations": tuple(r for r in unit.relations if r.earlier in kept and r.later in kept),
        "components": tuple(c for c in unit.components if c.from_step in kept),
        "sub_assemblies": (),
        "layouts": (),
        "operations": unit.operations[:5],
        "parts": unit.parts[:3],
        "refit": type(unit.refit)(),
    }
    return unit.model_copy(update=changes)


def make_book(folder: Path, name: str) -> Path:
    """A book of so many units, made when it is not there yet, and closed as a person closes it."""
    from logbook.model.document import UnitDocument
    from logbook.model.templates import demo_documents
    from logbook.session import Session

    path = folder / name
    if path.exists():
        return path
    documents = demo_documents(date(2026, 3, 20))
    (radio,) = [d.unit for d in documents if isinstance(d, UnitDocument) and d.unit.code == "R1"]
    one = shortened(radio, 10) if name == "many" else lengthened(radio, 100)
    with Session.open(path, by="AB", now=lambda: NOW) as session:
        for number in range(1, SIZES[name] + 1):
            session.add_unit(one.model_copy(update={"code": f"R{number}"}))
    return path


# In a process of its own: measured from its start


def spent(into: dict[str, float], suffix: str = "seconds") -> None:
    """Processor time and memory of this process up to now."""
    into[suffix] = time.process_time()
    into.setdefault("memory", 0)
    into["memory"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def bare_screen(_: str) -> dict[str, float]:
    """A bare program with a table and a footer."""
    from textual.app import App, ComposeResult
    from textual.widgets import DataTable, Footer

    found: dict[str, float] = {}

    class Bare(App[None]):
        BINDINGS = [("q", "quit", "quit"), ("n", "new", "new"), ("t", "time", "minutes")]

        def compose(self) -> ComposeResult:
            yield DataTable()
            yield Footer()

        def on_mount(self) -> None:
            table = self.query_one(DataTable)
            table.add_columns("unit", "what", "stage", "next", "cash")
            for i in range(20):
                table.add_row(f"R{i}", "table radio", "rebuild", "next: glue the case", "85 / 100")
            self.call_after_refresh(self.drawn)

        def drawn(self) -> None:
            spent(found)
            self.set_timer(2, self.later)

        def later(self) -> None:
            found["later"] = time.process_time()
            self.exit()

    Bare().run()
    return found


def our_screen(book: str) -> dict[str, float]:
    """The program on a book, as `logbook` starts it."""
    from logbook.cli.arguments import read
    from logbook.cli.books import CommandCall

    found: dict[str, float] = {}
    call = CommandCall(read(["--book", book]), lambda: NOW)
    session = call.session_for_screens(call.book)
    import logbook.tui.app
    from logbook.tui.settings import Settings
    from logbook.tui.widgets.terminal_picture import prepare

    class Watched(logbook.tui.app.LogbookApp):
        def on_mount(self) -> None:
            self.set_timer(0.01, self.look)

        def look(self) -> None:
            shown = "\n".join(strip.text for strip in self.screen._compositor.render_strips())
            if "R1 " not in shown or "rebuild" not in shown:
                self.set_timer(0.01, self.look)
                return
            spent(found)
            self.set_timer(2, self.later)

        def later(self) -> None:
            found["later"] = time.process_time()
            found["memory"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            self.exit()

    settings = Settings.load(None)
    prepare(settings.pictures)
    Watched(session, settings).run()
    return found


def sections(book: str) -> dict[str, float]:
    """Milliseconds of processor time from a section to the next, each for the first time, after one round to import."""
    from logbook.session import Session
    from logbook.tui.app import LogbookApp
    from logbook.tui.screen_names import screen_named
    from logbook.tui.sections import PLACES

    found: dict[str, float] = {}

    async def walk(session: Session) -> None:
        app = LogbookApp(session)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            for code in ("R2", "R1"):
                app.go_to(code)
                await pilot.pause()
                for name in PLACES:
                    if getattr(app.screen, "SECTION", "") == name:
                        continue
                    start = time.process_time()
                    app.switch_screen(screen_named(name, session, code))
                    await pilot.pause()
                    found[name] = (time.process_time() - start) * 1000
                app.pop_screen()
                await pilot.pause()

    with Session.open(Path(book), now=lambda: NOW) as session:
        asyncio.run(walk(session))
    return found


def scrolling(book: str) -> dict[str, float]:
    """Milliseconds of processor time of one key down in the list of units: median, and 95 of 100."""
    from logbook.session import Session
    from logbook.tui.app import LogbookApp

    took: list[float] = []

    async def walk(session: Session) -> None:
        app = LogbookApp(session)
        async with app.run_test(size=(80, 24)) as pilot:
            while "Reading" in str(app.screen.query_one("#question").render()):
                await pilot.pause(0.1)
            await pilot.pause()
            for _ in range(100):
                start = time.process_time()
                await pilot.press("down")
                took.append((time.process_time() - start) * 1000)

    with Session.open(Path(book), now=lambda: NOW) as session:
        asyncio.run(walk(session))
    return {"median": statistics.median(took), "late": sorted(took)[94]}


def edits(book: str) -> dict[str, float]:
    """Milliseconds by the clock of one durable edit: through the session, and by the store alone; they take turns."""
    from logbook.session import Session
    from logbook.session.record_states import to_state

    mine, bare = list[float](), list[float]()
    with (
        tempfile.TemporaryDirectory(dir=Path(book).parent) as name,
        Session.open(Path(book), now=lambda: NOW) as session,
    ):
        document = _alone(Path(name) / "alone", to_state(session.unit("R1")))
        before = session.unit("R1").notes
        for number in range(200):
            start = time.perf_counter()
            session.apply("R1", "note", lambda u, n=number: u.model_copy(update={"notes": f"note {n}"}))
            mine.append(time.perf_counter() - start)
            do, undo = ([{"op": "replace", "path": "/notes", "value": f"note {n}"}] for n in (number, number - 1))
            undo[0]["value"] = document.state["notes"]
            start = time.perf_counter()
            document.change("note", do, undo)
            bare.append(time.perf_counter() - start)
        session.apply("R1", "note", lambda u: u.model_copy(update={"notes": before}))
    return {"session": statistics.median(mine) * 1000, "store": statistics.median(bare) * 1000}


def _alone(path: Path, state: dict[str, Any]) -> Any:
    from logbook.store import BookFolder

    folder = BookFolder.open(path, by="AB", now=lambda: NOW)
    return folder.add_unit("R1", state, "arrived")


CHILDREN: dict[str, Callable[[str], dict[str, float]]] = {
    "bare": bare_screen, "ours": our_screen, "sections": sections, "scrolling": scrolling, "edits": edits,
}  # fmt: skip


# The runs


def on_a_terminal(what: str, book: str, scratch: Path) -> dict[str, float]:
    """What a child on a pseudo-terminal found."""
    from ptyprocess import PtyProcess

    out = scratch / "found.json"
    out.unlink(missing_ok=True)
    env = {**os.environ, "TERM": "xterm-256color", "XDG_CONFIG_HOME": str(scratch), "XDG_STATE_HOME": str(scratch)}
    child = PtyProcess.spawn(
        [sys.executable, "-m", MODULE, "child", what, book, str(out)], dimensions=(24, 80), env=env
    )
    try:
        while child.read(65536):
            pass
    except EOFError:
        child.wait()
    return dict(json.loads(out.read_text()))


def of_process(argv: list[str], scratch: Path) -> dict[str, float]:
    """Processor time and memory of a whole process."""
    with (scratch / "out.txt").open("wb") as out:
        child = subprocess.Popen(argv, stdout=out, stderr=subprocess.STDOUT)
        _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit((scratch / "out.txt").read_text()[-2000:])
    return {"seconds": used.ru_utime + used.ru_stime, "memory": used.ru_maxrss / 1024}


def runs_of(books: dict[str, str], scratch: Path) -> dict[str, Callable[[], dict[str, float]]]:
    """Everything that is measured in turns."""
    logbook = [str(Path(sys.executable).parent / "logbook")]
    made: dict[str, Callable[[], dict[str, float]]] = {
        "bare screen": lambda: on_a_terminal("bare", "", scratch),
        "imports": lambda: of_process([sys.executable, "-c", "import pydantic, tinydb"], scratch),
        "version": lambda: of_process([*logbook, "--version"], scratch),
    }
    for name, book in books.items():
        made[f"screen {name}"] = lambda book=book: on_a_terminal("ours", book, scratch)
        if name != "many":
            made[f"bench {name}"] = lambda book=book: of_process([*logbook, "bench", "--book", book], scratch)
    return made


def main() -> None:
    """Print the ratios."""
    keep = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else ROUNDS
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        folder = keep or scratch
        folder.mkdir(parents=True, exist_ok=True)
        books = {name: str(make_book(folder, name)) for name in SIZES}
        runs = runs_of(books, scratch)
        found: dict[str, list[dict[str, float]]] = {name: [] for name in runs}
        for _ in range(rounds):
            for each, run in runs.items():
                found[each].append(run())
        middle = {n: {k: statistics.median(f[k] for f in all_) for k in all_[0]} for n, all_ in found.items()}
        for wanted in SCREENS:
            mine, base = middle[wanted.thing][wanted.field], middle[wanted.yardstick][wanted.field]
            unit = "MB" if wanted.field == "memory" else "s"
            told(wanted.what, f"{mine:7.2f} {unit:2} / {base:6.2f}", mine / base, wanted.most)
        for book, most in (("two", 150.0),):
            for section, took in on_a_terminal("sections", books[book], scratch).items():
                told(f"section {section}, 100 steps", "", took, most, " ms")
        scrolled = on_a_terminal("scrolling", books["many"], scratch)
        told("a key down in 5,000 units", f"95 of 100: {scrolled['late']:.1f} ms", scrolled["median"], 5, " ms")
        for book in ("two", "rich"):
            edit = on_a_terminal("edits", books[book], scratch)
            figures = f"{edit['session']:.2f} ms / {edit['store']:.2f}"
            what = f"one edit in {SIZES[book]} units, against the store alone"
            print(f"{what:46} {figures:24} {edit['session'] / edit['store']:7.2f}")


def told(what: str, figures: str, value: float, most: float, unit: str = "") -> None:
    """One line."""
    print(f"{what:46} {figures:24} {value:7.2f}{unit}  wanted at most {most:g}  {'yes' if value <= most else 'NO'}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["child"]:
        result = CHILDREN[sys.argv[2]](sys.argv[3])
        Path(sys.argv[4]).write_text(json.dumps(result))
    else:
        main()
