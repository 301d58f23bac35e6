"""A layout from two tables of comma-separated values, and its answer for machines.

parts: `code,quantity,length_mm,width_mm,material,thickness_mm,grain`.
offcuts: `code,material,thickness_mm,length_mm,width_mm,grain,value` and, if wanted, `defects` (`x:y:length:width`
separated by `;`, millimetres from the corner), `usable_length_mm`, `usable_width_mm`, `readings_mm` (thickness at
several places, separated by `;`) and `reserved_for`. Other columns are left aside.
Grain is `length`, `width` or `free`.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any, TypeVar

from logbook.errors import InputError
from logbook.layout.cut_records import MM, Box, Layout, PartToCut, Piece
from logbook.model.measures import Length, parse_length, parse_money
from logbook.model.words import Grain

PART_COLUMNS = ("code", "quantity", "length_mm", "width_mm", "material", "thickness_mm", "grain")
OFFCUT_COLUMNS = ("code", "material", "thickness_mm", "length_mm", "width_mm", "grain", "value")
MOST_ROWS = 2000
MOST_PARTS = 2000
MOST_SAID = 10
"""How many bad rows are named at once."""

Row = Mapping[str, str]
_Made = TypeVar("_Made", PartToCut, Piece)


def parts_from(text: str, name: str = "the parts") -> tuple[PartToCut, ...]:
    """The parts of a table.

    Args:
        text: the table with its row of column names.
        name: what the table is called in sentences, such as its file name.

    Raises:
        InputError: a column is missing, or rows cannot be used; each is named.
    """
    made = _made(text, name, PART_COLUMNS, _part)
    if sum(p.quantity for p in made) > MOST_PARTS:
        raise InputError(f"{name} asks for more than {MOST_PARTS} parts. Lay them out in several tables.")
    return made


def pieces_from(text: str, name: str = "the offcuts") -> tuple[Piece, ...]:
    """The pieces of a table; arguments and errors as for `parts_from`."""
    return _made(text, name, OFFCUT_COLUMNS, _piece)


def _made(text: str, name: str, columns: Sequence[str], make: Callable[[Row], _Made]) -> tuple[_Made, ...]:
    made: list[_Made] = []
    wrong: list[str] = []
    seen: dict[str, int] = {}
    for number, row in _rows(text, name, columns):
        try:
            made.append(_new(make(row), seen))
            seen[made[-1].code] = number
        except InputError as error:
            wrong.append(f"row {number}, {str(error).rstrip('.')}.")
    if wrong:
        more = f" And {len(wrong) - MOST_SAID} more rows." if len(wrong) > MOST_SAID else ""
        raise InputError(f"{name} cannot be used: {' '.join(wrong[:MOST_SAID])}{more}")
    if not made:
        raise InputError(f"{name} has no row below its column names.")
    return tuple(made)


def _new(one: _Made, seen: Mapping[str, int]) -> _Made:
    if one.code in seen:
        raise InputError(f"code: {one.code} is already in row {seen[one.code]}")
    return one


def _rows(text: str, name: str, columns: Sequence[str]) -> list[tuple[int, Row]]:
    try:
        lines = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True))
    except csv.Error as error:
        raise InputError(f"{name} is not a table of comma-separated values: {error}.") from error
    filled = [(n, line) for n, line in enumerate(lines, 1) if any(cell.strip() for cell in line)]
    if not filled:
        raise InputError(f"{name} is empty. Its first row names the columns: {','.join(columns)}.")
    if len(filled) > MOST_ROWS + 1:
        raise InputError(f"{name} has more than {MOST_ROWS} rows.")
    heads = [cell.strip().casefold() for cell in filled[0][1]]
    missing = [c for c in columns if c not in heads]
    if missing:
        raise InputError(f"{name} has no column {', '.join(missing)}. Its first row names: {','.join(columns)}.")
    twice = next((h for h in heads if h and heads.count(h) > 1), None)
    if twice:
        raise InputError(f"{name} has two columns {twice[:40]}.")
    found: list[tuple[int, Row]] = []
    for number, line in filled[1:]:
        if any(cell.strip() for cell in line[len(heads) :]):
            raise InputError(f"{name}, row {number} has more cells than there are columns.")
        found.append((number, dict(zip(heads, [c.strip() for c in line] + [""] * len(heads), strict=False))))
    return found


def _part(row: Row) -> PartToCut:
    quantity = row["quantity"]
    if not (quantity.isascii() and quantity.isdigit() and 1 <= int(quantity[:9]) <= MOST_PARTS):
        raise InputError(f"quantity: “{quantity[:40]}” is not a whole number from 1 to {MOST_PARTS}")
    return PartToCut(
        code=_word(row, "code"),
        quantity=int(quantity),
        length=_length(row, "length_mm"),
        width=_length(row, "width_mm"),
        material=_word(row, "material"),
        thickness=_length(row, "thickness_mm"),
        grain=_grain(row),
    )


def _piece(row: Row) -> Piece:
    readings = [r for r in row.get("readings_mm", "").split(";") if r.strip()]
    thickness = tuple(_ticks(r, "readings_mm") for r in readings) or (_length(row, "thickness_mm"),)
    promised = row.get("reserved_for", "").split()
    return Piece(
        code=_word(row, "code"),
        material=_word(row, "material"),
        thickness=thickness,
        length=_length(row, "usable_length_mm" if row.get("usable_length_mm") else "length_mm"),
        width=_length(row, "usable_width_mm" if row.get("usable_width_mm") else "width_mm"),
        grain=_grain(row),
        value=_value(row),
        defects=tuple(_defect(d) for d in row.get("defects", "").split(";") if d.strip()),
        reserved_for=promised[0].strip(",:;.") if promised else "",
    )


def _word(row: Row, column: str) -> str:
    if not row[column]:
        raise InputError(f"{column} is empty")
    return row[column]


def _ticks(text: str, column: str) -> int:
    try:
        return int(parse_length(text) * MM)
    except InputError as error:
        raise InputError(f"{column}: {error}") from error


def _length(row: Row, column: str) -> int:
    ticks = _ticks(_word(row, column), column)
    if ticks <= 0:
        raise InputError(f"{column}: “{row[column][:40]}” must be above 0")
    return ticks


def _grain(row: Row) -> Grain:
    word = row["grain"].casefold()
    if word not in tuple(Grain):
        raise InputError(f"grain: “{row['grain'][:40]}” is not length, width or free")
    return Grain(word)


def _value(row: Row) -> Decimal | None:
    if not row["value"]:
        return None
    try:
        value = parse_money(row["value"])
    except InputError as error:
        raise InputError(f"value: {error}") from error
    if value < 0:
        raise InputError("value: it cannot be below 0")
    return value


def _defect(text: str) -> Box:
    numbers = text.split(":")
    if len(numbers) != 4:
        raise InputError(f"defects: “{text.strip()[:40]}” is not x:y:length:width")
    x, y, length, width = (_ticks(n, "defects") for n in numbers)
    if min(x, y) < 0 or min(length, width) <= 0:
        raise InputError(f"defects: “{text.strip()[:40]}” lies outside the piece or has no size")
    return Box(x, y, length, width)


def layout_data(layout: Layout) -> dict[str, Any]:
    """The answer for machines: millimetres and square millimetres as numbers, x along the piece's length.

    `length` and `width` of a placement are its extents along x and y, as it lies; a turned part has them exchanged.
    """
    return {
        "placements": [
            {"part": p.part, "offcut": p.piece, **_rectangle(p.box), "turned": p.turned} for p in layout.placements
        ],
        "unplaced": [{"part": u.part, "quantity": u.quantity, "why": u.why} for u in layout.unplaced],
        "used": list(layout.used),
        "used_area_mm2": _area(layout.used_area),
        "part_area_mm2": _area(layout.part_area),
        "bound_area_mm2": _area(layout.bound_area),
        "leftovers": [
            {"offcut": x.piece, **_rectangle(Box(x.x, x.y, x.length, x.width)), "keep": x.keep}
            for x in layout.leftovers
        ],
        "cuts": [
            {
                "offcut": c.piece,
                "order": c.order,
                "along": "length" if c.axis == "y" else "width",
                "fence": _number(Decimal(c.fence) / MM),
                "from": c.cut_from,
                "keep": c.keep,
            }
            for c in layout.cuts
        ],
    }


def _rectangle(box: Box) -> dict[str, int | float]:
    return {
        "x": _number(Decimal(box.x) / MM),
        "y": _number(Decimal(box.y) / MM),
        "length": _number(Decimal(box.length) / MM),
        "width": _number(Decimal(box.width) / MM),
    }


def _area(square_ticks: int) -> int | float:
    return _number(Decimal(square_ticks) / (MM * MM))


def _number(value: Decimal) -> int | float:
    """A number that JSON writes as it is: a length has at most seven decimals, which a float shows exactly."""
    return int(value) if value == value.to_integral_value() else float(value)


def mm(ticks: int) -> str:
    """A length as it is said, in millimetres."""
    return Length.from_ticks(ticks).in_mm()
