"""The scrap pile as a table of comma-separated values, and back.

A table is taken in whole or not at all: every bad row is named in a sentence. Text that a spreadsheet would take
for a formula is written with an apostrophe before it, which reading takes off again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from statistics import median_low
from typing import Any, NamedTuple

from pydantic import ValidationError

from logbook.errors import InputError
from logbook.layout.offcut_rules import next_piece_code, usable
from logbook.model.measures import Length, parse_money
from logbook.model.shop import Defect, Offcut, Shop
from logbook.model.words import Grain, PieceKind

COLUMNS = (
    "code", "material", "thickness_mm", "length_mm", "width_mm", "grain", "value", "defects", "defect_names",
    "readings_mm", "usable_length_mm", "usable_width_mm", "true_edges", "damp", "kind", "place", "origin",
    "reserved_for", "since", "note",
)  # fmt: skip
NEEDED = ("material", "length_mm", "width_mm")
MOST_ROWS = 20_000
_FORMULA = re.compile(r"'*[=+\-@\t\r]", re.ASCII)
_MARKED = re.compile(r"''*[=+\-@\t\r]", re.ASCII)
_LINE_ENDS = re.compile("\r\n?|[\x0b\x0c\x85\u2028\u2029]")
_CONTROL = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x9f]|[\u202a-\u202e\u2066-\u2069]")
_YES, _NO = ("yes", "y", "true", "1"), ("", "no", "n", "false", "0")


def guarded(text: str) -> str:
    """Text as a cell that no spreadsheet runs as a formula; `unguarded` brings it back."""
    return f"'{text}" if _FORMULA.match(text) else text


def unguarded(text: str) -> str:
    """The text of a cell that `guarded` wrote."""
    return text[1:] if _MARKED.match(text) else text


def pile_table(pile: Sequence[Offcut]) -> str:
    """The pieces as comma-separated values: a row of names, then one row for each piece.

    `thickness_mm` is the middle reading and `readings_mm` has them all; sizes are the full ones, and defects count
    from the corner as `x:y:length:width` with `;` between them, their names in a column of their own.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([guarded(visible(cell)) for cell in _row(piece)] for piece in pile)
    return out.getvalue()


def visible(text: str) -> str:
    """Text in which no character moves a cursor, colours a terminal or ends a row: control characters become signs.

    Every end of a line becomes the one that stands between quotation marks in a table.
    """
    text = _LINE_ENDS.sub("\n", text)
    return _CONTROL.sub(lambda found: chr(0x2400 + ord(found[0])) if ord(found[0]) < 32 else "\ufffd", text)


def _exact(length: Length | None) -> str:
    return "" if length is None else format(length.mm, "f")


def _row(o: Offcut) -> list[str]:
    middle = Length.from_ticks(median_low(t.ticks for t in o.thickness)) if o.thickness else None
    cells = {
        "code": o.code,
        "material": o.material,
        "thickness_mm": _exact(middle),
        "length_mm": _exact(o.length),
        "width_mm": _exact(o.width),
        "grain": str(o.grain),
        "value": "" if o.value is None else format(o.value, "f"),
        "defects": ";".join(_defect_words(d) for d in o.defects),
        "defect_names": ";".join(_defect_name(d) for d in o.defects).rstrip(";"),
        "readings_mm": ";".join(_exact(t) for t in o.thickness),
        "usable_length_mm": _exact(o.usable_length),
        "usable_width_mm": _exact(o.usable_width),
        "true_edges": str(o.true_edges),
        "damp": "yes" if o.damp else "",
        "kind": str(o.kind or ""),
        "place": o.place,
        "origin": o.origin,
        "reserved_for": o.reserved_for,
        "since": o.since.isoformat() if o.since else "",
        "note": o.note,
    }
    return [cells[name] for name in COLUMNS]


def _defect_words(d: Defect) -> str:
    return ":".join(_exact(v) for v in (d.x, d.y, d.length, d.width))


def _defect_name(d: Defect) -> str:
    return " ".join(d.what.replace(";", ",").split())


class TakenIn(NamedTuple):
    """What a table brings."""

    pile: tuple[Offcut, ...]
    """The whole pile afterwards."""
    added: tuple[str, ...]
    changed: tuple[str, ...]


