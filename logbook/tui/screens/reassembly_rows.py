"""How the reassembly list reads on the screen: a row for each line of the list, and one of them opened in groups."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from logbook.model.dates_in_words import day_of_month
from logbook.model.left_by_joining import left_open
from logbook.model.shop_clock import on_clock_of
from logbook.model.unit import LineState
from logbook.reassembly import OpenDifference, Readiness, RefitLine, RefitList
from logbook.reassembly.following import lines_touched
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import clean
from logbook.render.reassembly_line_document import pieces_words, ticked, weight_words
from logbook.session.refit_view import RefitView
from logbook.tui.look.inks import Line, Span, apart, flow, group, hanging, line, signal, width_of
from logbook.tui.look.signals import SIGNAL_INKS
from logbook.tui.screens.refit_card import REST, first_before, refit_card, within
from logbook.tui.widgets.entries import ListEntry, entry, heading

INDENT = 4
"""Columns before the groups of a line that is opened in the list."""
HELD_INDENT = 9
"""Columns before what a hold point checks: below the title of its line."""


class DrawnList:
    """The whole list as entries, of which only those are made anew that have changed since it was last drawn."""

    def __init__(self) -> None:
        self._view: RefitView | None = None
        self._columns = 0
        self._entries: dict[str, ListEntry] = {}

    def rows(
        self,
        view: RefitView,
        order: Sequence[str] | None,
        columns: int,
        opened: str = "",
        g: Glyphs = FINE,
        *,
        most: int = 0,
        beside: bool = False,
    ) -> list[ListEntry]:
        """What to know first, the lines, what was left out.

        Args:
            view: the list as it stands.
            order: keys of lines in the order in which they are to stand, as far as it goes; None: as they come.
            columns: for the text of an entry.
            opened: key of the line whose groups stand below it; empty where they stand in a pane beside.
            g: signs.
            most: rows that the groups of that line take at most, so that others stay in sight; 0: all of them.
            beside: whether a pane beside shows the line in full; a title then takes one row, else its words wrap.
        """
        listed = view.listed
        left = [look.what for look in left_open(view.unit)]
        entries = list(_notices(listed, view.progress.differences, left, columns))
        names, inside = {each.code: each.name for each in listed.inside}, ""
        drawn = self._drawn(view, columns, beside=beside)
        for refit_line in _in_order(listed, order):
            if refit_line.inside != inside and order is None:
                inside = refit_line.inside
                words = (
                    f"inside {names.get(inside, inside)}, before it goes back as one" if inside else "the unit itself"
                )
                entries.append(heading(f"head {refit_line.key}", group(clean(words, limit=200))))
            if refit_line.key == opened:
                entries.append(_opened(view, refit_line, columns, g, most))
            else:
                entries.append(drawn[refit_line.key])
        if listed.left_out:
            entries.append(heading("head left out", group("Left out, and why")))
        for out in listed.left_out:
            entries.append(entry(f"out {out.step}", hanging(line(f"{out.step}  "), clean(out.why), columns, "muted")))
        return entries

    def _drawn(self, view: RefitView, columns: int, *, beside: bool) -> dict[str, ListEntry]:
        """The entry of each line, by its key."""
        before, listed = self._view, view.listed
        now = view.progress.now
        then = before.progress.now if before is not None else None
        # Hours are those of the shop's zone.
        same_day = then is not None and (then.date(), then.tzinfo) == (now.date(), now.tzinfo)
        if before is None or not same_day or before.listed is not listed or self._columns != columns:
            drawn, again = dict[str, ListEntry](), set(listed.by_key)
        else:
            drawn, again = dict(self._entries), _read_otherwise(before, view)
        for key in again:
            refit_line = listed.by_key[key]
            held = [] if view.ready[key].done else _held_rows(refit_line, columns)
            drawn[key] = entry(key, [*main_rows(view, refit_line, columns, wraps=not beside), *held])
        self._view, self._columns, self._entries = view, columns, drawn
        return drawn


def _held_rows(refit_line: RefitLine, columns: int) -> list[Line]:
    """What is checked at each hold point of a line, a row for each, below the word HOLD."""
    checked = (hold.what.strip() for hold in refit_line.holds)
    lead = line(" " * HELD_INDENT)
    return [row for what in checked if what for row in hanging(lead, clean(what, limit=300), columns, "hold")]


def _opened(view: RefitView, refit_line: RefitLine, columns: int, g: Glyphs, most: int) -> ListEntry:
    """A line with its groups below it, on a low terminal only the first ones."""
    below = refit_card(view, refit_line.key, columns - INDENT, brief=bool(most), g=g)
    is_dangerous = bool(refit_line.hazards) and not view.ready[refit_line.key].done
    rest = "Enter shows the rest. D: prove it safe." if is_dangerous else REST
    below = within(below, most, rest) if most else below
    rows = [line(" " * INDENT, row) for row in below]
    return entry(refit_line.key, [*main_rows(view, refit_line, columns, wraps=True), *rows])


def _read_otherwise(a: RefitView, b: RefitView) -> set[str]:
    """Keys of the lines of one list that read otherwise in one view than in the other."""
    of_others = {key for key, ready in b.ready.items() if a.ready[key] is not ready}
    touched = of_others | (a.changed ^ b.changed) | lines_touched(a.progress, b.progress)
    after_them = {key for key, refit_line in b.listed.by_key.items() if touched.intersection(refit_line.must_follow)}
    return touched | after_them  # a row names the line that it waits for


def _in_order(listed: RefitList, order: Sequence[str] | None) -> Iterable[RefitLine]:
    if order is None:
        return listed.lines
    known = listed.by_key
    first = [known[key] for key in order if key in known]
    placed = {line.key for line in first}
    return (*first, *(line for line in listed.lines if line.key not in placed))


def know_first(view: RefitView) -> str:
    """What stands above the lines to be read before the start, counted; empty when there is nothing."""
    settled = {s.code for s in view.unit.steps if s.guess_settled}
    open_guesses = [n for n in view.listed.guesses if n.step not in settled]
    counted = (
        (len(open_guesses), "guess", "guesses"),
        (len(view.listed.as_found_wrong), "thing found wrong", "things found wrong"),
        (len(view.progress.differences), "count that differs", "counts that differ"),
        (len(left_open(view.unit)), "thing left by joining", "things left by joining"),
    )
    said = [f"{n} {one if n == 1 else more}" for n, one, more in counted if n]
    return f" Read first, above (Home): {', '.join(said)}." if said else ""


def _notices(
    listed: RefitList, differences: Iterable[OpenDifference], left: Iterable[str], columns: int
) -> Iterable[ListEntry]:
    """What is to be known before the first line."""
    kinds = (
        ("GUESS", "wait", listed.guesses),
        ("AS FOUND WRONG", "bad", listed.as_found_wrong),
        ("NO LONGER THERE", "wait", listed.gone),
    )
    found = []
    for i, said in enumerate(left):
        words = clean(f"{said} ! settles it.", limit=600)
        found.append(entry(f"know joined {i}", hanging(line(signal("JOINED", "wait"), " "), words, columns)))
    found += [entry(f"know set {i}", flow((Span(clean(x)),), columns)) for i, x in enumerate(listed.sets)]
    for word, ink, notices in kinds:
        for notice in notices:
            lead = line(signal(word, ink), f" {notice.step} ")
            rows = hanging(lead, clean(notice.sentence, limit=600), columns)
            found.append(entry(f"know {word} {notice.step}", rows))
    for each in differences:
        rows = hanging(line(signal("COUNT DIFFERS", "wait"), " "), clean(each.sentence, limit=600), columns)
        found.append(entry(f"know count {each.bag} {each.kind} {each.steps}", rows))
    if found:
        yield heading("head know", group("Know before starting"))
        yield from found
        yield heading("head lines", group("Lines"))


def main_rows(view: RefitView, refit_line: RefitLine, columns: int, *, wraps: bool) -> list[Line]:
    """Box, number, title, whose words may wrap; at the right what lies ready for it, its signal word, how it stands."""
    ready = view.ready[refit_line.key]
    state = _state(view, refit_line, ready)
    worst = refit_line.hazards[0].signal if refit_line.hazards and not ready.done else None
    warned = line(Span(str(worst), f"bold {SIGNAL_INKS[worst]}"), "  ") if worst is not None else ()
    facts = Span(_facts(refit_line), "muted")
    right = line(facts, "  " if facts.text else "", warned, state)
    if width_of(right) > columns // 2:
        right = line(warned, state)
    if width_of(right) > columns // 2:
        right = line(state)
    quiet = ready.done or not (ready.ready or ready.in_reach)
    lead = line(
        Span(f"{box(refit_line, ready)} ", _box_ink(refit_line, ready)),
        Span(f"{refit_line.number:<4} ", "muted" if quiet else "accent"),
    )
    ink = "muted" if quiet else "bold" if ready.ready else ""
    if not wraps:
        return [apart(line(lead, Span(clean(refit_line.title, limit=300), ink)), right, columns)]
    first, *more = hanging(lead, clean(refit_line.title, limit=300), columns - width_of(right) - 1, ink)
    return [apart(first, right, columns), *more]


def box(refit_line: RefitLine, ready: Readiness) -> str:
    """The sign of a line: done, hold point, or to be done."""
    if ready.done:
        return "[x]"
    return "(H)" if refit_line.holds else "[ ]"


def _box_ink(refit_line: RefitLine, ready: Readiness) -> str:
    if ready.done:
        return "good"
    if refit_line.holds:
        return "hold"
    return "" if ready.in_reach else "muted"


def _state(view: RefitView, refit_line: RefitLine, ready: Readiness) -> Line:
    """How a line stands, in a word or two."""
    keys = (refit_line.key, *refit_line.tick_keys)
    if refit_line.key in view.changed:
        return (Span("LOOK AGAIN", "bold wait"),)
    if any(view.states[key].differs for key in keys if key in view.states):
        return (Span("DIFFERS", "bold wait"),)
    if ready.done:
        return (Span(_when(refit_line, view.states, view.progress.now), "muted"),)
    return (*_members_done(view, refit_line), _state_to_come(view, refit_line, ready))


def _members_done(view: RefitView, refit_line: RefitLine) -> Line:
    """Of how many members a line is done that is not done of all: `1 of 2 `."""
    done = sum(ticked(refit_line, key, view.states) for key in refit_line.tick_keys)
    return (Span(f"{done} of {len(refit_line.tick_keys)} ", "muted"),) if done else ()


def _state_to_come(view: RefitView, refit_line: RefitLine, ready: Readiness) -> Span:
    """Of a line that is not done."""
    if refit_line.holds:
        codes = "-".join(hold.code for hold in refit_line.holds)
        return Span(f"HOLD {clean(codes, limit=20)}", "bold hold")
    if ready.ready:
        return Span("READY", "bold good")
    before = first_before(view, refit_line)
    if before is not None and (ready.in_reach or not ready.missing):
        return Span(f"after {before.number}", "muted")
    return Span("STILL TO DO" if ready.in_reach else "NOT READY", "wait")


def _facts(refit_line: RefitLine) -> str:
    return clean(", ".join(words for words in (weight_words(refit_line), pieces_words(refit_line)) if words), limit=200)


def _when(refit_line: RefitLine, states: Mapping[str, LineState], now: datetime) -> str:
    """When it was ticked, by the clock of `now`, by whom, and whether it was not ready."""
    keys = (refit_line.key, *refit_line.tick_keys)
    done = [state for key in keys if (state := states.get(key)) is not None and state.done and state.at is not None]
    if not done:
        return ""
    last = max(done, key=lambda state: state.at.timestamp() if state.at else 0)
    if last.at is None:
        return ""
    when = f"{day_of_month(on_clock_of(last.at, now))} {last.initials}".rstrip()
    anyway = ", anyway" if any(state.override for state in done) else ""
    return clean(f"{when}{anyway}", limit=60)
