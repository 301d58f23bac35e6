"""A place inside the record of a unit or of the shop, by its path: what forms, lists and new things have in common."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar

from textual.widgets import Input

from logbook.errors import LogbookError
from logbook.model.base import Frozen
from logbook.model.paths import Path, begun, value_at, words_of
from logbook.model.record_edits import sound
from logbook.model.shop import Shop
from logbook.model.typed_values import Context
from logbook.model.unit import Unit
from logbook.session import Session
from logbook.tui.actions import EVERYWHERE, Act
from logbook.tui.screen_frame import BookScreen
from logbook.tui.widgets.pick import Pick

Edit = Callable[[Frozen], Frozen]
WHERE_LETTERS_TYPE = frozenset({"back", "find", "keys", "guide", "palette"})
"""What works everywhere and is no letter: the only common keys of a place where letters are typed."""
TOPIC_OF_LIST = {
    "arrival": "arrival", "hazards": "holds", "proofs": "holds", "steps": "bench-line", "sets": "pairs",
    "relations": "order", "sub_assemblies": "order", "photos": "photos", "components": "to-buy", "parts": "to-buy",
    "consumables": "to-buy", "cost_lines": "costs", "comparators": "costs", "stop_lines": "costs", "spent": "costs",
    "held_dimensions": "case", "case": "case", "operations": "work-and-plan", "waiting": "arrival",
    "settings": "settings", "offcuts": "pile-and-saw", "shelf": "settings", "tools": "settings",
    "sellers": "settings", "free_time": "settings", "usual_work": "work-and-plan", "order_rules": "work-and-plan",
}  # fmt: skip
"""The page of the guide about each list of a unit or of the shop."""


class RecordScreen(BookScreen):
    """A place inside a unit's record, or inside the shop's when the code is empty."""

    ACTS: ClassVar[tuple[Act, ...]] = ()

    def __init__(self, session: Session, code: str, path: Path) -> None:
        super().__init__(session)
        self.CODE = code
        self.path = path

    def place(self) -> str:
        """The unit and the way into its record."""
        head = f"{self.CODE} {self.session.unit(self.CODE).name}" if self.CODE else "Shop"
        return f"{head} / {words_of(self.path)}" if self.path else head

    def topic(self) -> str:
        """The page of the guide about the list that this is in; about forms where none is."""
        return TOPIC_OF_LIST.get(str(self.path[0]), self.TOPIC) if self.path else self.TOPIC

    def story_of(self) -> str:
        """The unit's story, or the shop's."""
        return self.CODE

    def root(self) -> Unit | Shop:
        """The record this place is inside of."""
        return self.session.unit(self.CODE) if self.CODE else self.session.shop

    def value(self) -> object:
        """What is at this place; details that nobody wrote yet are there with nothing said.

        Raises:
            InputError: it is gone.
        """
        return value_at(begun(self.root(), self.path), self.path)

    def context(self) -> Context:
        """What typed days and amounts are read against."""
        return Context(self.session.shop_now, self.session.shop.settings.currency)

    def keys_now(self) -> list[tuple[str, str, str]]:
        """While something is asked, the keys of the question."""
        if isinstance(self.focused, Input):
            return [("Enter", "keep", ""), ("Esc", "cancel", "screen.back")]
        return super().keys_now()

    def _catch_up(self) -> None:
        try:
            self.value()
        except LogbookError as error:  # undone or taken out meanwhile: there is nothing to show here any more
            self.call_later(self._gone, str(error))
            return
        super()._catch_up()

    def _gone(self, why: str) -> None:
        if self.is_current and len(self.app.screen_stack) > 2:
            self.app.pop_screen()
            if isinstance(self.app.screen, BookScreen):
                self.app.screen.say(why)

    def edit(self, what: str, change: Edit, said: str | None = None) -> bool:
        """Keep an edit of the unit or of the shop as one change; a refusal is said and nothing is lost.

        Args:
            what: in words, for the history.
            change: from the record, with the details on the way to this place there, to the new one.
            said: what is said when it went well; None says `what`.
        """

        def whole(record: Frozen) -> Frozen:
            after = sound(record, change(begun(record, self.path)), self.path)
            return record if after == record else after

        said = what if said is None else said
        if self.CODE:
            return self.tried(said, partial(self.session.apply, self.CODE, what, whole))  # type: ignore[arg-type]
        return self.tried(said, partial(self.session.apply_shop, what, whole))  # type: ignore[arg-type]


class TypingScreen(RecordScreen):
    """A place where letters are typed, so that none of them is a command."""

    ACTS: ClassVar[tuple[Act, ...]] = ()

    @classmethod
    def all_acts(cls) -> tuple[Act, ...]:
        """Its own actions, and of the common ones those that are no letters."""
        own = {a.id for a in cls.ACTS}
        return (*cls.ACTS, *(a for a in EVERYWHERE if a.id in WHERE_LETTERS_TYPE and a.id not in own))

    def menu_is_open(self) -> bool:
        """Whether a numbered menu waits for a digit."""
        return any(pick.is_open for pick in self.query(Pick))