def taken_in(text: str, shop: Shop, today: date) -> TakenIn:
    """The pile with the pieces of a table taken in: new numbers are added, known ones take the table's columns.

    Args:
        text: the table; columns may stand in any order, those that are missing keep what a known piece has.
        shop: the pile as it is; pieces that the table does not name stay.
        today: since when a new piece is kept when the table does not say.

    Raises:
        InputError: with a sentence for each bad row; nothing is taken in then.
    """
    header, rows = _rows(text)
    pile = {o.code: o for o in shop.offcuts}
    problems: list[str] = []
    added: list[str] = []
    changed: list[str] = []
    seen: set[str] = set()
    for number, row in rows:
        try:
            piece = _piece(dict(zip(header, row, strict=True)), pile, shop, seen, today)
        except InputError as error:
            problems.append(f"Row {number}: {error}")
            continue
        seen.add(piece.code)
        if piece.code not in pile:
            added.append(piece.code)
        elif piece != pile[piece.code]:
            changed.append(piece.code)
        pile[piece.code] = piece
    if problems:
        more = [f"and {len(problems) - 20} rows more"] if problems[20:] else []
        said = "\n".join([*problems[:20], *more])
        raise InputError(f"Nothing was taken in, because of {len(problems)} of {len(rows)} rows:\n{said}")
    return TakenIn(tuple(pile.values()), tuple(added), tuple(changed))


def _rows(text: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """The names of the columns and the rows with their numbers. Raises InputError when it is no such table."""
    try:
        reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
        found = [(reader.line_num, row) for row in reader]
    except csv.Error as error:
        raise InputError(f"This is no table of comma-separated values: {error}.") from error
    full = [(n, row) for n, row in found if any(cell.strip() for cell in row)]
    if not full:
        raise InputError(f"The table is empty. Its first row names the columns: {', '.join(COLUMNS[:7])}, …")
    header = [name.strip().casefold() for name in full[0][1]]
    unknown = [name for name in header if name not in COLUMNS]
    lacking = [name for name in NEEDED if name not in header]
    twice = [name for name in dict.fromkeys(header) if header.count(name) > 1]
    if unknown or lacking or twice:
        said = [f"There is no column “{name[:40]}”." for name in unknown[:3]]
        said += [f"The column {name} is missing." for name in lacking]
        said += [f"The column {name} stands there twice." for name in twice]
        raise InputError(f"{' '.join(said)} Known columns: {', '.join(COLUMNS)}.")
    if len(full) > MOST_ROWS:
        raise InputError(f"The table has more than {MOST_ROWS:,} rows. Split it.")
    return header, [(n, _filled(n, row, len(header))) for n, row in full[1:]]


def _filled(number: int, row: list[str], columns: int) -> list[str]:
    if len(row) > columns and any(cell.strip() for cell in row[columns:]):
        raise InputError(f"Row {number} has {len(row)} cells and the first row names {columns} columns.")
    return [unguarded(cell) for cell in (*row[:columns], *[""] * (columns - len(row)))]


def _piece(cells: Mapping[str, str], pile: Mapping[str, Offcut], shop: Shop, seen: set[str], today: date) -> Offcut:
    """The piece of a row, on top of what is known of it."""
    code = cells.get("code", "").strip()
    if not code:
        code = next_piece_code(shop, (*pile, *seen))
    if code in seen:
        raise InputError(f"the piece {code} stands in the table twice.")
    known = pile.get(code)
    values: dict[str, Any] = {} if known is None else {n: getattr(known, n) for n in Offcut.model_fields}
    values["code"] = code
    if known is None:
        values["since"] = today
    for name, cell in cells.items():
        if name not in ("code", "thickness_mm", "readings_mm", "defect_names"):
            values |= _value(name, cell)
    values |= _thickness(cells, known)
    if "defects" in values:
        values["defects"] = _named(values["defects"], cells.get("defect_names"), known)
    if known is not None:
        values = {name: _as_typed(getattr(known, name), value) for name, value in values.items()}
    _sizes_are_right(values)
    try:
        piece = Offcut(**values)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise InputError(f"{first['loc'][0] if first['loc'] else 'it'}: {first['msg']}.") from error
    if usable(piece).length <= 0 or usable(piece).width <= 0:
        raise InputError("nothing of it is usable.")
    return piece


def _named(defects: tuple[Defect, ...], names: str | None, known: Offcut | None) -> tuple[Defect, ...]:
    """The defects with their names; without that column those at the same place keep what is known of them."""
    if names is None:
        old = {_defect_words(d): d.what for d in (known.defects if known else ())}
        return tuple(d.model_copy(update={"what": old.get(_defect_words(d), d.what)}) for d in defects)
    said = [n.strip() for n in names.split(";")] if names.strip() else []
    if len(said) > len(defects):
        raise InputError("defect_names: there are more names than defects.")
    said += [""] * (len(defects) - len(said))
    return tuple(d.model_copy(update={"what": name}) for d, name in zip(defects, said, strict=True))


def _as_typed(old: Any, new: Any) -> Any:
    """What is known already where it is the same: a table has no room for how a length was typed."""
    if isinstance(old, Length) and isinstance(new, Length):
        return old if old.ticks == new.ticks else new
    if isinstance(old, Defect) and isinstance(new, Defect):
        return old if (_defect_words(old), _defect_name(old)) == (_defect_words(new), new.what) else new
    if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new):
        return tuple(_as_typed(a, b) for a, b in zip(old, new, strict=True))
    return new


