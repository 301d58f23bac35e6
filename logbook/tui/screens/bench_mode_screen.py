"""Bench mode: the teardown one step at a time, in one line of plain words or by single keys.

The line has the cursor from the start, and everything typed is text. Tab goes to the single keys and back;
they write into the same line, so that the line and the keys always say one thing. Enter keeps the step.
"""

from __future__ import annotations

from functools import partial

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from logbook.errors import InputError, StoreError
from logbook.model.photo_edits import WHOLE_UNIT, at_step
from logbook.model.proofs import is_live, live_warning
from logbook.model.step import Step
from logbook.model.words import RelationKind
from logbook.render.plain import clean
from logbook.serve.incoming import Bench
from logbook.session import Session
from logbook.teardown.before_keeping import AskedFirst, BeforeKeeping, asked_before_keeping
from logbook.teardown.bench_line import LineReading
from logbook.teardown.beside_the_step import ActiveHazard, OpenDead, active_hazards, open_dead, stop_is_open
from logbook.teardown.complete_line import completions
from logbook.teardown.draft import StopAnswer, new_draft, toggled_order, with_answer, with_stop_skipped
from logbook.teardown.hold_answers import hold_is_open, how_to_answer, open_hold_name, with_hold_answered
from logbook.teardown.offered_word import with_offered_word
from logbook.teardown.relations import relations_typed
from logbook.teardown.step_keeping import kept_with_photos, line_of, planned_next
from logbook.tui.bench_words import (
    STOP_DIGITS,
    before_lines,
    desk_line,
    same_lines,
    stop_list,
)
from logbook.tui.leaving import leave_with_questions
from logbook.tui.look.inks import Line, hanging, line, signal, wrap
from logbook.tui.plain_content import plain
from logbook.tui.screens.bench_mode_rows import danger_rows, desk_rows, hold_rows, in_force, last_rows, same_rows
from logbook.tui.single_keys import KEY_ACTS, SingleKeys
from logbook.tui.step_words import draft_lines, reading_in_words
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.input_line import Completing
from logbook.tui.widgets.letter_menu import Letters
from logbook.tui.widgets.pane import BREAKPOINTS, Pane
from logbook.tui.widgets.step_line import StepLine

ROWS_OF_THE_REST = 13
"""Rows of everything but the dangers and what came before, when the step has as few as it can do with."""
LEAST_DANGER_ROWS = 2
LOW = 24
"""Below so many rows the desk is not told of at the bench, and kinds used before take one row."""
ROOMY = 30
"""From so many rows on the last steps stand below the line."""
LISTS_OF_LETTERS = frozenset({"how", "also", "flag", "connection"})
"""Lists in which letters choose; in the others digits do."""
DRAFT_SECONDS = 2.0
"""How often a half-typed line is put on disk while it is typed."""


class Draft(Pane, can_focus=True, inherit_bindings=False):
    """The step as the line says it. It has the focus while single keys are in use, and its arrows are theirs too."""


