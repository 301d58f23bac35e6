"""A joining of two copies in words, before it is made and after, and as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from logbook.joining.report import RecordReport, Report
from logbook.model.plural import counted
from logbook.render.plain import clean, wrapped

INDENT = "  "
LONGEST = 600


def joining_text(report: Report, *, done: bool, width: int = 80) -> str:
    """The report as plain text.

    Args:
        report: what is joined.
        done: it was done; else it is only looked at.
        width: columns.
    """
    lines: list[str] = []
    for line in joining_lines(report, done=done):
        indent = " " * (len(line) - len(line.lstrip()))
        said = clean(line.strip(), limit=LONGEST)
        lines += [f"{indent}{part}" for part in wrapped(said, width - len(indent))] if said else [""]
    return "\n".join(lines) + "\n"


def joining_lines(report: Report, *, done: bool) -> Iterator[str]:
    """The report, a sentence to a line; what belongs to a record is indented."""
    yield _head(report, done=done)
    for name in report.new_units:
        yield f"{name}: {'taken in' if done else 'would be taken in'} whole, with its story and its pictures."
    for record in report.records:
        yield ""
        yield from _of_record(record)
    if report.not_joined:
        yield ""
        yield "NOT JOINED"
        yield from (f"{INDENT}{said}" for said in report.not_joined)
    if done and report.changes:
        yield ""
        yield other_copy(report)


def other_copy(report: Report) -> str:
    """What is still to be done with the other copy, in a sentence."""
    return f"{report.of} itself is as it was: join it with this book there, and both say the same."


def _head(report: Report, *, done: bool) -> str:
    if not report.changes:
        return (
            f"Nothing of {report.of} is new here." if not report.not_joined else f"Nothing of {report.of} was joined."
        )
    looks = report.to_look_at
    what = counted(len(report.records), "record") if report.records else counted(len(report.new_units), "unit")
    left = f" {counted(looks, 'thing')} to look at." if looks else " Nothing is left to look at."
    if done:
        return f"Joined with {report.of}: {what}.{left}"
    return f"Joining with {report.of} would change {what}. Nothing was changed yet.{left}"


def _of_record(record: RecordReport) -> Iterator[str]:
    name = f"{record.code} {record.name}" if record.code else "the shop"
    if not record.theirs:
        yield f"{name}: what it names got a new number."
    else:
        theirs, ours = counted(record.theirs, "change"), counted(record.ours, "change")
        here = f"{ours}, the last by {record.by_here}" if record.ours else "none"
        yield f"{name}: in the other copy {theirs}, the last by {record.by}; here {here}."
    yield from _part("NEW NUMBERS", record.numbers)
    yield from _part("TO CHOOSE", [record.with_sides(look.what) for look in record.to_look_at if look.asks])
    numbered = {f"The number {said.split(' ', 1)[0]} was given twice. {said}" for said in record.numbers}
    others = [record.with_sides(x.what) for x in record.to_look_at if not x.asks and x.what not in numbered]
    yield from _part("TO LOOK AT", others)
    yield from _part("comes in", record.comes_in)
    if record.pictures:
        yield f"{INDENT}{counted(record.pictures, 'original')} of pictures copied"


def _part(head: str, said: Any) -> Iterator[str]:
    if said:
        yield f"{INDENT}{head}"
        yield from (f"{INDENT}{INDENT}{one}" for one in said)


def joining_data(report: Report, *, done: bool) -> dict[str, Any]:
    """The report as plain values."""
    return {
        "of": report.of,
        "done": done,
        "new_units": list(report.new_units),
        "not_joined": list(report.not_joined),
        "records": [
            {
                "code": record.code or "shop",
                "name": record.name,
                "by_here": record.by_here,
                "by": record.by,
                "changes_there": record.theirs,
                "changes_here": record.ours,
                "comes_in": list(record.comes_in),
                "new_numbers": list(record.numbers),
                "to_look_at": [look.model_dump(mode="json", exclude_defaults=True) for look in record.to_look_at],
                "pictures": record.pictures,
            }
            for record in report.records
        ],
    }
