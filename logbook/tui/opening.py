"""Opening any place of a record as what it is: a list, a form, or the first questions of something new."""

from __future__ import annotations

from logbook.model.fields import fields_of
from logbook.model.paths import Path, value_at
from logbook.tui.frame import BookScreen
from logbook.tui.screens.form import FormScreen, ListScreen, NewScreen, record_kind
from logbook.tui.widgets.rows import Rows


def open_path(screen: BookScreen, code: str, path: Path, field: str = "") -> None:
    """Open what is at `path` of the unit `code` (empty: the shop); details not there yet are begun as new.

    Args:
        screen: from where; Escape leads back to it.
        code: the unit, or empty for the shop.
        path: into its record; empty for the record itself.
        field: name of the field that the cursor is put on.
    """
    session = screen.session
    root = session.unit(code) if code else session.shop
    value = value_at(root, path)
    if isinstance(value, tuple):
        screen.app.push_screen(ListScreen(session, code, path))
        return
    if value is None:
        kind = record_kind(root, path)
        if any(f.required for f in fields_of(kind)):
            screen.app.push_screen(NewScreen(session, code, path, kind))
        return
    form = FormScreen(session, code, path)
    screen.app.push_screen(form)
    if field:
        form.call_after_refresh(lambda: form.query_one("#fields", Rows).go_to(field))


def add_to(screen: BookScreen, code: str, path: Path) -> None:
    """Ask for what a new thing of the list at `path` needs, keep it and open its form."""
    session = screen.session
    root = session.unit(code) if code else session.shop
    screen.app.push_screen(NewScreen(session, code, path, record_kind(root, path), of_list=True))
