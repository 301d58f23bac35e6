"""Text to a terminal, a pipe or a file: any encoding, any script, and a reader that may have gone away."""

from __future__ import annotations

import codecs
import sys
from typing import TextIO

from logbook.errors import LogbookError
from logbook.render.glyphs import near

_NEAR = {
    "“": '"', "”": '"', "„": '"', "\u2018": "'", "’": "'", "‹": "<", "›": ">", "…": "...", "–": "-", "—": "-", "−": "-",
    "─": "-", "×": "x", "Ø": "dia ", "ø": "dia ", "±": "+/-", "≈": "~", "≤": "<=", "≥": ">=", "°": " deg",
    "½": "1/2", "¼": "1/4", "¾": "3/4", "²": "2", "³": "3", "µ": "u", "·": ".", "⏎": "/", "€": "EUR", "£": "GBP",
}  # fmt: skip
"""What stands for a character in an encoding that has no place for it; signs of drawings keep their width (`near`)."""

HANDLER = "logbook.near"


def _near(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return "".join(_NEAR.get(c) or near(c) for c in error.object[error.start : error.end]), error.end


codecs.register_error(HANDLER, _near)


class OutputError(LogbookError):
    """The output could not be written."""


class ReaderGone(LogbookError):  # noqa: N818 - nothing is wrong: the reader of a pipe has seen enough
    """Whoever read the output has closed the pipe."""

    exit_code = 0


def write(text: str, stream: TextIO | None = None) -> None:
    """Write text to the output. Characters that its encoding lacks become near ones or `?`.

    Raises:
        ReaderGone: the pipe was closed at the other end.
        OutputError: the output refuses, such as a full disk.
    """
    stream = stream if stream is not None else sys.stdout
    if stream is None:  # started without an output
        return
    encoding = getattr(stream, "encoding", None) or "utf-8"
    write_bytes(text.encode(encoding, HANDLER), stream)


def write_bytes(raw: bytes, stream: TextIO | None = None) -> None:
    """Write bytes as they are. Raises as `write` does."""
    stream = stream if stream is not None else sys.stdout
    if stream is None:
        return
    try:
        stream.buffer.write(raw)
        stream.buffer.flush()
    except BrokenPipeError as error:
        raise ReaderGone("The reader of the output has gone.") from error
    except OSError as error:
        raise OutputError(f"The output could not be written: {error.strerror}.") from error


def is_terminal() -> bool:
    """Whether a person sits at both ends: keys in, screen out."""
    return all(s is not None and not s.closed and s.isatty() for s in (sys.stdin, sys.stdout))


def columns() -> int:
    """How wide text is set: 80 for pipes and paper, the terminal's width within 60 to 100 on a terminal."""
    if sys.stdout is None or not sys.stdout.isatty():
        return 80
    import shutil

    return max(60, min(100, shutil.get_terminal_size().columns))
