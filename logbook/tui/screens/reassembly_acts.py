"""What can be done at a line of the reassembly list, wherever the line is shown."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any, ClassVar

from logbook.costing import from_shop
from logbook.errors import InputError
from logbook.model.photo_edits import at_step, of_steps
from logbook.model.unit import LineState, Unit
from logbook.reassembly import (
    Progress,
    RefitLine,
    RefitList,
    Ticked,
    count_bag,
    differs,
    free_of,
    ledger,
    left_over,
    read_by,
    readings_of_members,
    tick,
    tick_from_paper,
    untick,
    write_reading,
)
from logbook.reassembly.before_tick import asked_before_tick, differs_words, refused, tick_words
from logbook.reassembly.ledger import bag_called
from logbook.render.plain import clean
from logbook.render.reassembly_line_document import ticked
from logbook.serve.incoming import Bench
from logbook.session import Session
from logbook.session.refit_view import RefitView, view_of
from logbook.session.ticks_from_paper import changes_since, read_ticks
from logbook.tui.actions import Act
from logbook.tui.asking import AskingScreen
from logbook.tui.screens.form_screen import FormScreen
from logbook.tui.screens.page_screen import PageScreen
from logbook.tui.sections import DANGERS

LINE_ACTS = (
    Act("refit.tick", "space", "tick", "tick", "Tick the line, or take its tick back", True),
    Act("refit.reading", "r", "reading", "reading", "Write what was read, and initials: for hold points", True),
    Act("refit.differs", "d", "differs", "differs", "Write what is different from plan", True),
    Act("refit.why", "w", "why", "why here", "Why the line stands here, and why it is not ready", True),
    DANGERS,
    Act("refit.count", "c", "count", "count a bag", "Count a bag and write what is short or over", True),
    Act("refit.initials", "i", "initials", "initials", "Say whose ticks these are"),
    Act("refit.photos", "p", "photos", "photos", "The photos of the step, those with marks first", True),
    Act("refit.note", "n", "note", "note", "Write into the note of the step"),
    Act("refit.record", "v", "record", "record", "Open the record of the step, as it came apart"),
    Act("refit.left", "m", "left_over", "before closing", "What must be done or explained before the unit is closed"),
)
"""What a line offers, in the list and on its own page."""


class LineActions(AskingScreen):
    """A place where lines are ticked. Subclasses say which tick the cursor is on (`current_key`)."""

    ACTS: ClassVar[tuple[Act, ...]] = ()
    SECTION = "reassembly"

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self.view: RefitView | None = None

    def photo_bench(self) -> Bench:
        """The step of the line under the cursor."""
        line = self.current_line()  # asked for all the time: nothing is said when there is none
        step = self.unit.step(line.steps[0]) if line is not None and line.steps else None
        if step is None:
            return super().photo_bench()
        return Bench(self.CODE, at_step(step.code), f"{self.CODE} {step.code} {clean(step.what, limit=40)}")

    def current_key(self) -> str:
        """Key of the line, or of the member of a set, under the cursor; empty on anything else."""
        return ""

    # The line under the cursor

    def current_line(self) -> RefitLine | None:
        """The line under the cursor."""
        return self.view.listed.by_tick.get(self.current_key()) if self.view is not None else None

    def danger_here(self) -> dict[str, Any]:
        """The dangers of the line under the cursor, and its step."""
        line = self.current_line()
        if line is None:
            return {}
        return {"step": next(iter(line.steps), ""), "own": line.hazards}

    def _named(self) -> tuple[RefitView, RefitLine, str] | None:
        """The view, the line and the key under the cursor; says so when the cursor is on no line."""
        line = self.current_line()
        if self.view is None or line is None:
            self.say("The cursor is on no line of the list. Go to one with the arrows.")
            return None
        return self.view, line, self.current_key()

    @property
    def initials(self) -> str:
        """Whose ticks these are."""
        return self.session.by

    # What can be done

    def _progress(self) -> Progress | None:
        """The progress when it is that of the record as it is now, so that an edit need not work it out anew."""
        return self.view.progress if self.view is not None and self.view.unit is self.unit else None

    def _list(self) -> RefitList | None:
        """The list, as far as it is that of the record as it is now."""
        progress = self._progress()
        return progress.list if progress is not None else None

    def action_tick(self) -> None:
        """Tick the line or the next member of its set; one that is ticked is looked at again, or loses its tick."""
        named = self._named()
        if named is None:
            return
        view, line, key = named
        done = [k for k in line.tick_keys if ticked(line, k, view.states)]
        if line.key in view.changed and (key == line.key or key in done):
            self._confirm(line, done)
            return
        if key == line.key and line.members:
            undone = [k for k in line.tick_keys if k not in done] or [line.tick_keys[-1]]
            progress = self._progress()
            waiting = [] if progress is None else [k for k in undone if progress.waits_at(line, (k,))]
            key = next((k for k in undone if k not in waiting), undone[0])
        if key in done:
            words = f"{tick_words(line, key)}: tick taken back"
            back = partial(untick, key=key, lst=self._list())
            self.tried(f"{words}.", partial(self.session.apply, self.CODE, words, back))
        else:
            self._tick(line, key)

    def _confirm(self, line: RefitLine, keys: Sequence[str]) -> None:
        """The line says something else since it was ticked, and was looked at again: its ticks stand for that now."""
        now, words = self.session.shop_now, f"{tick_words(line, line.key)}: looked at again"

        def confirmed(unit: Unit) -> Unit:
            for key in keys:
                unit = tick(unit, key, at=now, initials=self.initials, over=self._progress())
            return unit

        said = f"{words}. Space once more takes the tick back."
        self.tried(said, partial(self.session.apply, self.CODE, words, confirmed))

    def _tick(self, line: RefitLine, key: str) -> None:
        words = f"{tick_words(line, key)}: ticked"
        now = self.session.shop_now
        edit = partial(tick, key=key, at=now, initials=self.initials, over=self._progress())
        first = asked_before_tick(self.unit, line, edit, now)
        if first is None:
            self.tried(f"{words}.", partial(self.session.apply, self.CODE, words, edit))
        elif first.takes_no_reason:
            r = f"{line.number} is a hold point. Press r to write what was read, and initials."
            self.say(r if line.hold is not None else first.why, "error")
        else:
            label = f"{line.number} {'not proved safe' if first.is_danger else 'not ready'}. Why tick it?"
            way_out = "Esc, then D proves it safe. " if first.is_danger else ""
            self.ask_why(f"override/{key}", label, f"{way_out}{first.why}", words, edit)

    def ask_why(self, key: str, label: str, refused: str, what: str, edit: Callable[..., Unit]) -> None:
        """Something is not ready: ask why it was done anyway, and keep the edit with that reason."""

        def all_the_same(text: str) -> None:
            if not text.strip():
                raise InputError("Say why it was done although it was not ready, or leave with Esc.")
            self.kept(what, partial(edit, override=text, over=None))  # the record may be another one by now

        self.ask(key, label, "", refused, all_the_same)

    def action_reading(self) -> None:
        """Write what was read, then who read it."""
        if (named := self._named()) is None:
            return
        view, line, key = named
        if key == line.key and line.members:
            key = _first_unread(view, line)
        state = view.states.get(key) or LineState(line=key)
        hold = line.hold_for(key.rpartition("/")[2] if line.members else "")
        if hold is not None:
            wanted = f"{hold.reading_of or 'initials only'}{f'; limit {hold.limit}' if hold.limit else ''}"
        else:
            wanted = "what was read here"

        def read(reading: str) -> None:
            if hold is not None and hold.reading_of and not reading.strip():
                raise InputError(f"Type what was read: {hold.reading_of}.")
            self.keep_draft(f"reading/{key}", reading)
            said, by = read_by(reading.strip(), "")
            if by:
                self._read_by(line, key, said, by)
                return
            self.ask(
                f"by/{key}",
                "Initials",
                state.initials or self.initials,
                "Of whoever did the check." + (" A competent person." if hold is not None and hold.competent else ""),
                partial(self._read_by, line, key, reading),
                replace=True,
            )

        open_too = [m for m in line.members if line.hold_for(m) is not None]
        if len(open_too) > 1:
            wanted += f". All at once: {', '.join(f'{member} …' for member in open_too)}"
        whose = f" {key.rpartition('/')[2]}" if line.members else ""
        self.ask(f"reading/{key}", f"{line.number}{whose} reading", state.reading, wanted, read)

    def _read_by(self, line: RefitLine, key: str, reading: str, initials: str) -> None:
        asked = key
        if readings_of_members(self.unit, line, line.key, reading.strip()):
            key = line.key
        self.kept(
            f"{tick_words(line, key)}: reading {reading.strip() or '-'}, {initials.strip() or '-'}",
            partial(write_reading, key=key, reading=reading, initials=initials, at=self.session.now),
        )
        self.keep_draft(f"reading/{asked}", "")
        if not self.session.by:
            self.session.write_as(initials)  # asked for once; i changes them

    def action_initials(self) -> None:
        """Ask whose ticks these are from now on."""

        def take(text: str) -> None:
            self.session.write_as(text)  # a refusal of the disk is said beside the line
            self.say(f"Ticks are by {self.initials or 'nobody named'} now.")

        self.ask("initials", "Initials", self.initials, "They stand beside all you write.", take, replace=True)

    def action_differs(self) -> None:
        """Write what is different from plan."""
        if (named := self._named()) is None:
            return
        view, line, key = named
        state = view.states.get(key)

        def take(text: str) -> None:
            what = differs_words(line, key, text)
            self.kept(what, partial(differs, key=key, text=text))

        help_text = "In words, such as “one washer short, took one from the jar”. Empty: nothing differs."
        self.ask(f"differs/{key}", f"{line.number} differs", state.differs if state else "", help_text, take)

    def action_count(self) -> None:
        """Ask which bag, then for each kind in it how many there are."""
        line = self.current_line()
        bags = ledger(self.unit).bags
        if not bags:
            self.say("By the record no bag holds anything.")
            return

        def take(text: str) -> None:
            contents = bag_called(bags, text.strip()) if text.strip() else None
            if contents is None:
                raise InputError(f"There is no bag {text.strip() or '?'}. By the record there are: {', '.join(bags)}.")
            self._count_next(contents.bag, list(contents.kinds.items()))

        first = next((b for b in line.bags if b in bags), "") if line is not None else ""
        self.ask("bag", "Count bag", first, f"Its number. There are: {', '.join(bags)}.", take, replace=True)

    def _count_next(self, bag: str, kinds: list[tuple[str, int]]) -> None:
        """Ask for the next kind of the bag; when it differs, ask why."""
        if not kinds:
            self.say(f"Bag {bag} is counted.", "good")
            return
        (kind, recorded), rest = kinds[0], kinds[1:]
        before = next((c for c in self.unit.refit.counts if (c.bag, c.kind) == (bag, kind)), None)

        def counted(text: str) -> None:
            words = text.strip()
            if not (words.isascii() and words.isdigit() and len(words) < 7):
                raise InputError(f"How many {kind} are there? Type a whole number.")
            number = int(words)
            if number == recorded:
                self._keep_count(bag, kind, number, "")
                self._count_next(bag, rest)
                return
            open_why = before.explained if before is not None else ""
            label = f"{number} and not {recorded}: why?"
            help_text = "In words. Empty: it stays open until somebody knows."
            self.ask(f"why/{bag}/{kind}", label, open_why, help_text, lambda why: explained(number, why))

        def explained(number: int, why: str) -> None:
            self._keep_count(bag, kind, number, why)
            self._count_next(bag, rest)

        label = f"Bag {bag}: how many"
        value = str(before.counted if before is not None else recorded)
        self.ask(f"count/{bag}/{kind}", label, value, f"{kind}; {recorded} by the record", counted, replace=True)

    def _keep_count(self, bag: str, kind: str, number: int, why: str) -> None:
        edit = partial(count_bag, bag=bag, kind=kind, counted=number, explained=why, at=self.session.now)
        self.kept(f"bag {bag} counted: {number} {kind}", edit)

    def action_photos(self) -> None:
        """The photos of the line's steps; those with marks first, then the newest."""
        from logbook.tui.photo_words import row_key

        key = self.current_key()
        line = self.view.listed.by_key.get(key) if self.view is not None else None
        photos = of_steps(self.unit, line.steps) if line is not None else ()
        if line is None or not photos:
            self.say("No photo is linked to this line. 8 shows all photos and links a folder.")
            return
        keys = [row_key(p) for p in photos]
        self.logbook.open("picture", self.CODE, f"{line.number} photos", keys)

    def action_note(self) -> None:
        """Write into the note of the line's step."""
        from logbook.model.paths import put_at

        code = self._step_of_line()
        step = self.unit.step(code) if code else None
        if step is None:
            return
        path = ("steps", code, "note")
        self.ask(
            f"note/{code}",
            f"{code} note",
            step.note,
            "It belongs to the step as it came apart; a line ticked already will say “look again”.",
            lambda text: self.kept(f"{code}: note", lambda u: put_at(u, path, text)),
        )

    def action_record(self) -> None:
        """Open the record of the line's step."""
        if code := self._step_of_line():
            self.app.push_screen(FormScreen(self.session, self.CODE, ("steps", code)))

    def _step_of_line(self) -> str:
        line = self.current_line()
        if line is None or not line.steps:
            self.say("This line belongs to no step." if line is not None else "The cursor is on no line of the list.")
            return ""
        return line.steps[0]

    def action_why(self) -> None:
        """Why the line stands here, and what it waits for."""
        named = self._named()
        if named is None:
            return
        _, line, _ = named
        question = f"{line.number} {line.title}: why here?"
        self.app.push_screen(PageScreen(self.session, self.CODE, "why", question, partial(self._whys, line.key)))

    def _whys(self, key: str) -> list[str]:
        view = view_of(self.session, self.CODE, self.view)
        line = view.listed.by_key.get(key)
        if line is None:
            return ["This line is no longer on the list."]
        ready = view.ready[key]
        said = ["# Why it stands here", *(line.why_here or ("It is where the record put it.",))]
        if ready.done:
            return [*said, "# It is done"]
        said += ["# " + ("It can be done now" if ready.ready else "Why it is not ready"), *ready.reasons]
        beside = [x for x in free_of(view.listed, key) if not view.ready[x.key].done]
        return [*said, *(["# Free of it: in any order, or side by side"] if beside else ()), *map(_numbered, beside)]

    def action_left_over(self) -> None:
        """What keeps the unit from being closed."""
        question = "What must be done or explained before this can be closed?"
        self.app.push_screen(PageScreen(self.session, self.CODE, "before closing", question, self._left_overs))

    def _left_overs(self) -> list[str]:
        return [x.sentence for x in left_over(self.unit)] or [
            "Nothing. It can be closed: stage, with G at the arrival."
        ]

    def action_range(self) -> None:
        """Ask which lines were ticked on paper."""
        version = self.session.kept(self.CODE).version
        help_text = (
            f"As on the paper: A01-A07, A09. A reading in brackets: A01 (452.0). Not of version {version}: A09 v3."
        )
        self.ask("range", "Ticked on paper", "", help_text, self._take_range)

    def _take_range(self, text: str) -> None:
        lines, printed, on_paper = read_ticks(self.session, self.CODE, text)
        what = f"{lines} ticked from paper of version {on_paper}"
        made: list[Ticked] = []

        def edit(unit: Unit, override: str = "", **_: object) -> Unit:
            at, here = self.session.now, from_shop(unit, self.session.shop, self.session.today)
            made.append(tick_from_paper(unit, lines, at, self.initials, override, printed=printed, of_shop=here))
            return made[-1].unit

        why, hold = refused(self.unit, edit), refused(self.unit, partial(edit, override="-"))
        since = changes_since(self.session, self.CODE, on_paper)
        if hold:
            raise InputError(hold)
        if why:
            self.ask_why("override/range", "Not ready. Why done?", why, what, edit)
        else:
            self.kept(what, edit)
        told = (*made[-1].moved, *made[-1].changed, *since)
        if told:
            question = f"The paper is of version {on_paper}; the record has changed since."
            self.app.push_screen(PageScreen(self.session, self.CODE, "since the paper", question, lambda: told))


def _numbered(line: RefitLine) -> str:
    return f"{line.number} {line.title}"


def _first_unread(view: RefitView, line: RefitLine) -> str:
    """Key of the first member of a set whose reading is still to be written; the first one when all are.

    Members with a hold point come before those without.
    """
    for _, key in sorted(line.ticks, key=lambda tick: line.hold_for(tick[0]) is None):
        state = view.states.get(key)
        if state is None or not state.reading.strip():
            return key
    return line.tick_keys[0]
