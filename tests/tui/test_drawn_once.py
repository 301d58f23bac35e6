"""A place is drawn right the first time: the panes beside each other stand there in its first picture."""

from __future__ import annotations

import pytest

from logbook.session import Session
from logbook.tui.app import LogbookApp
from logbook.tui.screens.paper_screen import PaperScreen
from tests.tui.conftest import lines_on


@pytest.mark.parametrize("size", [(120, 40), (160, 50)])
async def test_the_first_picture_is_the_last_one_but_for_the_pane_that_waits(
    demo: Session, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list has its columns at once; only what the pane beside says comes when the cursor rests."""
    app = LogbookApp(demo)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        screen, shown = PaperScreen(demo, "R1"), []
        draw = app._display

        def drawn(of: object, what: object) -> None:
            draw(of, what)  # type: ignore[arg-type]
            if of is screen:
                shown.append([line[:76] for line in lines_on(pilot)])

        monkeypatch.setattr(app, "_display", drawn)
        await app.push_screen(screen)
        await pilot.pause(0.2)
        body = slice(2, -1)
        assert shown
        assert all(picture[body] == shown[0][body] for picture in shown)
