"""The case of a unit as entries: held dimensions, plan, sheets, panels, strips, what is inside, what follows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from logbook.casework import (
    Consequence,
    HeldResult,
    MeasuredSheet,
    WorkedCase,
    WorkedPanel,
    WorkedStrip,
    mm,
    panel_reasons,
    sheets_of,
    size_words,
)
from logbook.casework.back_groove import plan_said
from logbook.casework.held import held_words
from logbook.model.base import Frozen
from logbook.model.case_plan import CasePlan, CornerJoint
from logbook.model.casework_records import HeldDimension
from logbook.model.fields import in_a_line
from logbook.model.line_again import line_again
from logbook.model.measures import Length
from logbook.model.paths import Path
from logbook.model.unit import Unit
from logbook.model.words import BackKind, FrontKind
from logbook.render.case_document import consequence_words, movement_words
from logbook.render.plain import clean
from logbook.tui.case_drawing import panel_hues
from logbook.tui.look.inks import (
    Line,
    Span,
    apart,
    fit,
    flow,
    group,
    hanging,
    line,
    signal,
    text_of,
    width_of,
    wrap,
)

HELD: Path = ("held_dimensions",)
PANELS: Path = ("case", "panels")
STRIPS: Path = ("case", "strips")
FITTINGS: Path = ("case", "fittings")
STACKS: Path = ("case", "stacks")
PLAN: Path = ("case", "plan")
ONE_ROW = 76
"""From so many columns on the sizes of a panel stand in one row."""


class CaseLine(NamedTuple):
    """One entry of the case."""

    key: str
    lines: tuple[Line, ...]
    path: Path | None = None
    """The record behind it."""
    into: Path = ()
    """The list that `a` adds to here."""
    why: tuple[str, ...] = ()
    head: bool = False
    sheet: MeasuredSheet | None = None
    """What `i` measures anew here."""
    drawn: str = ""
    """Its name in the drawing."""

    @property
    def text(self) -> str:
        """Its words alone."""
        return " ".join(" ".join(text_of(spans) for spans in self.lines).split())


def case_lines(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    """Every entry of the section, in the order in which it is read."""
    yield from _held(unit, worked, columns)
    yield from _follows(unit, worked, columns, bad=True)
    yield from _panels(unit, worked, columns)
    yield from _plan(unit, columns)
    yield from _sheets(unit, columns)
    yield from _strips(unit, worked, columns)
    yield from _inside(unit, columns)
    yield from _follows(unit, worked, columns, bad=False)


def _head(key: str, title: str, columns: int, said: str = "") -> CaseLine:
    return CaseLine(f"head {key}", tuple(flow(group(title, said), columns)), head=True)


def _empty(key: str, words: str, into: Path, columns: int) -> CaseLine:
    return CaseLine(key, tuple(wrap(words, columns, "muted")), into=into)


def _safe(text: str, limit: int = 200) -> str:
    return clean(text, limit=limit)


def _hung(head: Line, spans: Line, columns: int) -> list[Line]:
    lead = width_of(head)
    first, *rest = flow(spans, columns - lead) or [()]
    return [line(head, first), *(line(" " * lead, row) for row in rest)]


def _told(head: Line, left: Line, right: Line, columns: int) -> list[Line]:
    """What it is at the left, its figures at the right; below it where they do not fit beside each other."""
    rows = _hung(head, left, columns)
    if len(rows) == 1 and width_of(rows[0]) + width_of(right) + 2 <= columns:
        return [apart(rows[0], right, columns)]
    lead = width_of(head)
    if width_of(right) <= columns - lead:
        return [*rows, apart((), right, columns)]
    return [*rows, *(line(" " * lead, row) for row in flow(right, columns - lead))]


# Held dimensions


def _held(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    yield _head("held", "Held", columns, "what must not change")
    results = {result.code: result for result in reversed(worked.held)} if worked is not None else {}
    for held in unit.held_dimensions:
        yield _held_line(held, results.get(held.code), columns)
    if not unit.held_dimensions:
        words = "Nothing is held yet. Measure what the works need, twice; a writes down the first."
        yield _empty("empty held", words, HELD, columns)


def _held_line(held: HeldDimension, found: HeldResult | None, columns: int) -> CaseLine:
    code = _safe(held.code, 16)
    head = line(Span(f"{code:<5} ", "bold accent"))
    key, path = f"held {held.code}", (*HELD, held.code)
    what = line(Span(_safe(held.what)))
    if found is None:
        held_at = line(Span(_safe(held_words(held), 60), "bold"))
        return CaseLine(key, tuple(_told(head, what, held_at, columns)), path, HELD, drawn=code)
    wanted = line(Span(f"{_safe(found.wanted, 60)}  ", "muted"))
    off = line(Span(f" {found.difference}", "muted")) if found.difference not in ("", "0") else ()
    right = line(wanted, Span(f"{_safe(found.given, 40)}", "bold"), off, "  ", _sign(found.sign))
    return CaseLine(key, tuple(_told(head, what, right, columns)), path, HELD, tuple(held_why(found)), drawn=code)


def _sign(sign: str) -> Line:
    """Whether something holds, in a word; what does not is a signal."""
    if sign in ("holds", "ok"):
        return line(Span("holds", "bold good"))
    if sign == "just":
        return line(Span("just", "bold wait"))
    return signal("NOT KNOWN", "wait") if sign == "?" else signal(sign, "bad")


def held_why(found: HeldResult) -> Iterator[str]:
    """Where the figure of a held dimension comes from."""
    yield f"Held at {found.wanted}" + (f", because {found.reason}." if found.reason else ".")
    yield f"The case gives {found.given}: {found.why}."
    if found.way_out:
        yield found.way_out
    if not found.twice:
        yield "It was measured once only; a held dimension is measured twice."


# Plan, sheets, panels, strips


def _plan(unit: Unit, columns: int) -> Iterator[CaseLine]:
    yield _head("plan", "How it is built", columns)
    plan = plan_said(unit.case) if unit.case is not None else None
    if plan is None:
        words = "No plan yet: how corners, front and back are joined. Enter begins it."
        yield CaseLine("plan", tuple(wrap(words, columns, "muted")), PLAN, PANELS)
    else:
        yield CaseLine("plan", tuple(wrap(plan_words(plan), columns)), PLAN, PANELS, tuple(_plan_why(plan)))


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
    deep = f" {corner.depth.in_mm()} deep" if corner.depth is not None else ""
    slack = f", slack {corner.slack.in_mm()}" if corner.slack is not None else ""
    short = f", {corner.short.in_mm()} short of the back" if corner.short is not None else ""
    return f"{corner.kind}{deep}{slack}{short}"


def _plan_why(plan: CasePlan) -> Iterator[str]:
    yield in_a_line(plan)
    yield "What is not said is usual practice: 3 left on at each edge of what is pressed, a leaf a further 6."


def _panels(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    panels = worked.panels if worked is not None else ()
    yield _head("panels", "Panels", columns)
    if not panels:
        words = "No panel yet. a adds one: say what it is and of which sheet; sizes follow."
        yield _empty("empty panels", words, PANELS, columns)
        return
    yield CaseLine("head sizes", tuple(_size_heads(columns)), head=True)
    hues = panel_hues(worked)
    for panel in panels:
        yield _panel(unit, worked, panel, columns, hues)


def _size_heads(columns: int) -> list[Line]:
    if columns < ONE_ROW:
        return [
            apart(
                line(Span("     below: cut, rough, grain", "muted")),
                line(Span(_finish("finish", "T"), "muted")),
                columns,
            )
        ]
    right = f"{_finish('finish', 'T')}{'cut':>16}{'rough':>16}  {'grain':<6}"
    return [apart((), line(Span(right, "muted")), columns)]


def _finish(size: str, thick: str) -> str:
    return f"{size:>14} {thick:>5}"


def _panel(
    unit: Unit, worked: WorkedCase | None, panel: WorkedPanel, columns: int, hues: Mapping[str, str]
) -> CaseLine:
    code = _safe(panel.code, 16)
    times = f" x {panel.quantity}" if panel.quantity > 1 else ""
    head = line(Span(f"{code:<4} ", f"bold {hues.get(panel.record.code, '')}".strip()))
    name = line(Span(f"{_safe(panel.name)}{times}"))
    thick = "?" if panel.thickness is None else mm(panel.thickness)
    sizes = line(Span(f"{size_words(panel.finish):>14}", "bold"), Span(f" {thick:>5}"))
    cut, rough, grain = size_words(panel.cut), size_words(panel.rough), str(panel.grain)
    if columns >= ONE_ROW:
        more = Span(f"{cut:>16}{rough:>16}  {fit_text(grain, 6)}", "muted")
        rows = _told(head, name, line(sizes, more), columns)
    else:
        rows = _told(head, name, sizes, columns)
        more = Span(f"cut {cut}, rough {rough}, {grain}", "muted")
        rows += _hung(line(" " * width_of(head)), line(more), columns)
    rows += _differs(panel, width_of(head), columns)
    member = next((m for m in worked.members if m.member in panel.members), None) if worked is not None else None
    why = panel_reasons(member, panel) if member is not None else ()
    sheets = sheets_of(unit.case) if unit.case is not None else ()
    sheet = next((s for s in sheets if panel.record.code in s.codes), None)
    path = (*PANELS, panel.record.code)
    drawn = _safe(panel.record.code, 16)
    return CaseLine(f"panel {panel.code}", tuple(rows), path, PANELS, why, sheet=sheet, drawn=drawn)


def fit_text(words: str, columns: int) -> str:
    """Words in exactly so many columns."""
    return text_of(fit(line(words), columns))


def _differs(panel: WorkedPanel, lead: int, columns: int) -> Iterator[Line]:
    """Written sizes that are not what the plan gives, each in whole sentences; and a size that is not known."""
    head = line(" " * lead, signal("DIFFERS", "wait"), " ")
    for difference in panel.differences:
        written, computed = size_words(difference.recorded), size_words(difference.computed)
        words = f"{difference.what} written {written}, computed {computed}."
        yield from hanging(head, words, columns)
    if panel.finish is None:
        yield from hanging(
            line(" " * lead, signal("NO SIZE", "wait"), " "), "Its sheet or the plan is missing.", columns
        )


def _sheets(unit: Unit, columns: int) -> Iterator[CaseLine]:
    sheets = sheets_of(unit.case) if unit.case is not None else ()
    if sheets:
        yield _head("sheets", "Sheets and leaves", columns, "as measured; i: what if another thickness")
    for sheet in sheets:
        words = f"{_safe(sheet.material, 60)} {sheet.thickness.in_mm()}"
        codes = ", ".join(sheet.codes)
        why = (f"{words} is in {codes}. Measured by calliper; i shows what another thickness changes.",)
        lines = _told((), line(words), line(Span(_safe(codes), "muted")), columns)
        key = f"sheet {sheet.leaf} {sheet.material} {sheet.thickness.ticks}"
        yield CaseLine(key, tuple(lines), None, PANELS, why, sheet=sheet)


def _strips(unit: Unit, worked: WorkedCase | None, columns: int) -> Iterator[CaseLine]:
    yield _head("strips", "Strips and blocks", columns)
    for strip in worked.strips if worked is not None else ():
        yield _strip(strip, columns)
    if unit.case is None or not unit.case.strips:
        yield _empty("empty strips", "No strip or block yet. a adds one.", STRIPS, columns)


def _strip(strip: WorkedStrip, columns: int) -> CaseLine:
    code = strip.record.code
    head = line(Span(f"{_safe(code, 16):<4} ", "bold"))
    rows = _told(head, line(_safe(strip.record.name)), line(f"{strip.quantity} x {mm(strip.length)}"), columns)
    if strip.differs and strip.computed is not None:
        lead = line(" " * width_of(head), signal("DIFFERS", "wait"), " ")
        rows += hanging(lead, f"length written {mm(strip.length)}, computed {mm(strip.computed)}.", columns)
    said = (f"It lies {strip.behind}.",) if strip.behind else ()
    of = f"{strip.quantity} of {mm(strip.length)}, {strip.record.material}."
    why = (of, *said, strip.record.note or "As written down.")
    return CaseLine(f"strip {code}", tuple(rows), (*STRIPS, code), STRIPS, why)


def _inside(unit: Unit, columns: int) -> Iterator[CaseLine]:
    case = unit.case
    yield _head("inside", "Inside, and through panels", columns)
    for fitting in case.fittings if case is not None else ():
        rows = _hung(line(Span(f"{_safe(fitting.code, 16):<4} ", "bold")), line(_safe(fitting.what)), columns)
        path = (*FITTINGS, fitting.code)
        why = tuple(_as_said(fitting))
        yield CaseLine(f"fitting {fitting.code}", tuple(rows), path, FITTINGS, why, drawn=_safe(fitting.code, 16))
    for stack in case.stacks if case is not None else ():
        head = line(Span(f"{_safe(stack.code, 16):<4} ", "bold"))
        rows = _hung(head, line(f"{_safe(stack.what)}, ", Span(str(stack.kind), "muted")), columns)
        yield CaseLine(f"stack {stack.code}", tuple(rows), (*STACKS, stack.code), STACKS, tuple(_as_said(stack)))
    if case is None or not case.fittings:
        words = "Nothing inside yet. a adds what takes room: a chassis, a flange, a glass."
        yield _empty("empty fittings", words, FITTINGS, columns)
    if case is None or not case.stacks:
        words = "Nothing goes through yet. a adds a bolt, shaft or screw with its washers."
        yield _empty("empty stacks", words, STACKS, columns)


def _as_said(record: Frozen) -> Iterator[str]:
    """It as a line that says it again."""
    if words := line_again(record):
        yield f"As it was written down: {words}."


# What follows


def _follows(unit: Unit, worked: WorkedCase | None, columns: int, *, bad: bool) -> Iterator[CaseLine]:
    """What follows from the sizes: what is wrong, missing or just holds in one place, what is well in another."""
    if worked is None:
        return
    missing = worked.missing if bad and unit.case is not None else ()
    found = [c for c in worked.consequences if bad is (not c.holds or c.borderline)]
    moves = () if bad else worked.movements
    if missing or found or moves:
        title = "Look here" if bad else "What follows, and is well"
        said = "wrong, not known, or just so" if bad else ""
        yield _head(f"follows {bad}", title, columns, said)
    for number, sentence in enumerate(missing):
        rows = hanging(line(signal("NOT KNOWN", "wait"), " "), _safe(sentence, 400), columns)
        yield CaseLine(f"missing {number}", tuple(rows), None, PANELS, (sentence,))
    for number, consequence in enumerate(sorted(found, key=_worst_first)):
        yield _consequence(unit, consequence, number, columns)
    for move in moves:
        words = movement_words(move)
        path = next(((*PANELS, p.record.code) for p in worked.panels if p.code == move.panel), None)
        rows = hanging(line(Span("moves", "bold"), "  "), _safe(words, 400), columns)
        yield CaseLine(f"moves {move.panel}", tuple(rows), path, PANELS, (words,))


def _worst_first(consequence: Consequence) -> tuple[bool, bool]:
    return consequence.holds is not False, consequence.holds is not None


def _consequence(unit: Unit, consequence: Consequence, number: int, columns: int) -> CaseLine:
    words = consequence_words(consequence)
    head = line(_sign(consequence.sign), "  " if consequence.sign == "ok" else " ")
    rows = hanging(head, _safe(words, 400), columns)
    key = f"follows {consequence.code} {consequence.place} {consequence.sign} {number}"
    return CaseLine(key, tuple(rows), path_of(unit, consequence), PANELS, (words,))


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


def typed_thickness(text: str, sheet: MeasuredSheet) -> tuple[Length, tuple[str, ...]]:
    """A thickness and perhaps panels from one line: `12.2`, `12.2 P4`. Raises InputError when it is none."""
    words = text.replace(",", " ").split() if not text.strip().replace(",", "").isdigit() else [text.strip()]
    known = {c.casefold(): c for c in sheet.codes}
    codes: list[str] = []
    while len(words) > 1 and words[-1].casefold() in known:
        codes.insert(0, known[words.pop().casefold()])
    return Length.of(" ".join(words)), tuple(codes)
