"""Finding anything in the book: every unit and what they share, by words, whatever their capitals and accents."""

from __future__ import annotations

import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator
from heapq import nsmallest
from itertools import chain
from typing import NamedTuple

from logbook.model.bags import bags_spelled_again
from logbook.model.shop import Shop
from logbook.model.step import Step
from logbook.model.unit import Book, Unit
from logbook.teardown.kinds import fasteners_of
from logbook.teardown.left_as import left_words

KINDS = (
    "unit", "step", "component", "part", "connection", "bag", "operation", "held dimension", "panel",
    "note", "offcut", "consumable",
)  # fmt: skip
"""What can be found, in the order in which equals are listed."""


class Hit(NamedTuple):
    """One thing that has every word."""

    unit: str
    """Code of its unit; empty for the shop."""
    kind: str
    """One of KINDS."""
    code: str
    """Its code; the number of a bag; the name of a consumable."""
    text: str
    """What it is, on one line."""
    step: str = ""
    """The step that it belongs to, when it has one."""


class _Entry(NamedTuple):
    found: Hit
    more: str
    """Further words that it is found by."""


_Text = tuple[str, Hit]
"""What something is found by, folded, and what it is."""

_LETTERS = str.maketrans({"ø": "o", "đ": "d", "ł": "l", "æ": "ae", "œ": "oe", "×": "x"})


def fold(text: str) -> str:
    """Text for comparing: no capitals, no accents, every run of blanks one blank."""
    if not text.isascii():
        apart = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
        text = "".join(c for c in apart if not unicodedata.combining(c))
    return " ".join(text.casefold().split())


class Finder:
    """Finds again and again in a book of which little changes, as words are typed.

    What a unit can be found by is made once for each state of it: records never change, so the same record
    is the same text.
    """

    def __init__(self) -> None:
        self._units: dict[str, tuple[Unit, list[_Text]]] = {}

    def find(self, book: Book, words: str, limit: int = 200) -> tuple[Hit, ...]:
        """As the function `find`."""
        return _search(self._texts(book), words, limit)

    def _texts(self, book: Book) -> Iterator[list[_Text]]:
        before, self._units = self._units, {}
        for code, unit in book.units.items():
            known = before.get(code)
            texts = known[1] if known is not None and known[0] is unit else list(map(_text, _of_unit(unit)))
            self._units[code] = (unit, texts)
        yield from (texts for _, texts in self._units.values())
        yield list(map(_text, _of_shop(book.shop)))


def find(book: Book, words: str, limit: int = 200) -> tuple[Hit, ...]:
    """Everything in which every word stands, best first; no words find nothing.

    Best is what has a word as its code, then what has them at the start of words of its name, then anywhere
    in its name, then anywhere in what is written about it. A unit's code counts as a word of everything in
    that unit, so `r1 washer` looks in R1. A screen that searches while words are typed keeps a `Finder`.

    Args:
        book: read only, never changed.
        words: as typed; each may be a part of a word.
        limit: how many are returned at most.
    """
    units = (map(_text, _of_unit(unit)) for unit in book.units.values())
    return _search(chain(units, [map(_text, _of_shop(book.shop))]), words, limit)


def _search(groups: Iterable[Iterable[_Text]], words: str, limit: int) -> tuple[Hit, ...]:
    wanted = tuple(dict.fromkeys(fold(words).split(" "))) if words.strip() else ()
    if not wanted:
        return ()
    ranked: list[tuple[int, int, Hit]] = []
    for text, found in chain.from_iterable(groups):
        for word in wanted:
            if word not in text:
                break
        else:
            ranked.append((_rank(found, wanted), len(ranked), found))
    return tuple(found for _, _, found in nsmallest(limit, ranked))


def _text(entry: _Entry) -> _Text:
    found = entry.found
    return _folded(f"{found.unit} {found.code} {found.text} {entry.more}"), found


def _folded(text: str) -> str:
    """As `fold`, blanks left as they are: the words looked for have none, and this is the inner loop of a search."""
    return text.lower() if text.isascii() else fold(text)


def _rank(found: Hit, wanted: tuple[str, ...]) -> int:
    """0 when a word is the code, 1 when all start a word of the name, 2 in the name, 3 elsewhere."""
    code, unit = _folded(found.code), _folded(found.unit)
    others = wanted if unit not in wanted or len(wanted) == 1 else [w for w in wanted if w != unit]
    if code in others:
        return 0
    name = f" {unit} {code} {_folded(found.text)}"
    rank = 1
    for word in others:
        if f" {word}" not in name:
            rank = 2
            if word not in name:
                return 3
    return rank


def _of_shop(shop: Shop) -> Iterator[_Entry]:
    for piece in shop.offcuts:
        size = f"{piece.length.in_mm()} x {piece.width.in_mm()}"
        thick = "".join(f" {t.in_mm()}" for t in piece.thickness[:1])
        more = (
            f"{piece.place} {piece.origin} {piece.reserved_for} {piece.note} {' '.join(d.what for d in piece.defects)}"
        )
        yield _entry("", "offcut", piece.code, f"{piece.material}{thick}, {size}", more)
    for item in shop.shelf:
        text = f"{item.name}, {item.stock:f} {item.unit}".rstrip()
        yield _entry("", "consumable", item.name, text, f"{item.place} {item.note}")


