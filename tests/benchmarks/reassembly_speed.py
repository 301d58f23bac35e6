"""What the order, the readiness and the account of a huge unit cost, against networkx in the same run.

Run by hand: `python -m tests.benchmarks.reassembly_speed [ROUNDS]`. The unit has 10,000 steps with four screws and a
bag each, and 30,000 relations. There are two yardsticks: networkx sorting the graph of those steps and relations that
it was given ready made, and networkx making the graph and sorting it, which is what it takes from a record. Rounds are
interleaved, processor time is counted, medians are compared; the collector of unused memory rests during a round, as
`timeit` has it, for both sides.

What is inside each time:

- sort alone: `list(topological_sort(graph))`, the graph being at hand.
- graph and sort: `DiGraph()`, `add_nodes_from` the codes, `add_edges_from` the relations, then the same.
- Cold, every round from the record alone with nothing kept from the round before: order, ledger, list.
- Warm: readiness, with the list at hand, which a change of the record makes anew; and what follows a tick.
- order: `precedence(unit)`, from the record: relations, lumps and proven edges, a circle told; `shuffled` is the same
  with the steps recorded in an order that the relations contradict, so that nothing can be taken as recorded.
- readiness: `readiness(unit, list, now)`, every line with its reasons, the list being at hand.
- ledger: `ledger(unit)`, holes, found and refitted by step, bag and unit.
- list: `refit_list(unit)`, the order with all the words of all lines. It is made once and kept while only ticks change.
- after a tick: what a screen works out again when a line was ticked: readiness, standing and lines to look at again,
  with half of the lines ticked before.

Then ticks are made in the program itself, on a book on disk, by the key and at 80 x 24, the cursor going down the list:
from the key until the change is on disk and the screen is drawn again, by the clock on the wall.
"""

from __future__ import annotations

import asyncio
import gc
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

import networkx as nx

from logbook.model.precedence import precedence
from logbook.model.unit import Unit
from logbook.reassembly import ledger, readiness, refit_list, tick, tick_range
from logbook.session import Session
from logbook.session.refit_view import RefitView, view_after, view_anew
from logbook.tui.app import LogbookApp
from logbook.tui.screens.reassembly_screen import ReassemblyScreen
from tests.builders import relation, screws, step

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from logbook.model.step import Relation, Step
    from logbook.reassembly import RefitList

STEPS, RELATIONS, FARTHEST = 10_000, 30_000, 200
NOW = datetime(2026, 3, 17, 10, tzinfo=UTC)
BOUND = 2.0
TICKS, PAINTED_MS = 15, 100


def parts() -> tuple[tuple[Step, ...], tuple[Relation, ...]]:
    """Steps that are free but for the relations, each of which points at most 200 steps ahead."""
    chance = Random(20260317)
    codes = [f"T{i:04d}" for i in range(STEPS)]
    pairs: dict[tuple[str, str], None] = {}
    while len(pairs) < RELATIONS:
        a = chance.randrange(STEPS - 1)
        pairs[codes[a], codes[chance.randrange(a + 1, min(STEPS, a + FARTHEST))]] = None
    steps = tuple(step(c, f"part {c}", bag=c[1:], fasteners=(screws(4),), stated=True) for c in codes)
    return steps, tuple(relation(a, b) for a, b in sorted(pairs))


def shuffled(unit: Unit) -> Unit:
    """The same unit with its steps recorded in another order."""
    steps = list(unit.steps)
    Random(1).shuffle(steps)
    return unit.model_copy(update={"steps": tuple(steps)})


def graph_of(unit: Unit) -> nx.DiGraph[str]:
    """Steps and relations as networkx has them."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(s.code for s in unit.steps)
    graph.add_edges_from((r.earlier, r.later) for r in unit.relations)
    return graph


def check(unit: Unit, order: Sequence[str]) -> None:
    """The order is one, by networkx's own account: every step once, and every relation kept."""
    place = {code: i for i, code in enumerate(order)}
    graph = graph_of(unit)
    if set(place) != set(graph) or len(order) != len(graph) or any(place[a] >= place[b] for a, b in graph.edges):
        raise SystemExit("the order does not keep the relations; no time is worth anything")


def half_ticked(unit: Unit, listed: RefitList) -> Unit:
    """The unit with every line of the first half of the list ticked."""
    return tick_range(unit, f"A1-A{len(listed.lines) // 2}", NOW, "AB", "for the benchmark", lst=listed)


