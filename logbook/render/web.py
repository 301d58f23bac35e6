"""Blocks as one web page that needs nothing beside it: pictures inside, no script, readable on a phone.

The template escapes everything it is given; a policy in the page forbids scripts and anything from outside.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from logbook.errors import InputError
from logbook.render.blocks import Block
from logbook.render.paper_data import block_values
from logbook.render.typeset import paper_template

TEMPLATE = "page.html"


def web_page(
    blocks: Sequence[Block],
    *,
    title: str,
    footer: str,
    picture: Callable[[str], str | None],
    own: Path | None = None,
) -> str:
    """Blocks as a whole HTML document.

    Args:
        blocks: `Page.blocks`.
        title: the title of the document.
        footer: what stands at its end: the record, its version and date.
        picture: a photo as a `data:` address; None when it cannot be shown.
        own: a person's own data folder, whose `templates/paper` comes first.

    Raises:
        InputError: the template cannot be used, with its name and line.
    """
    from jinja2 import Environment, StrictUndefined, TemplateError

    source = paper_template(TEMPLATE, own)
    try:
        made = Environment(autoescape=True, undefined=StrictUndefined).from_string(source.decode("utf-8"))
        values = block_values(blocks, picture)
        return made.render(lang="en", title=title, footer=footer, blocks=values) + "\n"
    except (TemplateError, UnicodeDecodeError) as error:
        raise InputError(f"The template {TEMPLATE}{_line(error)} cannot be used: {error}.") from error


def _line(error: Exception) -> str:
    """Where in the template it went wrong; a mistake found while it ran is traced to the template's own line."""
    number = getattr(error, "lineno", None)
    trace = error.__traceback__
    while number is None and trace is not None:
        if trace.tb_frame.f_code.co_filename == "<template>":
            number = trace.tb_lineno
        trace = trace.tb_next
    return f", line {number}" if number is not None else ""
