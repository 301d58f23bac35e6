"""A fault of the program itself, written down short: where it happened, never what a record says."""

from __future__ import annotations

import os
import traceback
from datetime import datetime
from pathlib import Path

APPLICATION = "restorers-logbook"
MOST_FRAMES = 40
"""Calls that are written down of one fault, the innermost ones."""
MOST_BYTES = 25_000
"""From here on the file is put aside in the place of the one before, so that both hold at most 50 kB."""


def fault_file() -> Path:
    """Where faults are written down."""
    from platformdirs import user_log_path

    return user_log_path(APPLICATION) / "faults.txt"


def written_down(fault: BaseException, at: datetime) -> str:
    """Write a fault down; what to say of it, in sentences."""
    words = f"This is a fault of the program, not of yours: {type(fault).__name__}: {str(fault)[:200]}."
    path = fault_file()
    try:
        _add(path, f"{at.isoformat()}\n{_where(fault)}\n")
    except OSError as error:
        return f"{words} The details could not be written down: {error.strerror}."
    return f"{words} What was acknowledged is kept. The details are in {path}."


def place_of(fault: BaseException) -> str:
    """Kind and place of a fault: the same for one that comes again."""
    frames = traceback.extract_tb(fault.__traceback__)
    return f"{type(fault).__name__} {frames[-1].filename}:{frames[-1].lineno}" if frames else type(fault).__name__


def _add(path: Path, entry: str) -> None:
    """Add an entry; raises OSError."""
    raw = entry.encode("utf-8", "replace")[:MOST_BYTES]
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.exists() and path.stat().st_size + len(raw) > MOST_BYTES:
        os.replace(path, path.with_name("faults-before.txt"))
    with path.open("ab") as log:
        log.write(raw)


def _where(fault: BaseException) -> str:
    """The kinds of the fault and of what led to it, each with its calls.

    Neither the words of a fault nor values are written: both can quote what a person wrote.
    """
    lines = []
    cause: BaseException | None = fault
    seen = set[int]()
    while cause is not None and id(cause) not in seen:
        seen.add(id(cause))
        lines.append(f"Traceback of {type(cause).__name__}")
        for frame in traceback.extract_tb(cause.__traceback__)[-MOST_FRAMES:]:
            lines.append(f"  {frame.filename}:{frame.lineno} {frame.name}: {frame.line}")
        cause = cause.__cause__ or cause.__context__
    return "\n".join(lines) + "\n"
