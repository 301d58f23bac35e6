"""Putting back with the phone: one line of the list at a time, as the list at the bench shows it, and its ticks.

A tick here and a tick at the bench are the same edit of the same line; what is asked first is one rule for both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from typing import Any, NamedTuple
from urllib.parse import quote

from logbook.errors import InputError
from logbook.model.photo_edits import of_steps
from logbook.model.proofs import DangerStanding
from logbook.model.step import HoldAt
from logbook.model.unit import Unit
from logbook.reassembly import LineFastener, RefitLine, changed_words, differs, tick, untick
from logbook.reassembly.before_tick import BeforeTick, asked_before_tick, differs_words, tick_words
from logbook.reassembly.refit_records import GROUP_TITLES, SentenceGroup
from logbook.render.plain import clean
from logbook.render.reassembly_line_document import lifting_words, missing_words, setting_words, ticked
from logbook.serve.phone_answer import ASKS, PhoneAnswer
from logbook.serve.phone_dangers import DangerShown, NamedDangers, by_name, shown
from logbook.serve.phone_form import PhoneForm
from logbook.serve.phone_proving import keep_reading, to_prove
from logbook.session import Session
from logbook.session.refit_view import RefitView, view_of
from logbook.session.sent_changes import sent_change

MOST_PHOTOS = 6
DANGERS_ALONE = 4
"""So many dangers of a line stand each on a line of its own; further ones of a kind share one, by their names."""
BEFORE_THE_PIECES = (SentenceGroup.MIND, SentenceGroup.BEFORE)
AFTER_THE_PIECES = (SentenceGroup.DO, SentenceGroup.EACH, SentenceGroup.CONNECT, SentenceGroup.COMPARE,
                    SentenceGroup.CHECK, SentenceGroup.NOTED)  # fmt: skip


class HoldHere(NamedTuple):
    """A hold point of the line, and what was read there."""

    at: HoldAt
    reading: str
    initials: str


class TickHere(NamedTuple):
    """A tick of the line: of all of it, or of one member of a set."""

    key: str
    member: str
    done: bool
    note: str
    """Where this member differs from the others."""
    holds: tuple[HoldHere, ...]
    """The hold points that are to be read before it is ticked."""


class SaidGroup(NamedTuple):
    """Sentences under their head."""

    title: str
    sentences: tuple[str, ...]


class LineHere(NamedTuple):
    """What the page of a line shows."""

    code: str
    name: str
    line: RefitLine
    standing: str
    """How far the list is."""
    word: str
    """READY, DONE, WAITS."""
    reasons: tuple[str, ...]
    look_again: str
    """Of what the line says something else since it was ticked; empty when of nothing."""
    dangers: tuple[DangerShown, ...]
    further: tuple[NamedDangers, ...]
    """Where there are many: those of which the names are enough here."""
    before: tuple[SaidGroup, ...]
    first: tuple[str, ...]
    lifting: str
    pieces: tuple[str, ...]
    settings: tuple[str, ...]
    after: tuple[SaidGroup, ...]
    ticks: tuple[TickHere, ...]
    differs: str
    photos: tuple[tuple[str, str], ...]
    """Name and caption of each photo of its steps."""
    previous: str
    """Key of the ready line before; empty without one."""
    next: str
    all_lines: tuple[tuple[str, str, str], ...]
    """Key, sign and name of every line."""


class RefitPages:
    """The pages on which lines of the list are ticked."""

    def __init__(self, session: Session, told: Callable[[str], None]) -> None:
        """Make them.

        Args:
            session: the open book.
            told: told in a sentence what the phone kept.
        """
        self._session, self._told = session, told
        self._views: dict[str, RefitView] = {}

    def _view(self, code: str) -> RefitView:
        """The list as it stands; what ticks alone cannot have changed is taken from the one before."""
        view = self._views[code] = view_of(self._session, code, self._views.get(code))
        return view

    def show(self, code: str, query: Mapping[str, str]) -> PhoneAnswer:
        """The line that the address names, or the first one that is ready."""
        return self._answer(code, query.get("line", ""))

    def _answer(self, code: str, key: str = "", asked: BeforeTick | None = None, **more: Any) -> PhoneAnswer:
        view = self._view(code)
        line = view.listed.by_tick.get(key) or first_ready(view)
        values: dict[str, Any] = {"code": code, "name": view.unit.name, "version": self._session.kept(code).version}
        if line is None:
            return PhoneAnswer("back", {**values, "of": None, "standing": view.standing.sentence}, **more)
        of = line_here(view, line)
        dangers = to_prove(view.unit, line.hazards, view.progress.now) if asked is not None and asked.is_danger else ()
        here_at = _address(code, line.key)
        values |= {
            "of": of,
            "asked": asked,
            "to_prove": dangers,
            "key": key,
            "by": self._session.by,
            "here_at": here_at,
        }
        return PhoneAnswer("back", values, then=here_at, **more)

    def keep(self, code: str, form: PhoneForm) -> PhoneAnswer:
        """Tick a line or a member, take the tick back, or write what differs."""
        key = form.text("line")
        answer = self._kept_or_asked(code, key, form)
        line = self._view(code).listed.by_tick.get(key)
        seen = clean(form.text("seen"), limit=200)
        return answer if line is None else replace(answer, said=by_the_name_seen(answer.said, line, seen))

    def _kept_or_asked(self, code: str, key: str, form: PhoneForm) -> PhoneAnswer:
        if (sent := sent_change(self._session, code, form.name)) is not None:
            return self._answer(code, key, said=f"Kept already: {sent.what}.", kept=form.name)
        line = self._view(code).listed.by_tick.get(key)
        if line is None:
            name = clean(form.text("seen"), limit=200) or key
            said = f"{name} is no line of the list any more. The list was made anew; look for it there."
            return self._answer(code, said=said, bad=True, status=ASKS)
        try:
            return self._done(code, line, key, form)
        except InputError as error:
            return self._answer(code, key, said=str(error), bad=True, status=ASKS)

    def _done(self, code: str, line: RefitLine, key: str, form: PhoneForm) -> PhoneAnswer:
        if form.text("do") == "differs":
            text = form.text("differs")
            self._kept(code, differs_words(line, key, text), partial(differs, key=key, text=text), form)
            return self._answer(code, key, said=f"{differs_words(line, key, text)}.", kept=form.name)
        if form.text("do") == "untick":
            words = f"{tick_words(line, key)}: tick taken back"
            self._kept(code, words, partial(untick, key=key), form)
            return self._answer(code, key, said=f"{words}.", kept=form.name)
        if form.text("do") == "prove":
            done = keep_reading(self._session, code, form)
            self._told(f"From the phone: {done.words}.")
            said = f"{done.words}. {done.warning}".rstrip()
            return self._answer(code, key, said=said, bad=bool(done.warning), kept=form.name)
        return self._ticked(code, line, key, form)

    def _ticked(self, code: str, line: RefitLine, key: str, form: PhoneForm) -> PhoneAnswer:
        view, now = self._view(code), self._session.shop_now
        initials = form.text("initials").strip() or self._session.by
        edit = partial(tick, key=key, at=now, initials=initials, reading=form.text("reading"), over=view.progress)
        why = form.text("because").strip()
        first = asked_before_tick(view.unit, line, edit, now)
        if first is not None and (first.takes_no_reason or not why):
            return self._answer(code, key, first, said=first.why, bad=True, status=ASKS)
        words = f"{tick_words(line, key)}: ticked"
        self._kept(code, words, partial(edit, override=why if first is not None else ""), form)
        after = self._view(code)
        is_whole = after.ready[line.key].done if line.key in after.ready else True
        following = next_ready(after, line.key) if is_whole else line
        return self._answer(
            code, following.key if following is not None else line.key, said=f"{words}.", kept=form.name
        )

    def _kept(self, code: str, words: str, edit: Callable[[Unit], Unit], form: PhoneForm) -> None:
        self._session.apply(code, words, edit, sent_as=form.name)
        self._told(f"From the phone: {words}.")


def by_the_name_seen(said: str, line: RefitLine, seen: str) -> str:
    """A sentence about a line, by the name that it had on the page where it was pressed: `A04 refit fan, now A05: …`.

    Args:
        said: the sentence.
        line: as it is in the list now.
        seen: its number and title as they stood on the page; empty when nobody says.
    """
    now = f"{line.number} {line.title}"
    if not seen or seen == now:
        return said
    as_seen = f"{seen}, now {line.number}"
    if now in said:
        return said.replace(now, as_seen)
    first, space, rest = said.partition(" ")
    if first.rstrip(":") == line.number:
        return f"{as_seen}{first.removeprefix(line.number) or ','}{space}{rest}"
    return f"{as_seen}: {said}"


def _address(code: str, key: str) -> str:
    return f"/back/{code}?line={quote(key, safe='')}"


def first_ready(view: RefitView) -> RefitLine | None:
    """The line that is next: the first that can be done now, else the first that is not done; None on an empty list."""
    lines = view.listed.lines
    ready = (line for line in lines if view.ready[line.key].ready)
    to_do = (line for line in lines if not view.ready[line.key].done)
    return next(ready, None) or next(to_do, None) or (lines[-1] if lines else None)


def next_ready(view: RefitView, key: str) -> RefitLine | None:
    """The ready line that comes after one, begun again at the top; None when no other is ready."""
    return _ready_from(view, key, 1)


def _ready_from(view: RefitView, key: str, by: int) -> RefitLine | None:
    lines = view.listed.lines[::by]
    at = next((place for place, line in enumerate(lines) if line.key == key), -1)
    round_again = (*lines[at + 1 :], *lines[: max(at, 0)])
    return next((line for line in round_again if view.ready[line.key].ready and line.key != key), None)


def line_here(view: RefitView, line: RefitLine) -> LineHere:
    """A line in its groups, as the list at the bench shows it."""
    ready = view.ready[line.key]
    stands = DangerStanding(view.unit, view.progress.now)
    before, after = _ready_from(view, line.key, -1), _ready_from(view, line.key, 1)
    dangers = () if ready.done else tuple(shown(hazard, stands(hazard)) for hazard in line.hazards)
    word = "DONE" if ready.done else "READY" if ready.ready else "WAITS"
    state = view.states.get(line.key)
    photos = of_steps(view.unit, line.steps)[:MOST_PHOTOS]
    return LineHere(
        view.unit.code,
        view.unit.name,
        line,
        view.standing.sentence,
        word,
        () if ready.done else (*ready.reasons, *(ready.waits if ready.ready else ())),
        changed_words(view.progress, line),
        dangers[:DANGERS_ALONE],
        by_name(dangers[DANGERS_ALONE:]),
        tuple(_groups(line, BEFORE_THE_PIECES)),
        line.first,
        lifting_words(line),
        tuple(_pieces(line)),
        tuple(map(setting_words, line.settings)),
        tuple(_groups(line, AFTER_THE_PIECES)),
        tuple(_ticks(view, line)),
        state.differs if state is not None else "",
        tuple((placed.photo.file, placed.photo.caption or f"photo of {placed.spot.words}") for placed in photos),
        before.key if before is not None else "",
        after.key if after is not None else "",
        tuple((each.key, _sign(view, each), f"{each.number} {each.title}") for each in view.listed.lines),
    )


def _sign(view: RefitView, line: RefitLine) -> str:
    ready = view.ready[line.key]
    return "done" if ready.done else "ready" if ready.ready else "waits"


def _groups(line: RefitLine, wanted: tuple[SentenceGroup, ...]) -> Iterator[SaidGroup]:
    for group in wanted:
        said = [sentence.body for sentence in line.said if sentence.group is group]
        if group is SentenceGroup.CONNECT:
            said = [*(made.sentence for made in line.connections), *said]
        if group is SentenceGroup.DO and line.tighten:
            said = [*said, line.tighten]
        if said:
            yield SaidGroup(GROUP_TITLES[group], tuple(said))


def _pieces(line: RefitLine) -> Iterator[str]:
    """Each thing to have in the hand, to be ticked one by one on the phone."""
    yield from (_piece(piece) for piece in line.fasteners)
    if line.box:
        yield f"box {line.box}"
    yield from (sentence.body for sentence in line.said if sentence.group is SentenceGroup.TAKE)


def _piece(piece: LineFastener) -> str:
    where = "NEW" if piece.new else f"bag {piece.bag}" if piece.bag else "in no bag"
    each = f", {piece.each} each" if piece.each else ""
    missing = missing_words(piece)
    return f"{piece.count} {piece.kind}, {where}{each}{f', {missing}' if missing else ''}"


def _ticks(view: RefitView, line: RefitLine) -> Iterator[TickHere]:
    whole = view.states.get(line.key)
    for member, key in line.ticks:
        state = view.states.get(key) or whole
        read = (state.reading, state.initials) if state is not None else ("", "")
        holds = tuple(HoldHere(at, *read) for at in line.holds_at if line.is_for(at, member))
        note = "; ".join(each.text for each in line.member_notes if each.member == member and member)
        yield TickHere(key, member, ticked(line, key, view.states), note, holds)
