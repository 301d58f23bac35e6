"""Published sizes of screw threads: the tables that come along, and which thread a kind of fastener names.

The tables lie in `templates/fasteners/` as text with the source of every column at the top. A line that starts with
`# ` is a remark. Metric tables are in mm; the others are in inches and are turned into exact millimetres here.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.measures import MM_PER_INCH
from logbook.model.templates import template_bytes

TABLES = ("metric.csv", "unified.csv", "wood.csv")


class Series(StrEnum):
    """Where a thread is published."""

    COARSE = "ISO metric, coarse"
    FINE = "ISO metric, fine"
    UNC = "UNC"
    UNF = "UNF"
    WOOD = "wood screw gauge"


class Drill(NamedTuple):
    """A drill by its diameter in mm and, when it is no metric one, its name."""

    size: Fraction
    name: str = ""

    @property
    def words(self) -> str:
        """`4.2 mm`, or `#21 (4.04 mm)`."""
        return f"{self.name} ({in_mm(self.size)} mm)" if self.name else f"{in_mm(self.size)} mm"


class Thread(NamedTuple):
    """One published thread. All lengths are exact millimetres."""

    name: str
    """`M5`, `M8x1`, `#10-32`, `#8` of the wood screws."""
    series: Series
    diameter: Fraction
    """Nominal outside diameter."""
    pitch: Fraction
    per_inch: int | None
    """Threads per inch, when it is published so."""
    largest: Fraction
    smallest: Fraction
    """A sound screw measures between these two over its threads."""
    tap_drill: Drill | None = None
    """None for a wood screw, which cuts its own thread."""
    clearance: tuple[tuple[str, Drill], ...] = ()
    """Clearance holes, each with the name of its fit."""
    stress_area: Decimal | None = None
    """In mm2."""
    proof_loads: Mapping[str, int] = MappingProxyType({})
    """In newtons, by strength class."""

    @property
    def words(self) -> str:
        """`M5 (ISO metric, coarse; pitch 0.8 mm)`, `#10-32 (UNF; 32 threads per inch)`."""
        turn = f"pitch {in_mm(self.pitch)} mm" if self.per_inch is None else f"{self.per_inch} threads per inch"
        return f"{self.name} ({self.series}; {turn})"


def in_mm(value: Fraction) -> str:
    """To 0.01 mm without noughts at the end: `4.2`, `0.79`."""
    text = format(round(Decimal(value.numerator) / value.denominator, 2), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


@cache
def threads() -> tuple[Thread, ...]:
    """Every thread of the tables. Raises InputError when a table is missing or was edited into something else."""
    return tuple(t for name in TABLES for t in read_threads(template_bytes(f"fasteners/{name}"), name))


def read_threads(raw: bytes, name: str) -> tuple[Thread, ...]:
    """The threads of one table.

    Args:
        raw: the file as it is.
        name: one of `TABLES`; it decides the columns.

    Raises:
        InputError: a column is missing, a value is no number, limits are the wrong way round, a thread stands twice.
    """
    try:
        lines = raw.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as error:
        raise InputError(f"{name} is not text in UTF-8; put the file back.") from error
    kept = [(i, line) for i, line in enumerate(lines, start=1) if line.strip() and not f"{line} ".startswith("# ")]
    rows = csv.DictReader(line for _, line in kept)
    found: dict[str, Thread] = {}
    for (number, _), row in zip(kept[1:], rows, strict=False):
        where = f"{name}, line {number}"
        try:
            thread = _READERS[name](row)
        except (KeyError, TypeError) as error:
            raise InputError(f"{where}: the column “{error.args[0]}” is missing.") from error
        except (ValueError, ZeroDivisionError) as error:
            raise InputError(f"{where} holds something that is no number where one belongs.") from error
        if not 0 < thread.smallest <= thread.largest or thread.pitch <= 0:
            raise InputError(f"{where}: {thread.name} has limits that cannot be; smallest may not be over largest.")
        if thread.name in found:
            raise InputError(f"{where}: {thread.name} stands there twice.")
        found[thread.name] = thread
    return tuple(found.values())


_Row = Mapping[str, str]


def _metric(row: _Row) -> Thread:
    fits = ("close", "medium", "coarse")
    classes = ("4.6", "8.8")
    return Thread(
        name=row["thread"],
        series=Series.COARSE if row["series"] == "coarse" else Series.FINE,
        diameter=_number(row["diameter"]),
        pitch=_number(row["pitch"]),
        per_inch=None,
        largest=_number(row["largest"]),
        smallest=_number(row["smallest"]),
        tap_drill=Drill(_number(row["tap_drill"])),
        clearance=tuple((fit, Drill(_number(row[f"clearance_{fit}"]))) for fit in fits),
        stress_area=Decimal(str(row["stress_area"])) if row["stress_area"] else None,
        proof_loads={c: int(row[f"proof_load_{c}"]) for c in classes if row[f"proof_load_{c}"]},
    )


def _unified(row: _Row) -> Thread:
    return Thread(
        name=row["thread"],
        series=Series(row["series"]),
        diameter=_inches(row["diameter"]),
        pitch=MM_PER_INCH / int(row["threads_per_inch"]),
        per_inch=int(row["threads_per_inch"]),
        largest=_inches(row["largest"]),
        smallest=_inches(row["smallest"]),
        tap_drill=_drill(row, "tap_drill"),
        clearance=tuple((fit, _drill(row, f"clearance_{fit}")) for fit in ("close", "free")),
    )


def _wood(row: _Row) -> Thread:
    return Thread(
        name=row["gauge"],
        series=Series.WOOD,
        diameter=_inches(row["diameter"]),
        pitch=MM_PER_INCH / int(row["threads_per_inch"]),
        per_inch=int(row["threads_per_inch"]),
        largest=_inches(row["largest"]),
        smallest=_inches(row["smallest"]),
    )


_READERS = {"metric.csv": _metric, "unified.csv": _unified, "wood.csv": _wood}


def _number(text: str) -> Fraction:
    if not re.fullmatch(r"\d{1,6}(\.\d{1,6})?", text, re.ASCII):
        raise ValueError(text)
    return Fraction(text)


def _inches(text: str) -> Fraction:
    return _number(text) * MM_PER_INCH


def _drill(row: _Row, column: str) -> Drill:
    return Drill(_inches(row[f"{column}_size"]), row[column])


_METRIC = re.compile(r"\bM(\d{1,2}(?:[.,]\d{1,2})?)(?:\s?[x×]\s?(\d{1,3}(?:[.,]\d{1,2})?))?", re.ASCII | re.IGNORECASE)
_UNIFIED = re.compile(r"(?<![\d/.])(?<!\d )#?(\d{1,2}(?:/\d{1,2})?)\s?-\s?(\d{2})(?!\d)", re.ASCII)
_GAUGE = re.compile(r"(?:#|\bno\.?\s?|\bgauge\s)(\d{1,2})\b", re.ASCII | re.IGNORECASE)
_TIMES = re.compile(r"(?<=\d)\s?[x×]\s?(\d{1,4}(?:[.,]\d{1,2})?)(?![\d/])", re.ASCII)
_SIZE = re.compile(r"(?<![\d/.])(\d{1,2}(?:[.,]\d{1,2})?)\s?[x×]\s?\d", re.ASCII)


def thread_of(kind: str) -> Thread | None:
    """The thread that the words for a kind of fastener name, or None when they name none of the tables.

    `bolt M5x35` is M5: what follows the `x` is a length, unless it is a pitch of that diameter (`M8x1`).
    """
    by_name = _by_name()
    if match := _METRIC.search(kind):
        diameter = _plain(match[1])
        fine = by_name.get((False, f"M{diameter}x{_plain(match[2])}")) if match[2] else None
        return fine or by_name.get((False, f"M{diameter}"))
    if re.search(r"\bwood", kind, re.IGNORECASE):
        match = _GAUGE.search(kind)
        return by_name.get((True, f"#{int(match[1])}")) if match else None
    if match := _UNIFIED.search(kind):
        name = f"{match[1]}-{match[2]}"
        return by_name.get((False, f"#{name}")) or by_name.get((False, name))
    return None


def size_of(kind: str) -> Fraction | None:
    """The diameter in mm that the words for a kind say, by a thread's name or as `3.5x16`; None when they say none."""
    thread = thread_of(kind)
    if thread is not None:
        return thread.diameter
    match = _SIZE.search(kind)
    return Fraction(match[1].replace(",", ".")) if match else None


def length_of(kind: str) -> Fraction | None:
    """The length in mm that the words for a kind say last, as in `M5x35` or `M8x1x20`; None when they say none."""
    found = _TIMES.findall(kind)
    length = Fraction(found[-1].replace(",", ".")) if found else None
    thread = thread_of(kind)
    return None if thread is not None and length == thread.pitch else length


@cache
def _by_name() -> Mapping[tuple[bool, str], Thread]:
    """Threads by whether they are of wood screws, and their name; `M5x0.8` is another name of M5."""
    names = {(t.series is Series.WOOD, t.name): t for t in threads()}
    coarse = [t for t in threads() if t.series is Series.COARSE]
    return names | {(False, f"{t.name}x{in_mm(t.pitch)}"): t for t in coarse}


def _plain(number: str) -> str:
    text = number.replace(",", ".")
    return text.rstrip("0").rstrip(".") if "." in text else text.lstrip("0")
