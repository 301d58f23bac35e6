"""The `logbook` command, and `python -m logbook`."""

from __future__ import annotations

from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return what the process leaves behind: 0 done, 1 a check found something, 2 bad use."""
    from logbook.cli.run_command import run

    return run(argv)


if __name__ == "__main__":
    raise SystemExit(main())
