"""The scrap pile and the layout of a unit on it, as commands."""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.cli.books import CommandCall, code_in
from logbook.cli.output import write
from logbook.cli.search_progress import searched
from logbook.errors import InputError, LogbookError
from logbook.model.plural import counted
from logbook.render.plain import clean

if TYPE_CHECKING:
    from logbook.layout.asked import PartKind
    from logbook.layout.pile_view import Look
    from logbook.layout.saw import Saw
    from logbook.model.unit import Unit
    from logbook.session import Session

MOST_BYTES = 20_000_000


def show_pile(call: CommandCall) -> int:
    """Print the scrap pile, or take pieces in from a table; 1 when a piece is wanted twice."""
    if call.options.take_in:
        return _take_in(call)
    from logbook.cli.shared import say_problems, width, write_json
    from logbook.layout.pile_table import pile_table
    from logbook.layout.reservations import conflicts
    from logbook.render.pile_document import pile_data, pile_text

    with call.read() as session:
        look = _look(session)
        if call.options.as_csv:
            write(pile_table(look.shop.offcuts))
        elif call.options.as_json:
            write_json(pile_data(look))
        else:
            write(pile_text(look, by=call.options.by_order, width=width(call)))
        say_problems(session)
        return 1 if conflicts(look.shop, session.book().units.values()) and not call.options.as_csv else 0


def _look(session: Session) -> Look:
    from logbook.cli.shared import today, whole_book
    from logbook.layout.pile_view import Look
    from logbook.layout.reservations import claims_on

    claims = session.over_all(lambda: claims_on(session.shop, whole_book(session).units.values()))
    return Look(session.shop, claims, today(session))


def _take_in(call: CommandCall) -> int:
    from logbook.cli.shared import today
    from logbook.layout.pile_table import taken_in

    name = call.options.take_in
    text = _text_of(name)
    with call.write() as session:
        new = taken_in(text, session.shop, today(session))
        if new.added or new.changed:
            what = f"pieces taken in from {'a table' if name == '-' else Path(name).name}"
            session.apply_shop(clean(what, limit=200), lambda s: s.model_copy(update={"offcuts": new.pile}))
        said = [f"{len(new.added)} new"] + ([f"({', '.join(new.added[:20])})"] if new.added else [])
        said += [f"and {len(new.changed)} changed"] + ([f"({', '.join(new.changed[:20])})"] if new.changed else [])
        write(f"Taken in: {' '.join(said)}; {counted(len(new.pile), 'piece')} on the pile.\n")
    return 0


def _text_of(name: str) -> str:
    """The text of a file or of the standard input. Raises InputError when it cannot be read."""
    try:
        if name == "-":
            raw = b"" if sys.stdin is None else sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with Path(os.path.expanduser(name)).open("rb") as file:
                raw = file.read(MOST_BYTES + 1)
    except ValueError as error:
        raise InputError(f"“{name}” is not the name of a file.") from error
    except OSError as error:
        raise InputError(f"{name} cannot be read: {error.strerror}.") from error
    if len(raw) > MOST_BYTES:
        raise InputError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB and no table of pieces.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{name} is not text in UTF-8. Save it as CSV in UTF-8.") from error


def layout_of_unit(call: CommandCall) -> int:
    """Print the layout of a unit on the scrap pile; 1 when a part found no place or a kept layout no longer holds.

    Raises:
        InputError: there is no such unit, or an option cannot be used.
    """
    from logbook.cli.shared import say_problems, width, write_json
    from logbook.layout.asked import PartKind, without_size
    from logbook.render.layout_document import layout_text, layouts_data

    with call.read() as session:
        unit = session.unit(code_in(session, call.options.unit))
        saws, said = (
            [],
            [f"No size or thickness yet, so not laid out: {', '.join(x)}." for x in [without_size(unit)] if x],
        )
        for kind in PartKind:
            found = _saw_of(call, session, unit, kind, said)
            if found is not None:
                saws.append(found)
        if not saws and not said:
            said.append(f"{unit.code} has no parts to cut yet: panels, leaves and strips stand in its case.")
        if call.options.as_json:
            write_json(layouts_data(saws))
        else:
            write(layout_text(unit, saws, said, width=width(call)))
        say_problems(session, unit.code)
    incomplete = any(not saw.layout.complete for saw in saws)
    return 1 if incomplete or any(s.startswith("NOT AS LAID OUT") for s in said) else 0


def _saw_of(call: CommandCall, session: Session, unit: Unit, kind: PartKind, said: list[str]) -> Saw | None:
    """The layout that was chosen for those parts while it holds, else one that is searched now; None without parts."""
    from logbook.cli.shared import whole_book
    from logbook.cli.table_commands import rules_from
    from logbook.layout.asked import laid_out_with, layout_for, parts_of, pieces_of, rules_of
    from logbook.layout.at_the_saw import with_layout
    from logbook.layout.checker import problems_of
    from logbook.layout.kept import Asked, kept_of, problems_now
    from logbook.layout.saw import Saw

    units, shop = whole_book(session).units, session.shop
    kept = layout_for(unit, kind)
    if kept is not None:
        wrong = problems_now(kept, shop, units, unit.code)
        if not wrong:
            return Saw.of(unit, shop, kind)
        said.append(f"NOT AS LAID OUT, {kind}: {' '.join(wrong[:3])} Laid out anew in the program (L on its layout).")
        return None
    if other := laid_out_with(units.values(), unit.code, kind):
        said.append(f"The {kind} of {unit.code} lie in the layout of {other}, together with its own.")
        return None
    parts = parts_of(unit, kind)
    if not parts:
        return None
    rules = rules_from(call, rules_of(shop, unit.code, kerf=unit.case.kerf if unit.case is not None else None))
    asked = Asked(parts, pieces_of(shop, rules, units.values(), kind), rules)
    layout = searched(*asked)
    if wrong := problems_of(layout, *asked):
        raise LogbookError(f"The layout did not pass its check and is not shown: {wrong[0]}")
    made = Saw.of(with_layout(unit, kept_of(layout, asked, shop, kind, session.now)), shop, kind)
    return replace(made, layout=replace(made.layout, bound_area=layout.bound_area))
