"""The `logbook` command, and `python -m logbook`."""

from __future__ import annotations

import gc
from collections.abc import Sequence

WHILE_STARTING = (100_000, 20, 50)
"""How many new objects there are before Python looks for garbage: what is imported and read at the start stays, and
with Python's usual 700 a fifth of the time to the first screen goes into looking through it."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return what the process leaves behind: 0 done, 1 a check found something, 2 bad use."""
    gc.set_threshold(*WHILE_STARTING)
    from logbook.cli.run_command import run

    return run(argv)


if __name__ == "__main__":
    raise SystemExit(main())