def _sizes_are_right(values: Mapping[str, Any]) -> None:
    for name, full in (("usable_length", "length"), ("usable_width", "width")):
        used = values.get(name)
        if used is not None and used.ticks > values[full].ticks:
            raise InputError(f"{name}_mm is larger than {full}_mm.")


def _thickness(cells: Mapping[str, str], known: Offcut | None) -> dict[str, Any]:
    """The readings; a single thickness stands for them unless it is the middle one of what is known."""
    readings = [r for r in cells.get("readings_mm", "").split(";") if r.strip()]
    single = cells.get("thickness_mm", "").strip()
    if not readings and single:
        old = known.thickness if known else ()
        if (
            old
            and "readings_mm" not in cells
            and median_low(t.ticks for t in old) == _length("thickness_mm", single).ticks
        ):
            return {}
        readings = [single]
    if len(readings) > 3:
        raise InputError("readings_mm: at most three readings, with ; between them.")
    if not readings and "readings_mm" not in cells and "thickness_mm" not in cells:
        return {}
    return {"thickness": tuple(_length("readings_mm", r) for r in readings)}


def _length(name: str, cell: str) -> Length:
    try:
        length = Length.of(cell.strip())
    except InputError as error:
        raise InputError(f"{name}: {error}") from error
    if length.ticks <= 0:
        raise InputError(f"{name}: “{cell.strip()[:20]}” must be more than 0.")
    return length


def _value(name: str, cell: str) -> dict[str, Any]:
    """The field that a cell fills."""
    if name in _READERS:
        return {name.removesuffix("_mm"): _READERS[name](name, cell.strip())}
    return {name: cell}


def _true_edges(name: str, text: str) -> int:
    if text not in ("", "0", "1", "2"):
        raise InputError(f"{name}: “{text[:20]}” is not 0, 1 or 2.")
    return int(text or 0)


def _flag(name: str, text: str) -> bool:
    if text.casefold() not in (*_YES, *_NO):
        raise InputError(f"{name}: “{text[:20]}” is not yes or no.")
    return text.casefold() in _YES


def _amount(name: str, text: str) -> Any:
    if not text:
        return None
    try:
        amount = parse_money(text)
    except InputError as error:
        raise InputError(f"{name}: {error}") from error
    if amount < 0:
        raise InputError(f"{name}: it cannot be below 0.")
    return amount


def _day(name: str, text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise InputError(f"{name}: “{text[:20]}” is not a day like 2026-03-12.") from error


def _word(name: str, text: str) -> Grain | PieceKind | None:
    if not text:
        return Grain.LENGTH if name == "grain" else None
    words: type[Grain] | type[PieceKind] = Grain if name == "grain" else PieceKind
    try:
        return words(text.casefold())
    except ValueError as error:
        raise InputError(f"{name}: “{text[:20]}” is none of {', '.join(words)}.") from error


def _defect(text: str) -> Defect:
    parts = [p.strip() for p in text.split(":")]
    if len(parts) != 4:
        raise InputError(f"defects: “{text.strip()[:30]}” is not x:y:length:width.")
    try:
        x, y = (Length.of(p) for p in parts[:2])
    except InputError as error:
        raise InputError(f"defects: {error}") from error
    if x.ticks < 0 or y.ticks < 0:
        raise InputError("defects: x and y count from the corner and cannot be below 0.")
    length, width = (_length("defects", p) for p in parts[2:])
    return Defect(x=x, y=y, length=length, width=width)


_READERS: dict[str, Callable[[str, str], Any]] = {
    "length_mm": _length,
    "width_mm": _length,
    "usable_length_mm": lambda name, text: _length(name, text) if text else None,
    "usable_width_mm": lambda name, text: _length(name, text) if text else None,
    "defects": lambda _, text: tuple(_defect(d) for d in text.split(";") if d.strip()),
    "grain": _word,
    "kind": _word,
    "value": _amount,
    "true_edges": _true_edges,
    "damp": _flag,
    "since": _day,
}
