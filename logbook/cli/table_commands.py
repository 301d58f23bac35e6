"""The layout of two tables, without a book."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from logbook.cli.books import CommandCall
from logbook.cli.output import write
from logbook.cli.search_progress import searched
from logbook.errors import InputError, LogbookError

if TYPE_CHECKING:
    from logbook.layout.cut_records import Rules

MOST_BYTES = 5_000_000


def layout_of_tables(call: CommandCall) -> int:
    """Lay the parts of one table out on the pieces of another; 1 when a part found no place.

    Raises:
        InputError: a table or an option cannot be used.
    """
    from logbook.cli.shared import width, write_json
    from logbook.layout.checker import problems_of
    from logbook.layout.layout_tables import layout_data, parts_from, pieces_from
    from logbook.render.layout_list import layout_list

    options = call.options
    if not (options.parts and options.offcuts):
        raise InputError("Say both tables: --parts FILE.csv and --offcuts FILE.csv.")
    parts = parts_from(_text_of(options.parts), options.parts)
    pieces = pieces_from(_text_of(options.offcuts), options.offcuts)
    rules = rules_from(call)
    layout = searched(parts, pieces, rules)
    wrong = problems_of(layout, parts, pieces, rules)
    if wrong:
        raise LogbookError(f"The layout did not pass its check and is not shown: {wrong[0]}")
    if options.as_json:
        write_json(layout_data(layout))
    else:
        write(layout_list(layout, pieces, rules, width(call)))
    return 0 if layout.complete else 1


def rules_from(call: CommandCall, of_shop: Rules | None = None) -> Rules:
    """The rules as the options say them, on top of those of the shop."""
    from logbook.layout.cut_records import Rules

    options, rules = call.options, replace(of_shop or Rules(), rounds=20_000, seconds=10.0)
    lengths: dict[str, Any] = {
        name: _ticks(given, f"--{name.replace('_', '-')}")
        for name in ("kerf", "trim", "thickness_tolerance")
        if (given := getattr(options, name)) is not None
    }
    rules = replace(rules, **lengths)
    if options.seconds is not None:
        rules = replace(rules, seconds=_seconds(options.seconds), rounds=None)
    if options.seed is not None:
        rules = replace(rules, seed=options.seed)
    return rules


def _ticks(text: str, name: str) -> int:
    from logbook.model.measures import TICKS_PER_MM, parse_length

    try:
        ticks = int(parse_length(text) * TICKS_PER_MM)
    except InputError as error:
        raise InputError(f"{name}: {error}") from error
    if not 0 <= ticks <= 100 * TICKS_PER_MM:
        raise InputError(f"{name}: “{text[:40]}” is not between 0 and 100 mm.")
    return ticks


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError as error:
        raise InputError(f"--seconds: “{text[:40]}” is not a number of seconds.") from error
    if not 0.05 <= seconds <= 3600:
        raise InputError(f"--seconds: “{text[:40]}” is not between 0.05 and 3600.")
    return seconds


def _text_of(name: str) -> str:
    try:
        raw = sys.stdin.buffer.read(MOST_BYTES + 1) if name == "-" else _bytes_of(Path(name))
    except OSError as error:
        raise InputError(f"{name} cannot be read: {error.strerror}.") from error
    if len(raw) > MOST_BYTES:
        raise InputError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB and no table of parts.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{name} is not text in UTF-8. Save it as CSV in UTF-8.") from error


def _bytes_of(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(MOST_BYTES + 1)
