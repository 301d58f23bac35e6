"""Runs one command. Expected errors become a sentence and an exit code; nothing else is caught but a last fault."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime

from logbook.cli.arguments import read
from logbook.cli.output import OutputError, ReaderGone, write
from logbook.errors import LogbookError


def _now() -> datetime:
    return datetime.now(UTC)


def run(argv: Sequence[str] | None = None, *, now: Callable[[], datetime] = _now) -> int:
    """Run the command in `argv`.

    Args:
        argv: the words after the program's name; None takes them from the process.
        now: the clock.

    Returns:
        0 done, 1 a check found something, 2 bad use or bad input.
    """
    try:
        return _run(argv, now)
    except ReaderGone as gone:
        return gone.exit_code
    except LogbookError as error:
        return _say(str(error), error.exit_code)
    except KeyboardInterrupt:
        return 130
    except SystemExit as end:  # --help and --version have printed
        return end.code if isinstance(end.code, int) else 0
    except Exception as fault:  # noqa: BLE001 - the one place where a fault of the program itself ends
        return _say(_fault(fault, now()), 2)


def _run(argv: Sequence[str] | None, now: Callable[[], datetime]) -> int:
    options = read(argv)
    from logbook.cli import commands
    from logbook.cli.books import CommandCall

    code = commands.COMMANDS[options.command](CommandCall(options, now))
    write("")  # a full disk or a closed pipe is noticed here and not by Python at its end
    return code


def _say(sentence: str, code: int) -> int:
    from logbook.render.plain import clean

    try:
        write(f"logbook: {clean(sentence, limit=20_000, lines=True)}\n", sys.stderr)
    except (OutputError, ReaderGone):  # nobody is left to hear it; the code still says it
        return code
    return code


def _fault(fault: Exception, at: datetime) -> str:
    from logbook.session.faults import written_down

    return written_down(fault, at)
