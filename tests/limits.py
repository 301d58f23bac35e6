"""Records whose values stand at the limits, and everything that is asked of them: every command and every screen."""

from __future__ import annotations

import contextlib
import io
import random
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeVar

from logbook.cli.run_command import run
from logbook.errors import LogbookError
from logbook.model.base import Frozen
from logbook.model.document import beyond_limits, structure_problems
from logbook.model.edits import with_changes
from logbook.model.fields import Field, FieldKind, fields_of
from logbook.model.limits import MOST, MOST_COUNT, MOST_EFFORT, MOST_LENGTH, MOST_MINUTES, OF_A_FIELD
from logbook.model.measures import Effort, Estimate, Length
from logbook.model.unit import Unit

R = TypeVar("R", bound=Frozen)

EARLIEST, LATEST = date(1900, 1, 1), date(2200, 12, 31)
LONGEST = Length.of(f"{MOST_LENGTH.number} mm")
MOST_MONEY = Decimal(MOST.number)

AT_THE_LIMITS: dict[FieldKind, tuple[Any, ...]] = {
    FieldKind.COUNT: (0, 1, MOST_COUNT.number),
    FieldKind.MINUTES: (0, 1, MOST_MINUTES.number),
    FieldKind.MONEY: (Decimal(0), Decimal("0.01"), MOST_MONEY, -MOST_MONEY),
    FieldKind.NUMBER: (Decimal(0), Decimal("0.001"), MOST_MONEY, -MOST_MONEY),
    FieldKind.LENGTH: (Length.of("0"), Length.of("0.01"), LONGEST, Length.of(f"-{MOST_LENGTH.number} mm")),
    FieldKind.LENGTHS: ((), (LONGEST,), (Length.of("0"),)),
    FieldKind.ESTIMATE: (Estimate.of("0"), Estimate.of("0", "0", str(MOST.number)), Estimate.of(str(MOST.number))),
    FieldKind.EFFORT: (
        Effort(low=0, likely=0, high=0),
        Effort(low=MOST_EFFORT.number, likely=MOST_EFFORT.number, high=MOST_EFFORT.number),
    ),
    FieldKind.DATE: (EARLIEST, LATEST),
    FieldKind.MOMENT: (datetime(1900, 1, 1, tzinfo=UTC), datetime(2200, 12, 31, 23, 59, tzinfo=UTC)),
    FieldKind.FLAG: (False, True),
}
"""What stands at the edge of what is taken, by the kind of field."""


def extremes(field: Field) -> tuple[Any, ...]:
    """The values at the limits of one field; nothing said is one of them where that may be."""
    values: tuple[Any, ...] = AT_THE_LIMITS.get(field.kind, ())
    if field.kind in (FieldKind.COUNT, FieldKind.MINUTES) and field.name in OF_A_FIELD:
        values = (0, 1, OF_A_FIELD[field.name].number)
    if field.kind is FieldKind.CHOICE:
        values = field.choices
    return (*values, None) if field.optional else values


def pushed(record: R, chance: random.Random, share: float) -> R:
    """The record with about so many of its values, all the way down, at a limit; what does not fit stays."""
    for field in fields_of(type(record)):
        value = getattr(record, field.name)
        if field.record is not None:
            if isinstance(value, tuple):
                value = tuple(pushed(one, chance, share) if isinstance(one, Frozen) else one for one in value)
            elif isinstance(value, Frozen):
                value = pushed(value, chance, share)
        elif field.name not in ("code", "touched") and (edge := extremes(field)) and chance.random() < share:
            value = chance.choice(edge)
        with contextlib.suppress(ValueError):  # the record itself refuses it
            record = with_changes(record, **{field.name: value})
    return record


def is_taken(record: Frozen) -> bool:
    """Whether a document with this record would be taken in."""
    problems: Iterator[str] = beyond_limits(record, "record")
    if isinstance(record, Unit):
        problems = iter((*problems, *structure_problems(record)))
    try:
        return next(problems, None) is None
    except LogbookError:
        return False


COMMANDS: tuple[tuple[str, ...], ...] = (
    ("bench",),
    ("bench", "--json"),
    ("reassembly", "R1"),
    ("reassembly", "R1", "--ready"),
    ("bom", "R1"),
    ("bom", "R1", "--csv"),
    ("to-buy",),
    ("cost", "R1"),
    ("cost", "R1", "--json"),
    ("cost", "R1", "--taken"),
    ("plan", "--seconds", "1"),
    ("plan", "--json"),
    ("plan", "--ics", "-"),
    ("now", "60"),
    ("screw", "4"),
    ("layout", "R1", "--seconds", "0.3"),
    ("pile",),
    ("pile", "--csv"),
    ("panels", "R1"),
    ("print", "R1", "reassembly", "--as", "txt", "--to", "-"),
    ("print", "R1", "decision", "--as", "txt", "--to", "-"),
    ("print", "R1", "cuts", "--as", "txt", "--to", "-"),
    ("print", "R1", "record", "--as", "md", "--to", "-"),
    ("print", "R1", "labels", "--as", "csv", "--to", "-"),
    ("check",),
    ("photos", "orphans"),
    ("export", "R1"),
    ("export", "shop"),
)
"""Everything that can be asked of a book."""


def asked(book: Path, words: tuple[str, ...], now: datetime) -> tuple[int, str, float]:
    """The exit code, the error output, and the seconds of the processor that it took."""
    out, wrong = io.TextIOWrapper(io.BytesIO(), "utf-8"), io.TextIOWrapper(io.BytesIO(), "utf-8")
    start = time.process_time()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(wrong):
        code = run(["--book", str(book), *words], now=lambda: now)
    seconds = time.process_time() - start
    wrong.seek(0)
    return code, wrong.read(), seconds
