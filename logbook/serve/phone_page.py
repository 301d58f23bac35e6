"""The pages for the phone, made from the templates in `templates/phone`: what a person typed is never markup in them.

Each page works as plain HTML; its scripts only make it quicker, and keep what is pressed while there is no connection.
Nothing from elsewhere is loaded: scripts, styles and pictures come from the page's own address.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from logbook.model.templates import template_bytes, template_folder
from logbook.render.plain import clean

if TYPE_CHECKING:
    from jinja2 import Environment

FILES: Mapping[str, str] = {
    "phone.css": "text/css",
    "pictures.js": "text/javascript",
    "outbox.js": "text/javascript",
    "page.js": "text/javascript",
}
"""What the pages load, each by its name alone, and its type."""

LONGEST_SHOWN = 4000
"""Characters of one text that are shown; the record keeps all of them."""


def page(name: str, base: str, nonce: str, values: Mapping[str, object] | None = None) -> str:
    """A page of the phone.

    Args:
        name: of the template, without its ending.
        base: the address below which everything lies, with the token.
        nonce: names the scripts and styles of the page, so that no other can run.
        values: what the template is given.
    """
    usual = {"base": base, "nonce": nonce, "here": name, "said": "", "bad": False, "alone": False}
    return _templates().get_template(f"{name}.html").render({**usual, **(values or {})})


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        autoescape=True,
        undefined=StrictUndefined,
        loader=FileSystemLoader(template_folder("phone")),
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _shown(value: Any) -> Any:
    """A text as it can be shown: no control character, no mark that turns the reading direction."""
    is_typed = type(value) is str  # what a template itself makes of HTML is `Markup`
    return clean(value, limit=LONGEST_SHOWN, lines=True) if is_typed else value


def file_of(name: str) -> bytes:
    """The bytes of one of `FILES`. Raises KeyError for any other name."""
    if name not in FILES:
        raise KeyError(name)
    return template_bytes(f"phone/{name}")
