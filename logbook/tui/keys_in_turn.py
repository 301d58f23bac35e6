"""Keys one after another: what a key opens is there before the next key acts, however fast they come.

Without this, keys typed ahead of a slow screen would still go to the place before: a letter meant as text
would be a command there. A key that is text for the field in focus never waits.
"""

from __future__ import annotations

from collections import deque
from functools import partial

from textual import events
from textual.app import App, ScreenStackError
from textual.message_pump import MessagePump
from textual.widgets import Input

from logbook.tui.typed_on import GoesTo, OneKeyQuestion, TypedOn

ROUNDS = 3
"""How often all between the focus and the program is asked to finish: the key, what it sent, what that opened."""
LONGEST_SECONDS = 5.0
"""After that the next key acts in any case. A busy machine may take a second to open a place: the time is for a
key whose effect never ends."""


class KeysInTurn(App[None]):
    """A program that holds back a key until the one before has had its effect."""

    _turn = 0
    _busy = False

    async def on_event(self, event: events.Event) -> None:
        """Hold back keys and pasted text while a key is at work."""
        if not isinstance(event, events.Key | events.Paste) or event.is_forwarded:
            await super().on_event(event)
        elif self._busy:
            self._held.append(event)
        else:
            await self._act(event)

    @property
    def _held(self) -> deque[events.Key | events.Paste]:
        if not hasattr(self, "_held_keys"):
            self._held_keys: deque[events.Key | events.Paste] = deque()
        return self._held_keys

    @property
    def text_typed_on(self) -> TypedOn:
        """What is held back because it is text behind an answer of one key."""
        if not hasattr(self, "_text_typed_on"):
            self._text_typed_on = TypedOn()
        return self._text_typed_on

    def key_comes(self) -> None:
        """A key is about to act. Nothing here; for the program built on this."""

    def was_typed_on(self, text: str) -> None:
        """Text came behind an answer of one key and was held back. Nothing here; for the program built on this."""

    def goes_on_as_text(self, at: float) -> bool:
        """Whether a key that came at this time is the beginning of a text, of which the next letter waits already."""
        behind = next(iter(self._held), None)
        if not isinstance(behind, events.Key) or not behind.is_printable:
            return False
        return self.text_typed_on.together(at, behind.time)

    async def _act(self, event: events.Key | events.Paste) -> None:
        plain = self._is_text(event)
        if isinstance(event, events.Key) and self.text_typed_on.holds_back(event, self._goes_to(event, plain)):
            if event.is_printable:
                self.was_typed_on(self.text_typed_on.text)
            return
        self.key_comes()
        await super().on_event(event)
        if not plain:
            self._busy = True
            self._turn += 1
            self.set_timer(LONGEST_SECONDS, partial(self._finished, self._turn))
            self._begin_round(self._turn, ROUNDS)

    async def act_first(self, key: str, character: str | None) -> None:
        """Let a key act before any that is held back: one that left a place and is meant for the place behind."""
        again = events.Key(key, character)
        if self._busy:
            self._held.appendleft(again)
        else:
            await self._act(again)

    def _goes_to(self, event: events.Key, plain: bool) -> GoesTo:
        asked = self.focused
        if isinstance(asked, OneKeyQuestion):
            return GoesTo.ANSWER if asked.takes(event) else GoesTo.NO_ANSWER
        return GoesTo.TEXT if plain else GoesTo.COMMAND

    def _is_text(self, event: events.Key | events.Paste) -> bool:
        """Whether it is only text for the field in focus, so that nothing else can come of it."""
        field = self.focused
        if not isinstance(field, Input):
            return False
        return isinstance(event, events.Paste) or (
            event.is_printable and field.check_consume_key(event.key, event.character)
        )

    def _begin_round(self, turn: int, left: int) -> None:
        try:
            self._pass_up(self.focused or self.screen, turn, left)
        except ScreenStackError:  # the program is ending: nothing is there to act on
            self._busy = False

    def _pass_up(self, pump: MessagePump | None, turn: int, left: int) -> None:
        """Wait behind what `pump` still has to do, then behind its parent, up to the program itself."""
        if pump is None or pump is self or not pump.call_later(self._pass_up, pump._parent, turn, left):
            self.call_later(self._round_over, turn, left)

    async def _round_over(self, turn: int, left: int) -> None:
        if turn == self._turn and self._busy:
            if left > 1:
                self._begin_round(turn, left - 1)
            else:
                await self._finished(turn)

    async def _finished(self, turn: int) -> None:
        """The key has had its effect: the next one."""
        if turn != self._turn or not self._busy:
            return
        self._busy = False
        while self._held and not self._busy:
            await self._act(self._held.popleft())
