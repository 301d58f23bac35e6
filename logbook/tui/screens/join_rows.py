"""What a joining would do, as entries: each record with what happens to it, each kind of that with its tag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from logbook.joining.report import RecordReport, Report
from logbook.render.joining_document import (
    COMES_IN,
    NEW_NUMBERS,
    NOT_JOINED,
    TO_CHOOSE,
    TO_LOOK_AT,
    pictures_words,
    record_name,
    record_parts,
    whole_words,
    whose_changes,
)
from logbook.render.plain import clean
from logbook.tui.look.inks import BLANK, Line, Span, fit, flow, group, hanging, line, signal
from logbook.tui.widgets.entries import ListEntry, entry, heading

TAG_INKS = {NEW_NUMBERS: "head", TO_CHOOSE: "wait", TO_LOOK_AT: "wait", NOT_JOINED: "bad"}
TAG_COLUMNS = max(len(f" {word} ") for word in TAG_INKS) + 1
LONGEST = 600


def joining_entries(report: Report, columns: int) -> list[ListEntry]:
    """All of it: units that come whole, the records that are joined, what is not joined.

    Args:
        report: what would be joined.
        columns: of the list.
    """
    entries: list[ListEntry] = []
    for number, name in enumerate(report.new_units):
        said = f"{name}: {whole_words(done=False)}"
        entries.append(entry(f"whole {number}", _tagged(_tag(COMES_IN), said, columns)))
    for number, record in enumerate(report.records):
        entries += _of_record(f"record {number}", record, columns, first=not entries)
    if report.not_joined:
        entries += _of_kind("left", NOT_JOINED, report.not_joined, columns)
    return entries


def _of_record(key: str, record: RecordReport, columns: int, *, first: bool) -> Iterator[ListEntry]:
    air = [] if first else [BLANK]
    said = flow((Span(clean(whose_changes(record), limit=LONGEST), "muted"),), columns - 2)
    yield heading(f"{key} head", *air, group(clean(record_name(record), limit=200)), *_indented(said))
    for word, sentences in record_parts(record):
        yield from _of_kind(f"{key} {word}", word, sentences, columns)
    if record.pictures:
        yield entry(f"{key} pictures", _tagged(_tag(COMES_IN), pictures_words(record), columns))


def _of_kind(key: str, word: str, sentences: Sequence[str], columns: int) -> Iterator[ListEntry]:
    """The sentences of one kind; its tag stands before the first."""
    for number, said in enumerate(sentences):
        tag = BLANK if number else _tag(word)
        yield entry(f"{key} {number}", _tagged(tag, said, columns))


def _tag(word: str) -> Line:
    ink = TAG_INKS.get(word)
    return signal(word, ink) if ink else line(f" {word}")


def _tagged(tag: Line, said: str, columns: int) -> list[Line]:
    """A sentence beside its tag; nothing of it is cut."""
    return hanging(fit(tag, TAG_COLUMNS), clean(said, limit=LONGEST), columns)


def _indented(rows: Sequence[Line]) -> list[Line]:
    return [line("  ", row) for row in rows]