class BenchModeScreen(SingleKeys):
    """One step at a time. `code` is the unit's."""

    TOPIC = "bench-line"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    DEFAULT_CSS = """
    BenchModeScreen #main { height: 1fr; min-height: 8; }
    BenchModeScreen #draft { height: 3fr; min-height: 5; }
    BenchModeScreen #draft:focus { border: round $accent; border-title-color: $accent; }
    BenchModeScreen.-narrow #draft:focus, BenchModeScreen.-normal #draft:focus {
        border: none; border-top: solid $accent; }
    BenchModeScreen #line-row { height: 3; border: round $foreground-muted 60%; border-title-color: $primary;
                                border-title-style: bold; }
    BenchModeScreen #line-row:focus-within { border: round $accent; border-title-color: $accent; }
    BenchModeScreen.-narrow #line-row, BenchModeScreen.-normal #line-row {
        height: 2; border: none; border-top: solid $foreground-muted 60%; }
    BenchModeScreen.-narrow #line-row:focus-within, BenchModeScreen.-normal #line-row:focus-within {
        border: none; border-top: solid $accent; }
    BenchModeScreen.-bare-signs #line-row, BenchModeScreen.-bare-signs #line-row:focus-within,
    BenchModeScreen.-bare-signs #draft:focus { border: ascii $accent; }
    BenchModeScreen.-bare-signs.-narrow #line-row, BenchModeScreen.-bare-signs.-normal #line-row,
    BenchModeScreen.-bare-signs.-narrow #line-row:focus-within,
    BenchModeScreen.-bare-signs.-normal #line-row:focus-within,
    BenchModeScreen.-bare-signs.-narrow #draft:focus, BenchModeScreen.-bare-signs.-normal #draft:focus {
        border: none; border-top: ascii $accent; }
    BenchModeScreen #line-label { width: 10; padding: 0 1; }
    BenchModeScreen #reading { min-height: 2; max-height: 4; }
    BenchModeScreen #same, BenchModeScreen #desk { height: auto; max-height: 2; padding: 0 1; }
    BenchModeScreen #last { height: 2fr; display: none; }
    BenchModeScreen.-roomy #last { display: block; }
    BenchModeScreen #beside { display: none; width: 46; }
    BenchModeScreen.-wide #beside { display: block; }
    BenchModeScreen.-broad #beside { display: block; width: 62; }
    BenchModeScreen.-wide #same, BenchModeScreen.-wide #desk,
    BenchModeScreen.-broad #same, BenchModeScreen.-broad #desk { display: none; }
    BenchModeScreen #kinds { height: auto; max-height: 11; }
    BenchModeScreen #to-complete { height: auto; max-height: 10; }
    BenchModeScreen.-low #desk { display: none; }
    BenchModeScreen.-asking #draft { min-height: 2; }
    BenchModeScreen.-asking #reading, BenchModeScreen.-asking #last,
    BenchModeScreen.-asking #same, BenchModeScreen.-asking #desk { display: none; }
    BenchModeScreen.-asking.-low #draft { display: none; }
    """

    def __init__(self, session: Session, code: str) -> None:
        super().__init__(session, code)
        self._offered = ""
        self.kept_here = 0
        """Steps kept since this place was opened."""
        self._rows_before = 1

    def focus_keys(self) -> None:
        """Single keys act while the step itself has the focus."""
        self.query_one(Draft).focus()

    def place(self) -> str:
        """The unit and the step being written."""
        code = self.editing or new_draft(self.unit).code
        step = self.base
        how = "" if step is None else " (planned, to be done now)" if step.planned else " (put right)"
        return f"{self.CODE} {self.unit.name} / teardown, step {code}{how}"

    def compose_body(self) -> ComposeResult:
        """What came before, dangers, the step, the line and its reading; same kinds, dangers and desk beside them."""
        yield Static("", id="before", classes="facts")
        yield Pane(self._dangers, id="dangers", classes="-bare")
        with Horizontal(id="main"):
            with Vertical():
                yield Draft(self._draft, id="draft")
                with Horizontal(id="line-row") as row:
                    row.border_title = "Line"
                    yield Static("line >", id="line-label")
                    yield StepLine(placeholder="what came off, how, 4 screw M4x10, bag 1 ...", id="line")
                yield Pane(self._how_it_reads, id="reading", classes="-bare")
                yield Static("", id="same")
                yield Static("", id="desk")
                yield Pane(self._last, title="Last steps", id="last")
            with Vertical(id="beside"):
                yield Pane(lambda columns, _: same_rows(self.unit, columns), title="Same as before", id="kinds")
                yield Pane(self._in_force, title="In force now", id="in-force")
                yield Pane(
                    lambda columns, _: desk_rows(self.unit, columns), title="To complete at the desk", id="to-complete"
                )
        yield Letters(id="letters")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The line."""
        return "#line"

    def on_mount(self) -> None:
        """Take up a line that was left half typed."""
        editing = self.session.draft(f"{self.CODE}/line-of")
        self.editing = editing if self.unit.step(editing) is not None else ""
        self.set_line(self.session.draft(f"{self.CODE}/line"))
        if self.editing:
            self._offered = self._offer(self.editing)
        self.line.suggester = Completing(
            lambda text: next(iter(completions(text, self.unit, limit=1)), None),
            lambda text: with_offered_word(text, self.reading()),
        )
        self.watch(self.line, "selection", self._cursor_moved, init=False)
        self.set_interval(DRAFT_SECONDS, self.save_draft)

    def on_screen_suspend(self) -> None:
        """Another place comes to the front: nothing typed is lost."""
        self.save_draft()

    # What is shown

    def show_record(self) -> None:
        """The record around the step, and the step."""
        unit, columns = self.unit, self.columns - 2
        if self.editing and unit.step(self.editing) is None:
            self.editing = self._offered = ""
        before = before_lines(unit, columns, fresh=not self.kept_here, code=self.editing)
        self._rows_before = len(before)
        self._show("#before", before)
        low = self.size.height < LOW
        self.set_class(low, "-low")
        self.set_class(self.size.height >= ROOMY, "-roomy")
        self._show("#same", same_lines(unit, columns, most=1 if low else 2))
        self._show("#desk", [desk_line(unit, columns)])
        for pane in ("#kinds", "#to-complete"):
            self.query_one(pane, Pane).update()
        self.show_draft()

    def _in_force_now(self) -> tuple[ActiveHazard, ...]:
        return active_hazards(self.unit, self.session.shop_now, step=self.base)

    def _dangers(self, columns: int, _: int) -> list[Line]:
        """The open hold point, and the dangers in as many rows as the step and the line leave them."""
        holds = hold_rows(self.unit, columns, but=self.editing)
        free = (self.size.height or self.app.size.height) - ROWS_OF_THE_REST - self._rows_before - len(holds)
        most = LEAST_DANGER_ROWS if self.has_class("-asking") else max(LEAST_DANGER_ROWS, free)
        return [*holds, *danger_rows(self._in_force_now(), f"step {self.editing}", columns, most)]

    def _in_force(self, columns: int, rows: int) -> list[Line]:
        return in_force(self._in_force_now(), columns, rows)

    def _last(self, columns: int, rows: int) -> list[Line]:
        return last_rows(self.unit, columns, rows, self.editing)

    def _draft(self, columns: int, rows: int) -> list[Line]:
        offered = f"bag {self.next_bag()}, b"
        return draft_lines(self.reading(), columns, rows, offered, planned=self._planned_now())

    def _how_it_reads(self, columns: int, _: int) -> list[Line]:
        """How the phrase under the cursor is read, and what is in doubt."""
        read, doubt = reading_in_words(self.reading(), self.line.cursor_position)
        rows = wrap(read, columns, "muted")
        return [*rows, *(hanging(line(signal("NOTE", "wait"), " "), doubt, columns, "wait") if doubt else [])]

    def show_draft(self) -> None:
        """The step as the line says it, how the line was read, and before it the dangers."""
        dangers = self.query_one("#dangers", Pane)
        dangers.display = bool(self._dangers(self.columns - 2, 0))
        draft = self.query_one(Draft)
        draft.entitle(f"Step {self.reading().step.code}")
        for pane in (dangers, draft, self.query_one("#in-force", Pane), self.query_one("#last", Pane)):
            pane.update()
        self._show_reading()

    def _cursor_moved(self) -> None:
        if self.stands:
            self._show_reading()

    def _show_reading(self) -> None:
        self.query_one("#reading", Pane).update()

    def _show(self, where: str, lines: list[str] | tuple[str, ...]) -> None:
        self.query_one(where, Static).update(plain("\n".join(lines), limit=6000, lines=True))

    @on(Input.Changed, "#line")
    def _typed(self) -> None:
        self.show_draft()
        self._keys_again()

    def keys_now(self) -> list[tuple[str, str, str]]:
        """What the keys do now: they depend on whether they are text."""
        letters = self.query_one(Letters)
        if letters.is_open:
            done = [("Enter", "done", "")] if letters.key == "stop" else []
            choose = "yes, no, not needed, blank" if letters.key == "stop" else "choose"
            return [
                ("letter" if letters.key in LISTS_OF_LETTERS else "digit", choose, ""),
                *done,
                ("Esc", "back to the step", ""),
            ]
        if self.query_one(Ask).is_open:
            return super().keys_now()
        if not self.line.has_focus:
            return self._single_keys()
        keys = [
            ("Enter", "keep", "screen.keep"),
            ("Tab", "single keys", "screen.turn"),
            ("Esc", "leave", "screen.back"),
        ]
        if active_hazards(self.unit, self.session.shop_now, step=self.base):
            keys += [("F7", "dangers", "screen.why")]
        if self.line.value:
            keys += [("F6", "bag", "screen.bag"), ("F5", "photo", "screen.photo")]
        else:
            keys += [("Up", "last step", "screen.older")]
        return [*keys, ("F1", "help", "screen.guide")]

    def _single_keys(self) -> list[tuple[str, str, str]]:
        """The single keys: behind the ten-second set a member, a hold point and a connection."""
        keys = super().keys_now()
        wanted = ["step.hold", "step.connection"]
        wanted = ["step.member", *wanted] if self._sets() else wanted
        more = [(a.key, a.label, f"screen.{a.action}") for i in wanted for a in KEY_ACTS if a.id == i]
        return [*keys[:4], *more, *keys[4:]]

    def on_descendant_focus(self) -> None:
        """The word before the line says whether keys are text, and of whom they speak, without any colour."""
        if self.is_attached:
            keys = f"keys {self.member}" if self.set_of_member() is not None else "keys"
            self.query_one("#line-label", Static).update("line >" if self.line.has_focus else keys)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """While a question stands nothing else happens by a slip."""
        return not self.query_one(Ask).is_open or action in {"back", "keys", "guide", "palette", "copy"}

    def help_lines(self) -> list[tuple[str, str]]:
        """The keys of this place, with a word on the line before them."""
        return [
            ("typing", "Everything typed goes into the line: what came off, how, 4 screw M4x10, bag 2, photo. Commas"),
            ("", "part the phrases; the order after the first does not matter. No letter is ever taken as a key."),
            ("pair", "In the line it makes a left and a right, “set of 4 drawers” four; the step is for each of them."),
            ("", "Where they are made already, “each” or “both” says the same, and “right 1 missing” what differs."),
            ("Tab", "Then single keys and digits write into the same line; Tab again goes back to typing."),
            ("Right", "Takes what stands in grey behind the cursor: a kind, bag or word used before."),
            *super().help_lines(),
        ]

    def text_to_copy(self) -> str:
        """The line."""
        return self.line.value

    # The line

    def save_draft(self) -> None:
        """Keep what is half typed, so that leaving loses nothing; a step that was only looked at is no draft."""
        unchanged = bool(self.editing) and self.line.value == self._offered
        try:
            self.session.keep_draft(f"{self.CODE}/line", "" if unchanged else self.line.value)
            self.session.keep_draft(f"{self.CODE}/line-of", "" if unchanged else self.editing)
        except StoreError as error:
            self.say(str(error), "error")

    # Keeping

    @on(Input.Submitted, "#line")
    def action_keep(self) -> None:
        """Keep the step; one that cannot be undone is asked about first."""
        reading = self.reading()
        if self.editing and self.line.value == self._offered and not self._planned_now():
            self._new_line(f"{self.editing} stays as it is.")
        elif (first := asked_before_keeping(reading, self.unit, self.session.by)) is not None:
            self._ask_first(first)
        else:
            self._keep(reading)

    def _ask_first(self, first: BeforeKeeping) -> None:
        """What must be answered before the step is kept."""
        if first.dead is not None:
            self._ask_dead(first.dead)
        elif first.waiting is not None:
            self._ask_hold(first.waiting)
        elif first.asked is AskedFirst.STOP:
            self._ask_stop()
        else:
            self.say(first.why or "What came off? Write that first: it is all a step must say.", "error")
            self.action_type()

    def _planned_now(self) -> bool:
        """Whether the step in the line is a planned one that is to be done now."""
        return self.base is not None and self.base.planned

    def _keep(self, reading: LineReading) -> None:
        code, what = reading.step.code, clean(reading.step.what, limit=60)
        said = f"{code} kept: {what}"
        now, by = self.session.now, self.session.by
        edit = partial(kept_with_photos, reading=reading, at=now, by=by)
        if self.tried(said, partial(self.session.apply, self.CODE, f"step {code}: {what}", edit)):
            self.kept_here += 1
            self._new_line()
            self._say_hold(said, code)
            if warning := live_warning(reading.step.proofs):
                self.say(f"{reading.step.code} kept. {warning}", "error")

    def _say_hold(self, said: str, code: str) -> None:
        """After a step whose hold point is open: that it is."""
        step = self.unit.step(code)
        if step is not None and (waits := hold_is_open(step)) and not step.planned:
            self.say(f"{said}. {clean(waits, limit=100)}", "error")

    def _new_line(self, said: str = "") -> None:
        self.editing = self._offered = ""
        self.kind = self.member = ""
        self.set_line("")
        self.save_draft()
        self.line.focus()
        self._catch_up()
        if said:
            self.say(said)

    def photo_bench(self) -> Bench:
        """The step in the line: one that is in the record, or the one that is being written."""
        code = self.reading().step.code
        here, step = f"{self.CODE} {code}", self.unit.step(code)
        if step is not None:
            return Bench(self.CODE, at_step(code), f"{here} {clean(step.what, limit=40)}")
        return Bench(self.CODE, WHOLE_UNIT, f"{here}, the step being written", for_next=True)

    # Other steps

    def action_older(self) -> None:
        """The step before the one in the line, to put it right."""
        self._go_to_step(-1)

    def action_newer(self) -> None:
        """The step after the one in the line; after the last one come an empty line and what is planned."""
        self._go_to_step(1)

    def _go_to_step(self, by: int) -> None:
        if self.line.value != self._offered:
            self.say("The line is not kept yet: Enter keeps it, or clear it (Ctrl+U) and try again.", "error")
            return
        done = [s.code for s in self.unit.steps if not s.planned]
        codes = [*done, "", *(s.code for s in planned_next(self.unit))]
        at = codes.index(self.editing) + by
        if not 0 <= at < len(codes):
            self.say("There is no step further up." if by < 0 else "Nothing more is planned.")
            return
        self.editing = codes[at]
        self._offered = self._offer(codes[at])
        self.set_line(self._offered)
        self._catch_up()

    def _offer(self, code: str) -> str:
        """The line offered for a step: as it stands in the record, or for a planned one as it is done now."""
        step = self.unit.step(code)
        if step is None:
            return ""
        return clean(line_of(self.unit, step.model_copy(update={"planned": False})), limit=10_000)

    # Which danger is dead

    def _ask_dead(self, dead: OpenDead) -> None:
        words = {str(i): danger for i, danger in enumerate(dead.dangers[:9], 1)}
        read = clean(dead.reading, limit=40)
        live = is_live(dead.dangers[0], dead.reading)
        question = f"What is not dead: where was {read} read?" if live else f"What was proved dead by {read}?"
        self.offer("dead", f"{question} Esc goes back.", words, set())

    def dead_named(self, letter: str) -> None:
        """The danger of that digit is the one that was proved dead."""
        self.close_letters()
        dead = open_dead(self.reading(), self.unit)
        if dead is not None:
            self.set_line(dead.named(self.line.value, dead.dangers[int(letter) - 1]))
            self.action_keep()

    # The hold point that is open

    def _ask_hold(self, step: Step) -> None:
        """Before more comes off: what was read at the open hold point, or why work goes on without."""
        hold = clean(hold_is_open(step), limit=200)
        self.ask(f"hold {step.code}", f"HOLD {open_hold_name(step)} at {step.code}", f"{hold}. {how_to_answer(step)}")

    def _answer_hold(self, code: str, text: str) -> None:
        now = self.session.now
        with_hold_answered(self.unit, code, text, now)  # refused before the question is put away
        self.close_ask()
        edit = partial(with_hold_answered, code=code, text=text, at=now)
        said = f"hold point of {code} answered"
        if self.tried(said, partial(self.session.apply, self.CODE, said, edit)):
            self.action_keep()

    # The stop question

    def _ask_stop(self) -> None:
        self.offer("stop", *stop_list(self.reading().step), stays=True)

    @on(Letters.Entered)
    def _stop_entered(self) -> None:
        if stop_is_open(self.reading().step):
            self.say("Answer at least one by its digit, or press s and say why it is skipped.", "error")
            return
        self.close_letters()
        self.action_keep()

    def stop_answered(self, letter: str) -> None:
        """A digit of the stop list answers its question; `s` asks why it is skipped."""
        if letter in STOP_DIGITS:
            self.change(partial(with_answer, answer=StopAnswer(STOP_DIGITS[letter])))
            self._ask_stop()
        else:
            self.close_letters()
            self.ask("skip", "Why is it skipped?", "One sentence; it is shown again before the refit.")

    # Leaving

    def action_back(self) -> None:
        """From the single keys to the line; from the line one place back."""
        if not self.line.has_focus:
            self.action_type()
            return
        self.save_draft()
        if self._to_be_asked():
            leave_with_questions(self, self.CODE)
        else:
            super().action_back()

    def action_leave(self) -> None:
        """Leave the program."""
        self.save_draft()
        if self._to_be_asked():
            leave_with_questions(self, self.CODE, self.logbook.leave)
        else:
            super().action_leave()

    def _to_be_asked(self) -> bool:
        """Whether something was taken off here, so that it is left half apart."""
        return bool(self.kept_here) and not self.session.read_only

    # Questions

    def ask(self, key: str, label: str, help_text: str = "") -> None:
        """Ask for one line of text above the message line."""
        self.add_class("-asking")
        self.query_one(Ask).ask(key, label, help=help_text)

    def close_ask(self) -> None:
        """Put the question away and go back to the line."""
        self.query_one(Ask).close()
        self.remove_class("-asking")
        self.line.focus()

    @on(Ask.Left)
    def _question_left(self) -> None:
        self.close_ask()

    def action_order(self) -> None:
        """Ask what must come off before it."""
        self.ask("after", "Comes off after which steps?", "Codes such as T05; a code named already is taken back.")

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        """The reason for skipping the stop question, an open hold point, or the steps that come before this one."""
        text = " ".join(event.text.split())
        try:
            if event.key == "skip":
                self._skip(text)
            elif event.key.startswith("hold "):
                self._answer_hold(event.key.removeprefix("hold "), text)
            else:
                self._name_order(text)
        except InputError as error:
            self.query_one(Ask).refuse(str(error))

    def _skip(self, because: str) -> None:
        if not because:
            raise InputError("A reason is needed; Esc goes back to the step.")
        self.close_ask()
        self.change(partial(with_stop_skipped, because=because))
        self.action_keep()

    def _name_order(self, text: str) -> None:
        code, line = self.reading().step.code, self.line.value
        relations = relations_typed(self.unit, code, RelationKind.MUST, text)
        if any(r.later != code for r in relations):
            raise InputError("Only what comes off before it is said here; the rest is said at the desk (o).")
        for relation in relations:
            line = toggled_order(line, self.unit, relation.earlier, code=self.editing or None)
        self.close_ask()
        self.set_line(line)
