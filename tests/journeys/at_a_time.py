"""The logbook with its clock read from a file: `python at_a_time.py CLOCK WORDS ...`. Time stands until it is set anew.

CLOCK holds a moment with its zone, such as `2026-03-02T18:00:00+00:00`.
"""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path

from logbook.cli.run_command import run

CLOCK = Path(sys.argv[1])


def now() -> datetime:
    """The time that was set last."""
    return datetime.fromisoformat(CLOCK.read_text(encoding="ascii"))


if __name__ == "__main__":
    sys.exit(run(sys.argv[2:], now=now))
