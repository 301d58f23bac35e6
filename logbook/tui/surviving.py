"""A fault in what a widget does with a message ends neither the widget nor the program.

Without this, one fault in a handler ends the loop of its widget, and with it everything that is open and half typed.
"""

from __future__ import annotations

from textual.message import Message
from textual.message_pump import MessagePump
from textual.worker import Worker, WorkerState


class Surviving(MessagePump):
    """Hands a fault to the program, which says it and writes it down, and goes on with the next message.

    Stands first among the bases of a screen or widget of this project.
    """

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except Exception as fault:  # noqa: BLE001 - whatever it is, the next key must find its place
            self.app._handle_exception(fault)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """A fault in what works beside the screen is one like any other, while there is somebody to tell."""
        if event.state is WorkerState.ERROR and isinstance(event.worker.error, Exception) and self.is_attached:
            self.app._handle_exception(event.worker.error)
