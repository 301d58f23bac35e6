"""Random keys and words over all screens: no exception, nothing kept unsaid, everything can be taken back.

    python -m tests.benchmarks.any_key [HOW_MANY] [--first SEED] [--keys KEYS] [--at-once PROCESSES]
    python -m tests.benchmarks.any_key --seed SEED [--keys KEYS]

The first form runs so many seeds and prints each fault with its seed, the last keys and the screen, and figures at
the end. The second replays one seed with every key printed, and the screen after each with `--screens`.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from functools import partial

os.environ["TZ"] = "UTC"
time.tzset()

from tests.tui.any_key import run_seed  # noqa: E402 - the zone is set before anything reads it


def main() -> int:
    """Run as the arguments say; 1 when there was a fault."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("how_many", nargs="?", type=int, default=20)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--keys", type=int, default=300)
    parser.add_argument("--at-once", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--seed", type=int)
    parser.add_argument("--screens", action="store_true")
    options = parser.parse_args()
    if os.environ.get("PYTHONHASHSEED") != "0":  # sets in one order, so that a seed replays in every run
        again = [sys.executable, "-m", "tests.benchmarks.any_key", *sys.argv[1:]]
        os.execve(sys.executable, again, {**os.environ, "PYTHONHASHSEED": "0"})
    if options.seed is not None:
        return _replay(options.seed, options.keys, screens=options.screens)
    return _many(range(options.first, options.first + options.how_many), options.keys, options.at_once)


def _replay(seed: int, keys: int, *, screens: bool) -> int:
    out = sys.stdout

    def watch(number: int, name: str, shown: list[str]) -> None:
        print(f"{number:4} {name:<44} {shown[0]}", file=out)
        if screens:
            print("\n".join(f"     | {line}" for line in shown[1:]), file=out)

    told = run_seed(seed, keys, watch)
    print(told.fault or f"seed {seed}: {told.keys} keys, {told.kept} lines kept, no fault")
    return 1 if told.fault else 0


def _many(seeds: range, keys: int, at_once: int) -> int:
    began, faults = time.monotonic(), 0
    places: Counter[str] = Counter()
    pressed = kept = 0
    with ProcessPoolExecutor(at_once) as pool:
        for told in pool.map(partial(run_seed, keys=keys), seeds):
            pressed, kept = pressed + told.keys, kept + told.kept
            places += told.places
            if told.fault is not None:
                faults += 1
                print(f"\n{told.fault}\n", flush=True)
            if (told.seed - seeds.start + 1) % 20 == 0:
                print(f"{told.seed - seeds.start + 1} seeds, {faults} faults", file=sys.stderr, flush=True)
    took = time.monotonic() - began
    print(f"{len(seeds)} seeds from {seeds.start}, {pressed} keys, {kept} lines kept and taken back, {faults} faults")
    print(f"{took:.0f} s, {1000 * took / max(1, pressed):.1f} ms a key, {at_once} at once")
    print("keys at each place: " + ", ".join(f"{name} {n}" for name, n in places.most_common()))
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
