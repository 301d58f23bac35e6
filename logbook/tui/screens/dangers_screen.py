"""The dangers in force: what to do before, how each is proved safe, and one key that writes down that it is."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import InputError
from logbook.model.dangers import danger_key, is_electrical
from logbook.model.edits import with_changes
from logbook.model.paths import put_at, value_at
from logbook.model.proofs import (
    initials_of,
    is_live,
    last_instrument,
    live_warning,
    reading_like,
    reading_question,
    readings_of,
    reads_live_now,
    taken_words,
    with_proof,
)
from logbook.model.step import Hazard, Proof, Step
from logbook.model.templates import hazard_note
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.teardown.beside_the_step import ActiveHazard, dangers_in_force
from logbook.tui.actions import Act
from logbook.tui.asking import AskingPlace
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.plain_content import plain
from logbook.tui.screens.dangers_rows import danger_entries, danger_in_full, entry_key
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS, WIDE
from logbook.tui.widgets.rows import Rows

NONE = (
    "No danger is written down for this unit; that does not mean that there is none. The arrival section (1) brings "
    "the usual ones of its class with c."
)
CORRECTED = "put right"


class DangersScreen(AskingPlace):
    """Every danger of a unit with what proved it safe; a digit proves one."""

    TOPIC = "holds"
    DRAFTS = "dangers"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        *(
            Act(f"danger.prove{i}", str(i), f"prove({i})", f"prove {i}", f"Danger {i} is proved safe: by what")
            for i in range(1, 10)
        ),
        Act("danger.prove", "enter", "prove_here", "prove safe", "The danger under the cursor is proved safe", True),
        Act("danger.correct", "E", "correct", CORRECTED, "Put right what proved the danger under the cursor", True),
    )
    DEFAULT_CSS = "DangersScreen #question { max-height: 5; }"

    def __init__(self, session: Session, code: str, step: str = "", own: Sequence[Hazard] = (), here: str = "") -> None:
        """Make the place.

        Args:
            session: the open book.
            code: the unit.
            step: code of the step that is about to be done, kept with each proof.
            own: hazards of that step, or of the line of the list, that are not in the record yet as such.
            here: the danger that the cursor starts on.
        """
        super().__init__(session)
        self.CODE = code
        self._step = step
        self._own = tuple(own)
        self._here = here
        self._begun: tuple[Proof, ...] = ()
        self._typed = ""
        """The reading as it was typed, while the questions after it are open."""
        self._at: tuple[str | int, ...] = ()

    @property
    def unit(self) -> Unit:
        """The record."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit and the place."""
        return f"{self.CODE} {self.unit.name} / dangers"

    def compose_body(self) -> ComposeResult:
        """The caution, the dangers, and the line to type in."""
        yield Static("", id="question", classes="question")
        yield ListBeside("dangers", "Dangers in force", self._in_full)
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The dangers."""
        return "#dangers"

    def focus_list(self) -> None:
        """Back to the dangers."""
        self.query_one("#dangers", Rows).focus()

    def keys_now(self) -> list[tuple[str, str, str]]:
        """The digits come first: they need no cursor."""
        keys = super().keys_now()
        if self.query_one(Ask).is_open or not self._active():
            return keys
        return [("digit", "prove one safe", ""), *keys]

    def show_record(self) -> None:
        """Each danger: how it stands, what to do before, how it is proved safe."""
        active, columns = self._active(), self.columns
        self.query_one("#question", Static).update(plain(hazard_note() if active else NONE, limit=400))
        entries = danger_entries(active, list_columns(columns), alone=columns < WIDE)
        self.query_one(ListBeside).show(entries)
        if self._here:
            self.query_one("#dangers", Rows).go_to(self._here)
            self._here = ""

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The danger under the cursor, in groups."""
        danger = self._current()
        return [BLANK] if danger is None else danger_in_full(danger, columns)

    def _active(self) -> tuple[ActiveHazard, ...]:
        """In the order of the record, those of the step last: a digit means the same danger at every step."""
        recorded = dangers_in_force(self.unit, self.session.shop_now)
        if not self._own:
            return recorded
        step = Step(code=self._step_code(), what="-", hazards=self._own)
        active = dangers_in_force(self.unit, self.session.shop_now, step=step)
        standing = {danger_key(danger.hazard.what): i for i, danger in enumerate(recorded)}
        return tuple(sorted(active, key=lambda a: standing.get(danger_key(a.hazard.what), len(standing))))

    def _step_code(self) -> str:
        """A code for the hazards that are no step's in the record."""
        return self._step or "X1"

    # Proving

    def action_prove(self, number: int) -> None:
        """Ask what proves the danger of that number safe."""
        active = self._active()
        if number > len(active):
            self.say(f"There is no danger {number} here.", "error")
        else:
            self.query_one("#dangers", Rows).go_to(entry_key(active[number - 1]))
            self._ask_reading(active[number - 1], Proof(danger=active[number - 1].hazard.what, reading="-"), ())

    @on(Rows.Chosen, "#dangers")
    def action_prove_here(self) -> None:
        """Ask what proves the danger under the cursor safe."""
        danger = self._current()
        if danger is None:
            self.say("No danger is under the cursor.", "error")
        else:
            self._ask_reading(danger, Proof(danger=danger.hazard.what, reading="-"), ())

    def action_correct(self) -> None:
        """Ask again for what was written down last."""
        danger = self._current()
        if danger is None or danger.proof is None:
            self.say("Nothing proved it yet: Enter writes down what does.", "error")
        elif not danger.proof.path:
            self.say(f"It is a measurement of {danger.proof.step}: put it right there, in 2.", "error")
        else:
            proof = value_at(self.unit, danger.proof.path)
            self._ask_reading(danger, proof, danger.proof.path)

    def _current(self) -> ActiveHazard | None:
        row = self.query_one("#dangers", Rows).current
        return next((a for a in self._active() if row is not None and entry_key(a) == row.key), None)

    def _ask_reading(self, danger: ActiveHazard, proof: Proof, at: tuple[str | int, ...]) -> None:
        self._begun, self._at = (proof,), at
        how = danger.hazard.prove or f"Like {reading_like(danger.hazard.what)}."
        help_text = f"{danger.hazard.what}. {how}{self._how_of_members(danger)}"
        value = f"{proof.member} {proof.reading}".strip() if at else ""
        key = f"reading/{danger.hazard.what}"
        self._typed = ""
        self.ask(key, f"1 of 3. {reading_question(danger.hazard.what)}", value, help_text, self._read, replace=True)

    def _how_of_members(self, danger: ActiveHazard) -> str:
        """How a reading at one of a set is typed, where the unit has sets."""
        if not self.unit.sets:
            return ""
        first, *_, last = self.unit.sets[0].members
        like = reading_like(danger.hazard.what)
        return f" At one alone: {first.code} {like}; at each: {first.code} {like}, {last.code} {like}."

    def _read(self, text: str) -> None:
        before = self._proofs()[0]
        readings = readings_of(self.unit, before.danger, text)
        if self._at and len(readings) > 1:
            raise InputError("One reading is put right here. Enter on the danger writes down those of several.")
        proofs = tuple(with_changes(before, member=member, reading=reading) for member, reading in readings)
        if any(is_live(proof.danger, proof.reading) for proof in proofs):
            self._keep_live(proofs)
            return
        self._begun, self._typed = proofs, text
        value = before.instrument if self._at else last_instrument(self.unit, before.danger)
        offered = f"Enter takes “{value}”." if value else "Like “by hand”, or blank."
        read = ", ".join(f"{proof.member} {proof.reading}".strip() for proof in proofs)
        help_text = f"{read}. {offered} Nothing is kept before the initials."
        self.ask("instrument", "2 of 3. With what?", value, help_text, self._measured_with, replace=True)

    def _measured_with(self, text: str) -> None:
        instrument = " ".join(text.split())
        proofs = self._begun = tuple(with_changes(proof, instrument=instrument) for proof in self._proofs())
        value = (proofs[0].by if self._at else "") or self.session.by
        did = "measured" if is_electrical(proofs[0].danger) else "checked"
        self.ask("by", "3 of 3. Initials", value, f"Of whoever {did}.", self._keep, replace=True)

    def left_half_way(self) -> None:
        """What was read stays in the line for the next time, and that it proves nothing yet is said."""
        if not self._begun or not self._typed:
            return
        danger = self._begun[0].danger
        self.keep_draft(f"reading/{danger}", self._typed)
        self.say(
            f"Not kept: {danger} is not proved by {self._typed} before all 3 are answered. Enter goes on.", "error"
        )
        self._begun, self._typed = (), ""

    def _keep(self, text: str) -> None:
        proofs = self._proofs()
        by = initials_of(proofs[0].danger, text)
        self._write(tuple(with_changes(proof, by=by) for proof in proofs))

    def _keep_live(self, proofs: tuple[Proof, ...]) -> None:
        """A live reading is written down at once: Escape at a further question must not lose it.

        In place of a dead one it is a new reading, so that the record tells of both.
        """
        if self._at and reads_live_now(self._proofs()[0], proofs[0]):
            self._at = ()
        self._write(tuple(with_changes(proof, by=self.session.by or proof.by) for proof in proofs))
        self.say(live_warning(proofs), "error")

    def _write(self, proofs: tuple[Proof, ...]) -> None:
        """Keep them: a reading put right at its place, new ones with the time."""
        if self._at:
            (proof,) = proofs
            at, what = self._at, f"{proof.danger} {CORRECTED}: {proof.reading}"
            edit = partial(_put, at=at, proof=proof)
        else:
            taken = [with_changes(proof, at=self.session.now, step=self._step) for proof in proofs]
            what = "; ".join(taken_words(with_changes(proof, instrument="")) for proof in taken)
            edit = partial(_with_all, proofs=taken)
        if not self.tried(what, partial(self.session.apply, self.CODE, what, edit)):
            raise InputError("It was not kept; it stays here.")
        self._begun, self._typed = (), ""

    def _proofs(self) -> tuple[Proof, ...]:
        if not self._begun:
            raise InputError("Nothing is being proved; Esc goes back.")
        return self._begun


def _with_all(unit: Unit, proofs: Sequence[Proof]) -> Unit:
    return with_proof(unit, *proofs)


def _put(unit: Unit, at: tuple[str | int, ...], proof: Proof) -> Unit:
    return put_at(unit, at, proof)
