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

ROUNDS = 3
"""How often all between the focus and the program is asked to finish: the key, what it sent, what that opened."""
LONGEST_SECONDS = 0.5
"""After that the next key acts in any case."""


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

    def key_comes(self) -> None:
        """A key is about to act. Nothing here; for the program built on this."""

    async def _act(self, event: events.Key | events.Paste) -> None:
        plain = self._is_text(event)
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
