"""What a move of the cursor sends to the terminal: at most 1 KB, counted as the terminal would get it.

At 80x24 a list stands alone, so what is counted is the move itself. Where more than the row changes under the cursor
(a line opens, a drawing follows) the place has a limit of its own, so that it never grows unseen.
"""

from __future__ import annotations

import pytest
from textual._compositor import CompositorUpdate

from logbook.session import Session
from logbook.tui.app import LogbookApp
from tests.tui.every_screen import SCREENS

MOST = 1024
"""Bytes of a move of the cursor."""
MORE = {
    "dangers": 2900,  # a danger and its advice, with ground and without, are five rows each
    "reassembly": 6600,  # the line under the cursor opens its groups, and what is below moves down
    "case": 1800,  # the panel under the cursor is drawn heavy in the front view
    "plan": 1800,  # the block of the work under the cursor is drawn in the week
    "form of a step": 1250,  # fields of several rows each, such as what came off
    "store": 1400,  # the head says what is added to the list under the cursor
    "scrap pile": 2250,  # the piece under the cursor is drawn to scale
}
"""Places that send more, with the reason."""


async def sent_by_a_move(session: Session, name: str) -> int:
    """Bytes that a move of the cursor down sends; the first move may bring the keyboard to the list.

    Of two moves the lesser one: a plan that arrives meanwhile is drawn as well, and is no matter of the cursor.
    """
    app = LogbookApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        if name != "bench":
            await app.push_screen(SCREENS[name](session))
        await pilot.pause(0.1)
        await pilot.press("down")
        await pilot.pause(0.1)
        sent: list[int] = []
        draw = app._display

        def counted(screen: object, what: object) -> None:
            if isinstance(what, CompositorUpdate):
                sent.append(len(what.render_segments(app.console).encode()))
            draw(screen, what)  # type: ignore[arg-type]

        app._display = counted  # type: ignore[assignment]
        moves = []
        for key in ("down", "up", "down"):
            sent.clear()
            await pilot.press(key)
            await pilot.pause(0.1)
            if key == "down":
                moves.append(sum(sent))
        return min(moves)


ASKS = ("leaving", "find")
"""A question on leaving is answered by the first key; the finder begins its list with it."""


@pytest.mark.parametrize("name", [name for name in SCREENS if name not in ASKS])
async def test_a_move_of_the_cursor_sends_little(demo: Session, name: str) -> None:
    assert await sent_by_a_move(demo, name) <= MORE.get(name, MOST)
