"""Opening any place of a record as what it is: a list, a form, or the first questions of something new."""

from __future__ import annotations

from logbook.model.base import Frozen
from logbook.model.paths import Path, begun, can_begin, record_kind, value_at
from logbook.tui.screen_frame import BookScreen
from logbook.tui.screens.form_screen import FormScreen, ListScreen
from logbook.tui.screens.new_thing_screen import NewScreen


def open_path(screen: BookScreen, code: str, path: Path, field: str = "") -> None:
    """Open what is at `path` of the unit `code` (empty: the shop); details not there yet are begun as new.

    Args:
        screen: from where; Escape leads back to it.
        code: the unit, or empty for the shop.
        path: into its record; empty for the record itself.
        field: name of the field that the cursor is put on.
    """
    session, root = screen.session, _root(screen, code)
    value = value_at(begun(root, path), path)
    if isinstance(value, tuple):
        screen.app.push_screen(ListScreen(session, code, path))
        return
    if value is None:
        kind = record_kind(root, path)
        if not can_begin(kind):
            screen.app.push_screen(NewScreen(session, code, path, kind))
        return
    form = FormScreen(session, code, path)
    screen.app.push_screen(form)
    if field:
        form.call_after_refresh(form.go_to, field)


def add_to(screen: BookScreen, code: str, path: Path, like: Path | None = None) -> None:
    """Ask for a new thing of the list at `path` and come back with the cursor on it.

    Args:
        screen: from where; it is told what was added.
        code: the unit, or empty for the shop.
        path: the list in its record.
        like: the thing that the new one is a copy of, but for what is typed; None for a new one.
    """
    root = _root(screen, code)
    copied = None if like is None else value_at(root, like)
    kind = record_kind(root, path)
    screen.app.push_screen(NewScreen(screen.session, code, path, kind, of_list=True, like=copied))


def _root(screen: BookScreen, code: str) -> Frozen:
    return screen.session.unit(code) if code else screen.session.shop
