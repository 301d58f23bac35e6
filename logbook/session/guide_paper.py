"""The guide on paper and in files: one page of it, or all, in the same forms as the papers of a unit."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from logbook.errors import InputError
from logbook.model.guide_pages import GuidePage
from logbook.render.guide_document import whole_guide
from logbook.session.papers import Form, MadePaper, Wish, own_folder

FORMS = (Form.PDF, Form.TEXT, Form.MARKDOWN, Form.HTML)
"""What the guide can be made as: it is no table."""


def make_guide(pages: Sequence[GuidePage], wish: Wish, key_of: Callable[[str], str]) -> MadePaper:
    """Make a document of pages of the guide.

    Args:
        pages: one page, or several, each on a sheet of its own.
        wish: the form, the paper and the size of the type.
        key_of: the key of an action, as bound now, by its name.

    Raises:
        InputError: something that the form needs is not installed, or a template cannot be used.
    """
    if wish.form not in FORMS:
        raise InputError("The guide is no table: choose PDF, text, Markdown or a web page.")
    name = pages[0].topic if len(pages) == 1 else "whole"
    title = f"guide: {pages[0].title}" if len(pages) == 1 else "guide"
    raw, notes = _raw(pages, wish, key_of, title)
    return MadePaper(raw, f"guide-{name}.{wish.form}", notes)


def _raw(
    pages: Sequence[GuidePage], wish: Wish, key_of: Callable[[str], str], title: str
) -> tuple[bytes, tuple[str, ...]]:
    """The bytes of the document, and what could not be shown."""
    page = whole_guide(pages, key_of, wish.width)
    if wish.form is Form.TEXT:
        return page.text().encode(), ()
    if wish.form is Form.MARKDOWN:
        from logbook.render.markdown import markdown

        return markdown(page.blocks).encode(), ()
    if wish.form is Form.HTML:
        from logbook.render.web import web_page

        shown = web_page(page.blocks, title=title, footer=title, picture=_no_photo, own=own_folder())
        return shown.encode(), ()
    from logbook.render.paper_data import block_values
    from logbook.render.typeset import typeset

    values = {
        "title": title, "footer": title, "paper": wish.paper, "large": wish.large,
        "blocks": block_values(page.blocks, _no_photo),
    }  # fmt: skip
    done = typeset("sheet.typ", values, own=own_folder())
    return done.pdf, done.notes


def _no_photo(_: str) -> None:
    return None
