"""Another copy of the book, or of a unit, joined with this one; or only looked at."""

from __future__ import annotations

from logbook.cli.books import CommandCall, folder_of
from logbook.cli.output import write
from logbook.joining.report import Report


def join(call: CommandCall) -> int:
    """Join, or say what joining would do; 1 when something is left to look at.

    Raises:
        InputError: nothing that could be joined lies there.
        StoreError: it cannot be read, or the disk refused; nothing was changed.
    """
    from logbook.session.joining import keep, propose

    path = folder_of(call.options.other)
    if call.options.dry_run:
        with call.read() as session:
            report = propose(session, path).report(session.on_shop_clock)
    else:
        with call.write() as session:
            report = keep(session, propose(session, path))
    _print(call, report, done=not call.options.dry_run)
    return 1 if report.to_look_at else 0


def _print(call: CommandCall, report: Report, *, done: bool) -> None:
    from logbook.cli.shared import width, write_json
    from logbook.render.joining_document import joining_data, joining_text

    if call.options.as_json:
        write_json(joining_data(report, done=done))
    else:
        write(joining_text(report, done=done, width=width(call)))
