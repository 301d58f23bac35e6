"""A joining of two copies in words, before it is made and after, and as data."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from logbook.joining.report import RecordReport, Report
from logbook.model.plural import counted
from logbook.render.plain import clean, wrapped

INDENT = "  "
LONGEST = 600
NEW_NUMBERS, TO_CHOOSE, TO_LOOK_AT, COMES_IN, NOT_JOINED = (
    "NEW NUMBERS", "TO CHOOSE", "TO LOOK AT", "comes in", "NOT JOINED",
)  # fmt: skip
"""What a joining does to a record, each kind by its word; in capitals what a person must look at."""


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
    yield joining_answer(report, done=done)
    for name in report.new_units:
        yield f"{name}: {whole_words(done=done)}"
    for record in report.records:
        yield ""
        yield from _of_record(record)
    if report.not_joined:
        yield ""
        yield NOT_JOINED
        yield from (f"{INDENT}{said}" for said in report.not_joined)
    if done and report.changes:
        yield ""
        yield other_copy(report)


def whole_words(*, done: bool) -> str:
    """What happens to a unit that was not here."""
    return f"{'taken in' if done else 'would be taken in'} whole, with its story and its pictures."


def other_copy(report: Report) -> str:
    """What is still to be done with the other copy, in a sentence."""
    return f"{report.of} itself is as it was: join it with this book there, and both say the same."


def joining_answer(report: Report, *, done: bool) -> str:
    """What it comes to, in a sentence."""
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
    yield f"{record_name(record)}: {whose_changes(record)}"
    for head, said in record_parts(record):
        yield f"{INDENT}{head}"
        yield from (f"{INDENT}{INDENT}{one}" for one in said)
    if record.pictures:
        yield f"{INDENT}{pictures_words(record)}"


def record_name(record: RecordReport) -> str:
    """The unit's code and name, or the shop."""
    return f"{record.code} {record.name}" if record.code else "the shop"


def whose_changes(record: RecordReport) -> str:
    """How much each side changed, and who wrote last, in a sentence."""
    if not record.theirs:
        return "what it names got a new number."
    theirs, ours = counted(record.theirs, "change"), counted(record.ours, "change")
    here = f"{ours}, the last by {record.by_here}" if record.ours else "none"
    return f"in the other copy {theirs}, the last by {record.by}; here {here}."


def record_parts(record: RecordReport) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What happens to a record: each kind of it by its word, with its sentences. A new number is said once."""
    numbered = {f"The number {said.split(' ', 1)[0]} was given twice. {said}" for said in record.numbers}
    looks = [look for look in record.to_look_at if look.asks or look.what not in numbered]
    to_choose = tuple(record.with_sides(look.what) for look in looks if look.asks)
    to_look_at = tuple(record.with_sides(look.what) for look in looks if not look.asks)
    for head, said in (
        (NEW_NUMBERS, record.numbers),
        (TO_CHOOSE, to_choose),
        (TO_LOOK_AT, to_look_at),
        (COMES_IN, record.comes_in),
    ):
        if said:
            yield head, said


def pictures_words(record: RecordReport) -> str:
    """How many originals are copied."""
    return f"{counted(record.pictures, 'original')} of pictures copied"


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
