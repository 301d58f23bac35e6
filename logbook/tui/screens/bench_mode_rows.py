"""Bench mode as lines: the dangers before the step, and beside it kinds used before, last steps, what the desk wants.

What to do about a danger stands in whole sentences or not at all: half of one can say the opposite. Names that
have no room are counted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from logbook.model.dangers import sentences
from logbook.model.holds import open_holds
from logbook.model.proofs import NOT_PROVED
from logbook.model.step import Step
from logbook.model.unit import Unit
from logbook.model.words import SignalWord
from logbook.render.plain import clean, fitted, width
from logbook.teardown.beside_the_step import ActiveHazard, how_in_words, same_kinds
from logbook.teardown.complete import to_complete
from logbook.teardown.hold_answers import hold_is_open
from logbook.teardown.step_keeping import planned_next
from logbook.tui.look.inks import BLANK, Line, Span, apart, fit, flow, hanging, line, signal, width_of
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.step_words import place_in_words

SERIOUS = frozenset({SignalWord.DANGER, SignalWord.WARNING})
IN_FULL: Line = (Span("F7", "bold accent"), Span(" in full"))
"""The key that shows every danger with what to do and what proves it safe."""
ROWS_OF_A_HOLD = 3
ROWS_OF_NAMES = 2
"""Rows that the names of dangers take, unless that hides how one of them was read; narrow ones are one more."""
NARROW = 76
MOST_AT_THE_DESK = 2
"""Of what the desk still wants so many are said, the others counted."""
NAME_COLUMNS = 30
"""Words that are no longer stand in one row."""
PROVE_AGAIN = "prove again"
HOW_COLUMNS = 14
FIXED = "\u00a0"
"""A blank at which no row ends."""


# Before the step


def hold_rows(unit: Unit, columns: int, *, but: str = "") -> list[Line]:
    """The open hold point of the teardown; of several the first, with the number of the others.

    Args:
        unit: the record.
        columns: width of a row.
        but: the step that is put right, whose own hold point stands in its line.
    """
    waiting = open_holds(unit, but)
    if not waiting:
        return []
    number = sum(len(step.open_holds) for step in waiting)
    more = f" (and {number - 1} more)" if number > 1 else ""
    words = clean(hold_is_open(waiting[0]), limit=400).removeprefix("HOLD ")
    rows = hanging(line(signal("HOLD", "hold"), " "), f"{words}{more}", columns)
    if len(rows) <= ROWS_OF_A_HOLD:
        return rows
    return [*rows[: ROWS_OF_A_HOLD - 1], fit(line(rows[ROWS_OF_A_HOLD - 1], f"…{more}"), columns)]


def danger_rows(active: Sequence[ActiveHazard], own: str, columns: int, most: int) -> list[Line]:
    """Dangers in force: those of the step itself with what to do, the others by name, and what was proved today.

    Args:
        active: the dangers, the worst first.
        own: the source of those that are the step's own; each has its first sentence, where it has room.
        columns: width of a row.
        most: so many rows at most; at least one.
    """
    opened = [danger for danger in active if not danger.safe]
    mine = [danger for danger in opened if danger.source == own]
    proved = [danger for danger in active if danger.safe]
    others = [danger for danger in opened if danger not in mine]
    kept_back = bool(others) + bool(proved)
    said, unsaid = _own_rows(mine, columns, most - kept_back)
    named = [*unsaid, *others]
    room = most - len(said) - bool(proved)
    rows = _named_rows(named, columns, max(1, min(room, _rows_of_names(columns) + _live(named)))) if named else []
    if said and not named:
        rows, said = [], [apart(said[0], IN_FULL, columns), *said[1:]] if _has_room(said[0], columns) else said
    rows = [*said, *rows]
    return [*rows, *_proved_rows(proved, columns, max(1, most - len(rows)))] if proved else rows


def _has_room(row: Line, columns: int) -> bool:
    return width_of(row) + 2 + width_of(IN_FULL) <= columns


def _rows_of_names(columns: int) -> int:
    return ROWS_OF_NAMES + (columns < NARROW)


def _live(named: Sequence[ActiveHazard]) -> int:
    """How many were read and are live: what was read is said of each."""
    return sum(danger.proof is not None and danger.proof.live for danger in named)


def _own_rows(mine: Sequence[ActiveHazard], columns: int, most: int) -> tuple[list[Line], list[ActiveHazard]]:
    """Each with its first sentence as far as there are rows, and those for which there are none."""
    rows: list[Line] = []
    for number, danger in enumerate(mine):
        more = _with_sentence(danger, columns)
        later = number < len(mine) - 1  # then a row for their names is kept back
        if len(rows) + len(more) > most - later:
            return rows, list(mine[number:])
        rows += more
    return rows, []


def _with_sentence(danger: ActiveHazard, columns: int) -> list[Line]:
    standing = f": {danger.standing}." if danger.standing else "."
    head = line(_word(danger), " ")
    do = next(iter(sentences(clean(danger.hazard.do, limit=2000))), "")
    said = (
        Span(clean(danger.hazard.what, limit=300), f"bold {_ink(danger)}"),
        Span(standing, "muted"),
        Span(f" {do}" if do else ""),
    )
    return _hung(head, said, columns)


def _hung(head: Line, said: Sequence[Span], columns: int) -> list[Line]:
    """Words of several inks beside their head, later rows below their own beginning."""
    lead = width_of(head)
    first, *rest = flow(said, columns - lead) or [BLANK]
    return [line(head, first), *(line(" " * lead, row) for row in rest)]


def _word(danger: ActiveHazard) -> Line:
    return signal(str(danger.hazard.signal), _ink(danger))


def _ink(danger: ActiveHazard) -> str:
    return SIGNAL_INKS[danger.hazard.signal]


def _named_rows(named: Sequence[ActiveHazard], columns: int, most: int) -> list[Line]:
    """As many names as have room, how many more there are, and at their end the key that shows all in full."""
    serious = sorted((danger for danger in named if danger.hazard.signal in SERIOUS), key=_worst_first)
    light = [danger for danger in named if danger not in serious]
    shown = serious or light
    counted = light if serious else []
    room = columns - width_of(IN_FULL) - 2
    rows: list[Line] = []
    for count in range(len(shown), -1, -1):
        said = (*_groups(shown[:count]), *_left(shown, count), *_counted(counted))
        rows = [_with_blanks(row) for row in flow(said, room)]
        if len(rows) <= most:
            break
    *before, last = rows[:most]
    return [*before, apart(last, IN_FULL, columns)]


def _groups(shown: Sequence[ActiveHazard]) -> Iterator[Span]:
    """A signal word, the names it stands for, and how these stand."""
    for (word, standing), dangers in groupby(shown, key=lambda danger: (danger.hazard.signal, _stands(danger))):
        names = " · ".join(_name(danger) for danger in dangers)
        yield from _block_of(word)
        yield Span(f"{FIXED}{names}{FIXED}", SIGNAL_INKS[word])
        ink = "muted" if standing in ("", NOT_PROVED, PROVE_AGAIN) else "bold bad"
        yield Span(f" {_unbroken(standing)}{FIXED} " if standing else " ", ink)


def _name(danger: ActiveHazard) -> str:
    """A name that no row ends inside, unless it is a long one."""
    return _unbroken(clean(danger.hazard.what, limit=300))


def _unbroken(words: str) -> str:
    return words.replace(" ", FIXED) if width(words) <= NAME_COLUMNS else words


def _worst_first(danger: ActiveHazard) -> tuple[int, int]:
    """By signal word; within it what was read as live, then what nobody proved, then what was proved another day."""
    proof = danger.proof
    state = 1 if proof is None else 0 if proof.live else 2
    return danger.hazard.signal.rank, state


def _stands(danger: ActiveHazard) -> str:
    """How a danger stands, in a row of names: one that was proved on another day is to be proved again."""
    proof = danger.proof
    return danger.standing if proof is None or proof.live else PROVE_AGAIN


def _left(shown: Sequence[ActiveHazard], count: int) -> Iterator[Span]:
    """How many names are left out; all of them, with their signal word."""
    left = len(shown) - count
    if not count:
        yield from _block_of(shown[0].hazard.signal)
        yield Span(f"{FIXED}{left}{FIXED}", "bold")
        yield Span(f" {NOT_PROVED}{FIXED} " if shown[0].standing else " ", "muted")
    elif left:
        yield Span(f"+{left}{FIXED} ", "bold")


def _counted(dangers: Sequence[ActiveHazard]) -> Iterator[Span]:
    """`CAUTION 4`: what is only to be minded beside something worse is counted."""
    for word in (SignalWord.CAUTION, SignalWord.NOTICE):
        number = sum(danger.hazard.signal is word for danger in dangers)
        if number:
            yield from _block_of(word)
            yield Span(f"{FIXED}{number}{FIXED} ", "bold wait")


def _block_of(word: SignalWord) -> Iterator[Span]:
    """A signal word that no row ends inside, nor between it and what follows."""
    yield from (Span(span.text.replace(" ", FIXED), span.ink) for span in signal(str(word), SIGNAL_INKS[word]))


def _with_blanks(row: Line) -> Line:
    return tuple(Span(span.text.replace(FIXED, " "), span.ink) for span in row)


def _proved_rows(proved: Sequence[ActiveHazard], columns: int, most: int) -> list[Line]:
    """What was proved safe today, with the reading; without room for all the others are counted."""
    rows: list[Line] = []
    for number, danger in enumerate(proved):
        left = len(proved) - number
        more = _hung(line(signal("PROVED", "good"), " "), tuple(_proof(danger)), columns)
        if len(rows) + len(more) > most - (left > 1) and (rows or len(more) > most or left > 1):
            names = " · ".join(clean(each.hazard.what, limit=300) for each in proved[number:])
            named = hanging(line(signal("PROVED", "good"), " "), f"{names}, safe", columns, "good")
            counted = line(signal("PROVED", "good"), Span(f" {left} safe today", "good"))
            return [*rows, *(named if len(rows) + len(named) <= most else [counted])]
        rows += more
    return rows


def _proof(danger: ActiveHazard) -> Iterator[Span]:
    yield Span(clean(danger.hazard.what, limit=300), "good")
    yield Span(f" {clean(danger.standing.removeprefix('proved '), limit=400)}", "muted")


# Beside the step


def in_force(active: Sequence[ActiveHazard], columns: int, rows: int) -> list[Line]:
    """Each danger that is not proved safe: its name, one whole sentence, and what proves it; then those proved.

    What has no room as a whole is counted, with the key that shows it.
    """
    if not active:
        return hanging(BLANK, "None is named. That does not mean that there is none.", columns, "muted")
    ordered = sorted(active, key=lambda danger: (danger.safe, *_worst_first(danger)))
    blocks = [_block(danger, columns) for danger in ordered]
    if sum(map(len, blocks)) + len(blocks) - 1 <= rows:
        return [row for number, block in enumerate(blocks) for row in ([BLANK] if number else []) + block]
    found: list[Line] = []
    left = len(blocks)
    for block in blocks:
        if len(found) + len(block) + 1 < rows:
            found += [*block, BLANK]
            left -= 1
    return [*found, line(IN_FULL, Span(f": {left} {'more' if found else 'in force'}", "muted"))]


def _block(danger: ActiveHazard, columns: int) -> list[Line]:
    if danger.safe:
        return _hung(line(signal("PROVED", "good"), " "), tuple(_proof(danger)), columns)
    name = (Span(clean(danger.hazard.what, limit=300), f"bold {_ink(danger)}"),)
    rows = _hung(line(_word(danger), " "), name, columns)
    if danger.proof is not None:
        rows += flow((Span(f"{clean(danger.standing, limit=400)}.", "bold wait"),), columns)
    for text, ink, head in ((danger.hazard.do, "", ""), (danger.hazard.prove, "muted", "Prove: ")):
        said = next(iter(sentences(clean(text, limit=2000))), "")
        rows += flow((Span(f"{head}{said}", ink),), columns) if said else []
    return rows


def same_rows(unit: Unit, columns: int) -> list[Line]:
    """Kinds used before, each with its digit and how many there were, one a row."""
    kinds = same_kinds(unit)
    if not kinds:
        return flow((Span("None yet: type 4 screw M4x10, later Tab, digit.", "muted"),), columns)
    return [
        apart(
            line(Span(f"{digit}", "bold accent"), f"  {clean(kind.kind, limit=80)}"),
            line(Span(f"{kind.holes}", "muted")),
            columns,
        )
        for digit, kind in enumerate(kinds, 1)
    ]


def last_rows(unit: Unit, columns: int, rows: int, code: str = "") -> list[Line]:
    """The last steps kept, the latest first: what, how, how many pieces, and where they lie; `code` is in the line."""
    done = [step for step in reversed(unit.steps) if not step.planned and step.code != code][:rows]
    if not done:
        return [line(Span("None yet.", "muted"))]
    lead = max(width_of((Span(step.code),)) for step in done) + 2
    figures = [_figures(step) for step in done]
    room = columns - lead - max(map(width_of, figures)) - 1
    rows_made: list[Line] = []
    for number, (step, right) in enumerate(zip(done, figures, strict=True)):
        what = line(Span(clean(step.what, limit=200), "" if number else "bold"))
        how = line(Span(fitted(clean(how_in_words(step), limit=60), HOW_COLUMNS), "muted"))
        said = line(fit(what, room - HOW_COLUMNS - 2), "  ", how) if room > 2 * HOW_COLUMNS else what
        label = fit(line(Span(step.code, "muted" if number else "accent")), lead)
        rows_made.append(apart(line(label, said), right, columns))
    return rows_made


def _figures(step: Step) -> Line:
    """How many pieces came off, how many were missing, and where they lie."""
    pieces = sum(fastener.found for fastener in step.fasteners)
    missing = sum(fastener.holes - fastener.found for fastener in step.fasteners)
    place = clean(place_in_words(step), limit=40)
    return line(
        Span(f"{pieces} piece{'' if pieces == 1 else 's'}" if pieces else "", "muted"),
        Span(f"  {missing} missing" if missing else "", "bold wait"),
        Span(f"  {place}" if place else "", "good"),
    )


def desk_rows(unit: Unit, columns: int) -> list[Line]:
    """What is still to be written at the desk, the first of it in sentences, and what is planned next."""
    missing = to_complete(unit)
    rows: list[Line] = []
    for each in missing[:MOST_AT_THE_DESK]:
        rows += hanging(line(Span("· ", "muted")), clean(each.sentence, limit=200), columns)
    left = len(missing) - MOST_AT_THE_DESK
    if left > 0:
        rows.append(line(Span(f"+{left}", "bold"), Span(" more", "muted")))
    if not missing:
        rows.append(line(Span("Nothing.", "muted")))
    if planned := planned_next(unit):
        words = f"{planned[0].code} {clean(planned[0].what, limit=60)} (Down)"
        rows += hanging(line(Span("planned next: ", "muted")), words, columns)
    return rows
