"""The line of plain words that becomes a piece of the scrap pile, read as it is typed.

    12 ply, 980 x 260, 11.8 11.9 11.8, grain length, value 4, shelf 2, end 40 split
    12 ply, 980 x 260, 11.8, usable 600 x 260, usable 330 x 120 at 650 0

The first phrase is the material, with the number of the piece before it when it has one (`O17 12 ply`). A phrase
of two sizes is the size, one of one to three bare lengths is the thickness by calliper; every other phrase says
itself. What is not understood becomes the note, and is shown as such.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from typing import Any, NamedTuple

from logbook.errors import InputError
from logbook.layout.cut_records import Box
from logbook.layout.offcut_rules import kind_of, next_piece_code
from logbook.layout.usable_rectangles import NOT_USABLE, uncovered
from logbook.model.days import parse_day
from logbook.model.measures import Length, parse_money
from logbook.model.one_line import RecordReading
from logbook.model.promises import promises_of, with_promise
from logbook.model.shop import Defect, Offcut, Shop
from logbook.model.words import Grain, PieceKind
from logbook.teardown.phrases import PhraseText, Word, joined, sound, split

CODE = re.compile(r"[A-Z]{1,2}\d{1,4}[a-z]{0,2}")
_BETWEEN = re.compile(r"(?<=[\d\"”′'″m n)])\s*[x×*]\s*(?=[\d½¼¾⅛⅜⅝⅞])", re.IGNORECASE)
_LONGER_THAN = 100
"""Millimetres from which a bare length is no thickness."""
_GRAINS = {
    "length": Grain.LENGTH, "along": Grain.LENGTH, "long": Grain.LENGTH, "lengthways": Grain.LENGTH,
    "width": Grain.WIDTH, "across": Grain.WIDTH, "crossways": Grain.WIDTH,
    "free": Grain.FREE, "none": Grain.FREE, "no": Grain.FREE,
}  # fmt: skip
_PLACES = frozenset(
    ["shelf", "rack", "bin", "box", "drawer", "wall", "corner", "bench", "floor", "loft", "cellar", "shed", "in", "on",
     "under", "behind", "above", "beside"]
)  # fmt: skip
_COUNTS = {"no": 0, "none": 0, "one": 1, "a": 1, "two": 2, "both": 2, "0": 0, "1": 1, "2": 2}
UNREAD = "not understood: kept as a note"
REFUSED = "kept as a note"
"""What is said of a phrase that nothing was made of, and of one whose figure cannot be right."""
IMPOSSIBLE = ("a size that can be",)
"""What is missing when the sizes cannot be right together."""
_TO_MUCH = "already given; what is different stands in the note."


class PilePhrase(NamedTuple):
    """One phrase and how it was read."""

    text: str
    meaning: str
    problem: str = ""


class PileReading(NamedTuple):
    """A line, read."""

    piece: Offcut | None
    """None while material or size is missing."""
    phrases: tuple[PilePhrase, ...]
    missing: tuple[str, ...]
    """What must still be said."""
    problems: tuple[str, ...]


class _Said:
    """What the phrases have said so far."""

    def __init__(self, shop: Shop, today: date) -> None:
        self.shop, self.today = shop, today
        self.values: dict[str, Any] = {}
        self.nominal = False
        """The thickness is that of the name so far, by which the sheet is sold; what the calliper reads replaces it."""
        self.bands: list[tuple[str, Length, str]] = []
        self.defects: list[Defect] = []
        self.usable: list[Box] = []
        """Usable rectangles that lie somewhere else than at the corner."""
        self.notes: list[str] = []
        self.places = {" ".join(o.place.split()).casefold() for o in shop.offcuts if o.place}

    def put(self, name: str, value: Any, meaning: str) -> str:
        """Take a value once. Raises InputError when something else was said before."""
        if name in self.values and self.values[name] != value:
            raise InputError(f"{meaning.partition(':')[0].capitalize()} {_TO_MUCH}")
        self.values[name] = value
        return meaning


def read_piece(text: str, shop: Shop, today: date) -> PileReading:
    """The piece that a line says.

    Args:
        text: anything that can be typed.
        shop: its pile gives the next number and the places known.
        today: since when the piece is kept, unless the line says.
    """
    said = _Said(shop, today)
    phrases = [_phrase(text, piece, index, said) for index, piece in enumerate(split(sound(text)))]
    missing = [words for name, words in (("material", "what it is"), ("length", "its size")) if name not in said.values]
    piece = None
    if not missing:
        said.values.setdefault("code", next_piece_code(shop))
        said.values.setdefault("since", today)
        try:
            piece = _made(said)
        except (InputError, ValueError) as error:
            return PileReading(None, tuple(phrases), IMPOSSIBLE, (str(error),))
    problems = [p.problem for p in phrases if p.problem]
    if piece is not None and not said.values.get("thickness"):
        problems.append("Not measured: thickness by calliper at three places. Nothing is cut from it until then.")
    return PileReading(piece, tuple(p for p in phrases if p.text), tuple(missing), tuple(problems))


def piece_or_more(text: str, shop: Shop, today: date, *, like: Offcut | None = None) -> RecordReading:
    """The same line for a place that asks afterwards for what is missing.

    Args:
        text: anything that can be typed.
        shop: its pile gives the next number and the places known.
        today: since when the piece is kept, unless the line says.
        like: a piece that this one is a copy of; the line then says only what differs.
    """
    if like is not None:
        return _differing(text, shop, today, like)
    read = read_piece(text, shop, today)
    if read.piece is not None:
        values = _values_of(read.piece)
        said = tuple(n for n in values if n != "since" and values[n] != Offcut.model_fields[n].default)
        return RecordReading(Offcut, values, said, doubts=read.problems)
    said_so_far = _Said(shop, today)
    for index, phrase in enumerate(split(sound(text))):
        _phrase(text, phrase, index, said_so_far)
    known = {"code": next_piece_code(shop), "since": today, **said_so_far.values}
    if said_so_far.notes:
        known["note"] = ", ".join(said_so_far.notes)
    said = tuple(n for n in known if n in said_so_far.values or n == "note")
    impossible = read.problems[0] if read.missing == IMPOSSIBLE else ""
    return RecordReading(Offcut, known, said, impossible, doubts=read.problems)


def _differing(text: str, shop: Shop, today: date, like: Offcut) -> RecordReading:
    """What a line says that differs from a piece: every phrase by its own sign, the first other words the material."""
    said = _Said(shop, today)
    phrases = [phrase for phrase in split(sound(text)) if phrase.words or phrase.note is not None]
    doubts = []
    for index, phrase in enumerate(phrases):
        read = _phrase(text, phrase, index + 1, said)
        if index == 0 and read.meaning == UNREAD:
            said.notes.clear()
            read = _material(read.text, phrase, said)
        doubts += [read.problem] if read.problem else []
    changed = dict(said.values)
    if said.notes:
        changed["note"] = ", ".join(said.notes)
    if said.usable:
        full = changed.get("length", like.length), changed.get("width", like.width)
        changed["defects"] = tuple(_around_usable(said.usable, changed, *full))
    elif "length" in changed:  # the defects lie in the other rectangle
        changed = {"usable_length": None, "usable_width": None, "defects": (), **changed}
    values = {**_values_of(like), "code": next_piece_code(shop), "since": today, **changed}
    return RecordReading(Offcut, values, tuple(changed), doubts=tuple(doubts))


def _values_of(piece: Offcut) -> dict[str, Any]:
    return {name: getattr(piece, name) for name in Offcut.model_fields}


def _made(said: _Said) -> Offcut:
    """The piece; bands along its far end and far edge become defects, and what they leave is usable."""
    values = dict(said.values)
    length, width = values["length"], values["width"]
    if length.ticks <= 0 or width.ticks <= 0:
        raise InputError("Length and width must be more than 0.")
    ends = sum(b.ticks for side, b, _ in said.bands if side == "end")
    edges = sum(b.ticks for side, b, _ in said.bands if side == "edge")
    if ends >= length.ticks or edges >= width.ticks:
        raise InputError("By this line nothing sound is left of the piece.")
    x, y = length.ticks, width.ticks
    bands = []
    for side, band, what in said.bands:
        if side == "end":
            x -= band.ticks
            size = {"x": Length.from_ticks(x), "y": Length.of("0"), "length": band, "width": width}
        else:
            y -= band.ticks
            size = {"x": Length.of("0"), "y": Length.from_ticks(y), "length": length, "width": band}
        bands.append(Defect(**size, what=what))
    if said.bands:
        values.setdefault("usable_length", Length.from_ticks(length.ticks - ends))
        values.setdefault("usable_width", Length.from_ticks(width.ticks - edges))
    if said.usable:
        bands += _around_usable(said.usable, values, length, width)
    for name, full in (("usable_length", length), ("usable_width", width)):
        if name in values and not 0 < values[name].ticks <= full.ticks:
            raise InputError("The usable rectangle is larger than the piece, or nothing.")
    return Offcut(**values, defects=(*bands, *said.defects), note=", ".join(said.notes))


def _around_usable(boxes: list[Box], values: dict[str, Any], length: Length, width: Length) -> list[Defect]:
    """What lies around several usable rectangles; the size that they reach together becomes the usable one."""
    corner = []
    if "usable_length" in values:
        corner = [Box(0, 0, values["usable_length"].ticks, values["usable_width"].ticks)]
    for box in (*corner, *boxes):
        if box.length <= 0 or box.width <= 0:
            raise InputError("The usable size must be more than 0.")
        if box.x < 0 or box.y < 0 or box.x + box.length > length.ticks or box.y + box.width > width.ticks:
            place = f"{Length.from_ticks(box.x).in_mm()} {Length.from_ticks(box.y).in_mm()}"
            raise InputError(f"The usable rectangle at {place} reaches beyond the piece.")
    reach, high, bad = uncovered([*corner, *boxes])
    values["usable_length"], values["usable_width"] = Length.from_ticks(reach), Length.from_ticks(high)
    return [
        Defect(
            x=Length.from_ticks(b.x),
            y=Length.from_ticks(b.y),
            length=Length.from_ticks(b.length),
            width=Length.from_ticks(b.width),
            what=NOT_USABLE,
        )
        for b in bad
    ]


def _phrase(text: str, piece: PhraseText, index: int, said: _Said) -> PilePhrase:
    typed = text[piece.start : piece.end]
    if index == 0:
        return _material(typed, piece, said)
    if piece.note is not None:
        said.notes.append(piece.note)
        return PilePhrase(typed, f"note: {piece.note}")
    readers = _READERS if "material" in said.values else _MEASURES
    for reader in readers:
        try:
            meaning = reader(piece.words, said)
        except InputError as error:
            said.notes.append(joined(piece.words))
            return PilePhrase(typed, REFUSED, str(error))
        if meaning:
            return PilePhrase(typed, meaning)
    if "material" not in said.values:
        return _material(typed, piece, said)
    said.notes.append(joined(piece.words))
    return PilePhrase(typed, UNREAD, f"“{joined(piece.words)[:40]}” stands in the note.")


def _material(typed: str, piece: PhraseText, said: _Said) -> PilePhrase:
    words = piece.words
    problem = ""
    if len(words) > 1 and not words[0].quoted and CODE.fullmatch(words[0].text):
        code = words[0].text
        if any(o.code == code for o in said.shop.offcuts):
            free = next_piece_code(said.shop)
            problem = f"There is a piece {code} already; this one would be {free}."
            code = free
        said.values["code"], words = code, words[1:]
    name, meanings = _with_measures(words, said)
    if name:
        said.values["material"] = joined(name)
    return PilePhrase(typed, "; ".join(filter(None, [joined(name), *meanings])), problem)


_WITH_UNIT = re.compile(r"[0-9]{1,4}(?:[.,][0-9]{1,3})? ?mm", re.IGNORECASE | re.ASCII)
_BARE = re.compile(r"[0-9]{1,2}(?:[.,][0-9]{1,3})?", re.ASCII)


def _with_measures(words: tuple[Word, ...], said: _Said) -> tuple[tuple[Word, ...], list[str]]:
    """The name in a phrase that holds size and thickness too, in any order, and what these are.

    `6 mm plywood 620 x 310`, `plywood 6 mm 620 x 310`, `620 x 310 plywood 6 mm`, `12 ply 980 x 260 11.8`. A bare figure
    in front belongs to the name, by which sheet is sold, as in `12 ply`.
    """
    measures: list[str] = []
    found = next((w for w in _windows(words) if _is_size(words[w])), None)
    rest = words
    if found is not None:
        measures.append(_size(words[found], said))
        before, behind = words[: found.start], words[found.stop :]
        bare = next((n for n in (3, 2, 1) if n < len(before) and _are_bare(before[-n:])), 0)
        if behind and _are_bare(behind):
            measures.append(_thickness(behind, said))
            behind = ()
        elif bare and not behind:
            measures.append(_thickness(before[-bare:], said))
            before = before[:-bare]
        rest = (*before, *behind)
    for part in (rest[:2], rest[:1], rest[-2:], rest[-1:]):
        if part and "thickness" not in said.values and _WITH_UNIT.fullmatch(joined(part)):
            measures.append(_thickness(part, said))
            said.nominal = True
            return (rest[len(part) :] if part[0] is rest[0] else rest[: -len(part)]), measures
    return rest, measures


def _windows(words: tuple[Word, ...]) -> Iterator[slice]:
    """Every few words that stand together, the last and longest first."""
    for end in range(len(words), 0, -1):
        for start in range(max(0, end - 5), end):
            yield slice(start, end)


def _is_size(words: tuple[Word, ...]) -> bool:
    """Whether the words are a length and a width; a section by which timber is called, `2x4`, is none."""
    two = None if any(w.quoted for w in words) else _two(words)
    return two is not None and max(x.ticks for x in two) >= Length.of(f"{_LONGER_THAN}").ticks


def _are_bare(words: tuple[Word, ...]) -> bool:
    return len(words) <= 3 and all(not w.quoted and _BARE.fullmatch(w.text) for w in words)


# The phrases, each reader gives the meaning, nothing when it is not its phrase, or refuses


def _lengths(words: Iterable[str]) -> list[Length] | None:
    try:
        return [Length.of(w) for w in words]
    except InputError:
        return None


def _two(words: tuple[Word, ...]) -> tuple[Length, Length] | None:
    """Two lengths with an x between them."""
    text = " ".join(w.text for w in words)
    parts = [p for p in _BETWEEN.split(text) if p.strip()]
    found = _lengths(parts) if len(parts) == 2 else None
    return (found[0], found[1]) if found else None


def _size(words: tuple[Word, ...], said: _Said) -> str:
    head = words[0].folded
    name = "usable_" if head in ("usable", "sound") else ""
    found = _two(words[1:] if name or head in ("full", "size") else words)
    if name and (_says_two_sizes(words) or (found is not None and _is_second(found, said))):
        raise InputError(SECOND_USABLE)
    if found is None:
        return ""
    label = "usable" if name else "size"
    meaning = said.put(f"{name}length", found[0], f"{label}: {found[0].in_mm()} x {found[1].in_mm()}")
    return said.put(f"{name}width", found[1], meaning)


SECOND_USABLE = (
    "Where does the second usable rectangle lie? Say it like “usable 300 x 120 at 650 0”: "
    "its size, then where its corner is, from the left and from below."
)


def _says_two_sizes(words: tuple[Word, ...]) -> bool:
    """`usable 460 x 110 and 205 x 180`: nobody knows where the second one lies."""
    folded = [word.folded for word in words]
    if "and" not in folded:
        return False
    cut = folded.index("and")
    return _two(words[1:cut]) is not None and _two(words[cut + 1 :]) is not None


def _is_second(size: tuple[Length, Length], said: _Said) -> bool:
    first = said.values.get("usable_length"), said.values.get("usable_width")
    return first[0] is not None and first != size


def _usable_at(words: tuple[Word, ...], said: _Said) -> str:
    """A usable rectangle that does not lie at the corner: “usable 300 x 120 at 650 0”."""
    folded = [w.folded for w in words]
    if folded[0] not in ("usable", "sound") or "at" not in folded:
        return ""
    cut = folded.index("at")
    size, place = _two(words[1:cut]), _lengths(w.text for w in words[cut + 1 :])
    if size is None or place is None or len(place) != 2:
        raise InputError("It is typed like “usable 300 x 120 at 650 0”: its size, and where its corner is.")
    said.usable.append(Box(place[0].ticks, place[1].ticks, size[0].ticks, size[1].ticks))
    return f"usable too: {size[0].in_mm()} x {size[1].in_mm()} at {place[0].in_mm()}, {place[1].in_mm()}"


def _thickness(words: tuple[Word, ...], said: _Said) -> str:
    rest = [w.text for w in words if w.folded not in ("thick", "thickness", "measured")]
    named = len(rest) < len(words)
    bare = [w for w in rest if w.casefold() != "mm"]
    readings = (_lengths([" ".join(rest)]), _lengths(bare), _lengths(part for w in bare for part in w.split("/")))
    found = next((r for r in readings if r and len(r) <= 3), None)
    if found is None:
        return ""
    if not named and any(f.ticks >= Length.of(f"{_LONGER_THAN}").ticks for f in found):
        raise InputError("A size is length and width, like 980 x 260.")
    if any(f.ticks <= 0 for f in found):
        raise InputError("A thickness must be more than 0.")
    if said.nominal:
        said.nominal = False
        del said.values["thickness"]
    return said.put("thickness", tuple(found), f"thickness: {' '.join(f.in_mm() for f in found)}")


def _grain(words: tuple[Word, ...], said: _Said) -> str:
    folded = [w.folded for w in words]
    if "grain" not in folded or len(folded) > 4:
        return ""
    found = next((_GRAINS[w] for w in folded if w in _GRAINS), None)
    return said.put("grain", found, f"grain: {found}") if found else ""


def _value(words: tuple[Word, ...], said: _Said) -> str:
    head, *rest = (w.text for w in words)
    if head.casefold() in ("value", "worth") and rest:
        amount = parse_money(" ".join(rest))
    elif len(words) == 1 and head.startswith(said.shop.settings.currency) and not head[:1].isdigit():
        amount = parse_money(head)
    else:
        return ""
    if amount < 0:
        raise InputError("A value cannot be below 0.")
    return said.put("value", amount, f"value: {amount}")


def _true_edges(words: tuple[Word, ...], said: _Said) -> str:
    folded = [w.folded for w in words]
    if "true" not in folded or len(folded) > 4 or not set(folded) <= {*_COUNTS, "true", "edge", "edges", "has"}:
        return ""
    count = next((_COUNTS[w] for w in folded if w in _COUNTS), 1)
    return said.put("true_edges", count, f"true edges: {count}")


def _plain_words(words: tuple[Word, ...], said: _Said) -> str:
    if len(words) != 1:
        return ""
    word = words[0].folded
    if word in ("damp", "wet", "dry"):
        return said.put("damp", word != "dry", "damp" if word != "dry" else "dry")
    kind = next((k for k in PieceKind if k == word), None)
    return said.put("kind", kind, f"kind: {kind}") if kind else ""


def _after(words: tuple[Word, ...], *heads: str) -> str:
    return joined(words[1:]) if len(words) > 1 and words[0].folded in heads else ""


def _for(words: tuple[Word, ...], said: _Said) -> str:
    what = _after(words, "for", "reserved", "promised")
    if what.casefold().startswith("for "):
        what = what[4:]
    if not what:
        return ""
    earlier = said.values.get("reserved_for", "")
    said.values["reserved_for"] = "; ".join(x for x in (earlier, what) if x)
    return f"reserved for {what}"


def _origin(words: tuple[Word, ...], said: _Said) -> str:
    if [w.folded for w in words[:2]] in (["left", "of"], ["rest", "of"], ["left", "from"]):
        words = words[1:]
    what = _after(words, "from", "origin", "of")
    return said.put("origin", what, f"from: {what}") if what else ""


def _since(words: tuple[Word, ...], said: _Said) -> str:
    what = _after(words, "since")
    if not what:
        return ""
    day = parse_day(what, said.today, past=True)
    return said.put("since", day, f"since: {day}")


def _bad(words: tuple[Word, ...], said: _Said) -> str:
    head, rest = words[0].folded, words[1:]
    if head in ("end", "edge") and rest:
        band = _lengths([rest[0].text])
        if not band:
            return ""
        if band[0].ticks <= 0:
            raise InputError("The size of a defect must be more than 0.")
        said.bands.append((head, band[0], joined(rest[1:])))
        return f"the last {band[0].in_mm()} at the far {head} no good" + (f": {joined(rest[1:])}" if rest[1:] else "")
    if head not in ("defect", "bad", "hole", "knot", "split") or "at" not in [w.folded for w in rest]:
        return ""
    cut = [w.folded for w in rest].index("at")
    size, place = _two(rest[:cut]), _lengths(w.text for w in rest[cut + 1 : cut + 3])
    if size is None or place is None or len(place) != 2:
        raise InputError("A defect is typed like “knot 30 x 20 at 400 100”: its size, and where its corner is.")
    what = " ".join(x for x in (head if head not in ("defect", "bad") else "", joined(rest[cut + 3 :])) if x)
    said.defects.append(Defect(x=place[0], y=place[1], length=size[0], width=size[1], what=what))
    return f"defect {size[0].in_mm()} x {size[1].in_mm()} at {place[0].in_mm()}, {place[1].in_mm()}"


def _place(words: tuple[Word, ...], said: _Said) -> str:
    place = _after(words, "place", "kept") or joined(words)
    known = words[0].folded in _PLACES or words[-1].folded in _PLACES or place.casefold() in said.places
    if not (known or words[0].folded == "place"):
        return ""
    return said.put("place", place, f"place: {place}")


_READERS: tuple[Callable[[tuple[Word, ...], _Said], str], ...] = (
    _usable_at,
    _size,
    _bad,
    _thickness,
    _grain,
    _value,
    _true_edges,
    _plain_words,
    _for,
    _origin,
    _since,
    _place,
)


_MEASURES = (_usable_at, _size, _bad, _thickness)
"""What may stand before the name; the word behind it is the name, whatever else it could say."""


def reading_words(reading: PileReading) -> str:
    """How a line was read, in one line of words."""
    piece = reading.piece
    if piece is None:
        return f"still to say: {', '.join(reading.missing)}"
    words = [f"{piece.code} {piece.material} ({kind_of(piece)})"]
    words += [f"note: {p.text}" if p.meaning in (UNREAD, REFUSED) else p.meaning for p in reading.phrases[1:]]
    return "; ".join(words)


def add_piece(shop: Shop, piece: Offcut) -> Shop:
    """The shop with one more piece. Raises InputError when its number is taken."""
    if any(o.code == piece.code for o in shop.offcuts):
        raise InputError(f"There is already a piece {piece.code}; this one would be {next_piece_code(shop)}.")
    return shop.model_copy(update={"offcuts": (*shop.offcuts, piece)})


def reserved(piece: Offcut, unit: str, what: str) -> Offcut:
    """The piece with one more promise: to a unit, for something."""
    promise = promises_of(f"{unit} {what}".strip())
    return piece.model_copy(update={"reserved_for": with_promise(piece.reserved_for, promise[0])}) if promise else piece
