"""The order of one step: what must come off before it, what it holds up, and what is free of it."""

from __future__ import annotations

from functools import partial, reduce
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.widgets import Static

from logbook.errors import CircleError, LogbookError
from logbook.model.edits import UnitEdit, relate, state_order, unrelate
from logbook.model.paths import put_at
from logbook.model.step import Relation
from logbook.model.unit import Unit
from logbook.model.words import OrderBasis, RelationKind
from logbook.session import Session
from logbook.teardown.relations import Near, around, relations_typed
from logbook.tui.actions import Act
from logbook.tui.look.inks import BLANK, Line
from logbook.tui.order_words import KINDS, Seen, circle, kinds_line, seen_from, whole_order
from logbook.tui.plain_content import plain
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.teardown_rows import step_in_full
from logbook.tui.widgets.ask import Ask
from logbook.tui.widgets.input_line import last_word_of
from logbook.tui.widgets.list_beside import ListBeside, list_columns
from logbook.tui.widgets.pane import BREAKPOINTS
from logbook.tui.widgets.rows import Rows


def _kind_act(number: int, kind: RelationKind) -> Act:
    words = _KIND_HELP[kind]
    return Act(f"order.kind{number}", str(number), f"add({number})", str(kind), f"State: {words}", number == 1)


_KIND_HELP = {
    RelationKind.MUST: "another step must come off before this one (it holds it, or it is in the way)",
    RelationKind.BETTER: "another step better comes off before, because that protects something",
    RelationKind.TOGETHER: "this and another step came out together, as one lump",
    RelationKind.LOOSEN: "another step is loosened before this one and removed later",
    RelationKind.THREADED: "something of another step goes on first when this joint is made again",
    RelationKind.REFIT: "this one goes back before another step; nothing is said about how they came off",
    RelationKind.TEST: "another step covers this place, so a test comes before it is covered again",
}


