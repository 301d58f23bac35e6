"""The case of a unit as lines: held dimensions, plan, sheets, panels, strips, what is inside, what follows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from logbook.casework import (
    Consequence,
    HeldResult,
    Sheet,
    WorkedCase,
    WorkedPanel,
    WorkedStrip,
    mm,
    panel_reasons,
    sheets_of,
    size_words,
)
from logbook.model.case_plan import CasePlan, CornerJoint
from logbook.model.fields import in_a_line
from logbook.model.measures import Length
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.model.words import BackKind, FrontKind
from logbook.render.casework import consequence_words, movement_words
from logbook.render.plain import clean, fitted

HELD: Path = ("held_dimensions",)
PANELS: Path = ("case", "panels")
STRIPS: Path = ("case", "strips")
FITTINGS: Path = ("case", "fittings")
STACKS: Path = ("case", "stacks")
PLAN: Path = ("case", "plan")
WIDE = 76
"""From so many columns on a panel shows its cut size as well."""


class CaseLine(NamedTuple):
    """One line of the case."""

    key: str
    text: str
    path: Path | None = None
    """The record behind it."""
    into: Path = ()
    """The list that `a` adds to here."""
    why: tuple[str, ...] = ()
    tone: str = ""
    head: bool = False
    sheet: Sheet | None = None
    """What `i` measures anew here."""


def case_lines(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    """Every line of the section, in the order in which it is read."""
    yield from _held(unit, worked, columns)
    yield from _follows(unit, worked, bad=True)
    yield from _plan(unit)
    yield from _panels(unit, worked, columns)
    yield from _sheets(unit)
    yield from _strips(unit, worked, columns)
    yield from _inside(unit)
    yield from _follows(unit, worked, bad=False)


def _empty(key: str, words: str, into: Path) -> CaseLine:
    return CaseLine(key, words, into=into, tone="done")


def _cell(text: str, columns: int) -> str:
    return fitted(clean(text, limit=200), columns)


# Held dimensions


def _held(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    wide = columns >= WIDE
    name = max(10, columns - (49 if wide else 42))
    off = "  off" if wide else ""
    head = f"{'held':<6}{_cell('what must not change', name)} {'held at':<16} gives    {off}"
    yield CaseLine("head held", head, head=True)
    results = {h.code: h for h in reversed(worked.held)} if worked is not None else {}
    for h in unit.held_dimensions:
        found = results.get(h.code)
        path: Path = (*HELD, h.code)
        if found is None:
            yield CaseLine(f"held {h.code}", f"{h.code:<6}{clean(h.what)}", path, HELD)
            continue
        tone = {False: "error", None: "warning"}.get(found.holds, "") if found.holds is not True else ""
        text = (
            f"{_cell(h.code, 5)} {_cell(found.what, name)} {_cell(found.wanted, 16)} {_cell(found.given, 9)} "
            f"{_cell(found.difference, 6) + ' ' if wide else ''}{found.sign}"
        )
        yield CaseLine(f"held {h.code}", text, path, HELD, tuple(held_why(found)), tone)
    if not unit.held_dimensions:
        words = "Nothing is held yet. Measure what the works need, twice; a writes down the first."
        yield _empty("empty held", words, HELD)


def held_why(found: HeldResult) -> Iterator[str]:
    """Where the figure of a held dimension comes from."""
    yield f"Held at {found.wanted}" + (f", because {found.reason}." if found.reason else ".")
    yield f"The case gives {found.given}: {found.why}."
    if found.way_out:
        yield found.way_out
    if not found.twice:
        yield "It was measured once only; a held dimension is measured twice."


# Plan, sheets, panels, strips


def _plan(unit: Unit) -> Iterator[CaseLine]:
    yield CaseLine("head plan", "how it is built", head=True)
    plan = unit.case.plan if unit.case is not None else None
    if plan is None:
        words = "No plan yet: how corners, front and back are joined. Enter begins it."
        yield CaseLine("plan", words, PLAN, PANELS, tone="done")
    else:
        yield CaseLine("plan", plan_words(plan), PLAN, PANELS, tuple(_plan_why(plan)))


def plan_words(plan: CasePlan) -> str:
    """The plan in a line."""
    parts = [f"{name} {_corner(c)}" for name, c in (("top", plan.top), ("bottom", plan.bottom)) if c is not None]
    front, back = plan.front, plan.back
    set_back = f" {plan.front_set_back.in_mm()}" if plan.front_set_back is not None else ""
    parts.append("front open" if front is FrontKind.OPEN else f"front {front}, {set_back.strip() or '0'} back")
    set_in = f", {plan.back_set_in.in_mm()} in" if plan.back_set_in is not None else ""
    parts.append("back open" if back is BackKind.OPEN else f"back {back.removesuffix(', set in')}{set_in}")
    return "; ".join(parts)


def _corner(corner: CornerJoint) -> str:
    return f"{corner.kind}" + (f" {corner.depth.in_mm()} deep" if corner.depth is not None else "")


def _plan_why(plan: CasePlan) -> Iterator[str]:
    yield in_a_line(plan)
    yield "What is not said is usual practice: 3 left on at each edge of what is pressed, a leaf a further 6."


def _panels(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    name = max(8, min(24, columns - (67 if columns >= WIDE else 52)))
    cut = f" {'cut':<14}" if columns >= WIDE else ""
    head = f"{'':<4}{'panel':<{name}} no. {'finish':<14} {'T':>5}{cut} {'rough':<14} grain"
    yield CaseLine("head panels", head, head=True)
    worked_panels = worked.panels if worked is not None else ()
    for p in worked_panels:
        yield _panel(unit, worked, p, name, wide=columns >= WIDE)
    if not worked_panels:
        yield _empty(
            "empty panels", "No panel yet. a adds one: say what it is and of which sheet; sizes follow.", PANELS
        )


def _panel(unit: Unit, worked: WorkedCase | None, p: WorkedPanel, name: int, *, wide: bool) -> CaseLine:
    thick = "?" if p.thickness is None else mm(p.thickness)
    text = (
        f"{_cell(p.code, 3)} {_cell(p.name, name)} {p.quantity:>2}  {_size(p.finish)} {thick:>5}"
        f"{' ' + _size(p.cut) if wide else ''} {_size(p.rough)} {p.grain}" + (" *" if p.differences else "")
    )
    member = next((m for m in worked.members if m.member in p.members), None) if worked is not None else None
    why = panel_reasons(member, p) if member is not None else ()
    tone = "warning" if p.differences or p.finish is None else ""
    sheet = next((s for s in sheets_of(unit.case) if p.record.code in s.codes), None) if unit.case is not None else None
    return CaseLine(f"panel {p.code}", text, (*PANELS, p.record.code), PANELS, why, tone, sheet=sheet)


def _size(size: object) -> str:
    return fitted(size_words(size).replace(" x ", "x"), 14)  # type: ignore[arg-type]


def _sheets(unit: Unit) -> Iterator[CaseLine]:
    sheets = sheets_of(unit.case) if unit.case is not None else ()
    if sheets:
        yield CaseLine(
            "head sheets", "sheets and leaves, as measured (i: what if it were another thickness)", head=True
        )
    for s in sheets:
        words = f"{clean(s.material, limit=60)} {s.thickness.in_mm()}"
        why = (f"{words} is in {', '.join(s.codes)}. Measured by calliper; i shows what another thickness changes.",)
        text = f"{_cell(words, 28)} {', '.join(s.codes)}"
        yield CaseLine(f"sheet {s.leaf} {s.material} {s.thickness.ticks}", text, None, PANELS, why, sheet=s)


def _strips(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    yield CaseLine("head strips", "strips and blocks", head=True)
    for s in worked.strips if worked is not None else ():
        yield _strip(s, columns)
    if unit.case is None or not unit.case.strips:
        yield _empty("empty strips", "No strip or block yet. a adds one.", STRIPS)


def _strip(s: WorkedStrip, columns: int) -> CaseLine:
    code, off = s.record.code, f"  computed {mm(s.computed)}" if s.differs and s.computed is not None else ""
    name = max(12, min(40, columns - 40))
    text = f"{_cell(code, 3)} {_cell(s.record.name, name)} {s.quantity:>2} x {mm(s.length)}{off}"
    why = (f"{s.quantity} of {mm(s.length)}, {s.record.material}.", s.record.note or "As written down.")
    return CaseLine(f"strip {code}", text, (*STRIPS, code), STRIPS, why, "warning" if off else "")


def _inside(unit: Unit) -> Iterator[CaseLine]:
    case = unit.case
    yield CaseLine("head inside", "what is inside, and what goes through", head=True)
    for f in case.fittings if case is not None else ():
        yield CaseLine(
            f"fitting {f.code}", f"{_cell(f.code, 3)} {clean(f.what, limit=60)}", (*FITTINGS, f.code), FITTINGS
        )
    for s in case.stacks if case is not None else ():
        text = f"{_cell(s.code, 3)} {clean(s.what, limit=60)}, {s.kind}"
        yield CaseLine(f"stack {s.code}", text, (*STACKS, s.code), STACKS)
    if case is None or not case.fittings:
        yield _empty(
            "empty fittings", "Nothing inside yet. a adds what takes room: a chassis, a flange, a glass.", FITTINGS
        )
    if case is None or not case.stacks:
        words = "Nothing goes through yet. a adds a bolt, shaft or screw with its washers."
        yield _empty("empty stacks", words, STACKS)


# What follows


def _follows(unit: Unit, worked: WorkedCase | None, *, bad: bool) -> Iterator[CaseLine]:
    """What follows from the sizes: what is wrong, missing or just holds in one place, what is well in another."""
    if worked is None:
        return
    missing = worked.missing if bad and unit.case is not None else ()
    found = [c for c in worked.consequences if bad is (not c.holds or c.borderline)]
    moves = () if bad else worked.movements
    if missing or found or moves:
        head = "look here: wrong, not known, or with nothing to spare" if bad else "what follows, and is well"
        yield CaseLine(f"head follows {bad}", head, head=True)
    for i, sentence in enumerate(missing):
        yield CaseLine(f"missing {i}", f"?     {sentence}", None, PANELS, (sentence,), "warning")
    for i, c in enumerate(sorted(found, key=lambda c: (c.holds is not False, c.holds is not None))):
        tone = "error" if c.holds is False else "warning" if bad else ""
        words = consequence_words(c)
        key = f"follows {c.code} {c.place} {i}"
        yield CaseLine(key, f"{c.sign:<6}{clean(words, limit=300)}", path_of(unit, c), PANELS, (words,), tone)
    for m in moves:
        words = movement_words(m)
        path = next(((*PANELS, p.record.code) for p in worked.panels if p.code == m.panel), None)
        yield CaseLine(f"moves {m.panel}", f"moves {words}", path, PANELS, (words,))


def path_of(unit: Unit, c: Consequence) -> Path | None:
    """The record a consequence is about: the first of its codes that is one."""
    case = unit.case
    if case is None:
        return None
    lists = ((STACKS, case.stacks), (FITTINGS, case.fittings), (PANELS, case.panels), (STRIPS, case.strips))
    codes = [{getattr(t, "code", "") for t in things} for _, things in lists]
    for word in c.place.split():
        for (path, _), known in zip(lists, codes, strict=True):
            if word in known:
                return (*path, word)
    return PLAN


def typed_thickness(text: str, sheet: Sheet) -> tuple[Length, tuple[str, ...]]:
    """A thickness and perhaps panels from one line: `12.2`, `12.2 P4`. Raises InputError when it is none."""
    words = text.replace(",", " ").split() if not text.strip().replace(",", "").isdigit() else [text.strip()]
    known = {c.casefold(): c for c in sheet.codes}
    codes: list[str] = []
    while len(words) > 1 and words[-1].casefold() in known:
        codes.insert(0, known[words.pop().casefold()])
    return Length.of(" ".join(words)), tuple(codes)