def _of_unit(unit: Unit) -> Iterator[_Entry]:
    arrival = unit.arrival
    about = f"{arrival.object_class} {arrival.origin} {arrival.size} {' '.join(h.what for h in unit.hazards)}"
    waits = " ".join(w.what for w in unit.waiting)
    proofs = " ".join(f"{p.danger} {p.reading} {p.instrument}" for p in unit.proofs)
    more = f"{about} {unit.next_action} {waits} {proofs} {left_words(unit)}"
    yield _entry(unit.code, "unit", unit.code, unit.name, more)
    for step in unit.steps:
        yield from _of_step(unit.code, step)
    yield from _bags(unit)
    for c in unit.components:
        text = f"{c.name}, {c.disposition}" + (f", {c.where_kept}" if c.where_kept else "")
        more = f"{c.condition} {c.note} {' '.join(h.what for h in c.hazards)} {' '.join(t.what for t in c.tests)}"
        yield _entry(unit.code, "component", c.code, text, more, step=c.from_step)
    for p in unit.parts:
        more = f"{p.seller} {p.note} {p.fastener} {p.only_if} {p.source}"
        yield _entry(unit.code, "part", p.code, f"{p.name}, {p.supply}", more)
    for o in unit.operations:
        yield _entry(unit.code, "operation", o.code, f"{o.name}, {o.state}", f"{o.note} {o.produces}")
    for h in unit.held_dimensions:
        yield _entry(unit.code, "held dimension", h.code, h.what, f"{h.why} {h.how} {h.datum}")
    for panel in unit.case.panels if unit.case is not None else ():
        of = " ".join(x.material for x in panel.layers)
        openings = " ".join(o.what for o in panel.openings)
        yield _entry(unit.code, "panel", panel.code, panel.name, f"{of} {openings} {panel.note}")
    for where, note in (("as found", arrival.as_found), ("arrival", arrival.note), ("notes", unit.notes)):
        if note:
            yield _entry(unit.code, "note", where, note, "")


def _of_step(unit: str, step: Step) -> Iterator[_Entry]:
    fasteners = " ".join(f.kind for f in fasteners_of(step))
    written = [
        step.action, fasteners, step.note, step.marks, step.orientation, step.viewed_from, step.as_found,
        step.should_be, step.held_by, step.in_the_way, step.certainty_note, step.helper, step.support,
        step.refit.text, *step.stack, *step.refit.first, *step.refit.renew,
    ]  # fmt: skip
    written += [h.what for h in step.hazards]
    written += [f"{p.danger} {p.reading} {p.instrument}" for p in step.proofs]
    written += [f"{s.what} {s.value}" for s in step.settings]
    written += [f"{m.what} {m.text}" for m in step.measurements]
    written += [f"{p.where} {p.kind}" for p in step.positions]
    written += [f"{d.member} {d.note}" for d in step.differences]
    written += [f"{p.caption} {p.file} {p.card}" for p in step.photos]
    yield _entry(unit, "step", step.code, step.what, " ".join(filter(None, written)), step=step.code)
    for w in step.connections:
        text = f"{w.start or '?'} to {w.end or '?'}" + "".join(f", {said}" for said in (w.colour, w.function) if said)
        more = f"{w.kind} {w.joint} {w.polarity} {w.route} {w.sleeve} {w.refit} {step.code} {step.what}"
        yield _entry(unit, "connection", w.code, text, more, step=step.code)


def _bags(unit: Unit) -> Iterator[_Entry]:
    """Every bag of a unit with what is in it and the step that it came from."""
    inside: defaultdict[str, list[str]] = defaultdict(list)
    steps: dict[str, Step] = {}
    spelled = bags_spelled_again(unit.steps)
    for step in unit.steps:
        for written, content in _bagged(step):
            bag = spelled.get(written, written)
            inside[bag].append(content)
            steps.setdefault(bag, step)
    for bag, contents in inside.items():
        step = steps[bag]
        text = f"bag {bag}: {', '.join(filter(None, contents)) or step.what}"
        yield _entry(unit.code, "bag", bag, text, f"{step.code} {step.what}", step=step.code)


def _bagged(step: Step) -> Iterator[tuple[str, str]]:
    if step.bag:
        yield step.bag, ""
    for f in step.fasteners:
        if f.bag or step.bag:
            yield f.bag or step.bag, f"{f.found} {f.kind}"
    for d in step.differences:
        if d.bag:
            own = step.fasteners if d.fasteners is None else d.fasteners
            yield from ((d.bag, f"{f.found} {f.kind} ({d.member})") for f in own)


LONGEST = 200
"""Characters of a text that a list shows."""


def _entry(unit: str, kind: str, code: str, text: str, more: str, *, step: str = "") -> _Entry:
    """The text on one line, cut where it is too long for a list; it is found by the whole of it."""
    line = " ".join(text.split())
    if len(line) <= LONGEST:
        return _Entry(Hit(unit, kind, code, line, step), more)
    return _Entry(Hit(unit, kind, code, line[: LONGEST - 1] + "…", step), f"{line} {more}")