def after_a_tick(before: RefitView, unit: Unit) -> tuple[object, ...]:
    """What a screen works out anew when only a tick has changed."""
    view = view_after(before, unit, NOW)
    return view.ready, view.standing, view.changed


async def painted(unit: Unit, ticks: int) -> list[float]:
    """Seconds from the key of each tick until it is kept and shown."""
    taken: list[float] = []
    with tempfile.TemporaryDirectory() as folder, Session.open(Path(folder) / "book", by="AB") as session:
        session.add_unit(unit)
        app = LogbookApp(session)
        async with app.run_test(size=(80, 24)) as pilot:
            screen = ReassemblyScreen(session, unit.code)
            await app.push_screen(screen)
            await pilot.pause()
            for _ in range(ticks):
                before = len(session.unit(unit.code).refit.lines)
                start = time.perf_counter()
                screen.action_tick()
                await pilot.pause()
                taken.append(time.perf_counter() - start)
                if len(session.unit(unit.code).refit.lines) != before + 1:
                    raise SystemExit("nothing was ticked; no time is worth anything")
                await pilot.press("down")
    return taken


def medians(work: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """Median processor time of each in seconds, one after the other in every round."""
    taken: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, do in work.items():
            gc.collect()
            gc.disable()
            start = time.process_time()
            kept = do()
            taken[name].append(time.process_time() - start)
            gc.enable()
            del kept
    return {name: statistics.median(times) for name, times in taken.items()}


def main(rounds: int = 9) -> int:
    """Measure, print, and leave 1 behind when one of the three is over its bound."""
    steps, relations = parts()
    unit = Unit(code="X1", name="a very large thing", steps=steps, relations=relations)
    mixed, graph, listed = shuffled(unit), graph_of(unit), refit_list(unit)
    check(unit, precedence(unit).order)
    check(mixed, precedence(mixed).order)
    half = half_ticked(unit, listed)
    before = view_anew(half, NOW)
    ticked = tick(half, before.listed.lines[len(before.listed.lines) // 2].key, at=NOW, over=before.progress)
    found = medians(
        {
            "networkx, graph and sort": lambda: list(nx.topological_sort(graph_of(unit))),
            "networkx, sort alone": lambda: list(nx.topological_sort(graph)),
            "order": lambda: precedence(unit),
            "order, shuffled": lambda: precedence(mixed),
            "readiness": lambda: readiness(unit, listed, NOW),
            "ledger": lambda: ledger(unit),
            "list with all words": lambda: refit_list(unit),
            "after a tick": lambda: after_a_tick(before, ticked),
        },
        rounds,
    )
    yardstick, bare = found["networkx, graph and sort"], found["networkx, sort alone"]
    print(f"{STEPS} steps, {RELATIONS} relations, median of {rounds} rounds, processor time")
    print(f"{'':26}      ms   of graph and sort   of sort alone")
    for name, seconds in found.items():
        print(f"{name:26} {seconds * 1000:7.1f} {seconds / yardstick:19.2f} {seconds / bare:15.2f}")
    together = sum(found[name] for name in ("order", "readiness", "ledger"))
    print(f"{'the three added up':26} {together * 1000:7.1f} {together / yardstick:19.2f} {together / bare:15.2f}")
    for name, of in (("nothing ticked", unit), ("half ticked", half)):
        taken = asyncio.run(painted(of, TICKS))
        words = f"median {statistics.median(taken) * 1000:.0f} ms, most {max(taken) * 1000:.0f} ms"
        print(f"a tick until it is kept and shown, {name} before: {words} of {TICKS} ticks (wanted: {PAINTED_MS} ms)")
    slow = [f"{name} {found[name] / bare:.1f}" for name in ("order", "order, shuffled", "readiness", "ledger")]
    print(f"times the sort of a graph made beforehand (wanted: {BOUND:g}): {'; '.join(slow)}")
    over = [name for name in ("order", "readiness", "ledger") if found[name] > BOUND * yardstick]
    said = f"over {BOUND:g} times: {', '.join(over)}" if over else f"each of the three is within {BOUND:g} times"
    print(f"{said} the graph made and sorted by networkx")
    return 1 if over else 0


if __name__ == "__main__":
    raise SystemExit(main(*map(int, sys.argv[1:])))
