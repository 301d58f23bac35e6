"""One line of the reassembly list on paper: hazards first, then the box, then everything that is needed for it."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Mapping
from itertools import groupby

from logbook.model.step import Hazard, HoldAt, Setting
from logbook.model.unit import LineState, Unit
from logbook.reassembly import LineFastener, LineKind, Readiness, RefitLine, RefitList, lines_after
from logbook.reassembly.wording import bag_order, full_stop, ranged, reasons_beside
from logbook.render.blocks import Run, Runs, Sign, Tone
from logbook.render.page import Page, moment_words

INDENT = 5
"""Columns before what belongs to a line."""


def states_of(unit: Unit) -> Mapping[str, LineState]:
    """What was kept at each line, by tick key."""
    return {s.line: s for s in unit.refit.lines}


def ticked(line: RefitLine, key: str, states: Mapping[str, LineState]) -> bool:
    """Whether the tick `key` of a line is made, by itself or with the whole set."""
    return any(k in states and states[k].done for k in (key, line.key))


def set_line(
    page: Page,
    line: RefitLine,
    ready: Readiness,
    states: Mapping[str, LineState],
    *,
    look_again: str = "",
    proved: Callable[[Hazard], str] | None = None,
    kept_back: str = "",
) -> None:
    """Add one line of the list to a page.

    Args:
        page: the page.
        line: what is to be done.
        ready: whether it can be done.
        states: `states_of(unit)`.
        look_again: of what it says something else since it was ticked; empty when of nothing (`changed_words`).
        proved: how a danger stands: what proved it safe, or that nothing did.
        kept_back: the numbers of the lines that its open hold point keeps back (`kept_back_by`).
    """
    for hazard in line.hazards:
        page.item(f"{hazard.signal}  ", hazard_words(hazard), INDENT, tone=Tone.HAZARD)
        stands = proved(hazard) if proved is not None else ""
        page.say((stands and f"{stands}   ", "initials ", Sign.BLANK), INDENT + 9, tone=Tone.HAZARD)
    of = " ".join(line.steps)
    box = Sign.TICKED if ready.done else Sign.BOX
    page.item((box, f" {line.number}  "), f"{line.title}{f'  ({of})' if of else ''}", tone=Tone.TITLE)
    if look_again:
        page.item("LOOK AGAIN: ", full_stop(look_again), INDENT)
    for reason in ready.waits if ready.ready else ():
        page.item("STILL WAITS: ", reason, INDENT)
    _before(page, line)
    for sentence in line.what:
        page.item("- ", sentence, INDENT)
    _pieces(page, line)
    _values(page, line)
    _members(page, line, states)
    for at in line.holds_at:
        _hold(page, line, at, states, kept_back)
    _after(page, line, ready, states)


def kept_back_by(listed: RefitList, line: RefitLine, open_holds: Container[str]) -> str:
    """The numbers of the lines that the open hold point of a line keeps back: `A03-A07, A09`; empty when none."""
    if line.key not in open_holds:
        return ""
    return ranged(after.number for after in lines_after(listed, line.key))


def hazard_words(hazard: Hazard) -> str:
    """A hazard without its signal word: what it is, what to do before, how to prove it safe."""
    parts = [hazard.what]
    if hazard.do:
        parts.append(f"Before: {hazard.do}")
    if hazard.prove:
        parts.append(f"Prove it: {hazard.prove}")
    return ". ".join(p.rstrip(". ") for p in parts) + "."


def setting_words(setting: Setting) -> str:
    """An adjustment as it was found: `pointer at the low stop: 12 mm right of the left end (cord tied off)`."""
    value = setting.value or (f"{setting.length.in_mm()} mm" if setting.length is not None else "?")
    whose = f"{setting.member}: " if setting.member else ""
    return f"{whose}{setting.what}: {value}{f' ({setting.how})' if setting.how else ''}"


def pieces_words(line: RefitLine) -> str:
    """What goes back at a line, shortly: `12 from bag 4, 8 new`, empty when nothing does."""
    parts = []
    for (new, bag), found in _by_place(line.fasteners):
        count = sum(f.count for f in found)
        parts.append(f"{count} new" if new else f"{count} from bag {bag}" if bag else f"{count} in no bag")
    return ", ".join(parts)


def weight_words(line: RefitLine) -> str:
    """What goes back in kilograms, empty when nobody weighed it."""
    return f"{line.weight_kg.normalize():f} kg" if line.weight_kg is not None else ""


def lifting_words(line: RefitLine) -> str:
    """How heavy it is, what holds it up and who helps, empty when nothing of that is known."""
    helper = f"helper: {line.helper}" if line.helper else ""
    return ", ".join(words for words in (weight_words(line), line.support, helper) if words)


def missing_words(piece: LineFastener) -> str:
    """That a new piece is not here, or only some of them; empty when all are."""
    if piece.here:
        return ""
    return f"ONLY {piece.on_hand} HERE" if piece.on_hand else "NOT HERE"


def _by_place(fasteners: Iterable[LineFastener]) -> Iterable[tuple[tuple[bool, str], list[LineFastener]]]:
    order = sorted(fasteners, key=lambda f: (f.new, bag_order(f.bag)))
    return [(key, list(found)) for key, found in groupby(order, key=lambda f: (f.new, f.bag))]


def _before(page: Page, line: RefitLine) -> None:
    for i, words in enumerate(line.first):
        page.item("FIRST  " if i == 0 else "  then ", words, INDENT, tone=Tone.FIRST)
    lift = lifting_words(line)
    if lift:
        page.item("Lifting: ", lift, INDENT)


def _pieces(page: Page, line: RefitLine) -> None:
    for (new, bag), found in _by_place(line.fasteners):
        where = "New" if new else f"Bag {bag}" if bag else "In no bag"
        boxes = boxed((Sign.BOX, _piece(f)) for f in found)
        total = sum(f.count for f in found)
        page.item(f"{where}, {total} in all: ", boxes, INDENT)
    if line.box:
        page.item("Box ", line.box, INDENT)


def boxed(things: Iterable[tuple[Sign, str]]) -> Runs:
    """Things side by side, each with its box."""
    found: list[Run] = []
    for sign, words in things:
        found += ["   " if found else "", sign, f" {words}"]
    return tuple(found)


def _piece(piece: LineFastener) -> str:
    each = f" ({piece.each} each)" if piece.each else ""
    why = f" ({piece.why})" if piece.new and piece.why else ""
    missing = missing_words(piece)
    return f"{piece.count} {piece.kind}{each}{why}{f' {missing}' if missing else ''}"


def _values(page: Page, line: RefitLine) -> None:
    for made in line.connections:
        page.item((Sign.BOX, " "), made.sentence, INDENT)
    for setting in line.settings:
        page.item((Sign.BOX, " Set as found: "), setting_words(setting), INDENT)
    if line.tighten:
        page.item("- ", line.tighten, INDENT)
    for setting in line.settings:
        whose = f"{setting.member}: " if setting.member else ""
        again = (f"{whose}{setting.what}, read again ", Sign.BLANK)
        page.item((Sign.BOX, " Check it once all is tight: "), again, INDENT)
    if line.remake:
        if line.remake.text not in line.what:
            page.item("Made anew: ", line.remake.text, INDENT)
        if line.remake.wait:
            begun = (f"{_hours(line.remake.wait)} before what follows; begun at ", Sign.BLANK)
            page.item("Wait: ", begun, INDENT)


def _hours(minutes: int) -> str:
    from logbook.model.measures import hours_and_minutes

    hours, rest = divmod(minutes, 60)
    return f"{hours} h" if hours and not rest else hours_and_minutes(minutes)  # “25:00 h” would read as a time of day


def _members(page: Page, line: RefitLine, states: Mapping[str, LineState]) -> None:
    if not line.members:
        return
    boxes = boxed(
        (Sign.TICKED if ticked(line, key, states) else Sign.BOX, member)
        for member, key in zip(line.members, line.tick_keys, strict=True)
    )
    page.item("A handed pair, mirrored: " if line.mirrored else "Each: ", boxes, INDENT)
    for note in line.member_notes:
        unsaid = [bag for bag in note.bags if f"bag {bag}" not in note.text]
        bags = f" (bag {', '.join(unsaid)})" if unsaid else ""
        page.item(f"{note.member}: ", f"{note.text}{bags}", INDENT + 6)


def _hold(page: Page, line: RefitLine, at: HoldAt, states: Mapping[str, LineState], kept_back: str) -> None:
    """A hold point with what was read, or the places to write it: for each member of a set its own."""
    hold = at.hold
    before = f", before {kept_back}" if kept_back else ""
    limit = f" Limit: {hold.limit}" if hold.limit else ""
    what = f"{full_stop(hold.what)}{limit}" if limit else hold.what
    page.item(f"HOLD POINT {at.name}{before}: ", what, INDENT, tone=Tone.HOLD)
    if hold.competent:
        who = "Only by a competent person; local codes and licensed practice come first."
        page.say(who, INDENT + 2, tone=Tone.HOLD)
    of = f"{hold.reading_of}: " if hold.reading_of else ""
    for member, key in line.ticks:
        if not line.is_for(at, member):
            continue
        whose = f"{member}  " if member else ""
        state = states.get(key) or states.get(line.key)
        if state is not None and (state.reading or (state.done and state.initials)):
            read = f"{whose}reading {state.reading or '-'}   initials {state.initials or '-'}"
            page.say(read, INDENT + 2, tone=Tone.HOLD)
        else:
            to_write = (f"{whose}{of}reading ", Sign.LONG_BLANK, "   initials ", Sign.BLANK)
            page.say(to_write, INDENT + 2, tone=Tone.HOLD)


def _after(page: Page, line: RefitLine, ready: Readiness, states: Mapping[str, LineState]) -> None:
    for reason in () if ready.done else reasons_beside(line, ready.missing):
        page.item("COUNT DIFFERS: " if ready.in_reach else "NOT READY: ", reason, INDENT)
    for reason in ready.waits:
        page.item("WAITS: ", reason, INDENT)
    for reason in ready.holds:
        page.item("NOT READY: ", reason, INDENT, tone=Tone.HOLD)
    for key in dict.fromkeys((line.key, *line.tick_keys)):
        state = states.get(key)
        if state is None:
            continue
        name = "" if key == line.key else f"{key.rpartition('/')[2]}: "
        if state.done:
            page.say(f"{name}done {moment_words(state.at)} {state.initials}".rstrip(), INDENT)
        member = "" if key == line.key else key.rpartition("/")[2]
        if state.reading and line.hold_for(member) is None:
            page.item(f"{name}reading: ", state.reading, INDENT)
        if state.differs:
            page.item(f"{name}DIFFERS: ", state.differs, INDENT)
        if state.override:
            page.item(f"{name}DONE ANYWAY: ", state.override, INDENT)
    if not ready.done and line.kind not in (LineKind.AUDIT, LineKind.FIRST):
        page.say(("different from plan: ", Sign.REST), INDENT, tone=Tone.NOTE)
