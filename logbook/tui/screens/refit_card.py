"""A line of the reassembly list in groups: how it stands, what to mind, take, do, tighten, connect, set and check.

Each group stands under a head of its own and only when it has something to say; a fact stands once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

from logbook.model.dangers import advice
from logbook.model.proofs import DangerStanding, not_safe
from logbook.model.step import Hazard, HoldPoint
from logbook.model.unit import LineState
from logbook.reassembly import LineConnection, LineFastener, Readiness, RefitLine, changed_words
from logbook.reassembly.refit_records import GROUP_TITLES, SentenceGroup
from logbook.reassembly.wording import reasons_beside
from logbook.render.glyphs import FINE, Glyphs
from logbook.render.plain import clean, width
from logbook.render.reassembly_line_document import lifting_words, missing_words, setting_words, ticked
from logbook.session.refit_view import RefitView
from logbook.tui.look.inks import BLANK, Line, Span, flow, group, hanging, line, signal, width_of, wrap
from logbook.tui.look.signals import SIGNAL_INKS

MOST_REASONS = 3
"""Reasons why a line is not ready; all of them are one key away."""
HAZARDS_IN_FULL = 3
"""Dangers of a line that stand with what to do before; of further ones their names."""
ROWS_OF_ADVICE = 2
"""Rows that what to do before takes at each danger, as far as whole sentences go."""


def refit_card(
    view: RefitView, key: str, columns: int, *, why: bool = True, brief: bool = False, g: Glyphs = FINE
) -> list[Line]:
    """Everything about one line of the list.

    Args:
        view: the list as it stands.
        key: of the line.
        columns: to write in.
        why: whether it says why the line stands where it stands.
        brief: of each danger only its name and how it stands; what to do before is one key away.
        g: signs.
    """
    refit_line = view.listed.by_key[key]
    ready = view.ready[key]
    groups = [
        list(_standing(view, refit_line, ready, columns)),
        list(_hazards(refit_line, ready, DangerStanding(view.unit, view.progress.now), columns, brief=brief)),
        *_groups(view, refit_line, ready, columns, g),
    ]
    if why and refit_line.why_here:
        groups.append([group("Why here"), *_sentences(refit_line.why_here[:1], columns)])
    return [row for rows in groups for row in rows]


def _groups(view: RefitView, refit_line: RefitLine, ready: Readiness, columns: int, g: Glyphs) -> Iterator[list[Line]]:
    said = _said_by_group(refit_line)
    if not ready.done:
        yield _headed(SentenceGroup.MIND, _sentences(said[SentenceGroup.MIND], columns, "wait"))
        yield _headed(
            SentenceGroup.BEFORE, [*_first(refit_line, columns), *_sentences(said[SentenceGroup.BEFORE], columns)]
        )
    yield _headed(SentenceGroup.TAKE, _pieces(refit_line, said[SentenceGroup.TAKE], columns), _counted(refit_line))
    if ready.done:
        yield _members(refit_line, view.states, columns)
        yield _holds(refit_line, view.states, columns)
        return
    yield _headed(SentenceGroup.DO, _numbered(said[SentenceGroup.DO], columns))
    yield _headed(SentenceGroup.EACH, _stack(said[SentenceGroup.EACH], columns, g))
    if refit_line.tighten:
        yield [group("Tighten"), *_sentences([refit_line.tighten], columns)]
    connections = [row for made in refit_line.connections for row in _connection(made, columns, g)]
    yield _headed(SentenceGroup.CONNECT, [*connections, *_sentences(said[SentenceGroup.CONNECT], columns)])
    if refit_line.settings:
        settings = [
            row for each in refit_line.settings for row in hanging(line("  [ ] "), clean(setting_words(each)), columns)
        ]
        yield [group("Set", "and read again once all is tight"), *settings]
    yield _members(refit_line, view.states, columns)
    yield _headed(SentenceGroup.COMPARE, _sentences(said[SentenceGroup.COMPARE], columns))
    yield _headed(SentenceGroup.CHECK, _sentences(said[SentenceGroup.CHECK], columns))
    yield _holds(refit_line, view.states, columns)
    yield _headed(SentenceGroup.NOTED, _sentences(said[SentenceGroup.NOTED], columns, "muted"))


def _said_by_group(refit_line: RefitLine) -> Mapping[SentenceGroup, list[str]]:
    found: dict[SentenceGroup, list[str]] = {each: [] for each in SentenceGroup}
    for sentence in refit_line.said:
        found[sentence.group].append(sentence.body)
    return found


def _headed(of: SentenceGroup, rows: Sequence[Line], said: str = "") -> list[Line]:
    return [group(GROUP_TITLES[of], said), *rows] if rows else []


def _sentences(texts: Sequence[str], columns: int, ink: str = "") -> list[Line]:
    """A row or more for each, two columns in."""
    return [row for text in texts for row in hanging(line("  "), clean(text, limit=2000), columns, ink)]


def _numbered(texts: Sequence[str], columns: int) -> list[Line]:
    """Several things to do are numbered."""
    if len(texts) < 2:
        return _sentences(texts, columns)
    rows = []
    for number, text in enumerate(texts, 1):
        rows += hanging(line(Span(f"  {number} ", "head")), clean(text, limit=2000), columns)
    return rows


def _standing(view: RefitView, refit_line: RefitLine, ready: Readiness, columns: int) -> Iterator[Line]:
    """Whether it can be done, in a signal word and why."""
    if refit_line.key in view.changed:
        why = f"{changed_words(view.progress, refit_line)}. Space: looked at again"
        yield from hanging(line(signal("LOOK AGAIN", "wait"), " "), why, columns)
    reasons = [] if ready.done else list(reasons_beside(refit_line, ready.missing[:MOST_REASONS]))
    reasons += list(ready.holds)
    if ready.done:
        yield line(signal("DONE", "good"))
    elif ready.ready:
        unsafe = not_safe(view.unit, refit_line.hazards, view.progress.now)
        said = "as soon as it is proved safe: D" if unsafe else "with what is here"
        yield line(signal("READY", "good"), Span(f" {said}", "muted"))
        for reason in ready.waits:
            yield from hanging(line(signal("WAITS", "wait"), " "), clean(reason, limit=600), columns)
    elif ready.in_reach and not reasons:
        yield from hanging(line(signal("WAITS", "wait"), " "), _after_words(view, refit_line), columns)
    else:
        word = "STILL TO DO" if ready.in_reach else "NOT READY"
        before = _after_words(view, refit_line)
        for number, reason in enumerate(reasons or ([before] if before else [])):
            lead = line(signal(word, "wait"), " ") if number == 0 else line(" " * (len(word) + 3))
            yield from hanging(lead, clean(reason, limit=600), columns)
        if len(ready.missing) > MOST_REASONS and not ready.done:
            yield line(Span(f"{' ' * (len(word) + 3)}and {len(ready.missing) - MOST_REASONS} more (w)", "muted"))
    yield from _told(view, refit_line, columns)


def _after_words(view: RefitView, refit_line: RefitLine) -> str:
    """The first line before it that is not done yet."""
    waits_for = first_before(view, refit_line)
    return f"after {waits_for.number} {clean(waits_for.title, limit=80)}" if waits_for is not None else ""


def first_before(view: RefitView, refit_line: RefitLine) -> RefitLine | None:
    """The first line that must come before and is not done."""
    for key in refit_line.must_follow:
        if key in view.ready and not view.ready[key].done:
            return view.listed.by_key[key]
    return None


def _told(view: RefitView, refit_line: RefitLine, columns: int) -> Iterator[Line]:
    """What a person wrote at the line: what differs, and why it was done although it was not ready."""
    for key in dict.fromkeys((refit_line.key, *refit_line.tick_keys)):
        state = view.states.get(key)
        if state is None:
            continue
        whose = "" if key == refit_line.key else f"{key.rpartition('/')[2]}: "
        if state.differs:
            yield from hanging(line(signal("DIFFERS", "wait"), " "), clean(f"{whose}{state.differs}"), columns)
        if state.override:
            yield from hanging(line(Span("  done anyway: ", "wait")), clean(f"{whose}{state.override}"), columns)


def _hazards(
    refit_line: RefitLine, ready: Readiness, stands: Callable[[Hazard], str], columns: int, *, brief: bool
) -> Iterator[Line]:
    """Each danger with how it stands and what to do before, in whole sentences; of the last ones their names."""
    if ready.done:
        return
    is_all_said = True
    for hazard in refit_line.hazards[:HAZARDS_IN_FULL]:
        standing = stands(hazard)
        lead = line(signal(str(hazard.signal), SIGNAL_INKS[hazard.signal]), " ")
        said = f"{hazard.what}: {standing}." if standing else f"{hazard.what}."
        yield from hanging(lead, clean(said, limit=600), columns, "bold")
        begun, whole = ([], not advice(hazard)) if brief else _begun(advice(hazard), columns)
        yield from begun
        is_all_said = is_all_said and whole
    for hazard in refit_line.hazards[HAZARDS_IN_FULL:]:
        lead = line(signal(str(hazard.signal), SIGNAL_INKS[hazard.signal]), " ")
        yield from hanging(lead, clean(hazard.what, limit=300), columns)
    if refit_line.hazards:
        how = "D: prove it safe." if is_all_said else "Enter: each in full, before you begin. D: prove it safe."
        yield from hanging(line("  "), how, columns, "muted")


def _begun(sentences: Sequence[str], columns: int) -> tuple[list[Line], bool]:
    """As many whole sentences as a few rows hold, at least one, and whether these are all.

    Half a sentence of what to do can say the opposite, so none is cut.
    """
    rows: list[Line] = []
    for number in range(1, len(sentences) + 1):
        longer = _sentences([clean(" ".join(sentences[:number]), limit=2000)], columns)
        if rows and len(longer) > ROWS_OF_ADVICE:
            return rows, False
        rows = longer
    return rows, True


def _first(refit_line: RefitLine, columns: int) -> list[Line]:
    """What goes on before the joint is made, and what is heavy."""
    rows: list[Line] = []
    for words in refit_line.first:
        rows += hanging(line("  ", signal("FIRST", "head"), " "), clean(words, limit=600), columns)
    lift = lifting_words(refit_line)
    return [*rows, *_sentences([f"Lifting: {lift}."] if lift else [], columns)]


def _counted(refit_line: RefitLine) -> str:
    """How many old and new pieces there are."""
    new = sum(piece.count for piece in refit_line.fasteners if piece.new)
    old = sum(piece.count for piece in refit_line.fasteners if not piece.new)
    return ", ".join(words for words in (f"{old} old" if old else "", f"{new} new" if new else "") if words)


def _pieces(refit_line: RefitLine, said: Sequence[str], columns: int) -> list[Line]:
    """A row for each kind: its box, how many, where they lie."""
    rows: list[Line] = []
    names = max((width(clean(piece.kind, limit=60)) for piece in refit_line.fasteners), default=0)
    for piece in refit_line.fasteners:
        rows += _piece(piece, names, columns)
    if refit_line.box:
        rows += hanging(line(Span("  box ", "accent")), clean(refit_line.box, limit=200), columns)
    return [*rows, *_sentences(said, columns, "muted")]


def _piece(piece: LineFastener, names: int, columns: int) -> Iterator[Line]:
    name = clean(piece.kind, limit=60)
    each = f"  {piece.each} each" if piece.each else ""
    place = Span("NEW", "good") if piece.new else Span(f"bag {clean(piece.bag)}" if piece.bag else "no bag", "accent")
    missing = missing_words(piece)
    spans = line(
        f"  [ ] {piece.count:>3}  {name}{' ' * (min(names, columns // 2) - width(name))}  ",
        place,
        Span(each, "muted"),
        Span(f"  {missing}" if missing else "", "bold wait"),
    )
    why = Span(clean(piece.why, limit=200) if piece.new else "", "muted")
    if width_of(spans) + 2 + width_of((why,)) <= columns:
        yield line(spans, "  " if why.text else "", why)
    elif width_of(spans) <= columns:
        yield spans
        yield from (line(" " * 11, row) for row in flow((why,), columns - 11))
    else:
        spans = line(spans, "  ", why)
        rows = flow(spans, columns - 11)
        yield from (line("  " if number == 0 else " " * 11, row) for number, row in enumerate(rows))


def _stack(texts: Sequence[str], columns: int, g: Glyphs) -> list[Line]:
    """What sits on each fastener, with arrows between."""
    return [
        row
        for text in texts
        for row in flow((Span(f"  {clean(text, limit=600).rstrip('.').replace(' > ', f' {g.to} ')}"),), columns)
    ]


def _connection(made: LineConnection, columns: int, g: Glyphs) -> list[Line]:
    """One between its two ends, as a wire; what else is to mind stands below."""
    of = made.connection
    if not (of.start and of.end) or of.one_end or of.loose_end:
        return hanging(line("  [ ] "), clean(made.sentence, limit=600), columns)
    label = clean(" ".join(filter(None, [of.code, of.colour, of.function])), limit=60)
    wire = g.full * 3
    spans = line(
        "  [ ] ",
        Span(label, "bold"),
        "  ",
        Span(clean(of.start, limit=60)),
        Span(f" {g.point}{wire}{g.point} ", "head"),
        Span(clean(of.end, limit=60)),
    )
    more = [
        f"{of.member} only" if of.member else "",
        "a new one" if of.renew else "",
        of.joint,
        f"polarity {of.polarity}" if of.polarity else "",
        f"route {of.route}" if of.route else "",
        f"goes back: {of.refit}" if of.refit else "",
    ]
    below = hanging(line(" " * 8), clean("; ".join(part for part in more if part), limit=600), columns, "muted")
    rows = [spans] if width_of(spans) <= columns else flow(spans, columns)
    return [*rows, *(below if any(more) else [])]


def _members(refit_line: RefitLine, states: Mapping[str, LineState], columns: int) -> list[Line]:
    """The members of a set with their ticks, and where one differs."""
    if not refit_line.members:
        return []
    rows = [group("A handed pair, mirrored" if refit_line.mirrored else "Each")]
    for member, key in zip(refit_line.members, refit_line.tick_keys, strict=True):
        box = "[x]" if ticked(refit_line, key, states) else "[ ]"
        note = "; ".join(each.text for each in refit_line.member_notes if each.member == member)
        rows += hanging(line(f"  {box} ", Span(clean(member), "bold"), "  "), clean(note, limit=600), columns)
    apart_from = [each for each in refit_line.member_notes if each.member not in refit_line.members]
    return [*rows, *_sentences([f"{each.member}: {each.text}" for each in apart_from], columns, "muted")]


def _holds(refit_line: RefitLine, states: Mapping[str, LineState], columns: int) -> list[Line]:
    """Hold points with the reading and the initials, of each member its own."""
    rows: list[Line] = []
    for at in refit_line.holds_at:
        hold = at.hold
        limit = f" Limit: {hold.limit}." if hold.limit else ""
        said = f"{at.name}: {hold.what.rstrip('.')}.{limit}"
        rows += hanging(line(signal("HOLD", "hold"), " "), clean(said, limit=600), columns)
        if hold.competent:
            rows += wrap("       Only by a competent person; local codes and licensed practice come first.", columns)
        for member, key in refit_line.ticks:
            if refit_line.is_for(at, member):
                rows.append(_read(hold, member, states.get(key) or states.get(refit_line.key)))
    return rows


def _read(hold: HoldPoint, member: str, state: LineState | None) -> Line:
    reading = (state.reading if state is not None else "") or "____"
    initials = (state.initials if state is not None else "") or "__"
    whose = f"{member}: " if member else ""
    words = f"reading {reading}   initials {initials}" if hold.reading_of else f"initials {initials}"
    return line(Span(f"       {clean(f'{whose}{words}', limit=300)}", "hold"))


REST = "Enter shows the rest"


def within(rows: Sequence[Line], most: int, rest: str = REST) -> list[Line]:
    """At most so many rows; where some are left out, the last one says how to see them."""
    if len(rows) <= most:
        return list(rows)
    return [*rows[: max(0, most - 1)], line(Span(rest, "muted"))]


def with_air(rows: Sequence[Line], most: int) -> list[Line]:
    """A blank row before each group, as long as all of it fits."""
    heads = [number for number, row in enumerate(rows) if number and any(span.ink == "bold head" for span in row)]
    if len(rows) + len(heads) > most:
        return list(rows)
    spaced: list[Line] = []
    for number, row in enumerate(rows):
        if number in heads:
            spaced.append(BLANK)
        spaced.append(row)
    return spaced