class OrderScreen(BookScreen):
    """The order seen from one step, or of the whole unit."""

    TOPIC = "order"
    HORIZONTAL_BREAKPOINTS = BREAKPOINTS
    ACTS: ClassVar[tuple[Act, ...]] = (
        *(_kind_act(number, kind) for number, kind in enumerate(KINDS, 1)),
        Act("order.remove", "x", "remove", "take out", "Take the relation under the cursor back", True),
        Act("order.free", "f", "free", "free / proven", "Let the step be free, or keep its recorded place", True),
        Act("order.all", "g", "all", "whole order", "The order of the whole unit, or of this step again", True),
        Act("order.go", "enter", "go", "go there", "Look at the order from the step under the cursor"),
        Act("order.next", "right", "beside(1)", "next step", "The next step in the record"),
        Act("order.previous", "left", "beside(-1)", "step before", "The step before this one"),
        Act("order.protects", "t", "protects", "protects", "“Better before”: whether it still protects something"),
        Act("order.items", "i", "items", "items", "“Threaded on before”: which items go on first"),
        Act("order.why", "w", "why", "why", "Say why the step under the cursor stands there"),
        Act("order.edit", "E", "edit", "all fields", "All fields of the relation under the cursor"),
        Act("order.implied", "h", "implied", "hidden ones", "Show or hide what other relations say already"),
    )

    def __init__(self, session: Session, code: str, step: str) -> None:
        super().__init__(session)
        self.CODE = code
        self._step = step
        self._whole = not step
        self._show_implied = False
        self._near: dict[str, Near] = {}

    @property
    def unit(self) -> Unit:
        """The record shown."""
        return self.session.unit(self.CODE)

    def place(self) -> str:
        """The unit, and the step when it is one step's order."""
        of = "whole order" if self._whole else f"order of {self._step}"
        return f"{self.CODE} {self.unit.name} / teardown / {of}"

    def compose_body(self) -> ComposeResult:
        """The answer in a sentence, the steps around, and the line to type in."""
        yield Static("", id="question", classes="question")
        yield Static("", id="basis", classes="facts")
        yield ListBeside("around", "Order", self._in_full, pane_title="The step")
        yield Static("", id="kinds", classes="facts")
        yield Ask(id="ask")

    def first_focus(self) -> str:
        """The list."""
        return "#around"

    def keys_now(self) -> list[tuple[str, str, str]]:
        """The kinds are named in a line of their own."""
        keys = super().keys_now()
        return [
            (f"1-{len(KINDS)}", "state it", action) if key == "1" else (key, label, action)
            for key, label, action in keys
        ]

    def show_record(self) -> None:
        """One step's order, or the whole; a circle in the record is shown so that it can be opened."""
        if not self._whole and self.unit.step(self._step) is None:
            self._whole = True
        seen = self._seen()
        self._near = seen.near
        self.query_one("#question", Static).update(plain(seen.question, limit=400))
        self.query_one("#basis", Static).update(plain(seen.facts))
        kinds = "" if self._whole else kinds_line(self.columns - 2)
        shown = self.query_one("#kinds", Static)
        shown.update(plain(kinds, lines=True))
        shown.display = bool(kinds)
        self.query_one(ListBeside).show(seen.rows)

    def _seen(self) -> Seen:
        columns = list_columns(self.columns)
        try:
            if self._whole:
                return whole_order(self.unit, columns)
            return seen_from(self.unit, around(self.unit, self._step), columns, implied=self._show_implied)
        except CircleError as error:
            return circle(self.unit, error, columns)

    def _in_full(self, columns: int, _rows: int) -> list[Line]:
        """The step under the cursor; of one step's order that step where the cursor is on none."""
        step = self.unit.step(self._current_step() or self._step)
        return [BLANK] if step is None else step_in_full(self.unit, step, self.session.shop_now, columns)

    # What can be done

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """What needs one step cannot be done in the whole order."""
        needs_relation = action in {"remove", "protects", "items", "why", "edit"}
        return not self._whole or not (action in {"add", "free", "implied"} or (needs_relation and not self._near))

    def _current_near(self) -> Near | None:
        row = self.query_one(Rows).current
        return self._near.get(row.key) if row is not None else None

    def _current_relation(self) -> Relation | None:
        near = self._current_near()
        if near is not None and near.relation is not None:
            return near.relation
        self.say("Put the cursor on a stated relation first.", "error")
        return None

    def _current_step(self) -> str:
        row = self.query_one(Rows).current
        if row is not None and row.key.startswith("step "):
            return row.key.removeprefix("step ")
        near = self._current_near()
        return near.code if near is not None else ""

    def _keep(self, what: str, edit: UnitEdit) -> bool:
        return self.tried(what, partial(self.session.apply, self.CODE, what, edit))

    @on(Rows.Chosen)
    def _chosen(self) -> None:
        self.action_go()

    def action_go(self) -> None:
        """Look from the step under the cursor."""
        if code := self._current_step():
            self._look_from(code)

    def action_beside(self, by: int) -> None:
        """The next step of the record, or the one before."""
        codes = [s.code for s in self.unit.steps]
        if codes:
            here = codes.index(self._step) if self._step in codes else -by
            self._look_from(codes[(here + by) % len(codes)])

    def _look_from(self, code: str) -> None:
        self._step, self._whole = code, False
        self._catch_up()

    def action_all(self) -> None:
        """The whole order, or the step's again."""
        self._whole = not self._whole or not self._step
        self._catch_up()

    def action_implied(self) -> None:
        """Show or hide what others say already."""
        self._show_implied = not self._show_implied
        self._catch_up()

    def action_free(self) -> None:
        """Free, or in its recorded place."""
        step = self.unit.step(self._step)
        if step is not None:
            proven = step.order is OrderBasis.PROVEN
            basis = OrderBasis.STATED if proven else OrderBasis.PROVEN
            words = "rests on what is stated" if proven else "keeps its recorded place"
            self._keep(f"{self._step} {words}", lambda u: state_order(u, self._step, basis))

    def action_add(self, number: int) -> None:
        """Ask for the other step of a relation of this kind."""
        kind = KINDS[number - 1]
        self.query_one(Ask).ask(
            str(number),
            _asked(kind, self._step),
            help=_how_to_name(kind, self._step),
            suggester=last_word_of(s.code for s in self.unit.steps),
        )

    @on(Ask.Answered)
    def _answered(self, event: Ask.Answered) -> None:
        ask = self.query_one(Ask)
        try:
            edit, what = self._edit_of(event)
            edit(self.unit)
        except LogbookError as error:
            ask.refuse(str(error))
            return
        if self._keep(what, edit):
            ask.close()
            self.query_one(Rows).focus()
        else:
            ask.refuse("It was not kept; it stays here.")

    def _edit_of(self, event: Ask.Answered) -> tuple[UnitEdit, str]:
        if event.key.startswith("items "):
            index = int(event.key.removeprefix("items "))
            return lambda u: put_at(u, ("relations", index, "items"), event.text.strip()), "items that go on first"
        kind = KINDS[int(event.key) - 1]
        relations = relations_typed(self.unit, self._step, kind, event.text)
        said = "; ".join(_words(r) for r in relations)
        return lambda u: reduce(relate, relations, u), f"stated: {said}"

    @on(Ask.Left)
    def _left(self) -> None:
        self.query_one(Rows).focus()

    def action_remove(self) -> None:
        """Take the relation back."""
        if (r := self._current_relation()) is not None:
            self._keep(f"no longer stated: {_words(r)}", lambda u: unrelate(u, r))

    def action_protects(self) -> None:
        """Whether a “better before” still protects something."""
        r = self._current_relation()
        if r is not None and r.kind is not RelationKind.BETTER:
            self.say("Only “better before” protects something.", "error")
        elif r is not None:
            index = self.unit.relations.index(r)
            words = "protects nothing any more" if r.still_protects else "still protects something"
            path = ("relations", index, "still_protects")
            self._keep(f"{r.earlier} better before {r.later} {words}", lambda u: put_at(u, path, not r.still_protects))

    def action_items(self) -> None:
        """Ask which items go on first."""
        r = self._current_relation()
        if r is not None and r.kind is not RelationKind.THREADED:
            self.say("Only “threaded on before” names items.", "error")
        elif r is not None:
            index = self.unit.relations.index(r)
            self.query_one(Ask).ask(f"items {index}", "Items that go on first", r.items, "Such as: sleeve, cap, nipple")

    def action_edit(self) -> None:
        """All fields of the relation."""
        if (r := self._current_relation()) is not None:
            self.logbook.open("form", self.CODE, ("relations", self.unit.relations.index(r)))

    def action_why(self) -> None:
        """Why the step under the cursor stands there."""
        near = self._current_near()
        if near is None:
            self.say("Put the cursor on a step first.", "error")
        elif near.relation is None:
            self.say(f"{near.code}: {near.why}. Nobody stated it; f lets {self._step} rest on what is stated only.")
        else:
            r = near.relation
            self.say(f"{r.earlier} {r.kind} {r.later}" + (f": {r.why}" if r.why else ". Why was not written (e)."))


def _words(r: Relation) -> str:
    """A relation in words, the step that it begins with first."""
    if r.kind is RelationKind.REFIT:
        return f"{r.later} goes back before {r.earlier}"
    return f"{r.earlier} {r.kind} {r.later}"


def _asked(kind: RelationKind, step: str) -> str:
    """The question for the other step of a relation."""
    if kind is RelationKind.REFIT:
        return f"{step} goes back before which?"
    return f"{kind}:" if kind is RelationKind.TOGETHER else f"What {_ASKED[kind]} {step}?"


def _how_to_name(kind: RelationKind, step: str) -> str:
    """How the other step is typed, and how the other way round."""
    if kind is RelationKind.REFIT:
        return f"Codes of steps, such as T05, for the way back alone; “after T12” when {step} goes back later."
    return f"Codes of steps, such as T05; “before T12” when {step} comes first."


_ASKED = {
    RelationKind.MUST: "must come off before",
    RelationKind.BETTER: "better comes before",
    RelationKind.LOOSEN: "is loosened before",
    RelationKind.THREADED: "is threaded on before",
    RelationKind.TEST: "covers",
}
