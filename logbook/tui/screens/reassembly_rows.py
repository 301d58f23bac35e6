"""How the reassembly list reads on the screen: one entry of a few lines for each line of the list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import datetime

from logbook.model.clock import on_clock_of
from logbook.model.dangers import advice
from logbook.model.proofs import Standing
from logbook.model.step import Hazard, HoldPoint
from logbook.model.unit import LineState
from logbook.reassembly import Line, OpenDifference, Readiness, RefitList
from logbook.reassembly.following import lines_touched
from logbook.render.plain import clean, fitted, width, wrapped
from logbook.render.reassembly_line import pieces_words, setting_words, ticked
from logbook.tui.refit_view import View
from logbook.tui.widgets.rows import Row

INDENT = 9
"""Columns before what belongs to a line; the box and the number stand in them."""
MOST_HAZARDS = 3
"""So many hazards stand with what to do; of further ones the list says what they are."""
ROWS_OF_A_HAZARD = 3
"""So many rows a hazard takes in the list; half a sentence of what to do can say the opposite, so none is cut."""
MOST_MISSING = 2
"""So many reasons why a line is not ready stand in the list; all of them are one key away."""
MOST_WORDS = 9
"""So many rows of what to do stand at the line under the cursor; at the others it is begun in one."""


class DrawnList:
    """The whole list as rows, of which only those are made anew that have changed since it was last drawn."""

    def __init__(self) -> None:
        self._view: View | None = None
        self._columns = 0
        self._rows: dict[str, Row] = {}

    def rows(self, view: View, order: Sequence[str] | None, columns: int, whole: str = "") -> list[Row]:
        """What to know first, the lines, what was left out.

        Args:
            view: the list as it stands.
            order: keys of lines in the order in which they are to stand, as far as it goes; None: as they come.
            columns: width of the screen.
            whole: key of the line whose words stand there whole: the one under the cursor.
        """
        listed = view.listed
        rows = _notices(listed, view.progress.differences, columns)
        names, inside = {x.code: x.name for x in listed.inside}, ""
        drawn = self._drawn(view, columns)
        for line in _in_order(listed, order):
            if line.inside != inside and order is None:
                inside = line.inside
                words = (
                    f"inside {names.get(inside, inside)}, before it goes back as one" if inside else "the unit itself"
                )
                rows.append(Row(f"head {line.key}", (clean(words, limit=200),), "head", selectable=False))
            rows.append(self._whole(view, line, columns) if line.key == whole else drawn[line.key])
        if listed.left_out:
            rows.append(Row("head left out", ("Left out, and why",), "head", selectable=False))
        outs = (
            Row(f"out {out.step}", tuple(_hung(f"{out.step}  ", out.why, columns)), "done") for out in listed.left_out
        )
        return [*rows, *outs]

    @staticmethod
    def _whole(view: View, line: Line, columns: int) -> Row:
        ready, look_again = view.ready[line.key], line.key in view.changed
        stands = Standing(view.unit, view.progress.now)
        return line_row(
            line,
            ready,
            view.states,
            look_again=look_again,
            columns=columns,
            most_words=MOST_WORDS,
            stands=stands,
            now=view.progress.now,
        )

    def _drawn(self, view: View, columns: int) -> dict[str, Row]:
        """The row of each line, by its key."""
        before, listed = self._view, view.listed
        now = view.progress.now
        then = before.progress.now if before is not None else None
        # A proof holds for its day, and hours are those of the shop's zone.
        same_day = then is not None and (then.date(), then.tzinfo) == (now.date(), now.tzinfo)
        if before is None or not same_day or before.listed is not listed or self._columns != columns:
            drawn, again = dict[str, Row](), set(listed.by_key)
        else:
            drawn, again = dict(self._rows), _read_otherwise(before, view)
        stands = Standing(view.unit, view.progress.now)
        for key in again:
            line, look_again = listed.by_key[key], key in view.changed
            drawn[key] = line_row(
                line,
                view.ready[key],
                view.states,
                look_again=look_again,
                columns=columns,
                stands=stands,
                now=view.progress.now,
            )
        self._view, self._columns, self._rows = view, columns, drawn
        return drawn


def _read_otherwise(a: View, b: View) -> set[str]:
    """Keys of the lines of one list that read otherwise in one view than in the other."""
    of_others = {key for key, ready in b.ready.items() if a.ready[key] is not ready}
    return of_others | (a.changed ^ b.changed) | lines_touched(a.progress, b.progress)


def _in_order(listed: RefitList, order: Sequence[str] | None) -> Iterable[Line]:
    if order is None:
        return listed.lines
    known = listed.by_key
    first = [known[key] for key in order if key in known]
    placed = {line.key for line in first}
    return (*first, *(line for line in listed.lines if line.key not in placed))


def know_first(view: View) -> str:
    """What stands above the lines to be read before the start, counted; empty when there is nothing."""
    settled = {s.code for s in view.unit.steps if s.guess_settled}
    open_guesses = [n for n in view.listed.guesses if n.step not in settled]
    counted = (
        (len(open_guesses), "guess", "guesses"),
        (len(view.listed.as_found_wrong), "as found wrong", "as found wrong"),
        (len(view.progress.differences), "open count", "open counts"),
    )
    said = [f"{n} {one if n == 1 else more}" for n, one, more in counted if n]
    return f" Read first, above (Home): {', '.join(said)}." if said else ""


def _notices(listed: RefitList, differences: Iterable[OpenDifference], columns: int) -> list[Row]:
    kinds = (
        ("GUESS", listed.guesses),
        ("AS FOUND WRONG", listed.as_found_wrong),
        ("NO LONGER THERE", listed.gone),
    )
    rows = [Row(f"know set {i}", tuple(_hung("", words, columns, most=2)), "") for i, words in enumerate(listed.sets)]
    rows += [
        Row(f"know {word} {n.step}", tuple(_hung(f"{word} {n.step}  ", n.sentence, columns, most=2)), "warning")
        for word, notices in kinds
        for n in notices
    ]
    rows += [
        Row(
            f"know count {d.bag} {d.kind} {d.steps}",
            tuple(_hung("COUNT OPEN  ", d.sentence, columns, most=2)),
            "warning",
        )
        for d in differences
    ]
    if not rows:
        return []
    return [
        Row("head know", ("Know before starting",), "head", selectable=False),
        *rows,
        Row("head lines", ("Lines",), "head", selectable=False),
    ]


def _hung(mark: str, words: str, columns: int, *, most: int = 20) -> list[str]:
    """A sentence after a mark, its later lines under the first word; what goes beyond `most` lines is cut with `…`."""
    lead = f"  {clean(mark, limit=60)}"
    room = max(12, columns - width(lead) - 2)
    lines = wrapped(clean(words, limit=3000), room)
    if len(lines) > most:
        lines = [*lines[: most - 1], fitted(" ".join(lines[most - 1 :]), room).rstrip()]
    return [lead + lines[0], *(" " * width(lead) + line for line in lines[1:])]


def line_row(
    line: Line,
    ready: Readiness,
    states: Mapping[str, LineState],
    *,
    now: datetime,
    look_again: bool = False,
    columns: int = 80,
    most_words: int = 1,
    stands: Callable[[Hazard], str] = lambda _: "",
) -> Row:
    """One line of the list. Its hazards stand above it, because a warning comes before the step.

    Times are read by the clock of `now`.
    """
    above = [] if ready.done else list(_hazards(line, columns, stands))
    main = _main(line, ready, states, columns, now)
    below = list(_below(line, ready, states, look_again=look_again, columns=columns, most_words=most_words))
    return Row(line.key, (*above, main, *below), _tone(line, ready, states, look_again=look_again), main=len(above))


def _hazards(line: Line, columns: int, stands: Callable[[Hazard], str]) -> Iterable[str]:
    """What can hurt, how it stands, and what to do before as far as whole sentences go; the rest is one key away."""
    rows: list[str] = []
    whole = True
    for hazard in line.hazards[:MOST_HAZARDS]:
        begun, all_said = _hazard(hazard, columns, stands(hazard))
        rows += begun
        whole = whole and all_said
    more = "; ".join(f"{h.signal} {h.what}" for h in line.hazards[MOST_HAZARDS:])
    if more:
        rows += _hung("     and ", more, columns)
    how = "D: prove it safe." if whole and not more else "Enter: each in full, before you begin. D: prove it safe."
    return [*rows, *_hung("     ", how, columns)] if rows else rows


def _hazard(hazard: Hazard, columns: int, standing: str) -> tuple[list[str], bool]:
    """One danger in few rows, and whether all that is to be done before stands there."""
    said = f"{hazard.what}: {standing}." if standing else f"{hazard.what}."
    mark = f"     {hazard.signal}  "
    rows = _hung(mark, said, columns)
    most = max(len(rows), ROWS_OF_A_HAZARD)
    for sentence in advice(hazard):
        said = f"{said} {sentence}"
        longer = _hung(mark, said, columns)
        if len(longer) > most:
            return rows, False
        rows = longer
    return rows, True


def box(line: Line, ready: Readiness) -> str:
    """The sign of a line: done, hold point, not ready, or to be done."""
    if ready.done:
        return "[x]"
    if line.holds:
        return "(H)"
    return "[ ]" if ready.in_reach else "[-]"


def _tone(line: Line, ready: Readiness, states: Mapping[str, LineState], *, look_again: bool) -> str:
    if look_again or any(states[k].differs for k in (line.key, *line.tick_keys) if k in states):
        return "warning"
    return "done" if ready.done else ""


def _main(line: Line, ready: Readiness, states: Mapping[str, LineState], columns: int, now: datetime) -> str:
    right = "  ".join(x for x in (_facts(line), _when(line, ready, states, now)) if x)
    left = f" {box(line, ready)} {line.number:<4} {clean(line.title, limit=300)}"
    room = columns - 2
    right = fitted(right, min(width(right), room // 2)) if right else ""
    return fitted(left, room - width(right) - 2) + "  " + right if right else fitted(left, room)


def _facts(line: Line) -> str:
    weight = f"{line.weight_kg.normalize():f} kg" if line.weight_kg is not None else ""
    return clean(", ".join(x for x in (weight, pieces_words(line)) if x), limit=200)


def _when(line: Line, ready: Readiness, states: Mapping[str, LineState], now: datetime) -> str:
    """When it was ticked, by the clock of `now`, and by whom, when it was."""
    if not ready.done:
        return ""
    done = [s for k in (line.key, *line.tick_keys) if (s := states.get(k)) is not None and s.done and s.at is not None]
    if not done:
        return ""
    last = max(done, key=lambda s: s.at.timestamp() if s.at else 0)
    return clean(f"{on_clock_of(last.at, now):%d %b} {last.initials}".rstrip() if last.at else "", limit=60)


def _below(
    line: Line,
    ready: Readiness,
    states: Mapping[str, LineState],
    *,
    look_again: bool,
    columns: int,
    most_words: int,
) -> Iterable[str]:
    pad = " " * (INDENT - 2)
    if look_again:
        yield from _hung(f"{pad}LOOK AGAIN: ", "the step was changed after this was ticked", columns)
    if not ready.done:
        for words in line.first:
            yield from _hung(f"{pad}FIRST: ", words, columns)
        if line.what:
            yield from _hung(pad, " ".join(line.what), columns, most=most_words)
        for setting in line.settings:
            yield from _hung(f"{pad}SET, then check: ", setting_words(setting), columns, most=2)
    if line.members:
        boxes = (
            f"[{'x' if ticked(line, k, states) else ' '}] {m}"
            for m, k in zip(line.members, line.tick_keys, strict=True)
        )
        yield from _hung(pad + ("pair: " if line.mirrored else ""), clean("   ".join(boxes), limit=600), columns)
    for hold in line.holds:
        yield from _hold(line, hold, states, pad, columns)
    yield from _remarks(line, ready, states, pad, columns)


def _hold(line: Line, hold: HoldPoint, states: Mapping[str, LineState], pad: str, columns: int) -> Iterable[str]:
    """A hold point with what was read and by whom, a row for each member of a set."""
    yield from _hung(f"{pad}HOLD {hold.code}: ", hold.what, columns, most=2)
    for member, key in zip(line.members or ("",), line.tick_keys, strict=True):
        state = states.get(key) or states.get(line.key)
        reading = (state.reading if state is not None else "") or "____"
        initials = (state.initials if state is not None else "") or "__"
        words = f"reading {reading}   initials {initials}" if hold.reading_of else f"initials {initials}"
        whose = f"{member}: " if member else ""
        by = ", by a competent person" if hold.competent else ""
        yield fitted(f"  {pad}{clean(f'{whose}{words}', limit=300)}{by}", columns - 2)


def _remarks(line: Line, ready: Readiness, states: Mapping[str, LineState], pad: str, columns: int) -> Iterable[str]:
    missing = () if ready.done else ready.missing
    word = "still to do: " if ready.in_reach else "not ready: "
    for reason in missing[:MOST_MISSING]:
        yield from _hung(f"{pad}{word}", reason, columns, most=2)
    for reason in ready.holds:
        yield from _hung(f"{pad}not ready: ", reason, columns, most=2)
    if len(missing) > MOST_MISSING:
        yield f"  {pad}{word}and {len(missing) - MOST_MISSING} more (w)"
    for key in dict.fromkeys((line.key, *line.tick_keys)):
        state = states.get(key)
        name = "" if key == line.key else f"{key.rpartition('/')[2]} "
        if state is not None and state.differs:
            yield from _hung(f"{pad}{name}DIFFERS: ", state.differs, columns, most=3)
        if state is not None and state.override:
            yield from _hung(f"{pad}{name}done anyway: ", state.override, columns, most=2)
