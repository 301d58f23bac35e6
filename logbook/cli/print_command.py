"""A unit on paper and in files: `logbook print UNIT WHAT`."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.cli.books import CommandCall, code_in
from logbook.cli.output import columns, write, write_bytes
from logbook.errors import InputError
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.session.papers import Wish


def print_(call: CommandCall) -> int:
    """Print a document of a unit, to a file or to the output."""
    from logbook.session.opened import SHOP
    from logbook.session.papers import make_paper, put_paper, source_of

    wish = _wish(call)
    with call.read() as session:
        typed = call.options.unit
        is_shop = typed == "shop" or (typed.upper() == "SHOP" and "SHOP" not in session.codes())
        made = make_paper(source_of(session, SHOP if is_shop else code_in(session, typed), wish.what), wish)
    for note in made.notes:
        write(f"logbook: {clean(note, limit=1000)}\n", sys.stderr)
    if _to_output(call):
        write_bytes(made.raw)
        return 0
    if call.options.to is None and wish.form not in ("pdf", "html"):
        write(made.raw.decode("utf-8"))
        return 0
    target = Path(made.name) if call.options.to is None else Path(os.path.expanduser(call.options.to))
    put = put_paper(made, target, replace=call.options.replace)
    write(f"Printed into {clean(str(put.resolve()), limit=500)}\n")
    return 0


def ticks(call: CommandCall) -> int:
    """Enter the ticks made on a printed list; what changed since it was printed is said."""
    from logbook.session.ticks_from_paper import take_ticks

    o = call.options
    with call.write() as session:
        code = code_in(session, o.unit)
        try:
            taken = take_ticks(
                session, code, " ".join(o.lines), version=o.version, initials=call.by, override=o.although
            )
        except InputError as error:
            anyway = "say why it is done anyway"
            raise InputError(str(error).replace(anyway, f"{anyway} with --although")) from error
    for sentence in taken.sentences:
        write(f"{clean(sentence, limit=1000)}\n")
    return 0


def starters(call: CommandCall) -> int:
    """List the kinds of object to start from, or show one."""
    from logbook.model.starters import starters as read
    from logbook.render.starters_document import starter_page, starters_page
    from logbook.session.papers import own_folder

    found = read(own_folder())
    for problem in found.problems:
        write(f"logbook: {clean(problem, limit=2000)}\n", sys.stderr)
    if call.options.as_json:
        shown = [found.named(call.options.name)] if call.options.name else list(found.all)
        values = [s.model_dump(mode="json", exclude_defaults=True) for s in shown]
        write(json.dumps(values[0] if call.options.name else values, indent=2, ensure_ascii=True) + "\n")
        return 0
    if call.options.name:
        page = starter_page(found.named(call.options.name), columns())
    else:
        page = starters_page(found, own_folder(), columns())
    write(page.text())
    return 0


def _to_output(call: CommandCall) -> bool:
    """Whether the document goes out as it is: `--to -`, or a pipe when nothing else is said."""
    if call.options.to is not None:
        return bool(call.options.to == "-")
    return sys.stdout is not None and not sys.stdout.isatty()


def _wish(call: CommandCall) -> Wish:
    """What was asked for. Raises InputError when it cannot be."""
    from logbook.model.label_sheets import sheet_named
    from logbook.render.labels import LabelKind
    from logbook.session.papers import Form, Paper, Wish, own_folder

    o = call.options
    form = o.form or _ending(o.to)
    if form not in [*Form]:
        raise InputError(f"There is no form “{form}”. There are: {', '.join(Form)}.")
    kinds: list[LabelKind] = []
    for word in filter(None, (w.strip().lower() for w in (o.kind or "").split(","))):
        if word.removesuffix("s") not in [*LabelKind]:
            raise InputError(f"There are no labels for “{word}”. There are: {', '.join(LabelKind)}.")
        kinds.append(LabelKind(word.removesuffix("s")))
    paper = {"letter": "us-letter"}.get(o.paper, o.paper)
    if o.what == Paper.LABELS:
        sheet_named(o.sheet, own_folder())
    return Wish(
        Paper(o.what), Form(form), paper, o.large, tuple(kinds), o.sheet, o.start, o.outline, o.width or columns()
    )


def _ending(to: str | None) -> str:
    """The form that a file's name asks for; PDF when it asks for none."""
    ending = Path(to).suffix.lstrip(".").lower() if to and to != "-" else ""
    return {"": "pdf", "markdown": "md", "text": "txt", "htm": "html"}.get(ending, ending)
