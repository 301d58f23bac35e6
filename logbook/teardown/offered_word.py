"""The word that stands beside a mistyped one with a question mark, put into the line in its place."""

from __future__ import annotations

from logbook.teardown.bench_line import LineReading
from logbook.teardown.vocabulary import nearest_word


def with_offered_word(text: str, reading: LineReading) -> str | None:
    """The line with the last phrase that was not understood in the words that it is likely to mean.

    Args:
        text: the line as it stands.
        reading: how it was read.

    Returns:
        None when nothing near is known for any of its phrases.
    """
    for phrase in reversed(reading.phrases):
        near = nearest_word(phrase.text) if phrase.text in reading.unknown else ""
        if near and text[phrase.start : phrase.end] == phrase.text:
            return f"{text[: phrase.start]}{near}{text[phrase.end :]}"
    return None
