"""What was done, as edits of the record: ticks, readings, what differs, and counted bags.

Every function takes a unit and gives a new one, or raises InputError with a sentence and changes nothing.
`key` is the key of a line (`T13`), of one member (`C04/D2`), or of a whole set (`C04`: every member).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import NamedTuple

from logbook.errors import InputError
from logbook.model.edits import with_changes
from logbook.model.member_answers import CheckAnswer, answer_in, answers_of_members
from logbook.model.proofs import not_safe
from logbook.model.same_words import same_words
from logbook.model.step import Hazard, HoldPoint
from logbook.model.unit import BagCount, LineState, Unit
from logbook.reassembly.counting import Sets
from logbook.reassembly.ledger import bag_called, bag_contents
from logbook.reassembly.list_record import RefitList
from logbook.reassembly.mark import changed_since, mark_of, reads_as_seen
from logbook.reassembly.readiness import Progress
from logbook.reassembly.refit_list import refit_list
from logbook.reassembly.refit_records import RefitLine
from logbook.reassembly.wording import listed

_MOST_COUNTED = 1_000_000
_RANGE = re.compile(r"\s*A?\s*(\d{1,6}a?)\s*(?:[-–—]\s*A?\s*(\d{1,6}a?)\s*)?", re.IGNORECASE)


def tick(
    unit: Unit,
    key: str,
    *,
    at: datetime,
    initials: str = "",
    reading: str = "",
    override: str = "",
    lst: RefitList | None = None,
    over: Progress | None = None,
) -> Unit:
    """Tick a line, all members of a set, or one of them.

    A line ticked before is confirmed: what is given now is written, the moment stays unless it says
    something else since.

    Args:
        unit: the unit.
        key: the line.
        at: when it was done, by the clock of the shop, so that a danger must have been proved safe on that day; a wait
            after it runs from here.
        initials: whose tick it is; a hold point wants them.
        reading: what was read; a hold point that asks for a reading wants it, here or written before.
        override: why it is ticked although something it needs is not ready, or a danger is not proved safe.
        lst: the list of this unit, when it is at hand already.
        over: the progress of this unit, when it is at hand already; then its list is taken.

    Raises:
        InputError: no such line; a hold point without its reading or initials; not ready, or a danger not proved
            safe, and no reason given; one reading for several members at a hold point.
    """
    lst = over.list if over is not None else refit_list(unit) if lst is None else lst
    line = _line(lst, key)
    if key == line.key and readings_of_members(unit, line, key, reading.strip()):
        unit, over, reading = write_reading(unit, key, reading, initials, at, lst=lst), None, ""
    reading, initials = read_by(reading.strip(), initials.strip())
    _refuse_one_for_all(line, key, reading)
    progress = Progress(unit, lst, _zoned(at), before=over)
    if not override.strip() and not progress.is_done(line):
        _refuse_not_ready(progress, line, _keys(line, key), not_safe(unit, line.hazards, at))
    _tick(progress, line, _keys(line, key), _Entry(at, initials, reading, override.strip()))
    return _with_states(unit, progress.states)


def read_by(reading: str, initials: str) -> tuple[str, str]:
    """What was read, and by whom: initials that stand behind a reading, `0.3 ohm by AB`, are those of the reader."""
    said = answer_in(reading)
    if said.reading and said.initials:
        return said.reading, said.initials
    return reading, initials


def untick(unit: Unit, key: str, *, lst: RefitList | None = None) -> Unit:
    """Take a tick back, of a line, of all members or of one. A reading with its initials and what differs stay.

    Raises:
        InputError: it is not ticked.
    """
    states = {x.line: x for x in unit.refit.lines}
    whole = states.get(key.rpartition("/")[0])
    if whole is not None and whole.done:
        # A tick of the whole set counts for each member; taking one back leaves the others ticked.
        line = _line(refit_list(unit) if lst is None else lst, key)
        alone = (k for k in line.tick_keys if k not in states or not states[k].done)
        states |= {k: with_changes(whole, line=k) for k in alone}
        states[line.key] = LineState(line=line.key)
    back = [k for k, s in states.items() if s.done and (k == key or k.startswith(f"{key}/"))]
    if not back:
        raise InputError(f"{key} is not ticked.")
    for k in back:
        s = states[k]
        kept = LineState(line=k, reading=s.reading, differs=s.differs)
        states[k] = with_changes(kept, at=s.at, initials=s.initials) if s.reading else kept
    return _with_states(unit, states)


def write_reading(
    unit: Unit, key: str, reading: str, initials: str, at: datetime, *, lst: RefitList | None = None
) -> Unit:
    """Write what was read at a line and who read it; the line is not ticked by it.

    A reading that names members of the set is written at each: `left 0.3, right 0.4`. So is one that has a reading
    for each of them, in their order; initials behind one, `0.3 by AB`, are of whoever read it there.

    Raises:
        InputError: no such line; nothing read and no initials; initials are missing at a hold point; one reading
            for several members at a hold point.
    """
    line = _line(refit_list(unit) if lst is None else lst, key)
    reading, initials = read_by(reading.strip(), initials.strip())
    each = readings_of_members(unit, line, key, reading)
    if each:
        for one in each:
            unit = write_reading(unit, f"{line.key}/{one.member}", one.reading, one.initials or initials, at, lst=lst)
        return unit
    _refuse_one_for_all(line, key, reading)
    if not reading and not initials:
        raise InputError(f"Nothing to write at {key}: type what was read, and initials.")
    states = {x.line: x for x in unit.refit.lines}
    for k in _keys(line, key):
        hold = _hold_at(line, k)
        if hold is not None and not initials:
            raise InputError(f"{line.number} is hold point {hold.code}: a reading there needs initials.")
        state = states.get(k, LineState(line=k))
        states[k] = with_changes(
            state,
            reading=reading or state.reading,
            initials=initials or state.initials,
            at=state.at if state.done else _zoned(at),
        )
    return _with_states(unit, states)


def differs(unit: Unit, key: str, text: str, *, lst: RefitList | None = None) -> Unit:
    """Write what is different from plan at a line; empty text takes it back.

    Raises:
        InputError: no such line.
    """
    line = _line(refit_list(unit) if lst is None else lst, key)
    where = key if key in line.tick_keys else line.key
    states = {x.line: x for x in unit.refit.lines}
    states[where] = with_changes(states.get(where, LineState(line=where)), differs=text.strip())
    return _with_states(unit, states)


def count_bag(unit: Unit, bag: str, kind: str, counted: int, explained: str = "", *, at: datetime) -> Unit:
    """Write down how many of a kind were counted in a bag; a count that differs is open until explained.

    Raises:
        InputError: the record has no such bag, or no such kind in it, or the count is no number of things.
    """
    contents = bag_called(bag_contents(Sets(unit)), bag) if bag else None
    if contents is None:
        raise InputError(f"{unit.code} has no bag {bag} with anything to be used again.")
    bag = contents.bag
    if kind not in contents.kinds:
        raise InputError(f"By the record bag {bag} holds no {kind}; it holds {listed(list(contents.kinds))}.")
    if not 0 <= counted <= _MOST_COUNTED:
        raise InputError(f"{counted} is not a number of things that can lie in a bag.")
    count = BagCount(
        bag=bag, kind=kind, recorded=contents.kinds[kind], counted=counted, explained=explained.strip(), at=_zoned(at)
    )
    same = [(same_words(c.bag), c.kind) == (same_words(bag), kind) for c in unit.refit.counts]
    counts = tuple(count if s else c for c, s in zip(unit.refit.counts, same, strict=True))
    counts = counts if any(same) else (*counts, count)
    return unit.model_copy(update={"refit": unit.refit.model_copy(update={"counts": counts})})


def tick_range(
    unit: Unit,
    text: str,
    at: datetime,
    initials: str,
    override: str = "",
    *,
    lst: RefitList | None = None,
    over: Progress | None = None,
) -> Unit:
    """Tick the lines that were ticked on paper: `A02-A09`, `A02, A05-A07`. Lines ticked before are passed over.

    They are ticked in the order of the list, all or none. A wait between two of them is taken to be over,
    because the paper holds no times. That dangers were proved safe is signed on the paper, beside each.

    Raises:
        InputError: not a range of lines; a hold point without its reading; not ready and no reason given.
    """
    lst = over.list if over is not None else refit_list(unit) if lst is None else lst
    progress = Progress(unit, lst, _zoned(at), on_paper=True, before=over)
    entry = _Entry(at, initials.strip(), "", override.strip())
    for line in lines_in_range(lst, text):
        if not progress.is_done(line):
            _tick(progress, line, line.tick_keys, entry)
    return _with_states(unit, progress.states)


def lines_to_look_at_again(progress: Progress) -> frozenset[str]:
    """Keys of the ticked lines that say something else now than when they were ticked."""
    return frozenset(line.key for line in progress.list.lines if is_to_look_at_again(progress, line))


def is_to_look_at_again(progress: Progress, line: RefitLine) -> bool:
    """Whether a line was ticked and says something else now: what one takes, does, tightens or checks there.

    Every place that shows a tick asks this.
    """
    return bool(_marks_changed(progress, line))


def changed_words(progress: Progress, line: RefitLine) -> str:
    """Of what a line says something else since it was ticked: “changed since it was ticked: the pieces”.

    Empty when it is not to be looked at again. A tick of an older book does not know what it was.
    """
    marks = _marks_changed(progress, line)
    if not marks:
        return ""
    topics = list(dict.fromkeys(topic for mark in marks for topic in changed_since(line, mark)))
    return f"changed since it was ticked: {listed(topics)}" if topics else "it says something else since it was ticked"


def _marks_changed(progress: Progress, line: RefitLine) -> list[str]:
    """The marks that ticks of a line have seen and that it does not say any more, in the order of its members."""
    ticked = (progress.states.get(key) for key in (line.key, *line.tick_keys))
    seen = (state.step_seen for state in ticked if state is not None and state.done and state.step_seen)
    return [mark for mark in dict.fromkeys(seen) if not reads_as_seen(progress.index, line, mark)]


class _Entry(NamedTuple):
    """What is written with a tick."""

    at: datetime
    initials: str
    reading: str
    override: str


def _zoned(at: datetime) -> datetime:
    if at.tzinfo is None:
        raise InputError("A time needs its zone, so that it can be put in order with others.")
    return at


def _line(lst: RefitList, key: str) -> RefitLine:
    line = lst.by_tick.get(key)
    if line is None:
        out = next((x for x in lst.left_out if x.step == key), None)
        why = f": {out.why}" if out is not None else ""
        raise InputError(f"{key} is no line of the reassembly list{why}.")
    return line


def _keys(line: RefitLine, key: str) -> tuple[str, ...]:
    return line.tick_keys if key == line.key else (key,)


def _tick(progress: Progress, line: RefitLine, keys: Iterable[str], entry: _Entry) -> None:
    """Put the ticks of one line into `progress`, or refuse all of them."""
    if not (entry.override or progress.is_done(line)):
        _refuse_not_ready(progress, line, keys)
    mark = mark_of(progress.index, line)
    ticked = {}
    for key in keys:
        state = progress.states.get(key, LineState(line=key))
        again = state.done and reads_as_seen(progress.index, line, state.step_seen)
        ticked[key] = with_changes(
            state,
            done=True,
            at=state.at if again else entry.at,
            initials=entry.initials or state.initials,
            reading=entry.reading or state.reading,
            step_seen=mark,
            override=entry.override or (state.override if again else ""),
        )
        _refuse_open_hold(line, ticked[key])
    progress.put(ticked)


def readings_of_members(unit: Unit, line: RefitLine, key: str, reading: str) -> tuple[CheckAnswer, ...]:
    """The reading of each member that a text names, or that it has one for; nothing when it is of one alone."""
    if len(line.members) < 2 or not reading:
        return ()
    of = next((s for code in line.steps if (step := unit.step(code)) and (s := unit.set_of(step))), None)
    waiting = [m for m in line.members if line.hold_for(m) is not None] if key == line.key else []
    answers = answers_of_members(reading, of, waiting)
    strange = [answer.member for answer in answers if answer.member not in line.members]
    if strange:
        raise InputError(f"{line.number} has no line for {listed(strange)}; it is for {listed(line.members)}.")
    silent = [answer.member for answer in answers if not answer.reading]
    if silent:
        raise InputError(f"{line.number}: what was read at {listed(silent)}? Each has its own: left 0.3, right 0.4.")
    return answers


def _refuse_one_for_all(line: RefitLine, key: str, reading: str) -> None:
    """One reading is no reading of both of a pair: at a hold point each member has its own."""
    if line.hold is not None and reading and key == line.key and len(line.members) > 1:
        members = [member for member in line.members if line.hold_for(member) is not None]
        each = listed([f"{line.key}/{member}" for member in members])
        together = ", ".join(f"{member} …" for member in members)
        what = "the reading of each" if len(members) > 1 else "its reading"
        raise InputError(
            f"{line.number} is hold point {line.hold.code} for {listed(members)}: write {what}, at {each}"
            + (f", or together: {together}." if members[1:] else ".")
        )


def _hold_at(line: RefitLine, key: str) -> HoldPoint | None:
    """The hold point that is to be read where a tick of the line is made."""
    return line.hold_for(key.rpartition("/")[2] if line.members and key != line.key else "")


def _refuse_open_hold(line: RefitLine, state: LineState) -> None:
    hold = _hold_at(line, state.line)
    if hold is None:
        return
    lacks = hold.lacks(state.reading, state.initials)
    if "reading" in lacks:
        raise InputError(
            f"{line.number} is hold point {hold.code} ({hold.what}): write the reading of {hold.reading_of} first."
        )
    if lacks:
        raise InputError(f"{line.number} is hold point {hold.code} ({hold.what}): it needs initials.")


def _refuse_not_ready(progress: Progress, line: RefitLine, keys: Iterable[str], dangers: Iterable[Hazard] = ()) -> None:
    if progress.members_free(line):
        waits = progress.waits_at(line, keys)
    else:
        before = (*progress.lines_before(line), *progress.lump_waits(line))
        needs = [need.sentence for need in progress.own_needs(line)]
        needs = needs or list(progress.joints_setting(line, keys))
        holds = [progress.open_holds[key] for key in progress.behind.get(line.key, ())]
        waits = (*needs, *before, *(said for said in holds if said not in before))
    unsafe = [f"{hazard.what} is not proved safe." for hazard in dangers]
    what = f"{line.number} {line.title}"
    if waits:
        said = " ".join((*waits, *unsafe))
        raise InputError(f"{what} is not ready: {said} Do that first, or say why it is done anyway.")
    if unsafe:
        raise InputError(f"{what}: {' '.join(unsafe)} Prove it first, or say why it is done without.")


def _with_states(unit: Unit, states: Mapping[str, LineState]) -> Unit:
    """The unit with these states of its lines; one that says nothing is dropped."""
    as_before = set(map(id, unit.refit.lines))
    kept = tuple(x for x in states.values() if id(x) in as_before or x != LineState(line=x.line))
    return unit.model_copy(update={"refit": unit.refit.model_copy(update={"lines": kept})})


def lines_in_range(lst: RefitList, text: str) -> tuple[RefitLine, ...]:
    """The lines of a typed range such as `A02-A09, A11`, in the order of the list.

    Raises:
        InputError: it is no range, or not all of it is on the list.
    """
    places = {_without_noughts(line.number): i for i, line in enumerate(lst.lines)}
    wanted: set[int] = set()
    for piece in re.split(r"[,;]", text):
        match = _RANGE.fullmatch(piece)
        if match is None:
            raise InputError(f"“{piece.strip()[:40]}” is not a range of lines. Type it like A02-A09 or A02, A05-A07.")
        first, last = (places.get(_without_noughts(number)) for number in (match[1], match[2] or match[1]))
        if first is None or last is None:
            ends = f"A01 to {lst.lines[-1].number}" if lst.lines else "nothing yet"
            raise InputError(f"“{piece.strip()}” is not all on the list; it has {ends}.")
        if last < first:
            raise InputError(f"“{piece.strip()}” runs backwards. Type it like A02-A09.")
        wanted.update(range(first, last + 1))
    return tuple(lst.lines[i] for i in sorted(wanted))


def _without_noughts(number: str) -> str:
    """The number of a line as it is compared: `A07a` and `7A` are `7a`."""
    return number.casefold().lstrip("a").lstrip("0")
